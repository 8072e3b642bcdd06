/* The timing table: every task of the plan in every run, from the log, measured against the plan; and its replay.
 * Lead-in = start - the moment the task could have started (predecessors of plan and lane ended in that run, run start
 * for a first task). Gap = time between steps of one task that no row covers; modelled with the lead-in.
 * Modelled minutes = lead-in + gap + active. Replaying modelled + hold through the plan gives the real finish. */
#ifndef WETRUN_TIMING_TIMING_H
#define WETRUN_TIMING_TIMING_H

#include <stddef.h>
#include "wetrun/base/error.h"
#include "wetrun/campaign/findings.h"
#include "wetrun/campaign/plan.h"
#include "wetrun/campaign/run_log.h"
#include "wetrun/network/network.h"

enum wr_cell_state { WR_CELL_ABSENT, WR_CELL_DONE, WR_CELL_STOPPED, WR_CELL_SKIPPED }; /* absent: no row */

struct wr_cell { /* look at state before the numbers; absent and skipped cells have 0 everywhere */
    enum wr_cell_state state;
    double active_min, lead_in_min, gap_min, hold_min;
    double start_min, end_min;   /* since the run's first start; for logs without clock times as replayed */
    size_t n_performer;          /* performers named in this cell, in the order of the task's lanes */
    unsigned person[4];          /* indices into wr_timing.person; at most 4 kept */
    bool began_early;            /* before a predecessor had ended */
    size_t line;                 /* first log line of the cell */
};

struct wr_timing_run {
    struct wr_maybe finish_min;  /* last logged end - first logged start; unknown without clock times */
    double replay_min, finish_without_holds_min;
    double unlogged_min;         /* lead-in + gap, summed over the cells: time in which no step was running */
    bool complete;               /* every task of the plan done */
    bool kept_to_plan;           /* no task began early, none outside the plan, no overlapping steps */
    size_t n_done, n_stopped, n_skipped, n_absent;
    double order;                /* 1, 2, …: position among the runs in time */
};

struct wr_timing { /* start as {0} */
    size_t n_task, n_run, n_person;
    struct wr_cell *cell;        /* [task * n_run + run] */
    struct wr_timing_run *run;   /* [n_run] in the order of the log's runs */
    const char **person;         /* [n_person] names, in order of first appearance */
    int *line_up;                /* [run * n_lane + lane] person in that lane of that run, -1 unknown */
    size_t n_lane;
    struct wr_arena text;
};

WR_MUST_CHECK enum wr_status wr_timing_build(struct wr_timing *timing, const struct wr_run_log *log,
                                             const struct wr_plan *plan, const struct wr_network *net,
                                             struct wr_findings *findings, struct wr_error *err);
void wr_timing_release(struct wr_timing *timing);
static inline const struct wr_cell *wr_timing_cell(const struct wr_timing *t, size_t task, size_t run)
{
    return &t->cell[task * t->n_run + run];
}
static inline double wr_cell_modelled_min(const struct wr_cell *c)
{
    return c->lead_in_min + c->gap_min + c->active_min;
}
#endif
