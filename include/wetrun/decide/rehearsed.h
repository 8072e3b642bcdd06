/* How the rehearsed finishes themselves stand against a limit: counted, without a model. Runs
 * of which nothing but minutes is logged have none. */
#pragma once

#include "wetrun/timing/timing.h"

struct wr_rehearsed {
    size_t n_complete, n_over;   /* complete rehearsals; those of them that took longer than the limit */
    double least_min, most_min;  /* of the complete ones, holds left out */
    size_t n_past_rule;          /* complete ones that did work which the plan drops on such a day */
    size_t n_over_by_rules;      /* complete ones over the limit, had all of them dropped it */
    double least_by_rules_min, most_by_rules_min;
    size_t n_incomplete, n_incomplete_over; /* over all the same, such work dropped */
};
struct wr_rehearsed wr_rehearsed_against(const struct wr_timing *timing, double limit_min);
