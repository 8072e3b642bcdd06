/* The forecast held to account: every complete rehearsal's finish against a forecast that had not seen it.
 *
 *   leave one out   the model fitted to all other rehearsals; the run's own place in time and its own line-up
 *   predecessors    fitted to the rehearsals before it only, at least WR_BACKTEST_LEAST_BEFORE of them
 * Rehearsals that the model leaves out (wr_run_is_modelled) are neither forecast nor forecast from.
 * What happened is the run's own times through the plan that is forecast (by_plan_min), without holds; what was
 * forecast is the work that it did (what it skipped and the plan may drop left out, and nothing else dropped: a pool
 * run may finish work that the excursion would leave out).
 * rank = share of the simulated finishes strictly below what happened. CRPS in minutes (Gneiting and
 * Raftery 2007): smaller is better, for a one-number forecast it is the absolute error. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include "wetrun/base/error.h"
#include "wetrun/decide/basis.h"

enum { WR_BACKTEST_LEAST_OTHERS = 2, WR_BACKTEST_LEAST_BEFORE = 3, WR_BACKTEST_FEWEST = 5 };
#define WR_BACKTEST_LEVEL 0.05 /* a sound forecast has so few hits more rarely than this */

struct wr_backtest_run {
    size_t run;
    bool forecast_made;              /* false: too few other rehearsals */
    double actual_min;
    double lens_min[WR_N_LENS];      /* of the forecast: 2.5 10 25 50 75 90 97.5 % */
    double rank, crps_min;
    bool inside80, inside95;
};

struct wr_backtest_record {          /* all runs, one way of forecasting */
    struct wr_backtest_run *run; size_t n_run; /* complete modelled runs, in their order */
    size_t n_forecast, n_inside80, n_inside95;
    double coverage80, coverage95, crps_min;   /* means; of no meaning if n_forecast is 0 */
    size_t expected_least80;         /* a sound forecast has so many or more inside its 80 % interval with chance 0.9 or
                                        more */
    double prob_expected80;          /* the chance of that, which is at least 0.9: counts come in steps */
    double prob_so_few80;            /* binomial probability of n_inside80 or fewer for a sound forecast */
};

/* The one rule on a record: it speaks against the forecast with WR_BACKTEST_FEWEST forecasts or more of which a sound
 * one has so few inside their 80 % bands with a chance below `level`. A forecast has two records, and so is looked at
 * twice. Counts come in steps, so that the level is not reached: of 300 campaigns made like the model, of 7 to 12
 * rehearsals, the first record spoke against 1 at a level of 5 %, the second, which 250 of them have, against 1, and
 * either against 2. */
static inline bool wr_record_is_judged(const struct wr_backtest_record *r)
{
    return r->n_forecast >= WR_BACKTEST_FEWEST;
}
static inline bool wr_record_speaks_against(const struct wr_backtest_record *r, double level)
{
    return wr_record_is_judged(r) && r->prob_so_few80 < level;
}

struct wr_backtest_task {            /* leave one out, done cells of all modelled runs */
    size_t n, n_inside80, n_inside95;
    double mean_rank, crps_min;
};

struct wr_backtest { /* start as {0} */
    struct wr_backtest_record leave_one_out, predecessors;
    struct wr_backtest_task *task;   /* [n_task] */
    size_t n_task;
    size_t n_task_cell, n_task_inside80, n_task_inside95;
};

struct wr_backtest_options {
    size_t n_trial;                  /* 0: 8,000 */
    unsigned n_thread;
    void (*progress)(void *arg, double share_done);
    void *progress_arg;
};

/* WR_E_TOO_FEW: fewer than three rehearsals. people of the fit options is ignored: every run has its own line-up. */
WR_MUST_CHECK enum wr_status wr_backtest_run_all(struct wr_backtest *b, const struct wr_basis *basis,
                                                 const struct wr_backtest_options *options, struct wr_error *err);
/* Are there enough rehearsals for it? Its status if not. */
WR_MUST_CHECK enum wr_status wr_backtest_takes(const struct wr_timing *timing, struct wr_error *err);
void wr_backtest_release(struct wr_backtest *b);
