#include "wetrun/model/duration_model.h"
#include "wetrun/stats/quantile.h"

#include <math.h>
#include "chain.h"
#include "chain_check.h"
#include "wetrun/base/memory.h"
#include "wetrun/base/parallel.h"

struct wr_sampler_options wr_sampler_default(void)
{
    return (struct wr_sampler_options){.n_chain = 4, .n_burn = 100, .n_keep = 500, .thin = 2, .seed = 1};
}

static enum wr_status check_data(const struct wr_model_data *data, struct wr_error *err)
{
    size_t n_cell = data->n_task * data->n_run;

    for (size_t i = 0; i < n_cell; i++)
        if (data->obs[i] != WR_OBS_NONE && !isfinite(data->log_min[i]))
            return wr_fail(err, WR_E_DOMAIN, "task %zu, run %zu: the time is not a positive number of minutes",
                           i / data->n_run + 1, i % data->n_run + 1);
    for (size_t k = 0; data->log_planned && k < data->n_task; k++)
        if (!isfinite(data->log_planned[k]))
            return wr_fail(err, WR_E_DOMAIN, "task %zu: the planned time is not a positive number of minutes", k + 1);
    for (size_t r = 0; r < data->n_run; r++)
        if (!(data->order[r] > 0 && isfinite(data->order[r])))
            return wr_fail(err, WR_E_DOMAIN, "run %zu: its place in time is not a positive number", r + 1);
    if (!(data->target_order > 0 && isfinite(data->target_order)))
        return wr_fail(err, WR_E_DOMAIN, "the place in time of the run that is forecast is not a positive number");
    for (size_t i = 0; i < n_cell * data->n_person; i++)
        if (!isfinite(data->person_weight[i])) return wr_fail(err, WR_E_DOMAIN, "a person's share is not a number");
    return WR_OK;
}

static void allocate(struct wr_posterior *post, const struct wr_model_data *data,
                     const struct wr_sampler_options *options)
{
    size_t n = options->n_chain * options->n_keep;

    *post = (struct wr_posterior){.n_draw = n, .n_chain = options->n_chain, .n_task = data->n_task,
                                  .n_run = data->n_run, .n_person = data->n_person,
                                  .target_order = data->target_order};
    WR_BUG_IF(data->n_task > SIZE_MAX / 8 / n || data->n_run > SIZE_MAX / 8 / n || data->n_person > SIZE_MAX / 8 / n);
    post->mu = WR_NEW_ARRAY(double, n * data->n_task);
    post->sigma = WR_NEW_ARRAY(double, n * data->n_task);
    post->q = WR_NEW_ARRAY(double, n * data->n_person);
    post->b = WR_NEW_ARRAY(double, n * data->n_run);
    double **single[] = {&post->tau, &post->kappa, &post->gamma, &post->rho, &post->s0, &post->d,
                         &post->omega_s, &post->a, &post->c, &post->omega};
    for (size_t i = 0; i < sizeof single / sizeof *single; i++) *single[i] = WR_NEW_ARRAY(double, n);
}

void wr_posterior_release(struct wr_posterior *post)
{
    double *all[] = {post->mu, post->sigma, post->q, post->b, post->tau, post->kappa, post->gamma, post->rho,
                     post->s0, post->d, post->omega_s, post->a, post->c, post->omega};

    for (size_t i = 0; i < sizeof all / sizeof *all; i++) wr_free(all[i]);
    WR_FREE(post->check, post->log_phi);
    *post = (struct wr_posterior){0};
}

double wr_posterior_slope_log(const struct wr_posterior *post)
{
    return wr_quantile(post->gamma, post->n_draw, 0.5, WR_QUANTILE_TYPE_7);
}

static void keep(struct wr_posterior *post, struct wr_chain *chain, const struct wr_cells *cells, size_t draw)
{
    size_t n = post->n_draw, learning = cells->n_effect - cells->n_person;

    for (size_t k = 0; k < cells->n_task; k++) {
        post->mu[k * n + draw] = chain->mu[k];
        post->sigma[k * n + draw] = chain->sigma[k];
    }
    for (size_t p = 0; p < cells->n_person; p++) post->q[p * n + draw] = chain->u[learning + p];
    for (size_t r = 0, seen = 0; r < post->n_run; r++) {
        bool has_cells = seen < cells->n_run && cells->data_run[seen] == r;
        post->b[r * n + draw] = has_cells ? chain->b[seen++] : chain->tau * wr_luck_normal(&chain->luck);
    }
    post->tau[draw] = chain->tau;
    post->kappa[draw] = chain->kappa;
    post->gamma[draw] = learning ? chain->u[0] : 0.0;
    post->rho[draw] = chain->rho;
    post->s0[draw] = exp(chain->log_s0);
    post->d[draw] = chain->d;
    post->omega_s[draw] = chain->omega_s;
    post->a[draw] = chain->a;
    post->c[draw] = chain->c;
    post->omega[draw] = chain->omega;
}

struct job {
    struct wr_posterior *post;
    const struct wr_model_data *data;
    const struct wr_cells *cells;
    const struct wr_sampler_options *options;
    const struct wr_posterior *start; size_t at; /* NULL: scattered starts and burn-in */
    struct wr_chain *chain;  /* [n_chain] */
    unsigned char *broken;   /* [n_chain] */
};

static void run_chain(void *arg, size_t number)
{
    struct job *job = arg;
    struct wr_chain *chain = &job->chain[number];
    const struct wr_sampler_options *o = job->options;

    if (job->start) wr_chain_start_at(chain, job->cells, job->data, job->start, job->at);
    else wr_chain_start(chain, job->cells);
    for (size_t s = 0; !job->start && s < o->n_burn; s++)
        if (!wr_chain_sweep(chain, job->cells)) goto broken;
    for (size_t kept = 0; kept < o->n_keep; kept++) {
        for (size_t s = 0; s < o->thin; s++)
            if (!wr_chain_sweep(chain, job->cells)) goto broken;
        keep(job->post, chain, job->cells, number * o->n_keep + kept);
    }
    return;
broken:
    job->broken[number] = 1;
}

/* Means over tasks, so that a bad chain shows however many tasks there are. */
static void task_means(const struct wr_posterior *post, const double *value, double *mean)
{
    for (size_t i = 0; i < post->n_draw; i++) mean[i] = 0.0;
    for (size_t k = 0; k < post->n_task; k++)
        for (size_t i = 0; i < post->n_draw; i++)
            mean[i] += value[k * post->n_draw + i] / (double)post->n_task;
}

static void check_chains(struct wr_posterior *post, const struct wr_cells *cells, size_t n_keep)
{
    const struct wr_priors *p = &cells->priors;
    WR_SCOPED double *mu = WR_NEW_ARRAY(double, post->n_draw), *sigma = WR_NEW_ARRAY(double, post->n_draw);
    const struct { const char *name; const double *value; bool moves;
    } row[] = {{"tau", post->tau, !(p->tau_fixed > 0)},
               {"kappa", post->kappa, post->n_person > 0},
               {"gamma", post->gamma, p->learning},
               {"rho", post->rho, p->skew},
               {"s0", post->s0, true},
               {"d", post->d, cells->length_ss > 0},
               {"omega_s", post->omega_s, true},
               {"a", post->a, true},
               {"c", post->c, cells->plan_ss > 0},
               {"omega", post->omega, true},
               {"mean of mu", mu, post->n_task > 0},
               {"mean of sigma", sigma, post->n_task > 0}};

    task_means(post, post->mu, mu);
    task_means(post, post->sigma, sigma);
    post->check = WR_NEW_ARRAY(struct wr_chain_check, sizeof row / sizeof *row);
    post->chains_agree = true;
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        if (!row[i].moves) continue;
        struct wr_chain_check check = wr_chain_check_of(row[i].name, row[i].value, post->n_chain, n_keep);
        post->check[post->n_check++] = check;
        post->chains_agree &= check.rhat < WR_RHAT_MOST && check.ess > WR_ESS_LEAST;
    }
}

static enum wr_status sample(struct wr_posterior *post, const struct wr_model_data *data,
                             const struct wr_priors *priors, const struct wr_sampler_options *options,
                             const struct wr_posterior *start, size_t at, struct wr_error *err)
{
    size_t n_broken = 0;

    WR_BUG_IF(options->n_chain < 1 || options->n_keep < 1 || options->thin < 1);
    enum wr_status status = check_data(data, err);
    if (status != WR_OK) return status;
    WR_SCOPED struct wr_cells *cells = WR_NEW(struct wr_cells);
    allocate(post, data, options);
    if (!start || !start->log_phi) wr_log_phi_build(post->log_phi = WR_NEW(struct wr_log_phi));
    wr_cells_init(cells, data, priors, post->log_phi ? post->log_phi : start->log_phi);
    struct job job = {post, data, cells, options, start, at, WR_NEW_ARRAY(struct wr_chain, options->n_chain),
                      WR_NEW_ARRAY(unsigned char, options->n_chain)};
    for (size_t c = 0; c < options->n_chain; c++) wr_chain_init(&job.chain[c], cells, options->seed, c);
    wr_parallel_for(options->n_chain, options->n_thread, run_chain, &job);
    for (size_t c = 0; c < options->n_chain; c++) {
        n_broken += job.broken[c];
        wr_chain_release(&job.chain[c]);
    }
    if (n_broken == 0 && !start && options->n_keep >= WR_CHECK_LEAST_KEPT) check_chains(post, cells, options->n_keep);
    WR_FREE(job.chain, job.broken);
    wr_cells_release(cells);
    if (n_broken == 0) return WR_OK;
    wr_posterior_release(post);
    return wr_fail(err, WR_E_NO_CONVERGE, "the duration model broke down in %zu of %zu chains: times too far apart?",
                   n_broken, options->n_chain);
}

enum wr_status wr_posterior_sample(struct wr_posterior *post, const struct wr_model_data *data,
                                   const struct wr_priors *priors, const struct wr_sampler_options *options,
                                   struct wr_error *err)
{
    return sample(post, data, priors, options, NULL, 0, err);
}

enum wr_status wr_posterior_sample_from(struct wr_posterior *post, const struct wr_model_data *data,
                                        const struct wr_priors *priors, const struct wr_sampler_options *options,
                                        const struct wr_posterior *start, size_t at, struct wr_error *err)
{
    WR_BUG_IF(start->n_task != data->n_task || start->n_person != data->n_person || at >= start->n_draw);
    return sample(post, data, priors, options, start, at, err);
}
