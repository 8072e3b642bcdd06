#include "wetrun/decide/planned_short.h"

#include "wetrun/sim/forecast.h"

static const double least_min = 0.05; /* shows as 0.1 */

struct wr_maybe wr_pad_shortfall(const struct wr_pad_task *task)
{
    if (!task->planned_min.known || !wr_is_done_enough(task->dropped)) return WR_UNKNOWN;
    return wr_known(task->median_min + task->pad_min - task->planned_min.value);
}

bool wr_pad_is_short(const struct wr_pad_task *task)
{
    struct wr_maybe missing = wr_pad_shortfall(task);

    return missing.known && missing.value >= least_min;
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
