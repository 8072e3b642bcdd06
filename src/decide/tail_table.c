#include "tail_table.h"

#include <math.h>
#include "wetrun/stats/special.h"

/* Cubic through two values and slopes, u in [0, 1] across a step of width h. */
static double hermite(double f0, double f1, double d0, double d1, double u, double h)
{
    double v = 1 - u;

    return v * v * (f0 * (1 + 2 * u) + d0 * h * u) + u * u * (f1 * (1 + 2 * v) - d1 * h * v);
}

/* Node below x and the place within its step; -1 outside. */
static int node_below(double x, double *u)
{
    double place = (x - WR_TAIL_LOW) * WR_TAIL_PER_UNIT;

    if (!(place >= 0 && place < WR_TAIL_NODES - 1)) return -1;
    int i = (int)place;
    *u = place - i;
    return i;
}

double wr_tail_log(const struct wr_tail_table *t, double x)
{
    double u;
    int i = node_below(x, &u);

    if (i < 0) return wr_log_normal_cdf(-x);
    return hermite(t->log_tail[i], t->log_tail[i + 1], -t->hazard[i], -t->hazard[i + 1], u, 1.0 / WR_TAIL_PER_UNIT);
}

double wr_tail_hazard(const struct wr_tail_table *t, double x)
{
    double u;
    int i = node_below(x, &u);

    if (i < 0) return wr_normal_hazard(x);
    double x0 = WR_TAIL_LOW + (double)i / WR_TAIL_PER_UNIT, x1 = x0 + 1.0 / WR_TAIL_PER_UNIT;
    double h0 = t->hazard[i], h1 = t->hazard[i + 1]; /* derivative h (h - x) */
    return hermite(h0, h1, h0 * (h0 - x0), h1 * (h1 - x1), u, 1.0 / WR_TAIL_PER_UNIT);
}

/* x at which the log tail is goal < 0. The log tail is concave: after the first step Newton comes down from above. */
static double tail_inverse(const struct wr_tail_table *t, double x, double goal)
{
    for (int i = 0; i < 30; i++) {
        double step = (wr_tail_log(t, x) - goal) / wr_tail_hazard(t, x);
        x += fmin(step, 2);
        if (fabs(step) < 1e-5 * (1 + fabs(x))) break; /* the next error is its square */
    }
    return x;
}

void wr_tail_build(struct wr_tail_table *t)
{
    double x = WR_TAIL_LOW / 2.0;

    for (int i = 0; i < WR_TAIL_NODES; i++) {
        double at = WR_TAIL_LOW + (double)i / WR_TAIL_PER_UNIT;
        t->log_tail[i] = wr_log_normal_cdf(-at);
        t->hazard[i] = wr_normal_hazard(at);
    }
    for (int i = 1; i < WR_TAIL_INVERSE_NODES; i++) {
        double root = (double)i / WR_TAIL_PER_UNIT;
        x = tail_inverse(t, x, -0.5 * root * root);
        t->above[i] = x;
        t->above_slope[i] = root / wr_tail_hazard(t, x);
    }
}

/* From the table, but for tails near 1. */
static double above(const struct wr_tail_table *t, double goal, double at_least)
{
    double place = sqrt(-2 * goal) * WR_TAIL_PER_UNIT;

    if (!(place >= 0.5 * WR_TAIL_PER_UNIT && place < WR_TAIL_INVERSE_NODES - 1)) return tail_inverse(t, at_least, goal);
    int i = (int)place;
    return hermite(t->above[i], t->above[i + 1], t->above_slope[i], t->above_slope[i + 1], place - i,
                   1.0 / WR_TAIL_PER_UNIT);
}

double wr_tail_above(const struct wr_tail_table *t, double v, double least, double *by_v, double *by_least)
{
    double hazard;

    *by_v = 1;
    *by_least = 0;
    if (least < -37) return v; /* anything goes */
    if (v < -37) {
        *by_v = 0;
        *by_least = 1;
        return least;
    }
    double goal = wr_tail_log(t, v) + wr_tail_log(t, least);
    double z = above(t, goal, fmax(v, least));
    hazard = wr_tail_hazard(t, z);
    *by_v = wr_tail_hazard(t, v) / hazard;
    *by_least = wr_tail_hazard(t, least) / hazard;
    return z;
}
