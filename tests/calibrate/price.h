/* What runs-needed said of further rehearsals, against really holding them: invented campaigns of which the first
 * rehearsals are priced and the others then added. */
#pragma once
#include <stddef.h>
#include <stdint.h>
#include "made_campaign.h"

enum { PRICE_FURTHER = 3 }; /* 1, 2, 4 further rehearsals */

struct price_row { /* means over campaigns; errors are standard errors over campaigns */
    size_t further;
    double width_said, width_really, width_difference, width_error;
    double clear_said, clear_really, clear_difference, clear_error; /* chance of a clear answer, share that had one */
};
struct price_study { double width_now; struct price_row row[PRICE_FURTHER]; };

/* setting->n_run rehearsals are priced. The limit is what the forecast from them passes in one case of five, the wanted
 * confidence 0.9; the run that is judged stays the one after them. */
void price_of_setting(struct price_study *study, const struct made_setting *setting, size_t n_campaign, uint64_t seed,
                      unsigned n_thread);
