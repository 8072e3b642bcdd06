#include "waits.h"

static const double worth_asking_min = 3;
static const double close_share = 0.25; /* of the idle time may lie behind the end of the other work */

/* The piece of other lanes that ended last before this one began, and within its idle time; SIZE_MAX: none. */
static size_t ended_just_before(const struct own_order *own, size_t self)
{
    const struct piece *p = &own->piece[self];
    double since = p->start_min - close_share * own_order_idle(p);
    size_t last = SIZE_MAX;

    for (size_t i = own_order_from(own, self, since); i < self; i++) {
        const struct piece *q = &own->piece[i];
        if (q->work == p->work || q->end_min > p->start_min + SAME_MOMENT_MIN || q->end_min < since) continue;
        if (last == SIZE_MAX || q->end_min > own->piece[last].end_min) last = i;
    }
    return last;
}

void waits_look(const struct measuring *j, struct wait *wait)
{
    for (size_t i = 0; i < j->own.n_piece; i++) {
        const struct piece *p = &j->own.piece[i];
        if (!p->opens || p->work >= j->known.n_plan) continue;
        struct wait *w = &wait[p->work];
        w->n_run++;
        if (own_order_idle(p) < worth_asking_min || j->unsure[i]) continue;
        w->n_idle++;
        size_t other = ended_just_before(&j->own, i);
        if (other == SIZE_MAX || (w->n && w->behind != j->own.piece[other].work)) continue;
        w->behind = j->own.piece[other].work;
        w->n++;
        w->idle_min += own_order_idle(p);
    }
}

void waits_report(const struct measuring *j, const struct wait *wait)
{
    for (size_t k = 0; k < j->known.n_plan; k++) {
        if (wait[k].n < 2 || 2 * wait[k].n <= wait[k].n_idle) continue;
        wr_findings_add(
            j->findings, WR_WARNING, "wait-or-lead-in", j->plan->file, j->plan->task[k].line, 0,
            "in %zu of %zu runs '%s' began just after '%s' had ended, its lane having stood idle for %.0f min on "
            "average: the plan does not have it wait for that, so it counts as lead-in; if it was a wait, say so "
            "by after, or in plan-rehearsed.csv",
            wait[k].n, wait[k].n_run, j->plan->task[k].id, rehearsed_id(&j->known, wait[k].behind),
            wait[k].idle_min / (double)wait[k].n);
    }
}
