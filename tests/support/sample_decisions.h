/* Decisions on the invented campaign of sample_results.h: pads, cut-offs, an update during the day, alternatives.
 * Plausible values of every kind, reasons without numbers included; they were not computed by the program. */
#pragma once

#include "sample_results.h"
#include "wetrun/decide/cutoff.h"
#include "wetrun/decide/pad.h"
#include "wetrun/decide/update.h"
#include "wetrun/decide/whatif.h"

struct sample_decisions { /* start as {0}; borrows the sample's memory: release nothing but the sample */
    struct wr_pad pad;
    struct wr_cutoff_card card;
    struct wr_probability over[3]; /* of its limits, before the day */
    struct wr_update update; /* its card is `card` again */
    struct wr_whatif whatif;
    struct wr_drop_price price[2]; size_t n_price;
    const char *limit_name[3], *variant_name[3];
};
void sample_decide(struct sample_decisions *d, struct sample *s);
