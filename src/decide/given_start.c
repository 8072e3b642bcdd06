#include "given_start.h"

#include <math.h>
#include <string.h>
#include "known_starts.h"
#include "start_roots.h"
#include "weighed.h"
#include "wetrun/base/error.h"
#include "wetrun/base/memory.h"

/* ---- what start and outcome depend on ---- */

static bool is_before(const struct wr_network *net, size_t first, size_t later)
{
    WR_SCOPED unsigned char *mark = WR_NEW_ARRAY(unsigned char, net->n_task);

    wr_network_mark_before(net, later, mark);
    return mark[first];
}

/* A clock reading rises along the way for certain if the clock runs already, or if all that lies before the task lies
 * behind the clock's first task. */
static bool clock_rises(const struct wr_given *g)
{
    const struct wr_network *net = g->days->net;
    size_t from = g->limit->from;

    if (wr_days_begin_is_known(g->days, from)) return true;
    for (size_t i = 0; i < g->n_start_list; i++) {
        size_t k = g->start_list[i];
        if (k == from || !is_before(net, from, k)) continue; /* from itself, and what lies before it */
        if (g->days->floor_min[k] > g->days->floor_min[from]) return false; /* else the clock's own start is later */
        for (size_t j = net->pred_first[k]; j < net->pred_first[k + 1]; j++)
            if (!is_before(net, from, net->pred[j])) return false;
    }
    return true;
}

/* What the start depends on; true: work may be dropped on the way to it. */
static bool find_start_list(struct wr_given *g, unsigned char *mark)
{
    const struct wr_network *net = g->days->net;
    bool drops = false;

    memset(mark, 0, net->n_task);
    wr_network_mark_before(net, g->task, mark);
    if (g->limit->is_clock) wr_network_mark_before(net, g->limit->from, mark);
    g->start_list = WR_NEW_ARRAY(size_t, net->n_task);
    g->n_start_list = wr_network_list_marked(net, mark, g->start_list);
    for (size_t i = 0; i < g->n_start_list; i++) {
        size_t k = g->start_list[i];
        if (k != g->task && isfinite(g->days->drop_after_min[k])) drops = true;
    }
    return drops;
}

static void find_end(struct wr_given *g, struct wr_given_end *end, unsigned char *mark)
{
    const struct wr_network *net = g->days->net;
    size_t from = end->limit->from;

    memset(mark, 0, net->n_task);
    wr_limit_mark_before(net, end->limit, mark);
    end->upstream = mark[g->task];
    if (end->limit->is_clock) {
        bool follows = g->task != from && is_before(net, from, g->task);
        end->beside = end->upstream && !follows && !is_before(net, g->task, from);
        end->upstream = end->upstream && follows;
        wr_network_mark_before(net, from, mark);
    }
    wr_network_mark_before(net, g->task, mark);
    end->list = WR_NEW_ARRAY(size_t, net->n_task);
    end->n_list = wr_network_list_marked(net, mark, end->list);
}

static void list_ruled(struct wr_given *g)
{
    const double *rule = g->days->drop_after_min;

    g->ruled = WR_NEW_ARRAY(size_t, g->n_out_list);
    for (size_t i = 0; i < g->n_start_list; i++)
        if (g->start_list[i] != g->task && isfinite(rule[g->start_list[i]])) g->ruled[g->n_ruled++] = g->start_list[i];
    g->n_ruled_before = g->n_ruled;
    for (size_t i = 0; i < g->n_out_list; i++) {
        size_t j = 0;
        while (j < g->n_ruled_before && g->ruled[j] != g->out_list[i]) j++;
        if (j == g->n_ruled_before && isfinite(rule[g->out_list[i]])) g->ruled[g->n_ruled++] = g->out_list[i];
    }
}

static void find_lists(struct wr_given *g)
{
    const struct wr_network *net = g->days->net;
    WR_SCOPED unsigned char *mark = WR_NEW_ARRAY(unsigned char, net->n_task);
    bool drops = find_start_list(g, mark);

    for (size_t e = 0; e < g->n_end; e++) find_end(g, &g->end[e], mark);
    memset(mark, 0, net->n_task);
    for (size_t e = 0; e < g->n_end; e++)
        for (size_t i = 0; i < g->end[e].n_list; i++) mark[g->end[e].list[i]] = 1;
    g->out_list = WR_NEW_ARRAY(size_t, net->n_task);
    for (size_t i = 0; i < g->n_start_list; i++) {
        g->out_list[i] = g->start_list[i];
        mark[g->start_list[i]] = 0;
    }
    g->n_out_list = g->n_start_list + wr_network_list_marked(net, mark, g->out_list + g->n_start_list);
    list_ruled(g);
    g->mode_on_way =
        drops || (g->limit->is_clock && g->end->upstream && !clock_rises(g)) ? WR_GIVEN_PIECES : WR_GIVEN_RISING;
    g->mode = wr_days_scale(g->days) ? WR_GIVEN_SCALED : g->mode_on_way;
}

size_t wr_given_held(struct wr_given *g, size_t first, size_t n_all, double s, double *out, double *beyond)
{
    struct wr_abreast *a = &g->abreast;
    const struct wr_given_end *end = wr_given_end(g);
    const size_t n = g->days->n_trial, clock = g->limit->is_clock ? g->limit->from : 0;
    double every[WR_ABREAST], unused[WR_ABREAST];

    wr_abreast_take(a, first, n_all);
    memset(a->delta, 0, sizeof a->delta);
    wr_abreast_load(a, g->days, NULL, end->list, end->n_list);
    for (size_t i = 0; i < a->n; i++) /* the clock time that a reading of s means on this day */
        a->held_min[i] = g->limit->is_clock ? s + g->days->start_min[clock * n + a->trial[i]] : s;
    a->held = g->task;
    a->kept = SIZE_MAX;
    wr_abreast_walk(a, g->days, NULL, end->list, end->n_list);
    a->held = SIZE_MAX;
    a->kept = g->task;
    wr_abreast_outcomes(a, g->days->net, g->limit, every, unused);
    for (size_t i = 0; i < a->n; i++) {
        out[i] = every[i];
        if (beyond)
            beyond[i] = out[i] - (g->limit->is_clock ? a->held_min[i] - a->start_min[clock * WR_ABREAST + i] : s);
    }
    return a->n;
}

/* ---- the days as they are ---- */

static struct wr_start_law law_of(const struct wr_given *g)
{
    size_t n = g->days->n_trial;
    WR_SCOPED struct wr_weighed *item = WR_NEW_ARRAY(struct wr_weighed, n);
    struct wr_start_law law = {0};

    for (size_t i = 0; i < n; i++)
        if (g->moves[i] && g->start_min[i] > 0)
            item[law.n_moves++] = (struct wr_weighed){g->start_min[i], g->weight[i]};
    if (law.n_moves > 0) {
        wr_weighed_sort(item, law.n_moves);
        law.typical_min = wr_weighed_quantile(item, law.n_moves, 0.5);
        law.log_median = log(law.typical_min);
        /* 15.87 and 84.13 %: one standard deviation of a normal either way */
        law.log_sd = log(wr_weighed_quantile(item, law.n_moves, 0.8413447) /
                         wr_weighed_quantile(item, law.n_moves, 0.1586553)) / 2;
    }
    if (law.n_moves < n) {
        for (size_t i = 0; i < n; i++) item[i] = (struct wr_weighed){g->start_min[i], g->weight[i]};
        wr_weighed_sort(item, n);
        law.typical_min = wr_weighed_quantile(item, n, 0.5);
    }
    return law;
}

static void read_all(struct wr_given *g)
{
    const struct wr_days *days = g->days;
    size_t n = days->n_trial;
    const double *start = days->start_min + g->task * n, *rate = days->start_rate + g->task * n;
    const size_t clock = g->limit->is_clock ? g->limit->from * n : 0;
    const double *from = days->start_min + clock, *from_rate = days->start_rate + clock;

    g->start_min = WR_NEW_ARRAY(double, n);
    g->moves = WR_NEW_ARRAY(unsigned char, n);
    g->weight = days->weight;
    for (size_t i = 0; i < n; i++) {
        g->start_min[i] = g->limit->is_clock ? start[i] - from[i] : start[i];
        double by_all = g->limit->is_clock ? fabs(rate[i] - from_rate[i]) : rate[i];
        g->moves[i] = by_all > 1e-6 * fmax(1e-6, g->start_min[i]);
    }
    for (size_t e = 0; e < g->n_end; e++) {
        g->end[e].out_min = WR_NEW_ARRAY(double, n);
        for (size_t i = 0; i < n; i++) g->end[e].out_min[i] = wr_days_outcome(days, g->end[e].limit, i);
    }
}

static double side_at(int j)
{
    return j - (WR_GIVEN_SIDE - 1) / 2.0;
}

/* How the outcome moves with what the start does not depend on, over the days: its covariances, as far as they are more
 * than chance. */
static void find_side(struct wr_way *side, const struct wr_given *g, const struct wr_given_end *end)
{
    const struct wr_days *days = g->days;
    size_t n = days->n_trial;
    double *off = WR_NEW_ARRAY(double, n), mean = 0, noise = 0;

    for (size_t i = 0; i < n; i++)
        mean += log(end->out_min[i]) - (double)days->run_score[i] * days->run_sd[days->draw[i]];
    for (size_t i = 0; i < n; i++) {
        off[i] = log(end->out_min[i]) - (double)days->run_score[i] * days->run_sd[days->draw[i]] - mean / (double)n;
        noise += off[i] * off[i];
    }
    for (size_t j = 0; j < end->n_list; j++) {
        size_t k = end->list[j];
        for (size_t i = 0; i < n; i++) side->task[k] += off[i] * (double)days->z[k * n + i];
    }
    for (size_t j = 0; j < g->n_start_list; j++)
        if (g->start_list[j] != g->task) side->task[g->start_list[j]] = 0;
    for (size_t k = 0; k < days->n_task; k++)
        if (side->task[k] < 2 * sqrt(noise)) side->task[k] = 0;
    wr_free(off);
}

/* Logs of the outcome along the side, the pace of the day taken out; along no side it is everywhere as it is. */
static void take_side(struct wr_given *g, struct wr_given_end *end)
{
    const struct wr_days *days = g->days;
    struct wr_abreast *a = &g->abreast;
    WR_RELEASED_BY(wr_way_release) struct wr_way side = {0};

    wr_way_init(&side, days);
    find_side(&side, g, end);
    bool any = wr_way_normalise(&side, days);
    for (size_t first = 0; first < days->n_trial; first += a->n) {
        wr_abreast_take(a, first, days->n_trial);
        if (any) wr_abreast_load(a, days, &side, end->list, end->n_list);
        for (int j = 0; j < WR_GIVEN_SIDE; j++) {
            for (size_t i = 0; i < a->n; i++) a->delta[i] = side_at(j) - side.at[a->trial[i]];
            if (any) wr_abreast_walk(a, days, &side, end->list, end->n_list);
            for (size_t i = 0; i < a->n; i++) {
                size_t trial = a->trial[i];
                double b = (double)days->run_score[trial] * days->run_sd[days->draw[trial]];
                end->log_out[trial * WR_GIVEN_SIDE + (size_t)j] =
                    log(any ? wr_abreast_outcome(a, days->net, end->limit, i) : end->out_min[trial]) - b;
            }
        }
    }
}

static void take_logs(struct wr_given *g)
{
    const struct wr_days *days = g->days;

    g->log_start = WR_NEW_ARRAY(double, days->n_trial);
    for (size_t i = 0; i < days->n_trial; i++)
        if (g->moves[i]) /* else it begins at 0 on every day */
            g->log_start[i] = log(g->start_min[i]) - (double)days->run_score[i] * days->run_sd[days->draw[i]];
    for (size_t e = 0; e < g->n_end; e++) {
        g->end[e].log_out = WR_NEW_ARRAY(double, days->n_trial * WR_GIVEN_SIDE);
        if (g->end[e].upstream) take_side(g, &g->end[e]);
    }
}

static bool same_end(const struct wr_sim_limit *a, const struct wr_sim_limit *b)
{
    return a->is_clock == b->is_clock && (a->is_clock ? a->from == b->from && a->to == b->to : a->lanes == b->lanes);
}

static bool same_limit(const struct wr_sim_limit *a, const struct wr_sim_limit *b)
{
    return same_end(a, b) && a->minutes >= b->minutes && a->minutes <= b->minutes;
}

void wr_given_ask(struct wr_given *g, const struct wr_sim_limit *limit)
{
    size_t i = 0;

    while (i < g->n_asked && !same_limit(g->asked[i].limit, limit)) i++;
    WR_BUG_IF(i == g->n_asked);
    g->limit = limit;
    g->now = i;
}

static void collect_limits(struct wr_given *g, const struct wr_sim_limit *const *limit, size_t n_limit)
{
    g->end = WR_NEW_ARRAY(struct wr_given_end, n_limit);
    g->asked = WR_NEW_ARRAY(struct wr_given_asked, n_limit);
    for (size_t l = 0; l < n_limit; l++) {
        size_t e = 0, i = 0;
        WR_BUG_IF(limit[l]->is_clock && !same_end(limit[l], limit[0]));
        while (e < g->n_end && !same_end(g->end[e].limit, limit[l])) e++;
        if (e == g->n_end) g->end[g->n_end++].limit = limit[l];
        while (i < g->n_asked && !same_limit(g->asked[i].limit, limit[l])) i++;
        if (i == g->n_asked) g->asked[g->n_asked++] = (struct wr_given_asked){.limit = limit[l], .end = e};
    }
}

void wr_given_init(struct wr_given *g, const struct wr_days *days, const struct wr_sim_limit *const *limit,
                   size_t n_limit, size_t task)
{
    *g = (struct wr_given){.days = days, .limit = limit[0], .task = task};
    wr_walk_init(&g->walk, days->n_task);
    wr_abreast_init(&g->abreast, days->n_task);
    g->abreast.kept = task;
    collect_limits(g, limit, n_limit);
    find_lists(g);
    g->part = WR_NEW_ARRAY(unsigned char, days->n_trial);
    for (size_t i = 0; i < days->n_trial; i++) g->part[i] = (unsigned char)wr_given_part(days, i);
    g->out_now = WR_NEW_ARRAY(double, g->n_end * WR_ABREAST);
    g->out_rate = WR_NEW_ARRAY(double, g->n_end * WR_ABREAST);
    read_all(g);
    g->law = law_of(g);
    if (g->mode == WR_GIVEN_SCALED) take_logs(g);
}

void wr_given_release(struct wr_given *g)
{
    for (size_t e = 0; e < g->n_end; e++) {
        WR_FREE(g->end[e].list, g->end[e].out_min, g->end[e].log_out);
    }
    WR_FREE(g->end, g->asked);
    wr_way_release(&g->way);
    wr_walk_release(&g->walk);
    wr_abreast_release(&g->abreast);
    WR_FREE(g->start_list, g->out_list, g->start_min, g->ruled, g->part, g->out_now, g->out_rate, g->moves, g->root,
            g->piece, g->piece_first, g->was_dropped, g->was_start, g->log_start);
    *g = (struct wr_given){0};
}

/* ---- counting ---- */

size_t wr_given_part(const struct wr_days *days, size_t trial)
{
    return wr_scenarios_part(days->draw[trial], days->n_draw, trial);
}

double wr_given_parts_error(const double *value, size_t n)
{
    double sum = 0, squares = 0;

    if (n < 2) return 0;
    for (size_t i = 0; i < n; i++) sum += value[i];
    for (size_t i = 0; i < n; i++) squares += (value[i] - sum / (double)n) * (value[i] - sum / (double)n);
    return sqrt(squares / (double)(n - 1) / (double)n);
}

void wr_given_outcomes(struct wr_given *g, const double moved[WR_ABREAST])
{
    for (size_t e = 0; e < g->n_end; e++) {
        double *out = g->out_now + e * WR_ABREAST, *rate = g->out_rate + e * WR_ABREAST;
        wr_abreast_outcomes(&g->abreast, g->days->net, g->end[e].limit, out, rate);
        for (size_t i = 0; i < WR_ABREAST; i++) out[i] += moved[i] * rate[i];
    }
}

/* One day after the other, so that no sum depends on how many are counted at a time. */
static void count_days(struct wr_tally *t, const unsigned char *part, const double *weight, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        t->sum += weight[i];
        t->sum_squares += weight[i] * weight[i];
        t->part_sum[part[i]] += weight[i];
    }
}

static void count_inside(struct wr_tally *t, const unsigned char *part, const double *weight, const double *out,
                         double limit_min, size_t n)
{
    double inside = t->inside;

    for (size_t i = 0; i < n; i++) {
        double add = out[i] <= limit_min ? weight[i] : 0;
        inside += add;
        t->part_inside[part[i]] += add;
    }
    t->inside = inside;
}

/* Of all limits the same days are counted, so that their tallies differ in what is inside alone. */
void wr_given_count(struct wr_given *g, const size_t *trial, const double *weight, size_t n)
{
    struct wr_tally *first = &g->asked[0].tally;
    unsigned char part[WR_ABREAST];

    for (size_t i = 0; i < n; i++) part[i] = g->part[trial[i]];
    count_days(first, part, weight, n);
    for (size_t l = 0; l < g->n_asked; l++) {
        struct wr_given_asked *asked = &g->asked[l];
        asked->tally.sum = first->sum;
        asked->tally.sum_squares = first->sum_squares;
        if (l > 0) memcpy(asked->tally.part_sum, first->part_sum, sizeof first->part_sum);
        count_inside(&asked->tally, part, weight, g->out_now + asked->end * WR_ABREAST, asked->limit->minutes, n);
    }
}

/* Share of a day's side, by the normal law, on which the outcome's log stays below: it rises along the side, and is
 * taken as straight between two places and on beyond the outermost. */
static double share_below(const double *log_out, double log_limit)
{
    int j = 0;

    while (j < WR_GIVEN_SIDE - 2 && log_out[j + 1] < log_limit) j++;
    double rise = log_out[j + 1] - log_out[j];
    if (!(rise > 1e-12)) return log_out[j] <= log_limit ? 1 : 0;
    double at = side_at(j) + (log_limit - log_out[j]) / rise;
    return 0.5 * erfc(-at / M_SQRT2);
}

static void count_scaled(struct wr_given *g, double s, size_t first, size_t n_use)
{
    const struct wr_days *days = g->days;
    const double *log_out = wr_given_end(g)->log_out;
    double log_s = log(s), log_limit = log(g->limit->minutes);

    for (size_t i = first; i < n_use; i++) {
        if (!g->moves[i]) continue;
        double sd = days->run_sd[days->draw[i]], t = (log_s - g->log_start[i]) / sd;
        if (fabs(t) > WR_WAY_FARTHEST) continue;
        wr_tally_add(&g->asked[g->now].tally, g->part[i], exp(-0.5 * t * t) / sd,
                     share_below(log_out + i * WR_GIVEN_SIDE, log_limit - sd * t));
    }
}

static double log_weight_of(const struct wr_given *g, const struct wr_search *r)
{
    return wr_days_log_weight(g->days, &g->way, r->trial, r->place.at - g->way.at[r->trial]);
}

static double weight_of(const struct wr_search *r, double log_weight)
{
    return exp(-0.5 * r->place.at * r->place.at + log_weight) / fabs(r->rate);
}

/* Every limit's tally, since it is the looking for roots that takes time. */
static void count_roots(struct wr_searches *q, void *arg)
{
    struct wr_given *g = q->given;
    size_t trial[WR_ABREAST], n = 0;
    double weight[WR_ABREAST], moved[WR_ABREAST] = {0};

    for (size_t i = 0; i < q->n; i++) moved[i] = q->search[i].moved;
    wr_given_outcomes(g, moved);
    for (size_t i = 0; i < q->n; i++) {
        const struct wr_search *r = &q->search[i];
        if (!r->found) continue;
        wr_root_keep(q, r);
        double log_weight = log_weight_of(g, r);
        if (arg) wr_known_keep(arg, g, r, i, log_weight);
        trial[n] = r->trial;
        weight[n] = weight_of(r, log_weight);
        for (size_t e = 0; e < g->n_end && n < i; e++) g->out_now[e * WR_ABREAST + n] = g->out_now[e * WR_ABREAST + i];
        n++;
    }
    wr_given_count(g, trial, weight, n);
}

void wr_given_tally_on(struct wr_given *g, double s, size_t first, size_t n_use, struct wr_known_starts *known)
{
    if (n_use > g->days->n_trial) n_use = g->days->n_trial;
    if (!(s > 0) || first >= n_use) return;
    const struct wr_some_days some = {.first = first, .n = n_use - first};
    if (g->mode == WR_GIVEN_SCALED) count_scaled(g, s, first, n_use);
    else wr_each_root(g, s, &some, true, count_roots, known);
    if (known) known->n_days = n_use;
}

void wr_given_tally(struct wr_given *g, double s, size_t n_use)
{
    for (size_t l = 0; l < g->n_asked; l++) g->asked[l].tally = (struct wr_tally){0};
    wr_given_tally_on(g, s, 0, n_use, NULL);
}

void wr_given_tally_between(struct wr_given *g, const struct wr_known_starts *from, const struct wr_known_starts *to,
                            double s)
{
    WR_SCOPED size_t *other = WR_NEW_ARRAY(size_t, g->days->n_trial);
    struct wr_some_days some = {.trial = other};

    for (size_t l = 0; l < g->n_asked; l++) g->asked[l].tally = (struct wr_tally){0};
    some.n = wr_known_read(g, from, to, s, other);
    wr_each_root(g, s, &some, true, count_roots, NULL);
}

/* ---- finding a way ---- */

struct aim {
    double run, *task;
    double sum, sum_squares, largest; /* of the weights that went into it */
};

static void add_gradient(struct wr_given *g, double factor, struct aim *aim)
{
    wr_walk_gradient(&g->walk, g->task, factor, &aim->run, aim->task);
    if (g->limit->is_clock) wr_walk_gradient(&g->walk, g->limit->from, -factor, &aim->run, aim->task);
}

static void aim_by_roots(struct wr_searches *q, void *arg)
{
    struct wr_given *g = q->given;
    struct aim *aim = arg;

    for (size_t i = 0; i < q->n; i++) {
        const struct wr_search *r = &q->search[i];
        if (!r->found) continue;
        double weight = weight_of(r, log_weight_of(g, r));
        wr_root_keep(q, r);
        if (weight < 1e-5 * aim->largest) continue; /* it would not turn the way */
        aim->largest = fmax(aim->largest, weight);
        double delta = r->place.at - g->way.at[r->trial];
        wr_days_walk(g->days, &g->way, g->start_list, g->n_start_list, r->trial, delta, &g->walk);
        add_gradient(g, weight, aim);
        aim->sum += weight;
        aim->sum_squares += weight * weight;
    }
}

/* False, and the way as it was: nothing moves the start. */
static bool turn_to(struct wr_given *g, const struct aim *aim)
{
    double run = g->days->past_either_way ? 0 : fmax(0, aim->run), length = run * run;

    for (size_t k = 0; k < g->days->n_task; k++) length += fmax(0, aim->task[k]) * fmax(0, aim->task[k]);
    if (!(length > 0)) return false;
    g->way.run = run;
    for (size_t k = 0; k < g->days->n_task; k++) g->way.task[k] = fmax(0, aim->task[k]);
    WR_BUG_IF(!wr_way_normalise(&g->way, g->days));
    for (size_t i = 0; i < g->days->n_trial; i++) g->root[i] = (struct wr_root){.at = g->way.at[i]};
    g->n_piece = g->n_piece_trial = 0;
    return true;
}

bool wr_given_scales(const struct wr_given *g)
{
    return g->log_start != NULL;
}

void wr_given_by_run_effect(struct wr_given *g)
{
    WR_BUG_IF(!wr_given_scales(g));
    g->mode = WR_GIVEN_SCALED;
}

static void need_way(struct wr_given *g)
{
    if (!g->way.task) wr_way_init(&g->way, g->days);
    if (!g->root) g->root = WR_NEW_ARRAY(struct wr_root, g->days->n_trial);
    g->mode = g->mode_on_way;
}

void wr_given_turn(struct wr_given *g, double run, const double *task)
{
    struct aim aim = {.run = run, .task = WR_COPY(task, g->days->n_task)};

    need_way(g);
    turn_to(g, &aim);
    wr_free(aim.task);
}

bool wr_given_aim(struct wr_given *g)
{
    struct aim aim = {.task = WR_NEW_ARRAY(double, g->days->n_task)};
    size_t n = g->days->n_trial < 1000 ? g->days->n_trial : 1000;

    need_way(g);
    for (size_t i = 0; i < n; i++) {
        wr_days_walk(g->days, NULL, g->start_list, g->n_start_list, i, 0, &g->walk);
        if (g->start_min[i] > 0) add_gradient(g, g->weight[i] / g->start_min[i], &aim);
    }
    bool found = turn_to(g, &aim);
    wr_free(aim.task);
    return found;
}

bool wr_given_aim_at(struct wr_given *g, double s, size_t n_use)
{
    enum { LEAST_DAYS = 10 }; /* that count: fewer point anywhere */
    struct aim was = {.run = g->way.run, .task = WR_COPY(g->way.task, g->days->n_task)};
    const struct wr_some_days some = {.n = n_use};
    double counted = wr_tally_effective(&g->asked[g->now].tally);
    bool turned = false;

    for (int round = 0; round < 2; round++) {
        struct aim aim = {.task = WR_NEW_ARRAY(double, g->days->n_task)};
        wr_each_root(g, s, &some, false, aim_by_roots, &aim);
        if (aim.sum * aim.sum >= LEAST_DAYS * aim.sum_squares && turn_to(g, &aim)) turned = true;
        wr_free(aim.task);
    }
    if (turned) {
        wr_given_tally(g, s, n_use);
        turned = wr_tally_effective(&g->asked[g->now].tally) > counted;
        if (!turned) turn_to(g, &was);
    }
    wr_free(was.task);
    return turned;
}
