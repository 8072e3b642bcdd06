/* Who will do it: the line-ups that simulated runs choose from. Private to the room. */
#pragma once

#include "wetrun/model/durations.h"

/* Fills d->line_up and d->n_line_up; d->n_lane is set. Status as wr_durations_build. */
WR_MUST_CHECK enum wr_status wr_line_ups_choose(struct wr_durations *d, const struct wr_plan *plan,
                                                const struct wr_timing *timing, const struct wr_model_fit *fit,
                                                const char *people, struct wr_findings *findings, struct wr_error *err);

/* Do two runs differ in a lane in which both are known? Else people cannot be told from tasks. */
bool wr_line_ups_are_two(const struct wr_timing *timing);
/* Somebody who did a task in some of its runs only, where as many did it in the others; the one of the fewest runs. */
struct wr_other_hand { size_t task; unsigned person; size_t n, of; /* runs by them, and all */ };
bool wr_find_other_hand(const struct wr_timing *timing, struct wr_other_hand *found);
