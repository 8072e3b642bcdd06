/* How well a fitted law describes a complete sample: Anderson-Darling and Kolmogorov-Smirnov, with the p-value of a
 * parametric bootstrap in which every resample is fitted again. Tables for known parameters would be far too lenient:
 * the fit has already moved the law towards the data.
 * Sources: D'Agostino and Stephens (1986), Goodness-of-Fit Techniques, ch. 4; Stute, Gonzalez Manteiga and Presedo
 * Quindimil (1993), Metrika 40, 243-256, for the bootstrap (both from memory). */
#pragma once

#include <stddef.h>
#include <stdint.h>
#include "wetrun/base/error.h"
#include "wetrun/base/number.h"
#include "wetrun/stats/censored_fit.h"

struct wr_goodness {
    double anderson_darling, ks;
    struct wr_maybe anderson_darling_p, ks_p; /* unknown without resamples */
    size_t n_resample;                        /* resamples that could be fitted */
};

/* Statistics from the probabilities below each of n values in ascending order: log F and log (1 - F). */
double wr_anderson_darling(const double *log_cdf, const double *log_sf, size_t n);
double wr_kolmogorov_smirnov(const double *cdf, size_t n); /* two-sided */

/* The statistics of samples drawn from a law, each against its own fit. */
struct wr_goodness_null {
    size_t n; /* resamples that could be fitted */
    double *anderson_darling, *ks;
};
/* Of samples of n times. Where log t has a location and a scale (wr_family_is_log_scale) the same whatever the law, so
 * that one does for all samples of a size. The same seed gives the same bits.
 *   WR_E_NO_CONVERGE  more than one resample in a hundred could not be fitted */
WR_MUST_CHECK enum wr_status wr_goodness_null_make(struct wr_goodness_null *null, const struct wr_law *law, size_t n,
                                                   size_t n_resample, uint64_t seed, struct wr_error *err);
void wr_goodness_null_release(struct wr_goodness_null *null);

/* time_min[n]: the sample that the fit came from, in any order, nothing stopped; null of its law: empty, the statistics
 * alone. 2000 resamples give p to about 0.01. p = (1 + number of resamples at least as far off) / (1 + null->n), which
 * is never 0.
 *   WR_E_DOMAIN       the fit has stopped times: the statistics then need another definition */
WR_MUST_CHECK enum wr_status wr_goodness_against(const struct wr_fit *fit, const double *time_min, size_t n,
                                                 const struct wr_goodness_null *null, struct wr_goodness *goodness,
                                                 struct wr_error *err);

/* Both at once; n_resample 0: the statistics alone. Errors of both. */
WR_MUST_CHECK enum wr_status wr_goodness_of_fit(const struct wr_fit *fit, const double *time_min, size_t n,
                                                size_t n_resample, uint64_t seed, struct wr_goodness *goodness,
                                                struct wr_error *err);
