#include "analysis.h"

#include <string.h>
#include "wetrun/base/memory.h"
#include "wetrun/campaign/log_time.h"
#include "wetrun/model/gap.h"

static enum wr_status take_run_effect_prior(struct wr_priors *priors, const char *text, struct wr_error *err)
{
    char median[64];
    const char *comma = strchr(text, ',');
    size_t len = comma ? (size_t)(comma - text) : strlen(text);

    if (len >= sizeof median) len = sizeof median - 1;
    memcpy(median, text, len);
    median[len] = '\0';
    priors->tau_lognormal = true;
    if (!wr_parse_double(median, &priors->tau_scale) || !(priors->tau_scale > 0) ||
        (comma && (!wr_parse_double(comma + 1, &priors->tau_logsd) || !(priors->tau_logsd > 0))))
        return wr_fail(err, WR_E_USAGE, "--run-effect-prior: '%s' is not MEDIAN or MEDIAN,LOGSD, both above 0", text);
    return WR_OK;
}

/* What rests on the posterior cannot become surer than its draws allow: more trials than usual buy draws in proportion, up
 * to a number that still fits in memory. */
static size_t draws_for(size_t usual, size_t trials)
{
    enum { MOST_TIMES = 16 };
    size_t times = trials / WR_USUAL_TRIALS;

    return usual * (times < 1 ? 1 : times < MOST_TIMES ? times : MOST_TIMES);
}

enum wr_status wr_fit_options_from(struct wr_fit_options *o, const struct wr_settings *settings, struct wr_error *err)
{
    *o = wr_fit_options_default();
    o->target = settings->target ? WR_FOR_EXCURSION : WR_FOR_REHEARSAL;
    o->model = settings->model ? WR_MODEL_ALONE : WR_MODEL_POOLED;
    o->triangular = settings->three_point == 1;
    o->no_people = settings->no_people;
    o->gap_allowance = settings->gap_allowance.known ? settings->gap_allowance.value : 0;
    o->priors.learning = settings->learning == 0;
    o->priors.skew = !settings->no_skew;
    if (settings->run_effect.known) o->priors.tau_fixed = settings->run_effect.value;
    o->sampler.seed = settings->seed;
    o->sampler.n_keep = draws_for(o->sampler.n_keep, settings->trials);
    o->sampler.n_thread = (unsigned)settings->threads;
    if (settings->run_effect_prior) {
        if (settings->run_effect.known)
            return wr_fail(err, WR_E_USAGE, "--run-effect gives the sd, --run-effect-prior estimates it: leave one out");
        return take_run_effect_prior(&o->priors, settings->run_effect_prior, err);
    }
    return WR_OK;
}

static void resolve_limits(struct wr_analysis *a)
{
    const struct wr_limits *limits = &a->in.limits;

    a->limit = WR_NEW_ARRAY(struct wr_sim_limit, limits->n_limit);
    for (size_t i = 0; i < limits->n_limit; i++) {
        const struct wr_limit *l = &limits->limit[i];
        a->limit[i] = (struct wr_sim_limit){
            .lanes = l->lanes, .is_clock = l->is_clock, .from = l->from, .to = l->to, .minutes = l->minutes};
    }
}

static enum wr_status look_at_gap(struct wr_analysis *a, const char *date, struct wr_error *err)
{
    int64_t day;

    if (!date) return WR_OK;
    if (!wr_parse_log_date(date, strlen(date), &day))
        return wr_fail(err, WR_E_USAGE, "--on: '%s' is not a date, YYYY-MM-DD", date);
    a->options.hold_learning = wr_gap_before(&a->in.log, day, &a->in.findings).is_long;
    return WR_OK;
}

enum wr_status wr_analysis_fit(struct wr_analysis *a, const struct wr_settings *settings, struct wr_error *err)
{
    enum wr_status status = wr_fit_options_from(&a->options, settings, err);

    if (status) return status;
    status = wr_load(&a->in, settings, NULL, err);
    if (status) return status;
    a->options.people = a->in.people;
    resolve_limits(a);
    status = look_at_gap(a, settings->on, err);
    if (status) return status;
    status = wr_model_fit(&a->fit, &a->in.plan, &a->in.timing, &a->options, &a->in.findings, err);
    if (status) return status;
    if (a->in.has_history && a->options.target == WR_FOR_EXCURSION) {
        status = wr_carry_over_fit(&a->carry_over, &a->in.history, err);
        if (status) return status;
        a->has_carry_over = true;
    }
    return wr_durations_build(&a->durations, &a->in.plan, &a->in.net, &a->in.timing, &a->fit,
                              a->has_carry_over ? &a->carry_over : NULL, &a->options, &a->in.findings, err);
}

struct wr_sim_options wr_sim_options_of(const struct wr_analysis *a, const struct wr_settings *settings,
                                        struct wr_progress *progress)
{
    return (struct wr_sim_options){
        .n_trial = settings->trials,
        .seed = settings->seed,
        .n_thread = (unsigned)settings->threads,
        .limit = a->limit,
        .n_limit = a->in.limits.n_limit,
        .progress = wr_progress_show,
        .progress_arg = progress,
    };
}

/* A run effect given from outside moves the answer where there are few rehearsals, and may do harm: the answer that the
 * rehearsals alone would have given is said beside it. */
static enum wr_status say_default_beside(struct wr_analysis *a, const struct wr_sim_options *sim, struct wr_error *err)
{
    struct wr_fit_options usual = a->options;
    struct wr_model_fit fit = {0};
    struct wr_durations durations = {0};
    struct wr_forecast f = {0};
    struct wr_findings unused = {0};
    char at[WR_CLOCK_TEXT], half[WR_CLOCK_TEXT];

    usual.priors = wr_priors_default();
    usual.priors.learning = a->options.priors.learning;
    usual.priors.skew = a->options.priors.skew;
    enum wr_status status = wr_model_fit(&fit, &a->in.plan, &a->in.timing, &usual, &unused, err);
    if (!status)
        status = wr_durations_build(&durations, &a->in.plan, &a->in.net, &a->in.timing, &fit,
                                    a->has_carry_over ? &a->carry_over : NULL, &usual, &unused, err);
    if (!status) status = wr_forecast_run(&f, &a->in.net, &durations, sim, err);
    if (!status && f.n_limit > 0)
        wr_findings_add(&a->in.findings, WR_WARNING, "run-effect-given", NULL, 0, 0,
                        "the run effect was given from outside; with the default prior %.1f of 100 (90 %% interval %.1f to "
                        "%.1f) would go over %s, half of the finishes by %s", 100 * f.limit[0].over.mean,
                        100 * f.limit[0].over.lo, 100 * f.limit[0].over.hi, wr_hmm(sim->limit[0].minutes, at),
                        wr_hmm(f.quantile_min[4], half));
    else if (!status)
        wr_findings_add(&a->in.findings, WR_WARNING, "run-effect-given", NULL, 0, 0,
                        "the run effect was given from outside; with the default prior half of the finishes come by %s",
                        wr_hmm(f.quantile_min[4], half));
    wr_forecast_release(&f);
    wr_durations_release(&durations);
    wr_model_fit_release(&fit);
    wr_findings_release(&unused);
    return status;
}

enum wr_status wr_analysis_forecast(struct wr_analysis *a, const struct wr_settings *settings,
                                    struct wr_progress *progress, struct wr_error *err)
{
    enum wr_status status = wr_analysis_fit(a, settings, err);

    if (status) return status;
    const struct wr_sim_options options = wr_sim_options_of(a, settings, progress);
    status = wr_forecast_run(&a->forecast, &a->in.net, &a->durations, &options, err);
    if (!status && (settings->run_effect.known || settings->run_effect_prior) && a->options.model == WR_MODEL_POOLED)
        status = say_default_beside(a, &options, err);
    wr_progress_clear(progress);
    return status;
}

void wr_context_of_analysis(struct wr_context *context, const struct wr_analysis *a, const struct wr_settings *settings)
{
    context->present.has_seed = true;
    context->present.seed = settings->seed;
    context->present.n_trial = a->forecast.n_trial;
    context->present.has_target = true;
    context->present.target = a->options.target;
    context->present.has_carry_over = a->has_carry_over;
}

struct wr_basis wr_basis_of(const struct wr_analysis *a)
{
    return (struct wr_basis){.plan = &a->in.plan,
                             .net = &a->in.net,
                             .timing = &a->in.timing,
                             .fit_options = &a->options,
                             .fit = &a->fit,
                             .carry_over = a->has_carry_over ? &a->carry_over : NULL,
                             .durations = &a->durations,
                             .limit = a->limit,
                             .n_limit = a->in.limits.n_limit};
}

struct wr_variant wr_variant_of(const struct wr_analysis *a)
{
    return (struct wr_variant){.name = "as it is",
                               .net = &a->in.net,
                               .durations = &a->durations,
                               .limit = a->limit,
                               .n_limit = a->in.limits.n_limit};
}

enum wr_status wr_analysis_price_rules(struct wr_analysis *a, const struct wr_settings *settings, struct wr_error *err)
{
    enum { DAYS = 4000 }; /* paired: enough for a tenth of a hundredth */
    const struct wr_variant as_it_is = wr_variant_of(a);
    const struct wr_whatif_options options = {
        .n_trial = DAYS, .seed = settings->seed, .n_thread = (unsigned)settings->threads};

    return wr_drop_prices(&a->price, &a->n_price, &as_it_is, &options, err);
}

struct wr_forecast_result wr_forecast_result_of(const struct wr_analysis *a)
{
    return (struct wr_forecast_result){.plan = &a->in.plan,
                                       .limits = &a->in.limits,
                                       .forecast = &a->forecast,
                                       .carry_over = a->has_carry_over ? &a->carry_over : NULL,
                                       .price = a->price,
                                       .n_price = a->n_price};
}

void wr_analysis_release(struct wr_analysis *a)
{
    wr_free(a->price);
    wr_forecast_release(&a->forecast);
    wr_free(a->limit);
    wr_durations_release(&a->durations);
    if (a->has_carry_over) wr_carry_over_release(&a->carry_over);
    wr_model_fit_release(&a->fit);
    wr_loaded_release(&a->in);
    *a = (struct wr_analysis){0};
}
