#include "wetrun/network/arrangement.h"

#include <stdlib.h>
#include <string.h>
#include "wetrun/base/memory.h"

void wr_arrangement_of(struct wr_arrangement *a, const struct wr_plan *plan)
{
    *a = (struct wr_arrangement){.n_task = plan->n_task};
    a->row = WR_NEW_ARRAY(size_t, plan->n_task);
    a->lanes = WR_NEW_ARRAY(uint32_t, plan->n_task);
    for (size_t k = 0; k < plan->n_task; k++) {
        a->row[k] = k;
        a->lanes[k] = plan->task[k].lanes;
    }
}

void wr_arrangement_release(struct wr_arrangement *a)
{
    WR_FREE(a->row, a->lanes);
    *a = (struct wr_arrangement){0};
}

static size_t row_of(const struct wr_arrangement *a, size_t task)
{
    size_t r = 0;

    while (a->row[r] != task) r++;
    return r;
}

void wr_arrangement_swap(struct wr_arrangement *a, size_t task, size_t other)
{
    size_t r = row_of(a, task), s = row_of(a, other);

    a->row[r] = other;
    a->row[s] = task;
}

void wr_arrangement_put_before(struct wr_arrangement *a, size_t task, size_t other)
{
    size_t from = row_of(a, task), to = row_of(a, other);

    if (from <= to) return;
    memmove(a->row + to + 1, a->row + to, (from - to) * sizeof *a->row);
    a->row[to] = task;
}

/* The plan's rows in the order wanted, referring to each other by their new places. Borrows but for `task` and the
 * lists of predecessors, which stand in `after` one behind the other. */
static void arrange(struct wr_plan *arranged, size_t *after, const struct wr_plan *plan, const struct wr_arrangement *a,
                    const size_t *place)
{
    *arranged = *plan;
    arranged->task = WR_NEW_ARRAY(struct wr_plan_task, plan->n_task);
    for (size_t r = 0; r < plan->n_task; r++) {
        struct wr_plan_task *t = &arranged->task[r];
        *t = plan->task[a->row[r]];
        t->lanes = a->lanes[a->row[r]];
        for (size_t i = 0; i < t->n_after; i++) after[i] = place[t->after[i]];
        t->after = after;
        after += t->n_after;
    }
}

static int ascending(const void *a, const void *b)
{
    size_t x = *(const size_t *)a, y = *(const size_t *)b;

    return (x > y) - (x < y);
}

/* From places in the arrangement back to the plan's task numbers. */
static void renumber(struct wr_network *net, const struct wr_network *by_place, const struct wr_plan *plan,
                     const struct wr_arrangement *a, const size_t *place)
{
    const size_t n = plan->n_task;
    size_t n_pred = 0;

    *net = (struct wr_network){.n_task = n, .n_lane = by_place->n_lane};
    net->order = WR_NEW_ARRAY(size_t, n);
    net->pred_first = WR_NEW_ARRAY(size_t, n + 1);
    net->pred = WR_NEW_ARRAY(size_t, by_place->pred_first[n]);
    net->lanes = WR_NEW_ARRAY(uint32_t, n);
    net->not_before_min = WR_NEW_ARRAY(double, n);
    net->drop_after_min = WR_NEW_ARRAY(double, n);
    net->lane_last = WR_NEW_ARRAY(size_t, net->n_lane);
    net->is_end = WR_NEW_ARRAY(unsigned char, n);
    for (size_t l = 0; l < net->n_lane; l++)
        net->lane_last[l] = by_place->lane_last[l] == SIZE_MAX ? SIZE_MAX : a->row[by_place->lane_last[l]];
    for (size_t k = 0; k < n; k++) {
        size_t r = place[k];
        net->order[k] = a->row[by_place->order[k]];
        net->pred_first[k] = n_pred;
        for (size_t i = by_place->pred_first[r]; i < by_place->pred_first[r + 1]; i++)
            net->pred[n_pred++] = a->row[by_place->pred[i]];
        qsort(net->pred + net->pred_first[k], n_pred - net->pred_first[k], sizeof *net->pred, ascending);
        net->lanes[k] = by_place->lanes[r];
        net->not_before_min[k] = by_place->not_before_min[r];
        net->drop_after_min[k] = by_place->drop_after_min[r];
        net->is_end[k] = by_place->is_end[r];
    }
    net->pred_first[n] = n_pred;
}

enum wr_status wr_network_build_arranged(struct wr_network *net, const struct wr_plan *plan,
                                         const struct wr_arrangement *a, struct wr_error *err)
{
    size_t *place = WR_NEW_ARRAY(size_t, plan->n_task), n_after = 0;
    struct wr_network by_place = {0};
    struct wr_plan arranged;

    for (size_t r = 0; r < plan->n_task; r++) {
        place[a->row[r]] = r;
        n_after += plan->task[r].n_after;
    }
    size_t *after = WR_NEW_ARRAY(size_t, n_after);
    arrange(&arranged, after, plan, a, place);
    enum wr_status status = wr_network_build(&by_place, &arranged, err);
    if (status == WR_OK) {
        renumber(net, &by_place, plan, a, place);
        wr_network_release(&by_place);
    }
    WR_FREE(arranged.task, after, place);
    return status;
}
