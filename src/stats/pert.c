/* PERT: a beta distribution on [low, high] with shapes 1 + 4 (likely - low)/(high - low) and 1 + 4 (high -
 * likely)/(high - low); Malcolm, Roseboom, Clark and Fazar (1959), Operations Research 7, 646-669, for the three points
 * and the weight 4. */
#include <gsl/gsl_cdf.h>
#include <math.h>
#include "reading.h"
#include "wetrun/stats/special.h"

void wr_three_point_beta_shapes(const struct wr_three_point *p, double *alpha, double *beta)
{
    double range = wr_three_point_range(p);

    WR_BUG_IF(!(range > 0));
    *alpha = 1 + 4 * (p->likely_min - p->low_min) / range;
    *beta = 1 + 4 * (p->high_min - p->likely_min) / range;
}

static double mean_min(const struct wr_three_point *p)
{
    return (p->low_min + 4 * p->likely_min + p->high_min) / 6;
}

static double sd_min(const struct wr_three_point *p)
{
    double alpha, beta;

    wr_three_point_beta_shapes(p, &alpha, &beta);
    return wr_three_point_range(p) * sqrt(alpha * beta / 7) / 6; /* alpha + beta = 6 */
}

static double cdf(const struct wr_three_point *p, double t_min)
{
    double alpha, beta;

    wr_three_point_beta_shapes(p, &alpha, &beta);
    return gsl_cdf_beta_P((t_min - p->low_min) / wr_three_point_range(p), alpha, beta);
}

static double quantile_min(const struct wr_three_point *p, double prob)
{
    double alpha, beta;

    wr_three_point_beta_shapes(p, &alpha, &beta);
    return p->low_min + wr_three_point_range(p) * wr_beta_quantile(prob, alpha, beta);
}

/* ---- the quantile function along normal scores ---- */

struct beta {
    double a, b, log_norm;
};

static double beta_density(const struct beta *d, double x)
{
    if (x <= 0 || x >= 1) return 0;
    return exp((d->a - 1) * log(x) + (d->b - 1) * log1p(-x) - d->log_norm);
}

/* dx/dz = phi(z) / f(x): the slope of the quantile function in the score */
static double slope(const struct beta *d, double z, double x)
{
    double f = beta_density(d, x);

    return f > 0 ? exp(-0.5 * z * z) / sqrt(2 * M_PI) / f : 0;
}

/* One classical Runge-Kutta step of length h from x(z). */
static double next_after(const struct beta *d, double z, double x, double h)
{
    double k1 = slope(d, z, x), k2 = slope(d, z + 0.5 * h, x + 0.5 * h * k1);
    double k3 = slope(d, z + 0.5 * h, x + 0.5 * h * k2), k4 = slope(d, z + h, x + h * k3);
    double next = x + h / 6 * (k1 + 2 * k2 + 2 * k3 + k4);

    return fmin(fmax(next, 0), 1);
}

/* Followed outwards from the median as an ordinary differential equation: cheaper by far than one inversion of the beta
 * integral per score. */
static void at_scores(const struct wr_three_point *p, int n, double step, double *minutes)
{
    double range = wr_three_point_range(p);
    struct beta d;

    wr_three_point_beta_shapes(p, &d.a, &d.b);
    d.log_norm = lgamma(d.a) + lgamma(d.b) - lgamma(d.a + d.b);
    minutes[n] = (quantile_min(p, 0.5) - p->low_min) / range;
    for (int i = 0; i < n; i++) minutes[n + i + 1] = next_after(&d, i * step, minutes[n + i], step);
    for (int i = 0; i < n; i++) minutes[n - i - 1] = next_after(&d, -i * step, minutes[n - i], -step);
    for (int i = 0; i <= 2 * n; i++) minutes[i] = p->low_min + range * minutes[i];
}

const struct wr_reading wr_reading_pert = {mean_min, sd_min, cdf, quantile_min, at_scores};
