#include "log_phi_sum.h"

#include <math.h>
#include <stdint.h>
#include <string.h>

static void add_powers(double power[WR_SUM_TERMS], double t)
{
    double t2 = t * t, t4 = t2 * t2;

    power[0] += 1.0;
    power[1] += t;
    power[2] += t2;
    power[3] += t2 * t;
    power[4] += t4;
    power[5] += t4 * t;
    power[6] += t4 * t2;
    power[7] += t4 * t2 * t;
}

void wr_log_phi_sum_take(struct wr_log_phi_sum *sum, const double *u, size_t n, size_t *far)
{
    sum->u = (struct wr_numbers){n, u, INFINITY, -INFINITY};
    for (size_t i = 0; i < n; i++) {
        if (u[i] < sum->u.least) sum->u.least = u[i];
        if (u[i] > sum->u.most) sum->u.most = u[i];
    }
    sum->far = far;
    sum->first_bin = WR_SUM_BINS;
    sum->end_bin = sum->n_far = 0;
    if (n < WR_SUM_LEAST) return;
    memset(sum->power, 0, sizeof sum->power);
    for (size_t i = 0; i < n; i++) {
        double at = (u[i] + WR_SUM_REACH) * WR_SUM_PER_UNIT;
        if (!(at >= 0 && at < WR_SUM_BINS)) {
            far[sum->n_far++] = i;
            continue;
        }
        size_t bin = (size_t)at;
        if (bin < sum->first_bin) sum->first_bin = bin;
        if (bin >= sum->end_bin) sum->end_bin = bin + 1;
        add_powers(sum->power[bin], (at - (double)bin - 0.5) / WR_SUM_PER_UNIT);
    }
}

/* Of one bin. f = log Phi has f' = g with g' = -g (z + g), which gives g's Taylor coefficients one after the other. */
static double of_bin(const double power[WR_SUM_TERMS], double log_phi, double z, double slope)
{
    double g[WR_SUM_TERMS - 1], sum = power[0] * log_phi, slopes = slope;

    g[0] = exp(-0.5 * z * z - log_phi) * 0.39894228040143267794; /* 1 / sqrt(2 pi) */
    for (size_t m = 0; m + 1 < WR_SUM_TERMS; m++) {
        sum += g[m] / (double)(m + 1) * slopes * power[m + 1];
        slopes *= slope;
        if (m + 2 == WR_SUM_TERMS) break;
        double next = z * g[m] + (m ? g[m - 1] : 0.0);
        for (size_t j = 0; j <= m; j++) next += g[j] * g[m - j];
        g[m + 1] = -next / (double)(m + 1);
    }
    return sum;
}

double wr_log_phi_sum_at(const struct wr_log_phi_sum *sum, const struct wr_grid_block *block,
                         const struct wr_log_phi *table, double slope, double offset)
{
    double all = 0.0;

    if (sum->end_bin == 0 || fabs(slope) > WR_SUM_STEEPEST) return block->log_phi_sum(table, &sum->u, slope, offset);
    for (size_t bin = sum->first_bin; bin < sum->end_bin; bin++) {
        double middle = ((double)bin + 0.5) / WR_SUM_PER_UNIT - WR_SUM_REACH, z = middle * slope + offset;
        if (sum->power[bin][0] > 0) all += of_bin(sum->power[bin], wr_log_phi(table, z), z, slope);
    }
    for (size_t i = 0; i < sum->n_far; i++) all += wr_log_phi(table, sum->u.value[sum->far[i]] * slope + offset);
    return all;
}
