#include "wetrun/stats/learning.h"

#include <gsl/gsl_cdf.h>
#include <math.h>
#include "wetrun/stats/special.h"
#include "wetrun/stats/summary.h"

enum wr_status wr_line_fit(const double *x, const double *y, size_t n, struct wr_line *line, struct wr_error *err)
{
    for (size_t i = 0; i < n; i++)
        if (!isfinite(x[i]) || !isfinite(y[i])) return wr_fail(err, WR_E_DOMAIN, "point %zu is not finite", i + 1);
    if (n < 3)
        return wr_fail(err, WR_E_TOO_FEW, "a line through %zu point%s leaves nothing to judge it by", n,
                       n == 1 ? "" : "s");

    struct wr_summary sx = wr_summarise(x, n), sy = wr_summarise(y, n);
    double xx = 0, xy = 0, rest = 0;
    for (size_t i = 0; i < n; i++) {
        xx += (x[i] - sx.mean) * (x[i] - sx.mean);
        xy += (x[i] - sx.mean) * (y[i] - sy.mean);
    }
    if (!(sx.most > sx.least)) return wr_fail(err, WR_E_TOO_FEW, "all points lie above one x: no slope");
    double slope = xy / xx;
    for (size_t i = 0; i < n; i++) {
        double off = y[i] - sy.mean - slope * (x[i] - sx.mean);
        rest += off * off;
    }
    double df = (double)n - 2, residual_sd = sqrt(rest / df);
    *line = (struct wr_line){n, sy.mean - slope * sx.mean, slope, residual_sd, residual_sd / sqrt(xx), df};
    return WR_OK;
}

struct wr_interval wr_line_slope_interval(const struct wr_line *line, double level)
{
    double half = wr_t_quantile(0.5 + 0.5 * level, line->df) * line->slope_se;
    return (struct wr_interval){true, line->slope - half, line->slope + half};
}

struct wr_maybe wr_line_slope_p(const struct wr_line *line)
{
    if (!(line->slope_se > 0)) return WR_UNKNOWN;
    return wr_known(2 * gsl_cdf_tdist_Q(fabs(line->slope) / line->slope_se, line->df));
}

double wr_learning_rate(double slope)
{
    return exp2(slope);
}
