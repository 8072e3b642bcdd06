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

static double reading(const struct wr_given *g, const struct wr_walk *w, double *rate)
{
    if (rate) *rate = w->start_rate[g->task];
    if (!g->limit->is_clock) return w->start_min[g->task];
    if (rate) *rate -= w->start_rate[g->limit->from];
    return w->start_min[g->task] - w->start_min[g->limit->from];
}

static double outcome(const struct wr_given *g, const struct wr_walk *w)
{
    return wr_days_outcome(g->days, g->limit, w);
}

double wr_given_held_outcome(struct wr_given *g, size_t trial, double until)
{
    g->walk.held = g->task;
    g->walk.held_until_min = until;
    wr_days_walk(g->days, NULL, g->out_list, g->n_out_list, trial, 0, &g->walk);
    g->walk.held = SIZE_MAX;
    return outcome(g, &g->walk);
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

static double gradient_length(struct wr_given *g, double *scratch)
{
    double run = 0, sum;

    memset(scratch, 0, g->days->n_task * sizeof *scratch);
    wr_days_gradient(g->days, &g->walk, g->task, 1, &run, scratch);
    if (g->limit->is_clock) wr_days_gradient(g->days, &g->walk, g->limit->from, -1, &run, scratch);
    sum = run * run;
    for (size_t k = 0; k < g->days->n_task; k++) sum += scratch[k] * scratch[k];
    return sqrt(sum);
}

static void walk_all(struct wr_given *g)
{
    const struct wr_days *days = g->days;
    double *scratch = WR_NEW_ARRAY(double, days->n_task);

    g->start_min = WR_NEW_ARRAY(double, days->n_trial);
    g->out_min = WR_NEW_ARRAY(double, days->n_trial);
    g->weight = WR_NEW_ARRAY(double, days->n_trial);
    g->moves = WR_NEW_ARRAY(unsigned char, days->n_trial);
    for (size_t i = 0; i < days->n_trial; i++) {
        wr_days_walk(days, NULL, g->out_list, g->n_out_list, i, 0, &g->walk);
        g->start_min[i] = reading(g, &g->walk, NULL);
        g->out_min[i] = outcome(g, &g->walk);
        g->moves[i] = gradient_length(g, scratch) > 1e-6 * fmax(1e-6, g->start_min[i]);
        g->weight[i] = exp(wr_days_log_weight(days, NULL, i, 0));
    }
    wr_free(scratch);
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
    find_lists(g);
    walk_all(g);
    describe_starts(g);
    if (g->mode == WR_GIVEN_SCALED) take_logs(g);
}

void wr_given_release(struct wr_given *g)
{
    wr_way_release(&g->way);
    wr_walk_release(&g->walk);
    wr_free(g->start_list);
    wr_free(g->out_list);
    wr_free(g->start_min);
    wr_free(g->out_min);
    wr_free(g->moves);
    wr_free(g->weight);
    wr_free(g->root);
    wr_free(g->piece);
    wr_free(g->piece_first);
    wr_free(g->was_dropped);
    wr_free(g->log_start);
    wr_free(g->log_out);
    *g = (struct wr_given){0};
}

/* ---- roots along the way ---- */

static void walk_on_way(struct wr_given *g, const size_t *list, size_t n, size_t trial, double delta)
{
    if (g->way.rate) wr_days_walk_quick(g->days, &g->way, list, n, trial, delta, &g->walk);
    else wr_days_walk(g->days, &g->way, list, n, trial, delta, &g->walk);
}

static double start_at(struct wr_given *g, size_t trial, double t, double *rate)
{
    walk_on_way(g, g->start_list, g->n_start_list, trial, t - g->way.at[trial]);
    return reading(g, &g->walk, rate);
}

/* Newton on the log of the start, kept between lo and hi (start below s at lo, not below at hi; infinite: not known yet).
 * *t: first guess, then the root; *rate: derivative of the log of the start there. */
static bool find_root(struct wr_given *g, size_t trial, double s, double lo, double hi, double *t, double *rate)
{
    double at = *t, step;

    for (int i = 0; i < 100; i++) {
        double by_t, start = start_at(g, trial, at, &by_t);
        double miss = start > 0 ? log(start / s) : -INFINITY;
        if (start > 0 && by_t > 1e-9 * start) {
            *rate = by_t / start;
            step = -miss / *rate;
            if (fabs(miss) < 3e-4 && at + step >= lo && at + step <= hi) { /* the next error is its square */
                *t = at + step;
                return true;
            }
        } else {
            step = miss < 0 ? 1 : -1;
        }
        if (miss < 0) lo = at;
        else hi = at;
        at += fmin(fmax(step, -4), 4);
        if (!(at > lo && at < hi)) at = isinf(lo) ? hi - 1 : isinf(hi) ? lo + 1 : (lo + hi) / 2;
        if (at > FARTHEST || at < -FARTHEST || hi - lo < 1e-11 * (1 + fabs(lo))) return false;
    }
    return false;
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
    double unused;

    start_at(g, trial, from, &unused);
    memcpy(was, g->walk.dropped, g->days->n_task);
    start_at(g, trial, to, &unused);
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
    pattern_to = pattern_right = g->walk.pattern;
    start_at(g, trial, p.from, NULL);
    pattern_from = pattern_left = g->walk.pattern;
    bool left_drops = g->walk.dropped[k];
    for (int i = 0; i < 60 && right - left > 1e-5; i++) {
        double start = start_at(g, trial, t, NULL), rate = g->walk.start_rate[k];
        double over = g->walk.start_min[k] - g->days->drop_after_min[k];
        if ((bool)g->walk.dropped[k] == left_drops) left = t, start_left = start, pattern_left = g->walk.pattern;
        else right = t, start_right = start, pattern_right = g->walk.pattern;
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
        double rate = g->way.task[k] * days->slope[draw * days->n_task + k] + g->way.run * days->run_sd[draw];
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

static void lay_pieces(struct wr_given *g, size_t n_use)
{
    enum { N_STEP = (int)(2 * PIECES_REACH / PIECES_STEP) };

    if (!g->piece_first) {
        g->piece_first = WR_NEW_ARRAY(size_t, g->days->n_trial + 1);
        g->was_dropped = WR_NEW_ARRAY(unsigned char, g->days->n_task);
    }
    for (; g->n_piece_trial < n_use; g->n_piece_trial++) {
        double last = 0;
        uint64_t pattern = 0;
        for (int step = 0; step <= N_STEP; step++) {
            double t = -PIECES_REACH + step * PIECES_STEP, start = start_at(g, g->n_piece_trial, t, NULL);
            if (step == 0) g->piece_first[g->n_piece_trial] = g->n_piece;
            else add_piece(g, t - PIECES_STEP, t, last, start, pattern == g->walk.pattern);
            last = start;
            pattern = g->walk.pattern;
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

static void count_root(struct wr_given *g, size_t trial, double t, double rate, struct wr_tally *tally)
{
    double delta = t - g->way.at[trial];
    double weight = exp(-0.5 * t * t + wr_days_log_weight(g->days, &g->way, trial, delta)) / fabs(rate);

    walk_on_way(g, g->out_list, g->n_out_list, trial, delta);
    count(g, trial, weight, outcome(g, &g->walk) <= g->limit->minutes, tally);
}

typedef void root_fn(struct wr_given *g, size_t trial, double t, double rate, void *arg);

/* Roots in one piece, cutting it first if the work that is dropped changes within and s may lie there. */
static void roots_in_piece(struct wr_given *g, size_t trial, size_t at, double s, double most, root_fn *fn, void *arg)
{
    struct wr_piece p = g->piece[at];
    double rate, t;

    if (!p.whole && !p.done && may_hold(&p, s, most)) {
        cut_piece(g, trial, at);
        p = g->piece[at];
    }
    if (p.done) {
        roots_in_piece(g, trial, p.next - 1, s, most, fn, arg);
        roots_in_piece(g, trial, p.next, s, most, fn, arg);
        return;
    }
    bool rises = p.start_from < s && p.start_to >= s, falls = p.start_from >= s && p.start_to < s;
    if (!p.whole || (!rises && !falls)) return;
    t = p.from + (p.to - p.from) * (s - p.start_from) / (p.start_to - p.start_from);
    if (rises && find_root(g, trial, s, p.from, p.to, &t, &rate)) fn(g, trial, t, rate, arg);
    if (falls) { /* a clock that runs back: the piece is short, so the chord will do */
        start_at(g, trial, t, &rate);
        if (rate != 0) fn(g, trial, t, rate / s, arg);
    }
}

static void for_each_root(struct wr_given *g, double s, size_t n_use, root_fn *fn, void *arg)
{
    enum { N_PIECE = (int)(2 * PIECES_REACH / PIECES_STEP) };
    double rate;

    if (g->mode == WR_GIVEN_PIECES) lay_pieces(g, n_use);
    for (size_t i = 0; i < n_use; i++) {
        if (g->mode == WR_GIVEN_PIECES) {
            double most = most_rate(g, i);
            for (size_t p = 0; p < N_PIECE; p++) roots_in_piece(g, i, g->piece_first[i] + p, s, most, fn, arg);
        } else if (find_root(g, i, s, -INFINITY, INFINITY, &g->root[i], &rate)) {
            fn(g, i, g->root[i], rate, arg);
        }
    }
}

static void count_fn(struct wr_given *g, size_t trial, double t, double rate, void *arg)
{
    count_root(g, trial, t, rate, arg);
}

void wr_given_tally(struct wr_given *g, double s, size_t n_use, struct wr_tally *tally)
{
    *tally = (struct wr_tally){0};
    if (!(s > 0)) return;
    if (n_use > g->days->n_trial) n_use = g->days->n_trial;
    if (g->mode == WR_GIVEN_SCALED) count_scaled(g, s, n_use, tally);
    else for_each_root(g, s, n_use, count_fn, tally);
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

static void aim_fn(struct wr_given *g, size_t trial, double t, double rate, void *arg)
{
    double delta = t - g->way.at[trial];
    double weight = exp(-0.5 * t * t + wr_days_log_weight(g->days, &g->way, trial, delta)) / fabs(rate);

    struct aim *aim = arg;
    wr_days_walk(g->days, &g->way, g->start_list, g->n_start_list, trial, delta, &g->walk);
    add_gradient(g, weight, aim);
    aim->sum += weight;
    aim->sum_squares += weight * weight;
}

static bool turn_to(struct wr_given *g, const struct aim *aim)
{
    g->way.run = fmax(0, aim->run);
    for (size_t k = 0; k < g->days->n_task; k++) g->way.task[k] = fmax(0, aim->task[k]);
    if (!wr_way_settle(&g->way, g->days)) return false;
    memcpy(g->root, g->way.at, g->days->n_trial * sizeof *g->root);
    g->n_piece = g->n_piece_trial = 0;
    return true;
}

bool wr_given_aim(struct wr_given *g)
{
    struct aim aim = {.task = WR_NEW_ARRAY(double, g->days->n_task)};
    size_t n = g->days->n_trial < 1000 ? g->days->n_trial : 1000;

    if (!g->way.task) wr_way_init(&g->way, g->days);
    if (!g->root) g->root = WR_NEW_ARRAY(double, g->days->n_trial);
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
        for_each_root(g, s, n_use, aim_fn, &aim);
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
