/* Probability of passing limits over simulated days that are weighed (days.h): the stated one, its whole Monte Carlo
 * error, and its interval, defined as the forecast's (forecast.h): per posterior draw the probability given the draw's
 * parameters and what was reported, everything else integrated; draws weighed by how well they foresaw the report.
 *
 * How. Each day is walked along a way that the finish mostly follows, so that one day says with which probability a
 * limit is passed and not only whether. The stated probability is the mean over many days. For the interval every one
 * of some 400 draws meets the same few days, so that draws differ by what they say and not by the luck of their days;
 * their probabilities are then moved together (in normal scores) until their mean is the stated one. A clock follows a
 * way of its own: along the finish's a draw's few days would tell its probability in steps, and the upper end too
 * high. */
#pragma once

#include <stddef.h>
#include "days.h"
#include "wetrun/decide/cutoff.h"

/* over[n_limit + 1]: of every limit, then of any of them. days: of `durations` and a set of days, walked as they
 * are. known: nothing was unknown before the day (wr_durations_are_known), so that there is no interval; what the day
 * says of its own pace follows from that, and differs between draws by the chance of simulated stretches alone. */
void wr_overrun_of_days(struct wr_probability *over, const struct wr_days *days, const struct wr_durations *durations,
                        bool known, const struct wr_cutoff_limit *limit, size_t n_limit, uint64_t seed,
                        unsigned n_thread);
