#include "outlook.h"

#include <math.h>
#include "wetrun/base/memory.h"
#include "wetrun/stats/quantile.h"
#include "wetrun/stats/regress.h"
#include "wetrun/stats/special.h"
#include "wetrun/stats/summary.h"

enum { LEAST_REFITS = 8, N_PART = 8 };

struct wr_probability wr_interval_of_draws(double *over, size_t n)
{
    wr_sort_ascending(over, n);
    /* type 6 leaves the wanted share outside on average, however few the draws */
    return (struct wr_probability){.mean = wr_sum(over, n) / (double)n,
                                   .lo = wr_quantile_of_sorted(over, n, 0.05, WR_QUANTILE_TYPE_6),
                                   .hi = wr_quantile_of_sorted(over, n, 0.95, WR_QUANTILE_TYPE_6)};
}

/* ---- prediction ---- */

static double score_to_over(const double *sorted, size_t n, double score)
{
    return wr_quantile_of_sorted(sorted, n, exp(wr_log_normal_cdf(score)), WR_QUANTILE_TYPE_8);
}

/* fitted[n_future] and spread[n_future] of the score given the statistics; *low, *high: of the standardised residuals. */
static enum wr_status fit_scores(const struct wr_futures *f, const double *score, double *fitted, double *spread,
                                 double *low, double *high, struct wr_error *err)
{
    struct wr_regression middle = {0}, around = {0};
    double *y = WR_NEW_ARRAY(double, f->n_future), *residual = WR_NEW_ARRAY(double, f->n_future);

    for (size_t i = 0; i < f->n_future; i++) y[i] = score[i % f->n_draw];
    enum wr_status status = wr_regression_fit(&middle, WR_SECOND_DEGREE, f->stat, y, f->n_future, f->n_stat, err);
    for (size_t i = 0; status == WR_OK && i < f->n_future; i++) {
        fitted[i] = wr_regression_at(&middle, f->stat + i * f->n_stat);
        residual[i] = y[i] - fitted[i];
        y[i] = log(residual[i] * residual[i] + 1e-12);
    }
    if (status == WR_OK) status = wr_regression_fit(&around, WR_SECOND_DEGREE, f->stat, y, f->n_future, f->n_stat, err);
    for (size_t i = 0; status == WR_OK && i < f->n_future; i++) {
        spread[i] = exp(0.5 * wr_regression_at(&around, f->stat + i * f->n_stat));
        residual[i] /= spread[i];
    }
    if (status == WR_OK) {
        wr_sort_ascending(residual, f->n_future);
        *low = wr_quantile_of_sorted(residual, f->n_future, 0.05, WR_QUANTILE_TYPE_8);
        *high = wr_quantile_of_sorted(residual, f->n_future, 0.95, WR_QUANTILE_TYPE_8);
    }
    wr_regression_release(&middle);
    wr_regression_release(&around);
    wr_free(y);
    wr_free(residual);
    return status;
}

static enum wr_status predict(struct wr_probability *predicted, const struct wr_futures *f, const double *score,
                              struct wr_error *err)
{
    double *sorted = WR_NEW_ARRAY(double, f->n_draw), low = 0, high = 0;
    double *fitted = WR_NEW_ARRAY(double, f->n_future), *spread = WR_NEW_ARRAY(double, f->n_future);
    enum wr_status status = fit_scores(f, score, fitted, spread, &low, &high, err);

    for (size_t i = 0; i < f->n_draw; i++) sorted[i] = f->over[i];
    wr_sort_ascending(sorted, f->n_draw);
    for (size_t i = 0; status == WR_OK && i < f->n_future; i++)
        predicted[i] = (struct wr_probability){.mean = score_to_over(sorted, f->n_draw, fitted[i]),
                                               .lo = score_to_over(sorted, f->n_draw, fitted[i] + low * spread[i]),
                                               .hi = score_to_over(sorted, f->n_draw, fitted[i] + high * spread[i])};
    wr_free(sorted);
    wr_free(fitted);
    wr_free(spread);
    return status;
}

/* ---- correction ---- */

enum aspect { WIDTH, LO, HI, MEAN, CLEAR_INSIDE, CLEAR_OUTSIDE };

static double aspect_of(const struct wr_probability *p, enum aspect aspect, double confidence)
{
    switch (aspect) {
    case WIDTH: return p->hi - p->lo;
    case LO: return p->lo;
    case HI: return p->hi;
    case MEAN: return p->mean;
    case CLEAR_INSIDE: return wr_verdict_on(p, confidence) == WR_VERDICT_INSIDE;
    case CLEAR_OUTSIDE: return wr_verdict_on(p, confidence) == WR_VERDICT_NOT_INSIDE;
    }
    return 0;
}

struct pairs { /* of what was predicted and what was worked out, over the refits */
    double mean_x, mean_y, beta, left; /* left: mean of the squared residuals */
};

static struct pairs regress_pairs(const double *x, const double *y, size_t n)
{
    struct pairs p = {.mean_x = wr_sum(x, n) / (double)n, .mean_y = wr_sum(y, n) / (double)n};
    double xx = 0, xy = 0, yy = 0;

    for (size_t i = 0; i < n; i++) {
        xx += (x[i] - p.mean_x) * (x[i] - p.mean_x);
        xy += (x[i] - p.mean_x) * (y[i] - p.mean_y);
        yy += (y[i] - p.mean_y) * (y[i] - p.mean_y);
    }
    p.beta = xx > 0 ? xy / xx : 0;
    p.left = fmax(yy - p.beta * xy, 0) / (double)(n - 2);
    return p;
}

static struct wr_estimated correct(const struct wr_futures *f, const struct wr_probability *predicted, enum aspect aspect)
{
    size_t n = f->n_refit;
    double *all = WR_NEW_ARRAY(double, f->n_future), *x = WR_NEW_ARRAY(double, n), *y = WR_NEW_ARRAY(double, n);
    bool is_chance = aspect == CLEAR_INSIDE || aspect == CLEAR_OUTSIDE;

    for (size_t i = 0; i < f->n_future; i++) all[i] = aspect_of(&predicted[i], aspect, f->confidence);
    for (size_t i = 0; i < n; i++) {
        x[i] = all[f->refit[i]];
        y[i] = aspect_of(&f->after[i], aspect, f->confidence);
    }
    struct pairs p = regress_pairs(x, y, n);
    struct wr_summary s = wr_summarise(all, f->n_future);
    double by_futures = s.sd.known ? p.beta * s.sd.value : 0, variance = p.left / (double)n;
    /* what was never seen in n refits may still be: as if one more had gone the other way */
    if (is_chance) variance += 1.0 / ((double)n * (double)n);
    struct wr_estimated e = {p.mean_y - p.beta * (p.mean_x - s.mean),
                             sqrt(variance + by_futures * by_futures / fmin(f->n_effective, (double)f->n_future))};
    if (is_chance) e.value = fmin(fmax(e.value, 0), 1);
    wr_free(all);
    wr_free(x);
    wr_free(y);
    return e;
}

enum wr_status wr_outlook_make(struct wr_runs_needed_row *row, const struct wr_futures *f, struct wr_error *err)
{
    if (f->n_refit < LEAST_REFITS)
        return wr_fail(err, WR_E_TOO_FEW, "%zu simulated futures are too few; at least %d are needed", f->n_refit,
                       LEAST_REFITS);
    double *score = WR_NEW_ARRAY(double, f->n_draw);
    struct wr_probability *predicted = WR_NEW_ARRAY(struct wr_probability, f->n_future);

    wr_normal_scores(f->over, f->n_draw, score);
    enum wr_status status = predict(predicted, f, score, err);
    if (status == WR_OK)
        status = wr_share_removed(&row->removed, score, f->n_draw, f->stat, f->n_future, f->n_stat, err);
    if (status == WR_OK) {
        row->width = correct(f, predicted, WIDTH);
        row->lo = correct(f, predicted, LO);
        row->hi = correct(f, predicted, HI);
        row->over = correct(f, predicted, MEAN);
        row->clear_inside = correct(f, predicted, CLEAR_INSIDE);
        row->clear_outside = correct(f, predicted, CLEAR_OUTSIDE);
    }
    wr_free(score);
    wr_free(predicted);
    return status;
}

/* ---- share removed ---- */

/* part[N_PART] of the share of y's variance that is removed; they add up to it. */
static enum wr_status linear_share(const double *y, const double *stat, size_t n, size_t n_stat, double *part,
                                   struct wr_error *err)
{
    struct wr_regression r = {0};
    enum wr_status status = wr_regression_fit(&r, WR_FIRST_DEGREE, stat, y, n, n_stat, err);
    double mean = wr_sum(y, n) / (double)n, total = 0;

    for (size_t p = 0; p < N_PART; p++) part[p] = 0;
    for (size_t i = 0; status == WR_OK && i < n; i++) {
        double off = y[i] - mean, left = y[i] - wr_regression_at(&r, stat + i * n_stat);
        total += off * off;
        part[i * N_PART / n] += off * off - left * left;
    }
    for (size_t p = 0; total > 0 && p < N_PART; p++) part[p] /= total;
    wr_regression_release(&r);
    return status;
}

enum wr_status wr_share_removed(struct wr_estimated *removed, const double *score, size_t n_draw, const double *stat,
                                size_t n_future, size_t n_stat, struct wr_error *err)
{
    double *y = WR_NEW_ARRAY(double, n_future), part[N_PART], by_chance[N_PART], net[N_PART] = {0};
    enum wr_status status = WR_OK;

    for (size_t roll = 0; roll < N_PART && status == WR_OK; roll++) {
        for (size_t i = 0; i < n_future; i++) y[i] = score[(i + roll * n_draw / N_PART) % n_draw];
        status = linear_share(y, stat, n_future, n_stat, roll == 0 ? part : by_chance, err);
        for (size_t p = 0; p < N_PART; p++) net[p] += roll == 0 ? part[p] : -by_chance[p] / (N_PART - 1);
    }
    wr_free(y);
    if (status != WR_OK) return status;
    struct wr_summary s = wr_summarise(net, N_PART);
    *removed = (struct wr_estimated){s.mean * N_PART, s.sd.value * sqrt(N_PART)};
    return WR_OK;
}
