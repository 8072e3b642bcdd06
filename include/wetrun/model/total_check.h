/* A forecast without a model, to hold the model's against: the runs' totals, replayed through the plan with holds left
 * out, holes filled and nothing dropped, and a Student t on their logarithms (stats/log_sample.h). Nothing is dropped,
 * for rules would take work out of the slow early runs that the run to be forecast usually does. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include "wetrun/base/str.h"
#include "wetrun/campaign/findings.h"
#include "wetrun/campaign/plan.h"
#include "wetrun/network/network.h"
#include "wetrun/stats/interval.h"
#include "wetrun/stats/log_sample.h"
#include "wetrun/timing/timing.h"

/* What is filled in is alike in every run, so totals scatter too little by about its share: a tenth is small beside
 * what 3 to 12 runs leave open of their scatter (a half to a fifth of it). */
#define WR_MOST_FILLED 0.1
enum { WR_FEWEST_TOTALS = 3 }; /* Student's t on two is so wide, or by luck so narrow, that it says nothing */

struct wr_total_check { /* start as {0} */
    size_t n_run;            /* of the timing table */
    double *total_min;       /* [n_run] finish of the replay; look at counts first */
    double *order;           /* [n_run] place in time */
    size_t *n_filled;        /* [n_run] cells that were not done, or whose time is not known */
    double *least_min;       /* [n_run] as logged, holds left out: what was not done would add to it */
    unsigned char *counts;   /* [n_run] 1: in the sample, for at most WR_MOST_FILLED of its minutes are filled in */
    size_t n_never;          /* tasks that no run has timed: their filling is not what they usually take */
    bool all_done;           /* the plan has drop rules, and they were lifted */
    size_t n_counted;
    struct wr_log_sample sample; /* totals that count; n_counted 0: empty */
};

/* A skipped, absent or lost cell is filled with the median of the task's done cells, a stopped one and one whose
 * lead-in is not known with the larger of that and its bound. No done cell: the planned time, else the known median,
 * else the likeliest of three points, else the largest bound, else 0, and then the run does not count. Quantiles of the
 * next total, from WR_FEWEST_TOTALS on: wr_log_predictive_quantile(&check.sample, prob). */
void wr_total_check_make(struct wr_total_check *check, const struct wr_plan *plan, const struct wr_network *net,
                         const struct wr_timing *timing);
/* Runs that do not count and are known to have taken longer than this: the totals are then the shorter of the runs. The
 * longest of them in *longest_min. */
size_t wr_total_check_longer(const struct wr_total_check *check, double minutes, double *longest_min);
void wr_total_check_release(struct wr_total_check *check);

/* The model's forecast of the finish of the same run, nothing dropped, in numbers. */
struct wr_total_forecast {
    double median_min, sd_log; /* of the finish; sd of its logarithm, all uncertainty included */
    double slope_log;          /* learning slope that first brings the totals to target_order; 0: left as they are */
    double target_order;
    bool doubted;              /* that slope is, for reasons of its own */
    bool shifted;              /* by what the rehearsals had not: other people, an allowance for a gap */
    bool as_rehearsed;         /* beside one that is shifted or carried over: the same without that */
};
struct wr_total_disagreement {
    bool known;              /* false: too few runs count, or they do not differ */
    size_t n;                /* totals that were compared */
    bool moved, all_done, as_rehearsed; /* slope_log was not 0; see above */
    double log_ratio;        /* log of forecast median over the totals' centre */
    double p_centre;         /* two-sided chance of a centre so far off */
    double p_own;            /* the same by the scatter of the totals alone, WR_LEAST_SCATTER at least */
    double p_spread;         /* chance of totals scattered so much more than forecast (a wider forecast is no fault:
                                it also holds what is not known) */
    double slope_log;        /* by which they were moved */
    struct wr_maybe own_slope_log; /* of a line through the totals as they were; unknown without scatter about it */
    struct wr_interval own_slope;  /* 90 % */
    struct wr_interval own_middle_min; /* 90 %, of the middle at target_order by that line */
    bool unshown;            /* moved by more than the totals show: that they agree says nothing */
    bool far;                /* p_own below 1 %, and off by WR_FAR_TOTALS or more: a finding "totals-far" was added */
    bool beyond_chance;      /* any of them below 1 %: that one, or else a finding "totals-disagree" */
};
/* Days of four rehearsals that happen to be alike do not show that days are. */
#define WR_LEAST_SCATTER 0.05
#define WR_FAR_TOTALS 0.1
/* With n totals, mean m and sd s of their (slope-adjusted) logs, and f = sd_log / sqrt(1 + 1/n):
 *   centre  (log median - m) sqrt(n) / max(s, f) against Student t(n - 1)
 *   own     (log median - m) sqrt(n) / max(s, WR_LEAST_SCATTER) against the same: a forecast that is drawn away from
 *           what all runs took, by planned times that cannot be meant for one, foresees days so different that to it
 *           they are no surprise. None where it is shifted, or where a run that does not count took longer than it says
 *   spread  (n - 1) s^2 / f^2 against chi-square(n - 1), upper tail
 * Moved along the slope in question, totals agree with it whatever it is. So a line through them as they were, logs on
 * log(order), is held against the slope too: unshown if the slope falls by more than its 90 % interval does, or if the
 * forecast's middle lies below what this line allows at target_order and below what their mean, unmoved, does (90 %
 * each). A slope that falls by less makes the forecast too long, which the prior does in every campaign that learns
 * much. */
struct wr_total_disagreement wr_total_check_compare(const struct wr_total_check *check,
                                                    const struct wr_total_forecast *forecast,
                                                    struct wr_findings *findings);
/* log_ratio of that alone; unknown where too few runs count. */
struct wr_maybe wr_total_check_above(const struct wr_total_check *check, const struct wr_total_forecast *forecast);
/* "the forecast's middle lies 6 % above that of the 9 replayed totals, …": what was compared, of a known one. */
void wr_total_disagreement_words(const struct wr_total_disagreement *d, struct wr_str *out);
