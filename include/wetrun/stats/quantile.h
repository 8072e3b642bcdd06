/* Sample quantiles by the definitions of Hyndman and Fan (1996), American Statistician 50, 361-365, whose numbers name
 * them. Everything wetrun shows uses type 7 (linear between order statistics, the default of R, numpy and spreadsheets)
 * unless it says otherwise. */
#pragma once

#include <stddef.h>

enum wr_quantile_type {
    WR_QUANTILE_TYPE_1 = 1, /* inverse of the empirical distribution: always one of the values */
    WR_QUANTILE_TYPE_6 = 6, /* (n + 1) prob */
    WR_QUANTILE_TYPE_7 = 7, /* (n - 1) prob + 1 */
    WR_QUANTILE_TYPE_8 = 8, /* nearly median-unbiased */
};

void wr_sort_ascending(double *value, size_t n); /* finite values */

/* n >= 1, 0 <= prob <= 1; the second one sorts a copy. */
double wr_quantile_of_sorted(const double *ascending, size_t n, double prob, enum wr_quantile_type type);
double wr_quantile(const double *value, size_t n, double prob, enum wr_quantile_type type);
double wr_quantile_in_place(double *value, size_t n, double prob); /* type 7, unsorted; leaves another order */
double wr_median(const double *value, size_t n); /* the same by every type offered but type 1 */
