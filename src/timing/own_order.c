#include "own_order.h"

#include <math.h>
#include <stdlib.h>
#include "wetrun/base/memory.h"

void own_order_init(struct own_order *o, size_t n_work)
{
    *o = (struct own_order){.first_of = WR_NEW_ARRAY(size_t, n_work),
                            .last_of = WR_NEW_ARRAY(size_t, n_work),
                            .passed_min = WR_NEW_ARRAY(double, n_work),
                            .doubt_until_min = WR_NEW_ARRAY(double, n_work),
                            .doubt_passed_min = WR_NEW_ARRAY(double, n_work),
                            .walked = WR_NEW_ARRAY(size_t, n_work),
                            .to_walk = WR_NEW_ARRAY(size_t, n_work)};
}

void own_order_clear(struct own_order *o)
{
    o->n_piece = o->n_pred = 0;
}

struct piece *own_order_add(struct own_order *o)
{
    if (o->n_piece == o->room_piece) o->piece = wr_grow(o->piece, &o->room_piece, sizeof *o->piece);
    struct piece *p = &o->piece[o->n_piece++];
    /* one by one: as a whole it would be zeroed first, by an instruction that is slow for so few bytes */
    p->not_before_min = p->reach_min = p->ready_min = p->logged_ready_min = 0;
    p->first_pred = p->n_pred = 0;
    p->next = SIZE_MAX;
    p->opens = false;
    return p;
}

void own_order_release(struct own_order *o)
{
    WR_FREE(o->piece, o->pred, o->first_of, o->last_of, o->passed_min, o->doubt_until_min, o->doubt_passed_min,
            o->walked, o->to_walk, o->start_min, o->end_min);
    *o = (struct own_order){0};
}

static int by_start(const void *a, const void *b)
{
    const struct piece *x = a, *y = b;

    if (x->start_min != y->start_min) return x->start_min < y->start_min ? -1 : 1;
    if (x->end_min != y->end_min) return x->end_min < y->end_min ? -1 : 1;
    return (x->step > y->step) - (x->step < y->step);
}

void own_order_sort(struct own_order *o, size_t n_work)
{
    size_t n_in_order = 1;

    while (n_in_order < o->n_piece && by_start(&o->piece[n_in_order - 1], &o->piece[n_in_order]) < 0) n_in_order++;
    if (n_in_order < o->n_piece) qsort(o->piece, o->n_piece, sizeof *o->piece, by_start);
    for (size_t w = 0; w < n_work; w++) {
        o->first_of[w] = o->last_of[w] = SIZE_MAX;
        o->doubt_until_min[w] = 0;
    }
    for (size_t i = o->n_piece; i-- > 0;) {
        o->piece[i].next = o->first_of[o->piece[i].work];
        o->first_of[o->piece[i].work] = i;
    }
    for (size_t i = 0; i < o->n_piece; i++) {
        struct piece *p = &o->piece[i];
        size_t *last = &o->last_of[p->work];
        p->opens = *last == SIZE_MAX;
        p->reach_min = i ? fmax(o->piece[i - 1].reach_min, p->end_min) : p->end_min;
        if (p->opens || o->piece[*last].end_min <= p->end_min) *last = i;
    }
}

size_t own_order_from(const struct own_order *o, size_t self, double min)
{
    while (self > 0 && o->piece[self - 1].reach_min > min) self--;
    return self;
}

/* ---- what a piece waited for ---- */

static double end_of(const struct own_order *o, size_t work)
{
    return o->last_of[work] != SIZE_MAX ? o->piece[o->last_of[work]].end_min : o->passed_min[work];
}

/* Work that took no time has ended when all that it waits for has. */
static void pass_on(struct own_order *o, const struct rehearsed *known)
{
    for (size_t w = 0; w < known->n_work; w++) o->passed_min[w] = 0;
    for (size_t i = 0; i < known->n_order; i++) {
        size_t w = known->order[i];
        for (size_t e = known->pred_first[w]; e < known->pred_first[w + 1]; e++)
            if (!known->never_kept[e]) o->passed_min[w] = fmax(o->passed_min[w], end_of(o, known->pred[e]));
    }
}

static void add_pred(struct own_order *o, struct piece *p, size_t pred)
{
    for (size_t i = p->first_pred; i < o->n_pred; i++)
        if (o->pred[i] == pred) return;
    *WR_PUSH(o->pred, o->n_pred, o->room_pred) = pred;
    p->n_pred++;
    p->ready_min = fmax(p->ready_min, o->piece[pred].end_min);
}

enum through { THROUGH_LOGGED_WORK, THROUGH_ALL_WORK };

/* by_lane: lanes count, because this work stands for an order that the log cannot show. */
static void add_waits_of(struct own_order *o, const struct rehearsed *known, size_t work, size_t self, bool by_lane,
                         enum through through)
{
    struct piece *p = &o->piece[self];

    for (size_t e = known->pred_first[work]; e < known->pred_first[work + 1]; e++) {
        size_t x = known->pred[e];
        if (known->never_kept[e]) continue;
        if (o->last_of[x] != SIZE_MAX) {
            /* one that was still at work was waited for all the same, if not to its end: there was no idle time */
            if ((known->by_after[e] || by_lane) && o->last_of[x] < self) add_pred(o, p, o->last_of[x]);
        } else if ((known->was_there[x] || through == THROUGH_ALL_WORK) && o->walked[x] != o->n_walk &&
                   o->passed_min[x] <= p->start_min + SAME_MOMENT_MIN) {
            o->walked[x] = o->n_walk;
            o->to_walk[o->n_to_walk++] = x;
        }
    }
}

/* Work that took no time passes on what it waited for. */
static void add_waits(struct own_order *o, const struct rehearsed *known, size_t self, enum through through)
{
    o->n_walk++;
    o->n_to_walk = 0;
    add_waits_of(o, known, o->piece[self].work, self, false, through);
    while (o->n_to_walk) add_waits_of(o, known, o->to_walk[--o->n_to_walk], self, true, through);
}

static void link_piece(struct own_order *o, const struct rehearsed *known, size_t self, size_t *last_in_lane,
                       size_t *last_of_work, enum through through)
{
    struct piece *p = &o->piece[self];

    p->first_pred = o->n_pred;
    p->n_pred = 0;
    p->ready_min = p->not_before_min;
    for (uint32_t left = p->lanes; left; left &= left - 1) {
        size_t last = last_in_lane[__builtin_ctz(left)];
        if (last != SIZE_MAX) add_pred(o, p, last);
    }
    if (!p->opens) add_pred(o, p, last_of_work[p->work]);
    if (p->opens) add_waits(o, known, self, THROUGH_LOGGED_WORK);
    p->logged_ready_min = p->ready_min;
    if (p->opens && through == THROUGH_ALL_WORK) add_waits(o, known, self, THROUGH_ALL_WORK);
    for (uint32_t left = p->lanes; left; left &= left - 1) {
        size_t *last = &last_in_lane[__builtin_ctz(left)];
        if (*last == SIZE_MAX || o->piece[*last].end_min <= p->end_min) *last = self;
    }
    if (p->opens || o->piece[last_of_work[p->work]].end_min <= p->end_min) last_of_work[p->work] = self;
}

/* Most plans have no such work, and their pieces need not be walked twice. */
static enum through work_to_walk(const struct rehearsed *known)
{
    for (size_t i = 0; i < known->n_order; i++)
        if (!known->was_there[known->order[i]]) return THROUGH_ALL_WORK;
    return THROUGH_LOGGED_WORK;
}

void own_order_link(struct own_order *o, const struct rehearsed *known)
{
    const enum through through = work_to_walk(known);
    size_t last_in_lane[32], *last_of_work = WR_NEW_ARRAY(size_t, known->n_work);

    for (size_t l = 0; l < 32; l++) last_in_lane[l] = SIZE_MAX;
    o->n_pred = 0;
    pass_on(o, known);
    for (size_t i = 0; i < o->n_piece; i++) link_piece(o, known, i, last_in_lane, last_of_work, through);
    wr_free(last_of_work);
}

/* ---- replay ---- */

double own_order_replay(struct own_order *o, enum own_holds holds)
{
    double finish = 0;

    if (o->room_replay < o->n_piece) {
        o->room_replay = o->room_piece;
        o->start_min = wr_realloc(o->start_min, o->room_replay, sizeof *o->start_min);
        o->end_min = wr_realloc(o->end_min, o->room_replay, sizeof *o->end_min);
    }
    for (size_t i = 0; i < o->n_piece; i++) {
        const struct piece *p = &o->piece[i];
        double ready = p->not_before_min, length = p->end_min - p->start_min;
        for (size_t j = 0; j < p->n_pred; j++) ready = fmax(ready, o->end_min[o->pred[p->first_pred + j]]);
        o->start_min[i] = ready;
        if (holds == OWN_WITHOUT_HOLDS) length -= p->hold_min;
        /* one that began while its lane was still at work keeps its head start */
        o->end_min[i] = fmax(0, ready + p->start_min - p->ready_min) + length;
        finish = fmax(finish, o->end_min[i]);
    }
    return finish;
}
