/* A posterior carried over to other rehearsals without sampling again: its draws weighted by what the rehearsals that
 * came or went say under each of them (importance sampling). Good as long as few draws do not carry most of the weight:
 * many rehearsals, one of them left out. What it is worth is the effective number of draws, (sum w)^2 / sum w^2 (Kong
 * 1992, from memory) times what the chains' draws are worth of independent ones. */
#pragma once

#include "wetrun/model/durations.h"

/* Log density of what the cells of a run say given each draw of a posterior over the same tasks and people, the run
 * effect integrated out: by 13 points, on the run effect's law as it would be if errors were normal; of stopped cells
 * the probability of taking longer. log_density[post->n_draw]. */
void wr_run_log_density(double *log_density, const struct wr_posterior *post, const struct wr_model_data *data,
                        size_t run);

/* The fit of `from` to its rehearsals but for one, forecast for that run's place in time: log_weight[n_draw] of its
 * draws (beside the density of the run, of the plan line's prior, which belongs to the run that is forecast). Returns
 * the effective number of draws; 0 where weights cannot tell: without a planned time the priors depend on the data, and
 * with WR_MODEL_ALONE there are no draws. */
double wr_weigh_without_run(double *log_weight, const struct wr_model_fit *from, size_t run, double target_order,
                            const struct wr_fit_options *options);

/* The refit that they stand for: n_keep draws, each as often as its weight asks (systematic resampling), in their
 * order. table: as wr_model_refit has it, and taken over. */
void wr_model_reweighed(struct wr_model_fit *fit, const struct wr_model_fit *from, struct wr_model_table *table,
                        const double *log_weight, size_t n_keep);
