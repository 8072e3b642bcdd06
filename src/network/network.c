#include "wetrun/network/network.h"

#include <math.h>
#include <stdbool.h>
#include "wetrun/base/depth_first.h"
#include "wetrun/base/memory.h"
#include "wetrun/base/str.h"

/* ---- building ---- */

/* Puts the predecessors of task k at pred[0…], ascending and each once; returns how many. last_in_lane[] holds the
 * task that each lane did before, or SIZE_MAX. */
static size_t gather_predecessors(const struct wr_plan_task *task, const size_t *last_in_lane, size_t *pred)
{
    size_t n = 0;

    for (size_t l = 0; l < WR_MAX_LANES; l++)
        if ((task->lanes >> l & 1) && last_in_lane[l] != SIZE_MAX) pred[n++] = last_in_lane[l];
    for (size_t i = 0; i < task->n_after; i++) pred[n++] = task->after[i];
    for (size_t i = 1; i < n; i++) { /* insertion sort: a handful */
        size_t p = pred[i], j = i;
        for (; j > 0 && pred[j - 1] > p; j--) pred[j] = pred[j - 1];
        pred[j] = p;
    }
    size_t kept = 0;
    for (size_t i = 0; i < n; i++)
        if (kept == 0 || pred[kept - 1] != pred[i]) pred[kept++] = pred[i];
    return kept;
}

static void link_predecessors(struct wr_network *net, const struct wr_plan *plan)
{
    size_t last_in_lane[WR_MAX_LANES], most = 0, n = 0;

    for (size_t l = 0; l < WR_MAX_LANES; l++) last_in_lane[l] = SIZE_MAX;
    for (size_t k = 0; k < plan->n_task; k++)
        most += plan->task[k].n_after + (size_t)__builtin_popcount(plan->task[k].lanes);
    net->pred = WR_NEW_ARRAY(size_t, most);
    net->pred_first = WR_NEW_ARRAY(size_t, plan->n_task + 1);
    for (size_t k = 0; k < plan->n_task; k++) {
        net->pred_first[k] = n;
        n += gather_predecessors(&plan->task[k], last_in_lane, net->pred + n);
        for (size_t l = 0; l < WR_MAX_LANES; l++)
            if (plan->task[k].lanes >> l & 1) last_in_lane[l] = k;
    }
    net->pred_first[plan->n_task] = n;
    net->lane_last = WR_NEW_ARRAY(size_t, plan->n_lane);
    for (size_t l = 0; l < plan->n_lane; l++) net->lane_last[l] = last_in_lane[l];
}

/* The tasks on path[from…] wait for one another in a circle. */
struct cycle {
    const struct wr_plan *plan;
    enum wr_status status;
    struct wr_error *err;
};

static void fail_on_cycle(void *arg, const size_t *path, size_t n)
{
    struct cycle *c = arg;
    const struct wr_plan *plan = c->plan;
    WR_SCOPED_STR text = {0};

    if (c->status != WR_OK) return; /* the first is told */
    for (size_t i = 0; i <= n; i++) {
        const struct wr_plan_task *t = &plan->task[path[i % n]];
        if (i > 0) wr_str_add(&text, " waits for ");
        wr_str_addf(&text, "'%s'", t->id);
        if (i < n && t->line) wr_str_addf(&text, " (line %zu)", t->line);
    }
    c->status = wr_fail(c->err, WR_E_INPUT,
                        "%s%sthese tasks wait for one another, so none can begin: %s: take one of "
                        "them out of its column after",
                        plan->file ? plan->file : "", plan->file ? ": " : "", wr_str_text(&text));
}

enum wr_status wr_network_build(struct wr_network *net, const struct wr_plan *plan, struct wr_error *err)
{
    *net = (struct wr_network){.n_task = plan->n_task, .n_lane = plan->n_lane};
    link_predecessors(net, plan);
    net->order = WR_NEW_ARRAY(size_t, net->n_task);
    net->lanes = WR_NEW_ARRAY(uint32_t, net->n_task);
    net->not_before_min = WR_NEW_ARRAY(double, net->n_task);
    net->drop_after_min = WR_NEW_ARRAY(double, net->n_task);
    net->is_end = WR_NEW_ARRAY(unsigned char, net->n_task);
    for (size_t k = 0; k < net->n_task; k++) {
        const struct wr_plan_task *t = &plan->task[k];
        net->lanes[k] = t->lanes;
        net->not_before_min[k] = t->not_before_min.known ? t->not_before_min.value : 0.0;
        net->drop_after_min[k] = t->drop_after_min.known ? t->drop_after_min.value : INFINITY;
        net->is_end[k] = 1;
    }
    for (size_t i = 0; i < net->pred_first[net->n_task]; i++) net->is_end[net->pred[i]] = 0;
    struct cycle c = {plan, WR_OK, err};
    wr_depth_first(net->n_task, net->pred_first, net->pred, net->order, fail_on_cycle, &c);
    if (c.status == WR_OK) WR_CHECK(wr_network_check(net));
    else wr_network_release(net);
    return c.status;
}

void wr_network_release(struct wr_network *net)
{
    WR_FREE(net->order, net->pred_first, net->pred, net->lanes, net->not_before_min, net->drop_after_min,
            net->lane_last, net->is_end);
    *net = (struct wr_network){0};
}

/* ---- invariants ---- */

static bool waits_for(const struct wr_network *net, size_t k, size_t p)
{
    for (size_t i = net->pred_first[k]; i < net->pred_first[k + 1]; i++)
        if (net->pred[i] == p) return true;
    return false;
}

static void check_order(const struct wr_network *net)
{
    WR_SCOPED size_t *place = WR_NEW_ARRAY(size_t, net->n_task);
    WR_SCOPED unsigned char *has_successor = WR_NEW_ARRAY(unsigned char, net->n_task);

    for (size_t k = 0; k < net->n_task; k++) place[k] = SIZE_MAX;
    for (size_t i = 0; i < net->n_task; i++) {
        WR_BUG_IF(net->order[i] >= net->n_task || place[net->order[i]] != SIZE_MAX);
        place[net->order[i]] = i;
    }
    WR_BUG_IF(net->pred_first[0] != 0);
    for (size_t k = 0; k < net->n_task; k++) {
        WR_BUG_IF(net->pred_first[k] > net->pred_first[k + 1]);
        for (size_t i = net->pred_first[k]; i < net->pred_first[k + 1]; i++) {
            WR_BUG_IF(net->pred[i] >= net->n_task || place[net->pred[i]] >= place[k]);
            WR_BUG_IF(i > net->pred_first[k] && net->pred[i - 1] >= net->pred[i]);
            has_successor[net->pred[i]] = 1;
        }
    }
    for (size_t k = 0; k < net->n_task; k++) WR_BUG_IF(net->is_end[k] != !has_successor[k]);
}

void wr_network_check(const struct wr_network *net)
{
    WR_BUG_IF(net->n_lane > WR_MAX_LANES);
    check_order(net);
    for (size_t k = 0; k < net->n_task; k++) {
        WR_BUG_IF(net->lanes[k] == 0 || (net->n_lane < 32 && net->lanes[k] >> net->n_lane));
        WR_BUG_IF(!isfinite(net->not_before_min[k]) || net->not_before_min[k] < 0);
        WR_BUG_IF(!(net->drop_after_min[k] >= 0));
    }
    for (size_t l = 0; l < net->n_lane; l++) { /* each lane is one chain */
        size_t last = SIZE_MAX;
        for (size_t i = 0; i < net->n_task; i++) {
            size_t k = net->order[i];
            if (!(net->lanes[k] >> l & 1)) continue;
            WR_BUG_IF(last != SIZE_MAX && !waits_for(net, k, last));
            last = k;
        }
        WR_BUG_IF(net->lane_last[l] != last);
    }
}

/* ---- walking it ---- */

struct wr_network wr_network_all_done(const struct wr_network *net, double *drop_after_min)
{
    struct wr_network plain = *net;

    for (size_t k = 0; k < net->n_task; k++) drop_after_min[k] = INFINITY;
    plain.drop_after_min = drop_after_min;
    return plain;
}

bool wr_network_drops(const struct wr_network *net)
{
    for (size_t k = 0; k < net->n_task; k++)
        if (isfinite(net->drop_after_min[k])) return true;
    return false;
}

double wr_network_forward(const struct wr_network *net, const double *duration_min, double *start_min,
                          double *end_min, unsigned char *dropped)
{
    double finish = 0;

    for (size_t i = 0; i < net->n_task; i++) {
        size_t k = net->order[i];
        double start = net->not_before_min[k];
        for (size_t j = net->pred_first[k]; j < net->pred_first[k + 1]; j++)
            if (end_min[net->pred[j]] > start) start = end_min[net->pred[j]];
        bool drop = start > net->drop_after_min[k];
        end_min[k] = drop ? start : start + duration_min[k];
        if (start_min) start_min[k] = start;
        if (dropped) dropped[k] = drop;
        if (end_min[k] > finish) finish = end_min[k];
    }
    return finish;
}

void wr_network_lane_ends(const struct wr_network *net, const double *end_min, double *lane_end_min)
{
    for (size_t l = 0; l < net->n_lane; l++)
        lane_end_min[l] = net->lane_last[l] == SIZE_MAX ? 0.0 : end_min[net->lane_last[l]];
}

size_t wr_network_lane_first(const struct wr_network *net, size_t lane)
{
    for (size_t i = 0; i < net->n_task; i++)
        if (net->lanes[net->order[i]] >> lane & 1) return net->order[i];
    return SIZE_MAX;
}

/* Neither is NaN, so fmax, a call, is not needed. */
static double later(double a, double b)
{
    return b > a ? b : a;
}

double wr_network_ready(const struct wr_network *net, size_t task, const double *end_min)
{
    double ready = 0;

    if (task == WR_FINISH) {
        for (size_t k = 0; k < net->n_task; k++) ready = later(ready, end_min[k]);
        return ready;
    }
    for (size_t j = net->pred_first[task]; j < net->pred_first[task + 1]; j++)
        ready = later(ready, end_min[net->pred[j]]);
    return ready;
}

static bool is_before(const struct wr_network *net, size_t k, size_t to)
{
    return to == WR_FINISH ? net->is_end[k] : waits_for(net, to, k);
}

void wr_network_longest_path(const struct wr_network *net, size_t to, const double *start_min, const double *end_min,
                             const unsigned char *dropped, unsigned char *on_path)
{
    double ready = wr_network_ready(net, to, end_min);

    for (size_t k = 0; k < net->n_task; k++) on_path[k] = is_before(net, k, to) && end_min[k] == ready;
    for (size_t i = net->n_task; i-- > 0;) { /* successors come later in the order, so they are marked before */
        size_t k = net->order[i];
        if (!on_path[k]) continue;
        for (size_t j = net->pred_first[k]; j < net->pred_first[k + 1]; j++)
            if (end_min[net->pred[j]] == start_min[k]) on_path[net->pred[j]] = 1;
        if (dropped && dropped[k]) on_path[k] = 0;
    }
}

void wr_network_mark_before(const struct wr_network *net, size_t task, unsigned char *mark)
{
    mark[task] = 1;
    for (size_t i = net->n_task; i-- > 0;) { /* against the order, each task's mark is final when it is reached */
        size_t k = net->order[i];
        if (!mark[k]) continue;
        for (size_t j = net->pred_first[k]; j < net->pred_first[k + 1]; j++) mark[net->pred[j]] = 1;
    }
}

bool wr_network_waits_for(const struct wr_network *net, size_t task, size_t other)
{
    WR_SCOPED unsigned char *mark = WR_NEW_ARRAY(unsigned char, net->n_task);

    wr_network_mark_before(net, task, mark);
    return task != other && mark[other];
}

size_t wr_network_list_marked(const struct wr_network *net, const unsigned char *mark, size_t *list)
{
    size_t n = 0;

    for (size_t i = 0; i < net->n_task; i++)
        if (mark[net->order[i]]) list[n++] = net->order[i];
    return n;
}
