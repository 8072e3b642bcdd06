#include "outlook.h"

#include <math.h>
#include "wetrun/base/memory.h"
#include "wetrun/stats/batch_means.h"
#include "wetrun/stats/quantile.h"
#include "wetrun/stats/special.h"
#include "wetrun/stats/summary.h"

enum { LEAST_REFITS = 8, N_ROLL = 8, N_GROUP = 16 };

struct wr_worked_out wr_work_out(double *over, size_t n)
{
    struct wr_worked_out w = {.over.mean = wr_sum(over, n) / (double)n};
    size_t first[2] = {0, n / 2}, length[2] = {n / 2, n - n / 2};

    for (int half = 0; half < 2; half++) {
        wr_sort_ascending(over + first[half], length[half]);
        w.lo_of_half[half] = wr_quantile_of_sorted(over + first[half], length[half], 0.05, WR_QUANTILE_TYPE_8);
        w.hi_of_half[half] = wr_quantile_of_sorted(over + first[half], length[half], 0.95, WR_QUANTILE_TYPE_8);
    }
    w.over.lo = wr_quantile(over, n, 0.05, WR_QUANTILE_TYPE_8);
    w.over.hi = wr_quantile(over, n, 0.95, WR_QUANTILE_TYPE_8);
    return w;
}

/* ---- prediction ---- */

static double score_to_over(const double *sorted, size_t n, double score)
{
    return wr_quantile_of_sorted(sorted, n, exp(wr_log_normal_cdf(score)), WR_QUANTILE_TYPE_8);
}

/* fitted[n_future] and spread[n_future] of the score given the statistics; *low, *high: of the standardised
 * residuals. */
static enum wr_status fit_scores(const struct wr_futures *f, const double *score, double *fitted, double *spread,
                                 double *low, double *high, struct wr_error *err)
{
    WR_RELEASED_BY(wr_design_release) struct wr_design design = {0};
    WR_RELEASED_BY(wr_regression_release) struct wr_regression middle = {0}, around = {0};
    WR_SCOPED double *y = WR_NEW_ARRAY(double, f->n_future), *residual = WR_NEW_ARRAY(double, f->n_future);
    enum wr_status status = wr_design_make(&design, WR_SECOND_DEGREE, f->stat, f->n_future, f->n_stat, err);

    if (status != WR_OK) return status;
    for (size_t i = 0; i < f->n_future; i++) y[i] = score[i % f->n_draw];
    wr_regression_on(&middle, &design, y);
    for (size_t i = 0; i < f->n_future; i++) {
        fitted[i] = wr_regression_at(&middle, f->stat + i * f->n_stat);
        residual[i] = y[i] - fitted[i];
        y[i] = log(residual[i] * residual[i] + 1e-12);
    }
    wr_regression_on(&around, &design, y);
    for (size_t i = 0; i < f->n_future; i++) {
        spread[i] = exp(0.5 * wr_regression_at(&around, f->stat + i * f->n_stat));
        residual[i] /= spread[i];
    }
    wr_sort_ascending(residual, f->n_future);
    *low = wr_quantile_of_sorted(residual, f->n_future, 0.05, WR_QUANTILE_TYPE_8);
    *high = wr_quantile_of_sorted(residual, f->n_future, 0.95, WR_QUANTILE_TYPE_8);
    return WR_OK;
}

static enum wr_status predict(struct wr_probability *predicted, const struct wr_futures *f, const double *score,
                              struct wr_error *err)
{
    double *sorted = WR_NEW_ARRAY(double, f->n_draw), low = 0, high = 0;
    WR_SCOPED double *fitted = WR_NEW_ARRAY(double, f->n_future), *spread = WR_NEW_ARRAY(double, f->n_future);
    enum wr_status status = fit_scores(f, score, fitted, spread, &low, &high, err);

    for (size_t i = 0; i < f->n_draw; i++) sorted[i] = f->over[i];
    wr_sort_ascending(sorted, f->n_draw);
    for (size_t i = 0; status == WR_OK && i < f->n_future; i++)
        predicted[i] = (struct wr_probability){.mean = score_to_over(sorted, f->n_draw, fitted[i]),
                                               .lo = score_to_over(sorted, f->n_draw, fitted[i] + low * spread[i]),
                                               .hi = score_to_over(sorted, f->n_draw, fitted[i] + high * spread[i])};
    wr_free(sorted);
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
    double variance_y;
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
    p.variance_y = yy / (double)(n - 1);
    return p;
}

/* Far from the bound the scores of small P are wild and do not matter: a hundredth of the way is far enough. */
static double score_of(double over, double confidence)
{
    return wr_normal_quantile(fmin(fmax(over, 0.01 * (1 - confidence)), 1 - 0.01 * confidence));
}

/* The bias of a quantile falls as 1/n, however the draws depend on each other: halves have twice as much of it as the
 * whole (Quenouille 1956, Biometrika 43, 353-360, from memory). */
static double without_bias(double whole, const double half[2])
{
    return fmin(fmax(2 * whole - 0.5 * (half[0] + half[1]), 0), 1);
}

/* The intervals worked out, their ends without bias one by one: right on average. */
static void remove_bias(const struct wr_futures *f, struct wr_probability *unbiased)
{
    for (size_t i = 0; i < f->n_refit; i++) {
        const struct wr_worked_out *w = &f->after[i];
        unbiased[i] = (struct wr_probability){.mean = w->over.mean, .lo = without_bias(w->over.lo, w->lo_of_half),
                                              .hi = without_bias(w->over.hi, w->hi_of_half)};
    }
}

/* One end of every interval with the noise of its few draws taken out, and the bias that all have: end[n_refit], as
 * scores. Works with the mean of both halves, whose noise is known from their difference. */
static void free_ends_of_noise(const struct wr_futures *f, const struct wr_probability *predicted, enum aspect which,
                               double *end)
{
    size_t n = f->n_refit;
    double *x = WR_NEW_ARRAY(double, n), noise = 0, gain = 0;

    for (size_t i = 0; i < n; i++) {
        const struct wr_worked_out *w = &f->after[i];
        const double *half = which == LO ? w->lo_of_half : w->hi_of_half;
        double a = score_of(half[0], f->confidence), b = score_of(half[1], f->confidence);
        x[i] = score_of(aspect_of(&predicted[f->refit[i]], which, f->confidence), f->confidence);
        end[i] = 0.5 * (a + b);
        noise += 0.25 * (a - b) * (a - b) / (double)n;
        gain += (score_of(aspect_of(&w->over, which, f->confidence), f->confidence) - end[i]) / (double)n;
    }
    struct pairs p = regress_pairs(x, end, n);
    double keep = p.left > noise ? sqrt(1 - noise / p.left) : 0;
    for (size_t i = 0; i < n; i++) {
        double on_line = p.mean_y + p.beta * (x[i] - p.mean_x);
        end[i] = on_line + keep * (end[i] - on_line) + 2 * gain;
    }
    wr_free(x);
}

/* The intervals worked out, with ends free of noise: right as a set, for counting. */
static void take_out_bias(const struct wr_futures *f, const struct wr_probability *predicted,
                          struct wr_probability *ends)
{
    WR_SCOPED double *lo = WR_NEW_ARRAY(double, f->n_refit), *hi = WR_NEW_ARRAY(double, f->n_refit);

    free_ends_of_noise(f, predicted, LO, lo);
    free_ends_of_noise(f, predicted, HI, hi);
    for (size_t i = 0; i < f->n_refit; i++)
        ends[i] = (struct wr_probability){.lo = exp(wr_log_normal_cdf(lo[i])), .hi = exp(wr_log_normal_cdf(hi[i]))};
}

/* least: what the variance from the refits is at least */
static struct wr_estimated correct(const struct wr_futures *f, const struct wr_probability *predicted,
                                   const struct wr_probability *after, enum aspect aspect, double least)
{
    size_t n = f->n_refit;
    WR_SCOPED double *all = WR_NEW_ARRAY(double, f->n_future), *x = WR_NEW_ARRAY(double, n),
                     *y = WR_NEW_ARRAY(double, n);
    bool is_chance = aspect == CLEAR_INSIDE || aspect == CLEAR_OUTSIDE;

    for (size_t i = 0; i < f->n_future; i++) all[i] = aspect_of(&predicted[i], aspect, f->confidence);
    for (size_t i = 0; i < n; i++) {
        x[i] = all[f->refit[i]];
        y[i] = aspect_of(&after[i], aspect, f->confidence);
    }
    struct pairs p = regress_pairs(x, y, n);
    struct wr_summary s = wr_summarise(all, f->n_future);
    double by_futures = s.sd.known ? p.beta * s.sd.value : 0;
    double plain = fmax(p.variance_y / (double)n, least);
    double variance = fmax(p.left / (double)n, least) +
                      by_futures * by_futures / fmin(f->n_effective, (double)f->n_future);
    if (variance > plain) { /* it would bring more doubt than it removes: near 0 slopes are wild */
        p.beta = 0;
        variance = plain;
    }
    /* What was never seen in n refits may still be, and where few of them say another thing than was predicted, chance
     * made them few and the estimate low together: as if two more had gone each way (Agresti and Coull 1998, The
     * American Statistician 52, 119-126, from memory). Twice the error then reaches the 97.5 % limit of what was
     * never seen. */
    if (is_chance) variance += 4.0 / ((double)n * (double)n);
    struct wr_estimated e = {p.mean_y - p.beta * (p.mean_x - s.mean), sqrt(variance)};
    e.value = fmin(fmax(e.value, 0), 1); /* probabilities and widths between two of them, which a line may overshoot */
    return e;
}

static struct wr_estimated chance_by_ends(const struct wr_futures *f, const struct wr_probability *predicted,
                                          enum aspect aspect, double least)
{
    WR_SCOPED struct wr_probability *ends = WR_NEW_ARRAY(struct wr_probability, f->n_refit);

    take_out_bias(f, predicted, ends);
    return correct(f, predicted, ends, aspect, least);
}

/* The variance of a chance from the refits, by leaving one group of them out after another (the jackknife). The noise
 * taken out of every end alone comes back in the line that all of them were pulled to: it moves them over the bound
 * together, which how few then cross it against their prediction does not show. */
static double variance_of_chance(const struct wr_futures *f, const struct wr_probability *predicted,
                                 enum aspect aspect)
{
    const size_t n_group = f->n_refit < 2 * N_GROUP ? LEAST_REFITS / 2 : N_GROUP;
    WR_SCOPED size_t *refit = WR_NEW_ARRAY(size_t, f->n_refit);
    WR_SCOPED struct wr_worked_out *after = WR_NEW_ARRAY(struct wr_worked_out, f->n_refit);
    double without[N_GROUP];

    for (size_t g = 0; g < n_group; g++) {
        struct wr_futures rest = *f;
        rest.refit = refit;
        rest.after = after;
        rest.n_refit = 0;
        for (size_t i = 0; i < f->n_refit; i++) {
            if (i % n_group == g) continue;
            refit[rest.n_refit] = f->refit[i];
            after[rest.n_refit++] = f->after[i];
        }
        without[g] = chance_by_ends(&rest, predicted, aspect, 0).value;
    }
    struct wr_summary s = wr_summarise(without, n_group);
    double off = (double)(n_group - 1) * s.sd.value;
    return off * off / (double)n_group;
}

static struct wr_estimated chance_of(const struct wr_futures *f, const struct wr_probability *predicted,
                                     enum aspect aspect)
{
    return chance_by_ends(f, predicted, aspect, variance_of_chance(f, predicted, aspect));
}

enum wr_status wr_outlook_make(struct wr_runs_needed_row *row, const struct wr_futures *f, struct wr_error *err)
{
    if (f->n_refit < LEAST_REFITS)
        return wr_fail(err, WR_E_TOO_FEW, "%zu simulated futures are too few; at least %d are needed", f->n_refit,
                       LEAST_REFITS);
    WR_SCOPED double *score = WR_NEW_ARRAY(double, f->n_draw);
    WR_SCOPED struct wr_probability *predicted = WR_NEW_ARRAY(struct wr_probability, f->n_future);
    WR_SCOPED struct wr_probability *unbiased = WR_NEW_ARRAY(struct wr_probability, f->n_refit);

    wr_normal_scores(f->over, f->n_draw, 0.5, score);
    WR_RELEASED_BY(wr_told_release) struct wr_told told = {0};
    enum wr_status status = predict(predicted, f, score, err);
    if (status == WR_OK) status = wr_told_make(&told, f->stat, f->n_future, f->n_stat, err);
    if (status == WR_OK) {
        row->removed = wr_share_removed(&told, score, f->n_draw);
        remove_bias(f, unbiased);
        row->width = correct(f, predicted, unbiased, WIDTH, 0);
        row->lo = correct(f, predicted, unbiased, LO, 0);
        row->hi = correct(f, predicted, unbiased, HI, 0);
        if (row->lo.value > row->hi.value) /* each is a line of its own, and near 0 one may cross the other */
            row->lo.value = fmax(0, row->hi.value - row->width.value);
        row->over = correct(f, predicted, unbiased, MEAN, 0);
        row->clear_inside = chance_of(f, predicted, CLEAR_INSIDE);
        row->clear_outside = chance_of(f, predicted, CLEAR_OUTSIDE);
    }
    return status;
}

/* ---- share removed ---- */

/* Share of y's variance that is removed, as a ratio of sums over draws: of what is removed to what there is. */
static void linear_share(const double *y, const struct wr_told *told, size_t n_draw, struct wr_batch_sums *share)
{
    const size_t n = told->design.n_row, n_stat = told->design.of.n_variable;
    WR_RELEASED_BY(wr_regression_release) struct wr_regression r = {0};
    double mean = wr_sum(y, n) / (double)n;

    wr_regression_on(&r, &told->design, y);
    wr_batch_begin(share, n_draw);
    for (size_t i = 0; i < n; i++) {
        double off = y[i] - mean, left = y[i] - wr_regression_at(&r, told->stat + i * n_stat);
        if (off * off > 0) wr_batch_add(share, i % n_draw, off * off, 1 - left * left / (off * off));
    }
}

enum wr_status wr_told_make(struct wr_told *told, const double *stat, size_t n_future, size_t n_stat,
                            struct wr_error *err)
{
    told->stat = stat;
    return wr_design_make(&told->design, WR_FIRST_DEGREE, stat, n_future, n_stat, err);
}

void wr_told_release(struct wr_told *told)
{
    wr_design_release(&told->design);
}

struct wr_estimated wr_share_removed(const struct wr_told *told, const double *score, size_t n_draw)
{
    const size_t n_future = told->design.n_row;
    WR_SCOPED double *y = WR_NEW_ARRAY(double, n_future);
    struct wr_estimated removed = {0, 0};
    struct wr_batch_sums share;

    for (size_t roll = 0; roll < N_ROLL; roll++) {
        for (size_t i = 0; i < n_future; i++) y[i] = score[(i + roll * n_draw / N_ROLL) % n_draw];
        linear_share(y, told, n_draw, &share);
        if (roll == 0) removed.error = wr_batch_error(&share);
        removed.value += roll == 0 ? wr_batch_mean(&share) : -wr_batch_mean(&share) / (N_ROLL - 1);
    }
    return removed;
}
