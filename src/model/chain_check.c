#include "chain_check.h"

#include <gsl/gsl_cdf.h>
#include <math.h>
#include <stdlib.h>
#include "wetrun/base/memory.h"

struct ranked { double value; size_t at; };

static int by_value(const void *a, const void *b)
{
    const struct ranked *x = a, *y = b;

    if (x->value != y->value) return x->value < y->value ? -1 : 1;
    return (x->at > y->at) - (x->at < y->at);
}

/* z[i] = normal score of the rank of value[i] among all; ties share their mean rank. */
static void normal_scores(const double *value, size_t n, struct ranked *sorted, double *z)
{
    for (size_t i = 0; i < n; i++) sorted[i] = (struct ranked){value[i], i};
    qsort(sorted, n, sizeof *sorted, by_value);
    for (size_t i = 0, j; i < n; i = j) {
        for (j = i; j < n && sorted[j].value == sorted[i].value; j++) {}
        double rank = 0.5 * (double)(i + 1 + j);
        double score = gsl_cdf_ugaussian_Pinv((rank - 0.375) / ((double)n + 0.25));
        for (size_t t = i; t < j; t++) z[sorted[t].at] = score;
    }
}

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
    double *mean = WR_NEW_ARRAY(double, s->n_half);

    for (size_t h = 0; h < s->n_half; h++) mean[h] = mean_of(half_of(s, z, h), s->length);
    for (size_t lag = 0; v.total > 0.0 && lag + 1 < s->length; lag += 2) {
        double even = lag == 0 ? 1.0 : correlation(s, z, mean, &v, lag);
        double pair = even + correlation(s, z, mean, &v, lag + 1);
        if (!(pair > 0.0)) break;
        least = fmin(least, pair);
        sum += least;
    }
    wr_free(mean);
    if (!(v.total > 0.0)) return n;
    double time = fmax(2.0 * sum - 1.0, 1.0 / log10(n)); /* the reference's cap on antithetic chains */
    return n / time;
}

struct wr_chain_check wr_chain_check_of(const char *name, const double *value, size_t n_chain, size_t n_keep)
{
    size_t n = n_chain * n_keep;
    struct split s = {.n_half = 2 * n_chain, .length = n_keep / 2, .stride = n_keep};
    struct ranked *sorted = WR_NEW_ARRAY(struct ranked, n);
    double *z = WR_NEW_ARRAY(double, n), *folded = WR_NEW_ARRAY(double, n);
    struct wr_chain_check check = {.name = name};

    normal_scores(value, n, sorted, z);
    double median = n % 2 ? sorted[n / 2].value : 0.5 * (sorted[n / 2 - 1].value + sorted[n / 2].value);
    check.ess = effective_size(&s, z);
    check.rhat = split_rhat(&s, z);
    for (size_t i = 0; i < n; i++) folded[i] = fabs(value[i] - median);
    normal_scores(folded, n, sorted, z);
    check.rhat = fmax(check.rhat, split_rhat(&s, z));
    WR_FREE(folded, z, sorted);
    return check;
}
