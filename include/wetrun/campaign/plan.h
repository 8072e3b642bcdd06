/* The timeline (plan.csv): one record per task, in row order, which is the order within each lane. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include "wetrun/base/str.h"
#include "wetrun/base/error.h"
#include "wetrun/base/memory.h"
#include "wetrun/base/number.h"
#include "wetrun/campaign/aliases.h"
#include "wetrun/campaign/findings.h"
#include "wetrun/campaign/names.h"
#include "wetrun/campaign/run_log.h"
#include "wetrun/campaign/written.h"

enum { WR_MAX_LANES = 32 };

struct wr_plan_task {
    const char *id;                    /* unique */
    const char *title;                 /* the id if the plan gives none */
    const char *kind;                  /* "" if none */
    uint32_t lanes;                    /* bit l set: lane l takes part; at least one after wr_plan_check_against_log */
    uint8_t lane_order[WR_MAX_LANES];  /* the lanes as written in crew: [n_lane]; performers are named in this order */
    size_t n_lane;
    size_t *after; size_t n_after;     /* indices of further predecessors (finish to start) */
    struct wr_maybe planned_min;
    struct wr_maybe low_min, likely_min, high_min;   /* all three or none; low <= likely <= high, high > 0 */
    struct wr_maybe median_min, sdlog; /* both or none; median > 0, sdlog >= 0 */
    enum wr_time_form said_form;       /* how wr_plan_said was written: with a unit or as h:mm it is meant */
    struct wr_maybe drop_after_min;    /* dropped when its start would be later than this */
    struct wr_maybe drop_after_as_clock_min; /* what that is if its colon was lost, as of a limit */
    struct wr_maybe not_before_min;
    size_t line;                       /* 0: derived from the log */
};

struct wr_plan { /* start as {0} */
    const char *file;                  /* NULL: derived from the log */
    const char **lane; size_t n_lane, room_lane; /* names, in order of first appearance */
    struct wr_plan_task *task; size_t n_task, room_task;
    struct wr_arena text;
    struct wr_names ids;               /* of the tasks; a plan made by other means may leave it empty */
    const struct wr_aliases *aliases;  /* borrowed, set before reading; NULL: none */
    bool keep_names;                   /* set before reading: names that differ in case or blanks only are two */
};

/* Reads plan.csv. Every error (unknown predecessor, duplicate task, cycle, bad number …) becomes a finding with its
 * line and column; WR_E_INPUT if there was any, with the first in *err. A task may come without a crew: its lanes are
 * then 0 until wr_plan_check_against_log. Either way *plan is then to be released. */
WR_MUST_CHECK enum wr_status wr_plan_read(struct wr_plan *plan, const char *path, struct wr_findings *findings,
                                          struct wr_error *err);
/* The same from memory, under the name that findings shall give it. */
WR_MUST_CHECK enum wr_status wr_plan_read_bytes(struct wr_plan *plan, const char *name, const char *bytes, size_t n,
                                                struct wr_findings *findings, struct wr_error *err);
/* Holds a plan that was read against the log, which may be NULL: there is a plan alone. Gives a task without a crew
 * the lanes that did it in most runs. WR_E_INPUT, with a finding for each, if a task has no crew, if a task has
 * neither done or stopped rows, nor three points, nor a known distribution, nor a planned time, or if the lanes from
 * the log make a cycle. Tasks and lanes of the log that the plan does not know are warnings, and so is a task that
 * other lanes did than the plan says. */
WR_MUST_CHECK enum wr_status wr_plan_check_against_log(struct wr_plan *plan, const struct wr_run_log *log,
                                                       struct wr_findings *findings, struct wr_error *err);
/* The same of the plan that the runs followed, where what is forecast is another, `now`: a task that only `now` has is
 * a note, and not taken for a slip. */
WR_MUST_CHECK enum wr_status wr_plan_check_as_rehearsed(struct wr_plan *rehearsed, const struct wr_plan *now,
                                                        const struct wr_run_log *log, struct wr_findings *findings,
                                                        struct wr_error *err);
/* Lanes from the crew column (those that did a task in most runs), order from the median start over runs, else of
 * first appearance in the log; a note says that the plan was derived. WR_E_INPUT if no row of a task names a
 * crew. */
WR_MUST_CHECK enum wr_status wr_plan_derive(struct wr_plan *plan, const struct wr_run_log *log,
                                            struct wr_findings *findings, struct wr_error *err);
/* plan.csv text that wr_plan_read takes back unchanged, all columns, for editing. */
void wr_plan_write(const struct wr_plan *plan, struct wr_str *out);
static inline bool wr_plan_drops(const struct wr_plan *plan) /* Is there work that it may drop? */
{
    bool drops = false;

    for (size_t k = 0; k < plan->n_task; k++) drops |= plan->task[k].drop_after_min.known;
    return drops;
}
/* What is said beforehand of how long it takes: what is known from elsewhere, else judged, else planned. */
static inline const struct wr_maybe *wr_plan_said(const struct wr_plan_task *task)
{
    return task->median_min.known ? &task->median_min : task->likely_min.known ? &task->likely_min : &task->planned_min;
}
/* Index of the task with this id, or SIZE_MAX. */
size_t wr_plan_find(const struct wr_plan *plan, const char *id);
size_t wr_plan_find_lane(const struct wr_plan *plan, const char *name);
/* The task or lane that a text means: by names.csv; by its name; else the only one that is the same but for case and
 * blanks; else, of a task, the only title that is. SIZE_MAX if there is none. *spelling (may be NULL) says how. */
size_t wr_plan_resolve(const struct wr_plan *plan, const char *text, enum wr_spelling *spelling);
size_t wr_plan_resolve_lane(const struct wr_plan *plan, const char *text, enum wr_spelling *spelling);
/* Adds "the plan has no task 'EGRES' (did you mean 'EGRESS'?)". */
void wr_plan_say_no_task(const struct wr_plan *plan, const char *text, struct wr_str *out);
void wr_plan_say_no_lane(const struct wr_plan *plan, const char *text, struct wr_str *out);
/* The lanes that a crew text of the log names, in its order: order[WR_MAX_LANES] is filled, *lanes is their set.
 * Returns how many; 0 if it is empty, malformed, or names a lane that the plan does not have. */
size_t wr_plan_crew_lanes(const struct wr_plan *plan, const char *crew, uint8_t *order, uint32_t *lanes);
/* Doubts ("lane-unlogged") lanes of a plan that was read, which no row of the log has though it has others of them. */
void wr_plan_find_odd_lanes(const struct wr_plan *plan, const struct wr_run_log *log, struct wr_findings *findings);
void wr_plan_release(struct wr_plan *plan);
