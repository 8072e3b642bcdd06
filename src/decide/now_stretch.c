/* Work whose end nobody reported, and the moment before which it must have been done. */
#include <math.h>
#include <string.h>
#include "now_parts.h"
#include "wetrun/base/memory.h"

static const double HARDLY = 0.005; /* of 6000 days, that leaves 30 to be weighed */

/* What is reported of the day, with what is known of one of its moments. */
struct looking {
    const struct wr_network *net;
    const struct wr_now_state *state;
    struct wr_now_stretch *of;
    size_t *list, n_list;       /* what the task waits for and itself, in network order */
    unsigned char *open;        /* [n_task] its end was not reported and the moment waits for it */
    size_t n_sooner;
    double n_later;             /* with the share of lead-ins that would make it so late */
    double *end;                /* [n_task] */
    bool has_past;              /* of one of them nothing else says the minutes */
};

static bool ends_known(const struct wr_now_state *s, size_t task)
{
    return s->end_known[task] == WR_NOW_REPORTED ||
           (s->rule[task] == WR_NOW_DROPPED && s->end_known[task] == WR_NOW_INFERRED);
}

static bool begin_known(const struct wr_now_state *s, size_t task)
{
    return s->begin_known[task] == WR_NOW_REPORTED;
}

/* Backwards from the task, as far as a reported moment. */
static void mark_open(struct looking *l)
{
    const struct wr_network *net = l->net;

    for (size_t i = l->n_list; i-- > 0;) {
        size_t k = l->list[i];
        bool is_it = k == l->of->task;
        if (!is_it && (!l->open[k] || begin_known(l->state, k))) continue;
        for (size_t j = net->pred_first[k]; j < net->pred_first[k + 1]; j++)
            if (!ends_known(l->state, net->pred[j])) l->open[net->pred[j]] = 1;
    }
}

/* When the work can have begun at the soonest, where something is known of that. */
static double soonest(const struct looking *l, size_t task)
{
    const struct wr_network *net = l->net;
    double from = net->not_before_min[task];

    if (begin_known(l->state, task)) return l->state->begin_min[task];
    for (size_t j = net->pred_first[task]; j < net->pred_first[task + 1]; j++) {
        if (!ends_known(l->state, net->pred[j])) return INFINITY;
        from = fmax(from, l->state->end_min[net->pred[j]]);
    }
    return from;
}

static void describe_open(struct looking *l)
{
    l->of->from_min = l->of->at_min;
    for (size_t i = 0; i < l->n_list; i++) {
        size_t k = l->list[i];
        if (!l->open[k] || l->state->rule[k] == WR_NOW_DROPPED) continue;
        if (l->of->n_untimed++ == 0) l->of->first = k;
        l->of->from_min = fmin(l->of->from_min, soonest(l, k));
        l->has_past = l->has_past || l->state->state[k] == WR_NOW_PAST;
    }
}

/* When the moment comes on a day whose tasks take so long. least: at the soonest, so work that the plan lets go is left
 * out, and the task of the moment may have begun before its not_before. It waits for that on every other day, so its
 * having waited does not make the work before it long. */
static double moment_on(const struct looking *l, const double *minutes, bool least)
{
    const struct wr_network *net = l->net;
    const struct wr_now_state *s = l->state;
    double start = 0;

    for (size_t i = 0; i < l->n_list; i++) {
        size_t k = l->list[i];
        bool is_it = k == l->of->task, may_go = isfinite(net->drop_after_min[k]) && !begin_known(s, k);
        if (!is_it && ends_known(s, k)) {
            l->end[k] = s->end_min[k];
            continue;
        }
        start = is_it && least ? 0 : net->not_before_min[k];
        for (size_t j = net->pred_first[k]; j < net->pred_first[k + 1]; j++)
            start = fmax(start, l->end[net->pred[j]]);
        if (is_it) break;
        if (begin_known(s, k)) start = s->begin_min[k] - (s->before_min ? s->before_min[k] : 0);
        bool goes = may_go && (least || start > net->drop_after_min[k]);
        l->end[k] = start + (goes ? 0 : minutes[k] + s->hold_min[k]);
    }
    return start + (l->of->to_end ? minutes[l->of->task] + s->hold_min[l->of->task] : 0);
}

/* A moment in whole minutes may be meant half a minute earlier or later, and so may the one before it. */
static double rounding_min(double at)
{
    return fabs(at - round(at)) < 1e-9 ? 1 : 0;
}

static void count_day(struct looking *l, const double *minutes)
{
    if (moment_on(l, minutes, true) <= l->of->at_min + rounding_min(l->of->at_min)) l->n_sooner++;
    double early = l->of->at_min - rounding_min(l->of->at_min) - moment_on(l, minutes, false);
    if (early <= 0) l->n_later++;
    else if (l->state->lead_in && !l->of->to_end) l->n_later += wr_lead_in_tail(&l->state->lead_in[l->of->task], early);
}

/* The last work of a lane, taken to be on its way as rehearsed. */
static bool is_unheard(const struct wr_now_state *s, const struct wr_network *net, size_t task)
{
    bool last = false;

    for (size_t l = 0; l < net->n_lane; l++) last = last || net->lane_last[l] == task;
    return last && s->state[task] == WR_NOW_UNREPORTED;
}

static bool look_at(struct looking *l, const struct wr_network *net, const struct wr_now_state *s, size_t task,
                    struct wr_now_stretch *of)
{
    WR_SCOPED unsigned char *mark = WR_NEW_ARRAY(unsigned char, net->n_task);

    *of = (struct wr_now_stretch){.task = task, .to_end = !begin_known(s, task)};
    if (is_unheard(s, net, task)) of->alone = WR_NOW_UNHEARD;
    of->at_min = of->alone == WR_NOW_UNHEARD ? s->now_min : of->to_end ? s->end_min[task] : s->begin_min[task];
    *l = (struct looking){.net = net, .state = s, .of = of,
                          .list = WR_NEW_ARRAY(size_t, net->n_task),
                          .open = WR_NEW_ARRAY(unsigned char, net->n_task),
                          .end = WR_NEW_ARRAY(double, net->n_task)};
    wr_network_mark_before(net, task, mark);
    l->n_list = wr_network_list_marked(net, mark, l->list);
    mark_open(l);
    if (of->alone == WR_NOW_UNHEARD) l->open[task] = 1;
    describe_open(l);
    return of->n_untimed > 0;
}

static void stop_looking(struct looking *l)
{
    WR_FREE(l->list, l->open, l->end);
}

/* Work that is reported to have begun and ended sooner than hardly a day makes it, or in no time at all: it may have
 * been left out or not be all done, or its times be someone's habit of typing. Fixed minutes and judgements tell only
 * of no time: they say nothing, or little, of how short it may be. */
static bool took_too_little(const struct wr_now_state *s, const struct wr_source *source,
                            const struct wr_scenarios *before, size_t task)
{
    double took = wr_now_active_min(s, task);
    size_t n_sooner = 0;

    if (s->state[task] != WR_NOW_DONE || !begin_known(s, task) || !ends_known(s, task) ||
        (took > 0 && wr_source_form(source) != WR_FORM_LOG))
        return false;
    WR_SCOPED double *minutes = WR_NEW_ARRAY(double, before->n_trial);
    wr_scenarios_minutes(before, task, minutes);
    for (size_t i = 0; i < before->n_trial; i++)
        n_sooner += minutes[i] <= (took > 0 ? wr_now_modelled_min(s, task) : 0) + rounding_min(s->end_min[task]);
    return n_sooner * 1000 < before->n_trial;
}

/* Work that was judged beforehand and still runs, as it does on hardly an ordinary day: only a slow day speaks for what
 * lies beyond, and soon none. */
static bool outruns_judgement(const struct wr_now_state *s, const struct wr_source *source, size_t task)
{
    if (s->state[task] != WR_NOW_RUNNING || wr_source_form(source) != WR_FORM_BENT) return false;
    const struct wr_three_point judged = wr_source_judgement(source);
    return wr_three_point_cdf(&judged, wr_now_active_min(s, task)) > 1 - HARDLY;
}

static struct wr_now_stretch of_itself(const struct wr_now_state *s, size_t task, enum wr_now_alone alone)
{
    return (struct wr_now_stretch){.task = task, .to_end = alone == WR_NOW_TOOK_LITTLE, .from_min = s->begin_min[task],
                                   .at_min = alone == WR_NOW_TOOK_LITTLE ? s->end_min[task] : s->now_min,
                                   .n_untimed = 1, .first = task, .doubtful = true, .alone = alone};
}

/* One rule with day.stretches (present/day_days.js). */
size_t wr_now_stretches(struct wr_now_stretch *stretch, const struct wr_now_state *s, const struct wr_network *net,
                        const struct wr_durations *durations, const struct wr_scenarios *before)
{
    WR_SCOPED struct looking *look = WR_NEW_ARRAY(struct looking, net->n_task);
    WR_SCOPED double *minutes = WR_NEW_ARRAY(double, net->n_task);
    size_t n = 0;

    for (size_t i = 0; i < net->n_task; i++) {
        size_t k = net->order[i];
        if (!begin_known(s, k) && !ends_known(s, k) && !is_unheard(s, net, k)) continue;
        if (look_at(&look[n], net, s, k, &stretch[n])) n++;
        else stop_looking(&look[n]);
    }
    for (size_t i = 0; n > 0 && i < before->n_trial; i++) {
        wr_scenarios_durations(before, i, minutes);
        for (size_t j = 0; j < n; j++) count_day(&look[j], minutes);
    }
    for (size_t j = 0; j < n; j++) {
        bool unheard = stretch[j].alone == WR_NOW_UNHEARD;
        stretch[j].doubtful = unheard ? look[j].n_later * 20 < (double)before->n_trial
                                      : look[j].n_sooner * 1000 < before->n_trial;
        stretch[j].lengthy = !unheard && look[j].has_past && look[j].n_later * 1000 < (double)before->n_trial;
        stop_looking(&look[j]);
    }
    for (size_t i = 0; i < net->n_task; i++) {
        size_t k = net->order[i];
        if (took_too_little(s, &durations->source[k], before, k)) stretch[n++] = of_itself(s, k, WR_NOW_TOOK_LITTLE);
        else if (outruns_judgement(s, &durations->source[k], k)) stretch[n++] = of_itself(s, k, WR_NOW_OVER_JUDGEMENT);
    }
    return n;
}

/* ---- what decided a begin ---- */

/* Something that the task waited for is not known to have ended before it began. */
static bool waits_for_open(const struct wr_network *net, const struct wr_now_state *s, size_t task)
{
    bool open = false;

    for (size_t j = net->pred_first[task]; j < net->pred_first[task + 1]; j++)
        open = open || (!ends_known(s, net->pred[j]) && s->end_min[net->pred[j]] >= s->begin_min[task]);
    return open && begin_known(s, task);
}

/* By the density of the begin on the days before, where what is known was the latest and where it was not. */
static bool may_have_waited(const struct wr_network *net, const struct wr_now_state *s, size_t task,
                            const struct wr_lead_in *law, const struct wr_scenarios *before, double *minutes)
{
    const double MOST_TIMES = 20;
    double waited = 0, met = 0;
    struct wr_now_stretch of;
    struct looking l;

    if (!waits_for_open(net, s, task)) return false;
    if (look_at(&l, net, s, task, &of)) {
        memset(minutes, 0, net->n_task * sizeof *minutes);
        double known = moment_on(&l, minutes, false); /* by what is known, if the rest took no time */
        for (size_t i = 0; known > 0 && known < of.at_min && i < before->n_trial; i++) {
            wr_scenarios_durations(before, i, minutes);
            double moment = moment_on(&l, minutes, false);
            *(moment > known ? &met : &waited) += wr_lead_in_density(law, of.at_min - moment);
        }
    }
    stop_looking(&l);
    return waited > 0 && met <= MOST_TIMES * waited;
}

/* The latest moment that was reported of what leads to the task. */
static double known_before(const struct wr_network *net, const struct wr_now_state *s, size_t task)
{
    WR_SCOPED unsigned char *before = WR_NEW_ARRAY(unsigned char, net->n_task);
    double latest = net->not_before_min[task];

    wr_network_mark_before(net, task, before);
    for (size_t p = 0; p < net->n_task; p++) {
        if (!before[p] || p == task) continue;
        if (ends_known(s, p)) latest = fmax(latest, s->end_min[p]);
        else if (begin_known(s, p)) latest = fmax(latest, s->begin_min[p]);
    }
    return latest;
}

/* A begin that was reported came behind the task's lead-in, and of what it shows the end of, that was before it. */
static void find_lead_ins(struct wr_now_state *s, const struct wr_network *net, const struct wr_lead_in *lead_in)
{
    s->before_min = WR_NEW_ARRAY(double, net->n_task);
    s->after_min = WR_NEW_ARRAY(double, net->n_task);
    s->ready_min = WR_COPY(s->begin_min, net->n_task);
    for (size_t k = 0; k < net->n_task; k++) {
        if (!begin_known(s, k)) continue;
        double room = (s->begin_min[k] - known_before(net, s, k)) / 2;
        s->before_min[k] = lead_in[k].mean_min;
        s->ready_min[k] -= fmax(0, fmin(lead_in[k].mean_min, room));
        for (size_t j = net->pred_first[k]; j < net->pred_first[k + 1]; j++) {
            size_t p = net->pred[j];
            bool shown = s->time_known[p] && s->end_known[p] == WR_NOW_INFERRED && s->end_min[p] >= s->begin_min[k];
            if (shown) s->after_min[p] = fmin(lead_in[k].mean_min, wr_now_active_min(s, p));
        }
    }
}

/* One rule with day.settle (present/day_days.js). Each look may find that what was inferred was not to be. */
enum wr_status wr_now_settle(struct wr_now_state *state, const struct wr_now *now, const struct wr_network *net,
                             const struct wr_plan *plan, const struct wr_lead_in *lead_in,
                             const struct wr_scenarios *before, struct wr_error *err)
{
    unsigned char *own_wait = WR_NEW_ARRAY(unsigned char, net->n_task);
    WR_SCOPED double *minutes = WR_NEW_ARRAY(double, net->n_task);
    enum wr_status status = wr_now_resolve(state, now, net, plan, err);
    bool more = status == WR_OK && lead_in;

    while (more) {
        more = false;
        for (size_t k = 0; k < net->n_task; k++) {
            if (own_wait[k] || !may_have_waited(net, state, k, &lead_in[k], before, minutes)) continue;
            own_wait[k] = 1;
            more = true;
        }
        if (!more) break;
        wr_now_state_release(state);
        status = wr_now_resolve_beside(state, now, net, plan, own_wait, err);
        more = status == WR_OK;
    }
    if (status == WR_OK && lead_in) {
        state->lead_in = WR_COPY(lead_in, net->n_task);
        state->own_wait = own_wait;
        find_lead_ins(state, net, lead_in);
    } else {
        wr_free(own_wait);
    }
    return status;
}
