/* Worlds drawn from the duration model's prior, written from its definition alone: for tests that hold the sampler
 * against the model. tau and kappa come from the continuous laws that the sampler's grids stand for. */
#pragma once
#include <gsl/gsl_rng.h>
#include "wetrun/model/duration_model.h"
#include "wetrun/model/model_table.h"

enum { WORLD_TASKS = 32, WORLD_RUNS = 8, WORLD_PEOPLE = 4 }; /* most of each */

struct prior_world {
    double tau, kappa, gamma, rho, s0, d, omega_s, a, c, omega;
    double mu[WORLD_TASKS], sigma[WORLD_TASKS], b[WORLD_RUNS], q[WORLD_PEOPLE];
};

/* Sizes, planned times, places in time and people's shares are taken from `data`, its times are not looked at. */
void prior_world_draw(struct prior_world *w, const gsl_rng *rng, const struct wr_model_data *data,
                      const struct wr_priors *priors);
/* Fills obs and log_min of the table: a cell is absent with chance 0.1, and stopped when a stop time that depends on
 * the plan alone comes first. */
void prior_world_observe(const struct prior_world *w, const gsl_rng *rng, struct wr_model_table *table);
/* Log likelihood of the times given everything, run effects and people included. */
double prior_world_loglik(const struct prior_world *w, const struct wr_model_data *data);

/* What tests look at: every common parameter, and some of each kind of the others; needs a person. */
enum { WORLD_VIEWS = 15 };
extern const char *const world_view_name[WORLD_VIEWS];
void prior_world_view(const struct prior_world *w, double view[WORLD_VIEWS]);
void posterior_view(const struct wr_posterior *post, size_t draw, double view[WORLD_VIEWS]);
