/* Values with weights, and their quantiles: the smallest value up to which a share `prob` of the weight lies. */
#pragma once

#include <stddef.h>

struct wr_weighed {
    double value, weight; /* weight >= 0, not all 0 */
};
void wr_weighed_sort(struct wr_weighed *item, size_t n); /* by value, ascending */
double wr_weighed_quantile(const struct wr_weighed *sorted, size_t n, double prob);
