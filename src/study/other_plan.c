#include "other_plan.h"

#include <stdint.h>

static uint32_t all_lanes(const struct wr_plan *plan)
{
    return plan->n_lane >= WR_MAX_LANES ? UINT32_MAX : (UINT32_C(1) << plan->n_lane) - 1;
}

bool limit_in_other_plan(struct wr_sim_limit *l, const struct wr_plan *from, const struct wr_plan *to, size_t *lane)
{
    uint32_t lanes = 0;

    for (*lane = 0; l->lanes != all_lanes(from) && *lane < from->n_lane; ++*lane) {
        if (!(l->lanes >> *lane & 1)) continue;
        size_t at = wr_plan_find_lane(to, from->lane[*lane]);
        if (at == SIZE_MAX) return false;
        lanes |= UINT32_C(1) << at;
    }
    *lane = SIZE_MAX;
    l->lanes = lanes ? lanes : all_lanes(to);
    if (!l->is_clock) return true;
    l->from = wr_plan_find(to, from->task[l->from].id);
    l->to = wr_plan_find(to, from->task[l->to].id);
    return l->from != SIZE_MAX && l->to != SIZE_MAX;
}

enum wr_status clock_runs_forward(const struct wr_network *net, const struct wr_plan *plan,
                                  const struct wr_sim_limit *l, const char *name, struct wr_error *err)
{
    if (!l->is_clock || !wr_network_waits_for(net, l->from, l->to)) return WR_OK;
    const char *from = plan->task[l->from].id, *to = plan->task[l->to].id;
    return wr_fail(err, WR_E_INPUT,
                   "the limit '%.60s' would end before it begins: '%.60s' waits for '%.60s' in this timeline, and the "
                   "limit runs from the begin of the one to the end of the other: correct the order, or the limit",
                   name, from, to);
}
