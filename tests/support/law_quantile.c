#include "law_quantile.h"

#include <math.h>
#include "wetrun/stats/halve.h"

struct aim {
    const struct wr_law *law;
    double prob;
};

/* By the smaller tail, whose log keeps its digits. */
static bool is_below(void *arg, double log_min)
{
    const struct aim *a = arg;

    if (a->prob > 0.5) return wr_law_log_sf(a->law, exp(log_min)) > log1p(-a->prob);
    return wr_law_log_cdf(a->law, exp(log_min)) < log(a->prob);
}

double law_quantile_min(const struct wr_law *law, double prob)
{
    double from = -300, to = 300;

    wr_halve(is_below, &(struct aim){law, prob}, 1e-13, 200, &from, &to);
    return exp(from / 2 + to / 2);
}
