/* What judgement is worth: tasks that were judged and then timed tell how far the judges are off. Private to the room.
 *
 * For draw i of the posterior and a task k with both, off[k] = mu[k] - mean of the judged log minutes:
 *     off[k] ~ N(bias, own^2)     bias ~ N(0, 0.3^2)     own ~ half-normal(0.3), on a grid
 * and the logs of the spreads' ratios, fitted over judged, likewise (a common widening and each task's own). Bias and
 * widening are drawn once per draw of the posterior, so that what is not known of them is part of every interval. What
 * earlier campaigns teach of bias, own and widening takes the place of these priors (priors.h). */
#pragma once

#include "wetrun/model/durations.h"

/* Tasks of d that rest on three points get one law per draw, like a rehearsed task (the model's skew, its people's
 * pace), as options->judging says; d->judging says what was done. */
void wr_judgement_apply(struct wr_durations *d, const struct wr_plan *plan, const struct wr_model_fit *fit,
                        const struct wr_fit_options *options);

/* One more task of d (a plan that has it and was not fitted), as those were, if they were restated. */
void wr_judgement_apply_to(struct wr_durations *d, size_t k, const struct wr_plan_task *task,
                           const struct wr_fit_options *options);

/* Draws of bias and widening by the record of a campaign, [n_draw of its posterior]; false: there is none. */
bool wr_judgement_learn(const struct wr_plan *plan, const struct wr_model_fit *fit,
                        const struct wr_fit_options *options, struct wr_judged_common *bias,
                        struct wr_judged_common *widening);
