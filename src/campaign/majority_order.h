/* The order of the tasks in which most runs did them. */
#pragma once

#include "plan_parts.h"
#include "wetrun/campaign/findings.h"

/* Task numbers of the log, [log->n_task], to be freed. Medians of the elapsed starts are the beginning only: a task
 * that was left out in the quick runs has its median behind the return to the airlock. So each then moves to where most
 * runs have it among the tasks of its lanes, by their times, or by the place of their rows where those say nothing; of
 * two that no run has both, the one that closes (or opens) more runs stays last (first). It is the local
 * Kemeny order of the runs (Dwork, Kumar, Naor and Sivakumar 2001, from memory): where all pairs agree, theirs.
 * What the runs do not settle becomes a finding "order-unsure". */
size_t *majority_order(const struct wr_run_log *log, const struct plan_crew *crew, struct wr_findings *findings);
