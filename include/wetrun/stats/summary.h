/* Mean and standard deviation without cancellation: two passes, compensated sums, the second pass corrected for the
 * rounding of the mean (Chan, Golub and LeVeque 1983, American Statistician 37, 242-247, from memory). */
#pragma once

#include <stddef.h>
#include "wetrun/base/error.h"
#include "wetrun/base/number.h"

double wr_sum(const double *value, size_t n); /* compensated (Neumaier) */

struct wr_summary {
    size_t n;
    double mean, least, most;
    struct wr_maybe sd; /* divisor n - 1; unknown for n = 1 */
};
struct wr_summary wr_summarise(const double *value, size_t n); /* n >= 1, finite */
