/* A standard normal variate given that it lies above `low`: exact, also far out in the tail. */
#ifndef WETRUN_MODEL_TRUNCATED_NORMAL_H
#define WETRUN_MODEL_TRUNCATED_NORMAL_H

#include <gsl/gsl_rng.h>

double wr_normal_above(const gsl_rng *rng, double low);

#endif
