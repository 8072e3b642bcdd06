#include "wetrun/decide/day_sheet.h"

#include <math.h>
#include <stdint.h>
#include <string.h>
#include "wetrun/base/memory.h"

/* Pool part of one task in all draws: as durations.c takes it from the posterior, before anything is added. */
static void take_pool_part(struct wr_day_sheet *s, size_t k, const struct wr_model_fit *fit, double step)
{
    const struct wr_posterior *post = &fit->post;
    size_t n = s->durations->n_draw;
    const double *mu = post->mu + fit->model_task[k] * n;

    for (size_t j = 0; j < n; j++) s->pool_log[k * n + j] = mu[j] + post->gamma[j] * step;
}

/* Row of the shift that task k has, a new one if no task before it has the same. */
static size_t row_of_shift(struct wr_day_sheet *s, size_t k, const struct wr_plan *plan)
{
    size_t n = s->durations->n_draw;
    double *row = s->shift_log + s->n_shift * n, most = 0;

    for (size_t j = 0; j < n; j++) {
        row[j] = s->durations->centre_log[k * n + j] - s->pool_log[k * n + j];
        most = fmax(most, fabs(row[j]));
    }
    if (most < 1e-9) return SIZE_MAX;
    for (size_t p = 0; p < k; p++) /* draws are made by kind of work */
        if (s->shift_of[p] != SIZE_MAX && strcmp(plan->task[p].kind, plan->task[k].kind) == 0) return s->shift_of[p];
    return s->n_shift++;
}

void wr_day_sheet_make(struct wr_day_sheet *s, const struct wr_plan *plan, const struct wr_model_fit *fit,
                       const struct wr_carry_over *carry_over, const struct wr_durations *d,
                       const struct wr_fit_options *options)
{
    size_t n = d->n_draw;
    bool held = options->hold_learning || options->target == WR_FOR_EXCURSION;
    double step = held && fit->last_order > 0 ? log(fit->last_order) - log(fit->target_order) : 0.0;

    *s = (struct wr_day_sheet){.durations = d};
    s->learned = WR_NEW_ARRAY(bool, d->n_task);
    s->seen_shift_log = WR_NEW_ARRAY(double, d->n_task);
    s->shift_of = WR_NEW_ARRAY(size_t, d->n_task);
    s->shift_log = wr_alloc(d->n_task * n, sizeof(double));
    s->pool_log = wr_alloc(d->n_task * n, sizeof(double));
    for (size_t k = 0; k < d->n_task; k++) {
        s->shift_of[k] = SIZE_MAX;
        s->learned[k] = options->model == WR_MODEL_POOLED && fit->model_task[k] != SIZE_MAX;
        if (!wr_durations_are_modelled(d, k)) continue;
        take_pool_part(s, k, fit, step);
        s->shift_of[k] = row_of_shift(s, k, plan);
        if (carry_over && options->target == WR_FOR_EXCURSION)
            s->seen_shift_log[k] = wr_carry_over_mean_log(carry_over, plan->task[k].kind);
    }
}

void wr_day_sheet_release(struct wr_day_sheet *s)
{
    WR_FREE(s->learned, s->seen_shift_log, s->shift_log, s->shift_of, s->pool_log);
    *s = (struct wr_day_sheet){0};
}
