/* Formulas: Johnson, Kotz and Balakrishnan (1994, 1995), Continuous Univariate Distributions, vols. 1 and 2 (chapters
 * on each family). The inverse Gaussian is written with Mills ratios, where the usual exp(2 shape / mean) * Phi(.)
 * would overflow times underflow: with x1 = sqrt(shape/t) (t/mean - 1), x2 = sqrt(shape/t) (t/mean + 1),
 * phi(x1) = exp(2 shape / mean) phi(x2), so S(t) = Phi(-x1) (1 - hazard(x1) / hazard(x2)). */
#include "wetrun/stats/family.h"

#include <gsl/gsl_randist.h>
#include <gsl/gsl_sf_gamma.h>
#include <gsl/gsl_sf_log.h>
#include <math.h>
#include "wetrun/base/error.h"
#include "wetrun/stats/special.h"

#define HALF_LOG_2PI 0.91893853320467274178

static double log1p_exp(double x) /* log(1 + e^x) */
{
    return x > 0 ? x + log1p(exp(-x)) : log1p(exp(x));
}

static double log_one_minus_exp(double x) /* log(1 - e^x), x <= 0 */
{
    return x > -M_LN2 ? log(-expm1(x)) : log1p(-exp(x));
}

/* lognormal: par = meanlog, sdlog */
static double lognormal_z(const double *p, double t)
{
    return (log(t) - p[0]) / p[1];
}
static double lognormal_log_pdf(const double *p, double t)
{
    double z = lognormal_z(p, t);
    return -0.5 * z * z - HALF_LOG_2PI - log(p[1]) - log(t);
}
static double lognormal_log_cdf(const double *p, double t)
{
    return wr_log_normal_cdf(lognormal_z(p, t));
}
static double lognormal_log_sf(const double *p, double t)
{
    return wr_log_normal_cdf(-lognormal_z(p, t));
}
static double lognormal_draw(const double *p, gsl_rng *rng)
{
    return exp(p[0] + gsl_ran_gaussian_ziggurat(rng, p[1]));
}

/* gamma: par = shape, rate */
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
    if (x > p[0]) return log_one_minus_exp(wr_log_gamma_q(p[0], x));
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

/* Weibull and log-logistic: par = shape, scale; both live on z = shape log(t / scale) */
static double power_z(const double *p, double t)
{
    return p[0] * (log(t) - log(p[1]));
}
static double weibull_log_pdf(const double *p, double t)
{
    double z = power_z(p, t);
    return log(p[0]) - log(t) + z - exp(z);
}
static double weibull_log_cdf(const double *p, double t)
{
    return log_one_minus_exp(-exp(power_z(p, t)));
}
static double weibull_log_sf(const double *p, double t)
{
    return -exp(power_z(p, t));
}
static double weibull_draw(const double *p, gsl_rng *rng)
{
    return p[1] * pow(-log(gsl_rng_uniform_pos(rng)), 1 / p[0]);
}

static double loglogistic_log_pdf(const double *p, double t)
{
    double z = power_z(p, t);
    return log(p[0]) - log(t) + z - 2 * log1p_exp(z);
}
static double loglogistic_log_cdf(const double *p, double t)
{
    return -log1p_exp(-power_z(p, t));
}
static double loglogistic_log_sf(const double *p, double t)
{
    return -log1p_exp(power_z(p, t));
}
static double loglogistic_draw(const double *p, gsl_rng *rng)
{
    double u = gsl_rng_uniform_pos(rng);
    return p[1] * exp((log(u) - log1p(-u)) / p[0]);
}

/* inverse Gaussian: par = mean, shape */
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
    if (x1 > 0) return log_one_minus_exp(invgauss_log_sf(p, t));
    return wr_log_normal_cdf(x1) + log1p(wr_normal_hazard(-x1) / wr_normal_hazard(x2));
}
/* Michael, Schucany and Haas (1976), American Statistician 30, 88-90; the smaller root written without cancellation. */
static double invgauss_draw(const double *p, gsl_rng *rng)
{
    double n = gsl_ran_gaussian_ziggurat(rng, 1.0), ratio = p[0] / p[1], y = n * n * ratio;
    double root = 2 / (2 + y + sqrt(4 * y + y * y));
    return gsl_rng_uniform(rng) * (1 + root) <= 1 ? p[0] * root : p[0] / root;
}

static const struct family_row {
    const char *name, *parameter[WR_MOST_PARAMETERS]; /* NULL: no more */
    double (*log_pdf)(const double *, double), (*log_cdf)(const double *, double), (*log_sf)(const double *, double);
    double (*draw)(const double *, gsl_rng *);
} families[] = {
#define ROW(id, name, ...) [id] = {#name, {__VA_ARGS__}, name##_log_pdf, name##_log_cdf, name##_log_sf, name##_draw}
    ROW(WR_LOGNORMAL, lognormal, "meanlog", "sdlog"), ROW(WR_GAMMA, gamma, "shape", "rate"),
    ROW(WR_WEIBULL, weibull, "shape", "scale"),       ROW(WR_LOGLOGISTIC, loglogistic, "shape", "scale"),
    ROW(WR_INVGAUSS, invgauss, "mean", "shape"),
#undef ROW
};
_Static_assert(sizeof families / sizeof *families == WR_N_FAMILY, "one row per family");

static const struct family_row *row_of(enum wr_family family)
{
    WR_BUG_IF((unsigned)family >= WR_N_FAMILY);
    return &families[family];
}

const char *wr_family_name(enum wr_family family)
{
    return row_of(family)->name;
}

int wr_family_n_parameter(enum wr_family family)
{
    int n = 0;

    while (n < WR_MOST_PARAMETERS && row_of(family)->parameter[n]) n++;
    return n;
}

const char *wr_family_parameter(enum wr_family family, int i)
{
    WR_BUG_IF(i < 0 || i >= wr_family_n_parameter(family));
    return row_of(family)->parameter[i];
}

double wr_law_log_pdf(const struct wr_law *law, double t_min)
{
    return row_of(law->family)->log_pdf(law->par, t_min);
}

double wr_law_log_cdf(const struct wr_law *law, double t_min)
{
    return row_of(law->family)->log_cdf(law->par, t_min);
}

double wr_law_log_sf(const struct wr_law *law, double t_min)
{
    return row_of(law->family)->log_sf(law->par, t_min);
}

double wr_law_draw_min(const struct wr_law *law, gsl_rng *rng)
{
    return row_of(law->family)->draw(law->par, rng);
}
