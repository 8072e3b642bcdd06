#include "tally.h"

#include <math.h>

static uint32_t bits_of(float value)
{
    uint32_t bits;

    memcpy(&bits, &value, sizeof bits);
    return bits;
}

static double edge(const struct wr_window *w, unsigned bin)
{
    uint32_t bits = w->low_bits + (bin << w->shift);
    float value;

    memcpy(&value, &bits, sizeof value);
    return value;
}

struct wr_window wr_window_around(const float *value, size_t n, unsigned n_bin)
{
    const float least = 1.0f / 64; /* about a second: finer is not told apart from 0 */
    float low = INFINITY, high = 0;
    double sum = 0;

    for (size_t i = 0; i < n; i++) {
        low = fminf(low, value[i]);
        high = fmaxf(high, value[i]);
        sum += (double)value[i];
    }
    if (low == high) return (struct wr_window){.n_bin = 1, .typical = low};
    low = fmaxf(low / 1.5f, least);
    high = fmaxf(high * 2, 2 * low);
    struct wr_window w = {.low_bits = bits_of(low), .n_bin = n_bin, .typical = (float)(sum / (double)n)};
    while ((bits_of(high) - w.low_bits) >> w.shift >= n_bin) w.shift++;
    return w;
}

void wr_window_quantiles(const struct wr_window *w, const uint64_t *count, const double *prob, size_t n, double *out)
{
    uint64_t total = 0, below = 0;
    unsigned bin = 0;

    for (unsigned i = 0; i < w->n_bin; i++) total += count[i];
    for (size_t i = 0; i < n; i++) {
        double rank = fmin(fmax(prob[i] * (double)total, 0.5), (double)total - 0.5);
        if (total == 0) {
            out[i] = 0;
            continue;
        }
        if (w->n_bin == 1) {
            out[i] = w->typical;
            continue;
        }
        while ((double)(below + count[bin]) < rank) below += count[bin++];
        double low = bin == 0 ? 0 : edge(w, bin), high = edge(w, bin + 1);
        if (bin == 0 && w->low_bits > bits_of(1.0f / 64)) low = edge(w, 0);
        out[i] = low + (high - low) * (rank - (double)below) / (double)count[bin];
    }
}

double wr_window_quantile(const struct wr_window *w, const uint64_t *count, double prob)
{
    double out;

    wr_window_quantiles(w, count, &prob, 1, &out);
    return out;
}
