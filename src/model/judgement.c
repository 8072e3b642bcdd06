#include "judgement.h"

#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>
#include <math.h>
#include "wetrun/base/memory.h"
#include "wetrun/base/mix.h"
#include "wetrun/stats/gsl_own.h"
#include "wetrun/stats/quantile.h"
#include "wetrun/stats/three_point.h"

enum { N_GRID = 40 };
static const double own_most = 1.0, spread_most = 1.0, least_ratio = 0.05;

/* Optimistic judges: a fifth short in common, off by 0.2 in the log each, ranges too narrow. */
static const double short_sd = 0.15, short_own = 0.2, short_widening = 0.26236426446749106 /* log 1.3 */,
                    short_widening_sd = 0.3;

static bool is_judged(const struct wr_plan_task *task)
{
    return task->low_min.known && task->high_min.value > task->low_min.value;
}

static void judged_moments(const struct wr_plan_task *task, enum wr_three_point_reading reading, double *mean_log,
                           double *sd_log)
{
    const struct wr_three_point p = {reading, task->low_min.value, task->likely_min.value, task->high_min.value};

    wr_three_point_log_moments(&p, mean_log, sd_log);
}

/* Before the record speaks: common ~ N(mean, sd^2), own on the grid. */
struct before { double mean, sd, log_own[N_GRID]; };

static double own_at(int g)
{
    return own_most * (g + 0.5) / N_GRID;
}

static struct before before_record(const struct wr_priors *p, double mean, double sd,
                                   const struct wr_score_law *own_score)
{
    struct before b = {.mean = mean, .sd = sd};

    for (int g = 0; g < N_GRID; g++) {
        double own = own_at(g), off = own / p->judged_off_scale;
        b.log_own[g] = -0.5 * off * off + wr_prior_log_ratio(p, WR_COMMON_JUDGED_OFF, own_score, own);
    }
    return b;
}

/* One draw of (common, own) given off[n]: own from its marginal on a grid, common from its normal law given own. */
static struct wr_judged_common draw_common(const struct before *b, const double *off, size_t n, const gsl_rng *rng)
{
    double mean = 0, squares = 0, log_p[N_GRID], most = -INFINITY, total = 0, variance = b->sd * b->sd;
    struct wr_judged_common law;

    for (size_t k = 0; k < n; k++) mean += off[k] / (double)n;
    for (size_t k = 0; k < n; k++) squares += (off[k] - mean) * (off[k] - mean);
    for (int g = 0; g < N_GRID; g++) {
        double own = own_at(g), of_mean = own * own + (double)n * variance, far = mean - b->mean;
        log_p[g] = b->log_own[g] - ((double)n - 1) * log(own) - 0.5 * log(of_mean) - 0.5 * squares / (own * own)
                   - 0.5 * (double)n * far * far / of_mean;
        most = fmax(most, log_p[g]);
    }
    for (int g = 0; g < N_GRID; g++) total += log_p[g] = exp(log_p[g] - most);
    double left = total * gsl_rng_uniform(rng);
    int g = 0;
    while (g < N_GRID - 1 && left > log_p[g]) left -= log_p[g++];
    law.own = own_at(g);
    double precision = (double)n / (law.own * law.own) + 1 / variance;
    law.common = ((double)n * mean / (law.own * law.own) + b->mean / variance) / precision
                 + gsl_ran_gaussian_ziggurat(rng, 1 / sqrt(precision));
    return law;
}

/* ---- the record ---- */

struct record { size_t n, *model_task; double *mean_log, *sd_log; }; /* tasks judged and timed */

static bool was_timed(const struct wr_model_fit *fit, size_t m)
{
    for (size_t r = 0; r < fit->data.n_run; r++)
        if (fit->data.obs[m * fit->data.n_run + r] != WR_OBS_NONE) return true;
    return false;
}

static struct record find_record(const struct wr_plan *plan, const struct wr_model_fit *fit,
                                 enum wr_three_point_reading reading)
{
    struct record r = {0, WR_NEW_ARRAY(size_t, plan->n_task), WR_NEW_ARRAY(double, plan->n_task),
                       WR_NEW_ARRAY(double, plan->n_task)};

    for (size_t k = 0; k < plan->n_task; k++) {
        size_t m = fit->model_task[k];
        if (m == SIZE_MAX || !is_judged(&plan->task[k]) || !was_timed(fit, m)) continue;
        judged_moments(&plan->task[k], reading, &r.mean_log[r.n], &r.sd_log[r.n]);
        r.model_task[r.n++] = m;
    }
    return r;
}

static void forget_record(struct record *r)
{
    WR_FREE(r->model_task, r->mean_log, r->sd_log);
}

static void learn(const struct record *r, const struct wr_posterior *post, const struct wr_priors *p,
                  const gsl_rng *rng, struct wr_judged_common *bias, struct wr_judged_common *widening)
{
    const struct wr_score_law unknown = {0};
    const struct before of_bias = before_record(p, p->judged_bias_mean, p->judged_bias_sd, &p->judged_off_score);
    const struct before of_widening = before_record(p, p->judged_widening_mean, p->judged_widening_sd, &unknown);
    WR_SCOPED double *off = WR_NEW_ARRAY(double, r->n), *ratio = WR_NEW_ARRAY(double, r->n);

    for (size_t i = 0; i < post->n_draw; i++) {
        for (size_t k = 0; k < r->n; k++) {
            size_t at = r->model_task[k] * post->n_draw + i;
            off[k] = post->mu[at] - r->mean_log[k];
            ratio[k] = log(fmax(post->sigma[at] / r->sd_log[k], least_ratio));
        }
        bias[i] = draw_common(&of_bias, off, r->n, rng);
        widening[i] = draw_common(&of_widening, ratio, r->n, rng);
    }
}

static gsl_rng *rng_of_judges(const struct wr_fit_options *options)
{
    gsl_rng *rng = wr_gsl_rng(gsl_rng_mt19937);

    gsl_rng_set(rng, wr_gsl_seed(options->sampler.seed, wr_mix_text("judges in common")));
    return rng;
}

bool wr_judgement_learn(const struct wr_plan *plan, const struct wr_model_fit *fit,
                        const struct wr_fit_options *options, struct wr_judged_common *bias,
                        struct wr_judged_common *widening)
{
    struct record record = find_record(plan, fit, options->reading);
    bool told = record.n >= WR_LEAST_RECORD;

    if (told) {
        gsl_rng *rng = rng_of_judges(options);
        learn(&record, &fit->post, &options->priors, rng, bias, widening);
        wr_free(rng);
    }
    forget_record(&record);
    return told;
}

/* What too short a judgement would be, for comparison. */
static void suppose_short(size_t n_draw, const gsl_rng *rng, struct wr_judged_common *bias,
                          struct wr_judged_common *widening)
{
    for (size_t i = 0; i < n_draw; i++) {
        bias[i] =
            (struct wr_judged_common){log1p(WR_JUDGED_SHORT_BY) + gsl_ran_gaussian_ziggurat(rng, short_sd), short_own};
        widening[i] = (struct wr_judged_common){short_widening + gsl_ran_gaussian_ziggurat(rng, short_widening_sd), 0};
    }
}

/* ---- what follows ---- */

static void restate_task(struct wr_durations *d, size_t k, const struct wr_plan_task *task,
                         const struct wr_fit_options *options)
{
    const struct wr_judged_common *bias = d->judged_bias, *widening = d->judged_widening;
    WR_SCOPED gsl_rng *rng = wr_gsl_rng(gsl_rng_mt19937);
    double mean_log, sd_log;

    gsl_rng_set(rng, wr_gsl_seed(options->sampler.seed, d->stream[k]));
    judged_moments(task, options->reading, &mean_log, &sd_log);
    for (size_t i = 0; i < d->n_draw; i++) {
        double own = gsl_ran_gaussian_ziggurat(rng, 1), own_width = gsl_ran_gaussian_ziggurat(rng, 1);
        double width = widening[i].common + widening[i].own * own_width;
        d->centre_log[k * d->n_draw + i] = mean_log + bias[i].common + bias[i].own * own;
        d->spread_log[k * d->n_draw + i] = fmin(sd_log * exp(width), spread_most);
    }
    d->source[k] = (struct wr_source){.kind = WR_SRC_MODEL};
    d->restated[k] = 1;
}

static bool rests_on_three_points(const struct wr_durations *d, size_t k)
{
    return d->source[k].kind == WR_SRC_JUDGED;
}

static struct wr_judged_factor factor_of(const struct wr_judged_common *law, size_t n)
{
    WR_SCOPED double *value = WR_NEW_ARRAY(double, n);

    for (size_t i = 0; i < n; i++) value[i] = law[i].common;
    wr_sort_ascending(value, n);
    struct wr_judged_factor f = {exp(wr_quantile_of_sorted(value, n, 0.5, WR_QUANTILE_TYPE_7)),
                                 exp(wr_quantile_of_sorted(value, n, 0.05, WR_QUANTILE_TYPE_7)),
                                 exp(wr_quantile_of_sorted(value, n, 0.95, WR_QUANTILE_TYPE_7))};
    return f;
}

static void restate(struct wr_durations *d, const struct wr_plan *plan, const struct record *record,
                    const struct wr_posterior *post, const struct wr_fit_options *options)
{
    gsl_rng *rng = rng_of_judges(options);

    d->judged_bias = WR_NEW_ARRAY(struct wr_judged_common, d->n_draw);
    d->judged_widening = WR_NEW_ARRAY(struct wr_judged_common, d->n_draw);
    if (options->judging == WR_JUDGED_SHORT) suppose_short(d->n_draw, rng, d->judged_bias, d->judged_widening);
    else learn(record, post, &options->priors, rng, d->judged_bias, d->judged_widening);
    wr_free(rng);
    d->restated = WR_NEW_ARRAY(unsigned char, d->n_task);
    for (size_t k = 0; k < d->n_task; k++)
        if (rests_on_three_points(d, k)) restate_task(d, k, &plan->task[k], options);
    d->judging.restated = true;
    d->judging.bias = factor_of(d->judged_bias, d->n_draw);
    d->judging.widening = factor_of(d->judged_widening, d->n_draw);
}

void wr_judgement_apply(struct wr_durations *d, const struct wr_plan *plan, const struct wr_model_fit *fit,
                        const struct wr_fit_options *options)
{
    struct record record = find_record(plan, fit, options->reading);

    for (size_t k = 0; k < d->n_task; k++) d->judging.n_task += rests_on_three_points(d, k);
    d->judging.n_record = record.n;
    d->judging.by_earlier = options->priors.judges_known;
    bool told = record.n >= WR_LEAST_RECORD || options->priors.judges_known;
    bool by_record = options->judging == WR_JUDGED_BY_RECORD && told;
    if (options->model == WR_MODEL_POOLED && (by_record || options->judging == WR_JUDGED_SHORT))
        restate(d, plan, &record, &fit->post, options);
    forget_record(&record);
}

void wr_judgement_apply_to(struct wr_durations *d, size_t k, const struct wr_plan_task *task,
                           const struct wr_fit_options *options)
{
    if (d->judged_bias && rests_on_three_points(d, k)) restate_task(d, k, task, options);
}
