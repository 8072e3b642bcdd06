#include "wetrun/campaign/day_report.h"

#include <math.h>
#include <string.h>
#include "bare_times.h"
#include "log_columns.h"
#include "sheet.h"
#include "wetrun/base/memory.h"
#include "wetrun/campaign/moment.h"
#include "wetrun/campaign/near_name.h"
#include "wetrun/campaign/run_log.h" /* wr_means_done */
#include "wetrun/io/text_file.h"

enum report_column { D_TASK, D_START, D_END, D_MINUTES, D_HOLD, D_OUTCOME, N_REPORT_COLUMN };

static const struct sheet_column report_columns[N_REPORT_COLUMN] = {
    [D_TASK] = {"task", true, NULL},
    [D_START] = {"start", true, "begin"},
    [D_END] = {"end", false, "finish"},
    [D_MINUTES] = {"minutes", false, "duration"},
    [D_HOLD] = {"hold", false, "held"},
    [D_OUTCOME] = {"outcome", false, "status"},
};

struct report_reading {
    struct wr_day_report *report;
    const struct wr_plan *plan;
    struct wr_moment_reader moment;
    struct bare_times times;
};

static void take_task(struct sheet *sheet, const struct wr_plan *plan, struct wr_day_report_row *row)
{
    const char *id = sheet_text(sheet, D_TASK);
    enum wr_spelling spelling;
    WR_SCOPED_STR text = {0};

    row->task = wr_plan_resolve(plan, id, &spelling);
    if (row->task == SIZE_MAX) {
        wr_plan_say_no_task(plan, id, &text);
        sheet_error(sheet, D_TASK, "unknown-task", "%s", text.text);
    } else {
        sheet_note(sheet, D_TASK, spelling, plan->task[row->task].id);
    }
}

static void take_moment(struct sheet *sheet, enum report_column column, struct wr_moment_reader *reader,
                        struct wr_maybe *moment)
{
    const char *text = sheet_text(sheet, column);
    char trouble[WR_MOMENT_TROUBLE], meant[WR_CLOCK_TEXT];
    enum wr_spelling spelling;

    *moment = WR_UNKNOWN;
    if (!text[0]) return;
    reader->decimal_comma = sheet->habits.decimal_comma;
    moment->known = wr_read_moment(reader, text, &moment->value, &spelling, trouble);
    if (!moment->known) sheet_error(sheet, column, "bad-moment", "'%.60s' %s", text, trouble);
    else if (spelling != WR_SP_HMM) sheet_note(sheet, column, spelling, wr_hmmss(moment->value, meant));
}

/* What a log that was saved during the day says and this table cannot: never passed over in silence. */
static void take_outcome(struct sheet *sheet)
{
    const char *text = sheet_text(sheet, D_OUTCOME);

    if (!text[0] || wr_means_done(text)) return;
    sheet_error(sheet, D_OUTCOME, "report-outcome",
                "a task that was %.60s cannot be reported here: use the page for the day (wetrun daysheet), which "
                "reckons with it; what is left out for the rest of the day can be taken out of the plan (--plan FILE) "
                "and of this table",
                text);
}

/* Words that say in passing what column outcome would say. */
static bool tells_not_done(const char *text)
{
    static const char *const word[] = {"stopped", "skipped", "incomplete", "unfinished", "notcomplete", "notdone",
                                       "notfinished", "aborted"};
    WR_SCOPED_STR folded = {0};

    wr_fold_name(&folded, text, strlen(text));
    for (size_t i = 0; i < sizeof word / sizeof *word; i++)
        if (strstr(folded.text, word[i])) return true;
    return false;
}

/* A column that is not read may say it as well, where none is for it. */
static void look_at_remarks(struct sheet *sheet)
{
    for (size_t i = 0; i < sheet->record->n_field && !sheet->has[D_OUTCOME]; i++) {
        const char *text = sheet->record->field[i].text;
        bool is_read = false;
        for (size_t c = 0; c < N_REPORT_COLUMN; c++) is_read |= sheet->has[c] && sheet->at[c] == i;
        if (is_read || !tells_not_done(text)) continue;
        sheet_error_at(sheet, wr_csv_place_of_field(sheet->record, i), "report-outcome",
                       "'%.60s' stands in a column that is not read, and the row would count as done: write a column "
                       "outcome that says done, or take the words out if it was; a task that was not is for the page "
                       "for the day (wetrun daysheet)",
                       text);
    }
}

/* As in a log: the end is the start and the minutes, the hold among them. */
static void take_minutes(struct sheet *sheet, struct wr_day_report_row *row)
{
    enum { SHOWN_MIN = 1 }; /* to the minute */
    struct wr_maybe minutes;

    if (!sheet_number(sheet, D_MINUTES, SHEET_SPAN, 0, SHEET_MOST_MINUTES, &minutes) || !minutes.known) return;
    if (!row->start_min.known || row->task == SIZE_MAX)
        sheet_error(sheet, D_MINUTES, "no-moment", "minutes need the start of a task: write it, or leave them out");
    else if (!row->end_min.known)
        row->end_min = wr_known(row->start_min.value + minutes.value);
    else if (fabs(row->end_min.value - row->start_min.value - minutes.value) > SHOWN_MIN)
        sheet_error(sheet, D_MINUTES, "bad-moment",
                    "minutes %g, but from start to end it is %g: correct the one that is wrong, or leave minutes out",
                    minutes.value, row->end_min.value - row->start_min.value);
}

/* A task in several rows, one after the other: its parts, as in a log. */
static bool is_next_part(struct wr_day_report_row *whole, const struct wr_day_report_row *part)
{
    if (!whole->end_min.known || !part->start_min.known || part->start_min.value < whole->end_min.value) return false;
    whole->end_min = part->end_min;
    whole->hold_min += part->hold_min;
    return true;
}

static void add_row(struct report_reading *r, struct sheet *sheet, const struct wr_day_report_row *row)
{
    for (size_t i = 0; i < r->report->n_row && row->task != SIZE_MAX; i++) {
        struct wr_day_report_row *other = &r->report->row[i];
        if (other->task != row->task || is_next_part(other, row)) {
            if (other->task == row->task) return;
            continue;
        }
        sheet_error(sheet, D_TASK, "reported-twice",
                    "this task is in line %zu already, and does not go on here: leave one of the two rows out",
                    other->line);
        return;
    }
    *WR_PUSH(r->report->row, r->report->n_row, r->report->room) = *row;
}

static void take_row(void *arg, struct sheet *sheet)
{
    struct report_reading *r = arg;
    struct wr_day_report_row row = {.task = SIZE_MAX, .line = sheet->record->line};
    size_t before = sheet->n_error;
    bool names_task = sheet_text(sheet, D_TASK)[0] != '\0';
    struct wr_maybe hold;

    if (names_task) take_task(sheet, r->plan, &row);
    take_moment(sheet, D_START, &r->moment, &row.start_min);
    take_moment(sheet, D_END, &r->moment, &row.end_min);
    take_minutes(sheet, &row);
    take_outcome(sheet);
    look_at_remarks(sheet);
    if (sheet_number(sheet, D_HOLD, SHEET_SPAN, 0, SHEET_MOST_MINUTES, &hold) && hold.known) row.hold_min = hold.value;
    if (sheet->n_error > before) return;
    if (!names_task && (!row.start_min.known || row.end_min.known || row.hold_min > 0))
        sheet_error(sheet, D_START, "no-moment",
                    "a row without a task says how late it is now: write its start, and no end or hold");
    else if (!row.start_min.known && !row.end_min.known)
        sheet_error(sheet, D_START, "no-moment",
                    "a task that has begun has a start or an end; leave out those that have not");
    else
        add_row(r, sheet, &row);
}

/* What the numbers without a colon are is seen from all of them, as in a log. */
static void look_at_row(void *arg, struct sheet *sheet)
{
    struct report_reading *r = arg;

    for (int column = D_START; column <= D_END; column++) {
        const char *text = sheet_text(sheet, (size_t)column);
        struct wr_bare_shape shape = wr_bare_shape_of(text, strlen(text), sheet->habits.decimal_comma);
        if (shape.is_number) bare_times_add(&r->times, text, &shape, column == D_START);
        else r->times.n_other += text[0] != '\0';
    }
}

static bool must_be_read(const char *folded)
{
    return log_names_hold(folded) || log_names_outcome(folded) || log_names_minutes(folded);
}

static enum wr_moment_numbers numbers_of(const struct bare_times *t, struct wr_maybe start)
{
    bool elapsed = !start.known || start.value == 0;

    if (t->n_bare == 0 || t->n_other > 0) return WR_NUMBERS_ALONE;
    if (bare_times_are_clock(t) && t->n_zero > 0) return WR_NUMBERS_CLOCK;
    return bare_times_doubt(t) == NO_DOUBT && (elapsed || t->least_start == 0) ? WR_NUMBERS_MINUTES : WR_NUMBERS_ALONE;
}

enum wr_status wr_day_report_read_bytes(struct wr_day_report *report, const char *name, const char *bytes, size_t n,
                                        const struct wr_plan *plan, struct wr_maybe start_min,
                                        struct wr_findings *findings, struct wr_error *err)
{
    WR_RELEASED_BY(wr_findings_release) struct wr_findings unused = {0};
    struct report_reading r = {.report = report, .plan = plan, .moment = {.start_min = start_min}};
    struct sheet sheet = {.file = name,
                          .column = report_columns,
                          .n_column = N_REPORT_COLUMN,
                          .row = look_at_row,
                          .arg = &r,
                          .must_be_read = must_be_read,
                          .no_row = "no report below the header: add a row, as TASK,0:10,0:32",
                          .findings = &unused,
                          .err = NULL};
    struct sheet again = sheet;

    enum wr_status looked = sheet_read(&sheet, bytes, n);
    (void)looked; /* what is wrong is said when it is read */
    r.moment.numbers = numbers_of(&r.times, start_min);
    again.row = take_row;
    again.findings = findings;
    again.err = err;
    return sheet_read(&again, bytes, n);
}

void wr_day_report_release(struct wr_day_report *report)
{
    wr_free(report->row);
    *report = (struct wr_day_report){0};
}
