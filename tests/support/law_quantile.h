/* What the program has no use for: quantiles of a law, by halves on its distribution function. */
#pragma once

#include "wetrun/stats/family.h"

double law_quantile_min(const struct wr_law *law, double prob); /* relative error below 1e-12 */
