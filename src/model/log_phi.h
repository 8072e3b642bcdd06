/* log Phi(z), the log of the standard normal distribution function, for the inner loop of the sampler.
 * A table of local polynomials interpolates gsl_sf_log_erfc where nearly all arguments fall; outside it GSL answers.
 * Error at most 1e-12 of max(1, |log Phi|), held by the tests. Built by the caller once, then only read: no globals. */
#pragma once

enum { WR_LOG_PHI_LOW = -16, WR_LOG_PHI_HIGH = 8, WR_LOG_PHI_PER_UNIT = 16, WR_LOG_PHI_TERMS = 6,
       WR_LOG_PHI_PIECES = (WR_LOG_PHI_HIGH - WR_LOG_PHI_LOW) * WR_LOG_PHI_PER_UNIT };

struct wr_log_phi {
    double coef[WR_LOG_PHI_PIECES][WR_LOG_PHI_TERMS]; /* of powers of the offset from the middle, in pieces */
};

void wr_log_phi_build(struct wr_log_phi *table);
double wr_log_phi_exact(double z); /* by GSL: stable in both tails, slow */

/* The table answers. */
static inline int wr_log_phi_has(double z)
{
    double at = (z - WR_LOG_PHI_LOW) * WR_LOG_PHI_PER_UNIT;

    return at >= 0 && at < WR_LOG_PHI_PIECES;
}

static inline double wr_log_phi(const struct wr_log_phi *table, double z)
{
    double at = (z - WR_LOG_PHI_LOW) * WR_LOG_PHI_PER_UNIT;

    if (!wr_log_phi_has(z)) return wr_log_phi_exact(z);
    int piece = (int)at;
    const double *c = table->coef[piece], x = at - piece - 0.5, x2 = x * x;
    return ((c[0] + c[1] * x) + (c[2] + c[3] * x) * x2) + (c[4] + c[5] * x) * (x2 * x2);
}
