/* A day's way in pieces along each of which the start rises or falls: for plans in which work is dropped on the way to
 * a task, and clocks that may run back. */
#pragma once

#include "given_start.h"

/* Pieces are looked for within this many standard deviations, at steps short enough that a task is not dropped and
 * taken back within one. */
#define WR_PIECES_REACH 7.0
#define WR_PIECES_STEP 1.0

enum { WR_N_PIECE = (int)(2 * WR_PIECES_REACH / WR_PIECES_STEP) }; /* of a day before any is cut */

struct wr_piece { /* of one day's way: rising as long as the same work is dropped at both ends */
    size_t trial;
    double from, to, start_from, start_to;
    bool whole;   /* false: the work that is dropped differs; still to be cut where it changes */
    size_t next;  /* 0: as it is; else it has been cut, and index + 1 of the first of the two pieces that stand for
                     it */
};

struct wr_some_days;

/* Lays out the pieces of some days, from given->piece_first[day] on, and cuts those in which the start may be s while
 * the work that is dropped changes within. */
void wr_pieces_make(struct wr_given *given, double s, const struct wr_some_days *some);
