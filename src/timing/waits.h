/* Lead-ins that look like waits. Where a plan no longer says what a task waited for (an `after` taken out, or work
 * dropped that others waited for), the log shows a lane that is idle until just that other work ends. Whether it waited
 * or needed the time cannot be told; it is counted as lead-in, and said. */
#pragma once

#include "measure.h"

/* Of one task: behind which work, in how many of the runs in which its lane stood idle, and of how many runs in all. */
struct wait { size_t behind, n, n_idle, n_run; double idle_min; };

/* Of the run at hand, whose pieces are linked; wait[n_plan], to start as 0. */
void waits_look(const struct measuring *j, struct wait *wait);
void waits_report(const struct measuring *j, const struct wait *wait);
