/* The walk through a plan by its definition, without a network: the slow twin of wr_network_forward and of what stands
 * on it. */
#pragma once
#include <stddef.h>
#include "wetrun/campaign/plan.h"

/* Every task begins at 0 and is pushed back until nothing moves. held_min NULL, or [n_task]: no earlier than that.
 * start, end, dropped: [n_task]. Returns the finish. */
double slow_walk(const struct wr_plan *plan, const double *minutes, const double *held_min, double *start, double *end,
                 unsigned char *dropped);

/* A moment more of a task is a moment more for the finish (to: WR_FINISH), or until all that task `to` waits for has
 * ended, with the same work left out: on_path[n_task]; 0 if dropped. More than one can be, on one path or several. */
void slow_longest_path(const struct wr_plan *plan, size_t to, const double *minutes, const unsigned char *dropped,
                       double moment, unsigned char *on_path);
/* Task and all it waits for, directly or not, until nothing is added: mark[n_task]. */
void slow_mark_before(const struct wr_plan *plan, size_t task, unsigned char *mark);
