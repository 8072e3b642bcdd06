/* The top of a smooth function of two variables, by safeguarded Newton with differences for derivatives.
 * For log-likelihoods without usable closed derivatives; variables should be logs, of order 1 in curvature. */
#pragma once

#include <stdbool.h>

typedef double wr_surface_fn(const void *arg, double u, double v); /* may return -INFINITY or NaN outside its domain */

/* at[2]: start, then the top. Returns false, at[] unusable, if no point with vanishing slope and downward curvature was
 * found within [start - reach, start + reach] in either variable. */
bool wr_surface_top(wr_surface_fn *fn, const void *arg, double reach, double at[2]);
