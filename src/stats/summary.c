#include "wetrun/stats/summary.h"

#include <math.h>

struct running_sum {
    double sum, lost;
};

static void add_value(struct running_sum *r, double v)
{
    double t = r->sum + v;
    r->lost += fabs(r->sum) >= fabs(v) ? (r->sum - t) + v : (v - t) + r->sum;
    r->sum = t;
}

double wr_sum(const double *value, size_t n)
{
    struct running_sum r = {0, 0};
    for (size_t i = 0; i < n; i++) add_value(&r, value[i]);
    return r.sum + r.lost;
}

struct wr_summary wr_summarise(const double *value, size_t n)
{
    WR_BUG_IF(n == 0);
    struct wr_summary s = {.n = n, .mean = wr_sum(value, n) / (double)n, .least = value[0], .most = value[0]};
    struct running_sum square = {0, 0}, rest = {0, 0};

    for (size_t i = 0; i < n; i++) {
        double d = value[i] - s.mean;
        add_value(&square, d * d);
        add_value(&rest, d);
        s.least = fmin(s.least, value[i]);
        s.most = fmax(s.most, value[i]);
    }
    double off = rest.sum + rest.lost; /* 0 but for the rounding of the mean */
    if (n > 1) s.sd = wr_known(sqrt(fmax(0, square.sum + square.lost - off * off / (double)n) / (double)(n - 1)));
    return s;
}
