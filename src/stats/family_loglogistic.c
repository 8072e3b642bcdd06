/* Log-logistic: par = shape, scale */
#include <gsl/gsl_rng.h>
#include <math.h>
#include "family_row.h"

static double loglogistic_log_pdf(const double *p, double t)
{
    double z = power_z(p, t);
    return log(p[0]) - log(t) + z - 2 * wr_log1p_exp(z);
}
static double loglogistic_log_cdf(const double *p, double t)
{
    return -wr_log1p_exp(-power_z(p, t));
}
static double loglogistic_log_sf(const double *p, double t)
{
    return -wr_log1p_exp(power_z(p, t));
}
static double loglogistic_draw(const double *p, gsl_rng *rng)
{
    double u = gsl_rng_uniform_pos(rng);
    return p[1] * exp((log(u) - log1p(-u)) / p[0]);
}

static struct fit_term logistic_survival(double z)
{
    double q = 1 / (1 + exp(-z));
    return (struct fit_term){z > 0 ? -z - log1p(exp(-z)) : -log1p(exp(z)), -q, -q * (1 - q)};
}
static struct fit_term logistic_density(double z)
{
    struct fit_term s = logistic_survival(z);
    return (struct fit_term){z + 2 * s.value, 1 + 2 * s.d1, 2 * s.d2};
}

static bool fit_loglogistic(const struct fit_sample *s, double *par)
{
    static const struct fit_terms logistic = {logistic_density, logistic_survival};
    return wr_fit_power(&logistic, s, par);
}

const struct family_row wr_family_loglogistic = {
    FAMILY_LAW(loglogistic),
    .parameter = {{"shape", PAR_PLAIN}, {"scale", PAR_MIN}},
    .log_scale = true,
    .fit = fit_loglogistic,
};
