#include "wetrun/stats/goodness.h"

#include <gsl/gsl_math.h>
#include <gsl/gsl_rng.h>
#include <gsl/gsl_sort.h>
#include <math.h>
#include "family_row.h"
#include "wetrun/base/memory.h"
#include "wetrun/base/mix.h"
#include "wetrun/stats/gsl_own.h"

double wr_anderson_darling(const double *log_cdf, const double *log_sf, size_t n)
{
    double sum = 0;
    for (size_t i = 0; i < n; i++) sum += (2 * (double)i + 1) * (log_cdf[i] + log_sf[n - 1 - i]);
    return -(double)n - sum / (double)n;
}

double wr_kolmogorov_smirnov(const double *cdf, size_t n)
{
    double most = 0;
    for (size_t i = 0; i < n; i++)
        most = fmax(most, fmax((double)(i + 1) / (double)n - cdf[i], cdf[i] - (double)i / (double)n));
    return most;
}

struct bench { /* scratch for samples of one size */
    size_t n;
    double *time, *log_cdf, *log_sf;
};

static void measure(const struct wr_law *law, struct bench *b, double *anderson_darling, double *ks)
{
    bool upper = false; /* half of the law: the one of the two that is small there says the other, for half the time */

    gsl_sort(b->time, 1, b->n);
    for (size_t i = 0; i < b->n; i++) {
        if (!upper) {
            b->log_cdf[i] = wr_law_log_cdf(law, b->time[i]);
            upper = b->log_cdf[i] > -M_LN2;
        }
        b->log_sf[i] = upper ? wr_law_log_sf(law, b->time[i]) : wr_log_one_minus_exp(b->log_cdf[i]);
        if (upper) b->log_cdf[i] = wr_log_one_minus_exp(b->log_sf[i]);
    }
    *anderson_darling = wr_anderson_darling(b->log_cdf, b->log_sf, b->n);
    for (size_t i = 0; i < b->n; i++) b->log_cdf[i] = exp(b->log_cdf[i]);
    *ks = wr_kolmogorov_smirnov(b->log_cdf, b->n);
}

enum wr_status wr_goodness_null_make(struct wr_goodness_null *null, const struct wr_law *law, size_t n,
                                     size_t n_resample, uint64_t seed, struct wr_error *err)
{
    WR_SCOPED double *room = WR_NEW_ARRAY(double, 3 * n);
    struct bench b = {n, room, room + n, room + 2 * n};
    gsl_rng *rng = wr_gsl_rng(gsl_rng_mt19937);

    *null = (struct wr_goodness_null){.anderson_darling = WR_NEW_ARRAY(double, n_resample),
                                      .ks = WR_NEW_ARRAY(double, n_resample)};
    gsl_rng_set(rng, wr_gsl_seed_alone(seed));
    for (size_t r = 0; r < n_resample; r++) {
        struct wr_fit fit;
        for (size_t i = 0; i < n; i++) b.time[i] = wr_law_draw_min(law, rng);
        if (wr_censored_fit(law->family, b.time, NULL, n, &fit, NULL) != WR_OK) continue;
        measure(&fit.law, &b, &null->anderson_darling[null->n], &null->ks[null->n]);
        null->n++;
    }
    wr_free(rng);
    if (null->n >= n_resample - n_resample / 100) return WR_OK;
    enum wr_status status = wr_fail(err, WR_E_NO_CONVERGE, "%zu of %zu resamples could not be fitted",
                                    n_resample - null->n, n_resample);
    wr_goodness_null_release(null);
    return status;
}

void wr_goodness_null_release(struct wr_goodness_null *null)
{
    WR_FREE(null->anderson_darling, null->ks);
    *null = (struct wr_goodness_null){0};
}

static struct wr_maybe p_value(const double *of_null, size_t n, double statistic)
{
    size_t beyond = 0;

    for (size_t i = 0; i < n; i++) beyond += of_null[i] >= statistic;
    return n ? wr_known((1.0 + (double)beyond) / (1.0 + (double)n)) : WR_UNKNOWN;
}

enum wr_status wr_goodness_against(const struct wr_fit *fit, const double *time_min, size_t n,
                                   const struct wr_goodness_null *null, struct wr_goodness *g, struct wr_error *err)
{
    if (fit->n_stopped) return wr_fail(err, WR_E_DOMAIN, "not defined for a sample with stopped times");
    WR_BUG_IF(n != fit->n_done);

    WR_SCOPED double *room = WR_NEW_ARRAY(double, 3 * n);
    struct bench b = {n, room, room + n, room + 2 * n};
    for (size_t i = 0; i < n; i++) b.time[i] = time_min[i];
    measure(&fit->law, &b, &g->anderson_darling, &g->ks);
    g->n_resample = null->n;
    g->anderson_darling_p = p_value(null->anderson_darling, null->n, g->anderson_darling);
    g->ks_p = p_value(null->ks, null->n, g->ks);
    return WR_OK;
}

enum wr_status wr_goodness_of_fit(const struct wr_fit *fit, const double *time_min, size_t n, size_t n_resample,
                                  uint64_t seed, struct wr_goodness *goodness, struct wr_error *err)
{
    WR_RELEASED_BY(wr_goodness_null_release) struct wr_goodness_null null = {0};
    enum wr_status status = wr_goodness_against(fit, time_min, n, &null, goodness, err);

    if (status == WR_OK && n_resample)
        status = wr_goodness_null_make(&null, &fit->law, n, n_resample, seed, err);
    return status == WR_OK && n_resample ? wr_goodness_against(fit, time_min, n, &null, goodness, err) : status;
}
