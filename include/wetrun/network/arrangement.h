/* A plan in another arrangement: the same tasks in another order, in other lanes. Task numbers stay those of the plan,
 * so that limits, draws and simulated days of the plan fit every arrangement of it. */
#pragma once

#include "wetrun/network/network.h"

struct wr_arrangement { /* start as {0} */
    size_t n_task;
    size_t *row;           /* [n_task] the task in each row, from the top: the order within each lane */
    uint32_t *lanes;       /* [n_task] of each task */
};
void wr_arrangement_of(struct wr_arrangement *a, const struct wr_plan *plan); /* as the plan has it */
void wr_arrangement_release(struct wr_arrangement *a);

/* The two tasks change places. */
void wr_arrangement_swap(struct wr_arrangement *a, size_t task, size_t other);
/* The task moves to the row just above the other one; nothing happens if it stands above already. */
void wr_arrangement_put_before(struct wr_arrangement *a, size_t task, size_t other);

/* The network of the plan so arranged. WR_E_INPUT if tasks would wait for one another in a circle: this arrangement
 * cannot be worked. */
WR_MUST_CHECK enum wr_status wr_network_build_arranged(struct wr_network *net, const struct wr_plan *plan,
                                                       const struct wr_arrangement *a, struct wr_error *err);
