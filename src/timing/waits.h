/* Lead-ins that look like waits. Where a plan no longer says what a task waited for (an `after` taken out, or work
 * dropped that others waited for), the log shows a lane that is idle until just that other work ends. Whether it waited
 * or needed the time cannot be told; it is counted as lead-in, and said.
 *
 * The other way round, a plan may have it wait by way of a task that no run has a row of. If that was there and left
 * out, it was a wait, and counts as one; if it came to the plan later, it need not have been: that is said too. */
#pragma once

#include "measure.h"

/* Of one task: behind which work, in how many of the runs in which its lane stood idle, and of how many runs in all. */
struct wait { size_t behind, n, n_idle, n_run; double idle_min; };

void waits_look(const struct measuring *j); /* at the run at hand, whose pieces are linked */
void waits_report(const struct measuring *j);
