/* How long the plan itself takes it to be. */
#pragma once

#include "wetrun/base/number.h"
#include "wetrun/network/network.h"

/* The finish if every task took the minutes that the plan gives it: planned, or likely, or the median. Unknown where
 * the plan gives a task none. */
struct wr_maybe wr_network_planned_finish(const struct wr_network *net, const struct wr_plan *plan);
/* The same, and when each task then begins and ends: start_min, end_min [n_task]. */
struct wr_maybe wr_network_planned_times(const struct wr_network *net, const struct wr_plan *plan, double *start_min,
                                         double *end_min);
