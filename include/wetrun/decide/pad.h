/* Padding: how much time to add, and where, so that the timeline is kept with a wanted confidence c.
 *
 * Every number has one definition:
 *   median timeline   forward pass with every task at its predictive median; its length is median_timeline_min
 *   finish quantile   the c-quantile of the simulated finish; reserve = finish quantile - median timeline;
 *                     factor = finish quantile / median timeline
 *   checkpoint        a joint task (the moment at which all its lanes are ready for it), and the finish
 *   checkpoint time   the c-quantile of that moment
 *   stretch           the tasks whose first checkpoint ahead is the same one
 *   task pad          q(p) - q(0.5) of the task's own predictive distribution (run effect included), p the one
 *                     percentile common to its stretch: begun at the checkpoint before, the padded stretch ends at the
 *                     checkpoint's time, so the padded timeline goes through the quantiles and nothing is padded twice
 *   waiting lane      a task that lies on the longest path to its checkpoint in fewer than 5 % of the trials gets pad
 *                     0; the wait planned before the checkpoint is shown instead
 *   all together      the common level at which the checkpoint times must be set so that all of them are met with c
 *   clock limit       what it counts on a timeline: from the begin of its first task to the end of its last. The padded
 *                     timeline is the one whose checkpoints begin at their times and whose tasks take median and pad
 *   padded twice      the timeline with every task at its own c-quantile, and the probability it really is kept with
 * Monte Carlo errors (mc_error) are sd over seeds: what the finite numbers of draws and of trials add together.
 * Quantiles of simulated values are by linear interpolation of the order statistics, (n - 1)p + 1
 * (Hyndman and Fan 1996, definition 7; from memory). */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include "wetrun/base/error.h"
#include "wetrun/base/number.h"
#include "wetrun/decide/basis.h"
#include "wetrun/sim/scenarios.h"

struct wr_pad_task {
    double median_min;          /* of the task's own time if it is done, over all trials */
    double pad_mc_error_min;    /* of pad_min */
    double pad_min, factor;     /* factor = (median + pad) / median; 1 if the median is 0 */
    double own_quantile_min;    /* the task's own c-quantile: not for adding up */
    size_t stretch;             /* index into wr_pad.checkpoint */
    double on_longest_path;     /* share of trials on the longest path to its checkpoint */
    bool waits;                 /* share below WR_PAD_WAITS: pad 0 */
    double planned_wait_min;    /* of the last task before the checkpoint in a lane: wait for the others there; else
                                   0 */
    struct wr_maybe planned_min, prob_planned_enough; /* P(task's own time <= planned); unknown without a planned
                                                         time */
    bool is_fixed;              /* it takes the same time on every day */
    double dropped;             /* share of trials in which it is left out */
    bool not_in_timeline;       /* the padded timeline reaches it after its drop time */
};

struct wr_pad_checkpoint {
    size_t task;                /* the joint task, or SIZE_MAX: the finish */
    double median_timeline_min; /* when the median timeline gets there */
    double time_min;            /* checkpoint time at c */
    double percentile;          /* common task percentile of the stretch that ends here, in [0.5, 1) */
    size_t before;              /* index of the checkpoint before: the latest of those that lead to it; SIZE_MAX:
                                   none */
    double stretch_reserve_min; /* time between this checkpoint and the one before, less the same of the median
                                   timeline */
    double prob_kept;           /* share of trials ready by time_min: c but for ties and for a stretch already at 0.5 */
    double together_min;        /* checkpoint time at the level that keeps all checkpoints together */
    double time_mc_error_min, together_mc_error_min; /* of time_min and together_min */
};

struct wr_pad_clock {           /* a limit that runs from the begin of one task to the end of another */
    size_t limit;               /* of the basis */
    double median_timeline_min, padded_min; /* what the median and the padded timeline take on it */
    unsigned char *on_way;      /* [n_task] 1: waits for its first task and is waited for by its last, those included */
};

#define WR_PAD_WAITS 0.05

struct wr_pad { /* start as {0} */
    double confidence;
    size_t n_trial, n_task, n_checkpoint;
    double median_timeline_min, median_finish_min, finish_quantile_min, reserve_min, factor;
    double finish_mc_error_min, reserve_mc_error_min, factor_mc_error; /* of finish_quantile_min … */
    double equal_percentile;    /* one percentile for all tasks whose timeline ends at the finish quantile */
    struct wr_pad_task *task;   /* [n_task] in plan order */
    struct wr_pad_checkpoint *checkpoint; /* [n_checkpoint] in network order, the finish last */
    struct wr_pad_clock *clock; size_t n_clock; /* that the padded timeline has a reading of */
    double prob_all_kept;       /* share of trials that keep every checkpoint at c */
    double together_level, together_finish_min;
    double twice_min, twice_reserve_min, prob_inside_twice; /* padded twice */
    double all_done_min;        /* finish quantile were nothing dropped, however late */
};

/* Reads net, durations, limits and plan of the basis; plan NULL: no planned times. WR_E_DOMAIN: confidence not within
 * (0.5, 1); WR_E_USAGE: fewer than 100 trials; WR_E_TOO_FEW: fewer than four of them beyond the confidence. */
WR_MUST_CHECK enum wr_status wr_pad_make(struct wr_pad *pad, const struct wr_basis *basis,
                                         const struct wr_scenarios *scenarios, double confidence, unsigned n_thread,
                                         struct wr_error *err);
/* Can there be padding for that confidence? Its status if not. */
WR_MUST_CHECK enum wr_status wr_pad_takes(double confidence, struct wr_error *err);
void wr_pad_release(struct wr_pad *pad);
