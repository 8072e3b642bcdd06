/* criteria.csv: the thresholds of a readiness review. `criterion,threshold`; a threshold of `off` leaves a criterion
 * out.
 *
 * The evidence for a criterion is met, not met, or not enough. The defaults and why:
 *   complete-runs   5, fewer are not met: it is a count. Where fewer than 4 are asked for, that many are not enough
 *                   evidence: the spread between runs is hardly known
 *   task-done       every task completed 3 times; one time fewer, but at least twice, is not enough evidence, less not
 *                   met
 *   last-complete   the last 2 rehearsals complete; with fewer rehearsals not enough evidence
 *   overrun         met if the upper point of the overrun probability (95 %, or as asked) is within 1 - confidence; not
 *                   met if the stated probability is beyond it; between: not enough evidence. With fewer than 4
 *                   complete rehearsals never met, and not met only if even the lower point is beyond it. Not enough
 *                   evidence when the sampler's chains disagree, when nothing was rehearsed, when a task took no
 *                   time whenever it was done, when a history has the kinds of less than half of the work, or when
 *                   parameters are taken as known
 *   other-limits    the same of every other limit of limits.csv that has a confidence: met if all are, not met if one
 *                   is not. Left out if there is none
 *   planned-missed  fewer than 10 % of the tasks with a planned time likelier than not to be missed, and
 *   planned-path    none of those on the longest path in more than 20 % of the trials (judgement, not measured). Both:
 *                   not enough evidence without a planned time or a rehearsal. They and the limits: nor for people of
 *                   whom the rehearsals tell nothing (--people)
 *   unlogged        holds, lead-ins and gaps below 10 % of the tasks' time with them, complete rehearsals (judgement);
 *                   with fewer than 4 of them never met, for one may be without any hold by chance. Holes of the log,
 *                   work that took an unknown time, are counted beside it and not in it
 *   record          backtest, 80 % intervals, each rehearsal forecast from all others and from those before it only:
 *                   not met if a sound forecast would have so few hits with probability below 5 % in either record of 5
 *                   forecasts or more; fewer than 5 from all others: not enough evidence. Two looks (decide/backtest.h)
 *   kept            the last 3 rehearsals kept to the plan: no contradiction between plan and log is open; with
 *                   less than half of the tasks logged in one of them, or without times of begin and end, there is not
 *                   enough evidence */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include "wetrun/base/error.h"
#include "wetrun/campaign/findings.h"

enum wr_criterion_kind { WR_CRITERION_COUNT, WR_CRITERION_SHARE }; /* a count is a whole number */

/* id, name in the file, kind, default threshold, least, most, what is asked of the threshold (its meaning) */
#define WR_CRITERION_TABLE(ROW)                                                                                        \
    ROW(WR_CRIT_COMPLETE_RUNS, "complete-runs", WR_CRITERION_COUNT, 5, 1, 1000, "complete rehearsals, at least")       \
    ROW(WR_CRIT_TASK_DONE, "task-done", WR_CRITERION_COUNT, 3, 1, 1000,                                                \
        "times that every task was completed, at least")                                                               \
    ROW(WR_CRIT_LAST_COMPLETE, "last-complete", WR_CRITERION_COUNT, 2, 1, 1000, "last rehearsals that are complete")   \
    ROW(WR_CRIT_OVERRUN, "overrun", WR_CRITERION_SHARE, 0.95, 0.5, 0.999,                                              \
        "point of the overrun probability that must be inside")                                                        \
    ROW(WR_CRIT_OTHER_LIMITS, "other-limits", WR_CRITERION_SHARE, 0.95, 0.5, 0.999,                                    \
        "the same point for every other limit")                                                                        \
    ROW(WR_CRIT_PLANNED, "planned-missed", WR_CRITERION_SHARE, 0.10, 0, 1,                                             \
        "share of tasks likelier than not over their planned time, below")                                             \
    ROW(WR_CRIT_PLANNED_PATH, "planned-path", WR_CRITERION_SHARE, 0.20, 0, 1,                                          \
        "none of those on the longest path in more than this share")                                                   \
    ROW(WR_CRIT_UNLOGGED, "unlogged", WR_CRITERION_SHARE, 0.10, 0, 1, "share of holds and unlogged time, below")       \
    ROW(WR_CRIT_RECORD, "record", WR_CRITERION_SHARE, 0.05, 0.0001, 0.5,                                               \
        "the forecast's record: chance of so few hits if it were sound, at least")                                     \
    ROW(WR_CRIT_KEPT, "kept", WR_CRITERION_COUNT, 3, 1, 1000, "last rehearsals that kept to the plan")

enum wr_criterion_id {
#define WR_CRITERION_ENUM(id, name, kind, threshold, least, most, meaning) id,
    WR_CRITERION_TABLE(WR_CRITERION_ENUM)
#undef WR_CRITERION_ENUM
    WR_N_CRITERION
};

struct wr_criteria { /* start with wr_criteria_default */
    bool on[WR_N_CRITERION];
    double threshold[WR_N_CRITERION];
};
struct wr_criteria wr_criteria_default(void);
const char *wr_criterion_name(enum wr_criterion_id id);
const char *wr_criterion_meaning(enum wr_criterion_id id);

/* WR_E_USAGE unless the threshold is within the criterion's bounds, and whole if it is a count. */
WR_MUST_CHECK enum wr_status wr_criteria_set(struct wr_criteria *criteria, enum wr_criterion_id id, double threshold,
                                             struct wr_error *err);

/* Changes what the bytes name; findings call them name. WR_E_INPUT, with findings, for an unknown criterion, one named
 * twice, or a threshold that is neither `off` nor as wr_criteria_set takes it; *criteria is then as it was. */
WR_MUST_CHECK enum wr_status wr_criteria_read_bytes(struct wr_criteria *criteria, const char *name, const char *bytes,
                                                    size_t n, struct wr_findings *findings, struct wr_error *err);
