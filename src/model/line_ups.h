/* Who will do it: the line-ups that simulated runs choose from. Private to the room. */
#pragma once

#include "wetrun/model/durations.h"

/* Fills d->line_up and d->n_line_up; d->n_lane is set. Status as wr_durations_build. */
WR_MUST_CHECK enum wr_status wr_line_ups_choose(struct wr_durations *d, const struct wr_plan *plan,
                                                const struct wr_timing *timing, const struct wr_model_fit *fit,
                                                const char *people, struct wr_findings *findings, struct wr_error *err);
