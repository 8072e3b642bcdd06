/* How far the tasks' centres lie off their line on the plan, with the centres integrated out; then the centres; and the
 * unseen ends of stopped cells. */
#include "chain.h"

#include <math.h>

static double normal(struct wr_chain *chain, double mean, double precision)
{
    return mean + wr_luck_normal(&chain->luck) / sqrt(precision);
}

/* Of each task: the mean of its cells less what is not its own, and the variance of that mean. */
static void take_means(struct wr_chain *chain, const struct wr_cells *cells)
{
    for (size_t k = 0; k < cells->n_task; k++) {
        double sum = 0.0, n = (double)(cells->first[k + 1] - cells->first[k]);
        for (size_t i = cells->first[k]; i < cells->first[k + 1]; i++)
            sum += chain->y[i] - chain->shift[i] - chain->f[i];
        chain->mean[k] = n > 0 ? sum / n : 0.0;
        chain->mean_var[k] = n > 0 ? 1.0 / (n * chain->w[k]) : INFINITY;
    }
}

/* log density of t = 1/(1 + (omega/scale)^2), with every mu integrated out: a mean is normal about its level with
 * variance omega^2 + its own. The prior is scaled-inverse-chi-square in omega^2. */
static double at_omega(const struct wr_chain *chain, const struct wr_cells *cells, double t)
{
    const struct wr_priors *p = &cells->priors;
    double scale2 = p->omega_scale * p->omega_scale, omega2 = scale2 * (1.0 / t - 1.0), logs = 0.0, product = 1.0;
    double sum = -(0.5 * p->omega_df + 1.0) * log(omega2) - 0.5 * p->omega_df * scale2 / omega2 - 2.0 * log(t);

    for (size_t k = 0; k < cells->n_task; k++) {
        if (cells->first[k] == cells->first[k + 1]) continue;
        double total = omega2 + chain->mean_var[k], off = chain->mean[k] - wr_task_level(chain, cells, k);
        sum -= 0.5 * off * off / total;
        product *= total;
        if (product > 1e-100 && product < 1e100) continue;
        logs += log(product);
        product = 1.0;
    }
    return sum - 0.5 * (logs + log(product));
}

static void draw_omega(struct wr_chain *chain, const struct wr_cells *cells)
{
    double scale = cells->priors.omega_scale, ratio = chain->omega / scale, now = 1.0 / (1.0 + ratio * ratio);
    struct wr_slice slice = wr_slice_start(&chain->luck, 0.0, 1.0, now, at_omega(chain, cells, now));

    while (wr_slice_next(&chain->luck, &slice))
        if (wr_slice_holds(&slice, at_omega(chain, cells, slice.at))) break;
    chain->omega = scale * sqrt(1.0 / slice.at - 1.0);
}

static void draw_centres(struct wr_chain *chain, const struct wr_cells *cells)
{
    double prior = 1.0 / (chain->omega * chain->omega);

    for (size_t k = 0; k < cells->n_task; k++) {
        double known = 1.0 / chain->mean_var[k], precision = prior + known;
        chain->mu[k] =
            normal(chain, (known * chain->mean[k] + prior * wr_task_level(chain, cells, k)) / precision, precision);
    }
}

void wr_centre_block(struct wr_chain *chain, const struct wr_cells *cells)
{
    take_means(chain, cells);
    draw_omega(chain, cells);
    draw_centres(chain, cells);
}

void wr_stopped_block(struct wr_chain *chain, const struct wr_cells *cells)
{
    for (size_t j = 0; j < cells->n_stopped; j++) {
        size_t i = cells->stopped[j], k = cells->stopped_task[j];
        double mean = chain->mu[k] + chain->f[i] + chain->shift[i], sd = 1.0 / sqrt(chain->w[k]);
        chain->y[i] = mean + sd * wr_luck_normal_above(&chain->luck, (cells->log_min[i] - mean) / sd);
    }
}
