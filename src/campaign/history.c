#include <math.h>
#include <string.h>
#include "sheet.h"
#include "wetrun/campaign/limits.h"
#include "wetrun/campaign/near_name.h"

enum history_column { H_EXCURSION, H_KIND, H_POOL, H_FLIGHT, N_HISTORY_COLUMN };

static const struct sheet_column history_columns[N_HISTORY_COLUMN] = {
    [H_EXCURSION] = {"excursion", true, NULL},
    [H_KIND] = {"kind", true, NULL},
    [H_POOL] = {"pool", true, NULL},
    [H_FLIGHT] = {"flight", true, NULL},
};

static const char *take_text(struct wr_history *history, struct sheet *sheet, enum history_column column)
{
    const char *text = sheet_text(sheet, column);

    if (!text[0])
        sheet_error(sheet, column, "history-missing", "%s is missing: write it, or take the row out",
                    history_columns[column].name);
    return wr_arena_copy(&history->text, text, strlen(text));
}

static double take_minutes(struct sheet *sheet, enum history_column column)
{
    struct wr_maybe minutes;

    if (sheet_number(sheet, column, SHEET_SPAN, 0, SHEET_MOST_MINUTES, &minutes) &&
        (!minutes.known || minutes.value == 0))
        sheet_error(sheet, column, "history-missing",
                    "%s needs minutes above 0: write how long it took, or take the row out",
                    history_columns[column].name);
    return minutes.value;
}

/* Its factor is what counts: one that nobody can mean is a slip of units, and a row that stands twice weighs twice. */
static void screen(const struct wr_history *history, struct sheet *sheet, const struct wr_history_row *row)
{
    enum { MOST_TIMES = 20 };
    double more = fmax(row->pool_min, row->flight_min), less = fmin(row->pool_min, row->flight_min);

    if (less > 0 && more > MOST_TIMES * less)
        sheet_error(sheet, H_FLIGHT, "history-far",
                    "pool %g and flight %g min are too far apart to be of the same work: "
                    "write both in minutes, or take the row out",
                    row->pool_min, row->flight_min);
    for (const struct wr_history_row *r = history->row; r < row; r++)
        if (r->pool_min == row->pool_min && r->flight_min == row->flight_min &&
            wr_same_but_for_spelling(r->kind, row->kind) && wr_same_but_for_spelling(r->excursion, row->excursion)) {
            sheet_warn(sheet, H_EXCURSION, "history-twice",
                       "says the same as line %zu, and counts as well: if it is the "
                       "same work, take it out",
                       r->line);
            return;
        }
}

static void take_history(void *arg, struct sheet *sheet)
{
    struct wr_history *history = arg;
    struct wr_history_row *row = WR_PUSH(history->row, history->n_row, history->room);

    row->excursion = take_text(history, sheet, H_EXCURSION);
    row->kind = wr_alias_of(history->aliases, WR_NAME_WORK, take_text(history, sheet, H_KIND));
    row->pool_min = take_minutes(sheet, H_POOL);
    row->flight_min = take_minutes(sheet, H_FLIGHT);
    row->line = sheet->record->line;
    screen(history, sheet, row);
}

static const char *kind_at(const void *plan, size_t i)
{
    return ((const struct wr_plan *)plan)->task[i].kind;
}

static bool plan_has_kind(const struct wr_plan *plan, const char *kind)
{
    for (size_t k = 0; k < plan->n_task; k++)
        if (wr_same_but_for_spelling(plan->task[k].kind, kind)) return true;
    return false;
}

/* A kind that no task has tells of kinds in general only, a misspelt one as well: each is said, at its first row. */
static void report_unused(const struct wr_history *history, const char *file, const struct wr_plan *plan,
                          struct wr_findings *findings)
{
    const struct wr_name_list kinds = {kind_at, plan, plan->n_task};

    for (size_t i = 0; i < history->n_row; i++) {
        const char *kind = history->row[i].kind;
        size_t first = 0;
        while (strcmp(history->row[first].kind, kind) != 0) first++;
        if (first < i || plan_has_kind(plan, kind)) continue;
        size_t near = wr_find_near(&kinds, kind);
        WR_SCOPED_STR meant = {0};
        if (near != SIZE_MAX) wr_str_addf(&meant, " (did you mean '%.60s'?)", kind_at(plan, near));
        wr_findings_add(findings, WR_WARNING, "history-kind", file, history->row[i].line, 1,
                        "the plan has no work of kind '%.60s'%s: it tells of kinds in general only", kind,
                        wr_str_text(&meant));
    }
}

enum wr_status wr_history_read_bytes(struct wr_history *history, const char *name, const char *bytes, size_t n,
                                     const struct wr_plan *plan, struct wr_findings *findings, struct wr_error *err)
{
    struct sheet sheet = {
        .file = name, .column = history_columns, .n_column = N_HISTORY_COLUMN, .row = take_history, .arg = history,
        .no_row = "no row below the header: add what was done in pool and flight, or leave the file out",
        .findings = findings, .err = err,
    };

    enum wr_status status = sheet_read(&sheet, bytes, n);
    if (!status) report_unused(history, name, plan, findings);
    return status;
}

void wr_history_release(struct wr_history *history)
{
    wr_free(history->row);
    wr_arena_release(&history->text);
    *history = (struct wr_history){0};
}
