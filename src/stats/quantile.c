#include "wetrun/stats/quantile.h"

#include <float.h>
#include <gsl/gsl_sort.h>
#include <gsl/gsl_statistics_double.h>
#include <math.h>
#include <string.h>
#include "wetrun/base/error.h"
#include "wetrun/base/memory.h"

void wr_sort_ascending(double *value, size_t n)
{
    gsl_sort(value, 1, n);
}

/* Where the quantile lies among the order statistics, counted from 1. */
static double position(size_t n, double prob, enum wr_quantile_type type)
{
    double m = (double)n;

    switch (type) {
    case WR_QUANTILE_TYPE_1: return ceil(m * prob - 4 * DBL_EPSILON * m); /* 0.1 * 30 is above 3 by rounding alone */
    case WR_QUANTILE_TYPE_6: return (m + 1) * prob;
    case WR_QUANTILE_TYPE_7: return (m - 1) * prob + 1;
    case WR_QUANTILE_TYPE_8: return (m + 1.0 / 3) * prob + 1.0 / 3;
    }
    WR_BUG_IF(1);
}

double wr_quantile_of_sorted(const double *ascending, size_t n, double prob, enum wr_quantile_type type)
{
    WR_BUG_IF(n == 0 || !(prob >= 0 && prob <= 1));
    double at = fmin(fmax(position(n, prob, type), 1), (double)n), whole = floor(at), part = at - whole;
    size_t i = (size_t)whole - 1;

    if (part == 0 || i + 1 >= n) return ascending[i];
    return ascending[i] + part * (ascending[i + 1] - ascending[i]);
}

double wr_quantile(const double *value, size_t n, double prob, enum wr_quantile_type type)
{
    double *sorted = WR_NEW_ARRAY(double, n);

    memcpy(sorted, value, n * sizeof *sorted);
    wr_sort_ascending(sorted, n);
    double q = wr_quantile_of_sorted(sorted, n, prob, type);
    wr_free(sorted);
    return q;
}

double wr_quantile_in_place(double *value, size_t n, double prob)
{
    double at = position(n, prob, WR_QUANTILE_TYPE_7) - 1, whole = floor(at);
    size_t i = (size_t)whole;
    double low = gsl_stats_select(value, 1, n, i);

    return i + 1 < n ? low + (at - whole) * (gsl_stats_select(value, 1, n, i + 1) - low) : low;
}

double wr_median(const double *value, size_t n)
{
    return wr_quantile(value, n, 0.5, WR_QUANTILE_TYPE_7);
}
