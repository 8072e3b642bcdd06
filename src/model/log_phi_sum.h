/* sum over i of log Phi(slope u[i] + offset), for the same u at many slopes and offsets, as the sampler's slices ask.
 * The u are put into bins once, and of each bin the sums of powers of their offsets from its middle are kept; then a
 * look takes one Taylor series a bin in place of one polynomial a value. log Phi is analytic but for the zeros of Phi,
 * which keep 2.8 or more from the real axis (Fettis, Caslin and Cramer 1973, from memory: erfc has its first at -1.3548
 * +- 1.9915 i): with eight terms, and slopes of at most 1.5 for offsets of at most 1/8, what is left out of a value is
 * below 1e-10. Steeper slopes, few values and those far out are summed one by one. Private to the room. */
#pragma once

#include <stddef.h>
#include "grid_block.h"

enum { WR_SUM_TERMS = 8, WR_SUM_PER_UNIT = 4, WR_SUM_REACH = 8, WR_SUM_BINS = 2 * WR_SUM_REACH * WR_SUM_PER_UNIT,
       WR_SUM_LEAST = 512 };
#define WR_SUM_STEEPEST 1.5

struct wr_log_phi_sum {
    struct wr_numbers u;       /* borrowed */
    size_t first_bin, end_bin; /* the bins in use lie within; none: every value is summed */
    size_t n_far, *far;        /* [room for n] in no bin */
    double power[WR_SUM_BINS][WR_SUM_TERMS];
};

/* far: room for n, borrowed. */
void wr_log_phi_sum_take(struct wr_log_phi_sum *sum, const double *u, size_t n, size_t *far);
double wr_log_phi_sum_at(const struct wr_log_phi_sum *sum, const struct wr_grid_block *block,
                         const struct wr_log_phi *table, double slope, double offset);
