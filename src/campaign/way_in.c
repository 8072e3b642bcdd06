#include "wetrun/campaign/way_in.h"

#include "wetrun/campaign/near_name.h"

/* Lanes with a task in a later row. */
static uint32_t busy_after(const struct wr_plan *plan, size_t task)
{
    uint32_t lanes = 0;

    for (size_t k = task + 1; k < plan->n_task; k++) lanes |= plan->task[k].lanes;
    return lanes;
}

const char wr_way_in_dropped_words[] =
    "the last task of all lanes, their way back in, has a drop time: on the days that drop it nobody would be inside, "
    "and the finish would not say so: leave its drop_after empty";

uint32_t wr_way_in_of(const struct wr_plan *plan, size_t task)
{
    if (plan->task[task].drop_after_min.known) return 0;
    return plan->task[task].lanes & ~busy_after(plan, task);
}

size_t wr_way_in_dropped(const struct wr_plan *plan)
{
    const struct wr_plan_task *last = plan->n_task ? &plan->task[plan->n_task - 1] : NULL;

    if (!last || plan->n_lane < 2 || last->n_lane < plan->n_lane || !last->drop_after_min.known) return SIZE_MAX;
    return plan->n_task - 1;
}

size_t wr_way_in_lost(const struct wr_plan *plan, size_t task, uint32_t lanes)
{
    uint32_t joined = lanes & ~plan->task[task].lanes;

    if (wr_way_in_of(plan, task) & ~lanes) return task;
    for (size_t k = 0; k < task; k++)
        if (wr_way_in_of(plan, k) & joined) return k;
    return SIZE_MAX;
}

size_t wr_way_in_after(const struct wr_plan *plan, size_t task)
{
    const struct wr_plan_task *t = &plan->task[task], *next = NULL;

    for (size_t k = task + 1; k < plan->n_task && !next; k++)
        if (plan->task[k].lanes & t->lanes) next = &plan->task[k];
    if (!next || wr_way_in_of(plan, task)) return SIZE_MAX;
    size_t in = (size_t)(next - plan->task);
    bool all = (wr_way_in_of(plan, in) & t->lanes) == t->lanes;
    bool alike = t->kind[0] && next->kind[0] ? wr_same_but_for_spelling(t->kind, next->kind)
                                             : t->lanes == next->lanes && t->n_lane > 1;
    return all && alike ? in : SIZE_MAX;
}

void wr_way_in_part_say(const struct wr_plan *plan, size_t task, struct wr_str *out)
{
    uint32_t lanes = plan->task[task].lanes;
    bool many = (lanes & (lanes - 1)) != 0;

    wr_str_addf(out,
                "'%.60s' comes just before '%.60s', the way back in, and may be part of it: if it is, the finish of "
                "days without it does not say that %s inside, and it must stay in",
                plan->task[task].id, plan->task[wr_way_in_after(plan, task)].id, many ? "they are" : "its lane is");
}

void wr_way_in_say(const struct wr_plan *plan, size_t task, struct wr_str *out)
{
    uint32_t lanes = wr_way_in_of(plan, task);
    size_t n = 0;

    wr_str_addf(out, "'%.60s' is the last task of ", plan->task[task].id);
    for (size_t l = 0; l < plan->n_lane; l++)
        if (lanes >> l & 1) wr_str_addf(out, "%s%.40s", n++ ? " and " : "", plan->lane[l]);
    wr_str_addf(out, ", %s way back in: unless %s with it the finish would not say that %s inside",
                n > 1 ? "their" : "its", n > 1 ? "they end" : "it ends", n > 1 ? "they are" : "it is");
}
