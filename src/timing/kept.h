/* How far the runs kept to the plan as it now stands. What most runs did not keep was not rehearsed: the plan was
 * changed since, and that is said once, not of every run. */
#pragma once

#include "measure.h"

/* Over all runs: which waits of the plan, and which by `after` of the plan as rehearsed, most runs did not keep. */
void kept_over_runs(struct measuring *j);
/* Of the run at hand: what began too early; fills ready_min, ended_min, held_by and not_before_min by the plan. */
void kept_in_run(struct measuring *j);
