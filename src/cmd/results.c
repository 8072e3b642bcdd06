#include "results.h"

#include <math.h>

/* The totals of the runs, seen without a model, beside the forecast: a disagreement becomes a finding. */
static void check_totals(struct wr_results *r)
{
    struct wr_analysis *a = &r->a;
    const struct wr_forecast *f = &a->forecast;
    const double half = f->quantile_min[4], ninth = f->quantile_min[7]; /* 0.5 and 0.9: sd of the log from the middle */
    const struct wr_total_forecast forecast = {
        .median_min = half,
        .sd_log = log(ninth / half) / 1.2815515655446004,
        .slope_log = r->summary.has_learning ? r->summary.slope_log.value : 0,
        .target_order = a->options.target == WR_FOR_EXCURSION ? a->fit.last_order : a->fit.target_order,
    };

    wr_total_check_make(&r->total, &a->in.plan, &a->in.net, &a->in.timing);
    if (!a->has_carry_over && half > 0 && ninth > half)
        r->disagreement = wr_total_check_compare(&r->total, &forecast, &a->in.findings);
}

static void make_fit(struct wr_results *r)
{
    wr_fit_summarise(&r->summary, &r->a.fit, &r->a.durations, &r->a.in.timing, &r->a.options);
    check_totals(r);
    r->has |= WR_WANT_FIT;
}

static void make_candidates(struct wr_results *r, const struct wr_settings *settings)
{
    const struct wr_candidate_options options = {
        .n_resample = 500, .seed = settings->seed, .n_thread = (unsigned)settings->threads};

    wr_candidates_fit(&r->candidates, &r->a.in.timing, &options);
    r->has |= WR_WANT_CANDIDATES;
}

static enum wr_status make_comparison(struct wr_results *r, struct wr_error *err)
{
    const struct wr_compare_options options = {.by = WR_BY_NOTHING};
    enum wr_status status = wr_compare(&r->comparison, &r->a.in.log, &r->a.in.timing, &options, err);

    if (!status) r->has |= WR_WANT_COMPARISON;
    return status;
}

static enum wr_status make_decisions(struct wr_results *r, unsigned wanted, const struct wr_settings *settings,
                                     struct wr_progress *progress, struct wr_error *err)
{
    struct wr_analysis *a = &r->a;
    bool has_confidence = a->in.confidence > 0, has_limit = a->in.limits.n_limit > 0;
    enum wr_status status = WR_OK;

    if (wanted & WR_WANT_READY) wanted |= WR_WANT_PAD | WR_WANT_BACKTEST;
    if ((wanted & WR_WANT_PAD) && has_confidence && a->in.confidence > 0.5) {
        status = wr_pad_of(&r->pad, a, settings, err);
        if (status) return status;
        r->has |= WR_WANT_PAD;
    }
    if ((wanted & WR_WANT_CUTOFFS) && has_confidence && has_limit) {
        r->has |= WR_WANT_CUTOFFS; /* released whatever comes of it */
        status = wr_cutoffs_of(&r->cutoffs, a, settings, err);
        if (status) return status;
    }
    if ((wanted & WR_WANT_BACKTEST) && a->in.timing.n_run > WR_BACKTEST_LEAST_OTHERS) {
        status = wr_backtest_of(&r->backtest, a, settings, progress, err);
        if (status) return status;
        r->has |= WR_WANT_BACKTEST;
    }
    if ((wanted & WR_WANT_READY) && has_confidence && has_limit) {
        status = wr_criteria_of(&r->criteria, a, settings, err);
        if (status) return status;
        wr_ready_of(&r->ready, &r->criteria, a, r->has & WR_WANT_PAD ? &r->pad : NULL,
                    r->has & WR_WANT_BACKTEST ? &r->backtest : NULL);
        r->has |= WR_WANT_READY;
    }
    return WR_OK;
}

/* On the page the price of a rehearsal is one line among many: two dozen futures, with their standard errors beside. */
static enum wr_status make_runs_needed(struct wr_results *r, const struct wr_settings *settings, struct wr_error *err)
{
    const struct wr_analysis *a = &r->a;
    struct wr_settings usual = *settings;

    usual.trials = 0; /* --trials is about simulated days here */
    enum wr_status status = wr_runs_needed_of(&r->runs_needed, a, &usual, WR_FUTURES_ON_PAGE, NULL, err);
    if (!status) r->has |= WR_WANT_RUNS_NEEDED;
    return status == WR_E_TOO_FEW ? WR_OK : status;
}

enum wr_status wr_results_make(struct wr_results *r, unsigned wanted, const struct wr_settings *settings,
                               struct wr_progress *progress, struct wr_error *err)
{
    enum wr_status status = wr_analysis_forecast(&r->a, settings, progress, err);

    if (status) return status;
    if (wanted & WR_WANT_FIT) make_fit(r);
    if ((wanted & WR_WANT_CANDIDATES) && r->a.in.timing.n_run > 0) make_candidates(r, settings);
    if ((wanted & WR_WANT_COMPARISON) && r->a.in.timing.n_run > 0) status = make_comparison(r, err);
    if (!status) status = make_decisions(r, wanted, settings, progress, err);
    if (!status && (wanted & WR_WANT_RUNS_NEEDED) && r->a.in.limits.n_limit > 0 && r->a.in.confidence > 0 &&
        r->a.options.model == WR_MODEL_POOLED)
        status = make_runs_needed(r, settings, err);
    return status;
}

void wr_results_release(struct wr_results *r)
{
    if (r->has & WR_WANT_FIT) {
        wr_fit_summary_release(&r->summary);
        wr_total_check_release(&r->total);
    }
    if (r->has & WR_WANT_CANDIDATES) wr_candidates_release(&r->candidates);
    if (r->has & WR_WANT_PAD) wr_pad_release(&r->pad);
    if (r->has & WR_WANT_CUTOFFS) wr_cutoffs_release(&r->cutoffs);
    if (r->has & WR_WANT_COMPARISON) wr_comparison_release(&r->comparison);
    if (r->has & WR_WANT_BACKTEST) wr_backtest_release(&r->backtest);
    if (r->has & WR_WANT_RUNS_NEEDED) wr_runs_needed_release(&r->runs_needed);
    wr_analysis_release(&r->a);
    *r = (struct wr_results){0};
}

struct wr_chart_input wr_chart_input_of(const struct wr_results *r)
{
    const struct wr_loaded *in = &r->a.in;

    return (struct wr_chart_input){
        .plan = &in->plan,
        .forecast = &r->a.forecast,
        .timing = in->timing.n_run ? &in->timing : NULL,
        .log = in->log.n_run ? &in->log : NULL,
        .limits = &in->limits,
        .confidence = in->confidence > 0 ? wr_known(in->confidence) : WR_UNKNOWN,
        .target = r->a.options.target,
        .comparison = r->has & WR_WANT_COMPARISON ? &r->comparison : NULL,
        .pad = r->has & WR_WANT_PAD ? &r->pad : NULL,
        .cutoff = r->has & WR_WANT_CUTOFFS ? (r->cutoffs.updated ? &r->cutoffs.update.card : &r->cutoffs.card) : NULL,
        .cutoff_limit_name = r->has & WR_WANT_CUTOFFS ? r->cutoffs.limit_name : NULL,
        .backtest = r->has & WR_WANT_BACKTEST ? &r->backtest : NULL,
    };
}

struct wr_fit_result wr_fit_result_of(const struct wr_results *r)
{
    const struct wr_analysis *a = &r->a;

    return (struct wr_fit_result){
        .plan = &a->in.plan,
        .log = a->in.log.n_run ? &a->in.log : NULL,
        .summary = &r->summary,
        .posterior = a->fit.post.n_draw ? &a->fit.post : NULL,
        .candidates = r->has & WR_WANT_CANDIDATES ? &r->candidates : NULL,
        .total = r->total.n_counted ? &r->total : NULL,
        .disagreement = r->total.n_counted ? &r->disagreement : NULL,
    };
}
