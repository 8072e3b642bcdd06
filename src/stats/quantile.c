#include "wetrun/stats/quantile.h"

#include <float.h>
#include <gsl/gsl_sort.h>
#include <gsl/gsl_statistics_double.h>
#include <math.h>
#include <stdbool.h>
#include <stdint.h>
#include <string.h>
#include "wetrun/base/error.h"
#include "wetrun/base/memory.h"

enum { FEW_TO_SORT = 200, DIGIT_BITS = 11, N_DIGIT = (64 + DIGIT_BITS - 1) / DIGIT_BITS, DIGITS = 1 << DIGIT_BITS };

static size_t digit_of(uint64_t key, int digit)
{
    return key >> (digit * DIGIT_BITS) & (DIGITS - 1);
}

/* Where in order each value of a digit begins; false: all keys have the same, and nothing is to be moved. */
static bool places_of(size_t *count, const uint64_t *key, size_t n, int digit)
{
    if (count[digit_of(key[0], digit)] == n) return false;
    for (size_t d = 0, first = 0; d < DIGITS; d++) {
        size_t here = count[d];
        count[d] = first;
        first += here;
    }
    return true;
}

/* Least digit first: a tenth of the time of a sort by comparing, for the thousands of draws or days that are sorted
 * here. The bits of a double as a key that grows with it: of one sign they are in order as they are. */
static void sort_by_digits(double *value, size_t n)
{
    uint64_t *key = wr_alloc(2 * n, sizeof *key), *from = key, *to = key + n, bits;
    size_t(*count)[DIGITS] = wr_alloc(N_DIGIT, sizeof *count);

    for (size_t i = 0; i < n; i++) {
        memcpy(&bits, &value[i], sizeof bits);
        from[i] = bits >> 63 ? ~bits : bits | UINT64_C(1) << 63;
        for (int d = 0; d < N_DIGIT; d++) count[d][digit_of(from[i], d)]++;
    }
    for (int d = 0; d < N_DIGIT; d++) {
        if (!places_of(count[d], from, n, d)) continue;
        for (size_t i = 0; i < n; i++) to[count[d][digit_of(from[i], d)]++] = from[i];
        uint64_t *done = to;
        to = from;
        from = done;
    }
    for (size_t i = 0; i < n; i++) {
        bits = from[i] >> 63 ? from[i] & ~(UINT64_C(1) << 63) : ~from[i];
        memcpy(&value[i], &bits, sizeof bits);
    }
    WR_FREE(count, key);
}

void wr_sort_ascending(double *value, size_t n)
{
    if (n < FEW_TO_SORT) gsl_sort(value, 1, n);
    else sort_by_digits(value, n);
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

    if (part == 0) return ascending[i];
    return ascending[i] + part * (ascending[i + 1] - ascending[i]);
}

double wr_quantile(const double *value, size_t n, double prob, enum wr_quantile_type type)
{
    WR_SCOPED double *sorted = WR_COPY(value, n);

    wr_sort_ascending(sorted, n);
    return wr_quantile_of_sorted(sorted, n, prob, type);
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
