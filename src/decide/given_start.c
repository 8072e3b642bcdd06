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

/* On day i of those walked. */
static double start_read(const struct wr_given *g, size_t i)
{
    const double *start = g->abreast.start_min + i;

    return start[g->task * WR_ABREAST] - (g->limit->is_clock ? start[g->limit->from * WR_ABREAST] : 0);
}

static double start_rate_read(const struct wr_given *g, size_t i)
{
    const double *rate = g->abreast.start_rate + i;

    return rate[g->task * WR_ABREAST] - (g->limit->is_clock ? rate[g->limit->from * WR_ABREAST] : 0);
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

static struct wr_start_law law_of(const struct wr_given *g)
{
    size_t n = g->days->n_trial;
    struct wr_weighed *item = WR_NEW_ARRAY(struct wr_weighed, n);
    struct wr_start_law law = {0};

    for (size_t i = 0; i < n; i++)
        if (g->moves[i] && g->start_min[i] > 0) item[law.n_moves++] = (struct wr_weighed){g->start_min[i], g->weight[i]};
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
    wr_free(item);
    return law;
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

void wr_given_init(struct wr_given *g, const struct wr_days *days, const struct wr_sim_limit *limit, size_t task,
                   const struct wr_start_law *law)
{
    *g = (struct wr_given){.days = days, .limit = limit, .task = task};
    wr_walk_init(&g->walk, days->n_task);
    wr_abreast_init(&g->abreast, days->n_task);
    find_lists(g);
    read_all(g);
    g->law = law && !limit->is_clock ? *law : law_of(g);
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
    double by_t = start_rate_read(g, i);

    if (!r->chord) {
        narrow(r, by_t, start_read(g, i), s);
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

/* Differs when other tasks are dropped on day i of those walked. */
static uint64_t pattern_of(const struct wr_given *g, size_t i)
{
    uint64_t pattern = 0;

    for (size_t j = 0; j < g->n_start_list; j++) {
        size_t k = g->start_list[j];
        if (g->abreast.dropped[k * WR_ABREAST + i]) pattern = pattern * 1099511628211u + k + 1;
    }
    return pattern;
}

struct wr_piece { /* of one day's way: rising as long as the same work is dropped at both ends */
    size_t trial;
    double from, to, start_from, start_to;
    bool whole;   /* false: the work that is dropped differs; still to be cut where it changes */
    size_t next;  /* 0: as it is; else it has been cut, and index + 1 of the first of the two pieces that stand for it */
};

static void add_piece(struct wr_given *g, struct wr_piece piece)
{
    *WR_PUSH(g->piece, g->n_piece, g->room_piece) = piece;
}

/* Pieces that are being cut, a day each: where the first task that is dropped at one end only begins at its drop_after; up to
 * there the task's own start is continuous. What remains on either side may have to be cut again. */
struct cuts {
    size_t n, piece[WR_ABREAST];
    size_t by[WR_ABREAST];          /* the task that is dropped at one end only */
    bool left_drops[WR_ABREAST];
    double at[WR_ABREAST];
    struct wr_piece left[WR_ABREAST], right[WR_ABREAST]; /* what is known to lie on either side: they close in */
    uint64_t left_pattern[WR_ABREAST], right_pattern[WR_ABREAST], from_pattern[WR_ABREAST], to_pattern[WR_ABREAST];
};

static void walk_starts(struct wr_given *g, const double *at)
{
    struct wr_abreast *a = &g->abreast;

    for (size_t i = 0; i < a->n; i++) a->delta[i] = at[i] - g->way.at[a->trial[i]];
    wr_abreast_walk(a, g->days, &g->way, g->start_list, g->n_start_list);
}

/* Walks both ends and finds the tasks to cut by. */
static void begin_cuts(struct wr_given *g, struct cuts *c)
{
    struct wr_abreast *a = &g->abreast;
    uint64_t *was = g->was_dropped;

    a->n = c->n;
    for (size_t i = 0; i < c->n; i++) {
        const struct wr_piece *p = &g->piece[c->piece[i]];
        a->trial[i] = p->trial;
        c->left[i] = (struct wr_piece){.trial = p->trial, .from = p->from, .to = p->from, .start_from = p->start_from, .start_to = p->start_from};
        c->right[i] = (struct wr_piece){.trial = p->trial, .from = p->to, .to = p->to, .start_from = p->start_to, .start_to = p->start_to};
        c->at[i] = p->from;
    }
    wr_abreast_load(a, g->days, &g->way, g->start_list, g->n_start_list);
    walk_starts(g, c->at);
    memcpy(was, a->dropped, g->days->n_task * WR_ABREAST * sizeof *was);
    for (size_t i = 0; i < c->n; i++) {
        c->from_pattern[i] = c->left_pattern[i] = pattern_of(g, i);
        c->at[i] = c->right[i].to;
    }
    walk_starts(g, c->at);
    for (size_t i = 0; i < c->n; i++) {
        size_t j = 0;
        c->to_pattern[i] = c->right_pattern[i] = pattern_of(g, i);
        while (was[g->start_list[j] * WR_ABREAST + i] == a->dropped[g->start_list[j] * WR_ABREAST + i]) {
            j++;
            WR_BUG_IF(j == g->n_start_list);
        }
        c->by[i] = g->start_list[j];
        c->left_drops[i] = was[c->by[i] * WR_ABREAST + i] != 0;
        c->at[i] = (c->left[i].to + c->right[i].from) / 2;
    }
}

/* One step of cut i, after a walk at at[i]: true if the sides are close enough. */
static bool close_in(const struct wr_given *g, struct cuts *c, size_t i)
{
    const struct wr_abreast *a = &g->abreast;
    const size_t k = c->by[i] * WR_ABREAST + i;
    double rate = a->start_rate[k], over = a->start_min[k] - g->days->drop_after_min[c->by[i]], t = c->at[i];

    if ((a->dropped[k] != 0) == c->left_drops[i]) {
        c->left[i].to = t;
        c->left[i].start_to = start_read(g, i);
        c->left_pattern[i] = pattern_of(g, i);
    } else {
        c->right[i].from = t;
        c->right[i].start_from = start_read(g, i);
        c->right_pattern[i] = pattern_of(g, i);
    }
    /* Newton, and a little beyond it so that the other side closes in too */
    double step = rate > 0 ? -over / rate : 0, beyond = t + step + (step > 0 ? 4e-6 : -4e-6);
    bool between = rate > 0 && beyond > c->left[i].to && beyond < c->right[i].from;
    c->at[i] = between ? beyond : (c->left[i].to + c->right[i].from) / 2;
    return c->right[i].from - c->left[i].to <= 1e-5;
}

static void make_cuts(struct wr_given *g, struct cuts *c)
{
    enum { MOST_STEPS = 60 };
    bool done[WR_ABREAST] = {false};
    size_t n_open = c->n;

    begin_cuts(g, c);
    for (int step = 0; step < MOST_STEPS && n_open > 0; step++) {
        walk_starts(g, c->at);
        n_open = 0;
        for (size_t i = 0; i < c->n; i++) {
            if (!done[i]) done[i] = close_in(g, c, i);
            n_open += !done[i];
        }
    }
    for (size_t i = 0; i < c->n; i++) {
        c->left[i].whole = c->from_pattern[i] == c->left_pattern[i];
        c->right[i].whole = c->to_pattern[i] == c->right_pattern[i];
        g->piece[c->piece[i]].next = g->n_piece + 1;
        add_piece(g, c->left[i]);
        add_piece(g, c->right[i]);
    }
    c->n = 0;
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
        g->was_dropped = wr_alloc(g->days->n_task, WR_ABREAST * sizeof *g->was_dropped);
    }
    for (; g->n_piece_trial < n_use; g->n_piece_trial += a->n) {
        wr_abreast_take(a, g->n_piece_trial, n_use);
        wr_abreast_load(a, g->days, &g->way, g->start_list, g->n_start_list);
        for (int step = 0; step <= N_STEP; step++) {
            for (size_t i = 0; i < a->n; i++)
                a->delta[i] = -PIECES_REACH + step * PIECES_STEP - g->way.at[a->trial[i]];
            wr_abreast_walk(a, g->days, &g->way, g->start_list, g->n_start_list);
            for (size_t i = 0; i < a->n; i++) {
                start[step][i] = start_read(g, i);
                pattern[step][i] = pattern_of(g, i);
            }
        }
        for (size_t i = 0; i < a->n; i++) {
            g->piece_first[a->trial[i]] = g->n_piece;
            for (int step = 1; step <= N_STEP; step++) {
                double t = -PIECES_REACH + step * PIECES_STEP;
                add_piece(g, (struct wr_piece){a->trial[i], t - PIECES_STEP, t, start[step - 1][i], start[step][i],
                                               pattern[step - 1][i] == pattern[step][i], 0});
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

static bool must_be_cut(const struct wr_given *g, const struct wr_piece *p, double s)
{
    return !p->whole && !p->next && may_hold(p, s, most_rate(g, p->trial));
}

/* Adds to the open ones what of a piece, or of those that stand for it, must be cut. */
static void search_for_open(const struct wr_given *g, size_t at, double s, size_t **open, size_t *n_open, size_t *room)
{
    const struct wr_piece *p = &g->piece[at];

    if (p->next) {
        search_for_open(g, p->next - 1, s, open, n_open, room);
        search_for_open(g, p->next, s, open, n_open, room);
    } else if (must_be_cut(g, p, s)) {
        *WR_PUSH(*open, *n_open, *room) = at;
    }
}

/* Cuts the pieces of the first n_use days in which s may lie while the work that is dropped changes within. */
static void cut_pieces(struct wr_given *g, double s, size_t n_use)
{
    struct cuts *cuts = WR_NEW(struct cuts);
    size_t *open = NULL, n_open = 0, room = 0, first_new;

    for (size_t i = 0; i < n_use; i++)
        for (size_t p = g->piece_first[i]; p < g->piece_first[i] + N_STEP; p++) search_for_open(g, p, s, &open, &n_open, &room);
    while (n_open > 0) {
        first_new = g->n_piece;
        while (n_open > 0 && cuts->n < WR_ABREAST) cuts->piece[cuts->n++] = open[--n_open];
        make_cuts(g, cuts);
        for (size_t p = first_new; p < g->n_piece; p++)
            if (must_be_cut(g, &g->piece[p], s)) *WR_PUSH(open, n_open, room) = p;
    }
    wr_free(open);
    wr_free(cuts);
}

static void search_piece(struct searches *q, size_t at)
{
    const struct wr_piece p = q->given->piece[at];
    double s = q->s;

    if (p.next) {
        search_piece(q, p.next - 1);
        search_piece(q, p.next);
        return;
    }
    bool rises = p.start_from < s && p.start_to >= s, falls = p.start_from >= s && p.start_to < s;
    if (!p.whole || (!rises && !falls)) return;
    double chord = p.from + (p.to - p.from) * (s - p.start_from) / (p.start_to - p.start_from);
    put_search(q, (struct search){.trial = p.trial, .at = chord, .lo = p.from, .hi = p.to, .chord = falls});
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

    if (g->mode == WR_GIVEN_PIECES) {
        lay_pieces(g, n_use);
        cut_pieces(g, s, n_use);
    }
    for (size_t i = 0; i < n_use; i++) {
        if (g->mode != WR_GIVEN_PIECES) search_whole(&q, i);
        else
            for (size_t p = 0; p < N_STEP; p++) search_piece(&q, g->piece_first[i] + p);
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
    double sum, sum_squares, largest; /* of the weights that went into it */
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
        if (weight < 1e-5 * aim->largest) continue; /* it would not turn the way */
        aim->largest = fmax(aim->largest, weight);
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

bool wr_given_aim_at(struct wr_given *g, double s, size_t n_use, struct wr_tally *tally)
{
    enum { LEAST_DAYS = 10 }; /* that count: fewer point anywhere */
    struct aim was = {.run = g->way.run, .task = WR_NEW_ARRAY(double, g->days->n_task)};
    struct wr_tally turned_tally;
    bool turned = false;

    memcpy(was.task, g->way.task, g->days->n_task * sizeof *was.task);
    for (int round = 0; round < 2; round++) {
        struct aim aim = {.task = WR_NEW_ARRAY(double, g->days->n_task)};
        for_each_root(g, s, n_use, aim_by_roots, &aim);
        if (aim.sum * aim.sum >= LEAST_DAYS * aim.sum_squares && turn_to(g, &aim)) turned = true;
        wr_free(aim.task);
    }
    if (turned) {
        wr_given_tally(g, s, n_use, &turned_tally);
        turned = wr_tally_effective(&turned_tally) > wr_tally_effective(tally);
        if (turned) *tally = turned_tally;
        else turn_to(g, &was);
    }
    wr_free(was.task);
    return turned;
}
