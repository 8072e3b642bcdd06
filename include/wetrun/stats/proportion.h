#pragma once

#include <stddef.h>

/* P(at most hits of n independent trials) when each has probability prob. */
double wr_binomial_at_most(size_t hits, size_t n, double prob);
