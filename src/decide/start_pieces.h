/* A day's way in pieces along each of which the start rises or falls: for plans in which work is dropped on the way to
 * a task, and clocks that may run back. */
#pragma once

#include "given_start.h"

/* Pieces are looked for within this many standard deviations. As long as the same work is dropped before a task its
 * start rises, so that there is one piece of a day before any is cut; a clock may run back all the same, and is taken
 * in steps so short that a chord will do. */
#define WR_PIECES_REACH 7.0
#define WR_PIECES_GAP 5e-5 /* between two pieces, at most: no days worth the name are lost in it */

enum { WR_CLOCK_PIECES = 14 };

struct wr_piece { /* of one day's way: rising as long as the same work is dropped at both ends */
    size_t trial;
    double from, to, start_from, start_to;
    bool whole;   /* false: the work that is dropped differs, it is cut where that changes */
    size_t next;  /* 0: as it is; else it has been cut, and index + 1 of the first of the two pieces that stand for
                     it */
};

/* Where a start that rises evenly in its log reaches s between two places, or about there. */
double wr_even_place(double from, double to, double start_from, double start_to, double s);
/* Lays out the pieces of the first n_use days, given->n_first_piece of a day from given->piece_first[day] on, and cuts
 * them where the work that is dropped changes. */
void wr_pieces_make(struct wr_given *given, size_t n_use);
