#include "wetrun/stats/newton.h"

#include <math.h>

void wr_newton_step(struct wr_newton *n, bool root_is_below, double step)
{
    double next = n->at + step;

    if (root_is_below) n->hi = n->at;
    else n->lo = n->at;
    if (!(next > n->lo && next < n->hi))
        next = isinf(n->lo) ? n->hi - 1 : isinf(n->hi) ? n->lo + 1 : (n->lo + n->hi) / 2;
    n->at = next;
}
