#include "wetrun/present/study_view.h"

#include <math.h>
#include "wetrun/network/planned.h"
#include "wetrun/present/debrief_view.h"
#include "wetrun/present/whatif_view.h"

struct wr_check_result wr_check_result_of(const struct wr_study *s)
{
    return (struct wr_check_result){.log = s->log.n_run ? &s->log : NULL, .plan = &s->plan,
                                    .timing = s->timing.n_run ? wr_study_timing_of_runs(s) : NULL,
                                    .rehearsed = s->has_rehearsed ? s->rehearsed.file : NULL, .findings = &s->findings,
                                    .limits = &s->limits, .screen = &s->screen};
}

static struct wr_earlier_result earlier_result_of(const struct wr_study *s)
{
    if (s->earlier.n == 0) return (struct wr_earlier_result){0};
    return (struct wr_earlier_result){.earlier = &s->earlier.taught,
                                      .usual = &s->earlier.usual,
                                      .without = s->earlier.without.n_trial ? &s->earlier.without : NULL};
}

struct wr_fit_result wr_fit_result_of(const struct wr_study *s)
{
    return (struct wr_fit_result){
        .plan = &s->plan,
        .log = s->log.n_run ? &s->log : NULL,
        .summary = &s->summary,
        .posterior = s->fit.post.n_draw ? &s->fit.post : NULL,
        .candidates = wr_study_has(s, WR_RESULT_CANDIDATES) ? &s->candidates : NULL,
        .earlier = earlier_result_of(s),
        .total = s->total.n_run ? &s->total : NULL,
        .disagreement = s->total.n_run ? &s->disagreement : NULL,
    };
}

struct wr_forecast_result wr_forecast_result_of(const struct wr_study *s)
{
    return (struct wr_forecast_result){.plan = &s->plan,
                                       .limits = &s->limits,
                                       .forecast = &s->forecast,
                                       .earlier = earlier_result_of(s),
                                       .timing = s->timing.n_run ? &s->timing : NULL,
                                       .beside = s->beside,
                                       .n_beside = s->n_beside,
                                       .planned_min = wr_network_planned_finish(&s->net, &s->plan),
                                       .gap = s->gap.known ? &s->gap : NULL,
                                       .judging = &s->durations.judging,
                                       .durations = &s->durations,
                                       .carry_over = s->has_carry_over ? &s->carry_over : NULL,
                                       .price = s->price,
                                       .n_price = s->n_price};
}

/* The times to begin by, if they are of no day under way. */
static const struct wr_cutoff_card *card_of_plan(const struct wr_study *s)
{
    const struct wr_study_cutoffs *c = &s->cutoffs;

    return wr_study_has(s, WR_RESULT_CUTOFFS) && !c->updated ? &c->card : NULL;
}

struct wr_pad_result wr_pad_result_of(const struct wr_study *s)
{
    return (struct wr_pad_result){.plan = &s->plan,
                                  .pad = &s->pad,
                                  .limits = &s->limits,
                                  .cutoffs = card_of_plan(s),
                                  .cutoff_limit = s->cutoffs.limit_name,
                                  .imposed = s->options.outside_hold,
                                  .forecast = &s->forecast};
}

static const struct wr_cutoff_card *card_of(const struct wr_study *s)
{
    return s->cutoffs.updated ? &s->cutoffs.update.card : &s->cutoffs.card;
}

struct wr_cutoff_result wr_cutoff_result_of(const struct wr_study *s)
{
    return (struct wr_cutoff_result){
        .plan = &s->plan,
        .limit_name = s->cutoffs.limit_name,
        .card = card_of(s),
        .over = s->cutoffs.over,
        .second = s->cutoffs.second,
        .update = s->cutoffs.updated ? &s->cutoffs.update : NULL,
        .imposed = s->options.outside_hold,
        .start_min = s->options.start_min,
        .limits = &s->limits,
        .price = s->price,
        .n_price = s->n_price,
        .first = WR_FIRST_GIVEN,
    };
}

struct wr_compare_result wr_compare_result_of(const struct wr_study *s)
{
    return (struct wr_compare_result){
        .plan = &s->plan, .log = &s->log, .timing = wr_study_timing_of_runs(s), .comparison = &s->comparison};
}

struct wr_backtest_result wr_backtest_result_of(const struct wr_study *s)
{
    return (struct wr_backtest_result){.plan = &s->plan, .log = &s->log, .backtest = &s->backtest,
                                       .complete_by = wr_timing_has_clock(&s->timing) ? s->complete_by : NULL};
}

struct wr_ready_result wr_ready_result_of(const struct wr_study *s)
{
    return (struct wr_ready_result){.plan = &s->plan, .log = &s->log, .limits = &s->limits, .ready = &s->ready,
                                    .complete_by = s->complete_by,
                                    .excursion = s->has_excursion ? &s->excursion : NULL};
}

static bool leaves_history_unused(const struct wr_study *s)
{
    return s->has_history && s->timing.n_run > 0 && s->fit_options.target == WR_FOR_REHEARSAL;
}

struct wr_runs_needed_result wr_runs_needed_result_of(const struct wr_study *s)
{
    struct wr_runs_needed_result result = {
        .plan = &s->plan, .limit_min = s->limits.n_limit ? s->limits.limit[0].minutes : 0, .needed = &s->runs_needed,
        .limits = &s->limits, .complete_by = s->complete_by, .no_learning = !s->fit_options.priors.learning,
        .history_unused = leaves_history_unused(s)};

    result.forecast = &s->forecast;
    result.grounds.open_by = wr_findings_open_by(&s->findings);
    if (result.grounds.open_by == WR_OPEN_BY_NOTHING)
        result.grounds = (struct wr_grounds){.n_rehearsal = s->timing.n_run,
                                             .n_complete = wr_timing_complete(&s->timing)};
    return result;
}

struct wr_chart_input wr_chart_input_of(const struct wr_study *s)
{
    return (struct wr_chart_input){
        .plan = &s->plan,
        .forecast = &s->forecast,
        .timing = s->timing.n_run ? &s->timing : NULL,
        .log = s->log.n_run ? &s->log : NULL,
        .limits = &s->limits,
        .confidence = s->confidence,
        .target = s->fit_options.target,
        .comparison = wr_study_has(s, WR_RESULT_COMPARISON) ? &s->comparison : NULL,
        .pad = wr_study_has(s, WR_RESULT_PAD) ? &s->pad : NULL,
        .cutoff = wr_study_has(s, WR_RESULT_CUTOFFS) ? wr_cutoff_result_of(s) : (struct wr_cutoff_result){0},
        .backtest = wr_study_has(s, WR_RESULT_BACKTEST) ? &s->backtest : NULL,
    };
}

/* The worst of the sampler's checks. */
static void sampler_state(struct wr_present_context *ctx, const struct wr_posterior *post)
{
    for (size_t i = 0; i < post->n_check; i++) {
        const struct wr_chain_check *c = &post->check[i];
        if (!isfinite(c->rhat) || !isfinite(c->ess)) continue;
        ctx->rhat = wr_known(ctx->rhat.known ? fmax(ctx->rhat.value, c->rhat) : c->rhat);
        ctx->effective_draws = wr_known(ctx->effective_draws.known ? fmin(ctx->effective_draws.value, c->ess) : c->ess);
    }
}

static bool leaves_out(const struct wr_study *s)
{
    bool may = s->options.search || wr_plan_drops(&s->plan);

    for (size_t i = 0; i < s->options.n_change; i++) may |= s->options.change[i].kind == WR_CHANGE_DROP;
    return may;
}

void wr_context_of_study(struct wr_present_context *ctx, const struct wr_study *s)
{
    ctx->campaign = s->name;
    ctx->anonymous = s->options.anonymous;
    ctx->n_run = s->timing.n_run;
    ctx->n_complete_run = wr_timing_complete(&s->timing);
    ctx->complete_by = s->complete_by;
    ctx->confidence = s->confidence;
    ctx->has_carry_over = s->has_history;
    ctx->no_forecast = s->plan.n_task > 0 && !wr_study_has(s, WR_RESULT_FORECAST);
    if (!wr_study_has(s, WR_RESULT_MODEL)) return;
    sampler_state(ctx, &s->fit.post);
    ctx->has_seed = true;
    ctx->seed = s->options.seed;
    ctx->n_trial = s->forecast.n_trial;
    ctx->has_target = true;
    ctx->target = s->fit_options.target;
    ctx->no_learning = !s->fit_options.priors.learning;
    ctx->holds_learning = ctx->target == WR_FOR_EXCURSION || s->fit_options.hold_learning;
    ctx->n_line_up = wr_durations_count_line_ups(&s->durations);
    ctx->line_up = s->durations.line_up;
    ctx->n_line_up_row = s->durations.n_line_up;
    ctx->people_named = s->fit_options.people != NULL;
    ctx->person = s->fit.person;
    ctx->n_lane = s->plan.n_lane;
    ctx->lane = s->plan.lane;
    ctx->leaves_out = leaves_out(s);
    ctx->history_unused = leaves_history_unused(s);
    ctx->excursion = s->has_excursion ? &s->excursion : NULL;
    ctx->excursion_limits = &s->limits;
    ctx->has_carry_over = s->has_carry_over;
}

void wr_context_of_result(struct wr_present_context *ctx, enum wr_result result, const struct wr_study *s)
{
    if (result == WR_RESULT_BACKTEST) ctx->has_target = false; /* forecast were the rehearsals that were held */
    if (result == WR_RESULT_SUMMARY || result == WR_RESULT_COMPARISON || result == WR_RESULT_BACKTEST)
        wr_context_leave_out_limits(ctx);
    if (result == WR_RESULT_FORECAST) ctx->second_words = ctx->excursion_words = NULL; /* it says them whole itself */
    if (result == WR_RESULT_PAD) ctx->n_trial = s->pad.n_trial;
    if (result == WR_RESULT_CUTOFFS) ctx->n_trial = card_of(s)->n_trial;
    if (result == WR_RESULT_WHATIF) ctx->n_trial = s->whatif.rows->n_trial;
}

enum wr_status wr_show_result(enum wr_result result, enum wr_format format, const struct wr_present_context *ctx,
                              const struct wr_study *s, struct wr_str *out, struct wr_error *err)
{
#define SHOW(id, name)                                                                                                 \
    case WR_RESULT_##id: {                                                                                             \
        const struct wr_##name##_result r = wr_##name##_result_of(s);                                                  \
        return wr_show_##name(format, ctx, &r, out, err);                                                              \
    }
    switch (result) {
        SHOW(SUMMARY, fit)
        SHOW(FORECAST, forecast)
        SHOW(COMPARISON, compare)
        SHOW(PAD, pad)
        SHOW(CUTOFFS, cutoff)
        SHOW(BACKTEST, backtest)
        SHOW(READY, ready)
        SHOW(RUNS_NEEDED, runs_needed)
    case WR_RESULT_DEBRIEF: {
        const struct wr_debrief_result r = {.log = &s->log,
                                            .plan = &s->plan,
                                            .debrief = &s->debrief,
                                            .limits = &s->limits,
                                            .comparison =
                                                wr_study_has(s, WR_RESULT_COMPARISON) ? &s->comparison : NULL};
        return wr_show_debrief(format, ctx, &r, out, err);
    }
    case WR_RESULT_WHATIF: {
        const struct wr_whatif_result r = {.whatif = s->whatif.rows, .variant_name = s->whatif.variant_name,
                                           .limit_name = s->whatif.limit_name,
                                           .search = s->options.search ? &s->whatif.found : NULL,
                                           .base = s->forecast.n_limit ? &s->forecast.limit[0] : NULL,
                                           .unordered = s->whatif.unordered,
                                           .in_vain = s->whatif.in_vain};
        return wr_show_whatif(format, ctx, &r, out, err);
    }
#undef SHOW
    case WR_RESULT_MODEL:
    case WR_RESULT_CANDIDATES:
    case WR_RESULT_PRICES:
    case WR_RESULT_OTHER_LIMITS:
    case WR_N_RESULT: break;
    }
    wr_bug(__FILE__, __LINE__, "a result without a view");
}
