#include "given_start.h"

#include <math.h>
#include <string.h>
#include "weighed.h"
#include "wetrun/base/memory.h"

/* Beyond this place on the way a standard normal has no weight that a double can tell from rounding of others. */
static const double FARTHEST = 37.0;
/* Pieces are looked for within this many standard deviations, at steps short enough that a task is not dropped and
 * taken back within one. */
#define PIECES_REACH 7.0
#define PIECES_STEP 1.0

/* ---- what start and outcome depend on ---- */

static void mark_ends(const struct wr_given *g, unsigned char *mark)
{
    const struct wr_network *net = g->days->net;

    if (g->limit->is_clock) {
        wr_network_mark_before(net, g->limit->to, mark);
        return;
    }
    for (size_t l = 0; l < net->n_lane; l++)
        if ((g->limit->lanes >> l & 1) && net->lane_last[l] != SIZE_MAX)
            wr_network_mark_before(net, net->lane_last[l], mark);
}

static bool is_before(const struct wr_network *net, size_t first, size_t later)
{
    unsigned char *mark = WR_NEW_ARRAY(unsigned char, net->n_task);

    wr_network_mark_before(net, later, mark);
    bool yes = mark[first];
    wr_free(mark);
    return yes;
}

/* A clock reading rises along the way for certain if all that lies before the task lies behind the clock's first task. */
static bool clock_rises(const struct wr_given *g)
{
    const struct wr_network *net = g->days->net;
    size_t from = g->limit->from;

    for (size_t i = 0; i < g->n_start_list; i++) {
        size_t k = g->start_list[i];
        if (k == from || !is_before(net, from, k)) continue; /* from itself, and what lies before it */
        if (g->days->floor_min[k] > 0) return false;
        for (size_t j = net->pred_first[k]; j < net->pred_first[k + 1]; j++)
            if (!is_before(net, from, net->pred[j])) return false;
    }
    return true;
}

static void find_lists(struct wr_given *g)
{
    const struct wr_network *net = g->days->net;
    unsigned char *mark = WR_NEW_ARRAY(unsigned char, net->n_task);
    bool clock = g->limit->is_clock, drops = false;

    g->start_list = WR_NEW_ARRAY(size_t, net->n_task);
    g->out_list = WR_NEW_ARRAY(size_t, net->n_task);
    wr_network_mark_before(net, g->task, mark);
    if (clock) wr_network_mark_before(net, g->limit->from, mark);
    g->n_start_list = wr_network_list_marked(net, mark, g->start_list);
    for (size_t i = 0; i < g->n_start_list; i++) {
        size_t k = g->start_list[i];
        if (k != g->task && isfinite(g->days->drop_after_min[k])) drops = true;
    }
    memset(mark, 0, net->n_task);
    mark_ends(g, mark);
    g->upstream = mark[g->task];
    if (clock) {
        g->upstream = g->upstream && g->task != g->limit->from && is_before(net, g->limit->from, g->task);
        wr_network_mark_before(net, g->limit->from, mark);
    }
    wr_network_mark_before(net, g->task, mark);
    g->n_out_list = wr_network_list_marked(net, mark, g->out_list);
    wr_free(mark);
    g->mode_on_way = drops || (clock && g->upstream && !clock_rises(g)) ? WR_GIVEN_PIECES : WR_GIVEN_RISING;
    g->mode = wr_days_scale(g->days) ? WR_GIVEN_SCALED : g->mode_on_way;
}

static double reading(const struct wr_given *g, const struct wr_walk *w)
{
    return w->start_min[g->task] - (g->limit->is_clock ? w->start_min[g->limit->from] : 0);
}

static double outcome(const struct wr_given *g, size_t i)
{
    return wr_abreast_outcome(&g->abreast, g->days->net, g->limit, i);
}

size_t wr_given_held(struct wr_given *g, size_t first, size_t n_all, double s, double *out, double *beyond)
{
    struct wr_abreast *a = &g->abreast;
    const double *clock_start = a->start_min + g->limit->from * WR_ABREAST;

    wr_abreast_take(a, first, n_all);
    memset(a->delta, 0, sizeof a->delta);
    wr_abreast_load(a, g->days, NULL, g->out_list, g->n_out_list);
    for (size_t i = 0; i < a->n; i++) /* the clock time that a reading of s means on this day */
        a->held_min[i] = g->limit->is_clock ? s + g->days->start_min[g->limit->from * g->days->n_trial + a->trial[i]] : s;
    a->held = g->task;
    wr_abreast_walk(a, g->days, NULL, g->out_list, g->n_out_list);
    a->held = SIZE_MAX;
    for (size_t i = 0; i < a->n; i++) {
        out[i] = outcome(g, i);
        if (beyond) beyond[i] = out[i] - (g->limit->is_clock ? a->held_min[i] - clock_start[i] : s);
    }
    return a->n;
}

/* ---- the days as they are ---- */

static void describe_starts(struct wr_given *g)
{
    size_t n = g->days->n_trial, n_moves = 0;
    struct wr_weighed *all = WR_NEW_ARRAY(struct wr_weighed, n), *moving = WR_NEW_ARRAY(struct wr_weighed, n);

    for (size_t i = 0; i < n; i++) {
        all[i] = (struct wr_weighed){g->start_min[i], g->weight[i]};
        if (g->moves[i] && g->start_min[i] > 0)
            moving[n_moves++] = (struct wr_weighed){log(g->start_min[i]), g->weight[i]};
    }
    wr_weighed_sort(all, n);
    g->typical_min = wr_weighed_quantile(all, n, 0.5);
    g->n_moves = n_moves;
    if (n_moves > 0) {
        wr_weighed_sort(moving, n_moves);
        g->log_median = wr_weighed_quantile(moving, n_moves, 0.5);
        /* 15.87 and 84.13 %: one standard deviation of a normal either way */
        g->log_sd = (wr_weighed_quantile(moving, n_moves, 0.8413447) - wr_weighed_quantile(moving, n_moves, 0.1586553)) / 2;
    }
    wr_free(all);
    wr_free(moving);
}

static void read_all(struct wr_given *g)
{
    const struct wr_days *days = g->days;
    size_t n = days->n_trial;
    const double *start = days->start_min + g->task * n, *rate = days->start_rate + g->task * n;
    const double *from = days->start_min + g->limit->from * n, *from_rate = days->start_rate + g->limit->from * n;

    g->start_min = WR_NEW_ARRAY(double, n);
    g->out_min = WR_NEW_ARRAY(double, n);
    g->moves = WR_NEW_ARRAY(unsigned char, n);
    g->weight = days->weight;
    for (size_t i = 0; i < n; i++) {
        g->start_min[i] = g->limit->is_clock ? start[i] - from[i] : start[i];
        g->out_min[i] = wr_days_outcome(days, g->limit, i);
        double by_all = g->limit->is_clock ? fabs(rate[i] - from_rate[i]) : rate[i];
        g->moves[i] = by_all > 1e-6 * fmax(1e-6, g->start_min[i]);
    }
}

static void take_logs(struct wr_given *g)
{
    const struct wr_days *days = g->days;

    g->log_start = WR_NEW_ARRAY(double, days->n_trial);
    g->log_out = WR_NEW_ARRAY(double, days->n_trial);
    for (size_t i = 0; i < days->n_trial; i++) {
        double b = (double)days->run_score[i] * days->run_sd[days->draw[i]];
        if (!g->moves[i]) continue; /* it begins at 0 on every day */
        g->log_start[i] = log(g->start_min[i]) - b;
        g->log_out[i] = log(g->out_min[i]) - b;
    }
}

void wr_given_init(struct wr_given *g, const struct wr_days *days, const struct wr_sim_limit *limit, size_t task)
{
    *g = (struct wr_given){.days = days, .limit = limit, .task = task};
    wr_walk_init(&g->walk, days->n_task);
    wr_abreast_init(&g->abreast, days->n_task);
    find_lists(g);
    read_all(g);
    describe_starts(g);
    if (g->mode == WR_GIVEN_SCALED) take_logs(g);
}

void wr_given_release(struct wr_given *g)
{
    wr_way_release(&g->way);
    wr_walk_release(&g->walk);
    wr_abreast_release(&g->abreast);
    wr_free(g->start_list);
    wr_free(g->out_list);
    wr_free(g->start_min);
    wr_free(g->out_min);
    wr_free(g->moves);
    wr_free(g->root);
    wr_free(g->piece);
    wr_free(g->piece_first);
    wr_free(g->was_dropped);
    wr_free(g->log_start);
    wr_free(g->log_out);
    *g = (struct wr_given){0};
}

/* ---- roots along the way ---- */

struct wr_root {
    double at, rate;   /* place on the way; derivative of the log of the start there */
    double log_start;  /* that is reached there */
};

/* A search for the place t on one day's way where the start is s. */
struct search {
    size_t trial;
    double at, lo, hi;  /* start below s at lo, not below at hi; infinite: not known yet */
    bool chord;         /* a clock that runs back: the piece is short, so its chord will do */
    bool done, found;
    double rate;        /* out: derivative of the log of the start at the root */
};

/* Searches that wait until there are enough for a walk, and who wants the roots. */
struct searches {
    struct wr_given *given;
    double s;
    size_t n;
    struct search search[WR_ABREAST];
    void (*take)(struct searches *q, void *arg); /* the found ones, in the order in which they were put */
    void *arg;
};

static void narrow(struct search *r, double by_t, double start, double s)
{
    double miss = start > 0 ? log(start / s) : -INFINITY, step;

    if (start > 0 && by_t > 1e-9 * start) { /* Newton on the log of the start */
        r->rate = by_t / start;
        step = -miss / r->rate;
        if (fabs(miss) < 3e-4 && r->at + step >= r->lo && r->at + step <= r->hi) { /* the next error is its square */
            r->at += step;
            r->done = r->found = true;
            return;
        }
    } else {
        step = miss < 0 ? 1 : -1;
    }
    if (miss < 0) r->lo = r->at;
    else r->hi = r->at;
    r->at += fmin(fmax(step, -4), 4);
    if (!(r->at > r->lo && r->at < r->hi))
        r->at = isinf(r->lo) ? r->hi - 1 : isinf(r->hi) ? r->lo + 1 : (r->lo + r->hi) / 2;
    r->done = r->at > FARTHEST || r->at < -FARTHEST || r->hi - r->lo < 1e-11 * (1 + fabs(r->lo));
}

static void look(struct search *r, const struct wr_given *g, size_t i, double s)
{
    const size_t at = g->task * WR_ABREAST + i, from = g->limit->from * WR_ABREAST + i;
    double start = g->abreast.start_min[at], by_t = g->abreast.start_rate[at];

    if (g->limit->is_clock) {
        start -= g->abreast.start_min[from];
        by_t -= g->abreast.start_rate[from];
    }
    if (!r->chord) {
        narrow(r, by_t, start, s);
        return;
    }
    r->rate = by_t / s;
    r->done = true;
    r->found = by_t != 0;
}

static void push_to(struct wr_given *g, const struct searches *q)
{
    for (size_t i = 0; i < q->n; i++) g->abreast.delta[i] = q->search[i].at - g->way.at[q->search[i].trial];
}

/* Runs all that wait, each until it has found its root or there is none. */
static void search_all(struct searches *q)
{
    enum { MOST_STEPS = 100 };
    struct wr_given *g = q->given;
    struct wr_abreast *a = &g->abreast;
    size_t n_open = q->n;

    if (q->n == 0) return;
    a->n = q->n;
    for (size_t i = 0; i < q->n; i++) a->trial[i] = q->search[i].trial;
    push_to(g, q);
    wr_abreast_load(a, g->days, &g->way, g->out_list, g->n_out_list);
    for (int step = 0; step < MOST_STEPS && n_open > 0; step++) {
        push_to(g, q);
        wr_abreast_walk(a, g->days, &g->way, g->start_list, g->n_start_list);
        n_open = 0;
        for (size_t i = 0; i < q->n; i++) {
            if (!q->search[i].done) look(&q->search[i], g, i, q->s);
            n_open += !q->search[i].done;
        }
    }
    q->take(q, q->arg);
    q->n = 0;
}

static void put_search(struct searches *q, struct search search)
{
    q->search[q->n++] = search;
    if (q->n == WR_ABREAST) search_all(q);
}

/* ---- pieces of a way along which the start may fall ---- */

static double start_at(struct wr_given *g, size_t trial, double t)
{
    wr_days_walk(g->days, &g->way, g->start_list, g->n_start_list, trial, t - g->way.at[trial], &g->walk);
    return reading(g, &g->walk);
}

/* Differs when other tasks are dropped. */
static uint64_t add_to_pattern(uint64_t pattern, size_t dropped_task)
{
    return pattern * 1099511628211u + dropped_task + 1;
}

static uint64_t pattern_of(const struct wr_given *g)
{
    uint64_t pattern = 0;

    for (size_t j = 0; j < g->n_start_list; j++)
        if (g->walk.dropped[g->start_list[j]]) pattern = add_to_pattern(pattern, g->start_list[j]);
    return pattern;
}

static uint64_t pattern_abreast(const struct wr_given *g, size_t i)
{
    uint64_t pattern = 0;

    for (size_t j = 0; j < g->n_start_list; j++)
        if (g->abreast.dropped[g->start_list[j] * WR_ABREAST + i]) pattern = add_to_pattern(pattern, g->start_list[j]);
    return pattern;
}

struct wr_piece { /* of one day's way: rising as long as the same work is dropped at both ends */
    double from, to, start_from, start_to;
    bool whole;   /* false: the work that is dropped differs; still to be cut where it changes */
    bool done;    /* it has been cut: two pieces further on stand for it */
    size_t next;  /* index + 1 of the first of them */
};

static struct wr_piece *add_piece(struct wr_given *g, double from, double to, double start_from, double start_to, bool whole)
{
    struct wr_piece *p = WR_PUSH(g->piece, g->n_piece, g->room_piece);

    *p = (struct wr_piece){.from = from, .to = to, .start_from = start_from, .start_to = start_to, .whole = whole};
    return p;
}

/* The first task of the walk's order that is dropped at one end only, or SIZE_MAX. */
static size_t first_difference(struct wr_given *g, size_t trial, double from, double to)
{
    unsigned char *was = g->was_dropped;

    start_at(g, trial, from);
    memcpy(was, g->walk.dropped, g->days->n_task);
    start_at(g, trial, to);
    for (size_t i = 0; i < g->n_start_list; i++)
        if (was[g->start_list[i]] != g->walk.dropped[g->start_list[i]]) return g->start_list[i];
    return SIZE_MAX;
}

/* Cuts a piece where the first task that is dropped at one end only begins at its drop_after: up to there the task's own
 * start is continuous. What remains on either side may have to be cut again. */
static void cut_piece(struct wr_given *g, size_t trial, size_t at)
{
    struct wr_piece p = g->piece[at];
    size_t k = first_difference(g, trial, p.from, p.to);
    double left = p.from, right = p.to, start_left = p.start_from, start_right = p.start_to, t = (left + right) / 2;
    uint64_t pattern_left = 0, pattern_right = 0, pattern_from, pattern_to;

    WR_BUG_IF(k == SIZE_MAX);
    pattern_to = pattern_right = pattern_of(g);
    start_at(g, trial, p.from);
    pattern_from = pattern_left = pattern_of(g);
    bool left_drops = g->walk.dropped[k];
    for (int i = 0; i < 60 && right - left > 1e-5; i++) {
        double start = start_at(g, trial, t), rate = g->walk.start_rate[k];
        double over = g->walk.start_min[k] - g->days->drop_after_min[k];
        if ((bool)g->walk.dropped[k] == left_drops) left = t, start_left = start, pattern_left = pattern_of(g);
        else right = t, start_right = start, pattern_right = pattern_of(g);
        /* Newton, and a little beyond it so that the other side closes in too */
        double step = rate > 0 ? -over / rate : 0, beyond = t + step + (step > 0 ? 4e-6 : -4e-6);
        t = rate > 0 && beyond > left && beyond < right ? beyond : (left + right) / 2;
    }
    g->piece[at].done = true;
    g->piece[at].next = g->n_piece + 1;
    add_piece(g, p.from, left, p.start_from, start_left, pattern_from == pattern_left);
    add_piece(g, right, p.to, start_right, p.start_to, pattern_to == pattern_right);
}

/* The largest rate at which the log of anything can rise along the way on this day; 0: not known. */
static double most_rate(const struct wr_given *g, size_t trial)
{
    const struct wr_days *days = g->days;
    size_t draw = days->draw[trial];
    double most = 0;

    for (size_t i = 0; i < g->n_start_list; i++) {
        size_t k = g->start_list[i];
        double rate = g->way.task[k] * days->slope[k * days->n_draw + draw] + g->way.run * days->run_sd[draw];
        if (days->give[k] == WR_GIVE_BEND || (days->now && days->now->state[k] == WR_NOW_RUNNING)) return INFINITY;
        most = fmax(most, rate);
    }
    return most;
}

/* Could the start be s anywhere in the piece, given how fast it can rise? */
static bool may_hold(const struct wr_piece *p, double s, double rate)
{
    double growth = exp(fmin(700, rate * (p->to - p->from)));

    return s <= fmax(p->start_to, p->start_from * growth) && s >= fmin(p->start_from, p->start_to / growth);
}

enum { N_STEP = (int)(2 * PIECES_REACH / PIECES_STEP) };

static void lay_pieces(struct wr_given *g, size_t n_use)
{
    double start[N_STEP + 1][WR_ABREAST];
    uint64_t pattern[N_STEP + 1][WR_ABREAST];
    struct wr_abreast *a = &g->abreast;

    if (!g->piece_first) {
        g->piece_first = WR_NEW_ARRAY(size_t, g->days->n_trial + 1);
        g->was_dropped = WR_NEW_ARRAY(unsigned char, g->days->n_task);
    }
    for (; g->n_piece_trial < n_use; g->n_piece_trial += a->n) {
        wr_abreast_take(a, g->n_piece_trial, n_use);
        wr_abreast_load(a, g->days, &g->way, g->start_list, g->n_start_list);
        for (int step = 0; step <= N_STEP; step++) {
            for (size_t i = 0; i < a->n; i++)
                a->delta[i] = -PIECES_REACH + step * PIECES_STEP - g->way.at[a->trial[i]];
            wr_abreast_walk(a, g->days, &g->way, g->start_list, g->n_start_list);
            for (size_t i = 0; i < a->n; i++) {
                start[step][i] = a->start_min[g->task * WR_ABREAST + i];
                if (g->limit->is_clock) start[step][i] -= a->start_min[g->limit->from * WR_ABREAST + i];
                pattern[step][i] = pattern_abreast(g, i);
            }
        }
        for (size_t i = 0; i < a->n; i++) {
            g->piece_first[a->trial[i]] = g->n_piece;
            for (int step = 1; step <= N_STEP; step++) {
                double t = -PIECES_REACH + step * PIECES_STEP;
                add_piece(g, t - PIECES_STEP, t, start[step - 1][i], start[step][i],
                          pattern[step - 1][i] == pattern[step][i]);
            }
        }
    }
}

/* ---- counting ---- */

/* Parts by posterior draw, so that their spread holds the finite number of draws as well. */
static size_t part_of(const struct wr_days *days, size_t trial)
{
    return (days->n_draw >= 8 * WR_GIVEN_PARTS ? days->draw[trial] : trial) % WR_GIVEN_PARTS;
}

static void count(struct wr_given *g, size_t trial, double weight, bool inside, struct wr_tally *tally)
{
    size_t part = part_of(g->days, trial);

    tally->sum += weight;
    tally->sum_squares += weight * weight;
    tally->part_sum[part] += weight;
    if (!inside) return;
    tally->inside += weight;
    tally->part_inside[part] += weight;
}

static void count_scaled(struct wr_given *g, double s, size_t n_use, struct wr_tally *tally)
{
    const struct wr_days *days = g->days;
    double log_s = log(s), log_limit = log(g->limit->minutes);

    for (size_t i = 0; i < n_use; i++) {
        if (!g->moves[i]) continue;
        double sd = days->run_sd[days->draw[i]], t = (log_s - g->log_start[i]) / sd;
        if (fabs(t) > FARTHEST) continue;
        count(g, i, exp(-0.5 * t * t) / sd, g->log_out[i] + sd * t <= log_limit, tally);
    }
}

/* Roots in one piece, cutting it first if the work that is dropped changes within and s may lie there. */
static void search_piece(struct searches *q, size_t trial, size_t at)
{
    struct wr_given *g = q->given;
    struct wr_piece p = g->piece[at];
    double s = q->s;

    if (!p.whole && !p.done && may_hold(&p, s, most_rate(g, trial))) {
        cut_piece(g, trial, at);
        p = g->piece[at];
    }
    if (p.done) {
        search_piece(q, trial, p.next - 1);
        search_piece(q, trial, p.next);
        return;
    }
    bool rises = p.start_from < s && p.start_to >= s, falls = p.start_from >= s && p.start_to < s;
    if (!p.whole || (!rises && !falls)) return;
    double chord = p.from + (p.to - p.from) * (s - p.start_from) / (p.start_to - p.start_from);
    put_search(q, (struct search){.trial = trial, .at = chord, .lo = p.from, .hi = p.to, .chord = falls});
}

/* Where the last root and the slope there let the next one expect. */
static void search_whole(struct searches *q, size_t trial)
{
    const struct wr_root *last = &q->given->root[trial];
    double at = last->at;

    if (last->rate > 0) at = fmin(fmax(at + (log(q->s) - last->log_start) / last->rate, -FARTHEST), FARTHEST);
    put_search(q, (struct search){.trial = trial, .at = at, .lo = -INFINITY, .hi = INFINITY});
}

static void for_each_root(struct wr_given *g, double s, size_t n_use, void (*take)(struct searches *q, void *arg), void *arg)
{
    struct searches q = {.given = g, .s = s, .take = take, .arg = arg};

    if (g->mode == WR_GIVEN_PIECES) lay_pieces(g, n_use);
    for (size_t i = 0; i < n_use; i++) {
        if (g->mode != WR_GIVEN_PIECES) search_whole(&q, i);
        else
            for (size_t p = 0; p < N_STEP; p++) search_piece(&q, i, g->piece_first[i] + p);
    }
    search_all(&q);
}

static double weight_of(const struct wr_given *g, const struct search *r)
{
    double delta = r->at - g->way.at[r->trial];

    return exp(-0.5 * r->at * r->at + wr_days_log_weight(g->days, &g->way, r->trial, delta)) / fabs(r->rate);
}

static void keep_root(struct wr_given *g, const struct search *r, double s)
{
    if (r->found) g->root[r->trial] = (struct wr_root){r->at, r->rate, log(s)};
}

static void count_roots(struct searches *q, void *arg)
{
    struct wr_given *g = q->given;
    struct wr_tally *tally = arg;

    push_to(g, q);
    wr_abreast_walk(&g->abreast, g->days, &g->way, g->out_list, g->n_out_list);
    for (size_t i = 0; i < q->n; i++) {
        const struct search *r = &q->search[i];
        if (!r->found) continue;
        keep_root(g, r, q->s);
        count(g, r->trial, weight_of(g, r), outcome(g, i) <= g->limit->minutes, tally);
    }
}

void wr_given_tally(struct wr_given *g, double s, size_t n_use, struct wr_tally *tally)
{
    *tally = (struct wr_tally){0};
    if (!(s > 0)) return;
    if (n_use > g->days->n_trial) n_use = g->days->n_trial;
    if (g->mode == WR_GIVEN_SCALED) count_scaled(g, s, n_use, tally);
    else for_each_root(g, s, n_use, count_roots, tally);
}

/* ---- finding a way ---- */

struct aim {
    double run, *task;
    double sum, sum_squares; /* of the weights that went into it */
};

static void add_gradient(struct wr_given *g, double factor, struct aim *aim)
{
    wr_days_gradient(g->days, &g->walk, g->task, factor, &aim->run, aim->task);
    if (g->limit->is_clock) wr_days_gradient(g->days, &g->walk, g->limit->from, -factor, &aim->run, aim->task);
}

static void aim_by_roots(struct searches *q, void *arg)
{
    struct wr_given *g = q->given;
    struct aim *aim = arg;

    for (size_t i = 0; i < q->n; i++) {
        const struct search *r = &q->search[i];
        if (!r->found) continue;
        double weight = weight_of(g, r);
        keep_root(g, r, q->s);
        wr_days_walk(g->days, &g->way, g->start_list, g->n_start_list, r->trial, r->at - g->way.at[r->trial], &g->walk);
        add_gradient(g, weight, aim);
        aim->sum += weight;
        aim->sum_squares += weight * weight;
    }
}

static bool turn_to(struct wr_given *g, const struct aim *aim)
{
    g->way.run = fmax(0, aim->run);
    for (size_t k = 0; k < g->days->n_task; k++) g->way.task[k] = fmax(0, aim->task[k]);
    if (!wr_way_settle(&g->way, g->days)) return false;
    for (size_t i = 0; i < g->days->n_trial; i++) g->root[i] = (struct wr_root){.at = g->way.at[i]};
    g->n_piece = g->n_piece_trial = 0;
    return true;
}

bool wr_given_aim(struct wr_given *g)
{
    struct aim aim = {.task = WR_NEW_ARRAY(double, g->days->n_task)};
    size_t n = g->days->n_trial < 1000 ? g->days->n_trial : 1000;

    if (!g->way.task) wr_way_init(&g->way, g->days);
    if (!g->root) g->root = WR_NEW_ARRAY(struct wr_root, g->days->n_trial);
    g->mode = g->mode_on_way;
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
    struct aim was = {.run = g->way.run, .task = WR_NEW_ARRAY(double, g->days->n_task)};
    struct wr_tally tally;
    bool turned = false;

    memcpy(was.task, g->way.task, g->days->n_task * sizeof *was.task);
    wr_given_tally(g, s, n_use, &tally);
    double before = wr_tally_effective(&tally);
    for (int round = 0; round < 2; round++) {
        struct aim aim = {.task = WR_NEW_ARRAY(double, g->days->n_task)};
        for_each_root(g, s, n_use, aim_by_roots, &aim);
        if (aim.sum * aim.sum >= LEAST_DAYS * aim.sum_squares && turn_to(g, &aim)) turned = true;
        wr_free(aim.task);
    }
    if (turned) {
        wr_given_tally(g, s, n_use, &tally);
        turned = wr_tally_effective(&tally) > before;
        if (!turned) turn_to(g, &was);
    }
    wr_free(was.task);
    return turned;
}
