/* A judgement by least, likeliest and most minutes, in one of several readings: each a row of WR_READING_TABLE and a
 * file of its own. low = high is a constant. A plain value. */
#pragma once

#include "wetrun/base/error.h"

#define WR_READING_TABLE(X)                                                                                            \
    X(PERT, pert)             /* beta on [low, high] */                                                                \
    X(TRIANGULAR, triangular) /* density rising straight from low to likely and falling straight to high */

enum wr_three_point_reading {
#define WR_READING_ID(id, name) WR_THREE_POINT_##id,
    WR_READING_TABLE(WR_READING_ID)
#undef WR_READING_ID
        WR_N_READING
};

struct wr_three_point {
    enum wr_three_point_reading reading;
    double low_min, likely_min, high_min;
};

extern const char *const wr_three_point_names[WR_N_READING + 1]; /* by reading: "pert" …; NULL at the end */

/* WR_E_DOMAIN unless 0 <= low <= likely <= high, all finite. The functions below rely on it. */
WR_MUST_CHECK enum wr_status wr_three_point_check(const struct wr_three_point *p, struct wr_error *err);

void wr_three_point_beta_shapes(const struct wr_three_point *p, double *alpha, double *beta); /* PERT, low < high */
double wr_three_point_mean_min(const struct wr_three_point *p);
double wr_three_point_sd_min(const struct wr_three_point *p);
double wr_three_point_cdf(const struct wr_three_point *p, double t_min);
double wr_three_point_quantile_min(const struct wr_three_point *p, double prob); /* 0 <= prob <= 1 */
/* minutes[2 n + 1]: the quantiles of normal scores that stand step apart, from -n step to n step; low < high. */
void wr_three_point_at_scores(const struct wr_three_point *p, int n, double step, double *minutes);
/* Mean and sd of the log of the minutes (midpoints of equal probability); low < high. */
void wr_three_point_log_moments(const struct wr_three_point *p, double *mean_log, double *sd_log);
