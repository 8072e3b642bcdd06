#include "day_parts.h"

#include <math.h>
#include <string.h>
#include "wetrun/base/memory.h"
#include "wetrun/campaign/near_name.h"
#include "wetrun/campaign/run_log.h"

static double latest_of(const struct wr_day_report_row *row)
{
    return fmax(row->start_min.known ? row->start_min.value : 0, row->end_min.known ? row->end_min.value : 0);
}

/* Steps of two names, or one step in two lanes, may be at the same time. */
static bool are_apart(const struct day_part *a, const struct day_part *b)
{
    if (a->step[0] && b->step[0] && strcmp(a->step, b->step) != 0) return true;
    return a->lanes && b->lanes && !(a->lanes & b->lanes);
}

static bool is_next(const struct day_part *before, const struct day_part *part)
{
    const struct wr_day_report_row *a = &before->row, *b = &part->row;

    return a->end_min.known && b->start_min.known && b->start_min.value >= a->end_min.value;
}

bool day_task_add(struct day_task *of, const struct day_part *part)
{
    for (size_t i = 0; i < of->n_part; i++)
        if (!is_next(&of->part[i], part) && !are_apart(&of->part[i], part)) return false;
    *WR_PUSH(of->part, of->n_part, of->room) = *part;
    return true;
}

static bool are_at_once(const struct wr_day_report_row *a, const struct wr_day_report_row *b)
{
    return a->start_min.known && b->start_min.known && a->start_min.value < latest_of(b) &&
           b->start_min.value < latest_of(a);
}

/* What is held in two lanes at once is held once. */
static double hold_of(const struct day_task *of)
{
    double sum = 0;

    for (size_t i = 0; i < of->n_part; i++) {
        double counted = 0;
        for (size_t before = 0; before < i; before++)
            if (are_at_once(&of->part[before].row, &of->part[i].row))
                counted = fmax(counted, of->part[before].row.hold_min);
        sum += fmax(0, of->part[i].row.hold_min - counted);
    }
    return sum;
}

struct wr_day_report_row day_task_joined(const struct day_task *of)
{
    struct wr_day_report_row whole = of->part[0].row;

    for (size_t i = 0; i < of->n_part; i++) {
        const struct wr_day_report_row *row = &of->part[i].row;
        bool both = row->start_min.known && whole.start_min.known, ended = row->end_min.known && whole.end_min.known;
        whole.start_min = both ? wr_known(fmin(whole.start_min.value, row->start_min.value)) : WR_UNKNOWN;
        whole.end_min = ended ? wr_known(fmax(whole.end_min.value, row->end_min.value)) : WR_UNKNOWN;
        whole.last_min = fmax(whole.last_min, latest_of(row));
    }
    whole.hold_min = hold_of(of);
    return whole;
}

/* ---- are there further steps? ---- */

const struct day_part *day_task_last(const struct day_task *of)
{
    const struct day_part *last = &of->part[0];

    for (size_t i = 1; i < of->n_part; i++)
        if (latest_of(&of->part[i].row) >= latest_of(&last->row)) last = &of->part[i];
    return last;
}

static bool has_step(const struct day_task *of, const char *step)
{
    WR_SCOPED_STR folded = {0};

    wr_fold_name(&folded, step, strlen(step));
    for (size_t i = 0; i < of->n_part; i++)
        if (strcmp(of->part[i].step, wr_str_text(&folded)) == 0) return true;
    return false;
}

/* The first step of the run, in the order of the rows, that is not reported; NULL: none. *n_named: how many have a
 * name. step[n]: those of the task in one run. */
static const char *not_reported(const struct day_task *of, const struct wr_log_step *step, size_t n, size_t *n_named)
{
    const struct wr_log_step *first = NULL;

    *n_named = 0;
    for (size_t i = 0; i < n; i++) {
        if (!step[i].step[0]) continue;
        ++*n_named;
        if ((!first || step[i].line < first->line) && !has_step(of, step[i].step)) first = &step[i];
    }
    return first ? first->step : NULL;
}

bool day_task_is_open(const struct day_task *of, const char *id, const struct wr_run_log *log, struct wr_str *missing)
{
    size_t n_run = 0, n_more = 0;

    if (!day_task_last(of)->step[0]) return false;
    for (size_t i = 0, next; log && i < log->n_step; i = next) {
        size_t n_named;
        for (next = i + 1; next < log->n_step; next++)
            if (log->step[next].run != log->step[i].run || log->step[next].task != log->step[i].task) break;
        if (strcmp(log->task[log->step[i].task], id) != 0) continue;
        const char *more = not_reported(of, log->step + i, next - i, &n_named);
        n_run += n_named > 0;
        n_more += more != NULL;
        if (more && !missing->len) wr_str_add(missing, more);
    }
    return n_run == 0 || 5 * n_more > n_run;
}

void day_task_release(struct day_task *of)
{
    wr_free(of->part);
    *of = (struct day_task){0};
}
