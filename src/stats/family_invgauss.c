/* Inverse Gaussian: par = mean, shape. It is written with Mills ratios, where the usual exp(2 shape / mean) * Phi(.)
 * would overflow times underflow: with x1 = sqrt(shape/t) (t/mean - 1), x2 = sqrt(shape/t) (t/mean + 1),
 * phi(x1) = exp(2 shape / mean) phi(x2), so S(t) = Phi(-x1) (1 - hazard(x1) / hazard(x2)).
 * The fit: one equation when complete, a surface in (log mean, log shape) when censored. */
#include <gsl/gsl_randist.h>
#include <math.h>
#include "family_row.h"
#include "surface.h"
#include "wetrun/stats/special.h"

static double invgauss_x(const double *p, double t, double sign)
{
    return sqrt(p[1] / t) * (t / p[0] + sign);
}
static double invgauss_log_pdf(const double *p, double t)
{
    double x1 = invgauss_x(p, t, -1);
    return 0.5 * (log(p[1]) - 3 * log(t)) - HALF_LOG_2PI - 0.5 * x1 * x1;
}
static double invgauss_log_sf(const double *p, double t)
{
    double x1 = invgauss_x(p, t, -1), x2 = invgauss_x(p, t, 1);
    return wr_log_normal_cdf(-x1) + log1p(-wr_normal_hazard(x1) / wr_normal_hazard(x2));
}
static double invgauss_log_cdf(const double *p, double t)
{
    double x1 = invgauss_x(p, t, -1), x2 = invgauss_x(p, t, 1);
    if (x1 > 0) return wr_log_one_minus_exp(invgauss_log_sf(p, t));
    return wr_log_normal_cdf(x1) + log1p(wr_normal_hazard(-x1) / wr_normal_hazard(x2));
}
/* Michael, Schucany and Haas (1976), American Statistician 30, 88-90; the smaller root written without cancellation. */
static double invgauss_draw(const double *p, gsl_rng *rng)
{
    double n = gsl_ran_gaussian_ziggurat(rng, 1.0), ratio = p[0] / p[1], y = n * n * ratio;
    double root = 2 / (2 + y + sqrt(4 * y + y * y));
    return gsl_rng_uniform(rng) * (1 + root) <= 1 ? p[0] * root : p[0] / root;
}

static double invgauss_surface(const void *arg, double log_mean, double log_shape)
{
    return wr_fit_loglik(WR_INVGAUSS, arg, exp(log_mean), exp(log_shape));
}

static bool fit_invgauss_complete(const struct fit_sample *s, double *par)
{
    double mean = wr_fit_mean(s), sum = 0;

    /* 1/t - 1/mean summed, without the difference of nearly equal numbers: sum (t - mean) = 0 */
    for (size_t i = 0; i < s->n; i++) sum += (s->time[i] - mean) * (s->time[i] - mean) / (s->time[i] * mean * mean);
    par[0] = mean;
    par[1] = (double)s->n / sum;
    return isfinite(par[1]);
}

/* The best start on a coarse grid: the surface may have a flat far side where the mean is without meaning. */
static void best_invgauss_start(const struct fit_sample *s, const double lognormal[2], double at[2])
{
    double best = -INFINITY;

    for (int i = 0; i < 12; i++) {
        for (int j = -3; j <= 3; j++) {
            double log_mean = lognormal[0] + 0.7 * i, log_shape = lognormal[0] - 2 * log(lognormal[1]) + j;
            double value = invgauss_surface(s, log_mean, log_shape);
            if (value > best) {
                best = value;
                at[0] = log_mean;
                at[1] = log_shape;
            }
        }
    }
}

static bool fit_invgauss(const struct fit_sample *s, double *par)
{
    double lognormal[2], at[2] = {0, 0};

    if (s->n_done == s->n) return fit_invgauss_complete(s, par);
    if (!wr_family_lognormal.fit(s, lognormal)) return false;
    best_invgauss_start(s, lognormal, at);
    if (!wr_surface_top(invgauss_surface, s, 60, at)) return false;
    par[0] = exp(at[0]);
    par[1] = exp(at[1]);
    return true;
}

/* Is the likelihood still rising as the mean of the inverse Gaussian goes to infinity? The limit is a proper law
 * (first passage without drift), so the question has an answer: the best shape there against the best found. */
static const char *no_maximum(const struct fit_sample *s, double loglik_found)
{
    const double far = 1e12; /* in units of the geometric mean */
    double lo = -30, hi = 30, ratio = 0.6180339887498949;

    if (s->n_done == s->n) return NULL;
    for (int i = 0; i < 100; i++) { /* golden section in log shape */
        double x1 = hi - ratio * (hi - lo), x2 = lo + ratio * (hi - lo);
        if (wr_fit_loglik(WR_INVGAUSS, s, far, exp(x1)) < wr_fit_loglik(WR_INVGAUSS, s, far, exp(x2))) lo = x1;
        else hi = x2;
    }
    return wr_fit_loglik(WR_INVGAUSS, s, far, exp(lo)) >= loglik_found
               ? "the larger the mean of the inverse Gaussian the likelier, without end"
               : NULL;
}

const struct family_row wr_family_invgauss = {
    FAMILY_LAW(invgauss),
    .parameter = {{"mean", PAR_MIN}, {"shape", PAR_MIN}},
    .fit = fit_invgauss,
    .no_maximum = no_maximum,
};
