#include "start_roots.h"

#include <math.h>
#include "start_pieces.h"

static void narrow_bracket(struct wr_search *r, double by_t, double start, double s)
{
    struct wr_newton *n = &r->place;
    double miss = start > 0 ? log(start / s) : -INFINITY, step;

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

void wr_searches_push(struct wr_given *g, const struct wr_searches *q)
{
    for (size_t i = 0; i < q->n; i++) g->abreast.delta[i] = q->search[i].place.at - g->way.at[q->search[i].trial];
}

/* Runs all that wait, each until it has found its root or there is none. */
static void search_all(struct wr_searches *q)
{
    enum { MOST_STEPS = 100 };
    struct wr_given *g = q->given;
    struct wr_abreast *a = &g->abreast;
    size_t n_open = q->n;

    if (q->n == 0) return;
    a->n = q->n;
    for (size_t i = 0; i < q->n; i++) a->trial[i] = q->search[i].trial;
    wr_searches_push(g, q);
    wr_abreast_load(a, g->days, &g->way, g->out_list, g->n_out_list);
    for (int step = 0; step < MOST_STEPS && n_open > 0; step++) {
        wr_searches_push(g, q);
        wr_abreast_walk(a, g->days, &g->way, g->start_list, g->n_start_list);
        n_open = 0;
        for (size_t i = 0; i < q->n; i++) {
            if (!q->search[i].done) look_at_start(&q->search[i], g, i, q->s);
            n_open += !q->search[i].done;
        }
    }
    q->take(q, q->arg);
    q->n = 0;
}

static void put_search(struct wr_searches *q, struct wr_search search)
{
    q->search[q->n++] = search;
    if (q->n == WR_ABREAST) search_all(q);
}

static void search_piece(struct wr_searches *q, size_t at)
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
    put_search(q, (struct wr_search){.trial = p.trial, .place = {chord, p.from, p.to}, .chord = falls});
}

/* Where the last root and the slope there let the next one expect. */
static void search_whole(struct wr_searches *q, size_t trial)
{
    const struct wr_root *last = &q->given->root[trial];
    double at = last->rate > 0 ? last->at + (log(q->s) - last->log_start) / last->rate : last->at;

    at = fmin(fmax(at, -WR_WAY_FARTHEST), WR_WAY_FARTHEST);
    put_search(q, (struct wr_search){.trial = trial, .place = {at, -INFINITY, INFINITY}});
}

void wr_each_root(struct wr_given *g, double s, size_t n_use, wr_roots_fn *take, void *arg)
{
    struct wr_searches q = {.given = g, .s = s, .take = take, .arg = arg};

    if (g->mode == WR_GIVEN_PIECES) wr_pieces_make(g, s, n_use);
    for (size_t i = 0; i < n_use; i++) {
        if (g->mode != WR_GIVEN_PIECES) search_whole(&q, i);
        else
            for (size_t p = 0; p < WR_N_PIECE; p++) search_piece(&q, g->piece_first[i] + p);
    }
    search_all(&q);
}

void wr_root_keep(struct wr_given *g, const struct wr_search *r, double s)
{
    if (r->found) g->root[r->trial] = (struct wr_root){r->place.at, r->rate, log(s)};
}
