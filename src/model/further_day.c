#include "wetrun/model/further_day.h"

#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>
#include <math.h>
#include "wetrun/base/memory.h"
#include "wetrun/base/mix.h"
#include "wetrun/model/skew_normal.h"
#include "wetrun/stats/gsl_own.h"

/* The people that the model knows in the lanes of a task; returns how many. */
static size_t known_people(const struct wr_durations *d, size_t line_up, uint32_t lanes, unsigned person[WR_MAX_LANES])
{
    size_t n = 0;

    for (size_t l = 0; l < d->n_lane; l++) {
        int who = d->line_up[line_up * d->n_lane + l];
        if ((lanes >> l & 1) && who >= 0) person[n++] = (unsigned)who;
    }
    return n;
}

static double people_effect(const struct wr_model_fit *fit, const struct wr_durations *d, size_t line_up, size_t task,
                            size_t draw)
{
    unsigned person[WR_MAX_LANES];
    size_t n = known_people(d, line_up, d->lanes[fit->plan_task[task]], person);
    double sum = 0.0;

    for (size_t i = 0; i < n; i++) sum += fit->post.q[person[i] * fit->post.n_draw + draw];
    return n ? sum / (double)n : 0.0;
}

static double draw_error(const gsl_rng *rng, double rho)
{
    double h = gsl_ran_gaussian_ziggurat(rng, 1.0), z = gsl_ran_gaussian_ziggurat(rng, 1.0);

    return wr_skew_error(rho, h, z);
}

size_t wr_further_day_draw(const struct wr_model_fit *fit, const struct wr_durations *d, size_t draw, double order,
                           size_t n_repeat, uint64_t seed, uint64_t number, double *log_min)
{
    const struct wr_posterior *post = &fit->post;
    gsl_rng *rng = wr_gsl_rng(gsl_rng_taus2); /* quick to seed, and a day takes but a few hundred numbers */

    WR_BUG_IF(!rng || draw >= post->n_draw || d->n_line_up == 0);
    gsl_rng_set(rng, wr_gsl_seed(seed, wr_mix(number) ^ wr_mix(draw + 1)));
    size_t line_up = (size_t)(gsl_rng_uniform(rng) * (double)d->n_line_up);
    double b = post->tau[draw] * gsl_ran_gaussian_ziggurat(rng, 1.0);
    double learnt = post->gamma[draw] * (log(order) - log(post->target_order));
    for (size_t j = 0; j < n_repeat; j++)
        for (size_t k = 0; k < fit->n_model_task; k++)
            log_min[j * fit->n_model_task + k] =
                post->mu[k * post->n_draw + draw] + learnt + b + people_effect(fit, d, line_up, k, draw) +
                post->sigma[k * post->n_draw + draw] * draw_error(rng, post->rho[draw]);
    wr_free(rng);
    return line_up;
}

void wr_further_day_add(struct wr_model_table *table, const struct wr_model_data *from, const struct wr_model_fit *fit,
                        const struct wr_durations *d, size_t line_up, double order, const double *log_min)
{
    wr_model_table_add_run(table, from, order, from->target_order);
    for (size_t k = 0; k < fit->n_model_task; k++) {
        unsigned person[WR_MAX_LANES];
        size_t n = from->n_person ? known_people(d, line_up, d->lanes[fit->plan_task[k]], person) : 0;
        wr_model_table_set_cell(table, k, from->n_run, WR_OBS_DONE, exp(log_min[k]), person, n);
    }
}
