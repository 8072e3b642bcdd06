/* Work of a run whose time is not known: a row of it was rejected, or it has no row though other runs have it. The time
 * in which it may stand belongs to nobody: it is no lead-in of what came next.
 *
 * It stands where most other runs have it (else the plan as rehearsed): behind what its lanes had done before it there.
 * A gap shorter than half the shortest time that it ever took cannot hold it. Then it was left out, if it has no row;
 * if a row of it was rejected, it stands in any gap of its lanes that is long enough. */
#pragma once

#include "measure.h"

bool holes_is_missing(const struct measuring *j, size_t work); /* of the run at hand */
/* Of the run at hand, whose pieces are linked: fills unsure, missing_lanes and own.doubt_until_min, and reports. */
void holes_find(struct measuring *j);
/* Of a run without clock times, whose holes are in none of its numbers: reports alone. */
void holes_say_missing_steps(const struct measuring *j);
