/* Spreads. With the skew error h is integrated out while sigma, s0, nu0 and rho move, then drawn again; without it
 * sigma is integrated out while nu0 and s0 move, then drawn exactly. Step widths are fixed, chosen on trial
 * campaigns for acceptance between a quarter and a half; nothing adapts, so the chain stays a Markov chain. */
#include "chain.h"

#include <gsl/gsl_math.h>
#include <gsl/gsl_randist.h>
#include <gsl/gsl_sf_gamma.h>
#include <math.h>
#include <string.h>
#include "truncated_normal.h"

static const double mean_abs = 0.79788456080286535588; /* C0 = sqrt(2/pi) */

enum { HYPER_STEPS = 3 };

static double square(double x)
{
    return x * x;
}

static bool accept(const struct wr_chain *chain, double log_ratio)
{
    return log_ratio >= 0 || log(gsl_rng_uniform_pos(chain->rng)) < log_ratio;
}

/* Log likelihood of a task's residuals under the skew-normal error, up to a constant: with x = e/scale + rho C0
 * and slope = rho/sqrt(1 - rho^2) the density of e is 2/scale phi(x) Phi(slope x). */
static double skew_loglik(const struct wr_chain *chain, const struct wr_cells *cells, size_t task, double sigma,
                          double rho)
{
    double per_scale = sqrt(1.0 - square(mean_abs * rho)) / sigma, offset = rho * mean_abs;
    double slope = rho / sqrt(1.0 - rho * rho), squares = 0.0, tails = 0.0;

    for (size_t i = cells->first[task]; i < cells->first[task + 1]; i++) {
        double x = chain->res[i] * per_scale + offset;
        squares += x * x;
        tails += wr_log_phi(&cells->phi, slope * x);
    }
    return tails - 0.5 * squares + (double)(cells->first[task + 1] - cells->first[task]) * log(per_scale);
}

static double log_prior_hyper(const struct wr_priors *p, double log_nu0, double log_s0)
{
    return -0.5 * square((log_s0 - p->log_s0_mean) / p->log_s0_sd)
           - 0.5 * square((log_nu0 - p->log_nu0_mean) / p->log_nu0_sd);
}

static void move_each_sigma(struct wr_chain *chain, const struct wr_cells *cells)
{
    double nu0 = exp(chain->log_nu0), half_sum = 0.5 * nu0 * exp(2.0 * chain->log_s0);

    for (size_t k = 0; k < cells->n_task; k++) {
        double n = (double)(cells->first[k + 1] - cells->first[k]), now = chain->sigma[k];
        double tried = now * exp(1.2 / sqrt(nu0 + n) * gsl_ran_gaussian_ziggurat(chain->rng, 1.0));
        double log_now = skew_loglik(chain, cells, k, now, chain->rho);
        double log_tried = skew_loglik(chain, cells, k, tried, chain->rho);
        double prior = -nu0 * log(tried / now) - half_sum * (1.0 / square(tried) - 1.0 / square(now));
        bool moved = accept(chain, log_tried - log_now + prior);
        if (moved) chain->sigma[k] = tried;
        chain->loglik[k] = moved ? log_tried : log_now;
    }
}

/* Metropolis step for all tasks at once, to the spreads in chain->sigma_tried and rho; log_ratio is what prior and
 * Jacobian contribute. */
static bool move_all(struct wr_chain *chain, const struct wr_cells *cells, double rho, double log_ratio)
{
    double change = log_ratio;

    for (size_t k = 0; k < cells->n_task; k++) {
        chain->loglik_tried[k] = skew_loglik(chain, cells, k, chain->sigma_tried[k], rho);
        change += chain->loglik_tried[k] - chain->loglik[k];
    }
    if (!accept(chain, change)) return false;
    memcpy(chain->sigma, chain->sigma_tried, cells->n_task * sizeof *chain->sigma);
    memcpy(chain->loglik, chain->loglik_tried, cells->n_task * sizeof *chain->loglik);
    chain->rho = rho;
    return true;
}

/* All sigma and s0 by one factor: the prior of sigma given s0 is a scale family and does not notice. */
static void move_common_scale(struct wr_chain *chain, const struct wr_cells *cells)
{
    const struct wr_priors *p = &cells->priors;
    double step = 0.08 * gsl_ran_gaussian_ziggurat(chain->rng, 1.0), factor = exp(step);
    double prior = log_prior_hyper(p, chain->log_nu0, chain->log_s0 + step)
                   - log_prior_hyper(p, chain->log_nu0, chain->log_s0);

    for (size_t k = 0; k < cells->n_task; k++) chain->sigma_tried[k] = chain->sigma[k] * factor;
    if (move_all(chain, cells, chain->rho, prior)) chain->log_s0 += step;
}

/* Two widths: the posterior of rho is wide from a few runs and narrow from many. */
static void move_rho(struct wr_chain *chain, const struct wr_cells *cells)
{
    static const double width[] = {0.35, 0.07};

    for (size_t i = 0; i < sizeof width / sizeof *width; i++) {
        double rho = chain->rho + width[i] * gsl_ran_gaussian_ziggurat(chain->rng, 1.0);
        if (fabs(rho) >= cells->priors.rho_max) continue;
        memcpy(chain->sigma_tried, chain->sigma, cells->n_task * sizeof *chain->sigma);
        move_all(chain, cells, rho, 0.0);
    }
}

struct spread_sums { double log_sigma, inverse_square; };

/* log density of (nu0, s0) given every sigma: sigma^2 is scaled-inverse-chi2(nu0, s0^2) */
static double hyper_given_sigma(const struct wr_cells *cells, const struct spread_sums *s, double log_nu0,
                                double log_s0)
{
    double half = 0.5 * exp(log_nu0), n = (double)cells->n_task;

    return n * (half * log(half) - gsl_sf_lngamma(half)) + 2.0 * half * (n * log_s0 - s->log_sigma)
           - half * exp(2.0 * log_s0) * s->inverse_square + log_prior_hyper(&cells->priors, log_nu0, log_s0);
}

static struct spread_sums sums_of(const double *sigma, size_t n)
{
    struct spread_sums s = {0};

    for (size_t k = 0; k < n; k++) {
        s.log_sigma += log(sigma[k]);
        s.inverse_square += 1.0 / square(sigma[k]);
    }
    return s;
}

/* How unlike the tasks are, and nu0 with it: log(sigma/s0) by one factor, nu0 by its inverse square, since the spread
 * of log sigma goes with 1/sqrt(nu0). Where a task's few cells say little of its sigma, nu0 hardly moves otherwise. */
static void move_common_spread(struct wr_chain *chain, const struct wr_cells *cells)
{
    double step = 0.8 * gsl_ran_gaussian_ziggurat(chain->rng, 1.0), factor = exp(-0.5 * step), s0 = exp(chain->log_s0);

    for (size_t k = 0; k < cells->n_task; k++) chain->sigma_tried[k] = s0 * pow(chain->sigma[k] / s0, factor);
    struct spread_sums now = sums_of(chain->sigma, cells->n_task), tried = sums_of(chain->sigma_tried, cells->n_task);
    double ratio = hyper_given_sigma(cells, &tried, chain->log_nu0 + step, chain->log_s0)
                   - hyper_given_sigma(cells, &now, chain->log_nu0, chain->log_s0)
                   - 0.5 * step * (double)cells->n_task; /* Jacobian in log sigma */
    if (move_all(chain, cells, chain->rho, ratio)) chain->log_nu0 += step;
}

/* The same with every sigma integrated out, for normal errors: a Student likelihood of each task's residuals. */
static double hyper_without_sigma(struct wr_chain *chain, const struct wr_cells *cells, double log_nu0, double log_s0)
{
    double half = 0.5 * exp(log_nu0), sum0 = 2.0 * half * exp(2.0 * log_s0), log_sum0 = log(sum0), total = 0.0;
    double at_none = gsl_sf_lngamma(half);

    for (size_t n = 0; n <= cells->n_run; n++) chain->gain[n] = gsl_sf_lngamma(half + 0.5 * (double)n) - at_none;
    for (size_t k = 0; k < cells->n_task; k++) {
        size_t n = cells->first[k + 1] - cells->first[k];
        if (n == 0) continue;
        total += chain->gain[n] + half * log_sum0 - (half + 0.5 * (double)n) * log(sum0 + chain->sse[k]);
    }
    return total + log_prior_hyper(&cells->priors, log_nu0, log_s0);
}

static double hyper_logp(struct wr_chain *chain, const struct wr_cells *cells, const struct spread_sums *s,
                         double log_nu0, double log_s0)
{
    return cells->priors.skew ? hyper_given_sigma(cells, s, log_nu0, log_s0)
                              : hyper_without_sigma(chain, cells, log_nu0, log_s0);
}

static void move_hyper(struct wr_chain *chain, const struct wr_cells *cells)
{
    struct spread_sums s = cells->priors.skew ? sums_of(chain->sigma, cells->n_task) : (struct spread_sums){0};
    double now = hyper_logp(chain, cells, &s, chain->log_nu0, chain->log_s0);
    for (int i = 0; i < HYPER_STEPS; i++) {
        double log_nu0 = chain->log_nu0 + 0.8 * gsl_ran_gaussian_ziggurat(chain->rng, 1.0);
        double log_s0 = chain->log_s0 + 0.12 * gsl_ran_gaussian_ziggurat(chain->rng, 1.0);
        double tried = hyper_logp(chain, cells, &s, log_nu0, log_s0);
        if (!accept(chain, tried - now)) continue;
        chain->log_nu0 = log_nu0;
        chain->log_s0 = log_s0;
        now = tried;
    }
}

/* |h| given a cell's residual is normal(rho (e/scale + rho C0), 1 - rho^2) above 0. */
static void draw_skew_parts(struct wr_chain *chain, const struct wr_cells *cells)
{
    double rho = chain->rho, rest = 1.0 - rho * rho, sd = sqrt(rest), unit2 = 1.0 - square(mean_abs * rho);
    double unit = sqrt(unit2);

    for (size_t k = 0; k < cells->n_task; k++) {
        double scale = chain->sigma[k] / unit;
        for (size_t i = cells->first[k]; i < cells->first[k + 1]; i++) {
            double mean = rho * (chain->res[i] / scale + rho * mean_abs);
            double h = mean + sd * wr_normal_above(chain->rng, -mean / sd);
            chain->shift[i] = scale * rho * (h - mean_abs);
        }
        chain->w[k] = unit2 / (rest * square(chain->sigma[k]));
    }
}

static void draw_sigma_exactly(struct wr_chain *chain, const struct wr_cells *cells)
{
    double nu0 = exp(chain->log_nu0), sum0 = nu0 * exp(2.0 * chain->log_s0);

    for (size_t k = 0; k < cells->n_task; k++) {
        double df = nu0 + (double)(cells->first[k + 1] - cells->first[k]);
        chain->w[k] = 2.0 * gsl_ran_gamma(chain->rng, 0.5 * df, 1.0) / (sum0 + chain->sse[k]);
        chain->sigma[k] = 1.0 / sqrt(chain->w[k]);
    }
}

void wr_spread_block(struct wr_chain *chain, const struct wr_cells *cells)
{
    for (size_t k = 0; k < cells->n_task; k++) {
        chain->sse[k] = 0.0;
        for (size_t i = cells->first[k]; i < cells->first[k + 1]; i++) {
            chain->res[i] = chain->y[i] - chain->mu[k] - chain->f[i];
            chain->sse[k] += square(chain->res[i]);
        }
    }
    if (!cells->priors.skew) {
        move_hyper(chain, cells);
        draw_sigma_exactly(chain, cells);
        return;
    }
    move_each_sigma(chain, cells);
    move_common_scale(chain, cells);
    move_common_spread(chain, cells);
    move_rho(chain, cells);
    move_hyper(chain, cells);
    draw_skew_parts(chain, cells);
}
