#include "wetrun/stats/log_sample.h"

#include <gsl/gsl_cdf.h>
#include <math.h>
#include "wetrun/base/memory.h"
#include "wetrun/stats/special.h"

enum wr_status wr_log_sample_of(const double *value, size_t n, struct wr_log_sample *sample, struct wr_error *err)
{
    if (!n) return wr_fail(err, WR_E_TOO_FEW, "no values");
    for (size_t i = 0; i < n; i++)
        if (!isfinite(value[i]) || !(value[i] > 0))
            return wr_fail(err, WR_E_DOMAIN, "value %zu is %g: not above 0 and finite", i + 1, value[i]);

    double *log_value = WR_NEW_ARRAY(double, n);
    for (size_t i = 0; i < n; i++) log_value[i] = log(value[i]);
    sample->log = wr_summarise(log_value, n);
    wr_free(log_value);
    return WR_OK;
}

double wr_geometric_mean(const struct wr_log_sample *s)
{
    return exp(s->log.mean);
}

static struct wr_interval from_logs(struct wr_interval i)
{
    return i.known ? (struct wr_interval){true, exp(i.lo), exp(i.hi)} : i;
}

struct wr_interval wr_geometric_mean_interval(const struct wr_log_sample *s, double level)
{
    return from_logs(wr_mean_interval(&s->log, level));
}

struct wr_interval wr_log_next_interval(const struct wr_log_sample *s, double level)
{
    return from_logs(wr_next_interval(&s->log, level));
}

static bool has_spread(const struct wr_log_sample *s)
{
    return s->log.sd.known && s->log.sd.value > 0;
}

static double predictive_sd(const struct wr_log_sample *s)
{
    return s->log.sd.value * sqrt(1 + 1 / (double)s->log.n);
}

struct wr_maybe wr_log_predictive_quantile(const struct wr_log_sample *s, double prob)
{
    if (!has_spread(s)) return WR_UNKNOWN;
    return wr_known(exp(s->log.mean + wr_t_quantile(prob, (double)s->log.n - 1) * predictive_sd(s)));
}

struct wr_maybe wr_log_predictive_over(const struct wr_log_sample *s, double limit)
{
    WR_BUG_IF(!(limit > 0));
    if (!has_spread(s)) return WR_UNKNOWN;
    return wr_known(gsl_cdf_tdist_Q((log(limit) - s->log.mean) / predictive_sd(s), (double)s->log.n - 1));
}

/* The noncentrality at which P(T <= t) = prob; P falls as the noncentrality grows. */
static double noncentrality_where(double t, double df, double prob)
{
    double lo = t - 1, hi = t + 1;

    while (wr_noncentral_t_cdf(t, df, lo) < prob) lo -= 2 * (hi - lo);
    while (wr_noncentral_t_cdf(t, df, hi) > prob) hi += 2 * (hi - lo);
    while (hi - lo > 1e-11 * (1 + fabs(lo) + fabs(hi))) {
        double mid = 0.5 * (lo + hi);
        if (wr_noncentral_t_cdf(t, df, mid) > prob) lo = mid;
        else hi = mid;
    }
    return 0.5 * (lo + hi);
}

struct wr_interval wr_log_over_interval(const struct wr_log_sample *s, double limit, double level)
{
    WR_BUG_IF(!(limit > 0 && level > 0 && level < 1));
    if (!has_spread(s)) return WR_NO_INTERVAL;
    double root_n = sqrt((double)s->log.n), df = (double)s->log.n - 1;
    double t = root_n * (log(limit) - s->log.mean) / s->log.sd.value;
    double far = noncentrality_where(t, df, 0.5 - 0.5 * level), near = noncentrality_where(t, df, 0.5 + 0.5 * level);
    return (struct wr_interval){true, gsl_cdf_ugaussian_Q(far / root_n), gsl_cdf_ugaussian_Q(near / root_n)};
}

double wr_tolerance_factor(size_t n, double content, double confidence)
{
    WR_BUG_IF(n < 2 || !(content > 0 && content < 1 && confidence > 0 && confidence < 1));
    double root_n = sqrt((double)n), df = (double)n - 1, delta = root_n * wr_normal_quantile(content);
    double lo = delta - 1, hi = delta + 1;

    while (wr_noncentral_t_cdf(lo, df, delta) > confidence) lo -= 2 * (hi - lo);
    while (wr_noncentral_t_cdf(hi, df, delta) < confidence) hi += 2 * (hi - lo);
    while (hi - lo > 1e-11 * (1 + fabs(lo) + fabs(hi))) {
        double mid = 0.5 * (lo + hi);
        if (wr_noncentral_t_cdf(mid, df, delta) < confidence) lo = mid;
        else hi = mid;
    }
    return 0.5 * (lo + hi) / root_n;
}

struct wr_maybe wr_log_tolerance_limit(const struct wr_log_sample *s, double content, double confidence)
{
    if (!has_spread(s)) return WR_UNKNOWN;
    return wr_known(exp(s->log.mean + wr_tolerance_factor(s->log.n, content, confidence) * s->log.sd.value));
}
