/* The answer for the excursion beside that for the next rehearsal: the same fit and the same days, carried over by the
 * history of earlier excursions. It answers another question, so no verdict, criterion or cut-off goes by it. */
#pragma once

#include "wetrun/campaign/limits.h"
#include "wetrun/decide/basis.h"
#include "wetrun/decide/beside.h"
#include "wetrun/sim/forecast.h"

struct wr_excursion { /* start as {0} */
    struct wr_fit_options options; /* the basis' for the excursion */
    struct wr_carry_over carry_over;
    struct wr_durations durations;
    struct wr_forecast forecast;   /* to the bit what a forecast for the excursion says */
    struct wr_beside beside[WR_BESIDE_MOST]; size_t n_beside; /* and what it says under other assumptions */
};
/* The basis is one for the next rehearsal. */
WR_MUST_CHECK enum wr_status wr_excursion_make(struct wr_excursion *excursion, const struct wr_history *history,
                                               const struct wr_basis *basis, const struct wr_gap *gap,
                                               const struct wr_sim_options *sim, struct wr_error *err);
void wr_excursion_release(struct wr_excursion *excursion);
