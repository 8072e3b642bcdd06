/* A place by halves, where nothing is known of a function but on which side of the place a value lies: any staircase
 * will do, and the answer is the same on every machine. Where there is a slope, newton.h is
 * quicker. */
#pragma once

#include <stdbool.h>

typedef bool wr_before_fn(void *arg, double x);

/* before is taken to hold at *from and not at *to, which may be the smaller; moves one of them to the middle until they
 * are no further apart than apart, n times at most. */
void wr_halve(wr_before_fn *before, void *arg, double apart, int n, double *from, double *to);
