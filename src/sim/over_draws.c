#include "over_draws.h"

#include <math.h>
#include "points.h"
#include "wetrun/base/memory.h"
#include "wetrun/stats/batch_means.h"
#include "wetrun/stats/quantile.h"

/* What batches of draws tell, less what the points within draws add to it: that is the replicates' to tell. */
static double draw_error_of(const double *by_draw, size_t n_draw, double within)
{
    double error = wr_batch_mean_error(by_draw, n_draw);

    return sqrt(fmax(0, error * error - within / (double)n_draw));
}

struct wr_spread wr_spread_over(const double *what, size_t n_draw, bool known, double *by_draw)
{
    struct wr_spread s = {0};
    double replicate[WR_REPLICATES] = {0};

    for (size_t j = 0; j < n_draw; j++) {
        double sum = 0, squares = 0;
        for (size_t r = 0; r < WR_REPLICATES; r++) {
            sum += what[j * WR_REPLICATES + r];
            replicate[r] += what[j * WR_REPLICATES + r] / (double)n_draw;
        }
        by_draw[j] = sum / WR_REPLICATES;
        for (size_t r = 0; r < WR_REPLICATES; r++)
            squares += (what[j * WR_REPLICATES + r] - by_draw[j]) * (what[j * WR_REPLICATES + r] - by_draw[j]);
        s.mean += by_draw[j] / (double)n_draw;
        s.within += squares / (WR_REPLICATES - 1) / WR_REPLICATES / (double)n_draw;
    }
    for (size_t r = 0; r < WR_REPLICATES; r++) s.point_error += (replicate[r] - s.mean) * (replicate[r] - s.mean);
    s.point_error = sqrt(s.point_error / (WR_REPLICATES - 1) / WR_REPLICATES);
    if (known) return s;
    for (size_t j = 0; j < n_draw; j++) s.between += (by_draw[j] - s.mean) * (by_draw[j] - s.mean) / (double)n_draw;
    s.draw_error = draw_error_of(by_draw, n_draw, s.within);
    return s;
}

void wr_level_replicates(double *what, size_t n_draw)
{
    double mean = 0, off[WR_REPLICATES] = {0};

    for (size_t i = 0; i < n_draw * WR_REPLICATES; i++) off[i % WR_REPLICATES] += what[i] / (double)n_draw;
    for (size_t r = 0; r < WR_REPLICATES; r++) mean += off[r] / WR_REPLICATES;
    for (size_t i = 0; i < n_draw * WR_REPLICATES; i++) what[i] -= off[i % WR_REPLICATES] - mean;
}

void wr_probability_over(struct wr_probability *p, const double *what, size_t n_draw, bool known, double *by_draw)
{
    struct wr_spread s = wr_spread_over(what, n_draw, known, by_draw);
    double keep = s.between > s.within ? sqrt(1 - s.within / s.between) : 0;

    for (size_t j = 0; j < n_draw; j++) by_draw[j] = s.mean + keep * (by_draw[j] - s.mean);
    *p = (struct wr_probability){.mean = s.mean,
                                 .lo = s.mean,
                                 .hi = s.mean,
                                 .mc_error = hypot(s.point_error, s.draw_error),
                                 .point_error = s.point_error,
                                 .no_interval = known};
    if (known) return;
    WR_SCOPED double *ascending = WR_COPY(by_draw, n_draw);
    wr_sort_ascending(ascending, n_draw);
    /* where few draws far out make the mean, it lies beyond the point: an interval without it would say that it cannot
     * be what it is */
    p->lo = fmin(wr_quantile_of_sorted(ascending, n_draw, 0.05, WR_QUANTILE_TYPE_7), s.mean);
    p->hi = fmax(wr_quantile_of_sorted(ascending, n_draw, 0.95, WR_QUANTILE_TYPE_7), s.mean);
    p->lo_mc_error = hypot(s.point_error, wr_batch_quantile_error(by_draw, ascending, n_draw, 0.05));
    p->hi_mc_error = hypot(s.point_error, wr_batch_quantile_error(by_draw, ascending, n_draw, 0.95));
}

double wr_reconcile_halves(double *a, const double *b, size_t n, bool known)
{
    double mean_a = 0, mean_b = 0, common = 0, variance = 0;

    for (size_t j = 0; j < n; j++) {
        mean_a += a[j] / (double)n;
        mean_b += b[j] / (double)n;
    }
    double mean = 0.5 * (mean_a + mean_b);
    for (size_t j = 0; j < n; j++) {
        double both = 0.5 * (a[j] + b[j]) - mean;
        common += (a[j] - mean_a) * (b[j] - mean_b);
        variance += both * both;
    }
    double keep = known || variance <= 0 ? 0 : sqrt(fmin(fmax(common / variance, 0), 1));
    for (size_t j = 0; j < n; j++) a[j] = mean + keep * (0.5 * (a[j] + b[j]) - mean);
    return mean;
}
