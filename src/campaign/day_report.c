#include "wetrun/campaign/day_report.h"

#include <math.h>
#include <stdint.h>
#include <string.h>
#include "bare_times.h"
#include "crew_text.h"
#include "day_parts.h"
#include "log_columns.h"
#include "sheet.h"
#include "wetrun/base/memory.h"
#include "wetrun/campaign/moment.h"
#include "wetrun/campaign/near_name.h"
#include "wetrun/campaign/run_log.h" /* wr_means_done */
#include "wetrun/io/text_file.h"

enum report_column { D_TASK, D_STEP, D_CREW, D_START, D_END, D_MINUTES, D_HOLD, D_OUTCOME, D_RUN, D_DATE,
                     N_REPORT_COLUMN };

static const struct sheet_column report_columns[N_REPORT_COLUMN] = {
    [D_TASK] = {"task", true, NULL},
    [D_STEP] = {"step", false, NULL},
    [D_CREW] = {"crew", false, NULL},
    [D_START] = {"start", true, "begin"},
    [D_END] = {"end", false, "finish"},
    [D_MINUTES] = {"minutes", false, "duration"},
    [D_HOLD] = {"hold", false, "held"},
    [D_OUTCOME] = {"outcome", false, "status"},
    [D_RUN] = {"run", false, NULL},
    [D_DATE] = {"date", false, NULL},
};

struct dated { /* a date that the table has */
    struct wr_csv_place at;
    int64_t day;
    double min; /* NAN: not known */
};

struct report_reading {
    struct wr_day_report *report;
    const struct wr_plan *plan;
    const struct wr_run_log *log;
    struct day_task *task; size_t n_task, room; /* as many as report->row, which they become */
    struct wr_arena text;
    struct wr_moment_reader moment;
    struct bare_times times;
    const char *run, *odd_date; /* the first, NULL: none; a date that cannot be read */
    struct dated *dated; size_t n_dated, room_dated;
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
    if (wr_same_but_for_spelling(text, "skipped"))
        sheet_error(sheet, D_OUTCOME, "report-outcome",
                    "a task that was skipped has no row here: take the row out, and the task out of the plan of the "
                    "day (--plan FILE, a copy of the plan without it); or use the page for the day (wetrun daysheet), "
                    "which reckons with it");
    else if (wr_same_but_for_spelling(text, "stopped"))
        sheet_error(sheet, D_OUTCOME, "report-outcome",
                    "a task that was stopped cannot be reported here, for what it would have taken is not known: use "
                    "the page for the day (wetrun daysheet), which reckons with it");
    else
        sheet_error(sheet, D_OUTCOME, "report-outcome",
                    "outcome '%.60s' cannot be reported here: write done if it was, else use the page for the day "
                    "(wetrun daysheet), which reckons with what was stopped or skipped",
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

struct crew_reading {
    const struct wr_plan *plan;
    uint32_t lanes;
    bool has_stranger;
};

static void take_lane(void *arg, const char *part, size_t len)
{
    struct crew_reading *crew = arg;
    WR_SCOPED_STR name = {0};

    wr_str_add_bytes(&name, part, len);
    size_t lane = wr_plan_resolve_lane(crew->plan, wr_str_text(&name), NULL);
    if (lane == SIZE_MAX) crew->has_stranger = true;
    else crew->lanes |= (uint32_t)1 << lane;
}

/* The plan says whose work it is; a report that says otherwise is not passed over in silence. */
static uint32_t take_crew(struct sheet *sheet, const struct wr_plan *plan)
{
    const char *text = sheet_text(sheet, D_CREW);
    struct crew_reading crew = {.plan = plan};

    if (!text[0] || crew_means_group(text)) return 0;
    crew_parts(text, wr_plan_resolve_lane(plan, text, NULL) == SIZE_MAX, take_lane, &crew);
    if (!crew.has_stranger) return crew.lanes;
    sheet_warn(sheet, D_CREW, "crew-not-in-plan",
               "crew '%.60s' is not of the plan's lanes: the row counts for the lanes that the plan has for its task",
               text);
    return 0;
}

static void take_step(struct report_reading *r, struct sheet *sheet, struct day_part *part)
{
    const char *text = sheet_text(sheet, D_STEP);
    WR_SCOPED_STR folded = {0};

    wr_fold_name(&folded, text, strlen(text));
    part->step = wr_arena_copy(&r->text, wr_str_text(&folded), folded.len);
    part->written = sheet_copy(sheet, D_STEP, &r->text);
    part->at = sheet_place(sheet, sheet->has[D_STEP] ? D_STEP : D_TASK);
}

/* A row without a task has a place of its own. */
static void add_part(struct report_reading *r, struct sheet *sheet, const struct day_part *part)
{
    for (size_t i = 0; i < r->n_task && part->row.task != SIZE_MAX; i++) {
        if (r->task[i].task != part->row.task || day_task_add(&r->task[i], part)) {
            if (r->task[i].task == part->row.task) return;
            continue;
        }
        sheet_error(sheet, D_TASK, "reported-twice",
                    "this task is in line %zu already, and does not go on here: leave one of the two rows out",
                    r->task[i].part[0].row.line);
        return;
    }
    struct day_task *task = WR_PUSH(r->task, r->n_task, r->room);
    *task = (struct day_task){.task = part->row.task};
    day_task_add(task, part);
}

/* Rows of several runs are no day. *first: of the rows above. */
static void refuse_other(struct report_reading *r, struct sheet *sheet, enum report_column column, const char **first)
{
    const char *text = sheet_text(sheet, column);

    if (!*first) *first = sheet_copy(sheet, column, &r->text);
    else if (!wr_same_but_for_spelling(*first, text))
        sheet_error(sheet, column, "report-days",
                    "%s '%.60s', but '%.60s' above: the table is of one day; leave out the rows of the others",
                    sheet->column[column].name, text, *first);
}

static void add_date(struct report_reading *r, struct sheet *sheet, enum report_column column, int64_t day,
                     struct wr_maybe moment)
{
    *WR_PUSH(r->dated, r->n_dated, r->room_dated) =
        (struct dated){sheet_place(sheet, column), day, moment.known ? moment.value : NAN};
}

static void take_stamp(struct report_reading *r, struct sheet *sheet, enum report_column column,
                       struct wr_maybe moment)
{
    const char *text = sheet_text(sheet, column);
    enum wr_spelling spelling;
    struct wr_log_time time;

    if (!moment.known || wr_written_time(text, strlen(text), &sheet->habits, &time, &spelling)) return;
    if (time.kind == WR_TIME_STAMP || time.kind == WR_TIME_ZONED) add_date(r, sheet, column, time.day, moment);
}

static void take_day(struct report_reading *r, struct sheet *sheet, const struct wr_day_report_row *row)
{
    const char *text = sheet_text(sheet, D_DATE);
    enum wr_spelling spelling;
    int64_t day;

    if (sheet_text(sheet, D_RUN)[0]) refuse_other(r, sheet, D_RUN, &r->run);
    if (!text[0]) {
        take_stamp(r, sheet, D_START, row->start_min);
        take_stamp(r, sheet, D_END, row->end_min);
    } else if (wr_written_date(text, strlen(text), &sheet->habits, &day, &spelling)) {
        refuse_other(r, sheet, D_DATE, &r->odd_date);
    } else {
        add_date(r, sheet, D_DATE, day, row->start_min);
    }
}

/* A day may go on past midnight; what is dated the next day is then after it, and after all that is not. */
static void check_days(const struct report_reading *r, struct sheet *sheet)
{
    const double midnight = r->moment.start_min.known ? 24 * 60 - r->moment.start_min.value : 0;
    int64_t first = INT64_MAX;
    double last_min = midnight;
    char text[16], other[16];

    for (size_t i = 0; i < r->n_dated; i++)
        if (r->dated[i].day < first) first = r->dated[i].day;
    for (size_t i = 0; i < r->n_dated; i++)
        if (r->dated[i].day == first && r->dated[i].min > last_min) last_min = r->dated[i].min;
    for (size_t i = 0; i < r->n_dated; i++) {
        const struct dated *d = &r->dated[i];
        if (d->day == first || (d->day == first + 1 && !(d->min < last_min))) continue;
        wr_date_text(d->day, text);
        wr_date_text(first, other);
        sheet_error_at(sheet, d->at, "report-days",
                       "%s is not the day of other rows, %s, gone on past midnight: leave out the rows of the others",
                       text, other);
    }
}

static void take_row(void *arg, struct sheet *sheet)
{
    struct report_reading *r = arg;
    struct day_part part = {.row = {.task = SIZE_MAX, .line = sheet->record->line}};
    struct wr_day_report_row *row = &part.row;
    size_t before = sheet->n_error;
    bool names_task = sheet_text(sheet, D_TASK)[0] != '\0';
    struct wr_maybe hold;

    if (names_task) take_task(sheet, r->plan, row);
    take_moment(sheet, D_START, &r->moment, &row->start_min);
    take_moment(sheet, D_END, &r->moment, &row->end_min);
    take_day(r, sheet, row);
    take_minutes(sheet, row);
    take_outcome(sheet);
    take_step(r, sheet, &part);
    part.lanes = take_crew(sheet, r->plan);
    look_at_remarks(sheet);
    if (sheet_number(sheet, D_HOLD, SHEET_SPAN, 0, SHEET_MOST_MINUTES, &hold) && hold.known) row->hold_min = hold.value;
    if (sheet->n_error > before) return;
    if (!names_task && (!row->start_min.known || row->end_min.known || row->hold_min > 0))
        sheet_error(sheet, D_START, "no-moment",
                    "a row without a task says how late it is now: write its start, and no end or hold");
    else if (!row->start_min.known && !row->end_min.known)
        sheet_error(sheet, D_START, "no-moment",
                    "a task that has begun has a start or an end; leave out those that have not");
    else
        add_part(r, sheet, &part);
}

/* ---- all rows of a task ---- */

static void say_other_crew(struct report_reading *r, struct sheet *sheet, const struct day_task *of)
{
    const struct wr_plan_task *task = &r->plan->task[of->task];
    WR_SCOPED_STR plan = {0};
    uint32_t lanes = 0;

    for (size_t i = 0; i < of->n_part; i++) {
        if (!of->part[i].lanes) return;
        lanes |= of->part[i].lanes;
    }
    if (lanes == task->lanes) return;
    for (size_t l = 0; l < r->plan->n_lane; l++)
        if (task->lanes >> l & 1) wr_str_addf(&plan, "%s%.60s", plan.len ? "+" : "", r->plan->lane[l]);
    wr_findings_add(sheet->findings, WR_WARNING, "crew-differs", sheet->file, of->part[0].row.line, 0,
                    "'%.60s' is reported for another crew than that of the plan, '%.200s': it counts as done, or "
                    "begun, in the plan's lanes",
                    task->id, wr_str_text(&plan));
}

/* What is done of it is not all of it, as far as the rehearsals tell. */
static void leave_open(struct report_reading *r, struct sheet *sheet, const struct day_task *of,
                       struct wr_day_report_row *whole)
{
    const char *id = r->plan->task[of->task].id;
    const struct day_part *last = day_task_last(of);
    WR_SCOPED_STR missing = {0}, why = {0};

    if (!whole->end_min.known || !day_task_is_open(of, id, r->log, &missing)) return;
    whole->end_min = WR_UNKNOWN;
    if (missing.len) wr_str_addf(&why, "its step '%.60s', which rehearsals had, is not", missing.text);
    else wr_str_add(&why, "whether that is all of it no rehearsal tells");
    wr_findings_add(sheet->findings, WR_WARNING, "task-in-part", sheet->file, last->at.line, last->at.column,
                    "'%.60s': step '%.60s' is reported done, and %s. The task counts as going on, until what follows "
                    "it is reported: once all of it is done, leave the step of its last row empty",
                    id, last->written, wr_str_text(&why));
}

static void join_rows(struct report_reading *r, struct sheet *sheet)
{
    struct wr_day_report *report = r->report;

    for (size_t i = 0; i < r->n_task; i++) {
        const struct day_task *of = &r->task[i];
        struct wr_day_report_row whole = day_task_joined(of);
        if (of->task != SIZE_MAX) {
            leave_open(r, sheet, of, &whole);
            say_other_crew(r, sheet, of);
        }
        if (!whole.start_min.known && !whole.end_min.known)
            sheet_error_at(sheet, of->part[0].at, "no-moment",
                           "the task goes on, and when it began is not known: write the start of each of its rows");
        *WR_PUSH(report->row, report->n_row, report->room) = whole;
    }
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
    return log_names_hold(folded) || log_names_outcome(folded) || log_names_minutes(folded) || log_names_step(folded);
}

static enum wr_moment_numbers numbers_of(const struct bare_times *t, struct wr_maybe start)
{
    bool elapsed = !start.known || start.value == 0;

    if (t->n_bare == 0 || t->n_other > 0) return WR_NUMBERS_ALONE;
    if (bare_times_are_clock(t) && t->n_zero > 0) return WR_NUMBERS_CLOCK;
    return bare_times_doubt(t) == NO_DOUBT && (elapsed || t->least_start == 0) ? WR_NUMBERS_MINUTES : WR_NUMBERS_ALONE;
}

/* What the campaign's log calls its steps, say. */
static const char *column_of_log(const struct wr_run_log *log, enum log_role role)
{
    for (size_t f = 0; log && f < log->n_facts; f++)
        for (size_t c = 0; c < log->facts[f].n_column; c++)
            if (strcmp(log->facts[f].role[c], log_role_name(role)) == 0) return log->facts[f].column[c];
    return NULL;
}

enum wr_status wr_day_report_read_bytes(struct wr_day_report *report, const char *name, const char *bytes, size_t n,
                                        const struct wr_plan *plan, const struct wr_run_log *log,
                                        struct wr_maybe start_min, struct wr_findings *findings, struct wr_error *err)
{
    struct sheet_column columns[N_REPORT_COLUMN];
    WR_RELEASED_BY(wr_findings_release) struct wr_findings unused = {0};
    struct report_reading r = {.report = report, .plan = plan, .log = log, .moment = {.start_min = start_min}};
    struct sheet sheet = {.file = name,
                          .column = columns,
                          .n_column = N_REPORT_COLUMN,
                          .row = look_at_row,
                          .arg = &r,
                          .must_be_read = must_be_read,
                          .no_row = "no report below the header: add a row, as TASK,0:10,0:32",
                          .findings = &unused,
                          .err = NULL};
    struct sheet again = sheet;

    memcpy(columns, report_columns, sizeof columns);
    columns[D_STEP].also = column_of_log(log, ROLE_STEP);
    columns[D_RUN].also = column_of_log(log, ROLE_RUN);
    columns[D_DATE].also = column_of_log(log, ROLE_DATE);
    enum wr_status looked = sheet_read(&sheet, bytes, n);
    (void)looked; /* what is wrong is said when it is read */
    r.moment.numbers = numbers_of(&r.times, start_min);
    again.row = take_row;
    again.findings = findings;
    again.err = err;
    enum wr_status status = sheet_read(&again, bytes, n);
    if (!status) check_days(&r, &again);
    if (!status) join_rows(&r, &again);
    for (size_t i = 0; i < r.n_task; i++) day_task_release(&r.task[i]);
    WR_FREE(r.task, r.dated);
    wr_arena_release(&r.text);
    return status ? status : again.n_error ? WR_E_INPUT : WR_OK;
}

void wr_day_report_release(struct wr_day_report *report)
{
    wr_free(report->row);
    *report = (struct wr_day_report){0};
}
