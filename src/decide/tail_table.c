#include "tail_table.h"

#include <math.h>
#include <string.h>
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

static double tail_hazard(const struct wr_tail_table *t, double x)
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
        double step = (wr_tail_log(t, x) - goal) / tail_hazard(t, x);
        x += fmin(step, 2);
        if (fabs(step) < 1e-5 * (1 + fabs(x))) break; /* the next error is its square */
    }
    return x;
}

static void build_tails(struct wr_tail_table *t)
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
        t->above_slope[i] = root / tail_hazard(t, x);
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

static double tail_above_exact(const struct wr_tail_table *t, double v, double least, double *by_v, double *by_least)
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
    hazard = tail_hazard(t, z);
    *by_v = tail_hazard(t, v) / hazard;
    *by_least = tail_hazard(t, least) / hazard;
    return z;
}

/* ---- the normal above a bound, by a table ---- */

struct corner {
    double value, by_v, by_least, by_both; /* derivatives by places in a cell */
};

static struct corner corner_at(const struct wr_tail_table *t, double v, double least)
{
    const double h = 1.0 / WR_ABOVE_PER_UNIT;
    double by_v, by_least, z = tail_above_exact(t, v, least, &by_v, &by_least);

    /* by_v is h(v) / h(z), and the hazard's derivative h (h - z) */
    return (struct corner){z - least, h * by_v, h * (by_least - 1), h * h * -by_v * (tail_hazard(t, z) - z) * by_least};
}

/* Powers 0 to 3 of the cubic with values a, b and slopes p, q at 0 and 1. */
static void cubic(double a, double b, double p, double q, double c[4])
{
    c[0] = a;
    c[1] = p;
    c[2] = 3 * (b - a) - 2 * p - q;
    c[3] = p + q - 2 * (b - a);
}

/* The powers of v beside each other, those of least one after the other. Corners at (v, least), (v + h, least),
 * (v, least + h), (v + h, least + h). */
static void fill_cell(double out[16], const struct corner *low, const struct corner *high)
{
    double value[4], slope[4], value_up[4], slope_up[4], by_least[4];

    cubic(low[0].value, low[1].value, low[0].by_v, low[1].by_v, value);
    cubic(high[0].value, high[1].value, high[0].by_v, high[1].by_v, value_up);
    cubic(low[0].by_least, low[1].by_least, low[0].by_both, low[1].by_both, slope);
    cubic(high[0].by_least, high[1].by_least, high[0].by_both, high[1].by_both, slope_up);
    for (int i = 0; i < 4; i++) {
        cubic(value[i], value_up[i], slope[i], slope_up[i], by_least);
        for (int j = 0; j < 4; j++) out[4 * j + i] = by_least[j];
    }
}

static double above_node(int i)
{
    return (double)i / WR_ABOVE_PER_UNIT - WR_ABOVE_REACH;
}

static void build_above(struct wr_tail_table *t)
{
    struct corner row[2][WR_ABOVE_CELLS + 1];

    for (int j = 0; j <= WR_ABOVE_CELLS; j++) row[0][j] = corner_at(t, above_node(j), above_node(0));
    for (int i = 0; i < WR_ABOVE_CELLS; i++) {
        struct corner *low = row[i % 2], *high = row[1 - i % 2];
        for (int j = 0; j <= WR_ABOVE_CELLS; j++) high[j] = corner_at(t, above_node(j), above_node(i + 1));
        for (int j = 0; j < WR_ABOVE_CELLS; j++) fill_cell(t->excess[i][j], low + j, high + j);
    }
}

void wr_tail_build(struct wr_tail_table *t)
{
    build_tails(t);
    build_above(t);
}

/* The four powers of v at once. */
typedef double four __attribute__((vector_size(32)));

double wr_tail_above(const struct wr_tail_table *t, double v, double least, double *by_v, double *by_least)
{
    double x = (v + WR_ABOVE_REACH) * WR_ABOVE_PER_UNIT, y = (least + WR_ABOVE_REACH) * WR_ABOVE_PER_UNIT;

    if (least < -WR_ABOVE_REACH && v > WR_ABOVE_FREE - WR_ABOVE_REACH) { /* hardly anything lies below: v to 1e-7 */
        *by_v = 1;
        *by_least = 0;
        return v;
    }
    if (!(x >= 0 && x < WR_ABOVE_CELLS && y >= 0 && y < WR_ABOVE_CELLS))
        return tail_above_exact(t, v, least, by_v, by_least);
    int i = (int)x, j = (int)y;
    four c[4];
    memcpy(c, t->excess[j][i], sizeof c);
    x -= i;
    y -= j;
    const four value = c[0] + y * (c[1] + y * (c[2] + y * c[3])), slope = c[1] + y * (2 * c[2] + y * 3 * c[3]);
    *by_v = WR_ABOVE_PER_UNIT * (value[1] + x * (2 * value[2] + x * 3 * value[3]));
    *by_least = 1 + WR_ABOVE_PER_UNIT * (slope[0] + x * (slope[1] + x * (slope[2] + x * slope[3])));
    return least + value[0] + x * (value[1] + x * (value[2] + x * value[3]));
}
