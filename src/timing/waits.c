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

/* What it waited for to the last. */
static size_t waited_for(const struct own_order *own, const struct piece *p)
{
    size_t last = SIZE_MAX;

    for (size_t i = p->first_pred; i < p->first_pred + p->n_pred; i++)
        if (last == SIZE_MAX || own->piece[own->pred[i]].end_min > own->piece[last].end_min) last = own->pred[i];
    return last;
}

static void count(struct wait *w, double idle_min, bool sure, const struct own_order *own, size_t other)
{
    w->n_run++;
    if (idle_min < worth_asking_min || !sure) return;
    w->n_idle++;
    if (other == SIZE_MAX || (w->n && w->behind != own->piece[other].work)) return;
    w->behind = own->piece[other].work;
    w->n++;
    w->idle_min += idle_min;
}

void waits_look(const struct measuring *j)
{
    for (size_t i = 0; i < j->own.n_piece; i++) {
        const struct piece *p = &j->own.piece[i];
        if (!p->opens || p->work >= j->known.n_plan) continue;
        count(&j->wait[p->work], own_order_idle(p), !j->unsure[i], &j->own, ended_just_before(&j->own, i));
        count(&j->wait_unlogged[p->work], p->ready_min - p->logged_ready_min, true, &j->own, waited_for(&j->own, p));
    }
}

static void report_lead_ins(const struct measuring *j)
{
    const struct wait *wait = j->wait;

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

/* The first of its predecessors that no run has a row of; one further up stands for none here. */
static size_t unlogged_before(const struct measuring *j, size_t task)
{
    for (size_t e = j->known.pred_first[task]; e < j->known.pred_first[task + 1]; e++)
        if (!j->known.was_there[j->known.pred[e]]) return j->known.pred[e];
    return SIZE_MAX;
}

static void report_unlogged(const struct measuring *j)
{
    const struct wait *wait = j->wait_unlogged;

    for (size_t k = 0; k < j->known.n_plan; k++) {
        if (wait[k].n == 0) continue;
        size_t by = unlogged_before(j, k);
        WR_SCOPED_STR way = {0};
        if (by != SIZE_MAX) wr_str_addf(&way, "'%s', which no run has a row of", rehearsed_id(&j->known, by));
        else wr_str_add(&way, "work that no run has a row of");
        wr_findings_add(
            j->findings, WR_WARNING, "wait-or-lead-in", j->plan->file, j->plan->task[k].line, 0,
            "in %zu of %zu runs '%s' began after '%s' had ended, and the plan has it wait for that by way of %s: the "
            "%.0f min on average for which its lane stood idle until then count as a wait; if that came to the plan "
            "after the runs, give the plan that they followed as plan-rehearsed.csv, else log it as skipped",
            wait[k].n, wait[k].n_run, j->plan->task[k].id, rehearsed_id(&j->known, wait[k].behind), way.text,
            wait[k].idle_min / (double)wait[k].n);
    }
}

void waits_report(const struct measuring *j)
{
    report_lead_ins(j);
    report_unlogged(j);
}
