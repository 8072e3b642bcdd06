/* Upper tail of the standard normal for inner loops: log(1 - Phi(x)), its slope (minus the hazard), and x for a given
 * log tail. Between the nodes by cubic Hermite polynomials, error below 1e-9; beyond them the exact functions
 * answer. */
#ifndef WETRUN_DECIDE_TAIL_TABLE_H
#define WETRUN_DECIDE_TAIL_TABLE_H

enum { WR_TAIL_LOW = -10, WR_TAIL_HIGH = 14, WR_TAIL_PER_UNIT = 64,
       WR_TAIL_NODES = (WR_TAIL_HIGH - WR_TAIL_LOW) * WR_TAIL_PER_UNIT + 1,
       WR_TAIL_INVERSE_NODES = WR_TAIL_HIGH * WR_TAIL_PER_UNIT + 1 };
struct wr_tail_table {
    double log_tail[WR_TAIL_NODES], hazard[WR_TAIL_NODES];
    double above[WR_TAIL_INVERSE_NODES], above_slope[WR_TAIL_INVERSE_NODES]; /* x by the root of -2 log tail; [0] is not
                                                                                used */
};

void wr_tail_build(struct wr_tail_table *table);
double wr_tail_log(const struct wr_tail_table *table, double x);
double wr_tail_hazard(const struct wr_tail_table *table, double x);

/* Standard normal above `least`, as a function of a free standard normal v: 1 - Phi(z) = (1 - Phi(v))(1 - Phi(least)).
 * by_v and by_least: derivatives. */
double wr_tail_above(const struct wr_tail_table *table, double v, double least, double *by_v, double *by_least);

#endif
