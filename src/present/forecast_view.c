#include "forecast_parts.h"

#include <string.h>
#include "earlier_json.h"
#include "wetrun/decide/limit_needed.h"
#include "wetrun/decide/rehearsed.h"
#include "wetrun/present/beside_view.h"
#include "wetrun/present/excursion_view.h"
#include "wetrun/present/prose.h"

enum { TASKS_ON_TERMINAL = 10 };

static void add_finish_grid(const struct wr_present_context *ctx, const struct wr_forecast_result *result,
                            struct wr_str *out)
{
    struct wr_grid all, shown;

    wr_grid_of_finish(result, &all);
    size_t n_shown = result->forecast->nothing_unknown ? 2 : all.n_column; /* then there are no intervals */
    wr_grid_init(&shown, all.column, n_shown);
    for (size_t q = 0; q < WR_N_QUANTILE; q++) { /* the two that only frame the 95 % interval are left to machines */
        if (q == WR_Q2_5 || q == WR_Q97_5) continue;
        for (size_t c = 0; c < n_shown; c++) wr_grid_number(&shown, all.value[q * all.n_column + c].number);
    }
    wr_grid_release(&all);
    wr_context_add_grid(ctx, NULL, &shown, out);
    WR_SCOPED_STR span = {0};
    forecast_span_words(result->forecast, &span);
    wr_prose_say(out, &span);
}

/* The verdict on the first limit is the first sentence of all; those on the others stand here. */
static void add_other_verdicts(const struct wr_present_context *ctx, const struct wr_forecast_result *result,
                               struct wr_str *out)
{
    WR_SCOPED_STR text = {0};

    for (size_t i = 1; i < result->forecast->n_limit; i++) {
        const char *verdict = forecast_verdict_said(ctx, &result->forecast->limit[i],
                                                    wr_wanted_confidence(ctx, result->limits, i));
        if (!verdict) continue;
        wr_str_addf(&text, "%s: %s", result->limits->limit[i].name, verdict);
        forecast_add_lack(ctx, &result->forecast->limit[i], wr_wanted_confidence(ctx, result->limits, i), &text);
        wr_str_add_char(&text, '.');
        wr_prose_say(out, &text);
    }
}

static void add_beside(const struct wr_present_context *ctx, const struct wr_forecast_result *result,
                       struct wr_str *out)
{
    WR_SCOPED_STR text = {0};
    struct wr_grid grid;

    wr_beside_words(result, &text);
    if (text.len) {
        wr_str_add_char(out, '\n');
        wr_prose_add(out, wr_str_text(&text), 0, WR_TERMINAL_COLUMNS);
    }
    wr_grid_of_beside(ctx, result, &grid);
    if (result->n_beside > 0) wr_context_add_grid(ctx, NULL, &grid, out);
    else wr_grid_release(&grid);
    wr_grid_of_beside_others(result, &grid);
    wr_context_add_grid(ctx, NULL, &grid, out);
}

static void add_how(const struct wr_present_context *ctx, const struct wr_forecast_result *result, struct wr_str *out)
{
    const struct wr_forecast *f = result->forecast;
    WR_SCOPED_STR text = {0}, rules = {0};

    wr_str_addf(&text, "%zu trials over %zu draw%s of what is not known", f->n_trial, f->n_draw,
                f->n_draw == 1 ? "" : "s");
    if (f->precision > 0) wr_str_addf(&text, ", as many as --precision %g takes", f->precision);
    if (ctx->has_seed) wr_str_addf(&text, ", seed %llu", (unsigned long long)ctx->seed);
    if (f->n_limit > 0) {
        wr_str_add(&text, "; Monte Carlo error of those over the limit ");
        wr_add_error(&text, 100.0 * f->limit[0].over.mc_error, 0.01);
        wr_str_add(&text, " of 100");
    }
    wr_str_addf(&text, "%s of the median finish ", f->n_limit > 0 ? "," : "; Monte Carlo error");
    wr_add_error(&text, f->quantile_mc_error_min[WR_Q50], 0.001);
    wr_str_add(&text, " min.");
    wr_rules_rest_words(result, &rules);
    if (rules.len > 0) wr_str_add_char(&text, ' ');
    wr_add_capital(&text, wr_str_text(&rules));
    if (rules.len > 0) wr_str_add_char(&text, '.');
    wr_str_add_char(out, '\n');
    wr_prose_add(out, wr_str_text(&text), 0, WR_TERMINAL_COLUMNS);
}

static void add_earlier(const struct wr_forecast_result *result, struct wr_str *out)
{
    WR_SCOPED_STR text = {0};

    if (!result->earlier.earlier) return;
    wr_earlier_sentence(&result->earlier, result->forecast, &text);
    wr_str_add_char(out, '\n');
    wr_prose_add(out, wr_str_text(&text), 0, WR_TERMINAL_COLUMNS);
}

/* The table has each rule alone, and counts whose difference may be rounding. */
static void add_rules_buy(const struct wr_present_context *ctx, const struct wr_forecast_result *result,
                          struct wr_str *out)
{
    WR_SCOPED_STR said = {0}, rules = {0}, each = {0}, always = {0}, text = {0};

    wr_rules_buy_words(result, &rules);
    wr_each_rule_words(result, &each);
    wr_always_dropped_words(result, &always);
    if (rules.len == 0) return;
    if (ctx->first_is) wr_str_addf(&said, "%s, ", ctx->first_is);
    wr_str_add(&said, wr_str_text(&rules));
    wr_add_capital(&text, wr_str_text(&said));
    wr_str_add(&text, ". ");
    if (each.len > 0) wr_add_capital(&text, wr_str_text(&each));
    if (each.len > 0) wr_str_add(&text, ". ");
    wr_add_capital(&text, wr_str_text(&always));
    wr_str_add_char(&text, '.');
    wr_prose_add(out, wr_str_text(&text), 0, WR_TERMINAL_COLUMNS);
}

static void forecast_table(const struct wr_present_context *ctx, const struct wr_forecast_result *result,
                           struct wr_str *out)
{
    WR_SCOPED_STR text = {0};
    struct wr_grid grid;

    wr_forecast_sentence(ctx, result, &text);
    wr_prose_say(out, &text);
    if (ctx->excursion) wr_excursion_words(ctx, &text); /* beside the answer that may be taken for it */
    if (text.len > 0) wr_prose_say(out, &text);
    wr_beside_sentence(ctx, result, &text);
    if (text.len > 0) wr_prose_say(out, &text);
    forecast_add_when(result, &text);
    wr_prose_say(out, &text);
    wr_takes_sentence(ctx, result, &text);
    wr_prose_say(out, &text);
    wr_planned_sentence(ctx, result, &text);
    wr_prose_say(out, &text);
    wr_not_in_it_sentence(ctx, result, &text);
    wr_prose_say(out, &text);
    wr_context_headline(ctx, "forecast", &text);
    wr_str_add_char(&text, '.');
    wr_prose_say(out, &text);

    add_finish_grid(ctx, result, out);
    if (result->forecast->n_limit > 0) {
        wr_grid_of_limits(ctx, result, &grid);
        wr_context_add_grid(ctx, NULL, &grid, out);
        if (wr_n_answers(result) > 1)
            wr_str_addf(&text, "The table of limits is the first answer's, %s.",
                        wr_not_assumed_words(result->beside[result->n_beside - 1].kind));
        wr_prose_say(out, &text);
        add_other_verdicts(ctx, result, out);
    }
    add_beside(ctx, result, out);
    forecast_fill_drivers(result, TASKS_ON_TERMINAL, &grid);
    forecast_add_shared_rows(&grid, result->forecast);
    wr_context_add_grid(ctx, NULL, &grid, out);
    forecast_far_out_words(result->forecast, &text);
    wr_prose_say(out, &text);
    wr_grid_of_lanes(result, &grid);
    wr_context_add_grid(ctx, NULL, &grid, out);
    wr_grid_of_drop_rules(result, &grid);
    if (result->n_price > 0) {
        wr_context_add_grid(ctx, NULL, &grid, out);
        add_rules_buy(ctx, result, out);
    } else {
        wr_grid_release(&grid);
    }
    if (result->carry_over) {
        wr_grid_of_carry_over(result, &grid);
        wr_context_add_grid(ctx, NULL, &grid, out);
    }
    add_earlier(result, out);
    add_how(ctx, result, out);
}

static void probability_json(struct wr_json *j, json_t *at, const char *key, const struct wr_probability *p)
{
    json_t *o = wr_json_object(j, at, key);

    wr_json_number(j, o, "probability", p->mean);
    wr_json_interval(j, o, "interval", p);
    wr_json_number(j, o, "interval_level", FORECAST_INTERVAL_LEVEL);
    wr_json_number(j, o, "mc_error", p->mc_error);
    wr_json_pair_if(j, o, "interval_mc_error", !p->no_interval, p->lo_mc_error, p->hi_mc_error);
}

static void finish_json(struct wr_json *j, const struct wr_forecast_result *result)
{
    const struct wr_forecast *f = result->forecast;
    json_t *finish = wr_json_object(j, j->root, "finish");

    bool says = forecast_sd_says(f);
    wr_json_maybe(j, finish, "mean_min", says ? wr_known(f->mean_min) : WR_UNKNOWN);
    wr_json_maybe(j, finish, "sd_min", says ? wr_known(f->sd_min) : WR_UNKNOWN);
    wr_json_maybe(j, finish, "mean_mc_error_min", says ? wr_known(f->mean_mc_error_min) : WR_UNKNOWN);
    wr_json_maybe(j, finish, "planned_min", result->planned_min);
    json_t *quantiles = wr_json_object(j, finish, "quantiles_min");
    json_t *intervals = wr_json_object(j, finish, "quantiles_interval_min");
    json_t *errors = wr_json_object(j, finish, "quantiles_mc_error_min");
    for (size_t q = 0; q < WR_N_QUANTILE; q++) {
        char key[32];
        snprintf(key, sizeof key, "%g", wr_quantile_prob[q]);
        wr_json_number(j, quantiles, key, f->quantile_min[q]);
        wr_json_number(j, errors, key, f->quantile_mc_error_min[q]);
        const struct wr_finish_ends ends = wr_finish_ends(f, q);
        wr_json_pair_if(j, intervals, key, !f->nothing_unknown, ends.lo_min, ends.hi_min);
    }
    wr_json_bool(j, finish, "intervals_span_answers", forecast_spans_answers(f));
}

bool forecast_is_all_lanes(const struct wr_plan *plan, uint32_t lanes)
{
    return lanes == (plan->n_lane < 32 ? (1u << plan->n_lane) - 1 : UINT32_MAX);
}

static void second_json(struct wr_json *j, json_t *at, const char *key, const char *hi_key,
                        const struct wr_second *second)
{
    wr_json_maybe(j, at, key, second->known ? wr_known(second->over.mean) : WR_UNKNOWN);
    wr_json_maybe(j, at, hi_key, second->known && !second->over.no_interval ? wr_known(second->over.hi) : WR_UNKNOWN);
}

static void limits_json(struct wr_json *j, const struct wr_present_context *ctx,
                        const struct wr_forecast_result *result)
{
    json_t *limits = wr_json_array(j, j->root, "limits");

    for (size_t i = 0; i < result->forecast->n_limit; i++) {
        const struct wr_limit *limit = &result->limits->limit[i];
        const struct wr_probability *over = &result->forecast->limit[i].over;
        struct wr_maybe confidence = wr_wanted_confidence(ctx, result->limits, i);
        WR_SCOPED_STR crew = {0};
        json_t *row = wr_json_row(j, limits);

        if (forecast_is_all_lanes(result->plan, limit->lanes))
            wr_str_add(&crew, "all"); /* as limits.csv has it, whatever the number of lanes */
        else
            wr_lanes_words(result->plan, limit->lanes, &crew);
        wr_json_text(j, row, "limit", limit->name);
        wr_json_text(j, row, "crew", wr_str_text(&crew));
        wr_json_number(j, row, "minutes", limit->minutes);
        if (limit->is_clock) {
            wr_json_text(j, row, "from", result->plan->task[limit->from].id);
            wr_json_text(j, row, "to", result->plan->task[limit->to].id);
        }
        wr_json_number(j, row, "probability_over", over->mean);
        wr_json_interval(j, row, "interval", over);
        wr_json_number(j, row, "mc_error", over->mc_error);
        wr_json_maybe(j, row, "confidence", confidence);
        second_json(j, row, "second_probability_over", "second_probability_over_hi",
                    &result->forecast->limit[i].second);
        wr_json_text(j, row, "verdict", forecast_verdict_or_null(ctx, &result->forecast->limit[i], confidence));
    }
}

static void curve_json(struct wr_json *j, const struct wr_forecast *f)
{
    json_t *curve = wr_json_array(j, j->root, "limit_curve");

    for (size_t i = 0; i < f->n_curve; i++) {
        json_t *row = wr_json_row(j, curve);
        wr_json_number(j, row, "limit_min", f->curve_limit_min[i]);
        wr_json_number(j, row, "probability_over", f->curve_over[i]);
        wr_json_pair_if(j, row, "interval", !f->nothing_unknown, f->curve_lo[i], f->curve_hi[i]);
    }
}

static void gap_json(struct wr_json *j, const struct wr_gap *gap)
{
    json_t *o = wr_json_object_if(j, j->root, "gap", gap);

    if (!o) return;
    wr_json_number(j, o, "since_last_days", gap->since_last_days);
    wr_json_number(j, o, "longest_between_days", gap->longest_between_days);
    wr_json_bool(j, o, "longer_than_any", gap->is_long);
}

static void factor_json(struct wr_json *j, json_t *at, const char *key, bool restated, const struct wr_judged_factor *f)
{
    json_t *o = wr_json_object_if(j, at, key, restated);

    if (!o) return;
    wr_json_number(j, o, "factor", f->median);
    wr_json_pair(j, o, "interval", f->lo, f->hi);
}

static void judgement_json(struct wr_json *j, const struct wr_judging_found *judging)
{
    json_t *o = wr_json_object_if(j, j->root, "judgement", judging);

    if (!o) return;
    wr_json_count(j, o, "tasks", judging->n_task);
    wr_json_count(j, o, "judged_and_timed", judging->n_record);
    wr_json_bool(j, o, "earlier_campaigns", judging->by_earlier);
    wr_json_bool(j, o, "restated", judging->restated);
    factor_json(j, o, "bias", judging->restated, &judging->bias);
    factor_json(j, o, "widening", judging->restated, &judging->widening);
}

/* The rehearsed finishes against the first limit, and how late half of the finishes over it are. */
static void rehearsed_json(struct wr_json *j, const struct wr_forecast_result *result)
{
    if (!forecast_first_is_of_all(result)) return;
    wr_json_maybe(j, j->root, "half_of_over_late_min", forecast_half_late_min(result));
    if (!result->timing) return;
    const struct wr_rehearsed seen = wr_rehearsed_against(result->timing, result->limits->limit[0].minutes);
    json_t *at = wr_json_object(j, j->root, "rehearsed");
    wr_json_count(j, at, "complete", seen.n_complete);
    wr_json_count(j, at, "over", seen.n_over);
    wr_json_count(j, at, "incomplete", seen.n_incomplete);
    wr_json_count(j, at, "incomplete_over", seen.n_incomplete_over);
    wr_json_maybe(j, at, "least_min", seen.n_complete ? wr_known(seen.least_min) : WR_UNKNOWN);
    wr_json_maybe(j, at, "most_min", seen.n_complete ? wr_known(seen.most_min) : WR_UNKNOWN);
    wr_json_count(j, at, "past_drop_rule", seen.n_past_rule);
    wr_json_count(j, at, "over_by_rules", seen.n_over_by_rules);
    wr_json_maybe(j, at, "least_by_rules_min", seen.n_complete ? wr_known(seen.least_by_rules_min) : WR_UNKNOWN);
    wr_json_maybe(j, at, "most_by_rules_min", seen.n_complete ? wr_known(seen.most_by_rules_min) : WR_UNKNOWN);
}

static enum wr_status forecast_json(const struct wr_present_context *ctx, const struct wr_forecast_result *result,
                                    const struct wr_grid *drivers, struct wr_str *out, struct wr_error *err)
{
    const struct wr_forecast *f = result->forecast;
    struct wr_grid lanes; /* then the drop rules */
    WR_SCOPED_STR sentence = {0};
    struct wr_json j;

    wr_json_begin(&j, ctx);
    struct wr_maybe confidence = f->n_limit > 0 ? wr_wanted_confidence(ctx, result->limits, 0) : WR_UNKNOWN;
    wr_json_text(&j, j.root, "verdict",
                 f->n_limit > 0 ? forecast_verdict_or_null(ctx, &f->limit[0], confidence) : NULL);
    wr_context_add_doubtful(ctx, &sentence);
    wr_forecast_sentence(ctx, result, &sentence);
    wr_json_text(&j, j.root, "answer", wr_str_text(&sentence));
    wr_json_count(&j, j.root, "trials", f->n_trial);
    wr_json_count(&j, j.root, "draws", f->n_draw);
    if (f->precision > 0) wr_json_number(&j, j.root, "precision", f->precision);
    wr_json_maybe(&j, j.root, "limit_min", f->n_limit > 0 ? wr_known(result->limits->limit[0].minutes) : WR_UNKNOWN);
    wr_json_maybe(&j, j.root, "confidence", confidence);
    if (f->n_limit > 0)
        probability_json(&j, j.root, "overrun", &f->limit[0].over);
    else
        wr_json_null(&j, j.root, "overrun");
    rehearsed_json(&j, result);
    finish_json(&j, result);
    limits_json(&j, ctx, result);
    wr_json_maybe(&j, j.root, "any_limit_over", f->n_limit > 0 ? wr_known(f->any_over.mean) : WR_UNKNOWN);
    if (f->n_limit > 0) wr_json_interval(&j, j.root, "any_limit_over_interval", &f->any_over);
    second_json(&j, j.root, "second_any_limit_over", "second_any_limit_over_hi", &f->any_second);
    wr_grid_of_lanes(result, &lanes);
    wr_json_take_grid(&j, j.root, "crews", &lanes);
    wr_grid_of_drop_rules(result, &lanes);
    wr_json_take_grid(&j, j.root, "drop_rules", &lanes);
    wr_grid_of_beside(ctx, result, &lanes);
    wr_json_take_grid(&j, j.root, "beside", &lanes);
    gap_json(&j, result->gap);
    judgement_json(&j, result->judging);
    wr_grid_of_carry_over(result, &lanes);
    wr_json_grid(&j, j.root, "carry_over", &lanes);
    wr_json_grid(&j, j.root, "tasks", drivers);
    wr_json_number(&j, j.root, "run_effect_share", f->run_effect_share);
    wr_json_number(&j, j.root, "people_share", f->people_share);
    wr_json_number(&j, j.root, "parameter_share", f->parameter_share);
    wr_json_number(&j, j.root, "interaction_share", wr_interaction_share(f));
    wr_earlier_json(&j, &result->earlier);
    curve_json(&j, f);
    wr_grid_release(&lanes);
    return wr_json_finish(&j, out, err);
}

/* Everything that will be shown as a table is looked at once, so that no rendering meets a number that is none. */
static enum wr_status check_all(const struct wr_present_context *ctx, const struct wr_forecast_result *result,
                                const struct wr_grid *drivers, struct wr_error *err)
{
    WR_SCOPED_GRID finish = {0}, limits = {0}, lanes = {0}, rules = {0};
    enum wr_status status = wr_grid_check(drivers, err);

    wr_grid_of_finish(result, &finish);
    if (status == WR_OK) status = wr_grid_check(&finish, err);
    wr_grid_of_limits(ctx, result, &limits);
    if (status == WR_OK) status = wr_grid_check(&limits, err);
    wr_grid_of_lanes(result, &lanes);
    if (status == WR_OK) status = wr_grid_check(&lanes, err);
    wr_grid_of_drop_rules(result, &rules);
    return status == WR_OK ? wr_grid_check(&rules, err) : status;
}

/* CSV is one table: the answer stands in columns of its own, the same in every row. */
static void csv_of_forecast(const struct wr_present_context *ctx, const struct wr_forecast_result *result,
                            const struct wr_grid *drivers, struct wr_str *out)
{
    static const struct wr_column answer[] = {
        {"finish_p5_min", "", WR_UNIT_MINUTES, WR_MACHINE, 0},
        {"finish_p50_min", "", WR_UNIT_MINUTES, WR_MACHINE, 0},
        {"finish_p80_min", "", WR_UNIT_MINUTES, WR_MACHINE, 0},
        {"finish_p90_min", "", WR_UNIT_MINUTES, WR_MACHINE, 0},
        {"finish_p95_min", "", WR_UNIT_MINUTES, WR_MACHINE, 0},
        {"limit_min", "", WR_UNIT_MINUTES, WR_MACHINE, 0},
        {"probability_over", "", WR_UNIT_SHARE, WR_MACHINE, 0},
        {"probability_over_lo", "", WR_UNIT_SHARE, WR_MACHINE, 0},
        {"probability_over_hi", "", WR_UNIT_SHARE, WR_MACHINE, 0},
        {"any_limit_over", "", WR_UNIT_SHARE, WR_MACHINE, 0},
        {"second_assumption", "", WR_UNIT_TEXT, WR_MACHINE, 0},
        {"second_probability_over", "", WR_UNIT_SHARE, WR_MACHINE, 0},
        {"second_probability_over_hi", "", WR_UNIT_SHARE, WR_MACHINE, 0},
        {"excursion_finish_p50_min", "", WR_UNIT_MINUTES, WR_MACHINE, 0},
        {"excursion_probability_over", "", WR_UNIT_SHARE, WR_MACHINE, 0},
        {"excursion_probability_over_lo", "", WR_UNIT_SHARE, WR_MACHINE, 0},
        {"excursion_probability_over_hi", "", WR_UNIT_SHARE, WR_MACHINE, 0},
        {"excursion_second_assumption", "", WR_UNIT_TEXT, WR_MACHINE, 0},
        {"excursion_second_probability_over", "", WR_UNIT_SHARE, WR_MACHINE, 0},
        {"excursion_second_probability_over_hi", "", WR_UNIT_SHARE, WR_MACHINE, 0},
    };
    enum { N_ANSWER = sizeof answer / sizeof *answer, N_ALL = FORECAST_DRIVER_COLUMNS + N_ANSWER };
    static const size_t quantile[] = {WR_Q5, WR_Q50, WR_Q80, WR_Q90, WR_Q95};
    const struct wr_forecast *f = result->forecast;
    bool has_limit = f->n_limit > 0;
    const struct wr_probability *over = has_limit ? &f->limit[0].over : NULL;
    const struct wr_forecast *excursion = ctx->excursion ? &ctx->excursion->forecast : NULL;
    const struct wr_probability *beyond = excursion && has_limit ? &excursion->limit[0].over : NULL;
    struct wr_column column[N_ALL];
    WR_SCOPED_GRID all = {0};

    memcpy(column, forecast_driver_column, sizeof forecast_driver_column);
    memcpy(column + FORECAST_DRIVER_COLUMNS, answer, sizeof answer);
    wr_grid_init(&all, column, N_ALL);
    for (size_t i = 0; i < wr_grid_rows(drivers); i++) {
        for (size_t c = 0; c < FORECAST_DRIVER_COLUMNS; c++)
            wr_grid_copy(&all, &drivers->value[i * FORECAST_DRIVER_COLUMNS + c]);
        for (size_t q = 0; q < sizeof quantile / sizeof *quantile; q++)
            wr_grid_number(&all, f->quantile_min[quantile[q]]);
        wr_grid_maybe(&all, has_limit ? wr_known(result->limits->limit[0].minutes) : WR_UNKNOWN);
        wr_grid_maybe(&all, has_limit ? wr_known(over->mean) : WR_UNKNOWN);
        wr_grid_maybe(&all, has_limit && !over->no_interval ? wr_known(over->lo) : WR_UNKNOWN);
        wr_grid_maybe(&all, has_limit && !over->no_interval ? wr_known(over->hi) : WR_UNKNOWN);
        wr_grid_maybe(&all, has_limit ? wr_known(f->any_over.mean) : WR_UNKNOWN);
        wr_grid_second(&all, has_limit ? &f->limit[0].second : NULL);
        wr_grid_maybe(&all, excursion ? wr_known(excursion->quantile_min[WR_Q50]) : WR_UNKNOWN);
        WR_GRID_MAYBES(&all, beyond ? wr_known(beyond->mean) : WR_UNKNOWN,
                       beyond && !beyond->no_interval ? wr_known(beyond->lo) : WR_UNKNOWN,
                       beyond && !beyond->no_interval ? wr_known(beyond->hi) : WR_UNKNOWN);
        wr_grid_second(&all, beyond ? &excursion->limit[0].second : NULL);
    }
    wr_grid_add_csv(&all, out);
}

enum wr_status wr_show_forecast(enum wr_format format, const struct wr_present_context *ctx,
                                const struct wr_forecast_result *result, struct wr_str *out, struct wr_error *err)
{
    WR_SCOPED_GRID drivers = {0};

    WR_BUG_IF(result->forecast->n_limit != result->limits->n_limit);
    wr_grid_of_drivers(result, &drivers);
    enum wr_status status = check_all(ctx, result, &drivers, err);
    if (status) return status;
    switch (format) {
    case WR_FORMAT_TABLE: forecast_table(ctx, result, out); break;
    case WR_FORMAT_CSV: csv_of_forecast(ctx, result, &drivers, out); break;
    case WR_FORMAT_JSON: return forecast_json(ctx, result, &drivers, out, err);
    }
    return WR_OK;
}
