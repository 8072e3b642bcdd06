#include "wetrun/stats/proportion.h"

#include <gsl/gsl_cdf.h>
#include "wetrun/base/error.h"

double wr_binomial_at_most(size_t hits, size_t n, double prob)
{
    WR_BUG_IF(!(prob >= 0 && prob <= 1));
    if (hits >= n) return 1;
    return gsl_cdf_beta_Q(prob, (double)hits + 1, (double)(n - hits)); /* sums without overflow for any n */
}
