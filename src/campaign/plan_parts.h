/* Parts that reading and deriving a plan share. */
#pragma once

#include "wetrun/campaign/plan.h"

/* A crew as written: "EV1+EV2". */
struct plan_crew {
    uint32_t lanes;
    uint8_t order[WR_MAX_LANES];
    size_t n;
};
enum plan_new_lanes { PLAN_LANES_MAY_BE_NEW, PLAN_LANES_MUST_BE_KNOWN };
/* NULL, or what is wrong with it. Blanks around the lanes do not count; an empty text gives no lanes. A lane that must
 * be known and is not gives "a lane that the plan does not have". */
const char *plan_parse_crew(struct wr_plan *plan, const char *text, enum plan_new_lanes new_lanes,
                            struct plan_crew *crew);
void plan_set_crew(struct wr_plan_task *task, const struct plan_crew *crew);

/* The lanes that did a task in most runs, a run's steps taken together; n = 0 if no row of it names a crew. Of equally
 * frequent ones the first in the log. Crews with something wrong are passed over. result: [log->n_task]. */
void plan_log_crews(struct wr_plan *plan, const struct wr_run_log *log, enum plan_new_lanes new_lanes,
                    struct plan_crew *result);

/* Calls fn for each cycle, with the task whose `after` column closes it and the cycle in words. */
typedef void plan_cycle_fn(void *arg, size_t task, const char *words);
void plan_find_cycles(const struct wr_plan *plan, plan_cycle_fn *fn, void *arg);

/* A task of the plan that the text may be misspelt for. */
bool plan_has_near_task(const struct wr_plan *plan, const char *text);
