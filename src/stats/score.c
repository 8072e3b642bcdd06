#include "wetrun/stats/score.h"

#include <math.h>
#include "wetrun/base/error.h"

double wr_crps_draws(const double *ascending, size_t n, double actual, enum wr_crps_of of)
{
    WR_BUG_IF(n == 0 || (of == WR_CRPS_FAIR && n < 2));
    double m = (double)n, off = 0, apart = 0;

    /* the sum of |x_i - x_j| over pairs: value i is the larger of the two i times, the smaller one n - 1 - i times */
    for (size_t i = 0; i < n; i++) {
        off += fabs(ascending[i] - actual);
        apart += (2 * (double)i + 1 - m) * (ascending[i] - ascending[0]);
    }
    return off / m - apart / (m * (of == WR_CRPS_FAIR ? m - 1 : m));
}

double wr_share_below(const double *ascending, size_t n, double actual)
{
    WR_BUG_IF(n == 0);
    size_t lo = 0, hi = n; /* first value not below actual */

    while (lo < hi) {
        size_t mid = lo + (hi - lo) / 2;
        if (ascending[mid] < actual) lo = mid + 1;
        else hi = mid;
    }
    return (double)lo / (double)n;
}
