#include "wetrun/stats/summary.h"

#include <gsl/gsl_cdf.h>
#include <math.h>
#include "wetrun/stats/special.h"

struct running_sum {
    double sum, lost;
};

static void add(struct running_sum *r, double v)
{
    double t = r->sum + v;
    r->lost += fabs(r->sum) >= fabs(v) ? (r->sum - t) + v : (v - t) + r->sum;
    r->sum = t;
}

double wr_sum(const double *value, size_t n)
{
    struct running_sum r = {0, 0};
    for (size_t i = 0; i < n; i++) add(&r, value[i]);
    return r.sum + r.lost;
}

struct wr_summary wr_summarise(const double *value, size_t n)
{
    WR_BUG_IF(n == 0);
    struct wr_summary s = {.n = n, .mean = wr_sum(value, n) / (double)n, .least = value[0], .most = value[0]};
    struct running_sum square = {0, 0}, rest = {0, 0};

    for (size_t i = 0; i < n; i++) {
        double d = value[i] - s.mean;
        add(&square, d * d);
        add(&rest, d);
        s.least = fmin(s.least, value[i]);
        s.most = fmax(s.most, value[i]);
    }
    double off = rest.sum + rest.lost; /* 0 but for the rounding of the mean */
    if (n > 1) s.sd = wr_known(sqrt(fmax(0, square.sum + square.lost - off * off / (double)n) / (double)(n - 1)));
    return s;
}

static struct wr_interval around(const struct wr_summary *s, double level, double widening)
{
    WR_BUG_IF(!(level > 0 && level < 1));
    if (!s->sd.known) return WR_NO_INTERVAL;
    double half = wr_t_quantile(0.5 + 0.5 * level, (double)s->n - 1) * s->sd.value * widening;
    return (struct wr_interval){true, s->mean - half, s->mean + half};
}

struct wr_interval wr_mean_interval(const struct wr_summary *s, double level)
{
    return around(s, level, sqrt(1 / (double)s->n));
}

struct wr_interval wr_next_interval(const struct wr_summary *s, double level)
{
    return around(s, level, sqrt(1 + 1 / (double)s->n));
}

struct wr_maybe wr_mean_zero_p(const struct wr_summary *s)
{
    if (!s->sd.known || !(s->sd.value > 0)) return WR_UNKNOWN;
    double t = s->mean / (s->sd.value / sqrt((double)s->n));
    return wr_known(2 * gsl_cdf_tdist_Q(fabs(t), (double)s->n - 1));
}
