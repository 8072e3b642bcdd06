#include "wetrun/stats/learning.h"

#include <gsl/gsl_cdf.h>
#include <math.h>
#include "wetrun/base/memory.h"
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
    *line = (struct wr_line){n, sy.mean - slope * sx.mean, slope, residual_sd, residual_sd / sqrt(xx), df, sx.mean, xx};
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

double wr_line_at(const struct wr_line *line, double x)
{
    return line->intercept + line->slope * x;
}

struct wr_interval wr_line_next_interval(const struct wr_line *line, double x, double level)
{
    double away = x - line->x_mean, spread = sqrt(1 + 1 / (double)line->n + away * away / line->x_square);
    double half = wr_t_quantile(0.5 + 0.5 * level, line->df) * line->residual_sd * spread, at = wr_line_at(line, x);
    return (struct wr_interval){true, at - half, at + half};
}

enum wr_status wr_learning_fit(const double *minutes, const double *order, size_t n, struct wr_line *line,
                               struct wr_error *err)
{
    double *room = WR_NEW_ARRAY(double, 2 * n), *x = room, *y = room + n;
    enum wr_status status = WR_OK;

    for (size_t i = 0; i < n && status == WR_OK; i++) {
        if (!(minutes[i] > 0) || !(order[i] > 0))
            status = wr_fail(err, WR_E_DOMAIN, "repetition %zu: %g minutes at order %g, both must be above 0", i + 1,
                             minutes[i], order[i]);
        x[i] = log(order[i]);
        y[i] = log(minutes[i]);
    }
    if (status == WR_OK) status = wr_line_fit(x, y, n, line, err);
    wr_free(room);
    return status;
}

double wr_learning_median_min(const struct wr_line *line, double order)
{
    return exp(wr_line_at(line, log(order)));
}

struct wr_interval wr_learning_next_interval_min(const struct wr_line *line, double order, double level)
{
    struct wr_interval i = wr_line_next_interval(line, log(order), level);
    return (struct wr_interval){true, exp(i.lo), exp(i.hi)};
}

double wr_learning_rate(double slope)
{
    return exp2(slope);
}

double wr_learning_slope(double rate_per_doubling)
{
    WR_BUG_IF(!(rate_per_doubling > 0));
    return log2(rate_per_doubling);
}
