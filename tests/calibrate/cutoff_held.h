/* Do cut-offs hold? Made campaigns are rehearsed, fitted and given cut-offs; then the true probability of being inside,
 * given that the task begins at its cut-off, is worked out from the true parameters. */
#pragma once
#include <stddef.h>
#include <stdint.h>
#include "made_campaign.h"

struct held_study {
    size_t n_campaign, n_cutoff;
    double true_prob, true_prob_error; /* mean over cut-offs; its standard error over campaigns */
    double below_80;                   /* share of cut-offs whose true probability is below 0.8 */
};
/* The limit is the forecast's 95 % point, the wanted confidence `confidence`. */
void held_study_of_setting(struct held_study *study, const struct made_setting *setting, double confidence,
                           size_t n_campaign, uint64_t seed, unsigned n_thread);
