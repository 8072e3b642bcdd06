/* A limit of a campaign (campaign/limits.h) with its tasks found in the plan. */
#pragma once

#include <stdbool.h>
#include "wetrun/network/network.h"

struct wr_sim_limit {
    uint32_t lanes;
    bool is_clock;
    size_t from, to;
    double minutes;
};

/* What the limit's minutes are compared with: the end of its lanes, or a clock's reading. Of task k: start_min[k *
 * stride], end_min[k * stride]. */
double wr_limit_outcome(const struct wr_network *net, const struct wr_sim_limit *limit, const double *start_min,
                        const double *end_min, size_t stride);
/* Marks what those ends depend on: mark[n_task] keeps what it had. Where a clock's start lies beside the way to its
 * end, what the start depends on is not among them. */
void wr_limit_mark_before(const struct wr_network *net, const struct wr_sim_limit *limit, unsigned char *mark);
