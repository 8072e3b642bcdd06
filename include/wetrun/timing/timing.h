/* The timing table: every task of the plan in every run, from the log, and its replay.
 *
 * Time is measured in the order in which the run was really done, so that what a task takes does not depend on where
 * the plan puts it later. Lead-in = start - the moment the task could have started: what its lanes did before it in
 * that run, and what it waits for by `after`, had ended (run start for a first task). Gap = time between steps of one
 * task in which its lanes did nothing that a row tells of; modelled with the lead-in. Lanes are those of the log's crew
 * column, else of the plan; `after` and not_before are those of the plan as rehearsed, where one is given, else of the
 * plan: what a run did not keep does not count in that run, and what most runs did not keep counts in none.
 * Modelled minutes = lead-in + gap + active. Replaying modelled + hold in the order of the run gives the real finish.
 *
 * A done or stopped task has ended at its logged end; a skipped or absent one when it could have begun. Two moments
 * less than half a second apart are the same moment. drop_after is not applied to what was done.
 *
 * A hole is a hole: where a row was rejected, or a task has no row though other runs have it and there is room for it,
 * its time is unknown, and so is the lead-in of what came next. Both are left out of the model (holes.h). So is a task
 * of which a step has no row that most runs have (missing_steps.h).
 *
 * Findings (about runs; errors never, since every row that got here was accepted):
 *   order-not-rehearsed warning  most runs did not keep a wait of the plan: the plan was changed since
 *   began-early       warning  a task began before one that it waits for in the plan had ended: plan and log disagree
 *   before-not-before warning  a task began before its not_before; the run counts as if it had none
 *   time-unknown      warning  a task whose rows are rejected, missing or misplaced, or of which a step has none
 *   step-unlogged     warning  of a task a step may have no row; a note where it was probably cut otherwise
 *   misplaced-row     warning  a task twice in one run, where it cannot have been, and not at all in another
 *   stopped-then-done note     a step was stopped and then done to its end by the same lanes: the task is done; or a
 *                     warning  a later row only may be the rest of it: the task is stopped
 *   steps-overlap     warning  two steps of one task at the same time; the time of both counts once, and so
 *                              does a hold that may be of both
 *   lane-unclear      warning  no crew is named, and the plan's lanes cannot be true or there are none
 *   wait-or-lead-in   warning  a lane was idle until other work ended, which the plan does not have it wait for, or
 *                              only by way of a task that no run has a row of
 *   lanes-by-plan     note     the log has no column crew
 *   other-crew        warning  the log names another crew than the plan for a task
 *   person-twice      warning  one person in two lanes at once
 *   no-time           warning  a done task took no time at all: it has no logarithm and cannot be modelled
 *   replay-differs    warning  a run that seemed to keep to the plan does not replay to its finish (rounded clocks)
 *   off-plan-work     note     the run holds a task that the plan has not, and so did not keep to it
 *   performer-count   note     as many performers as lanes were expected, more or fewer are named
 *   line-up-changed   note     a lane changed hands within the run
 *   after-drop-time   note     a task was begun after its drop_after
 *   run-incomplete    note     some tasks were stopped, skipped, not logged or not known
 *   work-dropped      note     a complete run without tasks that the plan drops on such a day
 *   minutes-alone     warning  runs by_minutes; a note where their minutes are said to hold it all
 *   time-unlogged     note     lead-ins and gaps are more than a tenth of the logged work */
#pragma once

#include <stddef.h>
#include "wetrun/base/error.h"
#include "wetrun/campaign/findings.h"
#include "wetrun/campaign/plan.h"
#include "wetrun/campaign/run_log.h"
#include "wetrun/network/network.h"

/* absent: no row; lost: it was done, or begun, but how long it took is not known */
enum wr_cell_state { WR_CELL_ABSENT, WR_CELL_DONE, WR_CELL_STOPPED, WR_CELL_SKIPPED, WR_CELL_LOST };

enum { WR_MAX_PERFORMERS = 4 };

struct wr_cell { /* look at state before the numbers; absent, skipped and lost cells have 0 everywhere but in line */
    enum wr_cell_state state;    /* stopped: some part was skipped, or stopped and not done to its end later; the time
                                    is a lower bound */
    double active_min, lead_in_min, gap_min, hold_min;
    bool lead_in_unknown;        /* work that is missing stands before it: modelled minutes are a lower bound */
    double hole_min;             /* the time in which that may stand; in no other number */
    double start_min, end_min;   /* since the run's first start; for logs without clock times as replayed */
    size_t n_performer;          /* performers named in this cell, in the order of the task's lanes */
    unsigned person[WR_MAX_PERFORMERS]; /* indices into wr_timing.person; at most 4 kept */
    bool began_early;            /* before a predecessor had ended */
    size_t line;                 /* first log line of the cell */
};

struct wr_timing_run {
    struct wr_maybe finish_min;  /* last logged end - first logged start; unknown without clock times */
    double replay_min, finish_without_holds_min; /* in the order in which it was done */
    bool by_minutes;             /* steps with minutes alone, not said to be whole (wr_log_options): nothing is known of
                                    the time between its tasks, so both of these are lower bounds, as is its
                                    waiting, and its lead-ins are those of others */
    double by_plan_min;          /* its modelled times through the plan as it now stands, without holds: what a forecast
                                    of this run foresees. A lower bound unless complete and n_unknown is 0 */
    double by_rules_min;         /* the same where n_past_rule is not 0, but with the drop rules kept: what it did past
                                    one takes no time */
    size_t n_past_rule;          /* tasks that it did and its day, holds left out, comes to after their drop_after */
    double unlogged_min;         /* lead-in + gap, summed over the cells: time in which no step was running; 0 where
                                    by_minutes */
    double nobodys_min;          /* in the replay, lane by lane: a lane's time before its next task in which work may
                                    stand whose time is not known */
    bool complete;               /* every task of the plan done, or dropped (n_dropped) */
    bool finish_stands;          /* every task done, though of some it is not known how long it took, none of them the
                                    last in a lane, before the first row, or without a row of one of its steps, which
                                    may have been left out: the finish is what it took, no lower bound */
    bool kept_to_plan;           /* no task began early or in another lane, none outside the plan, no overlapping
                                    steps */
    const char *differs;         /* where it did not, in words; NULL: it kept to the plan */
    size_t n_done, n_stopped, n_skipped, n_absent, n_lost;
    size_t n_left_out;           /* of those skipped: the plan may drop them (drop_after) */
    size_t n_dropped;            /* of those left out: by_plan_min comes to them after their drop_after, so that a
                                    forecast of this day drops them too. A hold may have made it so late: then not */
    size_t n_unknown;            /* lead-ins and gaps that are not known */
    double order;                /* 1, 2, …: position among the runs in time */
};

struct wr_other_work { /* that the plan does not have: it keeps its own time */
    const char *id;
    struct wr_maybe planned_min; /* by the plan as rehearsed */
};

struct wr_timing { /* start as {0} */
    size_t n_task, n_run, n_person;
    struct wr_cell *cell;        /* [task * n_run + run]; behind the plan's tasks those of the other work */
    struct wr_other_work *other; size_t n_other; /* number i has the cells of task n_task + i */
    struct wr_timing_run *run;   /* [n_run] in the order of the log's runs */
    const char **person;         /* [n_person] names, in order of first appearance */
    int *line_up;                /* [run * n_lane + lane] person most often in that lane of that run, -1 unknown */
    double *waiting_min;         /* [run * n_lane + lane] in the replay: the lane is free, its next task waits for
                                    something; nothing before its first one */
    size_t n_lane;
    bool old_wait_missing;       /* most runs did not keep an `after` between lanes, or a not_before: what they waited
                                    for instead is not known, and counts as work */
    struct wr_arena text;
};

/* A cell without a performer, in a log that has the column, takes the people who hold the task's lanes in that run, if
 * all are known. In a run without clock times no gaps are known, and each task's lead-in is taken to be the median of
 * its lead-ins and gaps in the runs with clock times, if there are any; starts and ends are the replay's. */
WR_MUST_CHECK enum wr_status wr_timing_build(struct wr_timing *timing, const struct wr_run_log *log,
                                             const struct wr_plan *plan, const struct wr_network *net,
                                             struct wr_findings *findings, struct wr_error *err);
/* The same with the plan as it was rehearsed, which may be NULL: what had to wait for what, in which lanes work was
 * done where the log names no crew. WR_E_INPUT if it goes round in a circle. */
WR_MUST_CHECK enum wr_status wr_timing_build_as_rehearsed(struct wr_timing *timing, const struct wr_run_log *log,
                                                          const struct wr_plan *plan, const struct wr_network *net,
                                                          const struct wr_plan *as_rehearsed,
                                                          struct wr_findings *findings, struct wr_error *err);
void wr_timing_release(struct wr_timing *timing);
void wr_timing_check(
    const struct wr_timing *timing); /* WR_BUG_IF an invariant is broken: after each build of one if WR_CHECKED */
static inline const struct wr_cell *wr_timing_cell(const struct wr_timing *t, size_t task, size_t run)
{
    return &t->cell[task * t->n_run + run];
}
/* Is it a duration? Else it is a lower bound, or nothing. */
static inline bool wr_cell_is_timed(const struct wr_cell *c)
{
    return c->state == WR_CELL_DONE && !c->lead_in_unknown;
}
/* Nothing is missing but work that the plan may drop, and that the run skipped. */
static inline bool wr_run_did_its_work(const struct wr_timing_run *run)
{
    return run->n_stopped + run->n_absent + run->n_lost == 0 && run->n_skipped == run->n_left_out;
}
/* Everything done or dropped, and the whole day known: its finish is what it took. */
static inline bool wr_run_is_whole(const struct wr_timing_run *run)
{
    return run->complete && !run->by_minutes;
}
/* Is a run there of which more than minutes is logged, or none at all? */
static inline bool wr_timing_has_clock(const struct wr_timing *t)
{
    for (size_t r = 0; r < t->n_run; r++)
        if (!t->run[r].by_minutes) return true;
    return t->n_run == 0;
}
/* How many rehearsals were complete, as a whole. */
static inline size_t wr_timing_complete(const struct wr_timing *t)
{
    size_t n = 0;

    for (size_t r = 0; r < t->n_run; r++) n += wr_run_is_whole(&t->run[r]);
    return n;
}
static inline double wr_cell_modelled_min(const struct wr_cell *c)
{
    return c->lead_in_min + c->gap_min + c->active_min;
}
/* What was seen of its minutes: all, at least so many, or none; a task begun early can have less than no time. */
static inline double wr_cell_seen_min(const struct wr_cell *c)
{
    bool seen = wr_cell_is_timed(c) || c->state == WR_CELL_STOPPED || c->lead_in_unknown;

    return seen && wr_cell_modelled_min(c) > 0 ? wr_cell_modelled_min(c) : 0;
}
/* Minutes above 0, if only a lower bound. */
static inline bool wr_cell_has_time(const struct wr_cell *c)
{
    return wr_cell_modelled_min(c) > 0 && (wr_cell_is_timed(c) || c->state == WR_CELL_STOPPED);
}
