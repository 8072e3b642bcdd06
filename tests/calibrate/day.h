/* Updates during the day against an independent truth: a campaign with known parameters is rehearsed and fitted, its
 * next run is reported up to 30, 60 and 80 % of its length, and what is then said of a limit is held against the
 * probability that the true parameters give after the same report, and against what happened. */
#pragma once
#include <stddef.h>
#include <stdint.h>
#include "made_campaign.h"

enum { DAY_MOMENTS = 3, DAY_CLASSES = 5, DAY_LIMITS = 3 };
extern const double day_moment[DAY_MOMENTS];

/* Which limits: the 80 % point of the true law of the next run, which nobody who forecasts knows; or of the forecast
 * made before the day; or the forecast's 50, 80 and 90 % points. */
enum day_limit { DAY_LIMIT_OF_TRUTH, DAY_LIMIT_OF_FORECAST, DAY_LIMITS_OF_FORECAST };

struct day_row {              /* one moment; shares of the days that were still under way and undecided, by limit */
    size_t n;
    double covers, covers_error; /* 90 % interval holds the true probability */
    double one_point, apart;  /* interval is a single point; does not hold the stated probability */
    double brier, brier_truth, brier_before;
};
struct day_class {            /* stated probability from i / DAY_CLASSES on, all moments and limits */
    size_t n;
    double stated, truth, happened, happened_error, truth_error; /* the last: of the middle alone */
};
struct day_study {
    struct day_row row[DAY_MOMENTS];
    struct day_class class[DAY_CLASSES];
    struct day_class middle;  /* stated from 0.2 to 0.9; its error is over campaigns: reports of one day share how it
                                 ended */
};
void day_study_of_setting(struct day_study *study, const struct made_setting *setting, enum day_limit which,
                          size_t n_campaign, uint64_t seed, unsigned n_thread);
