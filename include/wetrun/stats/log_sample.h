/* Positive values whose logs are taken as normal: ratios, finish times of runs. Everything follows from the number,
 * mean and sd (divisor n - 1) of the logs. Source: Hahn and Meeker (1991), Statistical Intervals, ch. 3 and 4 (the
 * closed forms; from memory). The predictive law below has no mean and no variance: the exponential of a t variable has
 * neither, so no function here offers one. */
#ifndef WETRUN_STATS_LOG_SAMPLE_H
#define WETRUN_STATS_LOG_SAMPLE_H

#include <stddef.h>
#include "wetrun/base/error.h"
#include "wetrun/stats/interval.h"
#include "wetrun/stats/summary.h"

struct wr_log_sample {
    struct wr_summary log; /* of the natural logs */
};

/* WR_E_TOO_FEW for n = 0, WR_E_DOMAIN for a value that is not finite or not > 0. */
WR_MUST_CHECK enum wr_status wr_log_sample_of(const double *value, size_t n, struct wr_log_sample *sample,
                                              struct wr_error *err);

double wr_geometric_mean(const struct wr_log_sample *s);
struct wr_interval wr_geometric_mean_interval(const struct wr_log_sample *s, double level);
struct wr_interval wr_log_next_interval(const struct wr_log_sample *s, double level); /* of the next value */

/* Student predictive of the next value, exp(m + t(n - 1) s sqrt(1 + 1/n)): its quantiles, and P(next > limit).
 * Unknown for n = 1 or no spread. It is the forecast without a model that the model's is shown beside. */
struct wr_maybe wr_log_predictive_quantile(const struct wr_log_sample *s, double prob);
struct wr_maybe wr_log_predictive_over(const struct wr_log_sample *s, double limit);

/* Exact interval for the probability that a value exceeds limit (noncentral t); none for n = 1 or no spread. */
struct wr_interval wr_log_over_interval(const struct wr_log_sample *s, double limit, double level);

/* Factor k such that, with the given confidence, a share `content` of all values lies below m + k s; n >= 2. */
double wr_tolerance_factor(size_t n, double content, double confidence);
struct wr_maybe wr_log_tolerance_limit(const struct wr_log_sample *s, double content, double confidence);

#endif
