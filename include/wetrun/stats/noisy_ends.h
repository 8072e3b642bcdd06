/* The 5 and 95 % points, over the draws of a posterior, of a number that days simulated for each draw gave: freed of
 * the chance in those days. Of a share, or of how much two shares differ: something whose noise grows with it. */
#pragma once

#include <stddef.h>

struct wr_noisy_end {
    double value;
    double draw_error;      /* from the finite number of draws (batch_means.h) */
    double left_open;       /* what the days of each draw leave open */
};
struct wr_noisy_ends { struct wr_noisy_end lo, hi; };

/* half[2]: [n_draw] rows of the same number from either half of the days of each draw.
 *
 * An end is first that of the draws' means, which the noise of the days drives apart. Far from none it is drawn towards
 * the mean over draws until the means would vary by what lies between draws: by what halves do not have in common (the
 * estimate of a variance component by the method of moments). Near none is less noise than elsewhere, and drawn alike
 * that end would be a gain that no draw has: there it is drawn together on the scale of (signed) roots, on which a
 * share's noise is the same everywhere. Where noise is most of it nothing is drawn together: what is left would be as
 * much chance, and ends too wide are better than falsely narrow ones.
 *
 * Left open: what drawing it as all others would move it by, or half of what leaving half of the days out does. */
struct wr_noisy_ends wr_noisy_ends(const double *const half[2], size_t n_draw);
