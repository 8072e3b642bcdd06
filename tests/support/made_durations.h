/* Sources of simulated days made in code, for tests of what stands on them. */
#pragma once
#include "wetrun/model/durations.h"

/* n_task modelled tasks over one lane, n_draw draws: medians from 8 to 45 minutes, spreads from 0.1 to 0.4, tau around
 * 0.1, no skew, nobody in the lanes. Draws differ by a few percent; one draw means known parameters. */
void made_durations_plain(struct wr_durations *d, size_t n_task, size_t n_draw);
/* Replaces the people: q and kappa start at 0. line_up[n_line_up * n_lane]. */
void made_durations_people(struct wr_durations *d, size_t n_lane, size_t n_person, size_t n_line_up,
                           const int *line_up);
void made_durations_release(struct wr_durations *d);
