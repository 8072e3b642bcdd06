/* Straight lines by least squares, and the learning curve that is one on logs: time = first * order^slope, so that
 * every doubling of the number of repetitions takes the share 2^slope of the time (unit theory; Wright 1936, J.
 * Aeronautical Sciences 3, 122-128, had the cumulative average in place of the unit). */
#ifndef WETRUN_STATS_LEARNING_H
#define WETRUN_STATS_LEARNING_H

#include <stddef.h>
#include "wetrun/base/error.h"
#include "wetrun/base/number.h"
#include "wetrun/stats/interval.h"

struct wr_line { /* y = intercept + slope x */
    size_t n;
    double intercept, slope;
    double residual_sd, slope_se, df; /* divisor and degrees of freedom n - 2 */
    double x_mean, x_square;          /* mean of x, sum of squares about it */
};

/* WR_E_TOO_FEW for n < 3 or equal x; WR_E_DOMAIN for a value that is not finite. */
WR_MUST_CHECK enum wr_status wr_line_fit(const double *x, const double *y, size_t n, struct wr_line *line,
                                         struct wr_error *err);
struct wr_interval wr_line_slope_interval(const struct wr_line *line, double level);
struct wr_maybe wr_line_slope_p(const struct wr_line *line); /* two-sided, of slope 0; unknown without residuals */
double wr_line_at(const struct wr_line *line, double x);
/* Where a new y at x lies: the line's own uncertainty included. */
struct wr_interval wr_line_next_interval(const struct wr_line *line, double x, double level);

/* The same on log minutes against log order (1, 2, …). WR_E_DOMAIN unless minutes > 0 and order > 0. */
WR_MUST_CHECK enum wr_status wr_learning_fit(const double *minutes, const double *order, size_t n, struct wr_line *line,
                                             struct wr_error *err);
double wr_learning_median_min(const struct wr_line *line, double order);
struct wr_interval wr_learning_next_interval_min(const struct wr_line *line, double order, double level);

double wr_learning_rate(double slope);              /* share of the time that each doubling takes: 2^slope */
double wr_learning_slope(double rate_per_doubling); /* and back */

#endif
