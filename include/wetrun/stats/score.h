/* How good a forecast was, seen from what happened. CRPS: continuous ranked probability score, in the unit of the
 * forecast, smaller is better; for a forecast that is one number it is the absolute error.
 * Source: Gneiting and Raftery (2007), JASA 102, 359-378. */
#pragma once

#include <stddef.h>

enum wr_crps_of {
    WR_CRPS_OF_DRAWS, /* of the draws taken as the whole forecast */
    WR_CRPS_FAIR,     /* unbiased for the distribution that the draws came from; n >= 2 */
};
double wr_crps_draws(const double *ascending, size_t n, double actual, enum wr_crps_of of);

/* Strictly below: the rank of what happened. */
double wr_share_below(const double *ascending, size_t n, double actual);
