/* Runs whose steps have minutes and no begin nor end: the time between their tasks is in no row. */
#pragma once

#include "measure.h"

/* What each task of the plan is taken to have had before it in such a run: the median of its lead-ins and gaps in the
 * runs with begin and end; of one that has none there, the median over all tasks; without any such run nothing. Into
 * lead_in_min of the run at hand. */
void by_minutes_take_lead_ins(struct measuring *j);
/* Which runs they are, and how much the others have between their tasks. */
void by_minutes_report(const struct measuring *j);
