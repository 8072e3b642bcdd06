/* The way back in: what a lane does last, unless the plan lets it go (drop_after). A finish says that everybody is
 * inside only while it is in the timeline and last, so no change may take it away: a timeline without it would look
 * early. Known by its place alone, never by name. */
#pragma once

#include <stddef.h>
#include <stdint.h>
#include "wetrun/base/str.h"
#include "wetrun/campaign/plan.h"

/* The lanes whose way back in the task is; 0 if it is none. */
uint32_t wr_way_in_of(const struct wr_plan *plan, size_t task);
/* The last joint task of all lanes with a drop rule: on the days that drop it nobody comes in. SIZE_MAX if none. */
size_t wr_way_in_dropped(const struct wr_plan *plan);
extern const char wr_way_in_dropped_words[];
/* A way back in with which some lane would no longer end if these lanes did the task; SIZE_MAX if all still do. */
size_t wr_way_in_lost(const struct wr_plan *plan, size_t task, uint32_t lanes);
/* A way in that the task comes just before and may be part of, so that a timeline without it would look early as well:
 * the next task of all its lanes, done by the same lanes, more than one, or of the same kind of work; where both have a
 * kind, that decides. SIZE_MAX if none. */
size_t wr_way_in_after(const struct wr_plan *plan, size_t task);
/* Adds "'BACK' comes just before 'IN', …: if it is part of the way back in, the finish on days without it does not say
 * that they are inside". */
void wr_way_in_part_say(const struct wr_plan *plan, size_t task, struct wr_str *out);
/* Adds "'IN' is the last task of EV1 and EV2, their way back in: unless they end with it the finish would not say that
 * they are inside". */
void wr_way_in_say(const struct wr_plan *plan, size_t task, struct wr_str *out);
