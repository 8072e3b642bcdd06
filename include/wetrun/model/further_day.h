/* A further day of rehearsal, as one posterior draw would have it: for pricing rehearsals before they take place. */
#pragma once

#include <stddef.h>
#include <stdint.h>
#include "wetrun/model/durations.h"
#include "wetrun/model/model_table.h"

/* Every modelled task n_repeat times on one day at that place in time, all of them done: log minutes with the day's run
 * effect, learning, the people of one of d's line-ups at random, and errors as the model has them.
 * log_min[repeat * n_model_task + task]. Returns the line-up. A person who never rehearsed counts as average.
 * The same (draw, order, seed, number) give the same day; with more repeats the first ones stay as they were. */
size_t wr_further_day_draw(const struct wr_model_fit *fit, const struct wr_durations *d, size_t draw, double order,
                           size_t n_repeat, uint64_t seed, uint64_t number, double *log_min);

/* table (to be released by the caller) becomes `from` and that day as one more run; log_min[n_model_task]. */
void wr_further_day_add(struct wr_model_table *table, const struct wr_model_data *from, const struct wr_model_fit *fit,
                        const struct wr_durations *d, size_t line_up, double order, const double *log_min);
