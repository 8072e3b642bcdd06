/* Gamma: par = shape, rate. The fit: one equation when complete, a surface in (log mean, log shape) when censored. */
#include <gsl/gsl_randist.h>
#include <gsl/gsl_sf_gamma.h>
#include <gsl/gsl_sf_log.h>
#include <gsl/gsl_sf_psi.h>
#include <math.h>
#include "family_row.h"
#include "surface.h"
#include "wetrun/stats/special.h"

static double gamma_log_pdf(const double *p, double t)
{
    double k = p[0], off = (p[1] * t - k) / k, r = 1 / (k * k);

    if (k < 20) return k * log(p[1]) + (k - 1) * log(t) - p[1] * t - gsl_sf_lngamma(k);
    /* Stirling's series for log gamma: the terms of order k log k cancel on paper instead of in doubles */
    double series = (1.0 / 12 - r * (1.0 / 360 - r * (1.0 / 1260 - r / 1680))) / k;
    return k * gsl_sf_log_1plusx_mx(off) + 0.5 * log(k) - HALF_LOG_2PI - series - log(t);
}
static double gamma_log_cdf(const double *p, double t)
{
    double x = p[1] * t;
    if (x > p[0]) return wr_log_one_minus_exp(wr_log_gamma_q(p[0], x));
    double lead = p[0] * log(x) - x - gsl_sf_lngamma(p[0] + 1);
    if (lead < -600) return lead - log1p(-x / (p[0] + 1)); /* first terms of the series */
    return log(gsl_sf_gamma_inc_P(p[0], x));
}
static double gamma_log_sf(const double *p, double t)
{
    return wr_log_gamma_q(p[0], p[1] * t);
}
static double gamma_draw(const double *p, gsl_rng *rng)
{
    return gsl_ran_gamma(rng, p[0], 1.0) / p[1];
}

/* log shape - digamma(shape) and its derivative in log shape; from 50 up by the series, which does not cancel */
static double log_less_digamma(double shape, double *slope)
{
    if (shape > 50) { /* Abramowitz and Stegun 6.3.18 */
        double r = 1 / shape, s = r * r;
        *slope = -r * (0.5 + r * (1.0 / 6 - s * (1.0 / 30 - s * (1.0 / 42 - s / 30))));
        return r * (0.5 + r * (1.0 / 12 - s * (1.0 / 120 - s * (1.0 / 252 - s / 240))));
    }
    *slope = 1 - shape * gsl_sf_psi_1(shape);
    return log(shape) - gsl_sf_psi(shape);
}

static bool fit_gamma_complete(const struct fit_sample *s, double *par)
{
    double mean = wr_fit_mean(s), gap = 0, slope;

    /* log of the mean - mean of the logs, from the relative deviations: they sum to 0 */
    for (size_t i = 0; i < s->n; i++) gap -= log1p((s->time[i] - mean) / mean);
    gap /= (double)s->n;
    if (!(gap > 0)) return false;
    double shape = (3 - gap + sqrt((gap - 3) * (gap - 3) + 24 * gap)) / (12 * gap);
    for (int round = 0; round < 100; round++) { /* Newton on log(log k - psi(k)) = log(gap), nearly straight in log k */
        double have = log_less_digamma(shape, &slope), step = -log(have / gap) * have / slope;
        if (!isfinite(step)) return false;
        shape *= exp(fmax(-2, fmin(2, step)));
        if (fabs(step) < 1e-11) {
            par[0] = shape;
            par[1] = shape / mean;
            return true;
        }
    }
    return false;
}

static double gamma_surface(const void *arg, double log_mean, double log_shape)
{
    return wr_fit_loglik(WR_GAMMA, arg, exp(log_shape), exp(log_shape - log_mean));
}

static bool fit_gamma(const struct fit_sample *s, double *par)
{
    double start[2];

    if (s->n_done == s->n) return fit_gamma_complete(s, par);
    if (!wr_family_lognormal.fit(s, start)) return false;
    /* the gamma with about the median and the spread of the lognormal */
    double log_shape = -2 * log(fmin(start[1], 3));
    double at[2] = {start[0] + fmin(0.5 * start[1] * start[1], 2), log_shape};
    if (!wr_surface_top(gamma_surface, s, 60, at)) return false;
    par[0] = exp(at[1]);
    par[1] = exp(at[1] - at[0]);
    return true;
}

const struct family_row wr_family_gamma = {
    FAMILY_LAW(gamma),
    .parameter = {{"shape", PAR_PLAIN}, {"rate", PAR_PER_MIN}},
    .fit = fit_gamma,
};
