#include "wetrun/stats/halve.h"

#include <math.h>

void wr_halve(wr_before_fn *before, void *arg, double apart, int n, double *from, double *to)
{
    for (int i = 0; i < n && fabs(*to - *from) > apart; i++) {
        double middle = (*from + *to) / 2;
        if (before(arg, middle)) *from = middle;
        else *to = middle;
    }
}
