#include "kept.h"

#include <math.h>
#include "wetrun/base/memory.h"

/* ---- over all runs ---- */

static bool is_timed(const struct measuring *j, size_t work, size_t run)
{
    return j->timing->run[run].finish_min.known && took_time(&j->timing->cell[cell_index(j, work, run)]);
}

static bool began_before_end(const struct measuring *j, size_t work, size_t pred, size_t run)
{
    return j->timing->cell[cell_index(j, work, run)].start_min <
           j->timing->cell[cell_index(j, pred, run)].end_min - SAME_MOMENT_MIN;
}

struct votes { size_t against, all; };

static struct votes votes_on(const struct measuring *j, size_t work, size_t pred)
{
    struct votes v = {0};

    for (size_t r = 0; r < j->timing->n_run; r++) {
        if (!is_timed(j, work, r) || !is_timed(j, pred, r)) continue;
        v.against += began_before_end(j, work, pred, r);
        v.all++;
    }
    return v;
}

static bool is_outvoted(struct votes v)
{
    return v.against >= 2 && 2 * v.against > v.all;
}

static void report_not_rehearsed(const struct measuring *j, size_t task, size_t pred, struct votes v)
{
    wr_findings_add(
        j->findings, WR_WARNING, "order-not-rehearsed", j->plan->file, j->plan->task[task].line, 0,
        "the plan has '%s' wait for '%s', but in %zu of %zu runs it began before that had ended: this order was "
        "not rehearsed, and times are measured in the order in which the runs were done",
        j->plan->task[task].id, j->plan->task[pred].id, v.against, v.all);
}

/* The runs may have waited for another moment, which their own plan had: without it the wait counts as work. */
static void report_other_not_before(const struct measuring *j, size_t task, struct votes v)
{
    wr_findings_add(j->findings, WR_WARNING, "order-not-rehearsed", j->plan->file, j->plan->task[task].line, 0,
                    "in %zu of %zu runs '%s' began before its not_before: if they followed a plan with another one, "
                    "give that as plan-rehearsed.csv or with --plan-rehearsed, for without it a wait counts as work",
                    v.against, v.all, j->plan->task[task].id);
}

static void vote_on_not_before(struct measuring *j)
{
    for (size_t w = 0; w < j->known.n_work; w++) {
        struct votes v = {0};
        if (!(j->known.not_before_min[w] > 0)) continue;
        for (size_t r = 0; r < j->timing->n_run; r++) {
            if (!is_timed(j, w, r)) continue;
            v.against += j->timing->cell[cell_index(j, w, r)].start_min < j->known.not_before_min[w] - SAME_MOMENT_MIN;
            v.all++;
        }
        if (!is_outvoted(v)) continue;
        j->known.not_before_min[w] = 0;
        j->timing->old_wait_missing = true;
        if (w < j->plan->n_task) report_other_not_before(j, w, v);
    }
}

/* When all that work waits for had ended in that run, of work that took no time in it. */
static void take_passed(const struct measuring *j, size_t run, double *passed_min)
{
    const struct rehearsed *known = &j->known;

    for (size_t i = 0; i < known->n_order; i++) {
        size_t w = known->order[i];
        passed_min[w] = 0;
        for (size_t e = known->pred_first[w]; e < known->pred_first[w + 1]; e++) {
            size_t x = known->pred[e];
            double end = is_timed(j, x, run) ? j->timing->cell[cell_index(j, x, run)].end_min : passed_min[x];
            if (!known->never_kept[e]) passed_min[w] = fmax(passed_min[w], end);
        }
    }
}

static void vote_in_run(const struct measuring *j, size_t run, const double *passed_min, struct votes *votes)
{
    const struct rehearsed *known = &j->known;

    for (size_t w = 0; w < known->n_work; w++) {
        if (!is_timed(j, w, run)) continue;
        double start = j->timing->cell[cell_index(j, w, run)].start_min;
        for (size_t e = known->pred_first[w]; e < known->pred_first[w + 1]; e++) {
            if (j->n_done[known->pred[e]]) continue;
            votes[e].against += start < passed_min[known->pred[e]] - SAME_MOMENT_MIN;
            votes[e].all++;
        }
    }
}

/* Work that no run did hands on what it waits for, but not where most runs did not wait for that either: then it was
 * not to be done there, or came to the plan later. */
static void vote_on_what_is_passed(struct measuring *j)
{
    struct rehearsed *known = &j->known;
    size_t n_edge = known->pred_first[known->n_work], n_undone = 0;

    for (size_t i = 0; i < known->n_order; i++) n_undone += j->n_done[known->order[i]] == 0;
    if (n_undone == 0) return;
    WR_SCOPED double *passed_min = WR_NEW_ARRAY(double, known->n_work);
    WR_SCOPED struct votes *votes = WR_NEW_ARRAY(struct votes, n_edge);
    for (size_t r = 0; r < j->timing->n_run; r++) {
        if (!j->timing->run[r].finish_min.known) continue;
        take_passed(j, r, passed_min);
        vote_in_run(j, r, passed_min, votes);
    }
    for (size_t e = 0; e < n_edge; e++) known->never_kept[e] |= is_outvoted(votes[e]);
}

/* What runs did in another order within a lane, they waited for by that order. Across lanes another `after` may have
 * stood in its place. */
static void vote_on_after(struct measuring *j)
{
    struct rehearsed *known = &j->known;

    for (size_t w = 0; w < known->n_work; w++)
        for (size_t e = known->pred_first[w]; e < known->pred_first[w + 1]; e++) {
            known->never_kept[e] = known->by_after[e] && is_outvoted(votes_on(j, w, known->pred[e]));
            j->timing->old_wait_missing |= known->never_kept[e] && !(known->lanes[w] & known->lanes[known->pred[e]]);
        }
}

void kept_over_runs(struct measuring *j)
{
    vote_on_after(j);
    vote_on_what_is_passed(j);
    for (size_t k = 0; k < j->net->n_task; k++)
        for (size_t e = j->net->pred_first[k]; e < j->net->pred_first[k + 1]; e++) {
            struct votes v = votes_on(j, k, j->net->pred[e]);
            j->never_kept[e] = is_outvoted(v);
            if (j->never_kept[e]) report_not_rehearsed(j, k, j->net->pred[e], v);
        }
    vote_on_not_before(j);
}

/* ---- in one run ---- */

static void report_early(const struct measuring *j, size_t task, size_t by, double early_min)
{
    const char *through = "";

    while (!took_time(cell_of(j, by)) && j->held_by[by] != SIZE_MAX) { /* what the skipped one would have waited for */
        by = j->held_by[by];
        through = ", by way of work that was left out";
    }
    timing_report(j, WR_WARNING, "began-early", j->cell_place[task],
                  "task '%s' began %.1f min before '%s' had ended, which the plan has it wait for%s",
                  j->plan->task[task].id, early_min, j->plan->task[by].id, through);
}

/* The latest of what it should have waited for, and in other runs did; SIZE_MAX: none. */
static size_t held_by_what_is_rehearsed(const struct measuring *j, size_t task)
{
    size_t by = SIZE_MAX;

    for (size_t e = j->net->pred_first[task]; e < j->net->pred_first[task + 1]; e++)
        if (!j->never_kept[e] && (by == SIZE_MAX || j->ended_min[j->net->pred[e]] > j->ended_min[by]))
            by = j->net->pred[e];
    return by;
}

static void look_at_start(struct measuring *j, size_t task)
{
    struct wr_cell *cell = cell_of(j, task);
    double not_before = j->net->not_before_min[task];

    if (cell->start_min < not_before - SAME_MOMENT_MIN) {
        timing_differs(j, "'%s' began before its not_before", j->plan->task[task].id);
        timing_report(j, WR_WARNING, "before-not-before", j->cell_place[task],
                      "task '%s' began %.1f min before its not_before", j->plan->task[task].id,
                      not_before - cell->start_min);
        not_before = 0;
    }
    if (cell->start_min < j->ready_min[task] - SAME_MOMENT_MIN) {
        size_t by = held_by_what_is_rehearsed(j, task);
        cell->began_early = true;
        timing_differs(j, "'%s' began before '%s' had ended", j->plan->task[task].id,
                       j->plan->task[j->held_by[task]].id);
        if (by != SIZE_MAX && cell->start_min < j->ended_min[by] - SAME_MOMENT_MIN)
            report_early(j, task, by, j->ended_min[by] - cell->start_min);
    }
    j->not_before_min[task] = not_before;
}

void kept_in_run(struct measuring *j)
{
    for (size_t i = 0; i < j->net->n_task; i++) {
        size_t k = j->net->order[i];
        const struct wr_cell *cell = cell_of(j, k);
        double ready = 0;
        j->held_by[k] = SIZE_MAX;
        for (size_t p = j->net->pred_first[k]; p < j->net->pred_first[k + 1]; p++)
            if (j->held_by[k] == SIZE_MAX || j->ended_min[j->net->pred[p]] > ready) {
                ready = j->ended_min[j->net->pred[p]];
                j->held_by[k] = j->net->pred[p];
            }
        j->ready_min[k] = ready;
        j->not_before_min[k] = took_time(cell) ? j->net->not_before_min[k] : 0;
        j->ended_min[k] = took_time(cell)         ? cell->end_min
                          : j->known.was_there[k] ? ready
                                                  : 0; /* new work is not waited for */
        if (took_time(cell) && j->has_clock) look_at_start(j, k);
    }
}
