#include "wetrun/stats/noisy_ends.h"

#include <math.h>
#include <stdbool.h>
#include "wetrun/base/memory.h"
#include "wetrun/stats/batch_means.h"
#include "wetrun/stats/quantile.h"

static double as_it_is(double x)
{
    return x;
}

static double signed_root(double x)
{
    return x < 0 ? -sqrt(-x) : sqrt(x);
}

/* How far values are drawn towards their mean, on a scale. */
struct pull { double mean, keep; };

static struct pull pull_of(const double *const half[2], const double *all, size_t n, double (*scale)(double))
{
    struct pull p = {0};
    double between = 0, within = 0;

    for (size_t j = 0; j < n; j++) {
        double apart = scale(half[0][j]) - scale(half[1][j]);
        within += apart * apart / 4 / (double)n;
        p.mean += scale(all[j]) / (double)n;
    }
    for (size_t j = 0; j < n; j++) between += pow(scale(all[j]) - p.mean, 2) / (double)n;
    p.keep = between > within ? sqrt(1 - within / between) : 0;
    return p;
}

static double pulled(struct pull p, double value)
{
    return p.mean + p.keep * (value - p.mean);
}

static double pulled_unless_noise(struct pull p, double value)
{
    return p.keep * p.keep > 0.5 ? pulled(p, value) : value;
}

struct by_draw {
    const double *const *half;
    double *all, *ascending;
    struct pull plain, root;
};

static struct wr_noisy_end end_at(const struct by_draw *d, size_t n, double prob, bool is_near)
{
    double at = wr_quantile_of_sorted(d->ascending, n, prob, WR_QUANTILE_TYPE_7), halves = 0;
    double root = pulled_unless_noise(d->root, signed_root(at));

    for (size_t h = 0; h < 2; h++) halves += 0.5 * wr_quantile(d->half[h], n, prob, WR_QUANTILE_TYPE_7);
    return (struct wr_noisy_end){.value = is_near ? root * fabs(root) : pulled_unless_noise(d->plain, at),
                                 .draw_error = wr_batch_quantile_error(d->all, d->ascending, n, prob),
                                 .left_open = fmax(fabs(pulled(d->plain, at) - at), 0.5 * fabs(at - halves))};
}

struct wr_noisy_ends wr_noisy_ends(const double *const half[2], size_t n_draw)
{
    WR_SCOPED double *all = WR_NEW_ARRAY(double, n_draw);

    for (size_t j = 0; j < n_draw; j++) all[j] = 0.5 * (half[0][j] + half[1][j]);
    WR_SCOPED double *ascending = WR_COPY(all, n_draw);
    wr_sort_ascending(ascending, n_draw);
    const struct by_draw d = {half, all, ascending, pull_of(half, all, n_draw, as_it_is),
                              pull_of(half, all, n_draw, signed_root)};
    return (struct wr_noisy_ends){end_at(&d, n_draw, 0.05, d.plain.mean > 0),
                                  end_at(&d, n_draw, 0.95, d.plain.mean < 0)};
}
