/* Updates during the day against an independent truth: a campaign with known parameters is rehearsed and fitted, its next run
 * is reported up to 30, 60 and 80 % of its length, and what is then said of a limit is held against the probability that
 * the true parameters give after the same report, and against what happened. */
#ifndef DAY_H
#define DAY_H
#include <stddef.h>
#include <stdint.h>
#include "made_campaign.h"

enum { DAY_MOMENTS = 3, DAY_CLASSES = 5 };
extern const double day_moment[DAY_MOMENTS];

/* Which limit: the 80 % point of the true law of the next run, which nobody who forecasts knows; or of the forecast made
 * before the day. */
enum day_limit { DAY_LIMIT_OF_TRUTH, DAY_LIMIT_OF_FORECAST };

struct day_row {              /* one moment; shares of the campaigns that were still under way and undecided */
    size_t n;
    double covers, covers_error; /* 90 % interval holds the true probability; 0 where none is worked out (MADE_PRIOR) */
    double one_point, apart;  /* interval is a single point; does not hold the stated probability */
    double brier, brier_truth, brier_before;
};
struct day_class {            /* stated probability from i / DAY_CLASSES on, all moments */
    size_t n;
    double stated, truth, happened, happened_error;
};
struct day_study {
    struct day_row row[DAY_MOMENTS];
    struct day_class class[DAY_CLASSES];
    struct day_class middle;  /* stated from 0.2 to 0.9; its error is over campaigns: reports of one day share how it ended */
};
void day_study_of_setting(struct day_study *study, const struct made_setting *setting, enum day_limit which,
                          size_t n_campaign, uint64_t seed, unsigned n_thread);
#endif
