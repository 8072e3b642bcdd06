/* Positive values whose logs are taken as normal: finish times of runs. Source: Hahn and Meeker (1991), Statistical
 * Intervals, ch. 4 (from memory). The predictive law below has no mean and no variance: the exponential of a t variable
 * has neither, so no function here offers one. */
#pragma once

#include <stddef.h>
#include "wetrun/base/error.h"
#include "wetrun/stats/summary.h"

struct wr_log_sample {
    struct wr_summary log; /* of the natural logs */
};

/* WR_E_TOO_FEW for n = 0, WR_E_DOMAIN for a value that is not finite or not > 0. */
WR_MUST_CHECK enum wr_status wr_log_sample_of(const double *value, size_t n, struct wr_log_sample *sample,
                                              struct wr_error *err);

/* Student predictive of the next value, exp(m + t(n - 1) s sqrt(1 + 1/n)): its quantiles. Unknown for n = 1
 * or no spread. It is the forecast without a model that the model's is shown beside. */
struct wr_maybe wr_log_predictive_quantile(const struct wr_log_sample *s, double prob);
