/* The usual practice, for comparison: every modelled task by itself. Private to the room. */
#pragma once

#include "wetrun/model/duration_model.h"

struct wr_alone { double mean_log, sd_log; size_t n_done; };

/* task[data->n_task]: mean and sd (divisor n) of the log minutes of the done cells; stopped cells are dropped. A task
 * with fewer than two takes the median of the other tasks' sd (0.3 if there is none), a task without any takes its
 * planned time (without a plan: the mean over the other tasks). */
void wr_alone_fit(const struct wr_model_data *data, struct wr_alone *task);
