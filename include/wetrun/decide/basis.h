/* What decisions rest on: the campaign, the model fitted to it and what its simulated days draw from. Borrowed and
 * read-only; a rehearsal held out or a fit made again is another basis, a copy with some members replaced. */
#pragma once

#include <stddef.h>
#include "wetrun/model/durations.h"
#include "wetrun/network/network.h"
#include "wetrun/sim/forecast.h"
#include "wetrun/timing/timing.h"

struct wr_basis { /* each decision says which members it reads where it does not read them all */
    const struct wr_plan *plan;
    const struct wr_network *net;
    const struct wr_timing *timing;
    const struct wr_fit_options *fit_options;
    const struct wr_model_fit *fit;           /* made with fit_options */
    const struct wr_carry_over *carry_over;   /* NULL: none */
    const struct wr_durations *durations;     /* of the above */
    const struct wr_sim_limit *limit; size_t n_limit; /* the excursion limit first */
};
