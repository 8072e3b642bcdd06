#include "start_roots.h"

#include <math.h>
#include "start_pieces.h"

/* Near 1, where most steps of a search are, by the first terms of a continued fraction: a twelfth of the cube off, far
 * less than what the step itself leaves. */
static double log_near_1(double x)
{
    return fabs(x - 1) < 0.1 ? 2 * (x - 1) / (x + 1) : log(x);
}

static void narrow_bracket(struct wr_search *r, double by_t, double start, double s)
{
    struct wr_newton *n = &r->place;
    double miss = start > 0 ? log_near_1(start / s) : -INFINITY, step;

    if (start > 0 && by_t > 1e-9 * start) { /* Newton on the log of the start */
        r->rate = by_t / start;
        step = -miss / r->rate;
        if (fabs(miss) < 2e-3 && n->at + step >= n->lo && n->at + step <= n->hi) { /* the next error is its square */
            n->at += step;
            r->done = r->found = true;
            return;
        }
    } else {
        step = miss < 0 ? 1 : -1;
    }
    wr_newton_step(n, miss >= 0, fmin(fmax(step, -4), 4));
    r->done = fabs(n->at) > WR_WAY_FARTHEST || n->hi - n->lo < 1e-11 * (1 + fabs(n->lo));
}

static void look_at_start(struct wr_search *r, const struct wr_given *g, size_t i, double s)
{
    double by_t = wr_given_start_rate(g, i);

    if (!r->chord) {
        narrow_bracket(r, by_t, wr_given_start(g, i), s);
        return;
    }
    r->rate = by_t / s;
    r->done = true;
    r->found = by_t != 0;
}

/* Walks the days to where the searches stand. */
static void walk_searches(struct wr_searches *q)
{
    struct wr_given *g = q->given;

    for (size_t i = 0; i < q->n; i++) {
        g->abreast.delta[i] = q->search[i].place.at - g->way.at[q->search[i].trial];
        q->search[i].moved = 0;
    }
    wr_abreast_walk(&g->abreast, g->days, &g->way, g->start_list, g->n_start_list);
}

/* True: it goes on. */
static bool search_on(struct wr_search *r, const struct wr_given *g, size_t i, double s)
{
    double from = r->place.at;

    if (r->done) return false;
    look_at_start(r, g, i, s);
    r->moved = r->place.at - from;
    return !r->done;
}

/* Runs all that wait, each until it has found its root or there is none; then on to the outcomes. */
static void search_all(struct wr_searches *q)
{
    enum { MOST_STEPS = 100 };
    struct wr_given *g = q->given;
    struct wr_abreast *a = &g->abreast;
    size_t n_open = q->n;

    if (q->n == 0) return;
    a->n = q->n;
    for (size_t i = 0; i < q->n; i++) a->trial[i] = q->search[i].trial;
    for (size_t i = q->n; i < WR_ABREAST; i++) a->delta[i] = 0;
    wr_abreast_load(a, g->days, &g->way, g->out_list, g->n_out_list);
    for (int step = 0; step < MOST_STEPS && n_open > 0; step++) {
        walk_searches(q);
        n_open = 0;
        for (size_t i = 0; i < q->n; i++) n_open += search_on(&q->search[i], g, i, q->s);
    }
    if (q->outcomes)
        wr_abreast_walk(a, g->days, &g->way, g->out_list + g->n_start_list, g->n_out_list - g->n_start_list);
    q->take(q, q->arg);
    q->n = 0;
}

static void put_search(struct wr_searches *q, struct wr_search search)
{
    q->search[q->n++] = search;
    if (q->n == WR_ABREAST) search_all(q);
}

/* Where the last root and the slope there let the next one expect. */
static double expected_at(const struct wr_searches *q, size_t trial)
{
    const struct wr_root *last = &q->given->root[trial];

    return last->rate > 0 ? last->at + (q->log_s - last->log_start) / last->rate : last->at;
}

static void search_piece(struct wr_searches *q, size_t index)
{
    const struct wr_piece p = q->given->piece[index];
    double s = q->s;

    if (p.next) {
        search_piece(q, p.next - 1);
        search_piece(q, p.next);
        return;
    }
    bool rises = p.start_from < s && p.start_to >= s, falls = p.start_from >= s && p.start_to < s;
    if (!p.whole || (!rises && !falls)) return;
    double at = expected_at(q, p.trial);
    if (falls) at = p.from + (p.to - p.from) * (s - p.start_from) / (p.start_to - p.start_from);
    else if (!(at > p.from && at < p.to)) at = wr_even_place(p.from, p.to, p.start_from, p.start_to, s);
    put_search(q, (struct wr_search){.trial = p.trial, .place = {at, p.from, p.to}, .chord = falls});
}

static void search_whole(struct wr_searches *q, size_t trial)
{
    double at = expected_at(q, trial);

    at = fmin(fmax(at, -WR_WAY_FARTHEST), WR_WAY_FARTHEST);
    put_search(q, (struct wr_search){.trial = trial, .place = {at, -INFINITY, INFINITY}});
}

void wr_each_root(struct wr_given *g, double s, const struct wr_some_days *some, bool outcomes, wr_roots_fn *take,
                  void *arg)
{
    struct wr_searches q = {.given = g, .s = s, .log_s = log(s), .outcomes = outcomes, .take = take, .arg = arg};

    if (g->mode == WR_GIVEN_PIECES && some->n > 0) wr_pieces_make(g, wr_some_day(some, some->n - 1) + 1);
    for (size_t i = 0; i < some->n; i++) {
        size_t trial = wr_some_day(some, i);
        if (g->mode != WR_GIVEN_PIECES) search_whole(&q, trial);
        else
            for (size_t p = 0; p < g->n_first_piece; p++) search_piece(&q, g->piece_first[trial] + p);
    }
    search_all(&q);
}

void wr_root_keep(const struct wr_searches *q, const struct wr_search *r)
{
    if (r->found) q->given->root[r->trial] = (struct wr_root){r->place.at, r->rate, q->log_s};
}
