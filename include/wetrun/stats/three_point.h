/* A judgement by least, likeliest and most minutes, in either of two readings:
 *   PERT-beta   beta on [low, high], shapes 1 + 4 (likely - low)/(high - low) and 1 + 4 (high - likely)/(high - low);
 *               Malcolm et al. (1959), Operations Research 7, 646-669, for the three points and the weight 4
 *   triangular  density rising straight from low to likely and falling straight to high
 * low = high is a constant. A plain value. */
#ifndef WETRUN_STATS_THREE_POINT_H
#define WETRUN_STATS_THREE_POINT_H

#include "wetrun/base/error.h"

enum wr_three_point_reading { WR_THREE_POINT_PERT, WR_THREE_POINT_TRIANGULAR };

struct wr_three_point {
    enum wr_three_point_reading reading;
    double low_min, likely_min, high_min;
};

/* WR_E_DOMAIN unless 0 <= low <= likely <= high, all finite. The functions below rely on it. */
WR_MUST_CHECK enum wr_status wr_three_point_check(const struct wr_three_point *p, struct wr_error *err);

void wr_three_point_beta_shapes(const struct wr_three_point *p, double *alpha, double *beta); /* low < high */
double wr_three_point_mean_min(const struct wr_three_point *p);
double wr_three_point_sd_min(const struct wr_three_point *p);
double wr_three_point_cdf(const struct wr_three_point *p, double t_min);
double wr_three_point_quantile_min(const struct wr_three_point *p, double prob); /* 0 <= prob <= 1 */
/* Mean and sd of the log of the minutes (midpoints of equal probability); low < high. */
void wr_three_point_log_moments(const struct wr_three_point *p, double *mean_log, double *sd_log);

#endif
