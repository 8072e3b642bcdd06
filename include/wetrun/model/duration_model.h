/* The duration model that the forecast rests on: one hierarchical model of all tasks in all rehearsals, sampled by
 * blocked Gibbs. Model, priors, reasons and sources: wetrun-statistics(7).
 *
 *   y[k,r] = mu[k] + gamma x[r] + b[r] + sum_p Z[k,r,p] q[p] + e[k,r],   y = log(lead-in + gap + active minutes)
 *   x[r] = log(order[r]) - log(target_order): mu[k] belongs to the run that is forecast
 *   b[r] ~ N(0, tau^2); q[p] ~ N(0, kappa^2); e = sigma[k] * skew-normal(mean 0, sd 1, rho)
 *   log sigma[k] ~ N(log s0 + d (l[k] - mean l), omega_s^2),   l[k] = log planned[k]; without any planned times the
 *                                                              mean
 *   of the task's log minutes, stopped ones as logged (a task without a cell: the mean over the others)
 * Stopped cells are right-censored and imputed in every sweep; absent and skipped cells are left out. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include "wetrun/base/error.h"
#include "wetrun/model/priors.h"

enum wr_obs { WR_OBS_NONE, WR_OBS_DONE, WR_OBS_STOPPED };

/* What the sampler sees: no plan, no log, no names. Caller fills and owns every array. */
struct wr_model_data {
    size_t n_task, n_run, n_person; /* n_person 0: no person effects */
    const unsigned char *obs;       /* [task * n_run + run] enum wr_obs */
    const double *log_min;          /* [task * n_run + run]; a stopped cell's is its lower bound */
    const double *log_planned;      /* [n_task], or NULL: one common level */
    const double *person_weight;    /* [(task * n_run + run) * n_person + person], rows sum to 1 or 0; NULL if none */
    const double *order;            /* [n_run] position in time, >= 1; need not be consecutive */
    double target_order;            /* of the run that is forecast, usually n_run + 1 */
};

struct wr_sampler_options {
    size_t n_chain, n_burn, n_keep, thin; /* sweeps of burn-in; draws kept per chain; sweeps per kept draw */
    uint64_t seed;
    unsigned n_thread;
};
struct wr_sampler_options wr_sampler_default(void);

struct wr_chain_check {   /* one row per monitored quantity: tau, gamma, s0, d, omega_s, rho, kappa, mean of mu, ... */
    const char *name;
    double rhat, ess;     /* split R-hat and bulk effective sample size (Vehtari et al. 2021); ess over all chains */
};

enum { WR_ESS_LEAST = 100, WR_CHECK_LEAST_KEPT = 20 }; /* fewer draws kept per chain: nothing is checked */
#define WR_RHAT_MOST 1.05

struct wr_log_phi;
struct wr_posterior { /* start as {0}; chains one after the other: draw = chain * n_keep + kept */
    size_t n_draw, n_chain, n_task, n_run, n_person;
    double target_order;  /* of the run that mu belongs to */
    double *mu, *sigma;   /* [task * n_draw + draw] */
    double *q;            /* [person * n_draw + draw] */
    double *b;            /* [run * n_draw + draw] run effects; of a run without cells from N(0, tau^2) */
    double *tau, *kappa, *gamma, *rho; /* [n_draw]; kappa 0 without people, rho 0 without skew */
    double *s0, *d, *omega_s, *a, *c, *omega; /* [n_draw] */
    struct wr_chain_check *check; size_t n_check;
    bool chains_agree;    /* checked, every rhat below WR_RHAT_MOST and ess above WR_ESS_LEAST */
    struct wr_log_phi *log_phi; /* what its chains looked up, for those that start from it; NULL: it started so */
};

/* WR_E_DOMAIN    a time that is not finite
 * WR_E_NO_CONVERGE  the algebra broke down (never hidden: no half-filled posterior comes back) */
WR_MUST_CHECK enum wr_status wr_posterior_sample(struct wr_posterior *post, const struct wr_model_data *data,
                                                 const struct wr_priors *priors,
                                                 const struct wr_sampler_options *options, struct wr_error *err);
/* The same started at draw `at` of another posterior over the same tasks and people, without burn-in or check: for
 * refits whose data were simulated from that very draw. */
WR_MUST_CHECK enum wr_status wr_posterior_sample_from(struct wr_posterior *post, const struct wr_model_data *data,
                                                      const struct wr_priors *priors,
                                                      const struct wr_sampler_options *options,
                                                      const struct wr_posterior *start, size_t at,
                                                      struct wr_error *err);
void wr_posterior_release(struct wr_posterior *post);
/* The learning that tasks are credited with, as it is stated everywhere: the median of gamma over draws. */
double wr_posterior_slope_log(const struct wr_posterior *post);
