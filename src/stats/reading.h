/* What a reading of three points answers; all for low < high. */
#pragma once

#include "wetrun/stats/three_point.h"

struct wr_reading {
    double (*mean_min)(const struct wr_three_point *p);
    double (*sd_min)(const struct wr_three_point *p);
    double (*cdf)(const struct wr_three_point *p, double t_min);           /* low < t < high */
    double (*quantile_min)(const struct wr_three_point *p, double prob);   /* 0 < prob < 1 */
    void (*at_scores)(const struct wr_three_point *p, int n, double step, double *minutes); /* three_point.h */
};
#define WR_READING_ROW(id, name) extern const struct wr_reading wr_reading_##name;
WR_READING_TABLE(WR_READING_ROW)
#undef WR_READING_ROW

static inline double wr_three_point_range(const struct wr_three_point *p)
{
    return p->high_min - p->low_min;
}
