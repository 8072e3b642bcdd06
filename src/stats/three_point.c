#include "wetrun/stats/three_point.h"

#include <gsl/gsl_cdf.h>
#include <math.h>
#include <stdbool.h>
#include "wetrun/stats/special.h"

enum wr_status wr_three_point_check(const struct wr_three_point *p, struct wr_error *err)
{
    if (!isfinite(p->low_min) || !isfinite(p->likely_min) || !isfinite(p->high_min))
        return wr_fail(err, WR_E_DOMAIN, "three points that are not finite");
    if (p->low_min < 0 || p->likely_min < p->low_min || p->high_min < p->likely_min)
        return wr_fail(err, WR_E_DOMAIN, "three points %g, %g, %g are not in order from 0 up", p->low_min,
                       p->likely_min, p->high_min);
    return WR_OK;
}

static double range(const struct wr_three_point *p)
{
    return p->high_min - p->low_min;
}

static bool is_pert(const struct wr_three_point *p)
{
    return p->reading == WR_THREE_POINT_PERT;
}

void wr_three_point_beta_shapes(const struct wr_three_point *p, double *alpha, double *beta)
{
    WR_BUG_IF(!(range(p) > 0));
    *alpha = 1 + 4 * (p->likely_min - p->low_min) / range(p);
    *beta = 1 + 4 * (p->high_min - p->likely_min) / range(p);
}

double wr_three_point_mean_min(const struct wr_three_point *p)
{
    double weight = is_pert(p) ? 4 : 1;
    return (p->low_min + weight * p->likely_min + p->high_min) / (2 + weight);
}

double wr_three_point_sd_min(const struct wr_three_point *p)
{
    double alpha, beta, left = p->likely_min - p->low_min, right = p->high_min - p->likely_min;

    if (!(range(p) > 0)) return 0;
    if (!is_pert(p)) return sqrt((left * left + left * right + right * right) / 18);
    wr_three_point_beta_shapes(p, &alpha, &beta);
    return range(p) * sqrt(alpha * beta / 7) / 6; /* alpha + beta = 6 */
}

double wr_three_point_cdf(const struct wr_three_point *p, double t_min)
{
    double alpha, beta, left = p->likely_min - p->low_min, right = p->high_min - p->likely_min;

    if (t_min >= p->high_min) return 1;
    if (t_min <= p->low_min) return 0;
    if (is_pert(p)) {
        wr_three_point_beta_shapes(p, &alpha, &beta);
        return gsl_cdf_beta_P((t_min - p->low_min) / range(p), alpha, beta);
    }
    if (t_min <= p->likely_min) return (t_min - p->low_min) * (t_min - p->low_min) / (range(p) * left);
    return 1 - (p->high_min - t_min) * (p->high_min - t_min) / (range(p) * right);
}

double wr_three_point_quantile_min(const struct wr_three_point *p, double prob)
{
    double alpha, beta, left = p->likely_min - p->low_min, right = p->high_min - p->likely_min;

    WR_BUG_IF(!(prob >= 0 && prob <= 1));
    if (!(range(p) > 0)) return p->low_min;
    if (is_pert(p) && prob > 0 && prob < 1) {
        wr_three_point_beta_shapes(p, &alpha, &beta);
        return p->low_min + range(p) * wr_beta_quantile(prob, alpha, beta);
    }
    if (prob * range(p) <= left) return p->low_min + sqrt(prob * range(p) * left);
    return p->high_min - sqrt((1 - prob) * range(p) * right);
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
