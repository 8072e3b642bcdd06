/* A limit of one plan in the lanes and tasks of another, found again by their names; and whether it can be one there.
 * Private to the room. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include "wetrun/base/error.h"
#include "wetrun/campaign/plan.h"
#include "wetrun/network/network.h"
#include "wetrun/sim/limit.h"

/* A limit on all lanes is one on all lanes of the other plan too, whatever they are called. False: the other plan lacks
 * something that the limit is about: lane *lane of `from`, or a task if that is SIZE_MAX. */
bool limit_in_other_plan(struct wr_sim_limit *l, const struct wr_plan *from, const struct wr_plan *to, size_t *lane);
/* WR_E_INPUT where the clock of that name ends before it begins: less than no time would be within any limit. */
WR_MUST_CHECK enum wr_status clock_runs_forward(const struct wr_network *net, const struct wr_plan *plan,
                                                const struct wr_sim_limit *l, const char *name, struct wr_error *err);
