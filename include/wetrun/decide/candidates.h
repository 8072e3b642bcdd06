/* A look at each task's own times: plain maximum-likelihood fits (stats/censored_fit.h) of every family to the active
 * minutes of the runs that are modelled (model/durations.h), stopped steps as lower bounds; how well each describes
 * them by stats/goodness.h. Not what the forecast rests on: with a handful of runs the best-looking family says
 * little. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include "wetrun/stats/censored_fit.h"
#include "wetrun/timing/timing.h"

struct wr_candidate {
    enum wr_family family;
    bool fitted;                     /* false: no candidate, why says the reason */
    struct wr_fit fit;
    struct wr_maybe anderson_darling; /* unknown if some times are stopped */
    struct wr_maybe p_value;         /* parametric bootstrap, fitted again in every resample; unknown as above or
                                        without */
    char why[160];
};

struct wr_candidates { /* start as {0} */
    size_t n_task;
    struct wr_candidate *candidate; /* [task * WR_N_FAMILY + i], best AICc first, those without a fit last */
};

struct wr_candidate_options {
    size_t n_resample; /* 0: no p-values */
    uint64_t seed;
    unsigned n_thread;
};

void wr_candidates_fit(struct wr_candidates *c, const struct wr_timing *timing,
                       const struct wr_candidate_options *options);
void wr_candidates_release(struct wr_candidates *c);
