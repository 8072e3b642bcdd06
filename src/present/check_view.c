#include "wetrun/present/check_view.h"

#include <string.h>
#include "json.h"
#include "taken_for.h"
#include "wetrun/present/prose.h"
#include "wetrun/present/words.h"

enum { SHOWN_OF_A_CODE = 3, LINES_LISTED = 12 };

static const char *severity_words(enum wr_severity severity)
{
    switch (severity) {
    case WR_ERROR: return "error";
    case WR_WARNING: return "warning";
    case WR_NOTE: break;
    }
    return "note";
}

void wr_grid_of_runs(const struct wr_check_result *result, struct wr_grid *grid)
{
    static const struct wr_column column[] = {
        {"run", "run", WR_UNIT_TEXT, WR_EVERYBODY, 6},
        {"date", "date", WR_UNIT_TEXT, WR_EVERYBODY, 10},
        {"rows", "rows", WR_UNIT_COUNT, WR_PAGE | WR_MACHINE, 0},
        {"finish_min", "finish", WR_UNIT_CLOCK, WR_EVERYBODY, 0},
        {"replay_min", "replayed", WR_UNIT_CLOCK, WR_PAGE | WR_MACHINE, 0},
        {"finish_without_holds_min", "without\nholds", WR_UNIT_CLOCK, WR_EVERYBODY, 0},
        {"done", "done", WR_UNIT_COUNT, WR_EVERYBODY, 0},
        {"stopped", "stop-\nped", WR_UNIT_COUNT, WR_EVERYBODY, 0},
        {"skipped", "skip-\nped", WR_UNIT_COUNT, WR_EVERYBODY, 0},
        {"unknown", "not\nknown", WR_UNIT_COUNT, WR_EVERYBODY, 0},
        {"absent", "not\nlogged", WR_UNIT_COUNT, WR_EVERYBODY, 0},
        {"complete", "complete", WR_UNIT_YES_NO, WR_MACHINE, 0},
        {"kept_to_plan", "order\nkept", WR_UNIT_YES_NO, WR_EVERYBODY, 0},
        {"differs", "where it differed from the plan", WR_UNIT_TEXT, WR_MACHINE, 0},
        {"by_plan_min", "through the plan, without holds", WR_UNIT_CLOCK, WR_MACHINE, 0},
    };

    wr_grid_init(grid, column, sizeof column / sizeof *column);
    for (size_t r = 0; result->log && r < result->log->n_run; r++) {
        const struct wr_log_run *run = &result->log->run[r];
        char date[16];
        WR_GRID_TEXTS(grid, run->id, wr_log_run_date(run, date));
        wr_grid_number(grid, (double)run->n_row);
        if (!result->timing) {
            for (size_t c = 3; c < grid->n_column; c++) wr_grid_absent(grid);
            continue;
        }
        const struct wr_timing_run *t = &result->timing->run[r];
        wr_grid_maybe(grid, t->finish_min);
        bool seen = !t->by_minutes; /* neither the finish nor the order, where minutes are all there is */
        WR_GRID_MAYBES(grid, seen ? wr_known(t->replay_min) : WR_UNKNOWN,
                       seen ? wr_known(t->finish_without_holds_min) : WR_UNKNOWN);
        WR_GRID_NUMBERS(grid, (double)t->n_done, (double)t->n_stopped, (double)t->n_skipped, (double)t->n_lost,
                        (double)t->n_absent, t->complete);
        bool in_order = t->finish_min.known || t->n_done + t->n_stopped == 0;
        wr_grid_maybe(grid, in_order || !t->kept_to_plan ? wr_known(t->kept_to_plan) : WR_UNKNOWN);
        if (t->differs) wr_grid_text(grid, t->differs);
        else wr_grid_absent(grid);
        wr_grid_number(grid, t->by_plan_min);
    }
}

static void grid_of_implausible(const struct wr_screen *screen, struct wr_grid *grid)
{
    static const struct wr_column column[] = {
        {"what", "implausible", WR_UNIT_TEXT, WR_EVERYBODY, 0},
        {"run", "run", WR_UNIT_TEXT, WR_EVERYBODY, 6},
        {"task", "task", WR_UNIT_TEXT, WR_EVERYBODY, 12},
        {"read_min", "as read", WR_UNIT_CLOCK, WR_EVERYBODY, 0},
        {"planned_min", "the plan", WR_UNIT_CLOCK, WR_EVERYBODY, 0},
        {"others_min", "other\nruns", WR_UNIT_CLOCK, WR_EVERYBODY, 0},
    };
    static const char *const what[] = {
        [WR_IMPLAUSIBLE_STEP] = "step", [WR_IMPLAUSIBLE_RUN] = "run", [WR_IMPLAUSIBLE_LIMIT] = "limit",
        [WR_IMPLAUSIBLE_WAIT] = "wait", [WR_IMPLAUSIBLE_PLANNED] = "planned",
    };

    wr_grid_init(grid, column, sizeof column / sizeof *column);
    for (size_t i = 0; screen && i < screen->n_row; i++) {
        const struct wr_implausible *row = &screen->row[i];
        if (row->kind == WR_IMPLAUSIBLE_UNIT) continue; /* a factor, not minutes: said among the findings */
        wr_grid_text(grid, what[row->kind]);
        if (row->run) wr_grid_text(grid, row->run);
        else wr_grid_absent(grid);
        if (row->task) wr_grid_text(grid, row->task);
        else wr_grid_absent(grid);
        wr_grid_number(grid, row->read_min);
        WR_GRID_MAYBES(grid, row->planned_min, row->others_min);
    }
}

static void number_or_absent(struct wr_grid *grid, size_t n)
{
    if (n > 0)
        wr_grid_number(grid, (double)n);
    else
        wr_grid_absent(grid);
}

static void add_finding_row(struct wr_grid *grid, const struct wr_finding *f)
{
    WR_GRID_TEXTS(grid, severity_words(f->severity), f->code);
    if (f->file)
        wr_grid_text(grid, f->file);
    else
        wr_grid_absent(grid);
    number_or_absent(grid, f->line);
    number_or_absent(grid, f->column);
    wr_grid_text(grid, f->message);
}

void wr_grid_of_findings(const struct wr_findings *findings, struct wr_grid *grid)
{
    static const struct wr_column column[] = {
        {"severity", "severity", WR_UNIT_TEXT, WR_EVERYBODY, 0}, {"code", "code", WR_UNIT_TEXT, WR_EVERYBODY, 0},
        {"file", "file", WR_UNIT_TEXT, WR_EVERYBODY, 8},         {"line", "line", WR_UNIT_COUNT, WR_EVERYBODY, 0},
        {"column", "column", WR_UNIT_COUNT, WR_EVERYBODY, 0},    {"message", "what", WR_UNIT_TEXT, WR_EVERYBODY, 20},
    };
    static const enum wr_severity in_turn[] = {WR_ERROR, WR_WARNING, WR_NOTE};

    wr_grid_init(grid, column, sizeof column / sizeof *column);
    for (size_t s = 0; s < sizeof in_turn / sizeof *in_turn; s++)
        for (size_t i = 0; i < findings->n_finding; i++)
            if (findings->finding[i].severity == in_turn[s]) add_finding_row(grid, &findings->finding[i]);
}

/* "3 errors, 1 warning, no notes", and how many of them the answers speak of first, where that is another number. */
static void add_counts(const struct wr_findings *findings, struct wr_str *out)
{
    static const enum wr_severity in_turn[] = {WR_ERROR, WR_WARNING, WR_NOTE};

    for (size_t s = 0; s < sizeof in_turn / sizeof *in_turn; s++) {
        size_t n = wr_findings_count(findings, in_turn[s]);
        if (s > 0) wr_str_add(out, ", ");
        if (n > 0)
            wr_str_addf(out, "%zu", n);
        else
            wr_str_add(out, "no");
        wr_str_addf(out, " %s%s", severity_words(in_turn[s]), n == 1 ? "" : "s");
    }
}

void wr_findings_sentence(const struct wr_present_context *ctx, const struct wr_findings *findings, struct wr_str *out)
{
    WR_SCOPED_STR moving = {0};
    size_t n_moving = wr_context_found_counts(ctx, &moving);

    size_t n_excursion = 0;

    for (size_t i = 0; i < ctx->n_finding; i++) n_excursion += ctx->finding[i].of_excursion ? ctx->finding[i].n : 0;
    add_counts(findings, out);
    if (n_excursion > 0 || n_moving != wr_findings_count(findings, WR_ERROR) + wr_findings_count(findings, WR_WARNING))
        wr_str_addf(out, "; what may move an answer: %s", n_moving ? wr_str_text(&moving) : "none of them");
    if (n_excursion == n_moving && n_moving > 0) wr_str_add(out, ", of the excursion alone");
    else if (n_excursion > 0) wr_str_addf(out, ", %zu of them of the excursion alone", n_excursion);
    if (ctx->no_forecast) wr_str_addf(out, "; %s", wr_found_by_forecast);
    wr_str_add_char(out, '.');
}

static void add_finding_line(const struct wr_finding *f, struct wr_str *out)
{
    WR_SCOPED_STR line = {0};

    if (f->file) wr_str_add(&line, f->file);
    if (f->line > 0) wr_str_addf(&line, ":%zu", f->line);
    if (f->column > 0) wr_str_addf(&line, ":%zu", f->column);
    if (line.len > 0) wr_str_add(&line, ": ");
    wr_str_addf(&line, "%s: ", severity_words(f->severity));
    wr_str_add(&line, f->message);
    wr_str_addf(&line, " [%s]", f->code);
    wr_prose_add(out, wr_str_text(&line), 2, WR_TERMINAL_COLUMNS);
}

/* "and 22 more like it, in lines 5, 8, 9 …" */
static void add_further(const struct wr_findings *findings, size_t from, size_t shown, size_t n, struct wr_str *out)
{
    const struct wr_finding *first = &findings->finding[from];
    WR_SCOPED_STR line = {0};
    size_t listed = 0, seen = 0;

    wr_str_addf(&line, "and %zu more like %s [%s]", n - shown, shown == 1 ? "it" : "these", first->code);
    for (size_t i = from; i < findings->n_finding && listed < LINES_LISTED; i++) {
        const struct wr_finding *f = &findings->finding[i];
        if (strcmp(f->code, first->code) != 0 || f->severity != first->severity || seen++ < shown || f->line == 0)
            continue;
        wr_str_addf(&line, "%s%zu", listed++ ? ", " : ", in lines ", f->line);
    }
    if (listed == LINES_LISTED && n - shown > listed) wr_str_add(&line, " …");
    wr_prose_add(out, wr_str_text(&line), 4, WR_TERMINAL_COLUMNS);
}

/* Those of one code and severity together, the first few in full: one cause is one thing to read. */
static void add_code(const struct wr_findings *findings, size_t from, struct wr_str *out)
{
    const struct wr_finding *first = &findings->finding[from];
    size_t n = 0, shown = 0;

    for (size_t i = from; i < findings->n_finding; i++)
        n += strcmp(findings->finding[i].code, first->code) == 0 && findings->finding[i].severity == first->severity;
    size_t most = n <= SHOWN_OF_A_CODE + 1 ? n : SHOWN_OF_A_CODE;
    for (size_t i = from; i < findings->n_finding && shown < most; i++) {
        const struct wr_finding *f = &findings->finding[i];
        if (strcmp(f->code, first->code) != 0 || f->severity != first->severity) continue;
        add_finding_line(f, out);
        shown++;
    }
    if (shown < n) add_further(findings, from, shown, n, out);
}

struct codes { const char **code; size_t n, room; };

/* Whether it was not among them; then it is. */
static bool add_new(struct codes *seen, const char *code)
{
    for (size_t i = seen->n; i-- > 0;) /* it is most often one of the last */
        if (seen->code[i] == code || strcmp(seen->code[i], code) == 0) return false;
    *WR_PUSH(seen->code, seen->n, seen->room) = code;
    return true;
}

static void add_findings(const struct wr_present_context *ctx, const struct wr_findings *findings, struct wr_str *out)
{
    WR_SCOPED_STR line = {0};
    static const enum wr_severity in_turn[] = {WR_ERROR, WR_WARNING, WR_NOTE};
    size_t n_grouped = 0;

    wr_str_add_char(out, '\n');
    wr_str_add(&line, "Findings: ");
    wr_findings_sentence(ctx, findings, &line);
    wr_prose_say(out, &line);
    for (size_t s = 0; s < sizeof in_turn / sizeof *in_turn; s++) {
        struct codes seen = {0};
        for (size_t i = 0; i < findings->n_finding; i++)
            if (findings->finding[i].severity == in_turn[s] && add_new(&seen, findings->finding[i].code))
                add_code(findings, i, out);
        n_grouped += seen.n;
        wr_free(seen.code);
    }
    if (n_grouped < findings->n_finding) wr_str_add(out, "  --format csv lists each of them.\n");
    if (findings->n_suppressed > 0)
        wr_str_addf(out, "  %zu more of a kind were counted and not kept.\n", findings->n_suppressed);
}

static void add_plan_sentence(const struct wr_plan *plan, struct wr_str *line)
{
    wr_str_addf(line, " %zu task%s in %zu lane%s (", plan->n_task, plan->n_task == 1 ? "" : "s", plan->n_lane,
                plan->n_lane == 1 ? "" : "s");
    for (size_t l = 0; l < plan->n_lane; l++) {
        if (l > 0) wr_str_add(line, ", ");
        wr_str_add(line, plan->lane[l]);
    }
    wr_str_add(line, "), ");
    if (plan->file) {
        wr_str_add(line, "by ");
        wr_str_add(line, plan->file);
    } else {
        wr_str_add(line, "the plan derived from the log");
    }
    wr_str_add_char(line, '.');
}

static bool differ_alike(const struct wr_timing *t)
{
    for (size_t r = 0; r < t->n_run; r++)
        if (!t->run[r].differs || strcmp(t->run[r].differs, t->run[0].differs) != 0) return false;
    return t->n_run > 1;
}

/* Where the runs did not keep to the plan; once, if it was the same in all. */
static void add_differences(const struct wr_check_result *result, struct wr_str *out)
{
    const struct wr_timing *t = result->timing;
    bool alike = differ_alike(t), any = false;
    WR_SCOPED_STR line = {0};

    for (size_t r = 0; r < t->n_run; r++) {
        if (!t->run[r].differs || (alike && r > 0)) continue;
        if (!any && result->rehearsed) wr_str_add(out, "\nNot as the plan that was rehearsed has it:\n");
        else if (!any) wr_str_add(out, "\nNot as the plan has it:\n");
        any = true;
        wr_str_clear(&line);
        wr_str_addf(&line, "%s: %s.", alike ? "in every run" : result->log->run[r].id, t->run[r].differs);
        wr_prose_add(out, wr_str_text(&line), 2, WR_TERMINAL_COLUMNS);
    }
}

static void check_table(const struct wr_present_context *ctx, const struct wr_check_result *result,
                        const struct wr_grid *runs, const struct wr_grid *implausible, struct wr_str *out)
{
    WR_SCOPED_STR line = {0};

    if (ctx->campaign && *ctx->campaign) {
        wr_str_add(&line, ctx->campaign);
        wr_str_add(&line, ": ");
    }
    wr_str_addf(&line, "check of the step log, %zu run%s.", result->log ? result->log->n_run : 0,
                result->log && result->log->n_run == 1 ? "" : "s");
    wr_prose_say(out, &line);
    if (result->log) {
        wr_str_addf(&line, "%zu row%s read: ", result->log->rows_read, result->log->rows_read == 1 ? "" : "s");
        wr_add_rows_kept(result->log, &line);
        wr_str_add(&line, ".");
    } else {
        wr_str_add(&line, result->plan ? "No step log: a plan alone." : "Neither step log nor plan.");
    }
    if (result->plan) add_plan_sentence(result->plan, &line);
    if (result->rehearsed) wr_str_addf(&line, " The runs are held against %s.", result->rehearsed);
    wr_prose_add(out, wr_str_text(&line), 0, WR_TERMINAL_COLUMNS);
    wr_taken_for_table(result, WR_TERMINAL_COLUMNS, out);
    if (wr_grid_rows(runs) > 0) {
        wr_str_add_char(out, '\n');
        wr_grid_add_terminal(runs, wr_context_columns(ctx), out);
    }
    if (result->timing) add_differences(result, out);
    if (wr_grid_rows(implausible) > 0) {
        wr_str_add_char(out, '\n');
        wr_grid_add_terminal(implausible, wr_context_columns(ctx), out);
    }
    add_findings(ctx, result->findings, out);
}

static enum wr_status check_json(const struct wr_present_context *ctx, const struct wr_check_result *result,
                                 const struct wr_grid *runs, const struct wr_grid *implausible,
                                 const struct wr_grid *findings, struct wr_str *out, struct wr_error *err)
{
    struct wr_present_context own = *ctx;
    struct wr_json j;

    own.has_findings = false; /* all of them stand in the answer itself */
    wr_json_begin(&j, &own);
    json_t *rows = wr_json_object(&j, j.root, "rows");
    wr_json_count(&j, rows, "read", result->log ? result->log->rows_read : 0);
    wr_json_count(&j, rows, "accepted", result->log ? result->log->rows_accepted : 0);
    wr_json_count(&j, rows, "rejected", result->log ? result->log->rows_rejected : 0);
    wr_json_count(&j, rows, "duplicate", result->log ? result->log->rows_duplicate : 0);
    wr_json_grid(&j, j.root, "runs", runs);
    json_t *tasks = wr_json_array(&j, j.root, "tasks");
    if (result->plan) {
        for (size_t k = 0; k < result->plan->n_task; k++) wr_json_push_text(&j, tasks, result->plan->task[k].id);
    } else if (result->log) {
        for (size_t k = 0; k < result->log->n_task; k++) wr_json_push_text(&j, tasks, result->log->task[k]);
    }
    wr_taken_for_json(&j, result);
    wr_json_grid(&j, j.root, "implausible", implausible);
    wr_json_grid(&j, j.root, "findings", findings);
    wr_json_count(&j, j.root, "findings_not_kept", result->findings->n_suppressed);
    return wr_json_finish(&j, out, err);
}

enum wr_status wr_show_check(enum wr_format format, const struct wr_present_context *ctx,
                             const struct wr_check_result *result, struct wr_str *out, struct wr_error *err)
{
    WR_SCOPED_GRID runs = {0}, implausible = {0}, findings = {0};
    enum wr_status status;

    wr_grid_of_runs(result, &runs);
    grid_of_implausible(result->screen, &implausible);
    wr_grid_of_findings(result->findings, &findings);
    status = wr_grid_check(&runs, err);
    if (status == WR_OK) status = wr_grid_check(&implausible, err);
    if (status == WR_OK) status = wr_grid_check(&findings, err);
    if (status) return status;
    switch (format) {
    case WR_FORMAT_TABLE: check_table(ctx, result, &runs, &implausible, out); break;
    case WR_FORMAT_CSV: wr_grid_add_csv(&findings, out); break;
    case WR_FORMAT_JSON: return check_json(ctx, result, &runs, &implausible, &findings, out, err);
    }
    return WR_OK;
}

enum wr_status wr_show_times(const struct wr_run_log *log, const struct wr_plan *plan, const struct wr_timing *timing,
                             struct wr_str *out, struct wr_error *err)
{
    static const struct wr_column column[] = {
        {"run", "run", WR_UNIT_TEXT, WR_EVERYBODY, 6},
        {"task", "task", WR_UNIT_TEXT, WR_EVERYBODY, 12},
        {"state", "state", WR_UNIT_TEXT, WR_EVERYBODY, 0},
        {"active_min", "active", WR_UNIT_MINUTES, WR_EVERYBODY, 0},
        {"lead_in_min", "lead-in", WR_UNIT_MINUTES, WR_EVERYBODY, 0},
        {"hold_min", "hold", WR_UNIT_MINUTES, WR_EVERYBODY, 0},
        {"gap_min", "gap", WR_UNIT_MINUTES, WR_EVERYBODY, 0},
        {"start_min", "start", WR_UNIT_CLOCK, WR_EVERYBODY, 0},
        {"end_min", "end", WR_UNIT_CLOCK, WR_EVERYBODY, 0},
        {"hole_min", "unknown", WR_UNIT_MINUTES, WR_EVERYBODY, 0},
    };
    enum { LEAD_IN = 1, GAP = 3 }; /* among the numbers */
    WR_SCOPED_GRID grid = {0};

    wr_grid_init(&grid, column, sizeof column / sizeof *column);
    for (size_t r = 0; r < timing->n_run; r++) {
        for (size_t k = 0; k < timing->n_task; k++) {
            const struct wr_cell *cell = wr_timing_cell(timing, k, r);
            WR_GRID_TEXTS(&grid, log->run[r].id, plan->task[k].id, wr_cell_state_words(cell->state));
            bool has_times = cell->state == WR_CELL_DONE || cell->state == WR_CELL_STOPPED;
            const double value[] = {cell->active_min, cell->lead_in_min, cell->hold_min, cell->gap_min,
                                    cell->start_min,  cell->end_min,     cell->hole_min};
            bool by_minutes = timing->run[r].by_minutes;
            for (size_t i = 0; i < sizeof value / sizeof *value; i++) {
                bool unknown = (i == LEAD_IN && (by_minutes || cell->lead_in_unknown)) || (i == GAP && by_minutes);
                wr_grid_maybe(&grid, has_times && !unknown ? wr_known(value[i]) : WR_UNKNOWN);
            }
        }
    }
    enum wr_status status = wr_grid_check(&grid, err);
    if (status == WR_OK) wr_grid_add_csv(&grid, out);
    return status;
}
