#include "slow_walk.h"

#include <math.h>
#include <string.h>
#include "wetrun/base/memory.h"
#include "wetrun/network/network.h"

static double walk(const struct wr_plan *plan, const double *minutes, const double *held_min,
                   const unsigned char *left_out, double *start, double *end, unsigned char *dropped)
{
    double finish = 0;

    for (size_t k = 0; k < plan->n_task; k++) start[k] = end[k] = 0;
    for (bool moved = true; moved;) {
        moved = false;
        for (size_t k = 0; k < plan->n_task; k++) {
            const struct wr_plan_task *t = &plan->task[k];
            double s = t->not_before_min.known ? t->not_before_min.value : 0;
            if (held_min) s = fmax(s, held_min[k]);
            for (size_t j = 0; j < k; j++)
                if (plan->task[j].lanes & t->lanes) s = fmax(s, end[j]); /* all before it, not the last */
            for (size_t i = 0; i < t->n_after; i++) s = fmax(s, end[t->after[i]]);
            bool drop = left_out ? left_out[k] : t->drop_after_min.known && s > t->drop_after_min.value;
            double e = drop ? s : s + minutes[k];
            moved |= s != start[k] || e != end[k];
            start[k] = s;
            end[k] = e;
            dropped[k] = drop;
        }
    }
    for (size_t k = 0; k < plan->n_task; k++) finish = fmax(finish, end[k]);
    return finish;
}

double slow_walk(const struct wr_plan *plan, const double *minutes, const double *held_min, double *start, double *end,
                 unsigned char *dropped)
{
    return walk(plan, minutes, held_min, NULL, start, end, dropped);
}

static bool waits_for(const struct wr_plan *plan, size_t task, size_t other)
{
    const struct wr_plan_task *t = &plan->task[task];
    bool waits = other < task && plan->task[other].lanes & t->lanes;

    for (size_t i = 0; i < t->n_after; i++) waits |= t->after[i] == other;
    return waits;
}

static double ready(const struct wr_plan *plan, size_t to, const double *end)
{
    double latest = 0;

    for (size_t k = 0; k < plan->n_task; k++)
        if (to == WR_FINISH || waits_for(plan, to, k)) latest = fmax(latest, end[k]);
    return latest;
}

void slow_longest_path(const struct wr_plan *plan, size_t to, const double *minutes, const unsigned char *dropped,
                       double moment, unsigned char *on_path)
{
    size_t n = plan->n_task;
    double *start = WR_NEW_ARRAY(double, n), *end = WR_NEW_ARRAY(double, n), *longer = WR_NEW_ARRAY(double, n);
    unsigned char *unused = WR_NEW_ARRAY(unsigned char, n);

    walk(plan, minutes, NULL, dropped, start, end, unused);
    double before = ready(plan, to, end);
    for (size_t k = 0; k < n; k++) {
        memcpy(longer, minutes, n * sizeof *longer);
        longer[k] += moment;
        walk(plan, longer, NULL, dropped, start, end, unused);
        on_path[k] = !dropped[k] && ready(plan, to, end) > before;
    }
    wr_free(start);
    wr_free(end);
    wr_free(longer);
    wr_free(unused);
}

void slow_mark_before(const struct wr_plan *plan, size_t task, unsigned char *mark)
{
    memset(mark, 0, plan->n_task);
    mark[task] = 1;
    for (bool grew = true; grew;) {
        grew = false;
        for (size_t k = 0; k < plan->n_task; k++)
            for (size_t j = 0; mark[k] && j < plan->n_task; j++) {
                if (mark[j] || !waits_for(plan, k, j)) continue;
                mark[j] = 1;
                grew = true;
            }
    }
}
