/* Slice sampling within bounds (Neal 2003, Annals of Statistics 31, 705-767): a place is drawn within the bounds
 * until its density is above the level; those that are not cut the bounds down towards where the chain is. One
 * draw takes few looks whether the density is wide or narrow, and there is nothing to tune. Private to the room.
 *
 *   struct wr_slice slice = wr_slice_start(luck, low, high, now, log_density(now));
 *   while (wr_slice_next(luck, &slice))
 *       if (wr_slice_holds(&slice, log_density(slice.at))) break;
 *   slice.at is the new place; where nothing was found at the machine's precision, the old one. */
#pragma once

#include <stdbool.h>
#include "luck.h"

struct wr_slice {
    double low, high, now, level, at;
    double log_density; /* at `at`, once it holds */
};

static inline struct wr_slice wr_slice_start(struct wr_luck *luck, double low, double high, double now,
                                             double log_density)
{
    return (struct wr_slice){low, high, now, log_density + log(wr_luck_uniform(luck)), now, log_density};
}

static inline bool wr_slice_next(struct wr_luck *luck, struct wr_slice *slice)
{
    double at = slice->low + (slice->high - slice->low) * wr_luck_uniform(luck);

    slice->at = at > slice->low && at < slice->high ? at : slice->now;
    return slice->at != slice->now;
}

static inline bool wr_slice_holds(struct wr_slice *slice, double log_density)
{
    if (log_density >= slice->level) {
        slice->log_density = log_density;
        return true;
    }
    if (slice->at < slice->now) slice->low = slice->at;
    else slice->high = slice->at;
    return false;
}
