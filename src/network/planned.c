#include "wetrun/network/planned.h"

#include "wetrun/base/memory.h"

static struct wr_maybe own_minutes(const struct wr_plan_task *t)
{
    return t->planned_min.known ? t->planned_min : t->likely_min.known ? t->likely_min : t->median_min;
}

struct wr_maybe wr_network_planned_times(const struct wr_network *net, const struct wr_plan *plan, double *start_min,
                                         double *end_min)
{
    WR_SCOPED double *minutes = WR_NEW_ARRAY(double, net->n_task);
    bool all = net->n_task > 0;

    for (size_t k = 0; k < net->n_task; k++) {
        minutes[k] = own_minutes(&plan->task[k]).value;
        all &= own_minutes(&plan->task[k]).known;
    }
    return all ? wr_known(wr_network_forward(net, minutes, start_min, end_min, NULL)) : WR_UNKNOWN;
}

struct wr_maybe wr_network_planned_finish(const struct wr_network *net, const struct wr_plan *plan)
{
    WR_SCOPED double *end = WR_NEW_ARRAY(double, net->n_task);

    return wr_network_planned_times(net, plan, NULL, end);
}
