#include "wetrun/present/forecast_view.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include "earlier_json.h"
#include "json.h"
#include "wetrun/present/beside_view.h"
#include "wetrun/decide/limit_needed.h"
#include "wetrun/decide/variance_parts.h"
#include "wetrun/present/prose.h"

enum { TASKS_ON_TERMINAL = 10 };
#define INTERVAL_LEVEL 0.9 /* of every interval that sim/forecast.h gives */

struct wr_maybe wr_wanted_confidence(const struct wr_present_context *ctx, const struct wr_limits *limits, size_t i)
{
    if (limits->limit[i].confidence.known) return limits->limit[i].confidence;
    return i == 0 ? ctx->confidence : WR_UNKNOWN;
}

static struct wr_maybe allowed_by(struct wr_maybe confidence)
{
    return confidence.known ? wr_known(1.0 - confidence.value) : WR_UNKNOWN;
}

/* "<1", ">99": an end that no count can tell from its neighbour. */
static bool is_beyond_counting(const char *end)
{
    return end[0] == '<' || end[0] == '>';
}

void wr_interval_cell(const struct wr_probability *over, struct wr_maybe confidence, struct wr_str *out)
{
    char lo[WR_WORDS], hi[WR_WORDS];
    struct wr_maybe allowed = allowed_by(confidence);

    if (over->no_interval) {
        wr_str_add(out, "none");
        return;
    }
    wr_of_100_beside(over->lo, allowed, lo);
    wr_of_100_beside(over->hi, allowed, hi);
    wr_str_add(out, lo);
    if (!is_beyond_counting(lo) || strcmp(lo, hi) != 0) wr_str_addf(out, " to %s", hi);
}

void wr_interval_words(const struct wr_probability *over, struct wr_maybe confidence, struct wr_str *out)
{
    char lo[WR_WORDS], hi[WR_WORDS];
    struct wr_maybe allowed = allowed_by(confidence);

    if (over->no_interval) {
        wr_str_add(out, "with no interval: what is given is taken as known");
        return;
    }
    wr_of_100_beside(over->lo, allowed, lo);
    wr_of_100_beside(over->hi, allowed, hi);
    wr_str_add(out, "it could be ");
    if (lo[0] == '<' && hi[0] == '<') {
        wr_str_add(out, "no more than 1");
        return;
    }
    if (lo[0] == '<')
        wr_str_addf(out, "fewer than %s", lo + 1);
    else
        wr_str_addf(out, "as few as %s", lo);
    if (hi[0] == '>')
        wr_str_addf(out, " or more than %s", hi + 1);
    else
        wr_str_addf(out, " or as many as %s", hi);
}

void wr_lanes_words(const struct wr_plan *plan, uint32_t lanes, struct wr_str *out)
{
    size_t n = 0, shown = 0;

    for (size_t l = 0; l < plan->n_lane; l++) n += lanes >> l & 1;
    if (n == plan->n_lane && n > 1) {
        wr_str_add(out, n == 2 ? "both" : "all");
        return;
    }
    for (size_t l = 0; l < plan->n_lane; l++) {
        if (!(lanes >> l & 1)) continue;
        if (shown++) wr_str_add_char(out, '+');
        wr_str_add(out, plan->lane[l]);
    }
}

/* ---- what carries the uncertainty ---- */

const char *wr_part_words(enum wr_part_kind kind)
{
    switch (kind) {
    case WR_PART_TASK: return "a task";
    case WR_PART_OTHER_TASKS: return "the other tasks together";
    case WR_PART_DAY: return "a slow or fast day, all tasks at once";
    case WR_PART_PEOPLE: return "who does it";
    case WR_PART_UNKNOWN: return "what is not yet known";
    case WR_PART_INTERACTION: break;
    }
    return "several of these acting together";
}

/* One side of the comparison in wr_carriers_words: the strongest tasks as a group, or one of the shared parts. */
struct carrier {
    struct wr_str name;
    double share;
    bool is_many; /* of its verb */
};

static void put_carrier(struct carrier *carrier, size_t *n, const char *name, double share, bool is_many)
{
    if (!(share > 0)) return;
    carrier[*n].share = share;
    carrier[*n].is_many = is_many;
    wr_str_add(&carrier[(*n)++].name, name);
}

static size_t collect_carriers(const struct wr_forecast *f, struct carrier carrier[5])
{
    char count[WR_WORDS], tasks[WR_WORDS + 16];
    size_t n = 0, n_strongest;
    double strongest = wr_strongest_share(f, &n_strongest);

    snprintf(tasks, sizeof tasks, "%s task%s", wr_count_words(n_strongest, count), n_strongest == 1 ? "" : "s");
    put_carrier(carrier, &n, tasks, strongest, n_strongest > 1);
    put_carrier(carrier, &n, "a slow or fast day", f->run_effect_share, false);
    put_carrier(carrier, &n, wr_part_words(WR_PART_PEOPLE), f->people_share, false);
    put_carrier(carrier, &n, wr_part_words(WR_PART_UNKNOWN), f->parameter_share, false);
    put_carrier(carrier, &n, "several causes acting together", wr_interaction_share(f), true);
    return n;
}

void wr_carriers_words(const struct wr_forecast *forecast, struct wr_str *out)
{
    struct carrier carrier[5] = {{{0}, 0, false}};
    size_t n = collect_carriers(forecast, carrier), first = 0, second = SIZE_MAX;
    char percent[WR_WORDS];

    for (size_t i = 1; i < n; i++)
        if (carrier[i].share > carrier[first].share) first = i;
    for (size_t i = 0; i < n; i++)
        if (i != first && (second == SIZE_MAX || carrier[i].share > carrier[second].share)) second = i;
    if (n == 0) {
        wr_str_add(out, "No single task makes the finish uncertain");
    } else {
        wr_add_capital(out, wr_str_text(&carrier[first].name));
        wr_str_addf(out, " %s %s of what makes the finish uncertain", carrier[first].is_many ? "carry" : "carries",
                    wr_percent(carrier[first].share, percent));
    }
    if (second != SIZE_MAX && carrier[second].share >= 0.005)
        wr_str_addf(out, ", %s %s", wr_str_text(&carrier[second].name), wr_percent(carrier[second].share, percent));
    for (size_t i = 0; i < n; i++) wr_str_release(&carrier[i].name);
}

/* ---- the answer in words ---- */

bool wr_interval_adds_nothing(const struct wr_probability *over, struct wr_maybe confidence)
{
    char lo[WR_WORDS], hi[WR_WORDS];
    struct wr_maybe allowed = allowed_by(confidence);

    wr_of_100_beside(over->lo, allowed, lo);
    wr_of_100_beside(over->hi, allowed, hi);
    return !over->no_interval && is_beyond_counting(lo) && lo[0] == hi[0];
}

static void add_when(const struct wr_forecast *f, struct wr_str *out)
{
    char half[WR_CLOCK_TEXT], most[WR_CLOCK_TEXT], nearly[WR_CLOCK_TEXT];

    wr_str_addf(out, "Half of the finishes come by %s, 80 of 100 by %s, 95 of 100 by %s.",
                wr_hmm(f->quantile_min[WR_Q50], half), wr_hmm(f->quantile_min[WR_Q80], most),
                wr_hmm(f->quantile_min[WR_Q95], nearly));
}

/* "9 of 100 finishes go over the 6:30 limit, but it could be as few as 1 or as many as 19 (90 % interval)" */
static void add_count(const struct wr_forecast_result *result, struct wr_maybe confidence, struct wr_str *out)
{
    const struct wr_probability *over = &result->forecast->limit[0].over;
    char count[WR_WORDS], at[WR_CLOCK_TEXT];

    wr_str_addf(out, "%s of 100 finishes %s the %s limit, ", wr_of_100(over->mean, count),
                wr_go_over(over->mean), wr_hmm(result->limits->limit[0].minutes, at));
    if (wr_interval_adds_nothing(over, confidence)) {
        wr_str_add(out, "by the whole 90 % interval");
        return;
    }
    if (!over->no_interval) wr_str_add(out, "but ");
    wr_interval_words(over, confidence, out);
    if (!over->no_interval) wr_str_add(out, " (90 % interval)");
}

void wr_any_limit_words(const struct wr_forecast *f, struct wr_str *out)
{
    char count[WR_WORDS], n[WR_WORDS];

    if (f->n_limit < 2) return;
    wr_str_addf(out, "%s of 100 %s at least one of the %s limits", wr_of_100(f->any_over.mean, count),
                wr_go_over(f->any_over.mean), wr_count_words(f->n_limit, n));
    if (f->any_over.no_interval || wr_interval_adds_nothing(&f->any_over, WR_UNKNOWN)) return;
    wr_str_add(out, " (");
    wr_interval_cell(&f->any_over, WR_UNKNOWN, out);
    wr_str_add_char(out, ')');
}

/* The joint risk stands behind that of the first limit: who reads one sentence must not take the smaller for the whole.
 */
static void add_joint(const struct wr_forecast *f, struct wr_str *out)
{
    struct wr_str any = {0};

    wr_any_limit_words(f, &any);
    if (any.len > 0) {
        wr_str_add_char(out, ' ');
        wr_add_capital(out, wr_str_text(&any));
        wr_str_add_char(out, '.');
    }
    wr_str_release(&any);
}

void wr_forecast_sentence(const struct wr_present_context *ctx, const struct wr_forecast_result *result,
                          struct wr_str *out)
{
    char allowed[WR_WORDS];
    struct wr_str count = {0};

    if (result->forecast->n_limit == 0) {
        wr_str_add(out, "No limit was given, so nothing is said about going over one.");
        return;
    }
    struct wr_maybe confidence = wr_wanted_confidence(ctx, result->limits, 0);
    add_count(result, confidence, &count);
    if (!confidence.known) {
        wr_add_capital(out, wr_str_text(&count));
        wr_str_add(out, ". What is wanted was not said: --confidence gives a verdict.");
        add_joint(result->forecast, out);
        wr_str_release(&count);
        return;
    }
    enum wr_verdict verdict = wr_verdict_from(&result->forecast->limit[0].over, confidence.value,
                                              wr_context_firm_runs(ctx));
    wr_add_capital(out, wr_verdict_words(verdict));
    if (ctx->n_run == 0)
        wr_str_add(out, ": nothing was rehearsed, and what follows rests on judgement alone");
    if (verdict == WR_VERDICT_CANNOT_TELL) {
        wr_str_add(out, ". ");
        wr_add_capital(out, wr_str_text(&count));
    } else {
        wr_str_addf(out, ": %s", wr_str_text(&count));
    }
    wr_str_addf(out, "; wanted: at most %s.", wr_allowed_of_100(confidence.value, allowed));
    add_joint(result->forecast, out);
    wr_str_release(&count);
}

/* ---- what it takes ---- */

/* Get-ahead work that would change the count of 100 if it were left out. */
static void add_left_out(const struct wr_forecast_result *result, struct wr_str *out)
{
    size_t n = 0;

    for (size_t i = 0; i < result->n_price; i++) {
        const struct wr_drop_price *p = &result->price[i];
        char with[WR_WORDS], without[WR_WORDS];
        if (wr_count_of_100(p->over_always_dropped) >= wr_count_of_100(p->over_with_rule)) continue;
        wr_str_addf(out, n++ ? ", " : " Left out from the start, of 100 over the limit: ");
        wr_str_add(out, result->plan->task[p->task].title);
        wr_str_addf(out, " %s instead of %s", wr_of_100(p->over_always_dropped, without),
                    wr_of_100(p->over_with_rule, with));
    }
    if (n > 0) wr_str_add_char(out, '.');
}

void wr_takes_sentence(const struct wr_present_context *ctx, const struct wr_forecast_result *result,
                       struct wr_str *out)
{
    const struct wr_forecast *f = result->forecast;
    char percent[WR_WORDS], at[WR_CLOCK_TEXT], lo[WR_CLOCK_TEXT], hi[WR_CLOCK_TEXT], gap[WR_WORDS];

    if (f->n_limit == 0 || result->limits->limit[0].is_clock) return;
    struct wr_maybe confidence = wr_wanted_confidence(ctx, result->limits, 0);
    if (!confidence.known) return;
    const struct wr_limit_needed need = wr_limit_needed(f, confidence.value);
    double limit_min = result->limits->limit[0].minutes;
    wr_percent(confidence.value, percent);
    if (!need.middle_min.known) {
        wr_str_addf(out, "What limit would be kept with %s is beyond what was looked at.", percent);
        return;
    }
    wr_str_addf(out, "To be inside with %s it takes a limit of %s", percent, wr_hmm(need.middle_min.value, at));
    if (need.lo_min.known && need.hi_min.known && !f->nothing_unknown)
        wr_str_addf(out, " (90 %% interval %s to %s)", wr_hmm(need.lo_min.value, lo), wr_hmm(need.hi_min.value, hi));
    double missing = wr_shown_gap_min(limit_min, need.middle_min.value);
    wr_minutes_whole(fabs(missing), gap);
    if (missing > 0) {
        wr_str_addf(out, ": %s more than there is, or as many minutes cut from the timeline.", gap);
        add_left_out(result, out);
    } else if (missing < 0) {
        wr_str_addf(out, ": %s less than there is.", gap);
    } else {
        wr_str_add(out, ": what there is.");
    }
}

/* ---- grids ---- */

static const char *verdict_or_null(const struct wr_present_context *ctx, const struct wr_probability *over,
                                   struct wr_maybe confidence)
{
    return confidence.known ? wr_verdict_words(wr_verdict_from(over, confidence.value, wr_context_firm_runs(ctx)))
                            : NULL;
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
    struct wr_str text = {0};

    wr_lanes_words(plan, lanes, &text);
    wr_grid_text(grid, wr_str_text(&text));
    wr_str_release(&text);
}

static void grid_interval(struct wr_grid *grid, const struct wr_probability *over, struct wr_maybe confidence)
{
    struct wr_str text = {0};

    wr_interval_cell(over, confidence, &text);
    wr_grid_text(grid, wr_str_text(&text));
    wr_grid_sorts_by(grid, over->lo);
    wr_str_release(&text);
}


void wr_grid_of_limits(const struct wr_present_context *ctx, const struct wr_forecast_result *result,
                       struct wr_grid *grid)
{
    static const struct wr_column column[] = {
        {"limit", "limit", WR_UNIT_TEXT, WR_EVERYBODY, 12},
        {"crew", "lane", WR_UNIT_TEXT, WR_EVERYBODY, 4},
        {"minutes", "allowed", WR_UNIT_CLOCK, WR_EVERYBODY, 0},
        {"probability_over", "go over it,\nof 100", WR_UNIT_OF_100, WR_EVERYBODY, 0},
        {"interval", "90 %\ninterval", WR_UNIT_TEXT, WR_PEOPLE, 0},
        {"probability_over_lo", "", WR_UNIT_OF_100, WR_MACHINE, 0},
        {"probability_over_hi", "", WR_UNIT_OF_100, WR_MACHINE, 0},
        {"mc_error", "", WR_UNIT_PLAIN, WR_MACHINE, 0},
        {"confidence", "", WR_UNIT_SHARE, WR_MACHINE, 0},
        {"probability_allowed", "wanted\nat most", WR_UNIT_TEXT, WR_PEOPLE, 0},
        {"verdict", "verdict", WR_UNIT_TEXT, WR_PAGE | WR_MACHINE, 0},
    };

    wr_grid_init(grid, column, sizeof column / sizeof *column);
    for (size_t i = 0; i < result->forecast->n_limit; i++) {
        const struct wr_limit *limit = &result->limits->limit[i];
        const struct wr_probability *over = &result->forecast->limit[i].over;
        struct wr_maybe confidence = wr_wanted_confidence(ctx, result->limits, i);
        char allowed[WR_WORDS];

        wr_grid_text(grid, limit->name);
        grid_lanes(grid, result->plan, limit->lanes);
        wr_grid_number(grid, limit->minutes);
        wr_grid_number(grid, over->mean);
        grid_interval(grid, over, confidence);
        wr_grid_maybe(grid, over->no_interval ? WR_UNKNOWN : wr_known(over->lo));
        wr_grid_maybe(grid, over->no_interval ? WR_UNKNOWN : wr_known(over->hi));
        wr_grid_number(grid, over->mc_error);
        wr_grid_maybe(grid, confidence);
        text_or_absent(grid, confidence.known ? wr_allowed_of_100(confidence.value, allowed) : NULL);
        text_or_absent(grid, verdict_or_null(ctx, over, confidence));
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
        wr_grid_number(grid, result->forecast->lane[l].busy_min);
        wr_grid_number(grid, result->forecast->lane[l].waiting_min);
        wr_grid_number(grid, result->forecast->lane[l].finish_p50_min);
    }
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
        wr_grid_number(grid, 100.0 * wr_quantile_prob[q]);
        wr_grid_number(grid, result->forecast->quantile_min[q]);
        const struct wr_forecast *f = result->forecast;
        wr_grid_maybe(grid, f->nothing_unknown ? WR_UNKNOWN : wr_known(f->quantile_lo_min[q]));
        wr_grid_maybe(grid, f->nothing_unknown ? WR_UNKNOWN : wr_known(f->quantile_hi_min[q]));
    }
}

static void driver_row(struct wr_grid *grid, const struct wr_plan *plan, const struct wr_task_outlook *o, size_t task)
{
    wr_grid_text(grid, plan->task[task].id);
    wr_grid_text(grid, plan->task[task].title);
    grid_lanes(grid, plan, plan->task[task].lanes);
    wr_grid_number(grid, o->median_min);
    wr_grid_number(grid, o->mean_min);
    wr_grid_number(grid, o->sd_min);
    wr_grid_number(grid, o->p80_min);
    wr_grid_number(grid, o->p95_min);
    wr_grid_number(grid, o->variance_share);
    wr_grid_number(grid, o->on_longest_path);
    wr_grid_number(grid, o->dropped);
    wr_grid_about(grid, task);
}

static const struct wr_column driver_column[] = {
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
enum { DRIVER_COLUMNS = sizeof driver_column / sizeof *driver_column };

/* The columns in front of a share that has no task */
static void shared_row(struct wr_grid *grid, const char *what, double share)
{
    wr_grid_text(grid, "");
    wr_grid_text(grid, what);
    wr_grid_text(grid, "");
    for (size_t c = 3; c < DRIVER_COLUMNS; c++) {
        if (c == 8)
            wr_grid_number(grid, share);
        else
            wr_grid_text(grid, "");
    }
}

static void add_shared_rows(struct wr_grid *grid, const struct wr_forecast *f)
{
    shared_row(grid, "(slow or fast day, all tasks)", f->run_effect_share);
    if (f->people_share > 0) shared_row(grid, "(who does it)", f->people_share);
    shared_row(grid, "(what is not yet known)", f->parameter_share);
    if (wr_interaction_share(f) >= 0.0005)
        shared_row(grid, "(several of these together)", wr_interaction_share(f));
}

static void fill_drivers(const struct wr_forecast_result *result, size_t n_task, struct wr_grid *grid)
{
    const struct wr_forecast *f = result->forecast;
    size_t *order = WR_NEW_ARRAY(size_t, f->n_task);

    wr_grid_init(grid, driver_column, DRIVER_COLUMNS);
    wr_tasks_by_share(f, order);
    for (size_t i = 0; i < f->n_task && i < n_task; i++)
        driver_row(grid, result->plan, &f->task[order[i]], order[i]);
    if (n_task < f->n_task) {
        char text[64];
        double rest = 0;
        for (size_t i = n_task; i < f->n_task; i++) rest += f->task[order[i]].variance_share;
        snprintf(text, sizeof text, "(the other %zu tasks together)", f->n_task - n_task);
        shared_row(grid, text, rest);
    }
    wr_free(order);
}

void wr_grid_of_drivers(const struct wr_forecast_result *result, struct wr_grid *grid)
{
    fill_drivers(result, result->forecast->n_task, grid);
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
        wr_grid_number(grid, other ? 0 : (double)c->n_row[k]);
        wr_grid_number(grid, exp(mean));
        wr_grid_number(grid, exp(mean - z95 * sd));
        wr_grid_number(grid, exp(mean + z95 * sd));
    }
}

void wr_grid_of_drop_rules(const struct wr_forecast_result *result, struct wr_grid *grid)
{
    static const struct wr_column column[] = {
        {"task", "id", WR_UNIT_TEXT, WR_EVERYBODY, 10},
        {"title", "work that\nmay be dropped", WR_UNIT_TEXT, WR_EVERYBODY, 12},
        {"drop_after_min", "unless\nbegun by", WR_UNIT_CLOCK, WR_EVERYBODY, 0},
        {"dropped", "dropped,\nof 100", WR_UNIT_OF_100, WR_EVERYBODY, 0},
        {"over_with_rule", "go over it,\nof 100", WR_UNIT_OF_100, WR_EVERYBODY, 0},
        {"over_without_rule", "without\nthe rule", WR_UNIT_OF_100, WR_EVERYBODY, 0},
        {"over_always_dropped", "always\ndropped", WR_UNIT_OF_100, WR_EVERYBODY, 0},
        {"rule_gain", "", WR_UNIT_PLAIN, WR_MACHINE, 0},
        {"rule_gain_lo", "", WR_UNIT_PLAIN, WR_MACHINE, 0},
        {"rule_gain_hi", "", WR_UNIT_PLAIN, WR_MACHINE, 0},
        {"rule_gain_min", "", WR_UNIT_MINUTES, WR_MACHINE, 0},
    };

    wr_grid_init(grid, column, sizeof column / sizeof *column);
    for (size_t i = 0; i < result->n_price; i++) {
        const struct wr_drop_price *p = &result->price[i];
        wr_grid_text(grid, result->plan->task[p->task].id);
        wr_grid_text(grid, result->plan->task[p->task].title);
        wr_grid_maybe(grid, result->plan->task[p->task].drop_after_min);
        wr_grid_number(grid, p->dropped);
        bool has_limit = result->forecast->n_limit > 0;
        const double over[] = {p->over_with_rule, p->over_without_rule, p->over_always_dropped,
                               p->rule.mean,      p->rule.lo,           p->rule.hi};
        for (size_t c = 0; c < sizeof over / sizeof *over; c++)
            wr_grid_maybe(grid, has_limit ? wr_known(over[c]) : WR_UNKNOWN);
        wr_grid_number(grid, p->rule_min.mean);
    }
}

/* ---- renderings ---- */

static void add_grid(const struct wr_present_context *ctx, struct wr_grid *grid, struct wr_str *out)
{
    wr_str_add_char(out, '\n');
    wr_grid_add_terminal(grid, wr_context_columns(ctx), out);
    wr_grid_release(grid);
}

static void add_finish_grid(const struct wr_present_context *ctx, const struct wr_forecast_result *result, struct wr_str *out)
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
    add_grid(ctx, &shown, out);
}

/* The verdict on the first limit is the first sentence of all; those on the others stand here. */
static void add_other_verdicts(const struct wr_present_context *ctx, const struct wr_forecast_result *result,
                               struct wr_str *out)
{
    struct wr_str text = {0};

    for (size_t i = 1; i < result->forecast->n_limit; i++) {
        const char *verdict =
            verdict_or_null(ctx, &result->forecast->limit[i].over, wr_wanted_confidence(ctx, result->limits, i));
        if (!verdict) continue;
        wr_str_clear(&text);
        wr_str_addf(&text, "%s: %s.", result->limits->limit[i].name, verdict);
        wr_prose_add(out, wr_str_text(&text), 0, WR_TERMINAL_COLUMNS);
    }
    wr_str_release(&text);
}

static void add_beside(const struct wr_present_context *ctx, const struct wr_forecast_result *result, struct wr_str *out)
{
    struct wr_str text = {0};
    struct wr_grid grid;

    wr_beside_words(result, &text);
    if (text.len) {
        wr_str_add_char(out, '\n');
        wr_prose_add(out, wr_str_text(&text), 0, WR_TERMINAL_COLUMNS);
    }
    wr_str_release(&text);
    wr_grid_of_beside(ctx, result, &grid);
    if (result->n_beside > 0) add_grid(ctx, &grid, out);
    else wr_grid_release(&grid);
}

static void add_how(const struct wr_present_context *ctx, const struct wr_forecast *f, struct wr_str *out)
{
    struct wr_str text = {0};

    wr_str_addf(&text, "%zu trials over %zu draws of what is not known", f->n_trial, f->n_draw);
    if (ctx->has_seed) wr_str_addf(&text, ", seed %llu", (unsigned long long)ctx->seed);
    if (f->n_limit > 0) wr_str_addf(&text, "; Monte Carlo error of those over the limit %.2g of 100",
                                    100.0 * f->limit[0].over.mc_error);
    wr_str_addf(&text, "%s of the median finish %.2g min", f->n_limit > 0 ? "," : "; Monte Carlo error",
                f->quantile_mc_error_min[WR_Q50]);
    wr_str_add_char(&text, '.');
    wr_str_add_char(out, '\n');
    wr_prose_add(out, wr_str_text(&text), 0, WR_TERMINAL_COLUMNS);
    wr_str_release(&text);
}

static void add_earlier(const struct wr_forecast_result *result, struct wr_str *out)
{
    struct wr_str text = {0};

    if (!result->earlier.earlier) return;
    wr_earlier_sentence(&result->earlier, result->forecast, &text);
    wr_str_add_char(out, '\n');
    wr_prose_add(out, wr_str_text(&text), 0, WR_TERMINAL_COLUMNS);
    wr_str_release(&text);
}

static void forecast_table(const struct wr_present_context *ctx, const struct wr_forecast_result *result,
                           struct wr_str *out)
{
    struct wr_str text = {0};
    struct wr_grid grid;

    wr_forecast_sentence(ctx, result, &text);
    wr_prose_add(out, wr_str_text(&text), 0, WR_TERMINAL_COLUMNS);
    wr_str_clear(&text);
    add_when(result->forecast, &text);
    wr_prose_add(out, wr_str_text(&text), 0, WR_TERMINAL_COLUMNS);
    wr_str_clear(&text);
    wr_takes_sentence(ctx, result, &text);
    wr_prose_add(out, wr_str_text(&text), 0, WR_TERMINAL_COLUMNS);
    wr_str_clear(&text);
    wr_context_headline(ctx, "forecast", &text);
    wr_str_add_char(&text, '.');
    wr_prose_add(out, wr_str_text(&text), 0, WR_TERMINAL_COLUMNS);
    wr_str_release(&text);

    add_finish_grid(ctx, result, out);
    if (result->forecast->n_limit > 0) {
        wr_grid_of_limits(ctx, result, &grid);
        add_grid(ctx, &grid, out);
        add_other_verdicts(ctx, result, out);
    }
    add_beside(ctx, result, out);
    fill_drivers(result, TASKS_ON_TERMINAL, &grid);
    add_shared_rows(&grid, result->forecast);
    add_grid(ctx, &grid, out);
    wr_grid_of_lanes(result, &grid);
    add_grid(ctx, &grid, out);
    wr_grid_of_drop_rules(result, &grid);
    if (result->n_price > 0)
        add_grid(ctx, &grid, out);
    else
        wr_grid_release(&grid);
    if (result->carry_over) {
        wr_grid_of_carry_over(result, &grid);
        add_grid(ctx, &grid, out);
    }
    add_earlier(result, out);
    add_how(ctx, result->forecast, out);
}

static void probability_json(struct wr_json *j, json_t *at, const char *key, const struct wr_probability *p)
{
    json_t *o = wr_json_object(j, at, key);

    wr_json_number(j, o, "probability", p->mean);
    wr_json_interval(j, o, "interval", p);
    wr_json_number(j, o, "interval_level", INTERVAL_LEVEL);
    wr_json_number(j, o, "mc_error", p->mc_error);
    if (p->no_interval) wr_json_null(j, o, "interval_mc_error");
    else wr_json_pair(j, o, "interval_mc_error", p->lo_mc_error, p->hi_mc_error);
}

static void finish_json(struct wr_json *j, const struct wr_forecast *f)
{
    json_t *finish = wr_json_object(j, j->root, "finish");

    wr_json_number(j, finish, "mean_min", f->mean_min);
    wr_json_number(j, finish, "sd_min", f->sd_min);
    wr_json_number(j, finish, "mean_mc_error_min", f->mean_mc_error_min);
    json_t *quantiles = wr_json_object(j, finish, "quantiles_min");
    json_t *intervals = wr_json_object(j, finish, "quantiles_interval_min");
    json_t *errors = wr_json_object(j, finish, "quantiles_mc_error_min");
    for (size_t q = 0; q < WR_N_QUANTILE; q++) {
        char key[32];
        snprintf(key, sizeof key, "%g", wr_quantile_prob[q]);
        wr_json_number(j, quantiles, key, f->quantile_min[q]);
        wr_json_number(j, errors, key, f->quantile_mc_error_min[q]);
        if (f->nothing_unknown) wr_json_null(j, intervals, key);
        else wr_json_pair(j, intervals, key, f->quantile_lo_min[q], f->quantile_hi_min[q]);
    }
}

static bool is_all_lanes(const struct wr_plan *plan, uint32_t lanes)
{
    return lanes == (plan->n_lane < 32 ? (1u << plan->n_lane) - 1 : UINT32_MAX);
}

static void limits_json(struct wr_json *j, const struct wr_present_context *ctx,
                        const struct wr_forecast_result *result)
{
    json_t *limits = wr_json_array(j, j->root, "limits");

    for (size_t i = 0; i < result->forecast->n_limit; i++) {
        const struct wr_limit *limit = &result->limits->limit[i];
        const struct wr_probability *over = &result->forecast->limit[i].over;
        struct wr_maybe confidence = wr_wanted_confidence(ctx, result->limits, i);
        struct wr_str crew = {0};
        json_t *row = wr_json_row(j, limits);

        if (is_all_lanes(result->plan, limit->lanes))
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
        wr_json_text(j, row, "verdict", verdict_or_null(ctx, over, confidence));
        wr_str_release(&crew);
    }
}

static void curve_json(struct wr_json *j, const struct wr_forecast *f)
{
    json_t *curve = wr_json_array(j, j->root, "limit_curve");

    for (size_t i = 0; i < f->n_curve; i++) {
        json_t *row = wr_json_row(j, curve);
        wr_json_number(j, row, "limit_min", f->curve_limit_min[i]);
        wr_json_number(j, row, "probability_over", f->curve_over[i]);
        if (f->nothing_unknown) wr_json_null(j, row, "interval");
        else wr_json_pair(j, row, "interval", f->curve_lo[i], f->curve_hi[i]);
    }
}

static void gap_json(struct wr_json *j, const struct wr_gap *gap)
{
    if (!gap) {
        wr_json_null(j, j->root, "gap");
        return;
    }
    json_t *o = wr_json_object(j, j->root, "gap");
    wr_json_number(j, o, "since_last_days", gap->since_last_days);
    wr_json_number(j, o, "longest_between_days", gap->longest_between_days);
    wr_json_bool(j, o, "longer_than_any", gap->is_long);
}

static void factor_json(struct wr_json *j, json_t *at, const char *key, const struct wr_judged_factor *f)
{
    json_t *o = wr_json_object(j, at, key);

    wr_json_number(j, o, "factor", f->median);
    wr_json_pair(j, o, "interval", f->lo, f->hi);
}

static void judgement_json(struct wr_json *j, const struct wr_judging_found *judging)
{
    if (!judging) {
        wr_json_null(j, j->root, "judgement");
        return;
    }
    json_t *o = wr_json_object(j, j->root, "judgement");
    wr_json_count(j, o, "tasks", judging->n_task);
    wr_json_count(j, o, "judged_and_timed", judging->n_record);
    wr_json_bool(j, o, "earlier_campaigns", judging->by_earlier);
    wr_json_bool(j, o, "restated", judging->restated);
    if (judging->restated) {
        factor_json(j, o, "bias", &judging->bias);
        factor_json(j, o, "widening", &judging->widening);
    } else {
        wr_json_null(j, o, "bias");
        wr_json_null(j, o, "widening");
    }
}

static enum wr_status forecast_json(const struct wr_present_context *ctx, const struct wr_forecast_result *result,
                                    const struct wr_grid *drivers, struct wr_str *out, struct wr_error *err)
{
    const struct wr_forecast *f = result->forecast;
    struct wr_grid lanes; /* then the drop rules */
    struct wr_str sentence = {0};
    struct wr_json j;

    wr_json_begin(&j, ctx);
    struct wr_maybe confidence = f->n_limit > 0 ? wr_wanted_confidence(ctx, result->limits, 0) : WR_UNKNOWN;
    wr_json_text(&j, j.root, "verdict", f->n_limit > 0 ? verdict_or_null(ctx, &f->limit[0].over, confidence) : NULL);
    wr_forecast_sentence(ctx, result, &sentence);
    wr_json_text(&j, j.root, "answer", wr_str_text(&sentence));
    wr_json_count(&j, j.root, "trials", f->n_trial);
    wr_json_count(&j, j.root, "draws", f->n_draw);
    wr_json_maybe(&j, j.root, "limit_min", f->n_limit > 0 ? wr_known(result->limits->limit[0].minutes) : WR_UNKNOWN);
    wr_json_maybe(&j, j.root, "confidence", confidence);
    if (f->n_limit > 0)
        probability_json(&j, j.root, "overrun", &f->limit[0].over);
    else
        wr_json_null(&j, j.root, "overrun");
    finish_json(&j, f);
    limits_json(&j, ctx, result);
    wr_json_maybe(&j, j.root, "any_limit_over", f->n_limit > 0 ? wr_known(f->any_over.mean) : WR_UNKNOWN);
    if (f->n_limit > 0) wr_json_interval(&j, j.root, "any_limit_over_interval", &f->any_over);
    wr_grid_of_lanes(result, &lanes);
    wr_json_grid(&j, j.root, "crews", &lanes);
    wr_grid_release(&lanes);
    wr_grid_of_drop_rules(result, &lanes);
    wr_json_grid(&j, j.root, "drop_rules", &lanes);
    wr_grid_release(&lanes);
    wr_grid_of_beside(ctx, result, &lanes);
    wr_json_grid(&j, j.root, "beside", &lanes);
    wr_grid_release(&lanes);
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
    wr_str_release(&sentence);
    return wr_json_finish(&j, out, err);
}

/* Everything that will be shown as a table is looked at once, so that no rendering meets a number that is none. */
static enum wr_status check_all(const struct wr_present_context *ctx, const struct wr_forecast_result *result,
                                const struct wr_grid *drivers, struct wr_error *err)
{
    struct wr_grid grid;
    enum wr_status status = wr_grid_check(drivers, err);

    wr_grid_of_finish(result, &grid);
    if (status == WR_OK) status = wr_grid_check(&grid, err);
    wr_grid_release(&grid);
    wr_grid_of_limits(ctx, result, &grid);
    if (status == WR_OK) status = wr_grid_check(&grid, err);
    wr_grid_release(&grid);
    wr_grid_of_lanes(result, &grid);
    if (status == WR_OK) status = wr_grid_check(&grid, err);
    wr_grid_release(&grid);
    wr_grid_of_drop_rules(result, &grid);
    if (status == WR_OK) status = wr_grid_check(&grid, err);
    wr_grid_release(&grid);
    return status;
}

/* CSV is one table: the answer stands in columns of its own, the same in every row. */
static void csv_of_forecast(const struct wr_forecast_result *result, const struct wr_grid *drivers, struct wr_str *out)
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
    };
    enum { N_ANSWER = sizeof answer / sizeof *answer, N_ALL = DRIVER_COLUMNS + N_ANSWER };
    static const size_t quantile[] = {1, 4, 6, 7, 8}; /* 0.05, 0.5, 0.8, 0.9, 0.95 of wr_forecast.quantile_min */
    const struct wr_forecast *f = result->forecast;
    bool has_limit = f->n_limit > 0;
    const struct wr_probability *over = has_limit ? &f->limit[0].over : NULL;
    struct wr_column column[N_ALL];
    struct wr_grid all;

    memcpy(column, driver_column, sizeof driver_column);
    memcpy(column + DRIVER_COLUMNS, answer, sizeof answer);
    wr_grid_init(&all, column, N_ALL);
    for (size_t i = 0; i < wr_grid_rows(drivers); i++) {
        for (size_t c = 0; c < DRIVER_COLUMNS; c++) wr_grid_copy(&all, &drivers->value[i * DRIVER_COLUMNS + c]);
        for (size_t q = 0; q < sizeof quantile / sizeof *quantile; q++)
            wr_grid_number(&all, f->quantile_min[quantile[q]]);
        wr_grid_maybe(&all, has_limit ? wr_known(result->limits->limit[0].minutes) : WR_UNKNOWN);
        wr_grid_maybe(&all, has_limit ? wr_known(over->mean) : WR_UNKNOWN);
        wr_grid_maybe(&all, has_limit && !over->no_interval ? wr_known(over->lo) : WR_UNKNOWN);
        wr_grid_maybe(&all, has_limit && !over->no_interval ? wr_known(over->hi) : WR_UNKNOWN);
        wr_grid_maybe(&all, has_limit ? wr_known(f->any_over.mean) : WR_UNKNOWN);
    }
    wr_grid_add_csv(&all, out);
    wr_grid_release(&all);
}

enum wr_status wr_show_forecast(enum wr_format format, const struct wr_present_context *ctx,
                                const struct wr_forecast_result *result, struct wr_str *out, struct wr_error *err)
{
    struct wr_grid drivers;

    WR_BUG_IF(result->forecast->n_limit != result->limits->n_limit);
    wr_grid_of_drivers(result, &drivers);
    enum wr_status status = check_all(ctx, result, &drivers, err);
    if (status == WR_OK) {
        switch (format) {
        case WR_FORMAT_TABLE: forecast_table(ctx, result, out); break;
        case WR_FORMAT_CSV: csv_of_forecast(result, &drivers, out); break;
        case WR_FORMAT_JSON: status = forecast_json(ctx, result, &drivers, out, err); break;
        }
    }
    wr_grid_release(&drivers);
    return status;
}
