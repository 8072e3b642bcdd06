/* The timing table: every task of the plan in every run, from the log, measured against the plan; and its replay.
 * Lead-in = start - the moment the task could have started (predecessors of plan and lane ended in that run, run start
 * for a first task). Gap = time between steps of one task that no row covers; modelled with the lead-in.
 * Modelled minutes = lead-in + gap + active. Replaying modelled + hold through the plan gives the real finish.
 *
 * A done or stopped task has ended at its logged end; a skipped or absent one when it could have begun. not_before
 * counts as ready only for a task that did begin at or after it; drop_after is not applied to what was done. Two
 * moments less than half a second apart are the same moment.
 *
 * Findings (all about a run; errors never, since every row that got here was accepted):
 *   began-early       warning  a task began before one that it waits for in the plan had ended: plan and log disagree
 *   before-not-before warning  a task began before its not_before; the run counts as if it had none
 *   steps-overlap     warning  two steps of one task at the same time; the active time is still their sum
 *   other-crew        warning  the log names another crew than the plan for a task in this run
 *   person-twice      warning  one person in two lanes at once
 *   no-time           warning  a done task took no time at all: it has no logarithm and cannot be modelled
 *   replay-differs    warning  a run that seemed to keep to the plan does not replay to its finish (rounded clocks)
 *   off-plan-work     note     the run holds a task that the plan has not, and so did not keep to it
 *   performer-count   note     as many performers as lanes were expected, more or fewer are named
 *   line-up-changed   note     a lane changed hands within the run
 *   after-drop-time   note     a task was begun after its drop_after
 *   run-incomplete    note     some tasks were stopped, skipped or not logged
 *   time-unlogged     note     lead-ins and gaps are more than a tenth of the logged work */
#ifndef WETRUN_TIMING_TIMING_H
#define WETRUN_TIMING_TIMING_H

#include <stddef.h>
#include "wetrun/base/error.h"
#include "wetrun/campaign/findings.h"
#include "wetrun/campaign/plan.h"
#include "wetrun/campaign/run_log.h"
#include "wetrun/network/network.h"

enum wr_cell_state { WR_CELL_ABSENT, WR_CELL_DONE, WR_CELL_STOPPED, WR_CELL_SKIPPED }; /* absent: no row */

enum { WR_MAX_PERFORMERS = 4 };

struct wr_cell { /* look at state before the numbers; absent and skipped cells have 0 everywhere but in line */
    enum wr_cell_state state;    /* stopped: some part was stopped or skipped, the time is a lower bound */
    double active_min, lead_in_min, gap_min, hold_min;
    double start_min, end_min;   /* since the run's first start; for logs without clock times as replayed */
    size_t n_performer;          /* performers named in this cell, in the order of the task's lanes */
    unsigned person[WR_MAX_PERFORMERS]; /* indices into wr_timing.person; at most 4 kept */
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
    int *line_up;                /* [run * n_lane + lane] person most often in that lane of that run, -1 unknown */
    double *waiting_min;         /* [run * n_lane + lane] in the replay: the lane is free, its next task waits for something */
    size_t n_lane;
    struct wr_arena text;
};

/* A cell without a performer, in a log that has the column, takes the people who hold the task's lanes in that run, if
 * all are known. Runs without clock times have no lead-ins and no gaps; their starts and ends are the replay's. */
WR_MUST_CHECK enum wr_status wr_timing_build(struct wr_timing *timing, const struct wr_run_log *log,
                                             const struct wr_plan *plan, const struct wr_network *net,
                                             struct wr_findings *findings, struct wr_error *err);
void wr_timing_release(struct wr_timing *timing);
void wr_timing_check(const struct wr_timing *timing); /* aborts when an invariant is broken: tests and debug builds */
static inline const struct wr_cell *wr_timing_cell(const struct wr_timing *t, size_t task, size_t run)
{
    return &t->cell[task * t->n_run + run];
}
static inline double wr_cell_modelled_min(const struct wr_cell *c)
{
    return c->lead_in_min + c->gap_min + c->active_min;
}
#endif
