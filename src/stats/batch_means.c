#include "wetrun/stats/batch_means.h"

#include <math.h>
#include "wetrun/base/error.h"
#include "wetrun/stats/quantile.h"

size_t wr_batches_for(size_t n_draw)
{
    size_t n = n_draw / WR_LEAST_IN_BATCH;

    if (n > WR_MOST_BATCHES) return WR_MOST_BATCHES;
    if (n >= WR_LEAST_BATCHES) return n;
    return n_draw < WR_LEAST_BATCHES ? n_draw : WR_LEAST_BATCHES;
}

size_t wr_batch_of(size_t draw, size_t n_draw, size_t n_batch)
{
    return draw * n_batch / n_draw;
}

void wr_batch_begin(struct wr_batch_sums *sums, size_t n_draw)
{
    *sums = (struct wr_batch_sums){.n_draw = n_draw, .n_batch = wr_batches_for(n_draw)};
}

void wr_batch_add(struct wr_batch_sums *sums, size_t draw, double weight, double value)
{
    size_t b = wr_batch_of(draw, sums->n_draw, sums->n_batch);

    sums->weight[b] += weight;
    sums->value[b] += weight * value;
}

static double total(const double *part, size_t n)
{
    double sum = 0;

    for (size_t b = 0; b < n; b++) sum += part[b];
    return sum;
}

double wr_batch_mean(const struct wr_batch_sums *sums)
{
    double weight = total(sums->weight, sums->n_batch);

    WR_BUG_IF(isnan(weight)); /* it would pass for no weight at all, and its mean for 0 */
    return weight > 0 ? total(sums->value, sums->n_batch) / weight : 0;
}

double wr_batch_error(const struct wr_batch_sums *sums)
{
    double weight = total(sums->weight, sums->n_batch), mean = wr_batch_mean(sums), squares = 0;
    double n = (double)sums->n_batch;

    if (sums->n_batch < 2 || !(weight > 0)) return 0;
    for (size_t b = 0; b < sums->n_batch; b++) {
        double off = sums->value[b] - mean * sums->weight[b];
        squares += off * off;
    }
    return sqrt(n / (n - 1) * squares) / weight;
}

double wr_batch_mean_error(const double *value, size_t n_draw)
{
    struct wr_batch_sums sums;

    wr_batch_begin(&sums, n_draw);
    for (size_t i = 0; i < n_draw; i++) wr_batch_add(&sums, i, 1, value[i]);
    return wr_batch_error(&sums);
}

/* Error of a quantile from that of the share of values below it: share_error times the slope of the quantile function,
 * taken over one error to either side. 0 <= prob <= 1. */
static double quantile_error_of_sorted(const double *ascending, size_t n, double prob, double share_error)
{
    double low = fmax(0, prob - share_error), high = fmin(1, prob + share_error);

    if (!(high > low)) return 0;
    return share_error / (high - low)
           * (wr_quantile_of_sorted(ascending, n, high, WR_QUANTILE_TYPE_7)
              - wr_quantile_of_sorted(ascending, n, low, WR_QUANTILE_TYPE_7));
}

double wr_batch_quantile_error(const double *value, const double *ascending, size_t n_draw, double prob)
{
    double at = wr_quantile_of_sorted(ascending, n_draw, prob, WR_QUANTILE_TYPE_7);
    struct wr_batch_sums below;

    wr_batch_begin(&below, n_draw);
    for (size_t i = 0; i < n_draw; i++) wr_batch_add(&below, i, 1, value[i] <= at);
    return quantile_error_of_sorted(ascending, n_draw, prob, wr_batch_error(&below));
}
