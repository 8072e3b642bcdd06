/* From the campaign to its forecast: the model fitted, what simulated days draw from, the simulation. */
#include <math.h>
#include <string.h>
#include "study_parts.h"
#include "wetrun/campaign/log_time.h"
#include "wetrun/base/memory.h"
#include "wetrun/decide/lengthens.h"
#include "wetrun/decide/to_forecast.h"
#include "wetrun/model/gap.h"

static enum wr_status look_at_gap(struct wr_study *s, struct wr_error *err)
{
    const char *date = s->options.on;
    int64_t day;

    if (!date) return WR_OK;
    if (!wr_parse_log_date(date, strlen(date), &day))
        return wr_fail(err, WR_E_USAGE, "--on: '%s' is not a date, YYYY-MM-DD: write --on 2031-05-20", date);
    s->gap = wr_gap_before(&s->log, day, &s->findings);
    s->fit_options.hold_learning = s->gap.is_long;
    return WR_OK;
}

static enum wr_status build_durations(struct wr_durations *d, const struct wr_study *s, const struct wr_model_fit *fit,
                                      const struct wr_fit_options *options, struct wr_findings *findings,
                                      struct wr_error *err)
{
    return wr_durations_build(d, &s->plan, &s->net, &s->timing, fit, s->has_carry_over ? &s->carry_over : NULL, options,
                              findings, err);
}

/* What rests on the posterior cannot become surer than its draws allow: more trials than usual buy draws in
 * proportion. */
static size_t draws_for(size_t usual, size_t trials)
{
    size_t times = trials / WR_USUAL_TRIALS;

    return usual * (times < 1 ? 1 : times < MOST_DRAWS_TIMES ? times : MOST_DRAWS_TIMES);
}

static void release_fit(struct wr_study *s)
{
    wr_durations_release(&s->durations);
    wr_model_fit_release(&s->fit);
}

/* With as many draws as the precision asked for takes; found: by the fit that stands. */
static enum wr_status fit_precisely(struct wr_study *s, struct wr_findings *found, struct wr_error *err)
{
    for (bool enough = false;;) {
        enum wr_status status = wr_model_fit(&s->fit, &s->plan, &s->timing, &s->fit_options, found, err);
        if (!status) status = build_durations(&s->durations, s, &s->fit, &s->fit_options, found, err);
        if (!status) status = wr_study_weigh_draws(s, &enough, err);
        if (status || enough) return status;
        release_fit(s);
        wr_findings_release(found);
    }
}

enum wr_status wr_study_model(struct wr_study *s, struct wr_error *err)
{
    s->fit_options = s->options.fit;
    s->fit_options.sampler.seed = s->options.seed;
    s->fit_options.sampler.n_keep = draws_for(s->options.fit.sampler.n_keep, s->options.n_trial);
    s->fit_options.sampler.n_thread = s->options.n_thread;
    enum wr_status status = look_at_gap(s, err);
    if (status) return status;
    status = wr_study_learn_from_earlier(s, err);
    if (status) return status;
    if (s->has_history && s->fit_options.target == WR_FOR_EXCURSION) {
        status = wr_carry_over_fit(&s->carry_over, &s->history, err);
        if (status) return status;
        s->has_carry_over = true;
    }
    WR_RELEASED_BY(wr_findings_release) struct wr_findings found = {0};
    status = fit_precisely(s, &found, err);
    for (size_t i = 0; i < found.n_finding; i++) {
        const struct wr_finding *f = &found.finding[i];
        wr_findings_add(&s->findings, f->severity, f->code, f->file, f->line, f->column, "%s", f->message);
    }
    return status;
}

struct wr_sim_options wr_study_sim_options(const struct wr_study *s)
{
    return (struct wr_sim_options){
        .n_trial = s->options.n_trial,
        .precision = s->options.precision.known ? s->options.precision.value : 0,
        .seed = s->options.seed,
        .n_thread = s->options.n_thread,
        .limit = s->limit,
        .n_limit = s->limits.n_limit,
    };
}

/* A run effect given from outside moves the answer where there are few rehearsals, and may do harm: the answer that the
 * rehearsals alone would have given is said beside it. */
static enum wr_status say_default_beside(struct wr_study *s, const struct wr_sim_options *sim, struct wr_error *err)
{
    struct wr_fit_options usual = s->fit_options;
    WR_RELEASED_BY(wr_model_fit_release) struct wr_model_fit fit = {0};
    WR_RELEASED_BY(wr_durations_release) struct wr_durations durations = {0};
    WR_RELEASED_BY(wr_forecast_release) struct wr_forecast f = {0};
    WR_RELEASED_BY(wr_findings_release) struct wr_findings unused = {0};

    usual.priors = wr_priors_default();
    usual.priors.learning = s->fit_options.priors.learning;
    usual.priors.skew = s->fit_options.priors.skew;
    enum wr_status status = wr_model_fit(&fit, &s->plan, &s->timing, &usual, &unused, err);
    if (!status) status = build_durations(&durations, s, &fit, &usual, &unused, err);
    if (!status) status = wr_forecast_run(&f, &s->net, &durations, sim, err);
    if (!status && f.n_limit > 0)
        wr_findings_add(
            &s->findings, WR_WARNING, "run-effect-given", NULL, 0, 0,
            "the run effect was given from outside; with the default prior %.1f of 100 (90 %% interval %.1f to "
            "%.1f) would go over %s, half of the finishes by %s",
            100 * f.limit[0].over.mean, 100 * f.limit[0].over.lo, 100 * f.limit[0].over.hi,
            wr_hmm(sim->limit[0].minutes, WR_ROOM), wr_hmm(f.quantile_min[WR_Q50], WR_ROOM));
    else if (!status)
        wr_findings_add(&s->findings, WR_WARNING, "run-effect-given", NULL, 0, 0,
                        "the run effect was given from outside; with the default prior half of the finishes come by %s",
                        wr_hmm(f.quantile_min[WR_Q50], WR_ROOM));
    return status;
}

/* Every moment is shown to the minute. */
static void say_if_short(struct wr_study *s)
{
    enum { SHORT_MIN = 5, MEDIAN = 4 };
    double half = s->forecast.quantile_min[MEDIAN];

    if (half > 0 && half < SHORT_MIN)
        wr_findings_add(&s->findings, WR_WARNING, "short-day", NULL, 0, 0,
                        "half of the finishes come within %.1f min, and times are shown to the minute: if the log "
                        "counts in another unit, "
                        "--minutes-in says so; --format json has every decimal",
                        half);
}

/* Its own trend is one of pool times: carried over to the excursion as the forecast is. Where learning is held there is
 * no step of it to be credited or not. */
static void lengthening_words(const struct wr_lengthening *l, const struct wr_study *s, bool is_held,
                              struct wr_str *out)
{
    const struct wr_plan_task *task = &s->plan.task[l->task];
    double carried = s->has_carry_over ? exp(wr_carry_over_mean_log(&s->carry_over, task->kind)) : 1;

    wr_str_addf(out, "'%s', %+.0f %% with each doubling: the forecast takes %.0f min", task->id, 100 * l->per_doubling,
                l->forecast_min);
    if (!is_held) wr_str_addf(out, ", without that credit %.0f", l->uncredited_min);
    wr_str_addf(out, ", by its own trend %.0f", carried * l->own_trend_min);
}

/* One trend is shared by all tasks: a task that goes the other way is forecast too short. */
static enum wr_status say_if_lengthening(struct wr_study *s, struct wr_error *err)
{
    enum { NAMED = 3 };
    const struct wr_compare_options options = {.by = WR_BY_NOTHING};
    bool is_held = s->fit_options.target == WR_FOR_EXCURSION || s->fit_options.hold_learning;
    WR_RELEASED_BY(wr_comparison_release) struct wr_comparison comparison = {0};
    WR_SCOPED struct wr_lengthening *found = NULL;
    WR_SCOPED_STR text = {0};

    if (s->timing.n_run == 0 || s->fit.post.n_draw == 0 || !s->fit_options.priors.learning) return WR_OK;
    enum wr_status status = wr_compare(&comparison, &s->log, &s->timing, &options, err);
    if (status) return status;
    size_t n = wr_find_lengthening(&found, &comparison, &s->timing, &s->forecast, &s->fit.post,
                                   is_held ? s->fit.last_order : s->fit.target_order);
    for (size_t i = 0; i < n && i < NAMED; i++) {
        if (i) wr_str_add(&text, "; ");
        lengthening_words(&found[i], s, is_held, &text);
    }
    if (n > NAMED) wr_str_addf(&text, "; and %zu more", n - NAMED);
    if (n > 0)
        wr_findings_add(&s->findings, WR_WARNING, "task-lengthens", NULL, 0, 0,
                        "%zu task%s shown to get longer over the rehearsals, and yet %s: %s", n,
                        n == 1 ? " is" : "s are",
                        is_held ? "forecast with the learning that all tasks share up to the last of them"
                                : "credited with the learning that all tasks share",
                        wr_str_text(&text));
    return WR_OK;
}

/* Where one finish in twenty takes this many times as long as half of them, a number would say nothing of any day. */
#define BEYOND_ALL_MEASURE 100

/* Rows that were lost come first: what is left of the log is then not what was meant. */
static void likely_cause(const struct wr_study *s, struct wr_str *out)
{
    if (s->log.rows_rejected > 0) {
        wr_str_addf(out, " (%zu of the log's %zu rows were rejected)", s->log.rows_rejected, s->log.rows_read);
        return;
    }
    for (size_t i = 0; i < s->findings.n_finding; i++) {
        const struct wr_finding *f = &s->findings.finding[i];
        if (strncmp(f->code, "implausible-", strlen("implausible-")) != 0) continue;
        wr_str_addf(out, " (%s)", f->message);
        return;
    }
}

static enum wr_status refuse_if_boundless(const struct wr_study *s, struct wr_error *err)
{
    double half = s->forecast.quantile_min[WR_Q50], late = s->forecast.quantile_min[WR_Q95];
    WR_SCOPED_STR cause = {0};

    if (isfinite(s->forecast.sd_min) && !(half > 0 && late > BEYOND_ALL_MEASURE * half)) return WR_OK;
    likely_cause(s, &cause);
    return wr_fail(err, WR_E_TOO_FEW,
                   "not enough data to say: from what was given, a day may take more than a hundred times as long as "
                   "half of them do%s: correct what `wetrun check` names",
                   wr_str_text(&cause));
}

static enum wr_status answer_for_excursion(struct wr_study *s, const struct wr_basis *basis,
                                           const struct wr_sim_options *sim, struct wr_error *err)
{
    if (!s->options.excursion_beside || !s->has_history || s->fit_options.target == WR_FOR_EXCURSION) return WR_OK;
    if (s->timing.n_run == 0 || s->fit_options.model == WR_MODEL_ALONE) return WR_OK;
    s->has_excursion = true;
    return wr_excursion_make(&s->excursion, &s->history, basis, sim, err);
}

enum wr_status wr_study_forecast(struct wr_study *s, struct wr_error *err)
{
    struct wr_sim_options sim = wr_study_sim_options(s);
    const struct wr_priors *priors = &s->fit_options.priors;

    sim.progress = s->options.progress;
    sim.progress_arg = s->options.progress_arg;
    enum wr_status status = wr_forecast_run(&s->forecast, &s->net, &s->durations, &sim, err);
    if (!status) status = refuse_if_boundless(s, err);
    if (!status) status = wr_study_check_precision(s, err);
    if (!status) say_if_short(s);
    if (!status) status = say_if_lengthening(s, err);
    if (!status && s->earlier.n > 0) status = wr_study_forecast_without_earlier(s, &sim, err);
    if (!status && (priors->tau_fixed > 0 || priors->tau_lognormal) && s->fit_options.model == WR_MODEL_POOLED)
        status = say_default_beside(s, &sim, err);
    const struct wr_basis basis = wr_study_basis(s);
    if (!status) status = wr_beside_make(s->beside, &s->n_beside, &basis, &s->gap, &sim, err);
    if (!status) wr_beside_to_limits(s->beside, s->n_beside, &s->forecast);
    if (!status) status = answer_for_excursion(s, &basis, &sim, err);
    return status;
}

/* The totals of the runs, seen without a model, beside the forecast: a disagreement becomes a finding. */
static void check_totals(struct wr_study *s)
{
    const struct wr_forecast *f = &s->forecast;
    const double half = f->quantile_min[WR_Q50],
                 ninth = f->quantile_min[WR_Q90]; /* 0.5 and 0.9: sd of the log from the middle */
    const struct wr_total_forecast forecast = {
        .median_min = half,
        .sd_log = log(ninth / half) / 1.2815515655446004,
        .slope_log = s->summary.has_learning ? s->summary.slope_log.value : 0,
        .target_order = s->fit_options.target == WR_FOR_EXCURSION ? s->fit.last_order : s->fit.target_order,
    };

    wr_total_check_make(&s->total, &s->plan, &s->net, &s->timing);
    if (!s->has_carry_over && half > 0 && ninth > half)
        s->disagreement = wr_total_check_compare(&s->total, &forecast, &s->findings);
}

enum wr_status wr_study_summary(struct wr_study *s, struct wr_error *err)
{
    (void)err;
    wr_fit_summarise(&s->summary, &s->fit, &s->durations, &s->timing, &s->fit_options);
    wr_summary_to_forecast(&s->summary, &s->forecast);
    check_totals(s);
    return WR_OK;
}

struct wr_basis wr_study_basis(const struct wr_study *s)
{
    return (struct wr_basis){.plan = &s->plan,
                             .net = &s->net,
                             .timing = &s->timing,
                             .fit_options = &s->fit_options,
                             .fit = &s->fit,
                             .carry_over = s->has_carry_over ? &s->carry_over : NULL,
                             .durations = &s->durations,
                             .limit = s->limit,
                             .n_limit = s->limits.n_limit};
}
