/* Counts of a non-negative quantity in bins, for quantiles of millions of values without keeping them. A bin is a range
 * of the leading bits of the single-precision number, so widths grow with the value; a few hundred values seen first
 * choose the window. What falls outside it is counted in the outermost bins, which only concerns quantiles beyond
 * those that are shown. */
#pragma once

#include <stddef.h>
#include <stdint.h>
#include <string.h>

struct wr_window {
    uint32_t low_bits;
    unsigned shift, n_bin;
    float typical;          /* mean of the values seen; n_bin 1: the only one, and quantiles give it back exactly */
};

/* The window for values like value[n], with room around them: down to 2/3 of the least, up to twice the largest. */
struct wr_window wr_window_around(const float *value, size_t n, unsigned n_bin);

static inline uint32_t wr_window_bin(const struct wr_window *w, float value)
{
    uint32_t bits;

    memcpy(&bits, &value, sizeof bits);
    uint32_t bin = bits < w->low_bits ? 0 : (bits - w->low_bits) >> w->shift;
    return bin < w->n_bin ? bin : w->n_bin - 1;
}

/* The quantile of counted values, their ranks spread evenly over their bin; 0 if nothing was counted. Rank i of n
 * stands for the probability (i - 1/2) / n (Hazen's definition). */
double wr_window_quantile(const struct wr_window *w, const uint64_t *count, double prob);
/* Many at once, prob[n] ascending. */
void wr_window_quantiles(const struct wr_window *w, const uint64_t *count, const double *prob, size_t n, double *out);
