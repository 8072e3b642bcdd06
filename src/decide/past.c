#include "past.h"

#include <math.h>
#include <string.h>
#include "bend.h"
#include "wetrun/base/memory.h"
#include "wetrun/stats/special.h"

/* A reported moment that tasks of unknown time led to. */
struct closing {
    size_t task, trial;
    bool to_end, exact;         /* its end was reported; the unknown tasks met it, and not only kept within it */
    double at;
    size_t *list, n_list;       /* what it waited for and itself, in network order */
    unsigned char *moves;       /* [n_task] of unknown time, not settled by an earlier moment */
    /* of one day */
    double *end, *rate;         /* [n_task] and the derivative by the common factor */
    double precision, centre;   /* of the law of the shift */
};

/* When the reported moment comes if the unknown tasks take `factor` times as long. */
static double moment_at(const struct wr_days *days, struct closing *c, double factor, double *rate)
{
    const struct wr_network *net = days->net;

    for (size_t i = 0; i < c->n_list; i++) {
        size_t k = c->list[i];
        double start = net->not_before_min[k], start_rate = 0, minutes = days->base_min[k * days->n_trial + c->trial];
        if (days->now->state[k] == WR_NOW_DONE) {
            c->end[k] = days->now->end_min[k];
            c->rate[k] = 0;
            continue;
        }
        for (size_t j = net->pred_first[k]; j < net->pred_first[k + 1]; j++) {
            size_t p = net->pred[j];
            if (c->end[p] <= start) continue;
            start = c->end[p];
            start_rate = c->rate[p];
        }
        if (k == c->task && !c->to_end) {
            *rate = start_rate;
            return start;
        }
        c->end[k] = start + (c->moves[k] ? factor : 1) * minutes;
        c->rate[k] = start_rate + (c->moves[k] ? minutes : 0);
    }
    *rate = c->rate[c->task];
    return c->end[c->task];
}

/* The factor that meets the moment: convex in it, piecewise straight, so Newton comes down from above. False: none does. */
static bool find_factor(const struct wr_days *days, struct closing *c, double *factor, double *rate)
{
    const double LEAST = 1e-6, MOST = 1e6;

    *factor = 1;
    for (int i = 0; i < 60 && *factor < MOST; i++) {
        double off = moment_at(days, c, *factor, rate) - c->at;
        if (fabs(off) < 1e-9 * (1 + c->at) && *rate > 0) return true;
        if (*rate > 0) *factor = fmax(LEAST, *factor - off / *rate);
        else if (off < 0) *factor *= 2;
        else return false; /* something else is later in any case */
    }
    return false;
}

/* sd of the log of a task's minutes on this day, and where the day stands in it. */
static double spread_of(const struct wr_days *days, size_t k, size_t trial, double *z)
{
    size_t cell = k * days->n_trial + trial;
    double slope_min;

    *z = (double)days->z[cell];
    if (days->give[k] != WR_GIVE_BEND) return days->slope[k * days->n_draw + days->draw[trial]];
    wr_bend_minutes(&days->bend[k], *z, &slope_min);
    return slope_min / days->base_min[cell];
}

static void find_law(const struct wr_days *days, struct closing *c)
{
    double pull = 0, z;

    c->precision = 0;
    for (size_t i = 0; i < c->n_list; i++) {
        size_t k = c->list[i];
        double sd = c->moves[k] ? spread_of(days, k, c->trial, &z) : 0;
        if (!(sd > 0)) continue;
        c->precision += 1 / (sd * sd);
        pull -= z / sd;
    }
    c->centre = c->precision > 0 ? pull / c->precision : 0;
}

/* The shift that is taken, and what the day weighs. */
static double shift_of(const struct closing *c, bool found, double factor, double rate, double *log_weight)
{
    double root = sqrt(c->precision), off = root * (log(factor) - c->centre);

    if (c->exact) {
        if (!found) return 0;
        *log_weight += log(root) - off * off / 2 - log(factor * rate);
        return log(factor);
    }
    if (!found) return 0; /* they keep within it whatever they take */
    double reach = wr_log_normal_cdf(off), place = wr_log_normal_cdf(-root * c->centre) + reach;
    *log_weight += reach;
    return c->centre + wr_normal_quantile(fmin(fmax(exp(place), 1e-300), 1 - 1e-16)) / root;
}

static void settle_day(struct wr_days *days, struct closing *c, const struct wr_now_gap_law *law, double b)
{
    double factor = 1, rate = 0;

    find_law(days, c);
    if (!(c->precision > 0)) return;
    bool found = find_factor(days, c, &factor, &rate);
    double shift = shift_of(c, found, factor, rate, &days->past_log_weight[c->trial]);
    for (size_t i = 0; i < c->n_list; i++)
        if (c->moves[c->list[i]]) days->base_min[c->list[i] * days->n_trial + c->trial] *= exp(shift);
    if (c->exact && law->mean_log) days->past_log_weight[c->trial] -= wr_now_gap_log_density(law, days->draw[c->trial], b);
}

/* What a reported task waited for; false if nothing of it is unknown. */
static bool open_closing(struct closing *c, const struct wr_days *days, size_t k, const unsigned char *settled)
{
    const struct wr_now_state *now = days->now;
    unsigned char *mark = WR_NEW_ARRAY(unsigned char, days->n_task);
    bool any = false;

    *c = (struct closing){.task = k, .to_end = now->begin_known[k] != WR_NOW_REPORTED, .exact = now->gap[k] != WR_NOW_NO_GAP,
                          .list = WR_NEW_ARRAY(size_t, days->n_task), .moves = WR_NEW_ARRAY(unsigned char, days->n_task),
                          .end = WR_NEW_ARRAY(double, days->n_task), .rate = WR_NEW_ARRAY(double, days->n_task)};
    c->at = c->to_end ? now->end_min[k] : now->begin_min[k];
    wr_network_mark_before(days->net, k, mark);
    c->n_list = wr_network_list_marked(days->net, mark, c->list);
    for (size_t i = 0; i < c->n_list; i++) {
        size_t p = c->list[i];
        c->moves[p] = now->state[p] == WR_NOW_PAST && !settled[p] && days->give[p] != WR_GIVE_NONE && (p != k || c->to_end);
        any = any || c->moves[p];
    }
    wr_free(mark);
    return any;
}

static void close_closing(struct closing *c)
{
    wr_free(c->list);
    wr_free(c->moves);
    wr_free(c->end);
    wr_free(c->rate);
}

void wr_past_settle(struct wr_days *days, const struct wr_scenarios *s)
{
    const struct wr_now_state *now = days->now;
    unsigned char *settled = WR_NEW_ARRAY(unsigned char, days->n_task);
    const struct wr_now_gap_law none = {0};

    days->past_log_weight = WR_NEW_ARRAY(double, days->n_trial);
    days->weighted = true;
    for (size_t i = 0; i < days->n_task; i++) {
        size_t k = days->net->order[i];
        struct closing c;
        if (now->begin_known[k] != WR_NOW_REPORTED && now->end_known[k] != WR_NOW_REPORTED) continue;
        bool any = open_closing(&c, days, k, settled);
        for (c.trial = 0; any && c.trial < days->n_trial; c.trial++)
            settle_day(days, &c, now->gap_law ? &now->gap_law[k] : &none, s->b[c.trial]);
        for (size_t p = 0; p < days->n_task; p++) settled[p] |= c.moves[p];
        close_closing(&c);
    }
    for (size_t k = 0; k < days->n_task; k++)
        if (now->state[k] == WR_NOW_PAST) days->give[k] = WR_GIVE_NONE;
    wr_free(settled);
}
