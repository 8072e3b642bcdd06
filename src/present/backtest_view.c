#include "wetrun/present/backtest_view.h"

#include "json.h"
#include "wetrun/present/prose.h"
#include "wetrun/present/words.h"

enum { FEW = 10 };

static void verdict_words(const struct wr_backtest_record *record, bool against, struct wr_str *out)
{
    if (against) {
        wr_str_add(out, ": the forecast was too sure of itself");
        return;
    }
    wr_str_add(out, record->prob_so_few80 < WR_BACKTEST_LEVEL ? ": fewer than a sound forecast has"
                                                              : ": no sign against the forecast");
    if (record->n_forecast < FEW) wr_str_addf(out, ", though %zu cannot show much", record->n_forecast);
}

void wr_record_words(const struct wr_backtest *b, struct wr_str *out)
{
    bool earlier = wr_record_speaks_against(&b->predecessors, WR_BACKTEST_LEVEL);

    if (earlier)
        wr_str_addf(out, ", and %zu of %zu where forecast from earlier rehearsals only", b->predecessors.n_inside80,
                    b->predecessors.n_forecast);
    verdict_words(&b->leave_one_out, earlier || wr_record_speaks_against(&b->leave_one_out, WR_BACKTEST_LEVEL), out);
}

void wr_record_expected(const struct wr_backtest_record *record, struct wr_str *out)
{
    if (record->expected_least80 == 0)
        wr_str_addf(out, "A sound forecast of %zu may well have none inside.", record->n_forecast);
    else
        wr_str_addf(out, "Of %zu, a sound forecast has %zu or more inside in %s of 100 such records.",
                    record->n_forecast, record->expected_least80, wr_of_100(record->prob_expected80, WR_ROOM));
}

/* Of one record; `both`: with the verdict of both. */
static void record_sentence(const struct wr_backtest_record *record, const struct wr_backtest *both,
                            const char *complete_by, struct wr_str *out)
{
    if (record->n_forecast == 0) {
        wr_str_addf(out, "No complete rehearsal%s could be held against a forecast: not enough evidence.",
                    wr_or_nothing(complete_by));
        return;
    }
    wr_str_addf(out, "%zu of %zu complete rehearsal%s%s fell inside %s 80 %% band", record->n_inside80,
                record->n_forecast, record->n_forecast == 1 ? "" : "s", wr_or_nothing(complete_by),
                record->n_forecast == 1 ? "its" : "their");
    if (both) wr_record_words(both, out);
    else verdict_words(record, wr_record_speaks_against(record, WR_BACKTEST_LEVEL), out);
    wr_str_add(out, ". ");
    wr_record_expected(record, out);
    if (!both || !wr_record_speaks_against(&both->predecessors, WR_BACKTEST_LEVEL)) return;
    wr_str_add_char(out, ' ');
    wr_record_expected(&both->predecessors, out);
}

void wr_backtest_sentence(const struct wr_backtest *backtest, const char *complete_by, struct wr_str *out)
{
    record_sentence(&backtest->leave_one_out, backtest, complete_by, out);
}

void wr_record_reach(enum wr_target target, struct wr_str *out)
{
    if (target == WR_FOR_EXCURSION)
        wr_str_add(
            out, "Only forecasts of pool rehearsals were put to this test. How pool times carry over to the excursion "
                 "is untested, so the record says nothing about that part of the forecast.");
}

/* Of one that fell outside by less than the clocks show, on which side: "from 3:19", "happened 3:19" and "no" would
 * contradict each other. */
static const char *inside_words(const struct wr_backtest_run *r)
{
    if (r->inside80) return "yes";
    if (r->actual_min < r->lens_min[WR_LENS10])
        return wr_moment_gap_min(r->actual_min, r->lens_min[WR_LENS10]) > 0 ? "no" : "no, just before";
    return wr_moment_gap_min(r->lens_min[WR_LENS90], r->actual_min) > 0 ? "no" : "no, just after";
}

void wr_grid_of_backtest(const struct wr_backtest_result *result, const struct wr_backtest_record *record,
                         struct wr_grid *grid)
{
    static const struct wr_column column[] = {
        {"run", "run", WR_UNIT_TEXT, WR_EVERYBODY, 6},
        {"actual_min", "happened", WR_UNIT_CLOCK, WR_EVERYBODY, 0},
        {"predicted_p50_min", "forecast\nmedian", WR_UNIT_CLOCK, WR_EVERYBODY, 0},
        {"interval80_lo_min", "80 %:\nfrom", WR_UNIT_CLOCK, WR_EVERYBODY, 0},
        {"interval80_hi_min", "to", WR_UNIT_CLOCK, WR_EVERYBODY, 0},
        {"interval95_lo_min", "95 %:\nfrom", WR_UNIT_CLOCK, WR_EVERYBODY, 0},
        {"interval95_hi_min", "to", WR_UNIT_CLOCK, WR_EVERYBODY, 0},
        {"rank", "rank", WR_UNIT_SHARE, WR_EVERYBODY, 0},
        {"crps_min", "score\nmin", WR_UNIT_MINUTES, WR_EVERYBODY, 0},
        {"inside80_shown", "inside\n80 %", WR_UNIT_TEXT, WR_PEOPLE, 0},
        {"inside80", "", WR_UNIT_YES_NO, WR_MACHINE, 0},
    };
    enum { COLUMNS = sizeof column / sizeof *column };

    wr_grid_init(grid, column, COLUMNS);
    for (size_t i = 0; i < record->n_run; i++) {
        const struct wr_backtest_run *r = &record->run[i];
        wr_grid_text(grid, result->log->run[r->run].id);
        wr_grid_number(grid, r->actual_min);
        if (!r->forecast_made) {
            for (size_t c = 2; c < COLUMNS; c++) wr_grid_absent(grid);
            continue;
        }
        WR_GRID_NUMBERS(grid, r->lens_min[WR_N_LENS / 2], r->lens_min[WR_LENS10], r->lens_min[WR_LENS90],
                        r->lens_min[WR_LENS2_5], r->lens_min[WR_LENS97_5], r->rank, r->crps_min);
        wr_grid_text(grid, inside_words(r));
        wr_grid_number(grid, r->inside80);
    }
}

static void tasks_grid(const struct wr_backtest_result *result, struct wr_grid *grid)
{
    static const struct wr_column column[] = {
        {"task", "task", WR_UNIT_TEXT, WR_MACHINE, 0},
        {"title", "task", WR_UNIT_TEXT, WR_EVERYBODY, 16},
        {"forecasts", "times\nforecast", WR_UNIT_COUNT, WR_EVERYBODY, 0},
        {"inside80", "inside\n80 %", WR_UNIT_COUNT, WR_EVERYBODY, 0},
        {"inside95", "inside\n95 %", WR_UNIT_COUNT, WR_EVERYBODY, 0},
        {"mean_rank", "mean\nrank", WR_UNIT_SHARE, WR_EVERYBODY, 0},
        {"crps_min", "score\nmin", WR_UNIT_MINUTES, WR_EVERYBODY, 0},
    };
    enum { COLUMNS = sizeof column / sizeof *column };

    wr_grid_init(grid, column, COLUMNS);
    for (size_t k = 0; k < result->backtest->n_task; k++) {
        const struct wr_backtest_task *t = &result->backtest->task[k];
        WR_GRID_TEXTS(grid, result->plan->task[k].id, result->plan->task[k].title);
        wr_grid_number(grid, (double)t->n);
        if (t->n == 0) {
            for (size_t c = 3; c < COLUMNS; c++) wr_grid_absent(grid);
            continue;
        }
        WR_GRID_NUMBERS(grid, (double)t->n_inside80, (double)t->n_inside95, t->mean_rank, t->crps_min);
    }
}

static void backtest_table(const struct wr_present_context *ctx, const struct wr_backtest_result *result,
                           struct wr_str *out)
{
    const struct wr_backtest *b = result->backtest;
    WR_SCOPED_STR text = {0};
    struct wr_grid grid;

    wr_backtest_sentence(b, result->complete_by, &text);
    wr_prose_say(out, &text);
    if (ctx->has_target) wr_record_reach(ctx->target, &text);
    wr_prose_say(out, &text);
    wr_context_headline(ctx, "record of forecasts", &text);
    wr_str_add(&text, b->leave_one_out.n_run > 0
                          ? ". Each forecast was made without that rehearsal, from all the others:"
                          : ".");
    wr_prose_say(out, &text);
    wr_grid_of_backtest(result, &b->leave_one_out, &grid);
    wr_context_add_grid(ctx, NULL, &grid, out);
    if (b->predecessors.n_forecast > 0) {
        wr_str_add(&text, "From the rehearsals before it only. ");
        record_sentence(&b->predecessors, NULL, result->complete_by, &text);
        wr_str_add_char(out, '\n');
        wr_prose_say(out, &text);
        wr_grid_of_backtest(result, &b->predecessors, &grid);
        wr_context_add_grid(ctx, NULL, &grid, out);
    }
    if (b->n_task_cell > 0) {
        wr_str_addf(
            &text,
            "Single tasks: %zu of %zu times (%s) inside the 80 %% band, %zu inside the 95 %% band. Times of one "
            "day are not independent, so this shows less than the number suggests. ",
            b->n_task_inside80, b->n_task_cell,
            wr_percent((double)b->n_task_inside80 / (double)b->n_task_cell, WR_ROOM), b->n_task_inside95);
        wr_str_add_char(out, '\n');
        wr_prose_say(out, &text);
    }
    if (b->leave_one_out.n_run > 0)
        wr_str_add(&text,
                   "Happened: the run's own times through the plan that is forecast, without holds. Rank: share of "
                   "the forecast below that; ranks near 0 or 100 % again and again are a bad sign. Score: "
                   "CRPS, smaller is better, in minutes like the error of a forecast that is one number.");
    if (b->leave_one_out.n_run > 0 && wr_plan_drops(result->plan))
        wr_str_add(&text, " Forecast is the work that the run did: what it skipped and the plan may drop is left out, "
                          "and nothing else is dropped.");
    wr_prose_say(out, &text);
}

static void record_json(struct wr_json *j, json_t *at, const struct wr_backtest_result *result,
                        const struct wr_backtest_record *record)
{
    json_t *runs = wr_json_array(j, at, "runs");
    bool any = record->n_forecast > 0;

    for (size_t i = 0; i < record->n_run; i++) {
        const struct wr_backtest_run *r = &record->run[i];
        json_t *row = wr_json_row(j, runs);
        wr_json_text(j, row, "run", result->log->run[r->run].id);
        wr_json_number(j, row, "actual_min", r->actual_min);
        wr_json_maybe(j, row, "predicted_p50_min",
                      r->forecast_made ? wr_known(r->lens_min[WR_N_LENS / 2]) : WR_UNKNOWN);
        wr_json_pair_if(j, row, "interval80_min", r->forecast_made, r->lens_min[WR_LENS10], r->lens_min[WR_LENS90]);
        wr_json_pair_if(j, row, "interval95_min", r->forecast_made, r->lens_min[WR_LENS2_5], r->lens_min[WR_LENS97_5]);
        wr_json_maybe(j, row, "rank", r->forecast_made ? wr_known(r->rank) : WR_UNKNOWN);
        wr_json_maybe(j, row, "crps_min", r->forecast_made ? wr_known(r->crps_min) : WR_UNKNOWN);
    }
    wr_json_count(j, at, "forecasts", record->n_forecast);
    wr_json_count(j, at, "inside80", record->n_inside80);
    wr_json_count(j, at, "inside95", record->n_inside95);
    wr_json_maybe(j, at, "coverage80", any ? wr_known(record->coverage80) : WR_UNKNOWN);
    wr_json_maybe(j, at, "coverage95", any ? wr_known(record->coverage95) : WR_UNKNOWN);
    wr_json_maybe(j, at, "crps_min", any ? wr_known(record->crps_min) : WR_UNKNOWN);
    wr_json_maybe(j, at, "probability_so_few_if_sound", any ? wr_known(record->prob_so_few80) : WR_UNKNOWN);
}

static enum wr_status backtest_json(const struct wr_present_context *ctx, const struct wr_backtest_result *result,
                                    struct wr_str *out, struct wr_error *err)
{
    struct wr_json j;
    struct wr_grid tasks;
    WR_SCOPED_STR sentence = {0};

    wr_json_begin(&j, ctx);
    wr_backtest_sentence(result->backtest, result->complete_by, &sentence);
    wr_json_text(&j, j.root, "answer", wr_str_text(&sentence));
    record_json(&j, j.root, result, &result->backtest->leave_one_out);
    record_json(&j, wr_json_object(&j, j.root, "predecessors_only"), result, &result->backtest->predecessors);
    tasks_grid(result, &tasks);
    wr_json_take_grid(&j, j.root, "tasks", &tasks);
    return wr_json_finish(&j, out, err);
}

enum wr_status wr_show_backtest(enum wr_format format, const struct wr_present_context *ctx,
                                const struct wr_backtest_result *result, struct wr_str *out, struct wr_error *err)
{
    WR_SCOPED_GRID grid = {0};

    wr_grid_of_backtest(result, &result->backtest->leave_one_out, &grid);
    enum wr_status status = wr_grid_check(&grid, err);
    if (status) return status;
    switch (format) {
    case WR_FORMAT_TABLE: backtest_table(ctx, result, out); break;
    case WR_FORMAT_CSV: wr_grid_add_csv(&grid, out); break;
    case WR_FORMAT_JSON: return backtest_json(ctx, result, out, err);
    }
    return WR_OK;
}
