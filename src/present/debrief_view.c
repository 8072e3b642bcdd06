#include "wetrun/present/debrief_view.h"

#include <math.h>
#include <string.h>
#include "json.h"
#include "wetrun/present/forecast_view.h"
#include "wetrun/present/prose.h"
#include "wetrun/present/words.h"

enum { HOLD_WORTH_A_LINE_MIN = 5, UNLOGGED_WORTH_A_LINE_MIN = 10 };

static bool has_time(const struct wr_debrief_task *t)
{
    return t->state == WR_CELL_DONE || t->state == WR_CELL_STOPPED;
}

/* Whether `compare` holds that it stood out in this run. */
static bool is_far_out(const struct wr_debrief_result *r, size_t task)
{
    const struct wr_compared_run *c = r->comparison ? &r->comparison->run[r->debrief->run] : NULL;

    for (size_t i = 0; c && i < c->n_out; i++)
        if (c->out[i].task == task) return true;
    return false;
}

/* "slow, far out; began before its turn; hold 12 min" */
static void add_remark(const struct wr_debrief_result *r, const struct wr_debrief_task *t, struct wr_str *out)
{
    size_t start = out->len;

    if (t->state == WR_CELL_SKIPPED) wr_str_add(out, "; skipped");
    if (t->state == WR_CELL_ABSENT)
        wr_str_add(out, t->is_new ? "; new since then" : "; not logged");
    if (t->state == WR_CELL_LOST) wr_str_add(out, "; not known: a row of it is missing");
    if (t->state == WR_CELL_STOPPED) wr_str_add(out, "; stopped, at least this long");
    if (t->slow) wr_str_add(out, "; slow");
    if (t->fast) wr_str_add(out, "; fast");
    if (is_far_out(r, t->task)) wr_str_add(out, t->slow || t->fast ? ", far out" : "; far out");
    if (t->lead_in_unknown) wr_str_add(out, "; lead-in not known");
    if (t->began_early) wr_str_add(out, "; began before its turn");
    if (t->hold_min >= HOLD_WORTH_A_LINE_MIN) wr_str_addf(out, "; hold %s", wr_minutes(t->hold_min, WR_ROOM));
    if (!r->debrief->by_minutes && t->lead_in_min + t->gap_min >= UNLOGGED_WORTH_A_LINE_MIN)
        wr_str_addf(out, "; %s of lead-in and gap", wr_minutes(t->lead_in_min + t->gap_min, WR_ROOM));
    if (out->len == start) return;
    memmove(out->text + start, out->text + start + 2, out->len - start - 1); /* the first separator */
    out->len -= 2;
}

static const struct wr_column task_column[] = {
    {"task", "", WR_UNIT_TEXT, WR_MACHINE, 0},
    {"title", "task", WR_UNIT_TEXT, WR_EVERYBODY, 16},
    {"state", "", WR_UNIT_TEXT, WR_MACHINE, 0},
    {"actual_min", "took\nmin", WR_UNIT_MINUTES, WR_EVERYBODY, 0},
    {"forecast_min", "forecast\nmin", WR_UNIT_MINUTES, WR_EVERYBODY, 0},
    {"band", "80 of\n100", WR_UNIT_TEXT, WR_PEOPLE, 0},
    {"lo_min", "", WR_UNIT_MINUTES, WR_MACHINE, 0},
    {"hi_min", "", WR_UNIT_MINUTES, WR_MACHINE, 0},
    {"rank", "", WR_UNIT_OF_100, WR_MACHINE, 0},
    {"hold_min", "", WR_UNIT_MINUTES, WR_MACHINE, 0},
    {"lead_in_min", "", WR_UNIT_MINUTES, WR_MACHINE, 0},
    {"gap_min", "", WR_UNIT_MINUTES, WR_MACHINE, 0},
    {"began_early", "", WR_UNIT_YES_NO, WR_MACHINE, 0},
    {"remark", "what stood out", WR_UNIT_TEXT, WR_EVERYBODY, 14},
};

static void task_row(struct wr_grid *grid, const struct wr_debrief_result *r, const struct wr_debrief_task *t,
                     const char *remark)
{
    const struct wr_plan *plan = r->plan;
    bool seen = !r->debrief->by_minutes;

    WR_GRID_TEXTS(grid, plan->task[t->task].id, plan->task[t->task].title, wr_cell_state_words(t->state));
    wr_grid_maybe(grid, has_time(t) ? wr_known(t->actual_min) : WR_UNKNOWN);
    wr_grid_number(grid, t->expected_min);
    wr_grid_textf(grid, "%s to %s", wr_minutes_bare(t->lo_min, WR_ROOM), wr_minutes_bare(t->hi_min, WR_ROOM));
    WR_GRID_NUMBERS(grid, t->lo_min, t->hi_min);
    wr_grid_maybe(grid, has_time(t) ? wr_known(t->rank) : WR_UNKNOWN);
    wr_grid_number(grid, t->hold_min);
    WR_GRID_MAYBES(grid, seen ? wr_known(t->lead_in_min) : WR_UNKNOWN, seen ? wr_known(t->gap_min) : WR_UNKNOWN,
                   seen ? wr_known(t->began_early) : WR_UNKNOWN);
    wr_grid_text(grid, remark);
}

enum rows { ALL_ROWS, ROWS_THAT_STOOD_OUT };

static void fill(const struct wr_debrief_result *r, enum rows rows, struct wr_grid *grid)
{
    WR_SCOPED_STR remark = {0};

    wr_grid_init(grid, task_column, sizeof task_column / sizeof *task_column);
    for (size_t k = 0; k < r->debrief->n_task; k++) {
        wr_str_clear(&remark);
        add_remark(r, &r->debrief->task[k], &remark);
        if (rows == ALL_ROWS || remark.len > 0)
            task_row(grid, r, &r->debrief->task[k], wr_str_text(&remark));
    }
}

/* ---- words ---- */

/* "“Check the seal”; and 3 more": what is new in the plan, the first few. */
static void new_titles(const struct wr_debrief_result *r, struct wr_str *out)
{
    enum { NAMED = 3 };
    size_t n = 0;

    for (size_t k = 0; k < r->debrief->n_task; k++)
        if (r->debrief->task[k].is_new && n++ < NAMED)
            wr_str_addf(out, "%s\xe2\x80\x9c%s\xe2\x80\x9d", n > 1 ? ", " : "", r->plan->task[k].title);
    if (n > NAMED) wr_str_addf(out, " and %zu more", n - NAMED);
}

/* What is ranked is what `backtest` says happened. */
static void rank_sentence(const struct wr_debrief_result *r, struct wr_str *out)
{
    const struct wr_debrief *d = r->debrief;
    const char *lower = d->by_plan_complete ? "" : ", at least";

    if (d->n_new > 0) {
        wr_str_add(out, "The two cannot be compared: the plan that is forecast has ");
        new_titles(r, out);
        wr_str_add(out, ", which the plan that this run followed had not.");
        return;
    }
    if (wr_moment_gap_min(d->finish_min, d->by_plan_min) != 0 || d->did_its_work != d->by_plan_complete)
        wr_str_addf(out, "Its times through the plan that is forecast%s end at %s%s. ",
                    d->by_plan_complete && !d->did_its_work ? ", of which nothing is missing," : "",
                    wr_moment(d->by_plan_min, WR_ROOM), lower);
    wr_add_capital(out, wr_of_100(d->rank, WR_ROOM));
    wr_str_addf(out, " of 100 forecast finishes are earlier than that%s.", lower);
}

/* Which work the days hold that the run is held against. */
static void same_work_words(const struct wr_debrief_result *r, struct wr_str *out)
{
    const struct wr_debrief *d = r->debrief;

    if (d->n_left_out > 0)
        wr_str_addf(out, " without %s task%s that it skipped and the plan may drop",
                    wr_count_words(d->n_left_out, WR_ROOM), d->n_left_out == 1 ? "" : "s");
    else if (wr_plan_drops(r->plan))
        wr_str_add(out, " with nothing dropped");
}

static void finish_sentence(const struct wr_present_context *ctx, const struct wr_debrief_result *r,
                            struct wr_str *out)
{
    const struct wr_debrief *d = r->debrief;

    wr_str_add(out, r->log->run[d->run].id);
    wr_str_addf(out,
                d->did_its_work    ? ": done at %s without holds"
                : d->by_minutes    ? ": minutes and no begin nor end are logged, and by these it took %s at least, "
                                     "without holds"
                : d->finish_stands ? ": all done at %s without holds, though how long some work took is not known"
                                   : ": not complete, at least %s without holds",
                wr_moment(d->finish_min, WR_ROOM));
    wr_str_add_char(out, ';');
    same_work_words(r, out);
    wr_str_addf(out, " the other rehearsals led one to expect %s%s, 80 of 100 from %s to %s. ",
                wr_moment(d->lens_min[WR_LENS50], WR_ROOM),
                ctx->target == WR_FOR_EXCURSION ? " at pool pace" : "", wr_moment(d->lens_min[WR_LENS10], WR_ROOM),
                wr_moment(d->lens_min[WR_LENS90], WR_ROOM));
    rank_sentence(r, out);
}

static void counts_sentence(const struct wr_debrief *d, struct wr_str *out)
{
    wr_str_addf(
        out,
        "Of %zu task%s held against the forecast %zu %s slow and %zu fast, outside what 80 of 100 take; about %.0f "
        "would be by chance. Holds %s, lead-ins and gaps %s",
        d->n_judged, d->n_judged == 1 ? "" : "s", d->n_slow, d->n_slow == 1 ? "was" : "were", d->n_fast,
        0.2 * (double)d->n_judged, wr_minutes(d->hold_min, WR_ROOM),
        d->by_minutes ? "not known" : wr_minutes(d->unlogged_min, WR_ROOM));
    if (d->unknown_min > 0)
        wr_str_addf(out, ", and %s more that may hold work whose time is not known",
                    wr_minutes(d->unknown_min, WR_ROOM));
    wr_str_add_char(out, '.');
}

static enum wr_verdict verdict_on(const struct wr_present_context *ctx, const struct wr_debrief *d,
                                  double confidence)
{
    return wr_verdict_from(&d->over_after, &d->second, confidence, wr_context_grounds(ctx));
}

/* As the forecast says it of the first limit, with what it would have said without the run. */
static void limit_words(const struct wr_present_context *ctx, const struct wr_debrief_result *r, struct wr_str *out)
{
    const struct wr_debrief *d = r->debrief;
    const struct wr_limit *limit = r->limits->limit;
    struct wr_maybe wanted = wr_wanted_confidence(ctx, r->limits, 0);

    wr_str_addf(out, "; %s of 100 %s the %s limit", wr_chance(&d->over_after, WR_ROOM),
                wr_go_over(d->over_after.mean), wr_moment(limit->minutes, WR_ROOM));
    if (r->limits->n_limit > 1) wr_str_addf(out, " \xe2\x80\x9c%s\xe2\x80\x9d", limit->name);
    wr_str_add(out, d->over_after.no_interval ? " (no interval" : " (90 % interval ");
    if (!d->over_after.no_interval) wr_interval_cell(&d->over_after, wanted, out);
    if (d->has_before) wr_str_addf(out, "; without this run %s", wr_chance(&d->over_before, WR_ROOM));
    if (d->has_before && !d->over_before.no_interval) {
        wr_str_add(out, ", ");
        wr_interval_cell(&d->over_before, wanted, out);
    }
    if (!wanted.known) {
        wr_str_add(out, "); what is wanted was not said: --confidence gives a verdict");
        return;
    }
    const struct wr_grounds grounds = wr_context_grounds(ctx);
    wr_str_addf(out, "; wanted: at most %s): %s", wr_allowed_of_100(wanted.value, WR_ROOM),
                wr_verdict_said(verdict_on(ctx, d, wanted.value), grounds));
    wr_lack_words(", for ", wr_verdict_lacks(&d->over_after, &d->second, wanted.value, grounds), grounds,
                  ctx->complete_by, &d->second, wanted.value, out);
}

static void change_sentence(const struct wr_present_context *ctx, const struct wr_debrief_result *r,
                            struct wr_str *out)
{
    const struct wr_debrief *d = r->debrief;

    wr_str_addf(out, "What it changes for %s%s: all done by %s, as likely as not (without this run ",
                wr_target_words(ctx->target),
                ctx->target != WR_FOR_EXCURSION ? ""
                : ctx->has_carry_over           ? ", with the carry-over of history.csv"
                                                : ", with pool time at face value",
                wr_moment(d->p50_after_min, WR_ROOM));
    wr_str_addf(out, "%s)", d->has_before ? wr_moment(d->p50_before_min, WR_ROOM) : "nothing could be forecast");
    if (d->has_limit) limit_words(ctx, r, out);
    wr_str_add_char(out, '.');
}

static void waiting_sentence(const struct wr_debrief_result *r, struct wr_str *out)
{
    if (r->debrief->n_lane < 2 || r->debrief->by_minutes) return;
    wr_str_add(out, "Waiting for others or for a set time:");
    for (size_t l = 0; l < r->debrief->n_lane; l++)
        wr_str_addf(out, "%s %s %s", l ? "," : "", r->plan->lane[l], wr_minutes(r->debrief->waiting_min[l], WR_ROOM));
    wr_str_add_char(out, '.');
}

static void debrief_table(const struct wr_present_context *ctx, const struct wr_debrief_result *r, struct wr_str *out)
{
    WR_SCOPED_STR text = {0};
    WR_SCOPED_GRID grid = {0};

    finish_sentence(ctx, r, &text);
    wr_prose_say(out, &text);
    counts_sentence(r->debrief, &text);
    wr_prose_say(out, &text);
    waiting_sentence(r, &text);
    wr_prose_say(out, &text);
    change_sentence(ctx, r, &text);
    wr_prose_say(out, &text);
    fill(r, ROWS_THAT_STOOD_OUT, &grid);
    if (wr_grid_rows(&grid) > 0) {
        wr_str_add_char(out, '\n');
        wr_grid_add_terminal(&grid, wr_context_columns(ctx), out);
        wr_str_add(&text, "Slow, fast: outside what 80 of 100 forecast times of the task are. Far out: beyond 2 sd of "
                          "what task and day "
                          "led one to expect, as `compare` lists it; some of both by chance.");
        wr_prose_say(out, &text);
    }
}

static void over_json(struct wr_json *j, json_t *at, const char *key, bool there, const struct wr_probability *p)
{
    json_t *o = wr_json_object_if(j, at, key, there);

    if (!o) return;
    wr_json_number(j, o, "probability", p->mean);
    wr_json_interval(j, o, "interval", p);
}

static void change_json(struct wr_json *j, const struct wr_present_context *ctx, const struct wr_debrief_result *r)
{
    const struct wr_debrief *d = r->debrief;
    const struct wr_second *second = &d->second;
    struct wr_maybe wanted = d->has_limit ? wr_wanted_confidence(ctx, r->limits, 0) : WR_UNKNOWN;
    bool has_end = second->known && !second->over.no_interval;
    json_t *change = wr_json_object(j, j->root, "change");

    wr_json_maybe(j, change, "p50_before_min", d->has_before ? wr_known(d->p50_before_min) : WR_UNKNOWN);
    wr_json_number(j, change, "p50_after_min", d->p50_after_min);
    over_json(j, change, "overrun_before", d->has_before && d->has_limit, &d->over_before);
    over_json(j, change, "overrun_after", d->has_limit, &d->over_after);
    wr_json_text(j, change, "limit", d->has_limit ? r->limits->limit[0].name : NULL);
    wr_json_maybe(j, change, "confidence", wanted);
    wr_json_maybe(j, change, "second_probability_over", second->known ? wr_known(second->over.mean) : WR_UNKNOWN);
    wr_json_maybe(j, change, "second_probability_over_hi", has_end ? wr_known(second->over.hi) : WR_UNKNOWN);
    wr_json_text(j, change, "verdict", wanted.known ? wr_verdict_words(verdict_on(ctx, d, wanted.value)) : NULL);
}

static enum wr_status debrief_json(const struct wr_present_context *ctx, const struct wr_debrief_result *r,
                                   const struct wr_grid *tasks, struct wr_str *out, struct wr_error *err)
{
    const struct wr_debrief *d = r->debrief;
    struct wr_json j;

    wr_json_begin(&j, ctx);
    wr_json_text(&j, j.root, "run", r->log->run[d->run].id);
    wr_json_bool(&j, j.root, "complete", d->complete);
    wr_json_maybe(&j, j.root, "finish_without_holds_min", d->by_minutes ? WR_UNKNOWN : wr_known(d->finish_min));
    wr_json_number(&j, j.root, "predicted_p50_min", d->lens_min[WR_LENS50]);
    wr_json_pair(&j, j.root, "interval80_min", d->lens_min[WR_LENS10], d->lens_min[WR_LENS90]);
    wr_json_pair(&j, j.root, "interval95_min", d->lens_min[WR_LENS2_5], d->lens_min[WR_LENS97_5]);
    bool compared = d->n_new == 0;
    wr_json_maybe(&j, j.root, "by_plan_min", compared ? wr_known(d->by_plan_min) : WR_UNKNOWN);
    wr_json_bool(&j, j.root, "by_plan_complete", d->by_plan_complete);
    wr_json_count(&j, j.root, "left_out", d->n_left_out);
    wr_json_maybe(&j, j.root, "rank", compared ? wr_known(d->rank) : WR_UNKNOWN);
    wr_json_count(&j, j.root, "judged", d->n_judged);
    wr_json_count(&j, j.root, "slow", d->n_slow);
    wr_json_count(&j, j.root, "fast", d->n_fast);
    wr_json_number(&j, j.root, "hold_min", d->hold_min);
    wr_json_maybe(&j, j.root, "unlogged_min", d->by_minutes ? WR_UNKNOWN : wr_known(d->unlogged_min));
    wr_json_number(&j, j.root, "unknown_min", d->unknown_min);
    json_t *waiting = wr_json_array(&j, j.root, "waiting");
    for (size_t l = 0; l < d->n_lane; l++) {
        json_t *row = wr_json_row(&j, waiting);
        wr_json_text(&j, row, "crew", r->plan->lane[l]);
        wr_json_maybe(&j, row, "minutes", d->by_minutes ? WR_UNKNOWN : wr_known(d->waiting_min[l]));
    }
    wr_json_grid(&j, j.root, "tasks", tasks);
    change_json(&j, ctx, r);
    return wr_json_finish(&j, out, err);
}

enum wr_status wr_show_debrief(enum wr_format format, const struct wr_present_context *ctx,
                               const struct wr_debrief_result *result, struct wr_str *out, struct wr_error *err)
{
    WR_SCOPED_GRID tasks = {0};

    fill(result, ALL_ROWS, &tasks);
    enum wr_status status = wr_grid_check(&tasks, err);
    if (status) return status;
    switch (format) {
    case WR_FORMAT_TABLE: debrief_table(ctx, result, out); break;
    case WR_FORMAT_CSV: wr_grid_add_csv(&tasks, out); break;
    case WR_FORMAT_JSON: return debrief_json(ctx, result, &tasks, out, err);
    }
    return WR_OK;
}
