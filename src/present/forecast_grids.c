/* The tables of a forecast. */
#include "forecast_parts.h"

#include <math.h>
#include <stdio.h>
#include "gain_columns.h"
#include "wetrun/decide/limit_needed.h"
#include "wetrun/present/beside_view.h"

const char *forecast_verdict_or_null(const struct wr_present_context *ctx, const struct wr_limit_outlook *limit,
                                   struct wr_maybe confidence)
{
    return confidence.known ? wr_verdict_words(forecast_verdict(ctx, limit, confidence.value)) : NULL;
}

const char *forecast_verdict_said(const struct wr_present_context *ctx, const struct wr_limit_outlook *limit,
                                  struct wr_maybe confidence)
{
    if (!confidence.known) return NULL;
    return wr_verdict_said(forecast_verdict(ctx, limit, confidence.value), wr_context_grounds(ctx));
}

static void text_or_absent(struct wr_grid *grid, const char *text)
{
    if (text)
        wr_grid_text(grid, text);
    else
        wr_grid_absent(grid);
}

static void grid_lanes(struct wr_grid *grid, const struct wr_plan *plan, uint32_t lanes)
{
    WR_SCOPED_STR text = {0};

    wr_lanes_words(plan, lanes, &text);
    wr_grid_text(grid, wr_str_text(&text));
}

static void grid_interval(struct wr_grid *grid, const struct wr_probability *over, struct wr_maybe confidence)
{
    WR_SCOPED_STR text = {0};

    wr_interval_cell(over, confidence, &text);
    wr_grid_text(grid, wr_str_text(&text));
    wr_grid_sorts_by(grid, over->lo);
}

void wr_grid_of_limits(const struct wr_present_context *ctx, const struct wr_forecast_result *result,
                       struct wr_grid *grid)
{
#define COLUMNS(second_shown)                                                                                         \
    {                                                                                                                  \
        {"limit", "limit", WR_UNIT_TEXT, WR_EVERYBODY, 12},                                                            \
        {"crew", "lane", WR_UNIT_TEXT, WR_EVERYBODY, 4},                                                               \
        {"minutes", "allowed", WR_UNIT_CLOCK, WR_EVERYBODY, 0},                                                        \
        {"probability_over", "go over it,\nof 100", WR_UNIT_OF_100, WR_EVERYBODY, 0},                                 \
        {"interval", "90 %\ninterval", WR_UNIT_TEXT, WR_PEOPLE, 0},                                                   \
        {"probability_over_lo", "", WR_UNIT_OF_100, WR_MACHINE, 0},                                                    \
        {"probability_over_hi", "", WR_UNIT_OF_100, WR_MACHINE, 0},                                                    \
        {"mc_error", "", WR_UNIT_PLAIN, WR_MACHINE, 0},                                                                \
        {"confidence", "", WR_UNIT_SHARE, WR_MACHINE, 0},                                                              \
        {"probability_allowed", "wanted\nat most", WR_UNIT_TEXT, WR_PEOPLE, 0},                                       \
        {"second_assumption", "", WR_UNIT_TEXT, WR_MACHINE, 0},                                                        \
        {"second_probability_over", "by the worst\nanswer", WR_UNIT_OF_100, second_shown, 0},                         \
        {"second_probability_over_hi", "90 %:\nto", WR_UNIT_OF_100, second_shown, 0},                                 \
        {"verdict_said", "verdict", WR_UNIT_TEXT, WR_PAGE, 0},                                                         \
        {"verdict", "", WR_UNIT_TEXT, WR_MACHINE, 0},                                                                  \
    }
    static const struct wr_column one_answer[] = COLUMNS(WR_MACHINE), several[] = COLUMNS(WR_PAGE | WR_MACHINE);
#undef COLUMNS
    const struct wr_column *column = wr_n_answers(result) > 1 ? several : one_answer;

    wr_grid_init(grid, column, sizeof several / sizeof *several);
    for (size_t i = 0; i < result->forecast->n_limit; i++) {
        const struct wr_limit *limit = &result->limits->limit[i];
        const struct wr_probability *over = &result->forecast->limit[i].over;
        struct wr_maybe confidence = wr_wanted_confidence(ctx, result->limits, i);

        wr_grid_text(grid, limit->name);
        grid_lanes(grid, result->plan, limit->lanes);
        wr_grid_number(grid, limit->minutes);
        wr_grid_chance(grid, over->mean, over->certain);
        grid_interval(grid, over, confidence);
        wr_grid_maybe(grid, over->no_interval ? WR_UNKNOWN : wr_known(over->lo));
        wr_grid_maybe(grid, over->no_interval ? WR_UNKNOWN : wr_known(over->hi));
        wr_grid_number(grid, over->mc_error);
        wr_grid_maybe(grid, confidence);
        text_or_absent(grid, confidence.known ? wr_allowed_of_100(confidence.value, WR_ROOM) : NULL);
        wr_grid_second(grid, &result->forecast->limit[i].second);
        text_or_absent(grid, forecast_verdict_said(ctx, &result->forecast->limit[i], confidence));
        text_or_absent(grid, forecast_verdict_or_null(ctx, &result->forecast->limit[i], confidence));
    }
}

void wr_grid_of_lanes(const struct wr_forecast_result *result, struct wr_grid *grid)
{
    static const struct wr_column column[] = {
        {"crew", "lane", WR_UNIT_TEXT, WR_EVERYBODY, 12},
        {"busy_min", "busy", WR_UNIT_CLOCK, WR_EVERYBODY, 0},
        {"waiting_min", "waiting", WR_UNIT_CLOCK, WR_EVERYBODY, 0},
        {"finish_p50_min", "half done by", WR_UNIT_CLOCK, WR_EVERYBODY, 0},
    };

    wr_grid_init(grid, column, sizeof column / sizeof *column);
    for (size_t l = 0; l < result->forecast->n_lane; l++) {
        wr_grid_text(grid, result->plan->lane[l]);
        WR_GRID_NUMBERS(grid, result->forecast->lane[l].busy_min, result->forecast->lane[l].waiting_min,
                        result->forecast->lane[l].finish_p50_min);
    }
}

bool forecast_spans_answers(const struct wr_forecast *f)
{
    return f->n_worse > 0 && !f->nothing_unknown;
}

/* A few draws far out, and the end is the time itself (sim/forecast.h): of the rows that everybody sees. */
static bool has_end_that_is_no_bound(const struct wr_forecast *f)
{
    for (size_t q = 0; q < WR_N_QUANTILE && !f->nothing_unknown; q++) {
        const struct wr_finish_ends ends = wr_finish_ends(f, q);
        double at = f->quantile_min[q];
        if (q == WR_Q2_5 || q == WR_Q97_5 || ends.hi_min - ends.lo_min < 1) continue;
        if (ends.hi_min <= at || ends.lo_min >= at) return true;
    }
    return false;
}

void forecast_span_words(const struct wr_forecast *f, struct wr_str *out)
{
    if (forecast_spans_answers(f))
        wr_str_addf(out, "From and to span %s, for nothing here says which is right.", wr_all_answers_words(f));
    if (has_end_that_is_no_bound(f))
        wr_str_addf(out, "%sWhere an end is the time itself, a few draws far out bring it beyond what nine in ten of "
                         "them span: it is no bound.", out->len > 0 ? " " : "");
}

void wr_grid_of_finish(const struct wr_forecast_result *result, struct wr_grid *grid)
{
    static const struct wr_column column[] = {
        {"share", "of 100\nfinishes", WR_UNIT_PLAIN, WR_EVERYBODY, 0},
        {"finish_min", "come by", WR_UNIT_CLOCK, WR_EVERYBODY, 0},
        {"finish_lo_min", "90 % interval:\nfrom", WR_UNIT_CLOCK, WR_EVERYBODY, 0},
        {"finish_hi_min", "to", WR_UNIT_CLOCK, WR_EVERYBODY, 0},
    };

    wr_grid_init(grid, column, sizeof column / sizeof *column);
    for (size_t q = 0; q < WR_N_QUANTILE; q++) {
        WR_GRID_NUMBERS(grid, 100.0 * wr_quantile_prob[q], result->forecast->quantile_min[q]);
        const struct wr_finish_ends ends = wr_finish_ends(result->forecast, q);
        bool known = !result->forecast->nothing_unknown;
        WR_GRID_MAYBES(grid, known ? wr_known(ends.lo_min) : WR_UNKNOWN, known ? wr_known(ends.hi_min) : WR_UNKNOWN);
    }
}

static void driver_row(struct wr_grid *grid, const struct wr_plan *plan, const struct wr_task_outlook *o, size_t task)
{
    WR_GRID_TEXTS(grid, plan->task[task].id, plan->task[task].title);
    grid_lanes(grid, plan, plan->task[task].lanes);
    bool known = wr_is_done_enough(o->dropped), says = known && wr_sd_says(o->sd_min, o->median_min, o->p95_min);
    wr_grid_maybe(grid, known ? wr_known(o->median_min) : WR_UNKNOWN);
    wr_grid_maybe(grid, says ? wr_known(o->mean_min) : WR_UNKNOWN);
    wr_grid_maybe(grid, says ? wr_known(o->sd_min) : WR_UNKNOWN);
    wr_grid_maybe(grid, known ? wr_known(o->p80_min) : WR_UNKNOWN);
    wr_grid_maybe(grid, known ? wr_known(o->p95_min) : WR_UNKNOWN);
    WR_GRID_NUMBERS(grid, o->variance_share, o->on_longest_path, o->dropped);
    wr_grid_about(grid, task);
}

const struct wr_column forecast_driver_column[FORECAST_DRIVER_COLUMNS] = {
    {"task", "id", WR_UNIT_TEXT, WR_EVERYBODY, 10},
    {"title", "task", WR_UNIT_TEXT, WR_EVERYBODY, 16},
    {"crew", "lane", WR_UNIT_TEXT, WR_EVERYBODY, 4},
    {"median_min", "median\nmin", WR_UNIT_MINUTES, WR_EVERYBODY, 0},
    {"mean_min", "", WR_UNIT_MINUTES, WR_MACHINE, 0},
    {"sd_min", "sd\nmin", WR_UNIT_MINUTES, WR_EVERYBODY, 0},
    {"p80_min", "80 of 100\nwithin, min", WR_UNIT_MINUTES, WR_MACHINE, 0},
    {"p95_min", "", WR_UNIT_MINUTES, WR_MACHINE, 0},
    {"variance_share", "share of\nvariance", WR_UNIT_SHARE, WR_EVERYBODY, 0},
    {"on_longest_path", "longest\npath", WR_UNIT_SHARE, WR_EVERYBODY, 0},
    {"dropped", "dropped", WR_UNIT_SHARE, WR_EVERYBODY, 0},
};

/* The columns in front of a share that has no task */
static void shared_row(struct wr_grid *grid, const char *what, double share)
{
    WR_GRID_TEXTS(grid, "", what, "");
    for (size_t c = 3; c < FORECAST_DRIVER_COLUMNS; c++) {
        if (c == 8)
            wr_grid_number(grid, share);
        else
            wr_grid_text(grid, "");
    }
}

void forecast_add_shared_rows(struct wr_grid *grid, const struct wr_forecast *f)
{
    shared_row(grid, "(slow or fast day, all tasks)", f->run_effect_share);
    if (f->people_share > 0) shared_row(grid, "(who does it)", f->people_share);
    shared_row(grid, "(what is not yet known)", f->parameter_share);
    if (wr_interaction_share(f) >= 0.0005)
        shared_row(grid, "(several of these together)", wr_interaction_share(f));
}

void forecast_fill_drivers(const struct wr_forecast_result *result, size_t n_task, struct wr_grid *grid)
{
    const struct wr_forecast *f = result->forecast;
    WR_SCOPED size_t *order = WR_NEW_ARRAY(size_t, f->n_task);

    wr_grid_init(grid, forecast_driver_column, FORECAST_DRIVER_COLUMNS);
    wr_tasks_by_share(f, order);
    for (size_t i = 0; i < f->n_task && i < n_task; i++)
        driver_row(grid, result->plan, &f->task[order[i]], order[i]);
    if (n_task < f->n_task) {
        char text[64];
        double rest = 0;
        for (size_t i = n_task; i < f->n_task; i++) rest += f->task[order[i]].variance_share;
        snprintf(text, sizeof text, f->n_task - n_task == 1 ? "(the other task)" : "(the other %zu tasks together)",
                 f->n_task - n_task);
        shared_row(grid, text, rest);
    }
}

bool forecast_sd_says(const struct wr_forecast *f)
{
    return wr_sd_says(f->sd_min, f->quantile_min[WR_Q50], f->quantile_min[WR_Q95]);
}

void forecast_far_out_words(const struct wr_forecast *f, struct wr_str *out)
{
    bool missing = false;

    for (size_t k = 0; k < f->n_task; k++) {
        const struct wr_task_outlook *o = &f->task[k];
        missing = missing || (wr_is_done_enough(o->dropped) && !wr_sd_says(o->sd_min, o->median_min, o->p95_min));
    }
    if (missing) wr_str_add(out, "A task without an sd: a few days far out would make it up.");
    if (!forecast_sd_says(f))
        wr_str_addf(out, "%sA few such days make up the finish's variance, and so its shares.", out->len ? " " : "");
}

void wr_grid_of_drivers(const struct wr_forecast_result *result, struct wr_grid *grid)
{
    forecast_fill_drivers(result, result->forecast->n_task, grid);
}

void wr_grid_of_carry_over(const struct wr_forecast_result *result, struct wr_grid *grid)
{
    static const struct wr_column column[] = {
        {"kind", "kind of work", WR_UNIT_TEXT, WR_EVERYBODY, 12},
        {"rows", "times\nseen", WR_UNIT_COUNT, WR_EVERYBODY, 0},
        {"factor", "outside against\npool, times", WR_UNIT_FACTOR, WR_EVERYBODY, 0},
        {"factor_lo", "90 %:\nfrom", WR_UNIT_FACTOR, WR_EVERYBODY, 0},
        {"factor_hi", "to", WR_UNIT_FACTOR, WR_EVERYBODY, 0},
    };
    static const double z95 = 1.6448536269514722; /* the law of the log factor is nearly normal */
    const struct wr_carry_over *c = result->carry_over;

    wr_grid_init(grid, column, sizeof column / sizeof *column);
    for (size_t k = 0; c && k <= c->n_kind; k++) {
        bool other = k == c->n_kind;
        double mean = other ? c->common_mean_log : c->mean_log[k], sd = other ? c->common_sd_log : c->sd_log[k];
        wr_grid_text(grid, other ? "(any other kind)" : c->kind[k]);
        WR_GRID_NUMBERS(grid, other ? 0 : (double)c->n_row[k], exp(mean), exp(mean - z95 * sd), exp(mean + z95 * sd));
    }
}

void wr_grid_of_drop_rules(const struct wr_forecast_result *result, struct wr_grid *grid)
{
    static const struct wr_column column[] = {
        {"task", "id", WR_UNIT_TEXT, WR_PAGE | WR_MACHINE, 10},
        {"title", "work that\nmay be dropped", WR_UNIT_TEXT, WR_EVERYBODY, 14},
        {"drop_after_min", "drop\ntime", WR_UNIT_CLOCK, WR_EVERYBODY, 0},
        {"dropped", "dropped,\nof 100", WR_UNIT_OF_100, WR_EVERYBODY, 0},
        {"limit", "limit", WR_UNIT_TEXT, WR_EVERYBODY, 8},
        {"over_with_rule", "go over it,\nof 100", WR_UNIT_OF_100, WR_EVERYBODY, 0},
        {"over_without_rule", "without\nthe rule", WR_UNIT_OF_100, WR_EVERYBODY, 0},
        {"over_always_dropped", "always\ndropped", WR_UNIT_OF_100, WR_EVERYBODY, 0},
        {"rule_fewer", "fewer by the\nrule, of 100 (90 % interval)", WR_UNIT_TEXT, WR_PAGE, 0},
        {"always_fewer", "fewer if always\ndropped, of 100 (90 % interval)", WR_UNIT_TEXT, WR_PAGE, 0},
        {"rule_gain", "", WR_UNIT_PLAIN, WR_MACHINE, 0},
        {"rule_gain_lo", "", WR_UNIT_PLAIN, WR_MACHINE, 0},
        {"rule_gain_hi", "", WR_UNIT_PLAIN, WR_MACHINE, 0},
        {"rule_gain_se", "", WR_UNIT_PLAIN, WR_MACHINE, 0},
        {"rule_awaits_trials", "", WR_UNIT_YES_NO, WR_MACHINE, 0},
        {"rule_gain_min", "", WR_UNIT_MINUTES, WR_MACHINE, 0},
        {"over_all_done", "", WR_UNIT_SHARE, WR_MACHINE, 0},
        {"all_rules_gain", "", WR_UNIT_PLAIN, WR_MACHINE, 0},
        {"all_rules_gain_lo", "", WR_UNIT_PLAIN, WR_MACHINE, 0},
        {"all_rules_gain_hi", "", WR_UNIT_PLAIN, WR_MACHINE, 0},
        {"finish_p50_all_done_min", "", WR_UNIT_MINUTES, WR_MACHINE, 0},
        {"always_gain", "", WR_UNIT_PLAIN, WR_MACHINE, 0},
        {"always_gain_lo", "", WR_UNIT_PLAIN, WR_MACHINE, 0},
        {"always_gain_hi", "", WR_UNIT_PLAIN, WR_MACHINE, 0},
        {"always_gain_se", "", WR_UNIT_PLAIN, WR_MACHINE, 0},
        {"rule_gain_lo_se", "", WR_UNIT_PLAIN, WR_MACHINE, 0},
        {"rule_gain_hi_se", "", WR_UNIT_PLAIN, WR_MACHINE, 0},
        {"always_gain_lo_se", "", WR_UNIT_PLAIN, WR_MACHINE, 0},
        {"always_gain_hi_se", "", WR_UNIT_PLAIN, WR_MACHINE, 0},
        {"all_rules_gain_se", "", WR_UNIT_PLAIN, WR_MACHINE, 0},
        {"days_per_draw", "", WR_UNIT_COUNT, WR_MACHINE, 0},
    };

    wr_grid_init(grid, column, sizeof column / sizeof *column);
    for (size_t i = 0; i < result->n_price; i++) {
        WR_SCOPED_STR fewer = {0}, by_rule = {0};
        const struct wr_drop_price *p = &result->price[i];
        WR_GRID_TEXTS(grid, result->plan->task[p->task].id, result->plan->task[p->task].title);
        wr_grid_maybe(grid, result->plan->task[p->task].drop_after_min);
        const bool certain = result->forecast->nothing_varies;
        wr_grid_chance(grid, p->dropped, certain);
        bool has_limit = result->forecast->n_limit > 0;
        text_or_absent(grid, has_limit ? result->limits->limit[p->limit].name : NULL);
        const double over[] = {p->over_with_rule, p->over_without_rule, p->over_always_dropped};
        wr_gain_cell(&p->rule, 100, &by_rule);
        wr_gain_cell(&p->sooner, 100, &fewer);
        for (size_t c = 0; c < sizeof over / sizeof *over; c++) {
            if (has_limit) wr_grid_chance(grid, over[c], certain);
            else wr_grid_absent(grid);
        }
        text_or_absent(grid, has_limit ? wr_str_text(&by_rule) : NULL);
        text_or_absent(grid, has_limit ? wr_str_text(&fewer) : NULL);
        wr_grid_gain(grid, has_limit ? &p->rule : NULL);
        wr_grid_maybe(grid, has_limit ? wr_known(p->rule.se) : WR_UNKNOWN);
        wr_grid_maybe(grid, has_limit ? wr_known(wr_gain_awaits_trials(&p->rule, 100)) : WR_UNKNOWN);
        wr_grid_number(grid, p->rule_min.mean);
        wr_grid_maybe(grid, has_limit ? wr_known(p->over_all_done) : WR_UNKNOWN);
        wr_grid_gain(grid, has_limit ? &p->all_rules : NULL);
        wr_grid_number(grid, p->median_all_done_min);
        wr_grid_gain(grid, has_limit ? &p->sooner : NULL);
        wr_grid_maybe(grid, has_limit ? wr_known(p->sooner.se) : WR_UNKNOWN);
        wr_grid_gain_errors(grid, has_limit ? &p->rule : NULL);
        wr_grid_gain_errors(grid, has_limit ? &p->sooner : NULL);
        wr_grid_maybe(grid, has_limit ? wr_known(p->all_rules.se) : WR_UNKNOWN);
        wr_grid_number(grid, (double)p->n_per_draw);
    }
}
