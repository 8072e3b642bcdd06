/* Rehearsals side by side, their trends, and groups of them compared. The unit is the run: what happens on a day
 * touches all its tasks, so cells of one run are no independent evidence. Everything rests on log(lead-in + gap +
 * active minutes).
 *
 *   comparable   runs that a chain of common done tasks connects; of several such sets the largest. Runs outside it
 *                have sums, but no effect
 *   run effect   of the two-way fit task + run over the done cells; 0 on average; exp - 1 is the pace of its tasks,
 *                each counted alike: four minutes weigh as much in it as two hours, so it says nothing of the time that
 *                the run takes
 *   length       log minutes of a run, over the tasks done in any comparable run, less their mean over the runs that
 *                have a length, so 0 on average as the run effects are; what is missing in the run counts
 *                exp(task + run effect), what was stopped no less than it had taken. What is put in so has no scatter
 *                of its own and the pace of other tasks: a run of which less than WR_LENGTH_LEAST_SEEN of the minutes
 *                were seen has no length. Shorter, longer, slower and faster are said by the length alone
 *   trend        least squares of the run effects, or lengths, on log(order), t with R - 2 degrees of freedom; from
 *                WR_TREND_LEAST_RUNS on
 *   task trend   the same of one task's log minutes, from WR_TREND_LEAST_CELLS done cells on; whether it is told apart
 *                from flat is judged by Holm over the tasks, so that in 95 of 100 campaigns without trend no task is
 *                named
 *   spread       of a run: root mean square of its residuals from task + run effect (here each task weighted by its own
 *                scatter), each in units of its task's own; its trend is that of the logs. Falling: the tasks settle,
 *                whatever the pace of the day
 *   standing out a cell beyond WR_STANDS_OUT_SD sd of what its task in the other runs and the other tasks of its run
 *                let expect, where stopped ones count as at least so long (normal logs, bounded below, by maximum
 *                likelihood); the sd is the task's own, drawn to the pooled one as if by WR_POOLED_WEIGHT further
 *                cells.
 *                A stopped cell stands out, at least so far, if it was already that long
 *   ratio        of group 1 to group 0 = exp(difference of mean run effects, or lengths), interval by t on them (R - 2;
 *                with the trend taken out R - 3); p by permuting whole runs; tasks by max-t on the groupings of all
 *                comparable runs, Holm beside it
 * Groups that follow each other in time cannot be told from learning without taking the trend out: both are given, and
 * the tasks are compared with each task's trend taken out. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include "wetrun/base/error.h"
#include "wetrun/base/memory.h"
#include "wetrun/base/number.h"
#include "wetrun/campaign/run_log.h"
#include "wetrun/stats/grouping.h"
#include "wetrun/timing/timing.h"

#define WR_STANDS_OUT_SD 2.0
#define WR_LENGTH_LEAST_SEEN 0.75
enum { WR_MOST_STANDING_OUT = 32 /* of a run */, WR_POOLED_WEIGHT = 4, WR_TREND_LEAST_CELLS = 4 };
enum { WR_TREND_LEAST_RUNS = 4 }; /* of three the interval has a single degree of freedom: where they happen to lie on a
                                     line it has no width, and one campaign in ten without a trend tells of one */

struct wr_standing_out {
    size_t task;
    double ratio;            /* observed / what task and day led one to expect */
    double minutes;          /* observed - expected */
    double sd;               /* how far out, in sd */
    bool at_least;           /* it was stopped: no less than so much longer than expected */
};

struct wr_compared_run {
    double active_min, lead_in_min, gap_min, hold_min;  /* summed over cells; gap: with the time that may hold what is
                                                           missing */
    double off_plan_min;       /* work that the plan does not have, with its lead-ins, gaps and holds */
    const double *waiting_min; /* [n_lane] borrowed from the timing table */
    struct wr_maybe effect;  /* run effect; unknown if the run cannot be compared */
    struct wr_maybe length, length_seen; /* log; share of the minutes that were seen, known of a comparable run */
    struct wr_maybe spread;  /* 1: as usual; unknown where too few cells say */
    struct wr_standing_out out[WR_MOST_STANDING_OUT]; size_t n_out; /* largest first */
};

struct wr_trend {            /* a line of logs on log(order) */
    bool known;              /* false: too few runs */
    size_t n_run;            /* that it rests on, or would */
    double slope_log;        /* change of the log per unit of log order */
    double lo, hi;           /* 90 % */
    double per_doubling, per_doubling_lo, per_doubling_hi; /* exp(slope log 2) - 1 */
    double level_log;        /* at order 1 on the line: run effect, length, log minutes or log spread */
};
/* -1: its interval lies below 0, 1: above, 0: neither, or too few runs. An end that reads as 0 % does not lie on one
 * side of it. */
int wr_trend_shown(const struct wr_trend *trend);

struct wr_task_trend {
    struct wr_trend line;    /* n_run: done cells */
    struct wr_maybe p, holm_p; /* two-sided, of no trend; unknown where the line is */
    bool told;               /* apart from flat: holm_p at most WR_TREND_TOLD_P */
};
#define WR_TREND_TOLD_P 0.05

struct wr_group_task {
    struct wr_task_comparison test;
    struct wr_maybe ratio;
    bool told;               /* the groups differ in it, all tasks and all comparisons looked at together */
};
#define WR_GROUP_TOLD_P 0.05 /* on max-t p times the number of comparisons */

enum wr_compare_reason { WR_COMPARE_DONE, WR_COMPARE_ONE_GROUP, WR_COMPARE_TOO_FEW_RUNS, WR_COMPARE_NOT_CONNECTED };

struct wr_group_ratio {      /* by the pace of the tasks, each counted alike, or by the length */
    enum wr_compare_reason reason;      /* other than DONE: the numbers below in_order do not exist */
    size_t n_run[2];                    /* that have the one or the other */
    bool in_order;                      /* every run of one group came before every run of the other */
    double ratio, lo, hi;               /* 90 % */
    bool has_detrended;
    double detrended_ratio, detrended_lo, detrended_hi;
    struct wr_maybe detrended_p;        /* by t */
    struct wr_permutation permutation;
    struct wr_maybe holm_p;             /* of permutation.p_two_sided over the comparisons, if there are several */
    double smallest_p;                  /* that it can reach, all comparisons looked at together */
};

struct wr_group_comparison { /* group 1 against group 0 */
    const char *label[2];
    struct wr_group_ratio pace, length;
    bool has_tasks;                     /* false: no task can be compared */
    struct wr_group_task *task;         /* [n_task]; each task's trend is taken out if the pace is in_order and
                                           has_detrended */
    double tasks_smallest_holm;         /* comparable tasks x smallest p, at most 1: below it Holm cannot reach */
};

struct wr_comparison { /* start as {0} */
    size_t n_run, n_task, n_lane;
    struct wr_compared_run *run;
    struct wr_trend trend, length_trend, spread_trend;
    size_t n_length_unseen;              /* comparable runs without a length */
    struct wr_trend apart_trend;         /* of length - run effect, in which the days' pace cancels: above 0, long
                                            tasks get shorter less than short ones */
    struct wr_maybe apart_p;             /* two-sided, of no such trend */
    struct wr_task_trend *task_trend;    /* [n_task] */
    size_t n_task_trend, n_task_told;    /* tasks whose line is known; told apart from flat */
    size_t n_without_group;              /* runs that have no entry in the column, or people not known */
    struct wr_group_comparison *group; size_t n_group; /* none unless groups were asked for */
    struct wr_arena text;
};

enum wr_compare_by { WR_BY_NOTHING, WR_BY_ATTRIBUTE, WR_BY_PERFORMER, WR_BY_SPLIT };
struct wr_compare_options {
    enum wr_compare_by by;
    const char *column;      /* BY_ATTRIBUTE */
    size_t split;            /* BY_SPLIT: first run of the second group */
    uint64_t seed;
};

/* Two groups are compared with each other, of more each with all others. A run's group by performer is its line-up,
 * lane by lane; lanes that never name anybody do not count, and a run with a nameless person in another lane has no
 * group.
 *   WR_E_USAGE    no such column, or a split that leaves a group empty
 *   WR_E_TOO_FEW  the column, or the line-up, is empty in every run
 * Everything else that cannot be told is a reason. */
WR_MUST_CHECK enum wr_status wr_compare(struct wr_comparison *c, const struct wr_run_log *log,
                                        const struct wr_timing *timing, const struct wr_compare_options *options,
                                        struct wr_error *err);
void wr_comparison_release(struct wr_comparison *c);
