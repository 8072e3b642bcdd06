#include "truncated_normal.h"

#include <gsl/gsl_randist.h>

double wr_normal_above(const gsl_rng *rng, double low)
{
    double x;

    /* From one sd up GSL's tail method accepts two times in three or more; below that plain rejection is as fast. */
    if (low > 1.0) return gsl_ran_gaussian_tail(rng, low, 1.0);
    do x = gsl_ran_gaussian_ziggurat(rng, 1.0);
    while (x <= low);
    return x;
}
