#include "past.h"

#include <math.h>
#include <string.h>
#include "bend.h"
#include "wetrun/base/memory.h"
#include "wetrun/stats/newton.h"
#include "wetrun/stats/special.h"

enum { MOST_RULED = 8, MOST_WAYS = 1 << MOST_RULED }; /* no more than wr_now_resolve opens for one moment */

/* A reported moment that tasks of unknown time led to. */
struct closing {
    size_t task, trial;
    bool to_end, exact;         /* its end was reported; the unknown tasks met it, and not only kept within it */
    double at;
    const struct wr_lead_in *wait; /* NULL, or how long it may have waited after the latest of what it waited for */
    size_t *list, n_list;       /* what it waited for and itself, in network order */
    unsigned char *moves;       /* [n_task] of unknown time, not settled by an earlier moment */
    double *stretch, *share;    /* [n_task] rise of the log of its minutes with the push; what that is in proportion
                                   to; in the way that is looked at */
    size_t ruled[MOST_RULED], n_ruled; /* of those that move, the ones that may have been dropped */
    double *stretch_of;         /* [way * n_task] of each of the 2^n_ruled ways in which they may have been */
    unsigned char *gone;        /* [n_task] in the way that is looked at it was dropped */
    /* of one day */
    double *begin;              /* [n_task] */
    double *end, *rate;         /* [n_task] and the derivative by the push */
    size_t *waited_for;         /* [n_task] */
    double precision, centre;   /* of the law of the push */
};

/* When the reported moment comes if the unknown tasks are pushed. */
static double moment_at(const struct wr_days *days, struct closing *c, double push, double *rate)
{
    const struct wr_network *net = days->net;

    for (size_t i = 0; i < c->n_list; i++) {
        size_t k = c->list[i];
        double start = net->not_before_min[k], start_rate = 0, minutes = days->base_min[k][c->trial];
        if (days->now->state[k] == WR_NOW_DONE && (k != c->task || c->to_end)) {
            c->end[k] = days->now->end_min[k];
            c->rate[k] = 0;
            c->waited_for[k] = SIZE_MAX;
            continue;
        }
        c->waited_for[k] = SIZE_MAX;
        for (size_t j = net->pred_first[k]; j < net->pred_first[k + 1]; j++) {
            size_t p = net->pred[j];
            if (c->end[p] <= start) continue;
            start = c->end[p];
            start_rate = c->rate[p];
            c->waited_for[k] = p;
        }
        if (k == c->task && !c->to_end) {
            *rate = start_rate;
            return start;
        }
        c->begin[k] = start;
        if (c->gone[k]) {
            c->end[k] = start;
            c->rate[k] = start_rate;
            continue;
        }
        if (c->moves[k]) minutes *= exp(push * c->stretch[k]);
        c->end[k] = start + minutes + (k == c->task ? 0 : days->now->hold_min[k]);
        c->rate[k] = start_rate + (c->moves[k] ? minutes * c->stretch[k] : 0);
    }
    *rate = c->rate[c->task];
    return c->end[c->task];
}

static const double FARTHEST = 200; /* push: nothing is left of a task's minutes, or all the day is spent on it */

/* The push that meets the moment, by Newton on its log within what is known to be too early and too late; where
 * something known decides the moment, the one beyond which the unknown tasks would. False: none does. */
static bool find_push(const struct wr_days *days, struct closing *c, double *push, double *rate)
{
    struct wr_newton p = {0, -INFINITY, INFINITY};

    for (int i = 0; i < 100 && fabs(p.at) < FARTHEST; i++) {
        double moment = moment_at(days, c, p.at, rate), off = moment - c->at;
        bool early = off < 0 || (!c->exact && !(*rate > 0));
        *push = p.at;
        if (fabs(off) < 1e-9 * (1 + c->at) && *rate > 0) return true;
        double step = *rate > 0 ? -log(moment / c->at) * moment / *rate : early ? 1 : -1;
        wr_newton_step(&p, !early, fmin(fmax(step, -3), 3));
    }
    return false; /* something else is later in any case */
}

/* sd of the log of a task's minutes on this day, and where the day stands in it. */
static double spread_of(const struct wr_days *days, size_t k, size_t trial, double *z)
{
    size_t cell = k * days->n_trial + trial;
    double slope_min;

    *z = (double)days->z[cell];
    if (days->form[k] != WR_FORM_BENT) return days->slope[k * days->n_draw + days->draw[trial]];
    double minutes = wr_bend_minutes(&days->bend[k], *z, &slope_min); /* the day's pace multiplies both */
    return minutes > 0 ? slope_min / minutes : 0;
}

static bool is_pushed(const struct closing *c, size_t k)
{
    return c->moves[k] && !c->gone[k];
}

/* Way w: what was dropped in it, and how it is pushed. */
static void take_way(struct closing *c, const struct wr_days *days, size_t w)
{
    for (size_t i = 0; i < c->n_ruled; i++) c->gone[c->ruled[i]] = w >> i & 1;
    c->stretch = c->stretch_of + w * days->n_task;
}

/* How much each unknown task answers: by its variance and its share of the way to the moment, over some days. */
static void find_stretches(const struct wr_days *days, struct closing *c)
{
    enum { LOOK_DAYS = 200 };
    double most = 0, rate, z;

    memset(c->share, 0, days->n_task * sizeof *c->share);
    for (c->trial = 0; c->trial < days->n_trial && c->trial < LOOK_DAYS; c->trial++) {
        double moment = moment_at(days, c, 0, &rate);
        size_t k = c->to_end ? c->task : c->waited_for[c->task];
        for (; k != SIZE_MAX && moment > 0; k = c->waited_for[k]) {
            double sd = is_pushed(c, k) ? spread_of(days, k, c->trial, &z) : 0;
            c->share[k] += sd * sd * days->base_min[k][c->trial] / moment;
        }
    }
    for (size_t k = 0; k < days->n_task; k++) most = fmax(most, c->share[k]);
    for (size_t k = 0; k < days->n_task; k++) c->stretch[k] = most > 0 ? c->share[k] / most : is_pushed(c, k);
}

static void find_law(const struct wr_days *days, struct closing *c)
{
    double pull = 0, z;

    c->precision = 0;
    for (size_t i = 0; i < c->n_list; i++) {
        size_t k = c->list[i];
        double sd = is_pushed(c, k) ? spread_of(days, k, c->trial, &z) : 0;
        if (!(sd > 0)) continue;
        double u = c->stretch[k] / sd;
        c->precision += u * u;
        pull -= z * u;
    }
    c->centre = c->precision > 0 ? pull / c->precision : 0;
}

/* The push that is taken, and what the day weighs. */
static double taken_push(const struct closing *c, double push, double rate, double *log_weight)
{
    double root = sqrt(c->precision), off = root * (push - c->centre);

    if (c->exact) {
        *log_weight += log(root) - off * off / 2 - log(rate);
        return push;
    }
    double reach = wr_log_normal_cdf(off), place = wr_log_normal_cdf(-root * c->centre) + reach;
    *log_weight += reach;
    return c->centre + wr_normal_quantile(fmin(fmax(exp(place), 1e-300), 1 - 1e-16)) / root;
}

/* Where the unknown tasks may have ended at any time before, but the begin tells of it: by the density of the lead-in
 * that is left, in steps. They were done before what is known was, which leaves all of it; or as shortly before the
 * begin as three of four lead-ins last; or between the two. */
enum { STEPS = 3 };
static const double SHORT_WAITS = 0.75;

struct step {
    double until, density;      /* moment; of the lead-in, in the mean from the step before on */
};

/* known: when the moment could have come if the unknown tasks had taken no time, before c->at. */
static size_t steps_of(const struct closing *c, double known, struct step step[STEPS])
{
    double whole = c->at - known, brief = wr_lead_in_quantile(c->wait, SHORT_WAITS);
    double within = 1 - wr_lead_in_tail(c->wait, whole);
    size_t n = 0;

    step[n++] = (struct step){known + 1e-6, wr_lead_in_density(c->wait, whole)}; /* beyond what a push is met to */
    if (brief < whole) {
        step[n++] = (struct step){c->at - brief, (within - SHORT_WAITS) / (whole - brief)};
        within = SHORT_WAITS;
        whole = brief;
    }
    step[n++] = (struct step){c->at, within / whole};
    return n;
}

/* Log of the share of the push's law below the moment; -INFINITY: something known is later in any case. */
static double log_below(const struct wr_days *days, struct closing *c, double at)
{
    double push = 0, rate = 0, moment = c->at;

    c->at = at;
    bool found = find_push(days, c, &push, &rate);
    c->at = moment;
    return found ? wr_log_normal_cdf(sqrt(c->precision) * (push - c->centre)) : -INFINITY;
}

/* The push that is taken, at the day's own place in the law, and what the day weighs; false: the moment does not depend
 * on it. */
static bool taken_before(const struct wr_days *days, struct closing *c, double *push, double *log_weight)
{
    struct step step[STEPS];
    double rate, known = moment_at(days, c, -FARTHEST, &rate), weight = 0;
    double below[STEPS + 1] = {0}, all = log_below(days, c, c->at);

    if (!(known < c->at) || !isfinite(all)) return false;
    size_t n = steps_of(c, known, step);
    for (size_t i = 0; i < n; i++) {
        below[i + 1] = i + 1 < n ? fmax(below[i], exp(log_below(days, c, step[i].until) - all)) : 1;
        weight += step[i].density * (below[i + 1] - below[i]);
    }
    double goal = exp(wr_log_normal_cdf(-sqrt(c->precision) * c->centre)) * weight;
    size_t i = 0;
    for (; i + 1 < n && goal > step[i].density * (below[i + 1] - below[i]); i++)
        goal -= step[i].density * (below[i + 1] - below[i]);
    double place = exp(all + log(fmin(below[i] + goal / step[i].density, 1)));
    *push = c->centre + wr_normal_quantile(fmin(fmax(place, 1e-300), 1 - 1e-16)) / sqrt(c->precision);
    *log_weight += all + log(weight);
    return true;
}

/* On the day as it stands, each ruled task begins on the side of its rule on which the way has it. */
static bool agrees(const struct closing *c, const struct wr_days *days)
{
    bool all = true;

    for (size_t i = 0; i < c->n_ruled; i++) {
        size_t k = c->ruled[i];
        all = all && (c->begin[k] > days->net->drop_after_min[k]) == (c->gone[k] != 0);
    }
    return all;
}

static void push_tasks(struct wr_days *days, const struct closing *c, double push)
{
    for (size_t i = 0; i < c->n_list; i++) {
        size_t k = c->list[i];
        if (c->gone[k]) days->base_min[k][c->trial] = 0;
        else if (c->moves[k]) days->base_min[k][c->trial] *= exp(push * c->stretch[k]);
    }
}

/* The moment may have come with work done or dropped, each by a push of its own: the day weighs as much as all ways
 * together, and goes one of them, by their weights, evenly over the days. */
static void meet_either_way(struct wr_days *days, struct closing *c)
{
    const double NO_WAY = -300, EVEN = 0.6180339887498949; /* the golden section, by whose multiples lots are even */
    const size_t n_way = (size_t)1 << c->n_ruled;
    double push[MOST_WAYS], log_weight[MOST_WAYS], most = -INFINITY, sum = 0, rate, whole;
    size_t taken = 0;

    for (size_t v = 0; v < n_way; v++) {
        log_weight[v] = 0;
        take_way(c, days, v);
        find_law(days, c);
        bool met = c->precision > 0 && find_push(days, c, &push[v], &rate) && agrees(c, days);
        if (met) (void)taken_push(c, push[v], rate, &log_weight[v]);
        else log_weight[v] = -INFINITY;
        most = fmax(most, log_weight[v]);
    }
    if (!isfinite(most)) { /* none that the simulated days know: it speaks for nothing */
        days->past_log_weight[c->trial] += NO_WAY;
        return;
    }
    for (size_t v = 0; v < n_way; v++) sum += exp(log_weight[v] - most);
    double lot = modf(EVEN * (double)(c->trial + 1), &whole) * sum;
    for (size_t v = 0; v < n_way && lot >= 0; v++) {
        if (!isfinite(log_weight[v])) continue;
        lot -= exp(log_weight[v] - most);
        taken = v;
    }
    take_way(c, days, taken);
    push_tasks(days, c, push[taken]);
    days->past_log_weight[c->trial] += most + log(sum);
}

/* If no push meets the moment, something that is known decides it, and the unknown tasks keep within it whatever they
 * take. */
static void meet_moment(struct wr_days *days, struct closing *c, const struct wr_now_gap_law *law, double b)
{
    double push = 0, rate = 0, *log_weight = &days->past_log_weight[c->trial];

    if (c->exact && law->mean_log) *log_weight -= wr_now_gap_log_density(law, days->draw[c->trial], b);
    if (c->n_ruled > 0) {
        meet_either_way(days, c);
        return;
    }
    find_law(days, c);
    bool found = c->precision > 0 &&
                 (c->wait ? taken_before(days, c, &push, log_weight) : find_push(days, c, &push, &rate));
    if (found) {
        if (!c->wait) push = taken_push(c, push, rate, log_weight);
        push_tasks(days, c, push);
    }
}

/* What a reported task waited for; false if nothing of it is unknown. */
static bool open_closing(struct closing *c, const struct wr_days *days, size_t k, const unsigned char *settled)
{
    const struct wr_now_state *now = days->now;
    WR_SCOPED unsigned char *mark = WR_NEW_ARRAY(unsigned char, days->n_task);
    bool any = false;

    *c = (struct closing){.task = k,
                          .to_end = now->begin_known[k] != WR_NOW_REPORTED,
                          .exact = now->gap[k] != WR_NOW_NO_GAP,
                          .list = WR_NEW_ARRAY(size_t, days->n_task),
                          .moves = WR_NEW_ARRAY(unsigned char, days->n_task),
                          .gone = WR_NEW_ARRAY(unsigned char, days->n_task),
                          .begin = WR_NEW_ARRAY(double, days->n_task),
                          .share = WR_NEW_ARRAY(double, days->n_task),
                          .end = WR_NEW_ARRAY(double, days->n_task),
                          .rate = WR_NEW_ARRAY(double, days->n_task),
                          .waited_for = WR_NEW_ARRAY(size_t, days->n_task)};
    c->wait = now->own_wait && now->own_wait[k] ? &now->lead_in[k] : NULL;
    c->at = c->to_end ? now->end_min[k] - now->hold_min[k] : c->wait ? now->begin_min[k] : wr_now_ready_min(now, k);
    wr_network_mark_before(days->net, k, mark);
    c->n_list = wr_network_list_marked(days->net, mark, c->list);
    for (size_t i = 0; i < c->n_list; i++) {
        size_t p = c->list[i];
        c->moves[p] =
            now->state[p] == WR_NOW_PAST && !settled[p] && days->form[p] != WR_FORM_FIXED && (p != k || c->to_end);
        any = any || c->moves[p];
        if (!c->moves[p] || !now->open_rule[p]) continue;
        WR_BUG_IF(c->n_ruled == MOST_RULED);
        c->ruled[c->n_ruled++] = p;
    }
    c->stretch_of = wr_alloc((size_t)1 << c->n_ruled, days->n_task * sizeof(double));
    return any;
}

/* No day may speak for all others, as one that no law of a gap expected would: none weighs more than the root of their
 * number times their mean (truncated importance sampling, Ionides 2008), whose error vanishes as days become more.
 * They weigh against each other alone: where what was divided out would be beyond any double, the most is 1. */
static void bound_weights(double *log_weight, size_t n)
{
    enum { ROUNDS = 30, HIGH = 300 }; /* its square is a double still */
    double most = -INFINITY;

    for (size_t i = 0; i < n; i++) most = fmax(most, log_weight[i]);
    for (int round = 0; round < ROUNDS; round++) {
        double sum = 0;
        for (size_t i = 0; i < n; i++) sum += exp(fmin(log_weight[i], most) - most);
        if (sum >= sqrt((double)n)) break;
        most += log(sum / sqrt((double)n));
    }
    for (size_t i = 0; i < n; i++) log_weight[i] = fmin(log_weight[i], most) - (most > HIGH ? most : 0);
}

void wr_past_condition(struct wr_days *days, const struct wr_scenarios *s)
{
    const struct wr_now_state *now = days->now;
    WR_SCOPED unsigned char *settled = WR_NEW_ARRAY(unsigned char, days->n_task);
    const struct wr_now_gap_law none = {0};

    days->past_log_weight = WR_NEW_ARRAY(double, days->n_trial);
    days->weighted = true;
    for (size_t i = 0; i < days->n_task; i++) {
        size_t k = days->net->order[i];
        struct closing c;
        if (now->begin_known[k] != WR_NOW_REPORTED && now->end_known[k] != WR_NOW_REPORTED) continue;
        bool any = open_closing(&c, days, k, settled);
        for (size_t w = 0; any && w < (size_t)1 << c.n_ruled; w++) {
            take_way(&c, days, w);
            find_stretches(days, &c);
        }
        take_way(&c, days, 0);
        days->past_either_way |= any && c.n_ruled > 0;
        for (c.trial = 0; any && c.trial < days->n_trial; c.trial++)
            meet_moment(days, &c, now->gap_law ? &now->gap_law[k] : &none, s->b[c.trial]);
        for (size_t p = 0; p < days->n_task; p++) settled[p] |= c.moves[p];
        WR_FREE(c.list, c.moves, c.gone, c.begin, c.stretch_of, c.share, c.end, c.rate, c.waited_for);
    }
    bound_weights(days->past_log_weight, days->n_trial);
    for (size_t k = 0; k < days->n_task; k++) {
        if (now->state[k] != WR_NOW_PAST) continue;
        days->form[k] = WR_FORM_FIXED;
        for (size_t i = 0; i < days->n_trial; i++) days->base_min[k][i] += now->hold_min[k];
    }
}
