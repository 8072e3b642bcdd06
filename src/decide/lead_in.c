#include "wetrun/decide/lead_in.h"

#include <math.h>

static const double PRIOR_SHAPE = 3, LEAST_MEAN_MIN = 0.5;

static bool has_lead_in(const struct wr_timing *t, const struct wr_cell *cell, size_t run)
{
    return (cell->state == WR_CELL_DONE || cell->state == WR_CELL_STOPPED) && !cell->lead_in_unknown &&
           !t->run[run].by_minutes && !cell->began_early;
}

void wr_lead_in_laws(struct wr_lead_in *law, const struct wr_timing *t)
{
    double sum = 0;
    size_t n = 0;

    for (size_t k = 0; k < t->n_task; k++) {
        law[k] = (struct wr_lead_in){.shape = PRIOR_SHAPE};
        for (size_t r = 0; r < t->n_run; r++) {
            const struct wr_cell *cell = wr_timing_cell(t, k, r);
            if (!has_lead_in(t, cell, r)) continue;
            law[k].shape++;
            law[k].scale += cell->lead_in_min;
            sum += cell->lead_in_min;
            n++;
        }
        const double n_own = law[k].shape - PRIOR_SHAPE;
        law[k].mean_min = n_own > 0 ? law[k].scale / n_own : 0;
    }
    double mean = n > 0 ? fmax(sum / (double)n, LEAST_MEAN_MIN) : LEAST_MEAN_MIN;
    for (size_t k = 0; k < t->n_task; k++) law[k].scale += (PRIOR_SHAPE - 1) * mean;
}

double wr_lead_in_tail(const struct wr_lead_in *law, double minutes)
{
    if (minutes <= 0) return 1;
    return law->scale > 0 ? pow(1 + minutes / law->scale, -law->shape) : 0;
}

double wr_lead_in_density(const struct wr_lead_in *law, double minutes)
{
    if (minutes < 0 || !(law->scale > 0)) return 0;
    return law->shape / law->scale * pow(1 + minutes / law->scale, -law->shape - 1);
}

double wr_lead_in_quantile(const struct wr_lead_in *law, double prob)
{
    return law->scale * (pow(1 - prob, -1 / law->shape) - 1);
}
