#include "by_draw.h"

#include <math.h>
#include "wetrun/base/memory.h"

bool wr_by_draw_means(const double *value, size_t n_trial, size_t n_draw, double *mean)
{
    WR_BUG_IF(n_draw == 0 || n_trial < n_draw);
    double *n = WR_NEW_ARRAY(double, 2 * n_draw), *within = n + n_draw, total = (double)n_trial;
    double common = 0, between = 0, noise = 0;

    for (size_t j = 0; j < n_draw; j++) mean[j] = 0;
    for (size_t i = 0; i < n_trial; i++) {
        n[i % n_draw]++;
        mean[i % n_draw] += value[i];
        common += value[i];
    }
    common /= total;
    for (size_t j = 0; j < n_draw; j++) mean[j] /= n[j];
    for (size_t i = 0; i < n_trial; i++) {
        double off = value[i] - mean[i % n_draw];
        within[i % n_draw] += off * off;
    }
    for (size_t j = 0; j < n_draw; j++) {
        between += n[j] / total * (mean[j] - common) * (mean[j] - common);
        if (n[j] > 1) noise += n[j] / total * within[j] / n[j] * (1 / n[j]) / (1 - 1 / n[j]);
    }
    bool is_mostly_noise = noise > 0 && noise >= between / 2;
    double keep = is_mostly_noise || !(between > 0) ? 1 : sqrt(1 - noise / between);
    for (size_t j = 0; j < n_draw; j++) mean[j] = common + keep * (mean[j] - common);
    wr_free(n);
    return is_mostly_noise;
}
