#include "judged_law.h"

#include <math.h>
#include <stdbool.h>
#include <stddef.h>
#include "wetrun/stats/special.h"

/* One judgement in ten is taken to be off by an error of its own, of the size that the judging of people is tried with
 * (WR_JUDGED_SHORT, model/durations.h). Judgement, not measured. */
static const double ERRS = 0.1, OWN_ERROR_LOG = 0.2;
/* What still runs has no such error: where it says never, nothing is forecast (wr_now_stretch). */
static const double OUTSIDE_WEIGHT = 1e-6;

void wr_judged_law_make(struct wr_judged_law *law, const struct wr_source *source)
{
    const struct wr_three_point p = wr_source_judgement(source);
    double low = log(fmax(p.low_min, 1e-3 * p.high_min));

    wr_three_point_log_moments(&p, &law->centre, &law->spread);
    law->first = low - law->centre;
    law->step = (log(p.high_min) - low) / (WR_JUDGED_NODES - 1);
    for (int i = 0; i < WR_JUDGED_NODES; i++) law->cdf[i] = wr_three_point_cdf(&p, exp(low + i * law->step));
}

/* Place among the nodes; false outside the bounds. */
static bool node_below(const struct wr_judged_law *law, double y, size_t *i, double *part)
{
    double place = (y - law->first) / law->step;

    if (!(place > 0) || place >= WR_JUDGED_NODES - 1) return false;
    *i = (size_t)place;
    *part = place - (double)*i;
    return true;
}

/* Mean density of the cell before and after, as far as they go: straight between the middles of cells. */
static double density(const struct wr_judged_law *law, size_t i, double part)
{
    double here = law->cdf[i + 1] - law->cdf[i];
    size_t other = part < 0.5 ? i - (i > 0) : i + (i + 2 < WR_JUDGED_NODES);
    double there = law->cdf[other + 1] - law->cdf[other], share = fabs(part - 0.5);

    return ((1 - share) * here + share * there) / law->step;
}

double wr_judged_log_density(const struct wr_judged_law *law, double y)
{
    double off = ERRS * exp(wr_log_normal_pdf(y, hypot(law->spread, OWN_ERROR_LOG))), part;
    size_t i;

    return log(fmax((node_below(law, y, &i, &part) ? (1 - ERRS) * density(law, i, part) : 0) + off, 1e-300));
}

double wr_judged_log_tail(const struct wr_judged_law *law, double y)
{
    double outside = OUTSIDE_WEIGHT * exp(wr_log_normal_cdf(-y / law->spread)), part, below = y > 0;
    size_t i;

    if (node_below(law, y, &i, &part)) below = law->cdf[i] + part * (law->cdf[i + 1] - law->cdf[i]);
    return log(fmax(1 - below + outside, 1e-300));
}
