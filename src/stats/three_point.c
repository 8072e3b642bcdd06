#include "wetrun/stats/three_point.h"

#include <math.h>
#include "reading.h"

const char *const wr_three_point_names[WR_N_READING + 1] = {
#define WR_READING_NAME(id, name) #name,
    WR_READING_TABLE(WR_READING_NAME)
#undef WR_READING_NAME
};

static const struct wr_reading *reading_of(const struct wr_three_point *p)
{
    static const struct wr_reading *const reading[WR_N_READING] = {
#define WR_READING_OWN(id, name) &wr_reading_##name,
        WR_READING_TABLE(WR_READING_OWN)
#undef WR_READING_OWN
    };
    return reading[p->reading];
}

enum wr_status wr_three_point_check(const struct wr_three_point *p, struct wr_error *err)
{
    if (!isfinite(p->low_min) || !isfinite(p->likely_min) || !isfinite(p->high_min))
        return wr_fail(err, WR_E_DOMAIN, "three points that are not finite");
    if (p->low_min < 0 || p->likely_min < p->low_min || p->high_min < p->likely_min)
        return wr_fail(err, WR_E_DOMAIN, "three points %g, %g, %g are not in order from 0 up", p->low_min,
                       p->likely_min, p->high_min);
    return WR_OK;
}

double wr_three_point_mean_min(const struct wr_three_point *p)
{
    return wr_three_point_range(p) > 0 ? reading_of(p)->mean_min(p) : p->low_min;
}

double wr_three_point_sd_min(const struct wr_three_point *p)
{
    return wr_three_point_range(p) > 0 ? reading_of(p)->sd_min(p) : 0;
}

double wr_three_point_cdf(const struct wr_three_point *p, double t_min)
{
    if (t_min >= p->high_min) return 1;
    return t_min <= p->low_min ? 0 : reading_of(p)->cdf(p, t_min);
}

double wr_three_point_quantile_min(const struct wr_three_point *p, double prob)
{
    WR_BUG_IF(!(prob >= 0 && prob <= 1));
    if (!(wr_three_point_range(p) > 0) || prob == 0) return p->low_min;
    return prob == 1 ? p->high_min : reading_of(p)->quantile_min(p, prob);
}

void wr_three_point_at_scores(const struct wr_three_point *p, int n, double step, double *minutes)
{
    WR_BUG_IF(!(wr_three_point_range(p) > 0));
    reading_of(p)->at_scores(p, n, step, minutes);
}

void wr_three_point_log_moments(const struct wr_three_point *p, double *mean_log, double *sd_log)
{
    enum { N = 256 };
    double sum = 0, squares = 0;

    for (int i = 0; i < N; i++) {
        double y = log(wr_three_point_quantile_min(p, (i + 0.5) / N));
        sum += y;
        squares += y * y;
    }
    *mean_log = sum / N;
    *sd_log = sqrt(fmax(0, squares / N - *mean_log * *mean_log));
}
