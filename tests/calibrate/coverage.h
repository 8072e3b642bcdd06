/* How often the forecast is right, against a known truth: one campaign at a time, then a setting. */
#pragma once
#include <stddef.h>
#include <stdint.h>
#include "made_campaign.h"

enum { COVERAGE_TRUTHS = 20000 }; /* simulated runs that stand for the true law */

enum coverage_measure {
    COVER_80,          /* true probability of the 80 % interval for the next finish */
    COVER_95,
    OVER_95,           /* true probability of passing the limit that is called 95 % safe */
    COVER_P_20,        /* 1 if the 90 % interval on the overrun probability holds the true 20 % */
    COVER_P_5,         /* the same where 5 % is true */
    COVER_TASK_80,     /* true probability of a task's 80 % interval, mean over tasks */
    WIDTH_80,          /* width of the 80 % interval over that of the true law */
    USUAL_80, USUAL_95, USUAL_OVER_95, USUAL_TASK_80, /* the same for each task fitted alone */
    COVERAGE_MEASURES
};

struct coverage { double mean[COVERAGE_MEASURES], error[COVERAGE_MEASURES]; size_t n_chains_disagree; };

/* n_campaign campaigns, a third each with two fixed pairs, two people who change lanes, and any two of four. */
void coverage_of_setting(struct coverage *c, const struct made_setting *setting, size_t n_campaign, uint64_t seed,
                         unsigned n_thread);
