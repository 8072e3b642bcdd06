/* The forecast: trials over network x durations. Deterministic for a seed, whatever the number of threads. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include "wetrun/base/error.h"
#include "wetrun/model/durations.h"
#include "wetrun/network/network.h"
#include "wetrun/sim/limit.h"

/* Places in quantile_min[], and in lens_min[], the charts' spread mark. */
enum { WR_Q2_5, WR_Q5, WR_Q10, WR_Q25, WR_Q50, WR_Q75, WR_Q80, WR_Q90, WR_Q95, WR_Q97_5, WR_Q99, WR_N_QUANTILE };
enum { WR_LENS2_5, WR_LENS10, WR_LENS25, WR_LENS50, WR_LENS75, WR_LENS90, WR_LENS97_5, WR_N_LENS };
enum { WR_USUAL_TRIALS = 1 << 18 };
extern const double wr_quantile_prob[WR_N_QUANTILE], wr_lens_prob[WR_N_LENS];

struct wr_sim_options {
    size_t n_trial;        /* plain trials; 0: WR_USUAL_TRIALS, and quasi-random points for the probabilities doubled
                              until their part in the error of the first is at most a fortieth of its interval's
                              width */
    double precision;      /* 0, or the points' part in the error of every probability is to be at most half of it */
    uint64_t seed;
    unsigned n_thread;
    const struct wr_sim_limit *limit; size_t n_limit; /* the first is the excursion limit; may be none */
    bool same_points;      /* wr_forecast_over with per_draw 8: all draws meet the same points, half the strata, for
                              less time where few draws tell less than few points */
    void (*progress)(void *arg, double share_done);   /* NULL: none; called from the calling thread only */
    void *progress_arg;
};

struct wr_probability {    /* a probability over the posterior */
    double mean;           /* posterior predictive: the stated probability */
    double lo, hi;         /* 5 and 95 % points over posterior draws of the conditional probability, or the
                              mean where that lies beyond */
    double mc_error;       /* sd of mean over seeds: from the finite number of draws and of points, both together */
    double point_error;    /* the points' part in it */
    double lo_mc_error, hi_mc_error; /* the same of the ends */
    bool certain;          /* no day is like another by chance: what is 0 or 1 is so of none or of all */
    bool no_interval;      /* nothing is unknown, the draws do not differ: lo = hi = mean is not to be shown */
};

struct wr_task_outlook {
    /* of the task's own time if it is done, over all trials: those that come to it before its drop time are fast */
    double median_min, mean_min, sd_min, lens_min[WR_N_LENS], p80_min, p95_min;
    double start_min[WR_N_LENS], end_min[WR_N_LENS]; /* dropped trials left out */
    double on_longest_path;  /* share of trials */
    double variance_share;   /* squared correlation of the task's own score with the finish (DEVELOPERS.md) */
    double dropped;          /* share of trials */
};
/* Whether enough days do a task for its minutes to be shown: else it is said to be left out. */
static inline bool wr_is_done_enough(double dropped)
{
    return 1 - dropped >= 0.01;
}
/* Whether mean and sd say something of these times. Where they are far more than the middle and the 95 % point let
 * expect (1 of a normal, 1.4 of a lognormal with an sd of 1.5 in the log), a few days far out make them up, and
 * another seed has others: within 1.5 they stay within a quarter over seeds, beyond they differ by any factor. */
static inline bool wr_sd_says(double sd_min, double median_min, double p95_min)
{
    /* 1e-3: too little to be shown. What is no number is left to whoever looks for such */
    return !(sd_min > 1.5 * (p95_min - median_min) / 1.6448536269514722 + 1e-3);
}
/* Medians over trials; waiting: between the moment at which its first task may begin and its end. */
struct wr_lane_outlook { double busy_min, waiting_min, finish_p50_min; };
enum { WR_BESIDE_MOST = 3 }; /* answers beside the first (decide/beside.h) */
/* What a second answer assumes that nothing in the campaign can settle (decide/beside.h). */
enum wr_beside_kind {
    WR_BESIDE_GAP_ALLOWED,       /* something was forgotten over a long gap: percent, as --gap-allowance has it */
    WR_BESIDE_NOTHING_FORGOTTEN, /* where an allowance was given: without it */
    WR_BESIDE_JUDGED_SHORT,      /* judges are short by percent in common, and less sure than they say (durations.h) */
    WR_BESIDE_TOGETHER           /* the first, with its percent, and the last */
};
struct wr_second {           /* {0}: there is none */
    bool known;
    enum wr_beside_kind kind;
    double percent;
    struct wr_probability over; /* under that assumption; of several the one whose interval reaches furthest */
    bool before_day;         /* during the day: of the day before it, since too few such days agree with the report */
};
struct wr_limit_outlook {
    struct wr_probability over;
    struct wr_second second; /* a worse answer that may be as right: no limit is kept that does not bear it
                                (decide/verdict.h). wr_beside_to_limits puts it there */
};

struct wr_forecast { /* start as {0} */
    size_t n_trial, n_task, n_lane, n_limit, n_draw; /* n_trial: plain trials, that all but the probabilities come
                                                        from */
    size_t n_point;              /* quasi-random points that the probabilities come from */
    double precision;            /* the options' */
    bool nothing_varies;         /* every task takes the same time on every day (wr_durations_are_fixed) */
    bool nothing_unknown;        /* no parameter differs between draws: there are no intervals, their ends are the
                                    values */
    double mean_min, sd_min, quantile_min[WR_N_QUANTILE], lens_min[WR_N_LENS];
    double mean_mc_error_min, quantile_mc_error_min[WR_N_QUANTILE]; /* sd over seeds: draws and trials together */
    double quantile_lo_min[WR_N_QUANTILE], quantile_hi_min[WR_N_QUANTILE]; /* 5 and 95 % points over posterior draws
                                    of the quantile given the parameters, or quantile_min where that lies beyond */
    double *hundredth_min;       /* [100] the (i + 0.5)/100 quantiles of the finish */
    double half_over_min;        /* half of the finishes beyond the first limit come by this, if it is one on when all
                                    is done: the quantile at 1 - over / 2; 0 without a limit */
    struct wr_limit_outlook *limit; /* [n_limit] */
    struct wr_probability any_over;
    struct wr_task_outlook *task;   /* [n_task] in plan order */
    struct wr_lane_outlook *lane;   /* [n_lane] */
    double run_effect_share, people_share, parameter_share;
    double *draw_over;           /* [limit * n_draw + draw] probability of passing it given the draw's parameters */
    double *curve_limit_min; /* in equal steps, or by a constant factor where the finish has a long tail */
    double *curve_over;
    double *curve_lo, *curve_hi;
    size_t n_curve; /* P(over) against the limit, with its interval as of wr_probability */
    const struct wr_forecast *worse[WR_BESIDE_MOST]; /* [n_worse] borrowed: the worse answers, which may be as right;
                                                        the range of the finish spans them (decide/limit_needed.h).
                                                        wr_beside_to_limits puts them there */
    size_t n_worse;
    struct wr_second any_second; /* the worst of them on any_over */
};
WR_MUST_CHECK enum wr_status wr_forecast_run(struct wr_forecast *f, const struct wr_network *net,
                                             const struct wr_durations *durations, const struct wr_sim_options *options,
                                             struct wr_error *err);
void wr_forecast_release(struct wr_forecast *f);
/* The largest Monte Carlo error of its probabilities of passing a limit, and the largest part that draws have in one;
 * 0 without a limit. */
double wr_forecast_worst_error(const struct wr_forecast *f, double *draws_part);

/* The probability of passing options->limit[0] if it allowed minutes[i], for each of n: what wr_forecast_run states of
 * its first limit with that number in its place and the other limits as they are, to the bit. over[n]. */
WR_MUST_CHECK enum wr_status wr_forecast_limits(struct wr_probability *over, const double *minutes, size_t n,
                                                const struct wr_network *net, const struct wr_durations *durations,
                                                const struct wr_sim_options *options, struct wr_error *err);

/* The probability of passing each of options->limit alone, over[n_limit]; with per_draw 0 that of wr_forecast_run with
 * these limits, from the same points. draw_over[limit * durations->n_draw + draw]: per posterior draw. per_draw:
 * lattice points of one of the 16 copies per draw, a multiple of 8, for many small questions. Of the options, progress
 * and n_trial are not looked at. */
WR_MUST_CHECK enum wr_status wr_forecast_over(double *draw_over, struct wr_probability *over,
                                              const struct wr_network *net, const struct wr_durations *durations,
                                              const struct wr_sim_options *options, size_t per_draw,
                                              struct wr_error *err);
