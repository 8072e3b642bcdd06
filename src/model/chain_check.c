#include "chain_check.h"

#include <math.h>
#include "wetrun/base/memory.h"
#include "wetrun/stats/quantile.h"
#include "wetrun/stats/regress.h"

struct split { size_t n_half, length, stride; /* half h starts at (h/2) stride + (h%2 ? stride - length : 0) */ };

static const double *half_of(const struct split *s, const double *z, size_t h)
{
    return z + h / 2 * s->stride + (h % 2 ? s->stride - s->length : 0);
}

static double mean_of(const double *z, size_t n)
{
    double sum = 0.0;

    for (size_t i = 0; i < n; i++) sum += z[i];
    return sum / (double)n;
}

static double autocovariance(const double *z, size_t n, double mean, size_t lag)
{
    double sum = 0.0;

    for (size_t i = 0; i + lag < n; i++) sum += (z[i] - mean) * (z[i + lag] - mean);
    return sum / (double)n;
}

struct variances { double within, total; };

static struct variances split_variances(const struct split *s, const double *z)
{
    double n = (double)s->length, m = (double)s->n_half, grand = 0.0, between = 0.0, within = 0.0;

    for (size_t h = 0; h < s->n_half; h++) grand += mean_of(half_of(s, z, h), s->length) / m;
    for (size_t h = 0; h < s->n_half; h++) {
        double mean = mean_of(half_of(s, z, h), s->length);
        between += (mean - grand) * (mean - grand) / (m - 1.0);
        within += autocovariance(half_of(s, z, h), s->length, mean, 0) * n / (n - 1.0) / m;
    }
    return (struct variances){within, (n - 1.0) / n * within + between};
}

static double split_rhat(const struct split *s, const double *z)
{
    struct variances v = split_variances(s, z);

    if (!(v.total > 0.0)) return 1.0; /* never moved */
    return v.within > 0.0 ? sqrt(v.total / v.within) : INFINITY;
}

/* Autocorrelation at a lag, averaged over the halves as the reference does. */
static double correlation(const struct split *s, const double *z, const double *mean, const struct variances *v,
                          size_t lag)
{
    double n = (double)s->length, sum = 0.0;

    for (size_t h = 0; h < s->n_half; h++)
        sum += autocovariance(half_of(s, z, h), s->length, mean[h], lag) * n / (n - 1.0);
    return 1.0 - (v->within - sum / (double)s->n_half) / v->total;
}

/* Sums of neighbouring autocorrelations are positive and falling for a reversible chain: the first that is not is
 * noise, and the sum stops there (Geyer's initial monotone sequence). */
static double effective_size(const struct split *s, const double *z)
{
    struct variances v = split_variances(s, z);
    double n = (double)(s->n_half * s->length), sum = 0.0, least = INFINITY;
    WR_SCOPED double *mean = WR_NEW_ARRAY(double, s->n_half);

    for (size_t h = 0; h < s->n_half; h++) mean[h] = mean_of(half_of(s, z, h), s->length);
    for (size_t lag = 0; v.total > 0.0 && lag + 1 < s->length; lag += 2) {
        double even = lag == 0 ? 1.0 : correlation(s, z, mean, &v, lag);
        double pair = even + correlation(s, z, mean, &v, lag + 1);
        if (!(pair > 0.0)) break;
        least = fmin(least, pair);
        sum += least;
    }
    if (!(v.total > 0.0)) return n;
    double time = fmax(2.0 * sum - 1.0, 1.0 / log10(n)); /* the reference's cap on antithetic chains */
    return n / time;
}

struct wr_chain_check wr_chain_check_of(const char *name, const double *value, size_t n_chain, size_t n_keep)
{
    static const double blom = 0.375; /* as the reference takes normal scores */
    size_t n = n_chain * n_keep;
    struct split s = {.n_half = 2 * n_chain, .length = n_keep / 2, .stride = n_keep};
    double *z = WR_NEW_ARRAY(double, n), *folded = WR_NEW_ARRAY(double, n), median = wr_median(value, n);
    struct wr_chain_check check = {.name = name};

    wr_normal_scores(value, n, blom, z);
    check.ess = effective_size(&s, z);
    check.rhat = split_rhat(&s, z);
    for (size_t i = 0; i < n; i++) folded[i] = fabs(value[i] - median);
    wr_normal_scores(folded, n, blom, z);
    check.rhat = fmax(check.rhat, split_rhat(&s, z));
    WR_FREE(folded, z);
    return check;
}
