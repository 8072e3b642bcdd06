/* Where the spread comes from: y = X fixed + one or two crossed random factors + residual, by restricted maximum
 * likelihood (REML), unbalanced layouts included. A variance may come out as exactly 0, which is an estimate and not a
 * failure.
 * The criterion is profiled over the fixed effects and the residual variance, through the penalised least-squares
 * equations: Bates, Maechler, Bolker and Walker (2015), J. Stat. Software 67(1), sections 2-3; Searle, Casella and
 * McCulloch (1992), Variance Components (both from memory). */
#ifndef WETRUN_STATS_VARIANCE_COMPONENTS_H
#define WETRUN_STATS_VARIANCE_COMPONENTS_H

#include <stddef.h>
#include "wetrun/base/error.h"
#include "wetrun/stats/interval.h"

enum { WR_MOST_FACTORS = 2 };

struct wr_mixed_data { /* all borrowed */
    size_t n, n_fixed, n_factor;          /* n_fixed >= 1; n_factor 1 or 2 */
    const double *y;                      /* [n] */
    const double *x;                      /* [i * n_fixed + column] */
    const size_t *level[WR_MOST_FACTORS]; /* [n] level of each value, below n_level */
    size_t n_level[WR_MOST_FACTORS];
};

struct wr_mixed_fit { /* start as {0} */
    size_t n_fixed, n_factor;
    double *fixed, *fixed_se;           /* [n_fixed] */
    double *effect[WR_MOST_FACTORS];    /* [n_level] predicted effects, shrunk towards 0 */
    double sd_factor[WR_MOST_FACTORS], sd_residual;
    double criterion;                   /* -2 log restricted likelihood, constants included */
};

/* WR_E_TOO_FEW     fewer values than unknowns, a factor with one level or with as many levels as values, fixed
 *                  effects that cannot be told apart
 * WR_E_DOMAIN      a value that is not finite
 * WR_E_NO_MAXIMUM  the factors explain the values without remainder */
WR_MUST_CHECK enum wr_status wr_mixed_fit(struct wr_mixed_fit *fit, const struct wr_mixed_data *data,
                                          struct wr_error *err);
void wr_mixed_fit_release(struct wr_mixed_fit *fit);

/* Profile-likelihood interval (maximum likelihood) for the sd of a factor, or of the residual: which = n_factor. The
 * lower end is 0 where the data do not rule 0 out. Errors as wr_mixed_fit; WR_E_NO_CONVERGE if an end
 * is out of reach. */
WR_MUST_CHECK enum wr_status wr_mixed_sd_interval(const struct wr_mixed_data *data, size_t which, double level,
                                                  struct wr_interval *interval, struct wr_error *err);

/* The layout of rehearsals: y[task * n_run + run] (log minutes) over the cells with present[] != 0, a fixed level for
 * each task, a random effect for each run, and with trend[n_run] (log of the order) a common slope. */
struct wr_run_effect {
    double sd_log, residual_sd_log;
    struct wr_interval sd_interval;    /* profile likelihood at the level asked for */
    double slope_log, slope_se;        /* only with a trend */
    struct wr_interval slope_interval; /* t with runs - 2 degrees of freedom; unknown without a trend */
};
/* Runs and tasks without cells are left out. Errors as wr_mixed_fit, and WR_E_TOO_FEW for fewer than 3 runs with a
 * trend. */
WR_MUST_CHECK enum wr_status wr_run_effect_fit(const double *y, const unsigned char *present, size_t n_task,
                                               size_t n_run, const double *trend, double level,
                                               struct wr_run_effect *out, struct wr_error *err);
#endif
