/* What judgement is worth: tasks that were judged and then timed tell how far the judges are off. Private to the room.
 *
 * For draw i of the posterior and a task k with both, off[k] = mu[k] - mean of the judged log minutes:
 *     off[k] ~ N(bias, own^2)     bias ~ N(0, 0.3^2)     own ~ half-normal(0.3), on a grid
 * and the logs of the spreads' ratios, fitted over judged, likewise (a common widening and each task's own). Bias and
 * widening are drawn once per draw of the posterior, so that what is not known of them is part of every interval. */
#ifndef WETRUN_MODEL_JUDGEMENT_H
#define WETRUN_MODEL_JUDGEMENT_H

#include "wetrun/model/durations.h"

/* Tasks of d that rest on three points get one law per draw, like a rehearsed task (the model's skew, its people's pace), as
 * options->judging says; d->judging says what was done. */
void wr_judgement_apply(struct wr_durations *d, const struct wr_plan *plan, const struct wr_model_fit *fit,
                        const struct wr_fit_options *options);

#endif
