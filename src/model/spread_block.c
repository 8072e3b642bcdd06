/* Spreads. rho moves with the skew part h of every error integrated out, then h is drawn again; given h the residuals
 * of a task enter by three sums, so the spreads move often at little cost. Without skew the same with rho = 0. Step
 * widths are fixed, chosen on trial campaigns; nothing adapts, so the chain stays a Markov chain. The common law of log
 * sigma moves in two ways, once given every sigma and once with them: given them it hardly moves where the cells know
 * little of each sigma, with them it hardly moves where they know much. */
#include "chain.h"

#include <gsl/gsl_math.h>
#include <gsl/gsl_randist.h>
#include <math.h>
#include <string.h>
#include "truncated_normal.h"
#include "wetrun/model/skew_normal.h"

enum { ROUNDS = 2, HYPER_STEPS = 2 };

static double square(double x)
{
    return x * x;
}

static double normal(const struct wr_chain *chain)
{
    return gsl_ran_gaussian_ziggurat(chain->rng, 1.0);
}

static bool accept(const struct wr_chain *chain, double log_ratio)
{
    return log_ratio >= 0 || log(gsl_rng_uniform_pos(chain->rng)) < log_ratio;
}

static double n_cells(const struct wr_cells *cells, size_t task)
{
    return (double)(cells->first[task + 1] - cells->first[task]);
}

/* ---- skew ---- */

/* Log likelihood of all residuals under the skew-normal error, and rho's prior, up to a constant: with x = e/scale +
 * rho C0 and slope = rho/sqrt(1 - rho^2) the density of e is 2/scale phi(x) Phi(slope x). */
static double skew_logp(const struct wr_chain *chain, const struct wr_cells *cells, double rho)
{
    double unit = wr_skew_unit(rho), offset = rho * WR_SKEW_C0, slope = rho / sqrt(1.0 - rho * rho);
    double squares = 0.0, tails = 0.0;

    for (size_t k = 0; k < cells->n_task; k++) {
        double per_scale = unit / chain->sigma[k];
        for (size_t i = cells->first[k]; i < cells->first[k + 1]; i++) {
            double x = chain->res[i] * per_scale + offset;
            squares += x * x;
            tails += wr_log_phi(&cells->phi, slope * x);
        }
    }
    return tails - 0.5 * squares + (double)cells->n_cell * log(unit)
           + wr_prior_log_ratio(&cells->priors, WR_COMMON_RHO, &cells->priors.rho_score, rho);
}

/* Three widths: the posterior of rho is wide from a few runs and narrow from many. */
static void move_rho(struct wr_chain *chain, const struct wr_cells *cells)
{
    static const double width[] = {0.7, 0.25, 0.08};
    double log_now = skew_logp(chain, cells, chain->rho);

    for (size_t i = 0; i < sizeof width / sizeof *width; i++) {
        double rho = chain->rho + width[i] * normal(chain);
        if (fabs(rho) >= cells->priors.rho_most) continue;
        double log_tried = skew_logp(chain, cells, rho);
        if (!accept(chain, log_tried - log_now)) continue;
        chain->rho = rho;
        log_now = log_tried;
    }
}

/* |h| given a cell's residual is normal(rho (e/scale + rho C0), 1 - rho^2) above 0. Leaves |h| - C0 in shift. */
static void draw_skew_parts(struct wr_chain *chain, const struct wr_cells *cells)
{
    double rho = chain->rho, sd = sqrt(1.0 - rho * rho), unit = wr_skew_unit(rho);

    for (size_t k = 0; k < cells->n_task; k++) {
        double per_scale = unit / chain->sigma[k];
        chain->skew_cross[k] = 0.0;
        for (size_t i = cells->first[k]; i < cells->first[k + 1]; i++) {
            double mean = rho * (chain->res[i] * per_scale + rho * WR_SKEW_C0);
            chain->shift[i] = mean + sd * wr_normal_above(chain->rng, -mean / sd) - WR_SKEW_C0;
            chain->skew_cross[k] += chain->res[i] * chain->shift[i];
        }
    }
}

/* From |h| - C0 to minutes' logs, and the precision of what is left. */
static void scale_skew_parts(struct wr_chain *chain, const struct wr_cells *cells)
{
    double rho = chain->rho, unit = wr_skew_unit(rho);

    for (size_t k = 0; k < cells->n_task; k++) {
        double scale = chain->sigma[k] / unit;
        for (size_t i = cells->first[k]; i < cells->first[k + 1]; i++) chain->shift[i] *= scale * rho;
        chain->w[k] = 1.0 / ((1.0 - rho * rho) * square(scale));
    }
}

/* ---- spreads given h ---- */

static double loglik(const struct wr_chain *chain, const struct wr_cells *cells, size_t task, double sigma)
{
    double rho = chain->rho, per_scale = wr_skew_unit(rho) / sigma;
    double squares = per_scale * (per_scale * chain->sse[task] - 2.0 * rho * chain->skew_cross[task]);

    return n_cells(cells, task) * log(per_scale) - 0.5 * squares / (1.0 - rho * rho);
}

/* Where the common law has log sigma of a task. */
static double middle(const struct wr_chain *chain, const struct wr_cells *cells, size_t task)
{
    return chain->log_s0 + chain->d * cells->length_dev[task];
}

static void move_each_sigma(struct wr_chain *chain, const struct wr_cells *cells)
{
    double precision = 1.0 / square(chain->omega_s);

    for (size_t k = 0; k < cells->n_task; k++) {
        double off = chain->log_sigma[k] - middle(chain, cells, k);
        double step = 2.0 / sqrt(precision + 2.0 * n_cells(cells, k)) * normal(chain);
        double tried = chain->sigma[k] * exp(step), log_tried = loglik(chain, cells, k, tried);
        if (tried < cells->priors.sigma_least) continue;
        if (!accept(chain, log_tried - chain->loglik[k] - 0.5 * precision * step * (step + 2.0 * off))) continue;
        chain->sigma[k] = tried;
        chain->log_sigma[k] = log(tried);
        chain->loglik[k] = log_tried;
    }
}

/* Metropolis step for all tasks at once, to chain->sigma_tried; log_ratio is what prior and Jacobian contribute. */
static bool move_all(struct wr_chain *chain, const struct wr_cells *cells, double log_ratio)
{
    double change = log_ratio;

    for (size_t k = 0; k < cells->n_task; k++) {
        if (chain->sigma_tried[k] < cells->priors.sigma_least) return false;
        chain->loglik_tried[k] = loglik(chain, cells, k, chain->sigma_tried[k]);
        change += chain->loglik_tried[k] - chain->loglik[k];
    }
    if (!accept(chain, change)) return false;
    memcpy(chain->sigma, chain->sigma_tried, cells->n_task * sizeof *chain->sigma);
    for (size_t k = 0; k < cells->n_task; k++) chain->log_sigma[k] = log(chain->sigma[k]);
    memcpy(chain->loglik, chain->loglik_tried, cells->n_task * sizeof *chain->loglik);
    return true;
}

/* log of prior(now + step) / prior(now) */
static double normal_prior_change(double now, double step, double mean, double sd)
{
    return -0.5 * step * (step + 2.0 * (now - mean)) / square(sd);
}

/* The line that the spreads follow, every sigma with it: off the line nothing changes. */
static void move_line(struct wr_chain *chain, const struct wr_cells *cells)
{
    const struct wr_priors *p = &cells->priors;
    double up = 0.08 * normal(chain), turn = cells->length_ss > 0 ? 0.3 / sqrt(cells->length_ss) * normal(chain) : 0.0;
    double prior = normal_prior_change(chain->log_s0, up, p->log_s0_mean, p->log_s0_sd)
                   + normal_prior_change(chain->d, turn, p->d_mean, p->d_sd);

    for (size_t k = 0; k < cells->n_task; k++)
        chain->sigma_tried[k] = chain->sigma[k] * exp(up + turn * cells->length_dev[k]);
    if (!move_all(chain, cells, prior)) return;
    chain->log_s0 += up;
    chain->d += turn;
}

static double log_prior_omega_s(const struct wr_priors *p, double omega_s)
{
    return -0.5 * square(omega_s / p->omega_s_scale)
           + wr_prior_log_ratio(p, WR_COMMON_OMEGA_S, &p->omega_s_score, omega_s);
}

/* How unlike the tasks are: omega_s by one factor, and every log sigma stretched by it about its middle. The density of
 * log sigma falls by factor^-n_task and the stretch has the Jacobian factor^n_task: what is left is the prior of
 * omega_s, and one factor for the step in log omega_s. */
static void move_stretch(struct wr_chain *chain, const struct wr_cells *cells, double width)
{
    double step = width * normal(chain), factor = exp(step), omega_s = chain->omega_s * factor;
    double prior =
        step + log_prior_omega_s(&cells->priors, omega_s) - log_prior_omega_s(&cells->priors, chain->omega_s);

    for (size_t k = 0; k < cells->n_task; k++) {
        double mid = middle(chain, cells, k);
        chain->sigma_tried[k] = exp(mid + factor * (chain->log_sigma[k] - mid));
    }
    if (move_all(chain, cells, prior)) chain->omega_s = omega_s;
}

static double draw_normal(const struct wr_chain *chain, double pull, double precision)
{
    return pull / precision + normal(chain) / sqrt(precision);
}

/* Metropolis in log omega_s; squares: of log sigma off its middle. */
static void move_omega_s(struct wr_chain *chain, const struct wr_cells *cells, double squares)
{
    double step = 0.35 * normal(chain), now = chain->omega_s, tried = now * exp(step);
    double prior = step + log_prior_omega_s(&cells->priors, tried) - log_prior_omega_s(&cells->priors, now);
    double fit = -(double)cells->n_task * step - 0.5 * squares * (1.0 / square(tried) - 1.0 / square(now));

    if (accept(chain, prior + fit)) chain->omega_s = tried;
}

/* The common law given every sigma. */
static void move_hyper(struct wr_chain *chain, const struct wr_cells *cells)
{
    const struct wr_priors *p = &cells->priors;
    double s0_prior = 1.0 / square(p->log_s0_sd), d_prior = 1.0 / square(p->d_sd), sum = 0.0, along = 0.0;

    for (size_t k = 0; k < cells->n_task; k++) {
        sum += chain->log_sigma[k];
        along += chain->log_sigma[k] * cells->length_dev[k]; /* length_dev adds up to 0 */
    }
    for (int i = 0; i < HYPER_STEPS; i++) {
        double per = 1.0 / square(chain->omega_s), squares = 0.0;
        chain->log_s0 =
            draw_normal(chain, per * sum + s0_prior * p->log_s0_mean, per * (double)cells->n_task + s0_prior);
        chain->d = draw_normal(chain, per * along + d_prior * p->d_mean, per * cells->length_ss + d_prior);
        for (size_t k = 0; k < cells->n_task; k++) squares += square(chain->log_sigma[k] - middle(chain, cells, k));
        move_omega_s(chain, cells, squares);
    }
}

static void take_residuals(struct wr_chain *chain, const struct wr_cells *cells)
{
    for (size_t k = 0; k < cells->n_task; k++) {
        chain->sse[k] = 0.0;
        for (size_t i = cells->first[k]; i < cells->first[k + 1]; i++) {
            chain->res[i] = chain->y[i] - chain->mu[k] - chain->f[i];
            chain->sse[k] += square(chain->res[i]);
        }
    }
}

void wr_spread_block(struct wr_chain *chain, const struct wr_cells *cells)
{
    take_residuals(chain, cells);
    if (cells->priors.skew) {
        move_rho(chain, cells);
        draw_skew_parts(chain, cells);
    }
    for (size_t k = 0; k < cells->n_task; k++) {
        chain->log_sigma[k] = log(chain->sigma[k]);
        chain->loglik[k] = loglik(chain, cells, k, chain->sigma[k]);
    }
    for (int i = 0; i < ROUNDS; i++) {
        move_each_sigma(chain, cells);
        move_line(chain, cells);
        move_stretch(chain, cells, 0.4);
        move_stretch(chain, cells, 1.2);
        move_hyper(chain, cells);
    }
    scale_skew_parts(chain, cells);
}
