#include "start_pieces.h"

#include <math.h>
#include <string.h>
#include "start_roots.h"
#include "wetrun/base/error.h"
#include "wetrun/base/memory.h"

/* A number for the set of tasks dropped on day i of those walked: another set, another number. */
static uint64_t pattern_of(const struct wr_given *g, size_t i)
{
    uint64_t pattern = 0;

    for (size_t j = 0; j < g->n_start_list; j++) {
        size_t k = g->start_list[j];
        if (g->abreast.dropped[k * WR_ABREAST + i]) pattern = pattern * 1099511628211u + k + 1;
    }
    return pattern;
}

static void add_piece(struct wr_given *g, struct wr_piece piece)
{
    *WR_PUSH(g->piece, g->n_piece, g->room_piece) = piece;
}

/* Pieces that are being cut, a day each: where the first task that is dropped at one end only begins at its drop_after;
 * up to there the task's own start is continuous. What remains on either side may have to be cut again. */
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

/* Walks both ends and finds the tasks to cut by. */
static void begin_cuts(struct wr_given *g, struct cuts *c)
{
    struct wr_abreast *a = &g->abreast;
    uint64_t *was = g->was_dropped;

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
        c->left[i].start_to = wr_given_start(g, i);
        c->left_pattern[i] = pattern_of(g, i);
    } else {
        c->right[i].from = t;
        c->right[i].start_from = wr_given_start(g, i);
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
        if (days->form[k] == WR_FORM_BENT) return INFINITY;
        most = fmax(most, rate); /* what has run longer rises no faster: the bound that it is above rises with it */
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
    double start[WR_N_PIECE + 1][WR_ABREAST];
    uint64_t pattern[WR_N_PIECE + 1][WR_ABREAST];
    struct wr_abreast *a = &g->abreast;

    if (!g->piece_first) {
        g->piece_first = WR_NEW_ARRAY(size_t, g->days->n_trial + 1);
        g->was_dropped = wr_alloc(g->days->n_task, WR_ABREAST * sizeof *g->was_dropped);
    }
    for (; g->n_piece_trial < n_use; g->n_piece_trial += a->n) {
        wr_abreast_take(a, g->n_piece_trial, n_use);
        wr_abreast_load(a, g->days, &g->way, g->start_list, g->n_start_list);
        for (int step = 0; step <= WR_N_PIECE; step++) {
            for (size_t i = 0; i < a->n; i++)
                a->delta[i] = -WR_PIECES_REACH + step * WR_PIECES_STEP - g->way.at[a->trial[i]];
            wr_abreast_walk(a, g->days, &g->way, g->start_list, g->n_start_list);
            for (size_t i = 0; i < a->n; i++) {
                start[step][i] = wr_given_start(g, i);
                pattern[step][i] = pattern_of(g, i);
            }
        }
        for (size_t i = 0; i < a->n; i++) {
            g->piece_first[a->trial[i]] = g->n_piece;
            for (int step = 1; step <= WR_N_PIECE; step++) {
                double t = -WR_PIECES_REACH + step * WR_PIECES_STEP;
                add_piece(g, (struct wr_piece){a->trial[i], t - WR_PIECES_STEP, t, start[step - 1][i], start[step][i],
                                               pattern[step - 1][i] == pattern[step][i], 0});
            }
        }
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

/* Cuts the pieces of some days in which s may lie while the work that is dropped changes within. */
static void cut_pieces(struct wr_given *g, double s, const struct wr_some_days *some)
{
    struct cuts *cuts = WR_NEW(struct cuts);
    size_t *open = NULL, n_open = 0, room = 0, first_new;

    for (size_t i = 0; i < some->n; i++)
        for (size_t p = 0; p < WR_N_PIECE; p++)
            search_for_open(g, g->piece_first[wr_some_day(some, i)] + p, s, &open, &n_open, &room);
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

void wr_pieces_make(struct wr_given *g, double s, const struct wr_some_days *some)
{
    if (some->n == 0) return;
    lay_pieces(g, wr_some_day(some, some->n - 1) + 1);
    cut_pieces(g, s, some);
}
