#include "wetrun/present/beside_view.h"

static bool has(const struct wr_forecast_result *r, enum wr_beside_kind kind)
{
    for (size_t i = 0; i < r->n_beside; i++)
        if (r->beside[i].kind == kind) return true;
    return false;
}

/* ---- in words ---- */

static void gap_words(const struct wr_forecast_result *r, struct wr_str *out)
{
    if (!has(r, WR_BESIDE_GAP_ALLOWED)) return;
    wr_str_addf(
        out,
        "%.0f days lie between the last rehearsal and this run, at most %.0f between any two rehearsals. What is "
        "forgotten in so long a time is not in the logs, so there are two answers: as if nothing was, and with 10 %% "
        "allowed for it.",
        r->gap->since_last_days, r->gap->longest_between_days);
}

static void factor_words(const struct wr_judged_factor *f, struct wr_str *out)
{
    wr_str_addf(out, "%.2f times (90 %% interval %.2f to %.2f)", f->median, f->lo, f->hi);
}

static void judgement_words(const struct wr_forecast_result *r, struct wr_str *out)
{
    const struct wr_judging_found *j = r->judging;

    if (!j || j->n_task == 0 || !(j->restated || has(r, WR_BESIDE_JUDGED_SHORT))) return;
    if (out->len) wr_str_add_char(out, ' ');
    wr_str_addf(out, "%zu task%s on judgement", j->n_task, j->n_task == 1 ? " rests" : "s rest");
    if (!j->restated) {
        wr_str_addf(out,
                    ", which has no record here: %s. People tend to judge too short and too sure, so "
                    "there are two answers: as judged, and as if judges were %.0f %% short in common, each time off by "
                    "a fifth, "
                    "and ranges a third too narrow.",
                    j->n_record == 0 ? "no task was judged and then timed"
                                     : "fewer than three tasks were judged and then timed",
                    100 * WR_JUDGED_SHORT_BY);
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

static void assumed_beside(const struct wr_beside *b, struct wr_str *out)
{
    switch (b->kind) {
    case WR_BESIDE_GAP_ALLOWED: wr_str_addf(out, "%.0f %% allowed for the gap", b->percent); break;
    case WR_BESIDE_NOTHING_FORGOTTEN: wr_str_add(out, "nothing forgotten"); break;
    case WR_BESIDE_JUDGED_SHORT: wr_str_addf(out, "judged %.0f %% short", b->percent); break;
    }
}

static void row(struct wr_grid *grid, const struct wr_str *assumed, const struct wr_forecast *f,
                struct wr_maybe confidence)
{
    WR_SCOPED_STR cell = {0};
    const struct wr_probability *over = f->n_limit ? &f->limit[0].over : NULL;
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
    row(grid, &assumed, result->forecast, confidence);
    for (size_t i = 0; i < result->n_beside; i++) {
        wr_str_clear(&assumed);
        assumed_beside(&result->beside[i], &assumed);
        row(grid, &assumed, &result->beside[i].forecast, confidence);
    }
}
