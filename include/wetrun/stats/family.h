/* The families of durations: laws on t > 0 with a few parameters. A law is a plain value.
 * Times in minutes; a rate is per minute; a scale is in minutes. */
#pragma once

#include <gsl/gsl_rng.h>

enum wr_family { WR_LOGNORMAL, WR_GAMMA, WR_WEIBULL, WR_LOGLOGISTIC, WR_INVGAUSS, WR_N_FAMILY };
enum { WR_MOST_PARAMETERS = 3 };

struct wr_law {
    enum wr_family family;
    double par[WR_MOST_PARAMETERS]; /* in the order of wr_family_parameter: meanlog, sdlog; shape, rate; shape, scale;
                                   shape, scale; mean, shape */
};

const char *wr_family_name(enum wr_family family);             /* "lognormal" … */
int wr_family_n_parameter(enum wr_family family);
const char *wr_family_parameter(enum wr_family family, int i); /* "meanlog" … */

/* t_min > 0. The logs are accurate where the plain value has long become 0. */
double wr_law_log_pdf(const struct wr_law *law, double t_min); /* of the duration itself, 1/t included */
double wr_law_log_cdf(const struct wr_law *law, double t_min);
double wr_law_log_sf(const struct wr_law *law, double t_min);
double wr_law_draw_min(const struct wr_law *law, gsl_rng *rng);
