#include "by_draw.h"

#include <math.h>
#include "wetrun/base/memory.h"

void wr_by_draw_means(const double *value, const double *weight, size_t n_trial, size_t n_draw, double *mean)
{
    WR_BUG_IF(n_draw == 0);
    double *sum = WR_NEW_ARRAY(double, 3 * n_draw), *squares = sum + n_draw, *within = squares + n_draw;
    double total = 0, common = 0, between = 0, noise = 0;

    for (size_t j = 0; j < n_draw; j++) mean[j] = 0;
    for (size_t i = 0; i < n_trial; i++) {
        double w = weight ? weight[i] : 1;
        sum[i % n_draw] += w;
        squares[i % n_draw] += w * w;
        mean[i % n_draw] += w * value[i];
        common += w * value[i];
        total += w;
    }
    common /= total;
    for (size_t j = 0; j < n_draw; j++) mean[j] = sum[j] > 0 ? mean[j] / sum[j] : common;
    for (size_t i = 0; i < n_trial; i++) {
        double off = value[i] - mean[i % n_draw];
        within[i % n_draw] += (weight ? weight[i] : 1) * off * off;
    }
    for (size_t j = 0; j < n_draw; j++) {
        between += sum[j] / total * (mean[j] - common) * (mean[j] - common);
        if (!(sum[j] > 0)) continue;
        double share = squares[j] / (sum[j] * sum[j]); /* 1 / effective number of days */
        if (share < 1) noise += sum[j] / total * within[j] / sum[j] * share / (1 - share);
    }
    double keep = between > 0 ? sqrt(fmax(0, 1 - noise / between)) : 0;
    for (size_t j = 0; j < n_draw; j++) mean[j] = common + keep * (mean[j] - common);
    wr_free(sum);
}
