/* What a report means for every task of the plan. */
#include <math.h>
#include <string.h>
#include "now_parts.h"
#include "wetrun/base/memory.h"

struct resolving {
    const struct wr_network *net;
    const struct wr_plan *plan;
    struct wr_now_state *state;
    struct wr_maybe *begin, *end; /* [n_task] as reported, then as inferred */
    double *hold;                 /* [n_task] */
    unsigned char *begun, *done;  /* [n_task] */
    unsigned char *named;         /* [n_task] in the report */
    unsigned char *rule;          /* [n_task] enum wr_now_rule */
    const unsigned char *own_wait; /* [n_task] or NULL: see wr_now_state */
};

static void take_report(struct resolving *r, const struct wr_now *now)
{
    WR_SCOPED unsigned char *before = WR_NEW_ARRAY(unsigned char, r->net->n_task);

    for (size_t i = 0; i < now->n_event; i++) {
        size_t k = now->event[i].task;
        r->begin[k] = now->event[i].begin_min;
        r->end[k] = now->event[i].end_min;
        r->hold[k] = now->event[i].hold_min;
        r->named[k] = r->begun[k] = 1;
        if (r->end[k].known) r->done[k] = 1;
        memset(before, 0, r->net->n_task);
        wr_network_mark_before(r->net, k, before);
        for (size_t p = 0; p < r->net->n_task; p++)
            if (before[p] && p != k) r->begun[p] = r->done[p] = 1;
    }
}

static enum wr_status contradiction(const struct resolving *r, size_t k, double k_min, size_t first, double first_min,
                                    const char *what, struct wr_error *err)
{
    return wr_fail(err, WR_E_USAGE,
                   "'%s' is reported for %s, but '%s', which must be done first, %s at %s: correct one of the two",
                   r->plan->task[k].id, wr_hmm(k_min, WR_ROOM), r->plan->task[first].id, what,
                   wr_hmm(first_min, WR_ROOM));
}

static enum wr_status check_report(const struct resolving *r, const double *part_min, struct wr_error *err)
{
    const struct wr_network *net = r->net;
    WR_SCOPED unsigned char *before = WR_NEW_ARRAY(unsigned char, net->n_task);
    enum wr_status status = WR_OK;

    for (size_t k = 0; k < net->n_task && status == WR_OK; k++) {
        if (!r->named[k]) continue;
        double k_min = r->begin[k].known ? r->begin[k].value : r->end[k].value;
        memset(before, 0, net->n_task);
        wr_network_mark_before(net, k, before);
        for (size_t p = 0; p < net->n_task && status == WR_OK; p++) {
            if (!before[p] || p == k || !r->named[p]) continue;
            if (r->end[p].known && r->end[p].value > k_min)
                status = contradiction(r, k, k_min, p, r->end[p].value, "ended", err);
            else if (r->begin[p].known && r->begin[p].value > k_min)
                status = contradiction(r, k, k_min, p, r->begin[p].value, "began", err);
            else if (part_min && part_min[p] > k_min)
                status = contradiction(r, k, k_min, p, part_min[p], "was still worked on", err);
        }
    }
    return status;
}

static bool may_go(const struct resolving *r, size_t k)
{
    return r->begun[k] && !r->named[k] && isfinite(r->net->drop_after_min[k]);
}

/* What was not named and, as all that was reported leaves it, can only have begun later than its rule allows. */
static void find_dropped(struct resolving *r)
{
    const struct wr_network *net = r->net;
    WR_SCOPED double *end = WR_NEW_ARRAY(double, net->n_task); /* the soonest */

    for (size_t i = 0; i < net->n_task; i++) {
        size_t k = net->order[i];
        double begin = net->not_before_min[k];
        for (size_t j = net->pred_first[k]; j < net->pred_first[k + 1]; j++) begin = fmax(begin, end[net->pred[j]]);
        if (r->begin[k].known) begin = r->begin[k].value;
        end[k] = r->end[k].known ? r->end[k].value : begin;
        if (may_go(r, k) && begin > net->drop_after_min[k]) r->rule[k] = WR_NOW_DROPPED;
    }
}

/* The same where it depends on what nobody reported. */
static void find_may_be_dropped(struct resolving *r)
{
    const struct wr_network *net = r->net;

    for (size_t k = 0; k < net->n_task; k++) {
        double latest = net->not_before_min[k];
        if (!may_go(r, k) || r->rule[k] == WR_NOW_DROPPED) continue;
        for (size_t j = net->pred_first[k]; j < net->pred_first[k + 1]; j++)
            latest = fmax(latest, r->state->end_min[net->pred[j]]);
        if (latest > net->drop_after_min[k]) r->rule[k] = WR_NOW_MAY_BE_DROPPED;
    }
}

/* A task begins when all before it has ended, and not before its not_before. */
static void infer_begins(struct resolving *r)
{
    const struct wr_network *net = r->net;

    for (size_t i = 0; i < net->n_task; i++) {
        size_t k = net->order[i];
        double begin = net->not_before_min[k];
        bool known = true;
        if (!r->begun[k] || r->begin[k].known) continue;
        for (size_t j = net->pred_first[k]; j < net->pred_first[k + 1]; j++) {
            known = known && r->end[net->pred[j]].known;
            begin = fmax(begin, r->end[net->pred[j]].value);
        }
        if (known) r->begin[k] = wr_known(begin);
        if (known && r->rule[k] == WR_NOW_DROPPED) r->end[k] = r->begin[k];
    }
}

static bool may_have_waited(const struct resolving *r, size_t task)
{
    return r->own_wait && r->own_wait[task];
}

/* Of a task whose begin is known and that waited for one task of unknown end: there that one ended. */
static bool infer_ends(struct resolving *r)
{
    const struct wr_network *net = r->net;
    bool changed = false;

    for (size_t k = 0; k < net->n_task; k++) {
        size_t unknown = SIZE_MAX, n_unknown = 0;
        double other = net->not_before_min[k];
        if (!r->begun[k] || !r->begin[k].known) continue;
        for (size_t j = net->pred_first[k]; j < net->pred_first[k + 1]; j++) {
            size_t p = net->pred[j];
            if (r->end[p].known) other = fmax(other, r->end[p].value);
            else unknown = p, n_unknown++;
        }
        if (n_unknown != 1 || other >= r->begin[k].value || may_have_waited(r, k))
            continue; /* or it may have ended at any time before */
        r->end[unknown] = r->begin[k];
        if (r->rule[unknown] == WR_NOW_DROPPED) r->begin[unknown] = r->end[unknown];
        changed = true;
    }
    return changed;
}

/* The latest that a done task can have ended, and begun. */
static void bound_times(struct resolving *r)
{
    const struct wr_network *net = r->net;
    struct wr_now_state *s = r->state;

    for (size_t k = 0; k < net->n_task; k++) s->end_min[k] = r->end[k].known ? r->end[k].value : s->now_min;
    for (size_t i = net->n_task; i-- > 0;) {
        size_t k = net->order[i];
        if (!r->begun[k]) continue;
        s->begin_min[k] = r->begin[k].known ? r->begin[k].value : s->end_min[k];
        for (size_t j = net->pred_first[k]; j < net->pred_first[k + 1]; j++) {
            size_t p = net->pred[j];
            if (!r->end[p].known) s->end_min[p] = fmin(s->end_min[p], s->begin_min[k]);
        }
    }
}

/* Lanes of which a task of their own was named after their last joint task that is done. */
static uint32_t lanes_spoken_of(const struct resolving *r)
{
    const struct wr_network *net = r->net;
    uint32_t spoken = 0;

    for (size_t i = 0; i < net->n_task; i++) {
        size_t k = net->order[i];
        bool joint = (net->lanes[k] & (net->lanes[k] - 1)) != 0;
        if (joint && r->done[k]) spoken &= ~net->lanes[k];
        if (r->named[k] && !joint) spoken |= net->lanes[k];
    }
    return spoken;
}

static void set_states(struct resolving *r)
{
    const struct wr_network *net = r->net;
    uint32_t spoken = lanes_spoken_of(r);
    struct wr_now_state *s = r->state;

    for (size_t i = 0; i < net->n_task; i++) {
        size_t k = net->order[i];
        s->time_known[k] = r->done[k] && r->begin[k].known && r->end[k].known && r->rule[k] == WR_NOW_KEPT;
        if (r->done[k]) s->state[k] = s->time_known[k] ? WR_NOW_DONE : WR_NOW_PAST;
        else if (r->begun[k]) s->state[k] = WR_NOW_RUNNING;
        else s->state[k] = (net->lanes[k] & spoken) ? WR_NOW_AHEAD : WR_NOW_UNREPORTED;
        for (size_t j = net->pred_first[k]; j < net->pred_first[k + 1]; j++) {
            unsigned char before = s->state[net->pred[j]];
            if (!r->begun[k] && (before == WR_NOW_AHEAD || before == WR_NOW_RUNNING)) s->state[k] = WR_NOW_AHEAD;
        }
    }
}

/* Work that nobody spoke of begins no sooner than what it waits for is done, or begins itself. */
static void find_unheard(const struct wr_network *net, struct wr_now_state *s)
{
    WR_SCOPED double *ready = WR_NEW_ARRAY(double, net->n_task);

    for (size_t i = 0; i < net->n_task; i++) {
        size_t k = net->order[i];
        ready[k] = net->not_before_min[k];
        if (s->state[k] != WR_NOW_UNREPORTED) continue;
        for (size_t j = net->pred_first[k]; j < net->pred_first[k + 1]; j++) {
            size_t p = net->pred[j];
            ready[k] = fmax(ready[k], s->state[p] == WR_NOW_UNREPORTED ? ready[p] : s->end_min[p]);
        }
        if (ready[k] < s->now_min) s->unheard_lanes |= net->lanes[k];
    }
}

enum { MOST_OPEN = 3 };       /* rules that one moment settles: each doubles the ways in which it may have come */

struct gaps {
    unsigned char *closed;     /* [n_task] its end is the moment of a gap that was found */
    unsigned char *vague;      /* [n_task] its end may wait for work that may be dropped, or be that */
    unsigned char *met;        /* [n_task] it comes before a reported moment that was looked at */
};

static bool waits_for_vague(const struct wr_network *net, size_t k, const unsigned char *vague)
{
    bool any = false;

    for (size_t j = net->pred_first[k]; j < net->pred_first[k + 1]; j++) any = any || vague[net->pred[j]];
    return any;
}

/* Opens the rules of the work that led to a reported moment by ways that nobody reported of; false: not all of them
 * can be, since a moment before it had to do with one, or they are too many. */
static bool open_rules(struct resolving *r, size_t k, const struct gaps *g)
{
    const struct wr_network *net = r->net;
    WR_SCOPED unsigned char *led = WR_NEW_ARRAY(unsigned char, net->n_task);
    size_t open[MOST_OPEN], n = 0;

    led[k] = 1;
    for (size_t i = net->n_task; i-- > 0;) {
        size_t p = net->order[i];
        if (!led[p]) continue;
        for (size_t j = net->pred_first[p]; j < net->pred_first[p + 1]; j++)
            led[net->pred[j]] |= g->vague[net->pred[j]];
        if (p == k || r->rule[p] != WR_NOW_MAY_BE_DROPPED) continue;
        if (g->met[p] || n == MOST_OPEN) return false;
        open[n++] = p;
    }
    for (size_t i = 0; i < n; i++) r->state->open_rule[open[i]] = 1;
    return true;
}

/* The begin of a named task, if what is known to have ended does not decide it. */
static bool closes_at_begin(const struct resolving *r, size_t k, const struct gaps *g)
{
    const struct wr_network *net = r->net;
    const struct wr_now_state *s = r->state;
    double other = net->not_before_min[k];
    bool untimed = false; /* of what there was to do in the stretch */

    for (size_t j = net->pred_first[k]; j < net->pred_first[k + 1]; j++) {
        size_t p = net->pred[j];
        bool dropped_then = r->rule[p] == WR_NOW_DROPPED && r->end[p].known;
        bool led_here = s->end_known[p] != WR_NOW_REPORTED && s->end_min[p] >= r->begin[k].value && !dropped_then;
        if (led_here) untimed = untimed || (!s->time_known[p] && !g->closed[p]);
        else other = fmax(other, s->end_min[p]);
    }
    return untimed && s->begin_known[k] == WR_NOW_REPORTED && other < r->begin[k].value && !may_have_waited(r, k);
}

/* A reported moment that some task of unknown time led to closes a gap: the stretch since the moments known before.
 * Where more tasks than one began at the moment at which such a task ended, it is one observation. */
static void find_gaps(struct resolving *r)
{
    const struct wr_network *net = r->net;
    struct wr_now_state *s = r->state;
    WR_SCOPED unsigned char *flags = WR_NEW_ARRAY(unsigned char, 3 * net->n_task);
    struct gaps g = {flags, flags + net->n_task, flags + 2 * net->n_task};

    for (size_t i = 0; i < net->n_task; i++) {
        size_t k = net->order[i];
        bool unsure = waits_for_vague(net, k, g.vague), to_end = !r->begin[k].known; /* then its end was reported */
        g.vague[k] = s->end_known[k] != WR_NOW_REPORTED && (r->rule[k] == WR_NOW_MAY_BE_DROPPED ||
                                                            (unsure && s->begin_known[k] != WR_NOW_REPORTED));
        if (!r->named[k]) continue;
        if ((to_end || closes_at_begin(r, k, &g)) && (!unsure || open_rules(r, k, &g)))
            s->gap[k] = unsure ? WR_NOW_GAP_EITHER_WAY : to_end ? WR_NOW_GAP_TO_END : WR_NOW_GAP_TO_BEGIN;
        for (size_t j = net->pred_first[k]; j < net->pred_first[k + 1] && s->gap[k] && !to_end; j++)
            g.closed[net->pred[j]] |= s->end_min[net->pred[j]] >= r->begin[k].value;
        wr_network_mark_before(net, k, g.met);
    }
}

static void note_sources(struct resolving *r, const struct wr_maybe *begin, const struct wr_maybe *end)
{
    for (size_t k = 0; k < r->net->n_task; k++) {
        r->state->begin_known[k] = begin[k].known      ? WR_NOW_REPORTED
                                   : r->begin[k].known ? WR_NOW_INFERRED
                                                       : WR_NOW_UNKNOWN;
        r->state->end_known[k] = end[k].known ? WR_NOW_REPORTED : r->end[k].known ? WR_NOW_INFERRED : WR_NOW_UNKNOWN;
    }
}

enum wr_status wr_now_resolve(struct wr_now_state *state, const struct wr_now *now, const struct wr_network *net,
                              const struct wr_plan *plan, struct wr_error *err)
{
    return wr_now_resolve_beside(state, now, net, plan, NULL, err);
}

enum wr_status wr_now_resolve_beside(struct wr_now_state *state, const struct wr_now *now,
                                     const struct wr_network *net, const struct wr_plan *plan,
                                     const unsigned char *own_wait, struct wr_error *err)
{
    size_t n = net->n_task;
    struct resolving r = {.net = net, .plan = plan, .state = state, .own_wait = own_wait};
    WR_SCOPED struct wr_maybe *block = WR_NEW_ARRAY(struct wr_maybe, 4 * n);
    WR_SCOPED unsigned char *flags = WR_NEW_ARRAY(unsigned char, 3 * n);

    r.hold = WR_NEW_ARRAY(double, n);
    r.rule = WR_NEW_ARRAY(unsigned char, n);
    r.begin = block;
    r.end = block + n;
    r.begun = flags;
    r.done = flags + n;
    r.named = flags + 2 * n;
    take_report(&r, now);
    memcpy(block + 2 * n, block, 2 * n * sizeof *block);
    enum wr_status status = check_report(&r, now->part_min, err);
    if (status == WR_OK) {
        *state = (struct wr_now_state){.n_task = n,
                                       .now_min = now->now_min,
                                       .state = WR_NEW_ARRAY(unsigned char, n),
                                       .begin_min = WR_NEW_ARRAY(double, n),
                                       .end_min = WR_NEW_ARRAY(double, n),
                                       .hold_min = r.hold,
                                       .rule = r.rule,
                                       .time_known = WR_NEW_ARRAY(unsigned char, n),
                                       .begin_known = WR_NEW_ARRAY(unsigned char, n),
                                       .end_known = WR_NEW_ARRAY(unsigned char, n),
                                       .open_rule = WR_NEW_ARRAY(unsigned char, n),
                                       .gap = WR_NEW_ARRAY(unsigned char, n)};
        find_dropped(&r);
        do infer_begins(&r);
        while (infer_ends(&r));
        bound_times(&r);
        find_may_be_dropped(&r);
        set_states(&r);
        find_unheard(net, state);
        note_sources(&r, block + 2 * n, block + 3 * n);
        find_gaps(&r);
    } else {
        WR_FREE(r.hold, r.rule);
    }
    return status;
}

static enum wr_now_lack lacks_on_clock(const struct wr_now_state *s, const struct wr_sim_limit *limit)
{
    if (!limit->is_clock || !wr_now_has_begun(s, limit->from)) return WR_NOW_LACKS_NOTHING;
    if (s->begin_known[limit->from] == WR_NOW_UNKNOWN) return WR_NOW_LACKS_BEGIN;
    bool to_reported = s->end_known[limit->to] == WR_NOW_REPORTED;
    bool exact = to_reported && s->begin_known[limit->from] == WR_NOW_REPORTED;
    bool stopped = s->state[limit->to] == WR_NOW_PAST || s->state[limit->to] == WR_NOW_DONE;
    if (!stopped || exact || s->end_min[limit->to] - s->begin_min[limit->from] <= limit->minutes)
        return WR_NOW_LACKS_NOTHING;
    return to_reported ? WR_NOW_LACKS_BEGIN : WR_NOW_LACKS_END;
}

enum wr_now_lack wr_now_lacks(const struct wr_now_state *s, const struct wr_sim_limit *limit)
{
    if (!s) return WR_NOW_LACKS_NOTHING;
    return s->doubted ? WR_NOW_LACKS_TIMES : lacks_on_clock(s, limit);
}

/* The task is certainly not done at that moment: of what nobody spoke of, if what it waits for ended later. */
static bool is_open_at(const struct wr_now_state *s, const struct wr_network *net, size_t task, double at_min)
{
    WR_SCOPED unsigned char *before = WR_NEW_ARRAY(unsigned char, net->n_task);
    bool goes_on = s->state[task] == WR_NOW_AHEAD || s->state[task] == WR_NOW_RUNNING;
    bool open = goes_on && s->now_min > at_min;

    wr_network_mark_before(net, task, before);
    for (size_t k = 0; k < net->n_task && s->state[task] == WR_NOW_UNREPORTED; k++)
        open = open || (before[k] && s->end_known[k] == WR_NOW_REPORTED && s->end_min[k] > at_min);
    return open;
}

static bool ends_in_doubt(const struct wr_now_state *s, const struct wr_network *net, const size_t *ends, size_t n)
{
    WR_SCOPED unsigned char *before = WR_NEW_ARRAY(unsigned char, net->n_task);
    bool any = false;

    for (size_t i = 0; i < n; i++) wr_network_mark_before(net, ends[i], before);
    for (size_t k = 0; k < net->n_task && s->doubted; k++) any = any || (before[k] && s->doubted[k]);
    return any;
}

/* ends[n]: the tasks whose latest end counts. */
static struct wr_now_fact fact_of_ends(const struct wr_now_state *s, const struct wr_network *net,
                                       const struct wr_sim_limit *limit, const size_t *ends, size_t n)
{
    bool inferred = limit->is_clock && s->begin_known[limit->from] != WR_NOW_REPORTED, done = n > 0, open = false;
    double from = limit->is_clock ? s->begin_min[limit->from] : 0, end = 0;

    for (size_t i = 0; i < n; i++) {
        unsigned char state = s->state[ends[i]];
        done = done && (state == WR_NOW_PAST || state == WR_NOW_DONE);
        open = open || is_open_at(s, net, ends[i], from + limit->minutes);
        end = fmax(end, s->end_min[ends[i]]);
    }
    if (!done)
        return (struct wr_now_fact){.kind = open && !inferred ? WR_FACT_PASSED : WR_FACT_NONE, .over = true};
    for (size_t i = 0; i < n; i++) inferred = inferred || s->end_known[ends[i]] != WR_NOW_REPORTED;
    bool over = end - from > limit->minutes;
    bool doubtful = !over && ends_in_doubt(s, net, ends, n);
    return (struct wr_now_fact){.kind = doubtful || (inferred && over) ? WR_FACT_NONE : WR_FACT_TOOK,
                                .took_min = end - from,
                                .at_most = inferred,
                                .over = over};
}

struct wr_now_fact wr_now_fact_of(const struct wr_now_state *s, const struct wr_network *net,
                                  const struct wr_sim_limit *limit)
{
    size_t ends[WR_MAX_LANES], n = 0;

    if (limit->is_clock && !wr_now_has_begun(s, limit->from)) return (struct wr_now_fact){0};
    if (lacks_on_clock(s, limit)) return (struct wr_now_fact){0};
    if (limit->is_clock) ends[n++] = limit->to;
    for (size_t l = 0; l < net->n_lane && !limit->is_clock; l++)
        if ((limit->lanes >> l & 1) && net->lane_last[l] != SIZE_MAX) ends[n++] = net->lane_last[l];
    return fact_of_ends(s, net, limit, ends, n);
}

void wr_now_state_release(struct wr_now_state *state)
{
    WR_FREE(state->state, state->begin_min, state->end_min, state->hold_min, state->time_known, state->begin_known,
            state->end_known, state->rule, state->open_rule, state->gap, state->doubted, state->log_correction,
            state->lead_in, state->own_wait, state->before_min, state->after_min, state->ready_min);
    for (size_t k = 0; state->gap_law && k < state->n_task; k++) {
        WR_FREE(state->gap_law[k].mean_log, state->gap_law[k].sd_log, state->gap_law[k].loading);
    }
    wr_free(state->gap_law);
    *state = (struct wr_now_state){0};
}
