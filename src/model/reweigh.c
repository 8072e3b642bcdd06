#include "wetrun/model/reweigh.h"

#include <math.h>
#include "log_phi.h"
#include "take_over.h"
#include "wetrun/base/memory.h"
#include "wetrun/model/skew_normal.h"

enum { N_NODE = 13, MIDDLE_NODE = N_NODE / 2 };
static const double node_step = 0.75; /* sd: 4.5 to either side. Of a bell this rule leaves out nothing to speak of */

/* The cells of a run, with what of each is the same in every draw. */
struct run_cells {
    size_t n, *task;
    double *log_min;
    bool *stopped;
    const double **person_weight; /* [n_person] of each cell */
    double learnt;                /* times gamma: where the run stands before the one that the draws' centres are of */
};

static void take_cells(struct run_cells *c, const struct wr_model_data *data, size_t run, double target_order)
{
    c->task = WR_NEW_ARRAY(size_t, data->n_task);
    c->log_min = WR_NEW_ARRAY(double, data->n_task);
    c->stopped = WR_NEW_ARRAY(bool, data->n_task);
    c->person_weight = WR_NEW_ARRAY(const double *, data->n_task);
    c->learnt = log(data->order[run]) - log(target_order);
    for (size_t k = 0; k < data->n_task; k++) {
        size_t at = k * data->n_run + run;
        if (data->obs[at] == WR_OBS_NONE) continue;
        c->task[c->n] = k;
        c->log_min[c->n] = data->log_min[at];
        c->stopped[c->n] = data->obs[at] == WR_OBS_STOPPED;
        c->person_weight[c->n++] = data->n_person ? data->person_weight + at * data->n_person : NULL;
    }
}

/* At one draw: residuals at run effect 0, and the spreads. */
struct at_draw {
    double *rest, *sigma; /* [n] of the cells */
    double rho, tau;
};

static void look_at_draw(struct at_draw *at, const struct run_cells *c, const struct wr_posterior *post, size_t draw)
{
    size_t n = post->n_draw;

    at->rho = post->rho[draw];
    at->tau = post->tau[draw];
    for (size_t i = 0; i < c->n; i++) {
        double centre = post->mu[c->task[i] * n + draw] + post->gamma[draw] * c->learnt;
        for (size_t p = 0; p < post->n_person; p++)
            if (c->person_weight[i][p] > 0) centre += c->person_weight[i][p] * post->q[p * n + draw];
        at->rest[i] = c->log_min[i] - centre;
        at->sigma[i] = post->sigma[c->task[i] * n + draw];
    }
}

/* log P(an error goes beyond e). Far out, where the distribution function leaves no digits, by midpoints. */
static double log_beyond(double e, double sigma, double rho)
{
    const struct wr_skew_normal law = wr_skew_normal_of(0, sigma, rho, 0);
    double beyond = 1 - wr_skew_normal_cdf(&law, e);

    return beyond > 1e-9 ? log(beyond) : wr_skew_error_log_tail(e, sigma, rho);
}

/* log density of the cells at run effect b. The error's density is 2/scale phi(x) Phi(slope x), x = e/scale + rho C0:
 * see spread_block.c. */
static double density_at(const struct at_draw *at, const struct run_cells *c, const struct wr_log_phi *phi, double b)
{
    double unit = wr_skew_unit(at->rho), offset = at->rho * WR_SKEW_C0, squares = 0, tails = 0;
    double slope = at->rho / sqrt(1 - at->rho * at->rho);

    for (size_t i = 0; i < c->n; i++) {
        double e = at->rest[i] - b;
        if (c->stopped[i]) {
            tails += log_beyond(e, at->sigma[i], at->rho);
            continue;
        }
        double x = e * unit / at->sigma[i] + offset;
        squares += x * x;
        tails += wr_log_phi(phi, slope * x);
    }
    return tails - 0.5 * squares;
}

/* The factors of the densities that the run effect does not change. */
static double constant_of(const struct at_draw *at, const struct run_cells *c)
{
    double sum = 0, each = log(2 * wr_skew_unit(at->rho)) - 0.5 * log(2 * M_PI);

    for (size_t i = 0; i < c->n; i++)
        if (!c->stopped[i]) sum += each - log(at->sigma[i]);
    return sum;
}

static double integrate_run_effect(const struct at_draw *at, const struct run_cells *c, const struct wr_log_phi *phi)
{
    double precision = 1 / (at->tau * at->tau), pull = 0, log_at[N_NODE], most = -INFINITY, sum = 0;

    for (size_t i = 0; i < c->n; i++) {
        double known = 1 / (at->sigma[i] * at->sigma[i]);
        if (c->stopped[i] && at->rest[i] <= 0) continue; /* nothing was to be expected yet */
        precision += known;
        pull += known * at->rest[i];
    }
    double middle = pull / precision, step = node_step / sqrt(precision);
    for (int j = 0; j < N_NODE; j++) {
        double b = middle + step * (j - MIDDLE_NODE);
        log_at[j] = density_at(at, c, phi, b) - 0.5 * b * b / (at->tau * at->tau);
        most = fmax(most, log_at[j]);
    }
    for (int j = 0; j < N_NODE; j++) sum += exp(log_at[j] - most);
    return most + log(sum * step / at->tau) - 0.5 * log(2 * M_PI) + constant_of(at, c);
}

void wr_run_log_density(double *log_density, const struct wr_posterior *post, const struct wr_model_data *data,
                        size_t run)
{
    struct run_cells cells = {0};
    WR_SCOPED struct wr_log_phi *phi = WR_NEW(struct wr_log_phi);

    WR_BUG_IF(run >= data->n_run || data->n_task != post->n_task || data->n_person != post->n_person);
    take_cells(&cells, data, run, post->target_order);
    wr_log_phi_build(phi);
    struct at_draw at = {.rest = WR_NEW_ARRAY(double, cells.n), .sigma = WR_NEW_ARRAY(double, cells.n)};
    for (size_t i = 0; i < post->n_draw; i++) {
        look_at_draw(&at, &cells, post, i);
        log_density[i] = integrate_run_effect(&at, &cells, phi);
    }
    WR_FREE(at.rest, at.sigma);
    WR_FREE(cells.task, cells.log_min, cells.stopped, cells.person_weight);
}

/* ---- weights ---- */

static double most_of(const double *value, size_t n)
{
    double most = value[0];

    for (size_t i = 1; i < n; i++) most = fmax(most, value[i]);
    return most;
}

/* Of independent draws, as the weights leave them; draws of chains count for as much less as their checks say. */
static double effective_draws(const double *log_weight, const struct wr_posterior *post)
{
    double most = most_of(log_weight, post->n_draw), sum = 0, squares = 0, worth = 1;

    for (size_t i = 0; i < post->n_draw; i++) {
        double w = exp(log_weight[i] - most);
        sum += w;
        squares += w * w;
    }
    for (size_t i = 0; i < post->n_check; i++) worth = fmin(worth, post->check[i].ess / (double)post->n_draw);
    return isfinite(sum) && squares > 0 ? worth * sum * sum / squares : 0;
}

double wr_weigh_without_run(double *log_weight, const struct wr_model_fit *from, size_t run, double target_order,
                            const struct wr_fit_options *options)
{
    const struct wr_posterior *post = &from->post;
    const struct wr_priors *p = &options->priors;
    double moved = log(target_order) - log(post->target_order);

    if (options->model == WR_MODEL_ALONE || post->n_draw == 0 || !from->data.log_planned) return 0;
    wr_run_log_density(log_weight, post, &from->data, run);
    for (size_t i = 0; i < post->n_draw; i++) {
        double was = (post->a[i] - p->a_mean) / p->a_sd, is = was + post->gamma[i] * moved / p->a_sd;
        log_weight[i] = 0.5 * (was * was - is * is) - log_weight[i];
    }
    return effective_draws(log_weight, post);
}

/* ---- draws ---- */

/* pick[n_keep] draws, rising. */
static void resample(const double *log_weight, size_t n_draw, size_t *pick, size_t n_keep)
{
    double most = most_of(log_weight, n_draw), total = 0, so_far = 0;
    size_t at = 0;

    for (size_t i = 0; i < n_draw; i++) total += exp(log_weight[i] - most);
    for (size_t j = 0; j < n_keep; j++) {
        double wanted = total * ((double)j + 0.5) / (double)n_keep;
        while (at < n_draw && so_far + exp(log_weight[at] - most) < wanted) so_far += exp(log_weight[at++] - most);
        pick[j] = at < n_draw ? at : n_draw - 1;
    }
}

static double *picked(const double *from, size_t n_row, size_t n_draw, const size_t *pick, size_t n_keep)
{
    double *to = WR_NEW_ARRAY(double, n_row * n_keep);

    for (size_t r = 0; r < n_row; r++)
        for (size_t j = 0; j < n_keep; j++) to[r * n_keep + j] = from[r * n_draw + pick[j]];
    return to;
}

/* The draws picked, their centres at another place in time. Run effects stay behind: their runs are others now. */
static void pick_draws(struct wr_posterior *to, const struct wr_posterior *from, double target_order,
                       const size_t *pick, size_t n_keep)
{
    double moved = log(target_order) - log(from->target_order);
    double **single[] = {&to->tau, &to->kappa, &to->gamma, &to->rho, &to->s0, &to->d, &to->omega_s, &to->a, &to->c,
                         &to->omega};
    const double *of[] = {from->tau, from->kappa, from->gamma, from->rho, from->s0, from->d, from->omega_s, from->a,
                          from->c, from->omega};

    *to = (struct wr_posterior){.n_draw = n_keep, .n_chain = 1, .n_task = from->n_task, .n_person = from->n_person,
                                .target_order = target_order, .chains_agree = from->chains_agree};
    to->mu = picked(from->mu, from->n_task, from->n_draw, pick, n_keep);
    to->sigma = picked(from->sigma, from->n_task, from->n_draw, pick, n_keep);
    to->q = picked(from->q, from->n_person, from->n_draw, pick, n_keep);
    for (size_t i = 0; i < sizeof single / sizeof *single; i++)
        *single[i] = picked(of[i], 1, from->n_draw, pick, n_keep);
    for (size_t j = 0; j < n_keep; j++) {
        double learnt = to->gamma[j] * moved;
        to->a[j] += learnt;
        for (size_t k = 0; k < to->n_task; k++) to->mu[k * n_keep + j] += learnt;
    }
}

void wr_model_reweighed(struct wr_model_fit *fit, const struct wr_model_fit *from, struct wr_model_table *table,
                        const double *log_weight, size_t n_keep)
{
    WR_SCOPED size_t *pick = WR_NEW_ARRAY(size_t, n_keep);

    WR_BUG_IF(from->post.n_draw == 0 || n_keep == 0);
    wr_model_take_over(fit, from, table);
    resample(log_weight, from->post.n_draw, pick, n_keep);
    pick_draws(&fit->post, &from->post, fit->target_order, pick, n_keep);
}
