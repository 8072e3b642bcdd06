/* Which planned times are too short. One rule for every output: what a planned time lacks to median and pad
 * (decide/pad.h), once that shows at all in minutes with one decimal. */
#pragma once

#include "wetrun/decide/pad.h"

/* Minutes that the planned time lacks; negative: to spare; unknown without a planned time, and of a task that
 * hardly any day does. */
struct wr_maybe wr_pad_shortfall(const struct wr_pad_task *task);
bool wr_pad_is_short(const struct wr_pad_task *task);

/* How likely it is kept; unknown as above. */
struct wr_maybe wr_pad_planned_enough(const struct wr_pad_task *task);
/* Missed more often than kept: by the number itself, so that tables show a decimal of it where it would round to the
 * half. */
#define WR_PAD_KEPT_AS_OFTEN 0.5
bool wr_pad_is_missed(const struct wr_pad_task *task);

struct wr_planned_count {
    size_t n_planned, n_short, n_missed;
};
struct wr_planned_count wr_planned_count(const struct wr_pad *pad);
