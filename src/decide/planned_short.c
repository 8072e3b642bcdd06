#include "wetrun/decide/planned_short.h"

#include <math.h>
#include "wetrun/sim/forecast.h"

struct wr_maybe wr_pad_shortfall(const struct wr_pad_task *task)
{
    if (!task->planned_min.known || !wr_is_done_enough(task->dropped)) return WR_UNKNOWN;
    return wr_known(task->median_min + task->pad_min - task->planned_min.value);
}

static double tenths(double minutes)
{
    return floor(10 * minutes + 0.5);
}

struct wr_maybe wr_pad_shown_shortfall(const struct wr_pad_task *task)
{
    if (!wr_pad_shortfall(task).known) return WR_UNKNOWN;
    return wr_known((tenths(task->median_min) + tenths(task->pad_min) - tenths(task->planned_min.value)) / 10);
}

bool wr_pad_is_short(const struct wr_pad_task *task)
{
    struct wr_maybe missing = wr_pad_shown_shortfall(task);

    return missing.known && missing.value > 0;
}

static int falling(double a, double b)
{
    return (a < b) - (a > b);
}

int wr_pad_by_falling_shortfall(const struct wr_pad_task *a, const struct wr_pad_task *b)
{
    const struct wr_maybe shown_a = wr_pad_shown_shortfall(a), shown_b = wr_pad_shown_shortfall(b);

    if (shown_a.known != shown_b.known) return shown_a.known ? -1 : 1;
    if (!shown_a.known) return 0;
    const int shown = falling(shown_a.value, shown_b.value);
    return shown ? shown : falling(wr_pad_shortfall(a).value, wr_pad_shortfall(b).value);
}

struct wr_maybe wr_pad_planned_enough(const struct wr_pad_task *task)
{
    return wr_is_done_enough(task->dropped) ? task->prob_planned_enough : WR_UNKNOWN;
}

bool wr_pad_is_missed(const struct wr_pad_task *task)
{
    const struct wr_maybe enough = wr_pad_planned_enough(task);

    return enough.known && enough.value < WR_PAD_KEPT_AS_OFTEN;
}

struct wr_planned_count wr_planned_count(const struct wr_pad *pad)
{
    struct wr_planned_count n = {0};

    for (size_t k = 0; k < pad->n_task; k++) {
        n.n_planned += pad->task[k].planned_min.known;
        n.n_short += wr_pad_is_short(&pad->task[k]);
        n.n_missed += wr_pad_is_missed(&pad->task[k]);
    }
    return n;
}
