/* Triangular: the density rises straight from low to likely and falls straight to high. */
#include <math.h>
#include "reading.h"

static double left(const struct wr_three_point *p)
{
    return p->likely_min - p->low_min;
}

static double right(const struct wr_three_point *p)
{
    return p->high_min - p->likely_min;
}

static double mean_min(const struct wr_three_point *p)
{
    return (p->low_min + p->likely_min + p->high_min) / 3;
}

static double sd_min(const struct wr_three_point *p)
{
    return sqrt((left(p) * left(p) + left(p) * right(p) + right(p) * right(p)) / 18);
}

static double cdf(const struct wr_three_point *p, double t_min)
{
    double range = wr_three_point_range(p);

    if (t_min <= p->likely_min) return (t_min - p->low_min) * (t_min - p->low_min) / (range * left(p));
    return 1 - (p->high_min - t_min) * (p->high_min - t_min) / (range * right(p));
}

/* above = 1 - below, given apart so that the upper tail keeps its digits */
static double minutes_at(const struct wr_three_point *p, double below, double above)
{
    double range = wr_three_point_range(p);

    if (below * range <= left(p)) return p->low_min + sqrt(below * range * left(p));
    return p->high_min - sqrt(above * range * right(p));
}

static double quantile_min(const struct wr_three_point *p, double prob)
{
    return minutes_at(p, prob, 1 - prob);
}

static void at_scores(const struct wr_three_point *p, int n, double step, double *minutes)
{
    for (int i = -n; i <= n; i++) {
        double z = i * step;
        minutes[n + i] = minutes_at(p, 0.5 * erfc(-z / M_SQRT2), 0.5 * erfc(z / M_SQRT2));
    }
}

const struct wr_reading wr_reading_triangular = {mean_min, sd_min, cdf, quantile_min, at_scores};
