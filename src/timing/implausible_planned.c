/* Planned times that no plan can mean, beside what the rehearsals took: they say beforehand how long tasks take, and
 * with few rehearsals the forecast rests on them as much as on these. */
#include <math.h>
#include <stdio.h>
#include "screening.h"
#include "wetrun/base/memory.h"

static const double FAR_PLAN = 3, FAR_CELL = 6, LEAST_MIN = 5;

enum { MANY_TASKS = 50 }; /* beyond these a median need not leave one task out */

/* What its runs took, as a factor of what is planned. */
struct planned_task {
    size_t task;
    double ratio_log, took_min; /* of the median run */
};

static struct planned_task *planned_tasks(struct screening *j, size_t *n)
{
    struct planned_task *of = WR_NEW_ARRAY(struct planned_task, j->timing->n_task);

    *n = 0;
    for (size_t k = 0; k < j->timing->n_task; k++) {
        struct wr_maybe planned = j->plan->task[k].planned_min, took = screen_usually_took(j, k);
        if (!planned.known || !(planned.value > 0) || !took.known) continue;
        of[(*n)++] = (struct planned_task){k, log(took.value / planned.value), took.value};
    }
    return of;
}

/* Of all of them but one; SIZE_MAX: of all. */
static double typical_log(const struct planned_task *of, size_t n, size_t but)
{
    WR_SCOPED double *ratio = WR_NEW_ARRAY(double, n);
    size_t n_ratio = 0;

    for (size_t i = 0; i < n; i++)
        if (i != but) ratio[n_ratio++] = of[i].ratio_log;
    return screen_median(ratio, n_ratio).value;
}

/* The fewer tasks, the more of it may be what single tasks are off by. */
static bool doubt_all(struct screening *j, const struct planned_task *of, size_t n, double typical)
{
    double took = 0, planned = 0;

    for (size_t i = 0; i < n; i++) {
        took += of[i].took_min;
        planned += j->plan->task[of[i].task].planned_min.value;
    }
    if (fabs(typical) < log(FAR_PLAN * (1 + 1 / (double)n)) || fabs(took - planned) < LEAST_MIN) return false;
    j->screen->plan_doubtful = true;
    wr_findings_add(j->findings, WR_WARNING, "implausible-planned", j->plan->file, 0, 0,
                    "typically the rehearsals took %.3g times what the plan allots to a task (%zu task%s compared), "
                    "further off than a plan is: a decimal mark lost, or another unit? A forecast takes no more from "
                    "them than how tasks compare; correct planned, which is in minutes or h:mm, or leave it empty "
                    "where tasks were rehearsed",
                    exp(typical), n, n == 1 ? "" : "s");
    return true;
}

/* How far off it lies, on the same side of what is planned and of what others take of theirs; 0: between the two. */
static double off_log(double ratio_log, double others_log)
{
    double own = ratio_log, beside = ratio_log - others_log;

    return own * beside > 0 ? fmin(fabs(own), fabs(beside)) : 0;
}

/* In most of its runs, two at least, for one alone may be off itself ("implausible-step"); and in none is it off the
 * other way, as where a task takes a minute on one day and an hour on another. */
static bool is_cell_far(const struct screening *j, const struct planned_task *of, double others_log)
{
    double planned_log = log(j->plan->task[of->task].planned_min.value);
    size_t n = 0, n_far = 0;

    for (size_t r = 0; r < j->timing->n_run; r++) {
        const struct wr_cell *c = wr_timing_cell(j->timing, of->task, r);
        if (c->state != WR_CELL_DONE || !(wr_cell_modelled_min(c) > 0)) continue;
        double ratio_log = log(wr_cell_modelled_min(c)) - planned_log;
        if (ratio_log * of->ratio_log < 0) return false;
        n++;
        n_far += off_log(ratio_log, others_log) >= log(FAR_CELL);
    }
    return n_far >= 2 && 2 * n_far > n;
}

static void doubt_cell(struct screening *j, const struct planned_task *of, double others_log)
{
    const struct wr_plan_task *t = &j->plan->task[of->task];

    if (!is_cell_far(j, of, others_log) || fabs(of->took_min - t->planned_min.value) < LEAST_MIN) return;
    screen_add_row(j, (struct wr_implausible){.kind = WR_IMPLAUSIBLE_PLANNED, .task = t->id,
                                              .read_min = t->planned_min.value, .others_min = wr_known(of->took_min)});
    wr_findings_add(j->findings, WR_WARNING, "implausible-planned", j->plan->file, t->line, 0,
                    "task '%.60s' is allotted %.4g min and usually takes %.3g, where other tasks take %.3g times what "
                    "they are allotted: a digit or a decimal mark lost, or another unit? Correct planned, or leave it "
                    "empty",
                    t->id, t->planned_min.value, of->took_min, exp(others_log));
}

void screen_planned(struct screening *j)
{
    size_t n;

    if (j->screen->unit_doubtful || !j->plan->file) return;
    WR_SCOPED struct planned_task *of = planned_tasks(j, &n);
    if (n == 0) return;
    double typical = typical_log(of, n, SIZE_MAX);
    if (doubt_all(j, of, n, typical)) return;
    for (size_t i = 0; i < n && n > 1; i++)
        doubt_cell(j, &of[i], n > MANY_TASKS ? typical : typical_log(of, n, i));
}
