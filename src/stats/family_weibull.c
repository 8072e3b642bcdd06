/* Weibull: par = shape, scale */
#include <gsl/gsl_rng.h>
#include <math.h>
#include "family_row.h"

static double weibull_log_pdf(const double *p, double t)
{
    double z = power_z(p, t);
    return log(p[0]) - log(t) + z - exp(z);
}
static double weibull_log_cdf(const double *p, double t)
{
    return wr_log_one_minus_exp(-exp(power_z(p, t)));
}
static double weibull_log_sf(const double *p, double t)
{
    return -exp(power_z(p, t));
}
static double weibull_draw(const double *p, gsl_rng *rng)
{
    return p[1] * pow(-log(gsl_rng_uniform_pos(rng)), 1 / p[0]);
}

static struct fit_term least_value_density(double z) /* smallest extreme value: log of a Weibull time */
{
    double e = exp(z);
    return (struct fit_term){z - e, 1 - e, -e};
}
static struct fit_term least_value_survival(double z)
{
    double e = exp(z);
    return (struct fit_term){-e, -e, -e};
}
static bool fit_weibull(const struct fit_sample *s, double *par)
{
    static const struct fit_terms least_value = {least_value_density, least_value_survival};
    return wr_fit_power(&least_value, s, par);
}

const struct family_row wr_family_weibull = {
    FAMILY_LAW(weibull),
    .parameter = {{"shape", PAR_PLAIN}, {"scale", PAR_MIN}},
    .log_scale = true,
    .fit = fit_weibull,
};
