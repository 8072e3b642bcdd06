/* Lognormal: par = meanlog, sdlog */
#include <gsl/gsl_randist.h>
#include <math.h>
#include "family_row.h"
#include "wetrun/stats/special.h"

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

static struct fit_term normal_density(double z)
{
    return (struct fit_term){-0.5 * z * z - 0.5 * log(2 * M_PI), -z, -1};
}
static struct fit_term normal_survival(double z)
{
    double h = wr_normal_hazard(z);
    return (struct fit_term){wr_log_normal_cdf(-z), -h, -h * (h - z)};
}
static bool fit_lognormal(const struct fit_sample *s, double *par)
{
    static const struct fit_terms normal = {normal_density, normal_survival};
    return wr_fit_log_scale(&normal, s, &par[0], &par[1]);
}

const struct family_row wr_family_lognormal = {
    FAMILY_LAW(lognormal),
    .parameter = {{"meanlog", PAR_LOG_MIN}, {"sdlog", PAR_PLAIN}},
    .log_scale = true,
    .fit = fit_lognormal,
};
