/* What makes the finish uncertain, in parts that add up to the whole. One definition for every output.
 *
 *   a task        its own part: the squared correlation of its own error with the finish (sim/forecast.h)
 *   day           what a slow or fast day does to all tasks at once
 *   people        who does it
 *   unknown       what the rehearsals leave open about the parameters
 *   interaction   what is missing to 1: what none of them carries alone, as a wait that only two late tasks together
 *                 bring
 *
 * Estimated shares may add up to a little more than 1; interaction is then 0. */
#pragma once

#include <stddef.h>
#include "wetrun/sim/forecast.h"

enum wr_part_kind {
    WR_PART_TASK,
    WR_PART_OTHER_TASKS,
    WR_PART_DAY,
    WR_PART_PEOPLE,
    WR_PART_UNKNOWN,
    WR_PART_INTERACTION
};

struct wr_variance_part {
    enum wr_part_kind kind;
    size_t task;     /* WR_PART_TASK: its index; WR_PART_OTHER_TASKS: how many */
    double share;
    unsigned n_mark; /* whole hundredths, rounded: all parts together need not have a hundred */
};

enum { WR_PARTS_TASKS = 14, WR_PARTS_STRONGEST = 3, WR_PARTS_MOST = WR_PARTS_TASKS + 1 + 4 };

/* Tasks by falling share, ties by plan order, the weakest together where there are more than WR_PARTS_TASKS + 1; then
 * the others in the order above. Returns how many. */
size_t wr_variance_parts(const struct wr_forecast *forecast, struct wr_variance_part part[WR_PARTS_MOST]);
/* Task indices by falling share of the variance, ties by plan order. order[n_task]. */
void wr_tasks_by_share(const struct wr_forecast *forecast, size_t *order);
/* The share of the WR_PARTS_STRONGEST strongest tasks together; *n of them carry something. */
double wr_strongest_share(const struct wr_forecast *forecast, size_t *n);
double wr_interaction_share(const struct wr_forecast *forecast);
