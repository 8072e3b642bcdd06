#include "wetrun/present/against_view.h"

#include <math.h>
#include "json.h"
#include "wetrun/present/prose.h"
#include "wetrun/present/ready_view.h"
#include "wetrun/present/words.h"

static const char *const part_words[WR_N_AGAINST_PART] = {
    [WR_PART_LIMIT] = "the limit", [WR_PART_PLAN] = "the plan", [WR_PART_REHEARSALS] = "what the rehearsals tell"};
static const char *const part_key[WR_N_AGAINST_PART] = {
    [WR_PART_LIMIT] = "limit", [WR_PART_PLAN] = "plan", [WR_PART_REHEARSALS] = "rehearsals"};

/* ---- sentences ---- */

static void add_runs(const struct wr_against *a, struct wr_str *out)
{
    wr_str_addf(out, "Against %s, %s rehearsal%s then and %s now: ", a->before_name,
                wr_count_words(a->n_run_before, WR_ROOM), a->n_run_before == 1 ? "" : "s",
                wr_count_words(a->n_run_after, WR_ROOM));
}

static const char no_more_than_noise[] = " (no more than the noise of the simulation)";

/* Each number is judged by itself: beside a probability that has not moved the median may have. */
static void add_worth_of_over(const struct wr_against *a, struct wr_str *out)
{
    if (wr_change_of(&a->over) == 0) return;
    if (wr_change_is_noise(&a->over))
        wr_str_add(out, no_more_than_noise);
    else
        wr_str_addf(out,
                    a->within_what_was_said ? " (what was said then, %s to %s of 100, allowed for it)"
                                            : " (outside of what was said then, %s to %s of 100)",
                    wr_of_100_cell(a->said_lo, WR_ROOM), wr_of_100_cell(a->said_hi, WR_ROOM));
}

static void add_worth_of_half(const struct wr_against *a, struct wr_str *out)
{
    if (wr_moment_gap_min(a->half_min.before, a->half_min.after) == 0) return;
    wr_str_add(out, wr_change_is_noise(&a->half_min) ? no_more_than_noise : " (more than the noise of the simulation)");
}

static bool part_is_noise(const struct wr_against_share *p)
{
    return fabs(p->change) <= 2 * p->error;
}

static bool is_shown_as_none(double change)
{
    return floor(1000 * fabs(change) + 0.5) == 0; /* as wr_change shows hundredths */
}

/* There is a change to take apart, or parts of one that outweigh each other. */
static bool has_parts(const struct wr_against *a)
{
    bool any = !is_shown_as_none(wr_change_of(&a->over));

    for (int i = 0; i < WR_N_AGAINST_PART; i++)
        any |= a->part[i].known && !part_is_noise(&a->part[i]) && !is_shown_as_none(a->part[i].change);
    return any;
}

/* Counts of 100 beside the parts would not add up to them: the change is said with the decimals of its parts. */
static void add_parts(const struct wr_against *a, struct wr_str *out)
{
    bool any = false;

    for (int i = 0; i < WR_N_AGAINST_PART && has_parts(a); i++) {
        const struct wr_against_share *p = &a->part[i];
        if (!p->known || (p->change == 0 && p->error == 0)) continue;
        if (!any)
            wr_str_addf(out, " Of the change from %s to %s of 100: ", wr_change(100 * a->over.before, WR_ROOM),
                        wr_change(100 * a->over.after, WR_ROOM));
        wr_str_addf(out, "%s%s %s%s%s", any ? ", " : "", part_words[i], p->change > 0 ? "+" : "",
                    wr_change(100 * p->change, WR_ROOM), part_is_noise(p) ? " (noise)" : "");
        any = true;
    }
    if (any) wr_str_add_char(out, '.');
    if (!a->part[WR_PART_PLAN].known)
        wr_str_add(out, " Plan and rehearsals cannot be told apart: the plan has work that was not in it then.");
}

void wr_against_sentences(const struct wr_against *a, struct wr_str *out)
{
    add_runs(a, out);
    if (a->over.known) {
        wr_str_addf(out, "%s of 100 %s the ", wr_of_100(a->over.after, WR_ROOM), wr_go_over(a->over.after));
        if (a->n_limit > 1) wr_str_addf(out, "first limit, \xe2\x80\x9c%s\xe2\x80\x9d", a->limit[0].name);
        else wr_str_add(out, "limit");
        wr_str_addf(out, ", %s then", wr_of_100(a->over.before, WR_ROOM));
        add_worth_of_over(a, out);
        wr_str_add(out, "; ");
    }
    wr_str_addf(out, "all done by %s as likely as not, %s then", wr_moment(a->half_min.after, WR_ROOM),
                wr_moment(a->half_min.before, WR_ROOM));
    add_worth_of_half(a, out);
    wr_str_add_char(out, '.');
    if (!a->over.known) return;
    if (wr_change_of(&a->over) == 0 && wr_change_of(&a->half_min) == 0) wr_str_add(out, " Nothing has changed.");
    else add_parts(a, out);
}

/* ---- tables ---- */

static const char *worth_words(const struct wr_change *c, bool within)
{
    if (!c->known) return "";
    if (wr_change_of(c) == 0) return "the same";
    return wr_change_is_noise(c) ? "noise" : within ? "within what was said" : "changed";
}

static void add_before_after(struct wr_grid *grid, const struct wr_change *c)
{
    WR_GRID_MAYBES(grid, c->known || c->only_before ? wr_known(c->before) : WR_UNKNOWN,
                   c->known || c->only_after ? wr_known(c->after) : WR_UNKNOWN);
}

void wr_grid_of_against_limits(const struct wr_against *a, struct wr_grid *grid)
{
    static const struct wr_column column[] = {
        {"limit", "limit", WR_UNIT_TEXT, WR_EVERYBODY, 10},
        {"minutes_before", "allowed\nthen", WR_UNIT_CLOCK, WR_EVERYBODY, 0},
        {"minutes_after", "now", WR_UNIT_CLOCK, WR_EVERYBODY, 0},
        {"confidence_before", "wanted\nthen", WR_UNIT_SHARE, WR_EVERYBODY, 0},
        {"confidence_after", "now", WR_UNIT_SHARE, WR_EVERYBODY, 0},
        {"probability_over_before", "of 100 over\nthen", WR_UNIT_OF_100, WR_EVERYBODY, 0},
        {"probability_over_after", "now", WR_UNIT_OF_100, WR_EVERYBODY, 0},
        {"error", "", WR_UNIT_PLAIN, WR_MACHINE, 0},
        {"noise", "", WR_UNIT_YES_NO, WR_MACHINE, 0},
        {"state", "change", WR_UNIT_TEXT, WR_EVERYBODY, 0},
    };

    wr_grid_init(grid, column, sizeof column / sizeof *column);
    for (size_t i = 0; i < a->n_limit; i++) {
        const struct wr_against_limit *l = &a->limit[i];
        wr_grid_text(grid, l->name);
        add_before_after(grid, &l->minutes);
        add_before_after(grid, &l->confidence);
        add_before_after(grid, &l->over);
        wr_grid_maybe(grid, l->over.known ? wr_known(l->over.error) : WR_UNKNOWN);
        wr_grid_maybe(grid, l->over.known ? wr_known(wr_change_is_noise(&l->over)) : WR_UNKNOWN);
        wr_grid_text(grid, !l->in_before  ? "new"
                           : !l->in_after ? "gone"
                                          : worth_words(&l->over, l->within_what_was_said));
    }
}

/* More than noise, and more than what was said then allowed for; or the plan says otherwise. */
static bool has_changed(const struct wr_against_task *t)
{
    return !t->in_before || !t->in_after || t->edited ||
           (t->median_min.known && !wr_change_is_noise(&t->median_min) && !t->within_what_was_said);
}

/* "Cut-offs have moved by -2 to +8 min." */
static void add_cutoffs(const struct wr_against *a, struct wr_str *out)
{
    double least = INFINITY, most = -INFINITY;
    size_t n = 0;

    for (size_t i = 0; i < a->n_task; i++) {
        const struct wr_change *c = &a->task[i].latest_start_min;
        if (!c->known || wr_change_is_noise(c)) continue;
        least = fmin(least, wr_change_of(c));
        most = fmax(most, wr_change_of(c));
        n++;
    }
    if (n == 0) return;
    wr_str_addf(out, "%zu cut-off%s moved by more than noise", n, n == 1 ? " has" : "s have");
    if (n == 1 || most - least < 0.05) wr_str_addf(out, ", by %s min. ", wr_signed(most, WR_ROOM));
    else wr_str_addf(out, ", by %s to %s min. ", wr_signed(least, WR_ROOM), wr_signed(most, WR_ROOM));
}

static void add_other_tasks(const struct wr_against *a, struct wr_str *out)
{
    size_t n = 0;

    for (size_t i = 0; i < a->n_task; i++)
        n += !has_changed(&a->task[i]) && a->task[i].median_min.known && !wr_change_is_noise(&a->task[i].median_min);
    if (n > 0)
        wr_str_addf(out, "%zu task%s moved by more than noise and no more than what was said then allowed for. ", n,
                    n == 1 ? " has" : "s have");
}

void wr_against_rest(const struct wr_against *a, struct wr_str *out)
{
    size_t before = out->len;

    add_other_tasks(a, out);
    add_cutoffs(a, out);
    if (out->len == before) wr_str_add(out, "Nothing else about the tasks has changed by more than noise.");
}

static void task_row(struct wr_grid *grid, const struct wr_against_task *t)
{
    WR_GRID_TEXTS(grid, t->id, t->title);
    add_before_after(grid, &t->median_min);
    wr_grid_text(grid, worth_words(&t->median_min, t->within_what_was_said));
    wr_grid_maybe(grid, t->median_min.known ? wr_known(t->median_min.error) : WR_UNKNOWN);
    add_before_after(grid, &t->latest_start_min);
    wr_grid_text(grid, worth_words(&t->latest_start_min, false));
    wr_grid_maybe(grid, t->latest_start_min.known ? wr_known(t->latest_start_min.error) : WR_UNKNOWN);
    wr_grid_maybe(grid, t->in_before ? wr_known((double)t->done_before) : WR_UNKNOWN);
    wr_grid_maybe(grid, t->in_after ? wr_known((double)t->done_after) : WR_UNKNOWN);
    wr_grid_text(grid, !t->in_before ? "new" : !t->in_after ? "gone" : t->edited ? t->edited : "");
}

void wr_grid_of_against_tasks(const struct wr_against *a, enum wr_against_rows rows, struct wr_grid *grid)
{
    static const struct wr_column column[] = {
        {"task", "task", WR_UNIT_TEXT, WR_EVERYBODY, 10},
        {"title", "title", WR_UNIT_TEXT, WR_PAGE | WR_MACHINE, 0},
        {"median_before_min", "usual\nthen", WR_UNIT_MINUTES, WR_EVERYBODY, 0},
        {"median_after_min", "now", WR_UNIT_MINUTES, WR_EVERYBODY, 0},
        {"median_state", "change", WR_UNIT_TEXT, WR_EVERYBODY, 0},
        {"median_error_min", "", WR_UNIT_PLAIN, WR_MACHINE, 0},
        {"latest_start_before_min", "begin by\nthen", WR_UNIT_BY, WR_EVERYBODY, 0},
        {"latest_start_after_min", "now", WR_UNIT_BY, WR_EVERYBODY, 0},
        {"latest_start_state", "change", WR_UNIT_TEXT, WR_EVERYBODY, 0},
        {"latest_start_error_min", "", WR_UNIT_PLAIN, WR_MACHINE, 0},
        {"timed_before", "timed\nthen", WR_UNIT_COUNT, WR_PAGE | WR_MACHINE, 0},
        {"timed_after", "now", WR_UNIT_COUNT, WR_PAGE | WR_MACHINE, 0},
        {"plan", "in the plan", WR_UNIT_TEXT, WR_EVERYBODY, 8},
    };

    wr_grid_init(grid, column, sizeof column / sizeof *column);
    for (size_t i = 0; i < a->n_task; i++)
        if (rows == WR_AGAINST_ALL || has_changed(&a->task[i])) task_row(grid, &a->task[i]);
}

void wr_grid_of_against_criteria(const struct wr_against *a, enum wr_against_rows rows, struct wr_grid *grid)
{
    static const struct wr_column column[] = {
        {"criterion", "", WR_UNIT_TEXT, WR_MACHINE, 0},
        {"about", "criterion", WR_UNIT_TEXT, WR_PEOPLE, 0},
        {"before", "then", WR_UNIT_TEXT, WR_EVERYBODY, 0},
        {"after", "now", WR_UNIT_TEXT, WR_EVERYBODY, 0},
    };

    wr_grid_init(grid, column, sizeof column / sizeof *column);
    for (size_t i = 0; i < a->n_criterion; i++) {
        const struct wr_against_criterion *c = &a->criterion[i];
        if (rows == WR_AGAINST_CHANGED && c->before == c->after) continue;
        WR_GRID_TEXTS(grid, wr_criterion_name(c->id), wr_criterion_words(c->id), wr_evidence_words(c->before),
                      wr_evidence_words(c->after));
    }
}

/* ---- formats ---- */

static void add_table(struct wr_str *out, struct wr_grid *grid, const char *head)
{
    if (wr_grid_rows(grid) > 0) {
        wr_str_addf(out, "\n%s\n", head);
        wr_grid_add_terminal(grid, WR_TERMINAL_COLUMNS, out);
    }
    wr_grid_release(grid);
}

static void against_table(const struct wr_against *a, struct wr_str *out)
{
    WR_SCOPED_STR text = {0};
    struct wr_grid grid;

    wr_str_add_char(out, '\n');
    wr_against_sentences(a, &text);
    wr_prose_add(out, wr_str_text(&text), 0, WR_TERMINAL_COLUMNS);
    wr_grid_of_against_limits(a, &grid);
    add_table(out, &grid, "Limits:");
    wr_grid_of_against_tasks(a, WR_AGAINST_CHANGED, &grid);
    add_table(out, &grid, "Tasks that are not as they were:");
    WR_SCOPED_STR rest = {0};
    wr_against_rest(a, &rest);
    wr_str_add_char(out, '\n');
    wr_prose_add(out, wr_str_text(&rest), 0, WR_TERMINAL_COLUMNS);
    wr_grid_of_against_criteria(a, WR_AGAINST_CHANGED, &grid);
    if (a->n_criterion && wr_grid_rows(&grid) == 0) wr_str_add(out, "\nThe criteria of a review stand as they did.\n");
    add_table(out, &grid, "Criteria of a review that are not as they were:");
}

static void json_change(struct wr_json *j, json_t *at, const char *key, const struct wr_change *c)
{
    json_t *o = wr_json_object_if(j, at, key, c->known);

    if (!o) return;
    wr_json_number(j, o, "before", c->before);
    wr_json_number(j, o, "after", c->after);
    wr_json_number(j, o, "change", wr_change_of(c));
    wr_json_number(j, o, "error", c->error);
    wr_json_bool(j, o, "noise", wr_change_is_noise(c));
}

static void json_parts(struct wr_json *j, const struct wr_against *a)
{
    json_t *parts = wr_json_array(j, j->root, "parts");

    for (int i = 0; i < WR_N_AGAINST_PART && a->over.known; i++) {
        json_t *row = wr_json_row(j, parts);
        wr_json_text(j, row, "part", part_key[i]);
        wr_json_maybe(j, row, "change", a->part[i].known ? wr_known(a->part[i].change) : WR_UNKNOWN);
        wr_json_maybe(j, row, "error", a->part[i].known ? wr_known(a->part[i].error) : WR_UNKNOWN);
    }
}

static void json_grid(struct wr_json *j, const char *key, struct wr_grid *grid)
{
    wr_json_take_grid(j, j->root, key, grid);
}

static enum wr_status against_json(const struct wr_present_context *ctx, const struct wr_against *a, struct wr_str *out,
                                   struct wr_error *err)
{
    struct wr_json j;
    struct wr_grid grid;

    wr_json_begin(&j, ctx);
    wr_json_text(&j, j.root, "before", a->before_name);
    wr_json_count(&j, j.root, "runs_before", a->n_run_before);
    wr_json_count(&j, j.root, "runs_after", a->n_run_after);
    json_change(&j, j.root, "overrun", &a->over);
    if (a->over.known) wr_json_bool(&j, j.root, "within_interval_before", a->within_what_was_said);
    else wr_json_null(&j, j.root, "within_interval_before");
    json_change(&j, j.root, "half_min", &a->half_min);
    json_parts(&j, a);
    wr_grid_of_against_limits(a, &grid);
    json_grid(&j, "limits", &grid);
    wr_grid_of_against_tasks(a, WR_AGAINST_ALL, &grid);
    json_grid(&j, "tasks", &grid);
    wr_grid_of_against_criteria(a, WR_AGAINST_ALL, &grid);
    json_grid(&j, "criteria", &grid);
    return wr_json_finish(&j, out, err);
}

enum wr_status wr_show_against(enum wr_format format, const struct wr_present_context *ctx, const struct wr_against *a,
                               struct wr_str *out, struct wr_error *err)
{
    struct wr_grid grid;
    enum wr_status status = WR_OK;

    switch (format) {
    case WR_FORMAT_TABLE: against_table(a, out); break;
    case WR_FORMAT_JSON: return against_json(ctx, a, out, err);
    case WR_FORMAT_CSV:
        wr_grid_of_against_tasks(a, WR_AGAINST_ALL, &grid);
        status = wr_grid_check(&grid, err);
        if (!status) wr_grid_add_csv(&grid, out);
        wr_grid_release(&grid);
        break;
    }
    return status;
}
