#include "wetrun/stats/goodness.h"

#include <gsl/gsl_rng.h>
#include <gsl/gsl_sort.h>
#include <math.h>
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
    gsl_sort(b->time, 1, b->n);
    for (size_t i = 0; i < b->n; i++) {
        b->log_cdf[i] = wr_law_log_cdf(law, b->time[i]);
        b->log_sf[i] = wr_law_log_sf(law, b->time[i]);
    }
    *anderson_darling = wr_anderson_darling(b->log_cdf, b->log_sf, b->n);
    for (size_t i = 0; i < b->n; i++) b->log_cdf[i] = exp(b->log_cdf[i]);
    *ks = wr_kolmogorov_smirnov(b->log_cdf, b->n);
}

static enum wr_status bootstrap(const struct wr_law *law, struct bench *b, size_t n_resample, uint64_t seed,
                                struct wr_goodness *g, struct wr_error *err)
{
    size_t ad_beyond = 0, ks_beyond = 0, fitted = 0;
    gsl_rng *rng = wr_gsl_rng(gsl_rng_mt19937);

    gsl_rng_set(rng, wr_gsl_seed_alone(seed));
    for (size_t r = 0; r < n_resample; r++) {
        struct wr_fit fit;
        double ad, ks;
        for (size_t i = 0; i < b->n; i++) b->time[i] = wr_law_draw_min(law, rng);
        if (wr_censored_fit(law->family, b->time, NULL, b->n, &fit, NULL) != WR_OK) continue;
        measure(&fit.law, b, &ad, &ks);
        ad_beyond += ad >= g->anderson_darling;
        ks_beyond += ks >= g->ks;
        fitted++;
    }
    wr_free(rng);
    if (fitted < n_resample - n_resample / 100)
        return wr_fail(err, WR_E_NO_CONVERGE, "%zu of %zu resamples could not be fitted", n_resample - fitted,
                       n_resample);
    g->n_resample = fitted;
    g->anderson_darling_p = wr_known((1.0 + (double)ad_beyond) / (1.0 + (double)fitted));
    g->ks_p = wr_known((1.0 + (double)ks_beyond) / (1.0 + (double)fitted));
    return WR_OK;
}

enum wr_status wr_goodness_of_fit(const struct wr_fit *fit, const double *time_min, size_t n, size_t n_resample,
                                  uint64_t seed, struct wr_goodness *goodness, struct wr_error *err)
{
    if (fit->n_stopped) return wr_fail(err, WR_E_DOMAIN, "not defined for a sample with stopped times");
    WR_BUG_IF(n != fit->n_done);

    WR_SCOPED double *room = WR_NEW_ARRAY(double, 3 * n);
    struct bench b = {n, room, room + n, room + 2 * n};
    struct wr_goodness g = {0};
    enum wr_status status = WR_OK;
    for (size_t i = 0; i < n; i++) b.time[i] = time_min[i];
    measure(&fit->law, &b, &g.anderson_darling, &g.ks);
    if (n_resample) status = bootstrap(&fit->law, &b, n_resample, seed, &g, err);
    if (status == WR_OK) *goodness = g;
    return status;
}
