/* What was changed between two plans, in words. */
#pragma once

#include <stddef.h>
#include "wetrun/base/str.h"
#include "wetrun/campaign/plan.h"

/* How task y of the later plan q differs from task x of p. */
void plan_edits_say(struct wr_str *out, const struct wr_plan *p, size_t x, const struct wr_plan *q, size_t y);
/* "without A, B; new: C, D, E and 2 more": tasks alone, the first few. */
void plan_edits_tasks(struct wr_str *out, const struct wr_plan *p, const struct wr_plan *q);
/* All of it: "without A; new: B, C; D: other lanes". Nothing where they are the same. */
void plan_edits_list(struct wr_str *out, const struct wr_plan *p, const struct wr_plan *q);
