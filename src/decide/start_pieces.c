#include "start_pieces.h"

#include <math.h>
#include <string.h>
#include "wetrun/base/error.h"
#include "wetrun/base/memory.h"

/* A number for the set of tasks dropped before the start on day i of those walked: another set, another number. */
static uint64_t pattern_of(const struct wr_given *g, size_t i)
{
    uint64_t pattern = 0;

    for (size_t j = 0; j < g->n_ruled_before; j++) {
        size_t k = g->ruled[j];
        if (g->abreast.dropped[k * WR_ABREAST + i]) pattern = pattern * 1099511628211u + k + 1;
    }
    return pattern;
}

static void add_piece(struct wr_given *g, struct wr_piece piece)
{
    *WR_PUSH(g->piece, g->n_piece, g->room_piece) = piece;
}

/* Pieces that are being cut, a day each: where the first task that is dropped at one end only begins at its drop_after;
 * what is dropped before it is the same all along, so that its own start rises. What remains on either side may have to
 * be cut again. */
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

static struct wr_piece point(size_t trial, double at, double start)
{
    return (struct wr_piece){.trial = trial, .from = at, .to = at, .start_from = start, .start_to = start};
}

double wr_even_place(double from, double to, double start_from, double start_to, double s)
{
    double share = start_from > 0 && start_to > start_from ? log(s / start_from) / log(start_to / start_from) : 0.5;

    return from + fmin(fmax(share, 0.01), 0.99) * (to - from);
}

/* Walks both ends and finds the tasks to cut by. */
static void begin_cuts(struct wr_given *g, struct cuts *c)
{
    struct wr_abreast *a = &g->abreast;
    uint64_t *was = g->was_dropped;
    double *was_start = g->was_start;

    a->n = c->n;
    for (size_t i = 0; i < c->n; i++) {
        const struct wr_piece *p = &g->piece[c->piece[i]];
        a->trial[i] = p->trial;
        c->left[i] = point(p->trial, p->from, p->start_from);
        c->right[i] = point(p->trial, p->to, p->start_to);
        c->at[i] = p->from;
    }
    wr_abreast_load(a, g->days, &g->way, g->start_list, g->n_start_list);
    walk_starts(g, c->at);
    memcpy(was, a->dropped, g->days->n_task * WR_ABREAST * sizeof *was);
    memcpy(was_start, a->start_min, g->days->n_task * WR_ABREAST * sizeof *was_start);
    for (size_t i = 0; i < c->n; i++) {
        c->from_pattern[i] = c->left_pattern[i] = pattern_of(g, i);
        c->at[i] = c->right[i].to;
    }
    walk_starts(g, c->at);
    for (size_t i = 0; i < c->n; i++) {
        size_t j = 0;
        c->to_pattern[i] = c->right_pattern[i] = pattern_of(g, i);
        while (was[g->ruled[j] * WR_ABREAST + i] == a->dropped[g->ruled[j] * WR_ABREAST + i]) {
            j++;
            WR_BUG_IF(j == g->n_ruled_before);
        }
        c->by[i] = g->ruled[j];
        size_t k = c->by[i] * WR_ABREAST + i;
        c->left_drops[i] = was[k] != 0;
        c->at[i] = wr_even_place(c->left[i].to, c->right[i].from, was_start[k], a->start_min[k],
                              g->days->drop_after_min[c->by[i]]);
    }
}

/* One step of cut i, after a walk at at[i]: true if the sides are close enough. */
static bool close_in(const struct wr_given *g, struct cuts *c, size_t i)
{
    const struct wr_abreast *a = &g->abreast;
    const size_t k = c->by[i] * WR_ABREAST + i;
    double rate = a->start_rate[k], rule = g->days->drop_after_min[c->by[i]], t = c->at[i];

    if ((a->dropped[k] != 0) == c->left_drops[i]) {
        c->left[i].to = t;
        c->left[i].start_to = wr_given_start(g, i);
        c->left_pattern[i] = pattern_of(g, i);
    } else {
        c->right[i].from = t;
        c->right[i].start_from = wr_given_start(g, i);
        c->right_pattern[i] = pattern_of(g, i);
    }
    /* Newton on the log, and a little beyond it so that the other side closes in too */
    double step = rate > 0 ? -log(a->start_min[k] / rule) * a->start_min[k] / rate : 0,
           beyond = t + step + (step > 0 ? 0.4 : -0.4) * WR_PIECES_GAP;
    bool between = rate > 0 && beyond > c->left[i].to && beyond < c->right[i].from;
    c->at[i] = between ? beyond : (c->left[i].to + c->right[i].from) / 2;
    return c->right[i].from - c->left[i].to <= WR_PIECES_GAP;
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

/* The pieces of the days that are walked, from what their ends say. */
static void add_pieces(struct wr_given *g, double start[][WR_ABREAST], uint64_t pattern[][WR_ABREAST])
{
    for (size_t i = 0; i < g->abreast.n; i++) {
        size_t trial = g->abreast.trial[i];
        g->piece_first[trial] = g->n_piece;
        for (size_t p = 0; p < g->n_first_piece; p++) {
            double from = -WR_PIECES_REACH + (double)p * 2 * WR_PIECES_REACH / (double)g->n_first_piece;
            add_piece(g, (struct wr_piece){trial, from, from + 2 * WR_PIECES_REACH / (double)g->n_first_piece,
            /* NOLINTNEXTLINE(clang-analyzer-core.UndefinedBinaryOperatorResult): lay_pieces filled all */
                                           start[p][i], start[p + 1][i], pattern[p][i] == pattern[p + 1][i], 0});
        }
    }
}

/* Of the days of a row, from one end to the other. */
static void lay_pieces(struct wr_given *g)
{
    double start[WR_CLOCK_PIECES + 1][WR_ABREAST];
    uint64_t pattern[WR_CLOCK_PIECES + 1][WR_ABREAST];
    struct wr_abreast *a = &g->abreast;

    wr_abreast_load(a, g->days, &g->way, g->start_list, g->n_start_list);
    for (size_t p = 0; p <= g->n_first_piece; p++) {
        double at = -WR_PIECES_REACH + (double)p * 2 * WR_PIECES_REACH / (double)g->n_first_piece;
        for (size_t i = 0; i < a->n; i++) a->delta[i] = at - g->way.at[a->trial[i]];
        wr_abreast_walk(a, g->days, &g->way, g->start_list, g->n_start_list);
        for (size_t i = 0; i < a->n; i++) {
            start[p][i] = wr_given_start(g, i);
            pattern[p][i] = pattern_of(g, i);
        }
    }
    add_pieces(g, start, pattern);
}

/* Cuts the pieces from `first` on, and what they are cut into, until the same work is dropped all along each. */
static void cut_pieces(struct wr_given *g, struct cuts *cuts, size_t first)
{
    while (first < g->n_piece) {
        size_t end = g->n_piece; /* what comes of these is behind them */
        for (size_t p = first; p < end; p++) {
            if (g->piece[p].whole || g->piece[p].to - g->piece[p].from <= 1e-9) continue; /* rounding alone */
            cuts->piece[cuts->n++] = p;
            if (cuts->n == WR_ABREAST) make_cuts(g, cuts);
        }
        if (cuts->n > 0) make_cuts(g, cuts);
        first = end;
    }
}

void wr_pieces_make(struct wr_given *g, size_t n_use)
{
    size_t first = g->n_piece;

    if (!g->piece_first) {
        g->n_first_piece = g->limit->is_clock ? WR_CLOCK_PIECES : 1;
        g->piece_first = WR_NEW_ARRAY(size_t, g->days->n_trial + 1);
        g->was_dropped = wr_alloc(g->days->n_task, WR_ABREAST * sizeof *g->was_dropped);
        g->was_start = wr_alloc(g->days->n_task, WR_ABREAST * sizeof *g->was_start);
    }
    if (g->n_piece_trial >= n_use) return;
    for (; g->n_piece_trial < n_use; g->n_piece_trial += g->abreast.n) {
        wr_abreast_take(&g->abreast, g->n_piece_trial, n_use);
        lay_pieces(g);
    }
    WR_SCOPED struct cuts *cuts = WR_NEW(struct cuts);
    cut_pieces(g, cuts, first);
}
