/* The quantile function of a judged duration as a function of its normal score: minutes(z) = Q(Phi(z)), tabulated.
 * A smooth function on an even grid, so linear interpolation is good to about 1e-5 of the spread, in the tails too. */
#ifndef WETRUN_SIM_SCORE_TABLE_H
#define WETRUN_SIM_SCORE_TABLE_H

#include <stdbool.h>
#include "wetrun/model/durations.h"

enum { WR_SCORE_STEPS = 64, WR_SCORE_REACH = 7, WR_SCORE_CELLS = 2 * WR_SCORE_STEPS * WR_SCORE_REACH };

struct wr_score_table { /* cell i spans z = i / STEPS - REACH … one step on; minutes = at[i] + rise[i] * (share of the cell) */
    float at[WR_SCORE_CELLS + 1], rise[WR_SCORE_CELLS + 1];
};

/* low <= mode <= high; low = high is a constant. PERT: beta on [low, high] with shape parameters 1 + 4 (mode - low) / (high - low)
 * and 6 minus that (Malcolm, Roseboom, Clark and Fazar 1959 for the mean (low + 4 mode + high) / 6). */
void wr_score_table_pert(struct wr_score_table *table, double low, double mode, double high);
void wr_score_table_triangular(struct wr_score_table *table, double low, double mode, double high);
/* Of a source that is drawn by its table; false: it is not (fixed, lognormal, from the model). */
bool wr_score_table_of(struct wr_score_table *table, const struct wr_source *source);
double wr_score_table_minutes(const struct wr_score_table *table, double score);

#endif
