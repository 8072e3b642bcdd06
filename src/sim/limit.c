#include "wetrun/sim/limit.h"

#include <math.h>

double wr_limit_outcome(const struct wr_network *net, const struct wr_sim_limit *limit, const double *start_min,
                        const double *end_min, size_t stride)
{
    double latest = 0;

    if (limit->is_clock) return end_min[limit->to * stride] - start_min[limit->from * stride];
    for (size_t l = 0; l < net->n_lane; l++)
        if ((limit->lanes >> l & 1) && net->lane_last[l] != SIZE_MAX)
            latest = fmax(latest, end_min[net->lane_last[l] * stride]);
    return latest;
}

void wr_limit_mark_before(const struct wr_network *net, const struct wr_sim_limit *limit, unsigned char *mark)
{
    if (limit->is_clock) {
        wr_network_mark_before(net, limit->to, mark);
        return;
    }
    for (size_t l = 0; l < net->n_lane; l++)
        if ((limit->lanes >> l & 1) && net->lane_last[l] != SIZE_MAX)
            wr_network_mark_before(net, net->lane_last[l], mark);
}
