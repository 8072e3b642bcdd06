/* What a family of durations is: a row in a file of its own, family_NAME.c, listed in WR_FAMILY_TABLE. */
#pragma once

#include <math.h>
#include <stdbool.h>
#include <stddef.h>
#include "wetrun/stats/censored_fit.h"

#define HALF_LOG_2PI 0.91893853320467274178

struct fit_sample {     /* times divided by the geometric mean of the completed ones: the fit then knows no unit */
    const double *time; /* scaled */
    const double *y;    /* log of the scaled times */
    const enum wr_seen *seen;
    size_t n, n_done;
    double log_unit;
};

enum par_unit { PAR_PLAIN, PAR_MIN, PAR_PER_MIN, PAR_LOG_MIN };

struct family_row {
    const char *name;
    struct {
        const char *name; /* NULL: no more */
        enum par_unit unit;
    } parameter[WR_MOST_PARAMETERS]; /* the functions below have, and fit fills, them in this order */
    double (*log_pdf)(const double *, double), (*log_cdf)(const double *, double), (*log_sf)(const double *, double);
    bool log_scale; /* log t has a location and a scale, and no shape */
    double (*draw)(const double *, gsl_rng *);
    bool (*fit)(const struct fit_sample *, double *par); /* in the sample's unit */
    /* why there is no maximum, beside the reasons that hold for every family: NULL if there is one. NULL: always */
    const char *(*no_maximum)(const struct fit_sample *, double loglik_found);
};
#define FAMILY_LAW(name)                                                                                               \
#name, .log_pdf = name##_log_pdf, .log_cdf = name##_log_cdf, .log_sf = name##_log_sf, .draw = name##_draw
#define FAMILY_DECLARED(id, name) extern const struct family_row wr_family_##name;
WR_FAMILY_TABLE(FAMILY_DECLARED)
#undef FAMILY_DECLARED
const struct family_row *wr_family_row(enum wr_family family);

double wr_fit_mean(const struct fit_sample *s);
double wr_fit_loglik(enum wr_family family, const struct fit_sample *s, double par0, double par1);

/* Families with a location and a scale on log t: log density and log survival in z = (y - location) / scale, each with
 * its first two derivatives. Fills location and scale of log t, in the sample's unit. */
struct fit_term {
    double value, d1, d2;
};
struct fit_terms {
    struct fit_term (*density)(double z), (*survival)(double z);
};
bool wr_fit_log_scale(const struct fit_terms *terms, const struct fit_sample *s, double *location, double *scale);

/* Weibull and log-logistic: par = shape, scale; both live on z = shape log(t / scale) */
static inline double power_z(const double *p, double t)
{
    return p[0] * (log(t) - log(p[1]));
}
bool wr_fit_power(const struct fit_terms *terms, const struct fit_sample *s, double *par);

double wr_log1p_exp(double x);         /* log(1 + e^x) */
double wr_log_one_minus_exp(double x); /* log(1 - e^x), x <= 0 */
