/* A judgement on a day that is slow or fast for all: minutes = T exp(b), T by its three points, b normal. Private to
 * the room. */
#pragma once

#include <stddef.h>
#include "wetrun/stats/three_point.h"

enum { WR_JUDGED_DAY_POINTS = 512, WR_JUDGED_DAY_SLICES = 40 };

struct wr_judged_day {
    struct wr_three_point points;
    double low_log, high_log;                 /* of T; least[] between them in equal steps */
    double below[WR_JUDGED_DAY_POINTS + 1];   /* chance of T being less */
    double slice[WR_JUDGED_DAY_SLICES];       /* scores of a day, equally likely: means of equal slices of the normal
                                                 law */
};
struct wr_day_law { double mean, sd; };       /* of b */

void wr_judged_day_init(struct wr_judged_day *j, const struct wr_three_point *points); /* low < high */
/* Of the minutes when b follows one of n laws, each as likely as the other: a quantile, and the mean of their power. */
double wr_judged_day_quantile_min(const struct wr_judged_day *j, const struct wr_day_law *law, size_t n, double prob);
double wr_judged_day_mean_min(const struct wr_judged_day *j, const struct wr_day_law *law, size_t n);
double wr_judged_day_sd_min(const struct wr_judged_day *j, const struct wr_day_law *law, size_t n);
