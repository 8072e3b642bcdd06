/* Newton's method inside a bracket: the loop, and when it is close enough, are the caller's. Where nothing is known but
 * on which side of the place a value lies, see halve.h. */
#pragma once

#include <stdbool.h>

struct wr_newton { double at, lo, hi; }; /* lo, hi: what the root is known to lie between, infinite if not yet */

/* Narrows the bracket to what lies beyond at, then goes by step, or where that would leave the bracket (or is NaN) to
 * its middle: from an open one, by 1 from the end that is known. */
void wr_newton_step(struct wr_newton *n, bool root_is_below, double step);
