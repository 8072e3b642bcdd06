/* Earlier campaigns on real days: a campaign of the second half of the records is forecast with priors that campaigns
 * of the first half taught, whoever flew, and without. */
#pragma once
#include "real_days.h"

enum taught_way {
    TAUGHT_NOTHING, TAUGHT_BY_SIX, TAUGHT_BY_ALL,
    TAUGHT_DAYS_ONLY,  /* by all, about the run effect and learning alone */
    TAUGHT_TOTALS,     /* the Student t on run totals, for comparison */
    TAUGHT_WAYS
};
enum { TAUGHT_EARLIER = 24, TAUGHT_RUNS = 6 };
struct taught_study {
    struct real_score mean[TAUGHT_WAYS];
    double log_width[TAUGHT_WAYS], log_width_error[TAUGHT_WAYS]; /* mean log of the 80 % band's width over that
                                                                    without */
    double score_off[TAUGHT_WAYS], score_error[TAUGHT_WAYS];     /* mean score less that without */
};
void taught_study_run(struct taught_study *s, const struct real_days *d, size_t n_campaign, uint64_t seed,
                      unsigned n_thread);
