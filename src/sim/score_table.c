#include "score_table.h"

#include <math.h>
#include "wetrun/stats/three_point.h"

static double normal_density(double z)
{
    return exp(-0.5 * z * z) / sqrt(2 * M_PI);
}

static void fill(struct wr_score_table *table, const double *minutes)
{
    for (int i = 0; i <= WR_SCORE_CELLS; i++) {
        table->at[i] = (float)minutes[i];
        table->rise[i] = i < WR_SCORE_CELLS ? (float)(minutes[i + 1] - minutes[i]) : 0.0f;
    }
}

static void fill_constant(struct wr_score_table *table, double minutes)
{
    for (int i = 0; i <= WR_SCORE_CELLS; i++) {
        table->at[i] = (float)minutes;
        table->rise[i] = 0;
    }
}

struct beta {
    double a, b, log_norm;
};

static double beta_density(const struct beta *d, double x)
{
    if (x <= 0 || x >= 1) return 0;
    return exp((d->a - 1) * log(x) + (d->b - 1) * log1p(-x) - d->log_norm);
}

/* dx/dz = phi(z) / f(x): the slope of the quantile function in the score */
static double slope(const struct beta *d, double z, double x)
{
    double f = beta_density(d, x);

    return f > 0 ? normal_density(z) / f : 0;
}

/* One classical Runge-Kutta step of length h from x(z). */
static double step(const struct beta *d, double z, double x, double h)
{
    double k1 = slope(d, z, x), k2 = slope(d, z + 0.5 * h, x + 0.5 * h * k1);
    double k3 = slope(d, z + 0.5 * h, x + 0.5 * h * k2), k4 = slope(d, z + h, x + h * k3);
    double next = x + h / 6 * (k1 + 2 * k2 + 2 * k3 + k4);

    return fmin(fmax(next, 0), 1);
}

void wr_score_table_pert(struct wr_score_table *table, double low, double mode, double high)
{
    const struct wr_three_point judged = {WR_THREE_POINT_PERT, low, mode, high};
    double minutes[WR_SCORE_CELLS + 1];
    struct beta d;
    const int middle = WR_SCORE_CELLS / 2;
    const double h = 1.0 / WR_SCORE_STEPS;

    if (!(high > low)) {
        fill_constant(table, low);
        return;
    }
    /* followed outwards from the median as an ordinary differential equation: cheaper by far than one inversion of
     * the beta integral per cell */
    wr_three_point_beta_shapes(&judged, &d.a, &d.b);
    d.log_norm = lgamma(d.a) + lgamma(d.b) - lgamma(d.a + d.b);
    minutes[middle] = (wr_three_point_quantile_min(&judged, 0.5) - low) / (high - low);
    for (int i = middle; i < WR_SCORE_CELLS; i++) minutes[i + 1] = step(&d, (i - middle) * h, minutes[i], h);
    for (int i = middle; i > 0; i--) minutes[i - 1] = step(&d, (i - middle) * h, minutes[i], -h);
    for (int i = 0; i <= WR_SCORE_CELLS; i++) minutes[i] = low + (high - low) * minutes[i];
    fill(table, minutes);
}

void wr_score_table_triangular(struct wr_score_table *table, double low, double mode, double high)
{
    double range = high - low, minutes[WR_SCORE_CELLS + 1];

    if (!(high > low)) {
        fill_constant(table, low);
        return;
    }
    for (int i = 0; i <= WR_SCORE_CELLS; i++) {
        double z = (double)i / WR_SCORE_STEPS - WR_SCORE_REACH;
        double below = 0.5 * erfc(-z / M_SQRT2), above = 0.5 * erfc(z / M_SQRT2);
        minutes[i] = below * range < mode - low ? low + sqrt(below * range * (mode - low))
                                                : high - sqrt(above * range * (high - mode));
    }
    fill(table, minutes);
}

bool wr_score_table_of(struct wr_score_table *table, const struct wr_source *source)
{
    const double *p = source->p;

    switch (source->kind) {
    case WR_SRC_PERT: wr_score_table_pert(table, p[0], p[1], p[2]); return true;
    case WR_SRC_TRIANGULAR: wr_score_table_triangular(table, p[0], p[1], p[2]); return true;
    case WR_SRC_MODEL:
    case WR_SRC_LOGNORMAL:
    case WR_SRC_FIXED: break;
    }
    return false;
}

double wr_score_table_minutes(const struct wr_score_table *table, double score)
{
    double place = fmin(fmax((score + WR_SCORE_REACH) * WR_SCORE_STEPS, 0), WR_SCORE_CELLS);
    int cell = (int)place;

    return table->at[cell] + table->rise[cell] * (place - cell);
}
