#include "wetrun/campaign/day_report.h"

#include <strings.h>
#include "sheet.h"
#include "wetrun/base/memory.h"
#include "wetrun/io/text_file.h"

enum report_column { D_TASK, D_START, D_END, D_HOLD, D_OUTCOME, N_REPORT_COLUMN };

static const struct sheet_column report_columns[N_REPORT_COLUMN] = {
    [D_TASK] = {"task", true, NULL},
    [D_START] = {"start", true, NULL},
    [D_END] = {"end", false, NULL},
    [D_HOLD] = {"hold", false, NULL},
    [D_OUTCOME] = {"outcome", false, NULL},
};

struct report_reading {
    struct wr_day_report *report;
    const struct wr_plan *plan;
};

static void take_task(struct sheet *sheet, const struct wr_plan *plan, struct wr_day_report_row *row)
{
    const char *id = sheet_text(sheet, D_TASK);
    enum wr_spelling spelling;
    struct wr_str text = {0};

    row->task = wr_plan_resolve(plan, id, &spelling);
    if (row->task == SIZE_MAX) {
        wr_plan_say_no_task(plan, id, &text);
        sheet_error(sheet, D_TASK, "unknown-task", "%s", text.text);
    } else {
        sheet_note(sheet, D_TASK, spelling, plan->task[row->task].id);
    }
    wr_str_release(&text);
}

static void take_moment(struct sheet *sheet, enum report_column column, struct wr_maybe *moment)
{
    const char *text = sheet_text(sheet, column);

    *moment = WR_UNKNOWN;
    if (!text[0]) return;
    moment->known = wr_parse_elapsed(text, &moment->value);
    if (!moment->known)
        sheet_error(sheet, column, "bad-moment", "'%.60s' is no time: write h:mm, h:mm:ss or minutes", text);
}

/* What a log that was saved during the day says and this table cannot: never passed over in silence. */
static void take_remarks(struct sheet *sheet)
{
    const char *outcome = sheet_text(sheet, D_OUTCOME), *hold = sheet_text(sheet, D_HOLD);
    double minutes;

    if (outcome[0] && strcasecmp(outcome, "done") != 0)
        sheet_error(sheet, D_OUTCOME, "report-outcome",
                    "a task that was %.60s cannot be reported here: use the page for the day (wetrun daysheet), which "
                    "reckons with it, or empty its outcome to take it for done",
                    outcome);
    if (hold[0] && (!wr_parse_double(hold, &minutes) || minutes != 0))
        sheet_warn(sheet, D_HOLD, "report-hold",
                   "a hold of %.60s is taken for work on the task: the page for the day (wetrun daysheet) takes it out",
                   hold);
}

static void take_row(void *arg, struct sheet *sheet)
{
    struct report_reading *r = arg;
    struct wr_day_report_row row = {.task = SIZE_MAX, .line = sheet->record->line};
    size_t before = sheet->n_error;
    bool names_task = sheet_text(sheet, D_TASK)[0] != '\0';

    if (names_task) take_task(sheet, r->plan, &row);
    take_moment(sheet, D_START, &row.start_min);
    take_moment(sheet, D_END, &row.end_min);
    take_remarks(sheet);
    if (sheet->n_error > before) return;
    if (!names_task && (!row.start_min.known || row.end_min.known))
        sheet_error(sheet, D_START, "no-moment",
                    "a row without a task says how late it is now: write its start, and no end");
    else if (!row.start_min.known && !row.end_min.known)
        sheet_error(sheet, D_START, "no-moment",
                    "a task that has begun has a start or an end; leave out those that have not");
    for (size_t i = 0; i < r->report->n_row && names_task; i++)
        if (r->report->row[i].task == row.task)
            sheet_error(sheet, D_TASK, "reported-twice",
                        "this task is in line %zu already: leave one of the two rows out", r->report->row[i].line);
    if (sheet->n_error == before) *WR_PUSH(r->report->row, r->report->n_row, r->report->room) = row;
}

enum wr_status wr_day_report_read_bytes(struct wr_day_report *report, const char *name, const char *bytes, size_t n,
                                        const struct wr_plan *plan, struct wr_findings *findings, struct wr_error *err)
{
    struct report_reading r = {report, plan};
    struct sheet sheet = {.file = name,
                          .column = report_columns,
                          .n_column = N_REPORT_COLUMN,
                          .row = take_row,
                          .arg = &r,
                          .no_row = "no report below the header: add a row, as TASK,0:10,0:32",
                          .findings = findings,
                          .err = err};

    return sheet_read(&sheet, bytes, n);
}

enum wr_status wr_day_report_read(struct wr_day_report *report, const char *path, const struct wr_plan *plan,
                                  struct wr_findings *findings, struct wr_error *err)
{
    struct wr_text text;
    enum wr_status status = wr_text_read(&text, path, err);

    if (status == WR_OK) status = wr_day_report_read_bytes(report, path, text.bytes, text.n, plan, findings, err);
    wr_text_release(&text);
    return status;
}

void wr_day_report_release(struct wr_day_report *report)
{
    wr_free(report->row);
    *report = (struct wr_day_report){0};
}
