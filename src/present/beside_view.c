#include "wetrun/present/beside_view.h"

#include "wetrun/base/memory.h"
#include "wetrun/decide/limit_needed.h"

static bool has(const struct wr_forecast_result *r, enum wr_beside_kind kind)
{
    for (size_t i = 0; i < r->n_beside; i++)
        if (r->beside[i].kind == kind) return true;
    return false;
}

/* ---- in words ---- */

/* Of one question; where there are two, each has its own. */
static const char *there_are_two(const struct wr_forecast_result *r)
{
    return has(r, WR_BESIDE_TOGETHER) ? "both are answered for" : "there are two answers";
}

static void gap_words(const struct wr_forecast_result *r, struct wr_str *out)
{
    if (!has(r, WR_BESIDE_GAP_ALLOWED)) return;
    wr_str_addf(
        out,
        "%.0f days lie between the last rehearsal and this run, at most %.0f between any two rehearsals. What is "
        "forgotten in so long a time is not in the logs, so %s: as if nothing was, and with 10 %% allowed for it.",
        r->gap->since_last_days, r->gap->longest_between_days, there_are_two(r));
}

static void factor_words(const struct wr_judged_factor *f, struct wr_str *out)
{
    wr_str_addf(out, "%.2f times (90 %% interval %.2f to %.2f)", f->median, f->lo, f->hi);
}

/* " (Close the hatch; Stow the tools)": the tasks of which nothing but judgement is known, the first few by title. */
static void judged_titles(const struct wr_forecast_result *r, struct wr_str *out)
{
    enum { NAMED = 3 };
    size_t n = 0;

    for (size_t k = 0; r->durations && k < r->durations->n_task; k++) {
        if (!wr_durations_are_judged(r->durations, k) || n++ >= NAMED) continue;
        wr_str_addf(out, "%s%s", n == 1 ? " (" : "; ", r->plan->task[k].title);
    }
    if (n > NAMED) wr_str_addf(out, "; and %zu more", n - NAMED);
    if (n > 0) wr_str_add_char(out, ')');
}

static void rests_on_judgement(const struct wr_forecast_result *r, struct wr_str *out)
{
    size_t n = r->judging->n_task;

    wr_str_addf(out, "%zu task%s on judgement", n, n == 1 ? " rests" : "s rest");
    if (n < r->plan->n_task) judged_titles(r, out);
}

static void judgement_words(const struct wr_forecast_result *r, struct wr_str *out)
{
    const struct wr_judging_found *j = r->judging;

    if (!j || j->n_task == 0 || !(j->restated || has(r, WR_BESIDE_JUDGED_SHORT))) return;
    if (out->len) wr_str_add_char(out, ' ');
    rests_on_judgement(r, out);
    if (!j->restated) {
        wr_str_addf(out,
                    ", which has no record here: %s. People tend to judge too short and too sure, so %s: as judged, "
                    "and as if judges were %.0f %% short in common, each time off by a fifth, and ranges a third too "
                    "narrow.",
                    j->n_record == 0 ? "no task was judged and then timed"
                                     : "fewer than three tasks were judged and then timed",
                    there_are_two(r), 100 * WR_JUDGED_SHORT_BY);
        return;
    }
    if (j->n_record == 0)
        wr_str_add(out, ". Tasks that were judged and then timed in earlier campaigns say: they take ");
    else wr_str_addf(out, ". %zu others%s were judged and then timed: they take ", j->n_record,
                     j->by_earlier ? ", and tasks of earlier campaigns," : "");
    factor_words(&j->bias, out);
    wr_str_add(out, " what was judged, and vary ");
    factor_words(&j->widening, out);
    wr_str_add(out, " as much. So is the judgement taken here.");
}

void wr_beside_words(const struct wr_forecast_result *result, struct wr_str *out)
{
    gap_words(result, out);
    judgement_words(result, out);
    if (has(result, WR_BESIDE_TOGETHER))
        wr_str_add(out, " Both may be so at once. That makes four answers, of which nothing here says which is right.");
}

/* ---- for whoever shows one answer ---- */

void wr_if_assumed_words(enum wr_beside_kind kind, double percent, struct wr_str *out)
{
    wr_str_add(out, kind == WR_BESIDE_JUDGED_SHORT ? "if " : "with ");
    wr_assumed_words(kind, percent, out);
}

/* "3 of 100 go over it (<1 to 16)" */
static void count_and_interval(const struct wr_probability *over, const char *of_100, struct wr_maybe confidence,
                               struct wr_str *out)
{
    wr_str_addf(out, "%s%s", wr_chance(over, WR_ROOM), of_100);
    wr_interval_beside(over, confidence, out);
}

void wr_second_words(const struct wr_second *second, struct wr_maybe confidence, struct wr_str *out)
{
    WR_SCOPED_STR go_over = {0};

    wr_if_assumed_words(second->kind, second->percent, out);
    wr_str_add_char(out, ' ');
    wr_str_addf(&go_over, " of 100 %s", wr_go_over(second->over.mean));
    count_and_interval(&second->over, wr_str_text(&go_over), confidence, out);
    if (second->before_day)
        wr_str_add(out, ", before the day: now it cannot be said, for hardly any such day agrees with what was "
                        "reported");
}

void wr_by_worst_words(const struct wr_second *second, struct wr_maybe confidence, struct wr_str *out)
{
    if (second->known) {
        wr_str_add(out, ", by the worst answer ");
        count_and_interval(&second->over, "", confidence, out);
    }
}

const struct wr_beside *wr_latest_answer(const struct wr_beside *beside, size_t n)
{
    const struct wr_beside *latest = NULL;

    for (size_t i = 0; i < n; i++) {
        if (!wr_beside_is_worse(&beside[i])) continue;
        if (!latest || beside[i].forecast.quantile_min[WR_Q95] > latest->forecast.quantile_min[WR_Q95])
            latest = &beside[i];
    }
    return latest;
}

static struct wr_maybe needed_min(const struct wr_forecast_result *r, const struct wr_beside *b,
                                  struct wr_maybe confidence)
{
    if (r->limits->limit[0].is_clock || !confidence.known) return WR_UNKNOWN;
    return wr_limit_needed(&b->forecast, confidence.value).middle_min;
}

struct wr_present_second *wr_second_answers(const struct wr_forecast_result *r, struct wr_maybe confidence, size_t *n)
{
    struct wr_present_second *second = WR_NEW_ARRAY(struct wr_present_second, WR_BESIDE_MOST * r->limits->n_limit);

    *n = 0;
    for (size_t i = 0; i < r->n_beside; i++) {
        const struct wr_beside *b = &r->beside[i];
        for (size_t l = 0; l < r->forecast->n_limit; l++) {
            if (!wr_beside_is_worse_for(b, l)) continue;
            struct wr_maybe own = r->limits->limit[l].confidence;
            second[*n] = (struct wr_present_second){.limit = r->limits->limit[l].name,
                                                    .at = l,
                                                    .confidence = own.known || l > 0 ? own : confidence};
            if (l == 0) second[*n].needed_min = needed_min(r, b, second[*n].confidence);
            wr_second_take(&second[(*n)++].is, b, &b->forecast.limit[l].over);
        }
    }
    return second;
}

/* What calls for each worse answer; for both at once nothing more. */
static void why(const struct wr_forecast_result *r, enum wr_beside_kind kind, struct wr_str *out)
{
    switch (kind) {
    case WR_BESIDE_JUDGED_SHORT:
        rests_on_judgement(r, out);
        wr_str_add(out, ", which has no record here. ");
        break;
    case WR_BESIDE_GAP_ALLOWED:
        wr_str_addf(out,
                    "%.0f days lie between the last rehearsal and this run, at most %.0f between any two rehearsals, "
                    "and what is forgotten in so long a time is not in the logs. ",
                    r->gap->since_last_days, r->gap->longest_between_days);
        break;
    case WR_BESIDE_NOTHING_FORGOTTEN: /* no worse */
    case WR_BESIDE_TOGETHER: break;
    }
}

/* Of every limit that it reaches, "With 10 % allowed for the gap, of 100 rehearsals go over: excursion 3 (<1 to 16);
 * Red oxygen 4 (<1 to 22)."; then what it takes. of[n]: its own; 0: there is no limit, or it reaches none. */
static void worse_numbers(const struct wr_present_context *ctx, const struct wr_forecast_result *r,
                          const struct wr_beside *b, const struct wr_present_second *of, size_t n, struct wr_str *out)
{
    bool alone = n == 1 && r->forecast->n_limit == 1;
    const char *days = ctx->target == WR_FOR_EXCURSION ? "excursion" : "rehearsal"; /* a limit may be named so */
    WR_SCOPED_STR assumed = {0};

    wr_if_assumed_words(b->kind, b->percent, &assumed);
    wr_add_capital(out, wr_str_text(&assumed));
    if (alone) wr_str_add_char(out, ' ');
    else if (n > 0) wr_str_addf(out, ", of 100 %ss go over: ", days);
    else wr_str_addf(out, " half of the %ss end by %s", days, wr_moment(b->forecast.quantile_min[WR_Q50], WR_ROOM));
    for (size_t i = 0; i < n; i++) {
        if (!alone) wr_str_addf(out, "%s%s ", i > 0 ? "; " : "", of[i].limit);
        WR_SCOPED_STR go_over = {0};
        if (alone) wr_str_addf(&go_over, " of 100 %ss %s the limit", days, wr_go_over(of->is.over.mean));
        count_and_interval(&of[i].is.over, wr_str_text(&go_over), of[i].confidence, out);
    }
    wr_str_add_char(out, '.');
    if (n > 0 && of->needed_min.known)
        wr_str_addf(out, " For the %s to keep %s with %s it then takes a limit of %s.", days,
                    alone ? "it" : of->limit, wr_percent(of->confidence.value, WR_ROOM),
                    wr_moment(of->needed_min.value, WR_ROOM));
}

size_t wr_n_answers(const struct wr_forecast_result *r)
{
    size_t n = 1;

    for (size_t i = 0; i < r->n_beside; i++) n += wr_beside_is_worse(&r->beside[i]);
    return n;
}

void wr_worse_answers_words(const struct wr_present_context *ctx, const struct wr_forecast_result *r,
                            struct wr_str *out)
{
    size_t n, at = 0;
    WR_SCOPED struct wr_present_second *second = wr_second_answers(r, ctx->confidence, &n);

    for (size_t i = 0; i < r->n_beside; i++) {
        const struct wr_beside *b = &r->beside[i];
        size_t n_own = 0;
        for (size_t l = 0; l < r->forecast->n_limit; l++) n_own += wr_beside_is_worse_for(b, l);
        if (!wr_beside_is_worse(b)) continue;
        wr_str_add_char(out, ' ');
        worse_numbers(ctx, r, b, second + at, n_own, out);
        at += n_own;
        if (b->kind == WR_BESIDE_GAP_ALLOWED)
            wr_str_addf(out, " `--gap-allowance %.0f` rests all of it on that.", b->percent);
    }
}

void wr_second_answer_words(const struct wr_present_context *ctx, const struct wr_forecast_result *r, bool during,
                            struct wr_str *out)
{
    size_t n_answer = wr_n_answers(r);

    if (n_answer == 1) return;
    for (size_t i = 0; i < r->n_beside; i++) why(r, r->beside[i].kind, out);
    wr_str_addf(out, "So there are %s answers, and the numbers below are those %s.%s",
                wr_count_words(n_answer, WR_ROOM), wr_not_assumed_words(r->beside[r->n_beside - 1].kind),
                during ? " This was said before the day." : "");
    wr_worse_answers_words(ctx, r, out);
}

const char *wr_all_answers_words(const struct wr_forecast *f)
{
    return f->n_worse > 1 ? "all four answers" : "both answers";
}

/* ---- as a table ---- */

static void add_part(struct wr_str *out, const char *text)
{
    if (out->len) wr_str_add(out, ", ");
    wr_str_add(out, text);
}

/* What the forecast itself assumes where others assume something else. */
static void assumed_above(const struct wr_forecast_result *r, struct wr_str *out)
{
    if (has(r, WR_BESIDE_GAP_ALLOWED)) add_part(out, "nothing forgotten");
    if (has(r, WR_BESIDE_NOTHING_FORGOTTEN)) add_part(out, "allowance as asked");
    if (has(r, WR_BESIDE_JUDGED_SHORT)) add_part(out, "as judged");
    wr_str_add(out, " (above)");
}

void wr_assumed_words(enum wr_beside_kind kind, double percent, struct wr_str *out)
{
    switch (kind) {
    case WR_BESIDE_GAP_ALLOWED: wr_str_addf(out, "%.0f %% allowed for the gap", percent); break;
    case WR_BESIDE_NOTHING_FORGOTTEN: wr_str_add(out, "nothing forgotten"); break;
    case WR_BESIDE_JUDGED_SHORT: wr_str_addf(out, "judged %.0f %% short", percent); break;
    case WR_BESIDE_TOGETHER:
        wr_str_addf(out, "%.0f %% allowed for the gap and judged %.0f %% short", percent, 100 * WR_JUDGED_SHORT_BY);
        break;
    }
}

const char *wr_not_assumed_words(enum wr_beside_kind kind)
{
    return kind == WR_BESIDE_TOGETHER       ? "as if nothing was forgotten, and as judged"
           : kind == WR_BESIDE_JUDGED_SHORT ? "as judged"
                                            : "as if nothing was forgotten";
}

/* Below rows of each alone. */
static void add_assumed(const struct wr_beside *b, struct wr_str *out)
{
    if (b->kind == WR_BESIDE_TOGETHER) wr_str_add(out, "both together");
    else wr_assumed_words(b->kind, b->percent, out);
}

static const struct wr_probability *over_first(const struct wr_forecast *f)
{
    return f->n_limit > 0 ? &f->limit[0].over : NULL;
}

/* over: of the first limit; NULL: there is none, or the answer does not reach it. */
static void row(struct wr_grid *grid, const struct wr_str *assumed, const struct wr_forecast *f,
                const struct wr_probability *over, struct wr_maybe confidence)
{
    WR_SCOPED_STR cell = {0};
    bool interval = over && !over->no_interval;

    wr_grid_text(grid, wr_str_text(assumed));
    wr_grid_maybe(grid, over ? wr_known(over->mean) : WR_UNKNOWN);
    if (over) {
        wr_interval_cell(over, confidence, &cell);
        wr_grid_text(grid, wr_str_text(&cell));
    } else {
        wr_grid_absent(grid);
    }
    WR_GRID_MAYBES(grid, interval ? wr_known(over->lo) : WR_UNKNOWN, interval ? wr_known(over->hi) : WR_UNKNOWN);
    WR_GRID_NUMBERS(grid, f->quantile_min[WR_Q50], f->quantile_min[WR_Q80], f->quantile_min[WR_Q95]);
}

void wr_grid_of_beside(const struct wr_present_context *ctx, const struct wr_forecast_result *result,
                       struct wr_grid *grid)
{
    static const struct wr_column column[] = {
        {"assumption", "if", WR_UNIT_TEXT, WR_EVERYBODY, 24},
        {"probability_over", "go over it,\nof 100", WR_UNIT_OF_100, WR_EVERYBODY, 0},
        {"interval", "90 %\ninterval", WR_UNIT_TEXT, WR_PEOPLE, 0},
        {"probability_over_lo", "", WR_UNIT_OF_100, WR_MACHINE, 0},
        {"probability_over_hi", "", WR_UNIT_OF_100, WR_MACHINE, 0},
        {"finish_p50_min", "half\nby", WR_UNIT_CLOCK, WR_EVERYBODY, 0},
        {"finish_p80_min", "80 of 100\nby", WR_UNIT_CLOCK, WR_EVERYBODY, 0},
        {"finish_p95_min", "95 of 100\nby", WR_UNIT_CLOCK, WR_EVERYBODY, 0},
    };
    struct wr_maybe confidence = result->forecast->n_limit ? wr_wanted_confidence(ctx, result->limits, 0) : WR_UNKNOWN;
    WR_SCOPED_STR assumed = {0};

    wr_grid_init(grid, column, sizeof column / sizeof *column);
    if (result->n_beside == 0) return;
    assumed_above(result, &assumed);
    row(grid, &assumed, result->forecast, over_first(result->forecast), confidence);
    for (size_t i = 0; i < result->n_beside; i++) {
        const struct wr_beside *b = &result->beside[i];
        bool reaches = !wr_beside_is_worse(b) || wr_beside_is_worse_for(b, 0);
        wr_str_clear(&assumed);
        add_assumed(b, &assumed);
        row(grid, &assumed, &b->forecast, reaches ? over_first(&b->forecast) : NULL, confidence);
    }
}

void wr_grid_of_beside_others(const struct wr_forecast_result *r, struct wr_grid *grid)
{
    static const struct wr_column column[] = {
        {"limit", "limit", WR_UNIT_TEXT, WR_EVERYBODY, 12},
        {"assumption", "if", WR_UNIT_TEXT, WR_EVERYBODY, 24},
        {"probability_over", "go over it,\nof 100", WR_UNIT_OF_100, WR_EVERYBODY, 0},
        {"interval", "90 %\ninterval", WR_UNIT_TEXT, WR_EVERYBODY, 0},
    };
    size_t n;
    WR_SCOPED struct wr_present_second *second = wr_second_answers(r, WR_UNKNOWN, &n);

    wr_grid_init(grid, column, sizeof column / sizeof *column);
    for (size_t i = 0; i < n; i++) {
        WR_SCOPED_STR assumed = {0}, cell = {0};
        if (second[i].at == 0) continue; /* the first limit has a table of its own */
        wr_assumed_words(second[i].is.kind, second[i].is.percent, &assumed);
        wr_interval_cell(&second[i].is.over, second[i].confidence, &cell);
        WR_GRID_TEXTS(grid, second[i].limit, wr_str_text(&assumed));
        wr_grid_number(grid, second[i].is.over.mean);
        wr_grid_text(grid, wr_str_text(&cell));
    }
}

void wr_grid_second(struct wr_grid *grid, const struct wr_second *second)
{
    bool known = second && second->known;
    WR_SCOPED_STR assumed = {0};

    if (known) wr_assumed_words(second->kind, second->percent, &assumed);
    if (known) wr_grid_text(grid, wr_str_text(&assumed));
    else wr_grid_absent(grid);
    WR_GRID_MAYBES(grid, known ? wr_known(second->over.mean) : WR_UNKNOWN,
                   known && !second->over.no_interval ? wr_known(second->over.hi) : WR_UNKNOWN);
}
