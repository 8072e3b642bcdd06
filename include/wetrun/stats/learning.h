/* Straight lines by least squares. Log minutes against log order give the learning curve: every doubling of the number
 * of repetitions takes the share 2^slope of the time (unit theory; Wright 1936, J. Aeronautical Sciences 3, 122-128,
 * had the cumulative average in place of the unit). */
#pragma once

#include <stddef.h>
#include "wetrun/base/error.h"
#include "wetrun/base/number.h"
#include "wetrun/stats/interval.h"

struct wr_line { /* y = intercept + slope x */
    size_t n;
    double intercept, slope;
    double residual_sd, slope_se, df; /* divisor and degrees of freedom n - 2 */
};

/* WR_E_TOO_FEW for n < 3 or equal x; WR_E_DOMAIN for a value that is not finite. */
WR_MUST_CHECK enum wr_status wr_line_fit(const double *x, const double *y, size_t n, struct wr_line *line,
                                         struct wr_error *err);
struct wr_interval wr_line_slope_interval(const struct wr_line *line, double level);
struct wr_maybe wr_line_slope_p(const struct wr_line *line); /* two-sided, of slope 0; unknown without residuals */

double wr_learning_rate(double slope); /* share of the time that each doubling takes: 2^slope */
