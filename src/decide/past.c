#include "past.h"

#include <math.h>
#include "bend.h"
#include "wetrun/base/memory.h"
#include "wetrun/stats/newton.h"
#include "wetrun/stats/special.h"

/* A reported moment that tasks of unknown time led to. */
struct closing {
    size_t task, trial;
    bool to_end, exact;         /* its end was reported; the unknown tasks met it, and not only kept within it */
    double at;
    size_t *list, n_list;       /* what it waited for and itself, in network order */
    unsigned char *moves;       /* [n_task] of unknown time, not settled by an earlier moment */
    double *stretch, *share;    /* [n_task] rise of the log of its minutes with the push; what that is in proportion
                                   to */
    /* of one day */
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
        double start = net->not_before_min[k], start_rate = 0, minutes = days->base_min[k * days->n_trial + c->trial];
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
        if (c->moves[k]) minutes *= exp(push * c->stretch[k]);
        c->end[k] = start + minutes + (k == c->task ? 0 : days->now->hold_min[k]);
        c->rate[k] = start_rate + (c->moves[k] ? minutes * c->stretch[k] : 0);
    }
    *rate = c->rate[c->task];
    return c->end[c->task];
}

/* The push that meets the moment, by Newton on its log within what is known to be too early and too late; where
 * something known decides the moment, the one beyond which the unknown tasks would. False: none does. */
static bool find_push(const struct wr_days *days, struct closing *c, double *push, double *rate)
{
    const double FARTHEST = 200;
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

/* How much each unknown task answers: by its variance and its share of the way to the moment, over some days. */
static void find_stretches(const struct wr_days *days, struct closing *c)
{
    enum { LOOK_DAYS = 200 };
    double most = 0, rate, z;

    for (c->trial = 0; c->trial < days->n_trial && c->trial < LOOK_DAYS; c->trial++) {
        double moment = moment_at(days, c, 0, &rate);
        size_t k = c->to_end ? c->task : c->waited_for[c->task];
        for (; k != SIZE_MAX && moment > 0; k = c->waited_for[k]) {
            double sd = c->moves[k] ? spread_of(days, k, c->trial, &z) : 0;
            c->share[k] += sd * sd * days->base_min[k * days->n_trial + c->trial] / moment;
        }
    }
    for (size_t k = 0; k < days->n_task; k++) most = fmax(most, c->share[k]);
    for (size_t k = 0; k < days->n_task; k++) c->stretch[k] = most > 0 ? c->share[k] / most : c->moves[k];
}

static void find_law(const struct wr_days *days, struct closing *c)
{
    double pull = 0, z;

    c->precision = 0;
    for (size_t i = 0; i < c->n_list; i++) {
        size_t k = c->list[i];
        double sd = c->moves[k] ? spread_of(days, k, c->trial, &z) : 0;
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

/* If no push meets the moment, something that is known decides it, and the unknown tasks keep within it whatever they
 * take. */
static void meet_moment(struct wr_days *days, struct closing *c, const struct wr_now_gap_law *law, double b)
{
    double push = 0, rate = 0;

    find_law(days, c);
    if (c->precision > 0 && find_push(days, c, &push, &rate)) {
        push = taken_push(c, push, rate, &days->past_log_weight[c->trial]);
        for (size_t i = 0; i < c->n_list; i++) {
            size_t k = c->list[i];
            if (c->moves[k]) days->base_min[k * days->n_trial + c->trial] *= exp(push * c->stretch[k]);
        }
    }
    if (c->exact && law->mean_log)
        days->past_log_weight[c->trial] -= wr_now_gap_log_density(law, days->draw[c->trial], b);
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
                          .stretch = WR_NEW_ARRAY(double, days->n_task),
                          .share = WR_NEW_ARRAY(double, days->n_task),
                          .end = WR_NEW_ARRAY(double, days->n_task),
                          .rate = WR_NEW_ARRAY(double, days->n_task),
                          .waited_for = WR_NEW_ARRAY(size_t, days->n_task)};
    c->at = c->to_end ? now->end_min[k] - now->hold_min[k] : now->begin_min[k];
    wr_network_mark_before(days->net, k, mark);
    c->n_list = wr_network_list_marked(days->net, mark, c->list);
    for (size_t i = 0; i < c->n_list; i++) {
        size_t p = c->list[i];
        c->moves[p] =
            now->state[p] == WR_NOW_PAST && !settled[p] && days->form[p] != WR_FORM_FIXED && (p != k || c->to_end);
        any = any || c->moves[p];
    }
    return any;
}

/* No day may speak for all others, as one that no law of a gap expected would: none weighs more than the root of their
 * number times their mean (truncated importance sampling, Ionides 2008), whose error vanishes as days become more. */
static void bound_weights(double *log_weight, size_t n)
{
    enum { ROUNDS = 30 };
    double most = -INFINITY;

    for (size_t i = 0; i < n; i++) most = fmax(most, log_weight[i]);
    for (int round = 0; round < ROUNDS; round++) {
        double sum = 0;
        for (size_t i = 0; i < n; i++) sum += exp(fmin(log_weight[i], most) - most);
        if (sum >= sqrt((double)n)) break;
        most += log(sum / sqrt((double)n));
    }
    for (size_t i = 0; i < n; i++) log_weight[i] = fmin(log_weight[i], most);
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
        if (any) find_stretches(days, &c);
        for (c.trial = 0; any && c.trial < days->n_trial; c.trial++)
            meet_moment(days, &c, now->gap_law ? &now->gap_law[k] : &none, s->b[c.trial]);
        for (size_t p = 0; p < days->n_task; p++) settled[p] |= c.moves[p];
        WR_FREE(c.list, c.moves, c.stretch, c.share, c.end, c.rate, c.waited_for);
    }
    bound_weights(days->past_log_weight, days->n_trial);
    for (size_t k = 0; k < days->n_task; k++) {
        if (now->state[k] != WR_NOW_PAST) continue;
        days->form[k] = WR_FORM_FIXED;
        for (size_t i = 0; i < days->n_trial; i++) days->base_min[k * days->n_trial + i] += now->hold_min[k];
    }
}
