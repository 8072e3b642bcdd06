/* What a report leaves open, beside the days forecast before it. */
#pragma once

#include <stddef.h>
#include "wetrun/decide/update.h"
#include "wetrun/network/network.h"
#include "wetrun/sim/scenarios.h"

/* stretch[2 n_task]; durations: those of `before`; returns how many, in network order, those of tasks
 * themselves behind the others. */
size_t wr_now_stretches(struct wr_now_stretch *stretch, const struct wr_now_state *state, const struct wr_network *net,
                        const struct wr_durations *durations, const struct wr_scenarios *before);

/* wr_now_resolve where begins may have waited for what is known: own_wait[n_task] as in the state, NULL: none. */
WR_MUST_CHECK enum wr_status wr_now_resolve_beside(struct wr_now_state *state, const struct wr_now *now,
                                                   const struct wr_network *net, const struct wr_plan *plan,
                                                   const unsigned char *own_wait, struct wr_error *err);
