/* Plans made in code, for tests of what stands on a plan. */
#pragma once
#include <stddef.h>
#include "wetrun/campaign/plan.h"

/* Adds a task; start the plan as {0}. crew "EV1" or "EV1+EV2": lanes are made as they appear. after "A B": ids of
 * tasks, added before or after this one; they are resolved by made_plan_finish. Returns the new task's index. */
size_t made_plan_add(struct wr_plan *plan, const char *id, const char *crew, const char *after);
/* Resolves `after`; call once, when all tasks are there. */
void made_plan_finish(struct wr_plan *plan);
void made_plan_release(struct wr_plan *plan);

/* The columns task, title, crew, after, not_before, drop_after, low, likely, high of a plain CSV file: commas, no
 * line breaks in fields. Aborts the test if the file is not like that. */
void made_plan_load(struct wr_plan *plan, const char *path);

/* A random plan without a cycle: n_task tasks over n_lane lanes (at most 20), some joint, with links between lanes
 * that point up and down the rows. */
void made_plan_random(struct wr_plan *plan, size_t n_task, size_t n_lane, unsigned long long *state);
/* How many random plans a test looks at: n, times the environment's RANDOM_PLANS. */
int made_plan_many(int n);
double made_uniform(unsigned long long *state); /* in [0, 1) */
