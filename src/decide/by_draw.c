#include "by_draw.h"

#include <math.h>
#include "wetrun/base/memory.h"

void wr_by_draw_means(const double *value, size_t n_trial, size_t n_draw, double *mean)
{
    WR_BUG_IF(n_draw == 0);
    double *n = WR_NEW_ARRAY(double, 2 * n_draw), *within = n + n_draw, total = (double)n_trial;
    double common = 0, between = 0, noise = 0;

    for (size_t j = 0; j < n_draw; j++) mean[j] = 0;
    for (size_t i = 0; i < n_trial; i++) {
        n[i % n_draw]++;
        mean[i % n_draw] += value[i];
        common += value[i];
    }
    common /= total;
    for (size_t j = 0; j < n_draw; j++) mean[j] = n[j] > 0 ? mean[j] / n[j] : common;
    for (size_t i = 0; i < n_trial; i++) {
        double off = value[i] - mean[i % n_draw];
        within[i % n_draw] += off * off;
    }
    for (size_t j = 0; j < n_draw; j++) {
        between += n[j] / total * (mean[j] - common) * (mean[j] - common);
        if (n[j] > 1) noise += n[j] / total * within[j] / n[j] * (1 / n[j]) / (1 - 1 / n[j]);
    }
    double keep = between > 0 ? sqrt(fmax(0, 1 - noise / between)) : 0;
    for (size_t j = 0; j < n_draw; j++) mean[j] = common + keep * (mean[j] - common);
    wr_free(n);
}
