/* The task network: lanes, order, predecessors; and the forward pass on given durations. No distributions here. */
#pragma once

#include <stddef.h>
#include <stdint.h>
#include "wetrun/base/error.h"
#include "wetrun/campaign/plan.h"

struct wr_network { /* task indices are those of the plan; start as {0} */
    size_t n_task, n_lane;
    size_t *order;             /* [n_task] plan row order, except that what a task waits for comes before it */
    size_t *pred_first;        /* [n_task + 1] those of task k: pred[pred_first[k]] … pred[pred_first[k+1] - 1] */
    size_t *pred;              /* lane predecessors and `after`, each once, ascending */
    uint32_t *lanes;           /* [n_task] */
    double *not_before_min;    /* [n_task] 0 if none */
    double *drop_after_min;    /* [n_task] INFINITY if none */
    size_t *lane_last;         /* [n_lane] last task of each lane in row order, SIZE_MAX if it has none */
    unsigned char *is_end;     /* [n_task] 1: no successor */
};

/* WR_E_INPUT on a cycle, naming the tasks and lines on it. A plan without tasks gives a network without tasks. */
WR_MUST_CHECK enum wr_status wr_network_build(struct wr_network *net, const struct wr_plan *plan, struct wr_error *err);
void wr_network_release(struct wr_network *net);
void wr_network_check(
    const struct wr_network *net); /* WR_BUG_IF an invariant is broken: after each build of one if WR_CHECKED */

/* Forward pass. duration_min[n_task] >= 0. A task starts at the latest of its predecessors' ends and not_before; if
 * that is later than drop_after it is dropped: start = end = that moment, no time taken.
 * start_min, end_min, dropped: [n_task], each may be NULL except end_min. Returns the finish (latest end). */
double wr_network_forward(const struct wr_network *net, const double *duration_min, double *start_min,
                          double *end_min, unsigned char *dropped);
/* The same network with nothing dropped: borrows all of it but drop_after_min[n_task], which is filled. */
struct wr_network wr_network_all_done(const struct wr_network *net, double *drop_after_min);
bool wr_network_drops(const struct wr_network *net); /* Is there a rule? */
/* Time at which each lane has done its last task; 0 for a lane without tasks. lane_end_min[n_lane]. */
void wr_network_lane_ends(const struct wr_network *net, const double *end_min, double *lane_end_min);
/* The first task of the lane, SIZE_MAX if it has none. A lane waits for nothing before that one may begin. */
size_t wr_network_lane_first(const struct wr_network *net, size_t lane);

#define WR_FINISH SIZE_MAX /* in place of a task: when all have ended */
/* When all that the task waits for has ended. */
double wr_network_ready(const struct wr_network *net, size_t task, const double *end_min);
/* Marks the tasks on a longest path to that moment (ties count for each), the task itself left out. on_path[n_task].
 * start_min and end_min are those of wr_network_forward, to the bit: a task is held up by those predecessors that end
 * when it starts. A path begins at time 0 or at a task that waited for its not_before. dropped may be NULL; a dropped
 * task takes no time and is not marked, those that it passes the wait on from are. */
void wr_network_longest_path(const struct wr_network *net, size_t task, const double *start_min, const double *end_min,
                             const unsigned char *dropped, unsigned char *on_path);

/* Marks task and all it waits for, directly or not. mark[n_task] keeps what it had. */
void wr_network_mark_before(const struct wr_network *net, size_t task, unsigned char *mark);
/* Whether it waits for the other one, directly or not. */
bool wr_network_waits_for(const struct wr_network *net, size_t task, size_t other);
/* The marked tasks in network order: list[n_task]; returns how many. */
size_t wr_network_list_marked(const struct wr_network *net, const unsigned char *mark, size_t *list);
