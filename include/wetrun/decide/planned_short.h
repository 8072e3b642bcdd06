/* Which planned times are too short. One rule for every output: what a planned time lacks to median and pad
 * (decide/pad.h) as people read it, the difference of the three in minutes with one decimal. By the exact minutes a
 * planned time may lack 0.1 beside a row that shows none missing, or the other way round. */
#pragma once

#include "wetrun/decide/pad.h"

/* Minutes that the planned time lacks; negative: to spare; unknown without a planned time, and of a task that
 * hardly any day does. */
struct wr_maybe wr_pad_shortfall(const struct wr_pad_task *task);
/* The same of median, pad and planned time as they are shown, in tenths of a minute: it is short from 0.1 on. */
struct wr_maybe wr_pad_shown_shortfall(const struct wr_pad_task *task);
bool wr_pad_is_short(const struct wr_pad_task *task);
/* As qsort takes it: what is shown as missing most first, then by the exact minutes; what has none last, all alike. */
int wr_pad_by_falling_shortfall(const struct wr_pad_task *a, const struct wr_pad_task *b);

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
