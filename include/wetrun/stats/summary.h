/* Mean and standard deviation without cancellation: two passes, compensated sums, the second pass corrected for the
 * rounding of the mean (Chan, Golub and LeVeque 1983, American Statistician 37, 242-247, from memory). */
#ifndef WETRUN_STATS_SUMMARY_H
#define WETRUN_STATS_SUMMARY_H

#include <stddef.h>
#include "wetrun/base/error.h"
#include "wetrun/base/number.h"
#include "wetrun/stats/interval.h"

double wr_sum(const double *value, size_t n); /* compensated (Neumaier) */

struct wr_summary {
    size_t n;
    double mean, least, most;
    struct wr_maybe sd; /* divisor n - 1; unknown for n = 1 */
};
struct wr_summary wr_summarise(const double *value, size_t n); /* n >= 1, finite */

/* mean +- t(n - 1) sd / sqrt(n); does not exist for n = 1. 0 < level < 1. */
struct wr_interval wr_mean_interval(const struct wr_summary *s, double level);
/* Where the next value lies: mean +- t(n - 1) sd sqrt(1 + 1/n). */
struct wr_interval wr_next_interval(const struct wr_summary *s, double level);
/* Two-sided p-value of the hypothesis that the mean is 0 (Student); unknown for n = 1 or no spread. */
struct wr_maybe wr_mean_zero_p(const struct wr_summary *s);

#endif
