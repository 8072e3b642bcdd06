/* The families of durations: laws on t > 0 with a few parameters. A law is a plain value.
 * Times in minutes; a rate is per minute; a scale is in minutes. */
#pragma once

#include <gsl/gsl_rng.h>
#include <stdbool.h>

/* id, name; what each is stands in src/stats/family_NAME.c */
#define WR_FAMILY_TABLE(ROW)                                                                                           \
    ROW(WR_LOGNORMAL, lognormal) ROW(WR_GAMMA, gamma) ROW(WR_WEIBULL, weibull) ROW(WR_LOGLOGISTIC, loglogistic)        \
    ROW(WR_INVGAUSS, invgauss)

enum wr_family {
#define WR_FAMILY_ENUM(id, name) id,
    WR_FAMILY_TABLE(WR_FAMILY_ENUM)
#undef WR_FAMILY_ENUM
    WR_N_FAMILY
};
enum { WR_MOST_PARAMETERS = 3 };

struct wr_law {
    enum wr_family family;
    double par[WR_MOST_PARAMETERS]; /* in the order in which its row names them: wr_family_parameter, and the JSON */
};

const char *wr_family_name(enum wr_family family);             /* "lognormal" … */
int wr_family_n_parameter(enum wr_family family);
bool wr_family_is_log_scale(enum wr_family family);            /* log t has a location and a scale, and no shape */
const char *wr_family_parameter(enum wr_family family, int i); /* "meanlog" … */

/* t_min > 0. The logs are accurate where the plain value has long become 0. */
double wr_law_log_pdf(const struct wr_law *law, double t_min); /* of the duration itself, 1/t included */
double wr_law_log_cdf(const struct wr_law *law, double t_min);
double wr_law_log_sf(const struct wr_law *law, double t_min);
double wr_law_draw_min(const struct wr_law *law, gsl_rng *rng);
