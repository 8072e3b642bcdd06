/* moves.csv: what a planner allows to be changed in the timeline, one row per change.
 *
 *   move      task   to
 *   exchange  A      B        A and B change places in the order of rows
 *   before    A      B        A is begun before B: its row goes just above that of B
 *   crew      A      EV2      A is done by another lane, or by several (EV1+EV2)
 *   drop      A               A is left out
 *   shorten   A      0.6      A takes 0.6 of its time: part of it is left out
 */
#pragma once

#include <stddef.h>
#include <stdint.h>
#include "wetrun/base/error.h"
#include "wetrun/campaign/findings.h"
#include "wetrun/campaign/limits.h"
#include "wetrun/campaign/plan.h"

#define WR_MOVE_TABLE(ROW)       \
    ROW(EXCHANGE, "exchange")    \
    ROW(BEFORE, "before")        \
    ROW(CREW, "crew")            \
    ROW(DROP, "drop")            \
    ROW(SHORTEN, "shorten")

enum wr_move_kind {
#define ROW(id, text) WR_MOVE_##id,
    WR_MOVE_TABLE(ROW)
#undef ROW
    WR_N_MOVE_KIND
};
const char *wr_move_word(enum wr_move_kind kind);

struct wr_move {
    enum wr_move_kind kind;
    size_t task;
    size_t other;          /* EXCHANGE, BEFORE */
    uint32_t lanes;        /* CREW */
    double factor;         /* SHORTEN, in (0, 1) */
    size_t line;           /* of moves.csv; 0: a general permission */
};

struct wr_moves { /* start as {0} */
    const struct wr_limits *limits; /* borrowed, set before reading: what its clocks begin or end with is not dropped */
    struct wr_move *move; size_t n_move, room;
};

/* Every error (an unknown move, task or lane, a task with itself, a factor outside (0, 1), a move twice) becomes a
 * finding; WR_E_INPUT if there was any, with the first in *err. */
WR_MUST_CHECK enum wr_status wr_moves_read_bytes(struct wr_moves *moves, const char *name, const char *bytes, size_t n,
                                                 const struct wr_plan *plan, struct wr_findings *findings,
                                                 struct wr_error *err);

/* What a general permission of this kind stands for; a move that is there already is not added again:
 *   EXCHANGE  every two tasks of one same lane that follow each other in it
 *
 *   BEFORE    every task of one lane before every other of that lane back to its last joint task
 *
 *   CREW      every task of one lane given to every other lane
 *
 *   DROP      every task that has drop_after: get-ahead work
 *
 *   SHORTEN   the same to half their time
 * Order that the plan does not say with `after` counts as free: what comes out has to be looked at by somebody who
 * knows the work. */
void wr_moves_allow(struct wr_moves *moves, enum wr_move_kind kind, const struct wr_plan *plan);
void wr_moves_release(struct wr_moves *moves);
