/* The law of the log of a judged task's minutes on an ordinary day, tabulated: what a report of its time says about the
 * day. Bounds that were judged are not believed to the last: what ended beyond them is first of all a judgement that
 * was off, not a slow day. Private to the room. */
#pragma once

#include "wetrun/model/source.h"

enum { WR_JUDGED_NODES = 512 };

struct wr_judged_law {
    double centre, spread;     /* mean and sd of log minutes */
    double first, step;        /* log minutes less centre at the nodes: first + i * step, from the low to the high
                                  bound */
    double cdf[WR_JUDGED_NODES];
};
void wr_judged_law_make(struct wr_judged_law *law, const struct wr_source *source); /* WR_FORM_BENT */
double wr_judged_log_density(const struct wr_judged_law *law, double log_less_centre);
double wr_judged_log_tail(const struct wr_judged_law *law, double log_less_centre); /* log P(more) */
