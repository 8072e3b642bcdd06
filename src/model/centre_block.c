/* Task centres with their regression on the plan, and the unseen ends of stopped cells. */
#include "chain.h"

#include <gsl/gsl_randist.h>
#include <math.h>
#include "truncated_normal.h"

static double normal(const struct wr_chain *chain, double mean, double precision)
{
    return mean + gsl_ran_gaussian_ziggurat(chain->rng, 1.0) / sqrt(precision);
}

static void draw_centres(struct wr_chain *chain, const struct wr_cells *cells)
{
    double prior = 1.0 / (chain->omega * chain->omega);

    for (size_t k = 0; k < cells->n_task; k++) {
        double sum = 0.0, precision = prior + chain->w[k] * (double)(cells->first[k + 1] - cells->first[k]);
        for (size_t i = cells->first[k]; i < cells->first[k + 1]; i++)
            sum += chain->y[i] - chain->shift[i] - chain->f[i];
        chain->mu[k] =
            normal(chain, (chain->w[k] * sum + prior * wr_task_level(chain, cells, k)) / precision, precision);
    }
}

/* mu[k] - m = a + c plan_dev[k] + N(0, omega^2): each part given the others */
static void draw_plan_line(struct wr_chain *chain, const struct wr_cells *cells)
{
    const struct wr_priors *p = &cells->priors;
    double n = (double)cells->n_task, prior = 1.0 / (chain->omega * chain->omega), sum = 0.0, along = 0.0, rest = 0.0;

    for (size_t k = 0; k < cells->n_task; k++) {
        double dev = chain->mu[k] - cells->plan_mean;
        sum += dev;
        along += dev * cells->plan_dev[k];
    }
    double a_prior = 1.0 / (cells->level_sd * cells->level_sd), precision = n * prior + a_prior;
    chain->a = normal(chain, (sum * prior + cells->level_mean * a_prior) / precision, precision);
    double c_prior = 1.0 / (p->c_sd * p->c_sd);
    precision = cells->plan_ss * prior + c_prior;
    chain->c = normal(chain, (along * prior + c_prior) / precision, precision);
    for (size_t k = 0; k < cells->n_task; k++) {
        double off = chain->mu[k] - wr_task_level(chain, cells, k);
        rest += off * off;
    }
    rest += p->omega_df * p->omega_scale * p->omega_scale;
    chain->omega = sqrt(rest / (2.0 * gsl_ran_gamma(chain->rng, 0.5 * (p->omega_df + n), 1.0)));
}

void wr_centre_block(struct wr_chain *chain, const struct wr_cells *cells)
{
    draw_centres(chain, cells);
    draw_plan_line(chain, cells);
}

void wr_stopped_block(struct wr_chain *chain, const struct wr_cells *cells)
{
    for (size_t j = 0; j < cells->n_stopped; j++) {
        size_t i = cells->stopped[j], k = cells->stopped_task[j];
        double mean = chain->mu[k] + chain->f[i] + chain->shift[i], sd = 1.0 / sqrt(chain->w[k]);
        chain->y[i] = mean + sd * wr_normal_above(chain->rng, (cells->log_min[i] - mean) / sd);
    }
}
