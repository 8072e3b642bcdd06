/* Probability of passing a limit given the parameters, for every posterior draw of what is known. Private to the room. */
#ifndef WETRUN_DECIDE_DRAW_CHANCE_H
#define WETRUN_DECIDE_DRAW_CHANCE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include "wetrun/model/durations.h"
#include "wetrun/network/network.h"
#include "wetrun/sim/forecast.h"

/* What the limit's minutes are compared with: the end of its lanes, or a clock's reading. */
double wr_limit_outcome(const struct wr_sim_limit *limit, const struct wr_network *net, const double *start_min,
                        const double *end_min);

/* True if every time of the plan is multiplied by exp(run effect) and nothing else sets one. */
bool wr_run_effect_scales(const struct wr_network *net, const struct wr_durations *d);

/* over[d->n_draw]. per_draw simulated days for every draw, in each of which the run effect is integrated:
 *   where it scales everything    exactly, by one normal tail
 *   else (drop_after, not_before, tasks that do not carry it)   one value from each of 8 equal parts of its distribution
 * The draws are then pulled towards their mean by as much as the chance of the days spreads them. Returns the standard
 * error that this chance leaves in the mean. */
double wr_draw_chances(double *over, const struct wr_network *net, const struct wr_durations *d,
                       const struct wr_sim_limit *limit, size_t per_draw, uint64_t seed, unsigned n_thread);

#endif
