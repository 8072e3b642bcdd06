#include "wetrun/stats/special.h"

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_sf_erf.h>
#include <gsl/gsl_sf_gamma.h>
#include <math.h>
#include "wetrun/base/error.h"
#include "wetrun/stats/newton.h"

double wr_log_normal_cdf(double x)
{
    if (x > 0) return log1p(-0.5 * erfc(x * M_SQRT1_2));
    /* far out GSL's polynomials overflow; there the first terms of the asymptotic series are exact to rounding */
    if (x < -1e5) return -0.5 * x * x - log(-x) - 0.5 * log(2 * M_PI);
    return gsl_sf_log_erfc(-x * M_SQRT1_2) - M_LN2;
}

double wr_log_normal_pdf(double x, double sd)
{
    return -0.5 * (x / sd) * (x / sd) - log(sd) - 0.5 * log(2 * M_PI);
}

double wr_normal_hazard(double x)
{
    return x < -37.0 ? 0.0 : gsl_sf_hazard(x); /* below, the density is no normal double */
}

double wr_normal_quantile(double prob)
{
    WR_BUG_IF(!(prob > 0 && prob < 1));
    return gsl_cdf_ugaussian_Pinv(prob);
}

double wr_t_quantile(double prob, double df)
{
    WR_BUG_IF(!(prob > 0 && prob < 1 && df > 0));
    return gsl_cdf_tdist_Pinv(prob, df);
}

/* Upper tail for x well above shape: exp(-x) x^shape / Gamma(shape) times a continued fraction, by Lentz. */
static double log_gamma_q_far(double shape, double x)
{
    const double tiny = 1e-300;
    double b = x + 1 - shape, c = 1 / tiny, d = 1 / b, h = d;

    for (int i = 1; i < 10000; i++) {
        double an = -i * (i - shape);
        b += 2;
        d = an * d + b;
        if (fabs(d) < tiny) d = tiny;
        c = b + an / c;
        if (fabs(c) < tiny) c = tiny;
        d = 1 / d;
        double change = d * c;
        h *= change;
        if (fabs(change - 1) < 1e-16) break;
    }
    return shape * log(x) - x - gsl_sf_lngamma(shape) + log(h);
}

double wr_log_gamma_q(double shape, double x)
{
    if (x <= 0) return 0.0;
    if (x > shape + 30 * sqrt(shape) + 50) return log_gamma_q_far(shape, x);
    if (x >= shape) return log(gsl_sf_gamma_inc_Q(shape, x));
    /* P is about x^shape exp(-x) / Gamma(shape + 1) when that is tiny */
    if (shape * log(x) - x - gsl_sf_lngamma(shape + 1) < -600) return 0.0;
    return log1p(-gsl_sf_gamma_inc_P(shape, x));
}

/* In the logit of x: there both ends are far away, the distribution function S-shaped. */
double wr_beta_quantile(double prob, double a, double b)
{
    WR_BUG_IF(!(prob > 0 && prob < 1 && a > 0 && b > 0));
    struct wr_newton u = {fmin(fmax(log(a / b), -700), 700), -700, 700};
    double log_beta = gsl_sf_lnbeta(a, b);

    for (int i = 0; i < 200; i++) {
        double x = 1 / (1 + exp(-u.at)), y = 1 / (1 + exp(u.at)), before = u.at, near = 1e-15 * (1 + fabs(u.at));
        double off = gsl_cdf_beta_P(x, a, b) - prob, slope = exp(a * log(x) + b * log(y) - log_beta);
        wr_newton_step(&u, off > 0, -off / slope);
        if (fabs(u.at - before) < near || u.hi - u.lo < near) break;
    }
    return 1 / (1 + exp(-u.at));
}
