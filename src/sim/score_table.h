/* The quantile function of a judged duration as a function of its normal score: minutes(z) = Q(Phi(z)), tabulated.
 * A smooth function on an even grid, so linear interpolation is good to about 1e-5 of the spread, in the tails too. */
#pragma once

#include "wetrun/model/source.h"

enum { WR_SCORE_STEPS = 64, WR_SCORE_REACH = 7, WR_SCORE_CELLS = 2 * WR_SCORE_STEPS * WR_SCORE_REACH };

struct wr_score_table { /* cell i spans z = i / STEPS - REACH … one step on; minutes = at[i] + rise[i] * (share of the
                           cell) */
    float at[WR_SCORE_CELLS + 1], rise[WR_SCORE_CELLS + 1];
};

void wr_score_table_of(struct wr_score_table *table, const struct wr_source *source); /* WR_FORM_BENT */
double wr_score_table_minutes(const struct wr_score_table *table, double score);
