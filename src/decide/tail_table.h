/* Upper tail of the standard normal for inner loops: log(1 - Phi(x)), its slope (minus the hazard), x for a given log
 * tail, and the normal above a bound. Between the nodes by cubic Hermite polynomials, error of the former below 1e-9,
 * of the latter below 2e-5; beyond them the exact functions answer. */
#pragma once

enum { WR_TAIL_LOW = -10, WR_TAIL_HIGH = 14, WR_TAIL_PER_UNIT = 64,
       WR_TAIL_NODES = (WR_TAIL_HIGH - WR_TAIL_LOW) * WR_TAIL_PER_UNIT + 1,
       WR_TAIL_INVERSE_NODES = WR_TAIL_HIGH * WR_TAIL_PER_UNIT + 1,
       WR_ABOVE_REACH = 8, WR_ABOVE_FREE = 2, WR_ABOVE_PER_UNIT = 4,
       WR_ABOVE_CELLS = 2 * WR_ABOVE_REACH * WR_ABOVE_PER_UNIT };
struct wr_tail_table {
    double log_tail[WR_TAIL_NODES], hazard[WR_TAIL_NODES];
    double above[WR_TAIL_INVERSE_NODES], above_slope[WR_TAIL_INVERSE_NODES]; /* x by the root of -2 log tail; [0] is not
                                                                                used */
    double excess[WR_ABOVE_CELLS][WR_ABOVE_CELLS][16]; /* of the normal above a bound over the bound, by bound and free
                                                          normal: of powers 0 to 3 of the place in a cell */
};

void wr_tail_build(struct wr_tail_table *table);
double wr_tail_log(const struct wr_tail_table *table, double x);

/* Standard normal above `least`, as a function of a free standard normal v: 1 - Phi(z) = (1 - Phi(v))(1 - Phi(least)).
 * by_v and by_least: derivatives. */
double wr_tail_above(const struct wr_tail_table *table, double v, double least, double *by_v, double *by_least);
