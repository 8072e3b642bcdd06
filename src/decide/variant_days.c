#include "variant_days.h"

#include <math.h>

void wr_days_change(struct wr_days *days, const struct wr_variant *v)
{
    for (size_t k = 0; k < days->n_task; k++) {
        bool drop = v->drop && v->drop[k];
        double scale = drop ? 0 : v->scale ? v->scale[k] : 1;
        if (drop) days->floor_min[k] = 0;
        if (drop || (v->no_rule && v->no_rule[k])) days->drop_after_min[k] = INFINITY;
        if (scale == 1) continue;
        double *minutes = wr_days_own_minutes(days, k);
        for (size_t i = 0; i < days->n_trial; i++) minutes[i] *= scale;
        if (scale == 0) days->form[k] = WR_FORM_FIXED;
    }
}

bool wr_days_differ(const struct wr_days *a, const struct wr_days *b, size_t task)
{
    return a->base_min[task] != b->base_min[task] || a->form[task] != b->form[task] ||
           a->floor_min[task] != b->floor_min[task] || a->drop_after_min[task] != b->drop_after_min[task];
}
