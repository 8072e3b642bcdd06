/* The order in which one run was really done, from its own log: the pieces of its work, what each of them waited for,
 * and the replay through that order.
 *
 * A piece waits for what its lanes did before it, for the earlier piece of its own work, and, if it opens its work, for
 * what `after` names and, through work that took no time, for what that waited for: a row that says it was skipped and
 * no row at all are the same day. What began later it cannot have waited for. The plan's row order says nothing here:
 * the lanes' order is the log's. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include "rehearsed.h"

#define SAME_MOMENT_MIN (0.5 / 60) /* clocks are read to the second */

struct piece {
    size_t work, step;      /* step: index into the log */
    uint32_t lanes;         /* 0: not known */
    double start_min, end_min, hold_min;
    bool opens;             /* the first of its work */
    double not_before_min;  /* 0: none, or not kept */
    size_t next;            /* of its work, SIZE_MAX: none */
    double reach_min;       /* the latest end of the pieces up to this one */
    double ready_min;       /* by own_order_link: when it could have begun */
    double logged_ready_min; /* the same without what it waited for by way of work that no run has a row of, which may
                                have come to the plan later */
    size_t first_pred, n_pred;
};

struct own_order { /* start as {0}; used for one run after the other */
    struct piece *piece; size_t n_piece, room_piece; /* by start */
    size_t *pred; size_t n_pred, room_pred;          /* pieces */
    size_t *first_of;        /* [n_work] its first piece, SIZE_MAX: it took no time */
    size_t *last_of;         /* [n_work] the piece with the latest end, SIZE_MAX likewise */
    double *passed_min;      /* [n_work] work that took no time: when what it waited for had ended */
    /* filled by the caller */
    double *doubt_until_min; /* [n_work] up to here may last what is missing; 0: nothing is */
    double *doubt_passed_min; /* [n_work] work that took no time: the same of all that it waits for */
    size_t *walked, n_walk;  /* [n_work] in which walk it was met */
    size_t *to_walk, n_to_walk; /* [n_work] */
    double *start_min, *end_min; /* [n_piece] of the replay; start: the moment at which it could begin */
    size_t room_replay;
};

void own_order_init(struct own_order *o, size_t n_work);
void own_order_clear(struct own_order *o);
/* One more piece, of which work, step, lanes and times are to be filled in. */
struct piece *own_order_add(struct own_order *o);
/* Sorts the pieces that were put in, if they are not in order, marks which one opens its work, and fills first_of and
 * last_of. */
void own_order_sort(struct own_order *o, size_t n_work);
/* The first piece, up to this one, that may not have ended by that moment. */
size_t own_order_from(const struct own_order *o, size_t self, double min);
void own_order_link(struct own_order *o, const struct rehearsed *known);
enum own_holds { OWN_WITH_HOLDS, OWN_WITHOUT_HOLDS };
double own_order_replay(struct own_order *o, enum own_holds holds); /* finish */
static inline double own_order_idle(const struct piece *p)
{
    double d = p->start_min - p->ready_min;

    return d > 1e-7 ? d : 0.0; /* without the dust that differences of clock readings leave */
}
void own_order_release(struct own_order *o);
