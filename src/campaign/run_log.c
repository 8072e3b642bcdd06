#include "wetrun/campaign/run_log.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>
#include <strings.h>
#include "log_lost.h"
#include "log_pieces.h"
#include "log_survey.h"
#include "sheet.h" /* SHEET_MOST_MINUTES */
#include "wetrun/campaign/near_name.h"
#include "wetrun/io/csv_reader.h"
#include "wetrun/io/text_file.h"

enum { MOST_LOG_FILES = 65535 };

/* Twelve hours: longer steps are taken for slips of the pen. */
#define HALF_DAY_NS (WR_NS_PER_DAY / 2)

/* A row without a task that may be none of the table's: see may_be_footer. */
struct footer {
    size_t line, n_raw;
    const char *raw;
    struct wr_csv_place place;
};

struct reading {
    struct wr_run_log *log;
    struct log_pieces pieces;
    struct log_lost lost;
    const struct wr_log_options *options;
    struct wr_findings *findings;
    struct wr_error *err;
    struct log_survey survey;

    /* the file being read */
    const char *file;
    uint32_t file_index;
    struct log_source *source;
    bool has_header;
    char *header;
    size_t n_header;
    struct footer *footer;
    size_t n_footer, room_footer;

    uint32_t run, task, step, crew, performer, date; /* names of the last row */
    uint32_t raw[N_MAP];                             /* the same as they stand in the log */
    uint32_t dated_run;                              /* whose date that was */
    bool *attribute_varies;
    size_t n_attribute_varies;
};

/* A row whose fields were understood. */
struct row {
    enum wr_outcome outcome;
    enum wr_time_kind kind;
    bool has_start;
    int64_t start_ns, length_ns;
    int64_t day; /* of a stamp */
    double active_min, hold_min;
    double minutes; /* as logged in that column; known if has_minutes */
    bool has_minutes;
};

static const struct wr_csv_field *field_of(const struct reading *r, const struct wr_csv_record *record,
                                           enum log_role role)
{
    return log_field(&r->survey.fill, &r->source->columns, record, role);
}

/* What a name of the row means. */
static const struct wr_csv_field *meant_by(struct reading *r, const struct wr_csv_record *record, enum log_role role,
                                           size_t which)
{
    const struct wr_csv_field *f = field_of(r, record, role);
    const struct name_map *map = &r->survey.map[which];

    if (!map->changes) return f;
    uint32_t raw = wr_names_find_next(&r->survey.map[which].raw, f->text, f->len, &r->raw[which]);
    return raw == WR_NO_NAME ? f : &map->meant[raw];
}

/* ---- what was not in the plain form ---- */

__attribute__((cold)) static void note_spelling(struct reading *r, const struct wr_csv_record *record,
                                                enum log_role role, enum wr_spelling spelling, const char *meant)
{
    struct wr_csv_place place = wr_csv_place_of_field(record, r->source->columns.at[role]);

    bool person = role == ROLE_PERFORMER; /* whose name may not be for everybody */
    wr_read_as_note(&r->source->read_as, spelling, place.line, place.column,
                    person ? NULL : field_of(r, record, role)->text, person ? NULL : meant);
}

static void note_minutes(struct reading *r, const struct wr_csv_record *record, enum log_role role,
                         enum wr_spelling spelling, double minutes)
{
    char meant[40];

    if (spelling == WR_PLAIN) return;
    snprintf(meant, sizeof meant, "%.6g min", minutes);
    note_spelling(r, record, role, spelling, meant);
}

static void note_time(struct reading *r, const struct wr_csv_record *record, enum log_role role,
                      enum wr_spelling spelling, const struct wr_log_time *time)
{
    char meant[WR_CLOCK_TEXT + 32], of_day[WR_CLOCK_TEXT];
    bool dated = time->kind == WR_TIME_STAMP || time->kind == WR_TIME_ZONED;

    if (spelling == WR_PLAIN) return;
    double minutes = (double)(dated ? time->ns - time->day * WR_NS_PER_DAY : time->ns) / (double)WR_NS_PER_MIN;
    if (time->kind == WR_TIME_ELAPSED) snprintf(meant, sizeof meant, "%.6g min elapsed", minutes);
    else
        snprintf(meant, sizeof meant, "%s%s", time->kind == WR_TIME_CLOCK ? "" : "date and ",
                 wr_hmmss(minutes, of_day));
    note_spelling(r, record, role, spelling, meant);
}

static void note_names(struct reading *r, const struct wr_csv_record *record)
{
    static const enum log_role role[N_MAP] = {ROLE_RUN, ROLE_TASK, ROLE_CREW, ROLE_PERFORMER};

    for (size_t m = 0; m < N_MAP; m++) {
        const struct name_map *map = &r->survey.map[m];
        if (!map->changes || r->raw[m] == WR_NO_NAME) continue;
        if (map->spelling[r->raw[m]] != WR_PLAIN)
            note_spelling(r, record, role[m], map->spelling[r->raw[m]], map->meant[r->raw[m]].text);
    }
    for (size_t k = 0; k < N_ROLE; k++)
        if (r->survey.fill.on[k] && field_of(r, record, (enum log_role)k)->len &&
            !log_cell_text(&r->source->columns, record, (enum log_role)k)->len)
            note_spelling(r, record, (enum log_role)k, WR_SP_FILLED, NULL);
    for (size_t k = 0; k < N_ROLE; k++) {
        const struct wr_csv_field *cell = log_cell_as_it_is(&r->source->columns, record, (enum log_role)k);
        if (cell->len && !log_cell_text(&r->source->columns, record, (enum log_role)k)->len)
            wr_read_as_note(&r->source->read_as, WR_SP_NOTHING, record->line, 1, cell->text, NULL);
    }
    if (record->n_field < r->source->columns.n_field)
        wr_read_as_note(&r->source->read_as, WR_SP_MISSING_FIELDS, record->line, 1, NULL, NULL);
}

/* ---- rejection ---- */

static void report_rejected(struct reading *r, const struct wr_csv_record *record, struct wr_csv_place place,
                            const char *code, const char *reason)
{
    r->log->rows_rejected++;
    wr_findings_add(r->findings, WR_ERROR, code, r->file, place.line, place.column, "row rejected: %s", reason);
    if (r->options && r->options->rejected)
        r->options->rejected(r->options->rejected_arg, r->file, place.line, place.column, reason, record->raw,
                             record->n_raw);
}

/* Always false: the row is not accepted. */
__attribute__((cold)) WR_PRINTF(5, 6) static bool reject(struct reading *r, const struct wr_csv_record *record,
                                                         enum log_role role, const char *code, const char *fmt, ...)
{
    char reason[512];
    va_list ap;

    va_start(ap, fmt);
    vsnprintf(reason, sizeof reason, fmt, ap);
    va_end(ap);
    struct wr_csv_place place = wr_csv_place_of_field(record,
                                                      r->source->columns.has[role] ? r->source->columns.at[role] : 0);
    report_rejected(r, record, place, code, reason);
    return false;
}

/* A row that cannot be looked into: bad quoting, or not as many fields as the header. */
__attribute__((cold)) static void reject_shape(struct reading *r, const struct wr_csv_record *record)
{
    char reason[128];

    if (record->trouble) {
        report_rejected(r, record, wr_csv_place_of_trouble(record), "row-malformed", record->trouble);
        return;
    }
    snprintf(reason, sizeof reason, "%zu fields where the header has %zu%s", record->n_field,
             r->source->columns.n_field,
             record->delimiter == ',' ? " (a comma within a field? put the field in quotes)" : "");
    report_rejected(r, record, wr_csv_place_of_field(record, r->source->columns.n_field), "row-field-count", reason);
}

__attribute__((cold)) WR_PRINTF(6, 7) static void warn(struct reading *r, const struct wr_csv_record *record,
                                                       enum log_role role, enum wr_severity severity,
                                                       const char *code, const char *fmt, ...)
{
    char message[512];
    va_list ap;

    if (wr_findings_suppress(r->findings, severity, code)) return;
    va_start(ap, fmt);
    vsnprintf(message, sizeof message, fmt, ap);
    va_end(ap);
    struct wr_csv_place place = wr_csv_place_of_field(record,
                                                      r->source->columns.has[role] ? r->source->columns.at[role] : 0);
    wr_findings_add(r->findings, severity, code, r->file, place.line, place.column, "%s", message);
}

/* ---- understanding a row ---- */

/* Words that people write for done; for a step cut off or left out they are too many, and names.csv translates them. */
static bool means_done(const char *text)
{
    static const char *const word[] = {"complete", "completed", "finished", "ok", NULL};

    for (int i = 0; word[i]; i++)
        if (strcasecmp(text, word[i]) == 0) return true;
    return false;
}

static const char *outcome_at(const void *words, size_t i)
{
    return ((const char *const *)words)[i];
}

__attribute__((cold)) static bool reject_outcome(struct reading *r, const struct wr_csv_record *record,
                                                 const char *text)
{
    static const char *const word[] = {"done", "stopped", "skipped"};
    const struct wr_name_list list = {outcome_at, word, 3};
    size_t near = wr_find_near(&list, text);
    bool denies = strncasecmp(text, "not", 3) == 0 || strncasecmp(text, "un", 2) == 0 || strncasecmp(text, "no ", 3) == 0;

    if (near != SIZE_MAX && !denies) /* "not done" is near to its contrary */
        return reject(r, record, ROLE_OUTCOME, "row-bad-outcome",
                      "outcome '%.60s' is none of done, stopped, skipped (did you mean '%s'?)", text, word[near]);
    return reject(r, record, ROLE_OUTCOME, "row-bad-outcome",
                  "outcome '%.60s' is none of done, stopped, skipped (names.csv "
                  "can say which it is: outcome,%.60s,WORD)",
                  text, text);
}

static bool understand_outcome(struct reading *r, const struct wr_csv_record *record, struct row *row)
{
    const struct wr_csv_field *f = field_of(r, record, ROLE_OUTCOME);
    const char *text = f->text;

    row->outcome = WR_DONE;
    if (f->len == 0 || strcmp(text, "done") == 0) return true;
    text = wr_alias_of(r->options->aliases, WR_NAME_OUTCOME, text);
    if (strcasecmp(text, "stopped") == 0) row->outcome = WR_STOPPED;
    else if (strcasecmp(text, "skipped") == 0) row->outcome = WR_SKIPPED;
    else if (strcasecmp(text, "done") != 0 && !means_done(text))
        return reject_outcome(r, record, f->text);
    if (text != f->text || means_done(text))
        note_spelling(r, record, ROLE_OUTCOME, WR_SP_OUTCOME, row->outcome == WR_DONE      ? "done"
                                                              : row->outcome == WR_STOPPED ? "stopped" : "skipped");
    return true;
}

/* Minutes that are not negative, from a column of their own. */
static bool understand_minutes(struct reading *r, const struct wr_csv_record *record, enum log_role role,
                               double *minutes)
{
    const struct wr_csv_field *f = field_of(r, record, role);
    enum wr_spelling spelling;

    if (f->len == 1 && f->text[0] == '0') {
        *minutes = 0.0;
        return true;
    }
    const char *trouble = wr_written_span(f->text, &r->source->habits, minutes, &spelling);
    if (trouble)
        return reject(r, record, role, "row-bad-number", "%s '%.60s' is %s", log_role_name(role), f->text, trouble);
    if (*minutes < 0)
        return reject(r, record, role, "row-negative", "%s %.60s is negative", log_role_name(role), f->text);
    if (*minutes > SHEET_MOST_MINUTES)
        return reject(r, record, role, "row-out-of-range", "%s %.60s is too large to be meant", log_role_name(role),
                      f->text);
    note_minutes(r, record, role, spelling, *minutes);
    return true;
}

static bool understand_time(struct reading *r, const struct wr_csv_record *record, enum log_role role,
                            struct wr_log_time *time)
{
    const struct wr_csv_field *f = field_of(r, record, role);
    enum wr_spelling spelling;
    const char *trouble = wr_written_time(f->text, f->len, &r->source->habits, time, &spelling);

    if (trouble)
        return reject(r, record, role, "row-bad-time", "%s '%.60s': %s", log_role_name(role), f->text, trouble);
    note_time(r, record, role, spelling, time);
    return true;
}

static bool measure_step(struct reading *r, const struct wr_csv_record *record, const struct wr_log_time *start,
                         const struct wr_log_time *end, struct row *row)
{
    row->length_ns = end->ns - start->ns;
    if (row->length_ns >= 0) return true;
    const char *from = field_of(r, record, ROLE_START)->text, *to = field_of(r, record, ROLE_END)->text;
    if (start->kind != WR_TIME_CLOCK)
        return reject(r, record, ROLE_END, "row-negative", "it ends (%.40s) before it starts (%.40s)", to, from);
    row->length_ns += WR_NS_PER_DAY;
    if (row->length_ns <= HALF_DAY_NS) return true;
    return reject(r, record, ROLE_END, "row-negative",
                  "it ends (%.40s) before it starts (%.40s), and would last more than 12 h if it had passed midnight",
                  to, from);
}

/* Start, and end or minutes. */
static bool understand_interval(struct reading *r, const struct wr_csv_record *record, struct row *row)
{
    struct wr_log_time start, end;
    const struct wr_csv_field *end_field = field_of(r, record, ROLE_END);

    if (!understand_time(r, record, ROLE_START, &start)) return false;
    row->kind = start.kind;
    row->day = start.day;
    if (end_field->len) {
        if (!understand_time(r, record, ROLE_END, &end)) return false;
        if (end.kind != start.kind)
            return reject(r, record, ROLE_END, "row-mixed-times", "it starts in %s and ends in %s",
                          wr_time_kind_text(start.kind), wr_time_kind_text(end.kind));
        if (!measure_step(r, record, &start, &end, row)) return false;
    } else if (row->has_minutes) {
        row->length_ns = (int64_t)(row->minutes * (double)WR_NS_PER_MIN + 0.5);
    } else if (row->outcome != WR_SKIPPED) {
        return reject(r, record, r->source->columns.has[ROLE_END] ? ROLE_END : ROLE_START, "row-no-time",
                      "it has no end");
    }
    if (row->kind == WR_TIME_CLOCK) {
        if (start.ns == WR_NS_PER_DAY) start.ns = 0;
        if (row->length_ns > WR_NS_PER_DAY)
            return reject(r, record, ROLE_MINUTES, "row-out-of-range", "it lasts more than a day");
    }
    row->start_ns = start.ns;
    row->has_start = true;
    return true;
}

static bool understand_times(struct reading *r, const struct wr_csv_record *record, struct row *row)
{
    const struct wr_csv_field *start = field_of(r, record, ROLE_START), *end = field_of(r, record, ROLE_END);
    struct wr_log_time unused;

    row->has_start = row->has_minutes = false;
    row->kind = WR_TIME_NONE;
    row->start_ns = row->length_ns = 0;
    if (field_of(r, record, ROLE_MINUTES)->len) {
        if (!understand_minutes(r, record, ROLE_MINUTES, &row->minutes)) return false;
        row->has_minutes = true;
    }
    if (start->len) return understand_interval(r, record, row);
    if (end->len) {
        if (row->outcome == WR_SKIPPED) return understand_time(r, record, ROLE_END, &unused);
        return reject(r, record, r->source->columns.has[ROLE_START] ? ROLE_START : ROLE_END, "row-no-time",
                      "it has an end but no start");
    }
    if (row->outcome == WR_SKIPPED) return true;
    if (row->has_minutes) {
        row->kind = WR_TIME_MINUTES;
        return true;
    }
    return reject(r, record, r->source->columns.has[ROLE_START] ? ROLE_START : ROLE_MINUTES, "row-no-time",
                  "it has neither a start and an end nor minutes");
}

static bool understand_hold(struct reading *r, const struct wr_csv_record *record, struct row *row)
{
    double length_min = row->kind == WR_TIME_MINUTES ? row->minutes : (double)row->length_ns / (double)WR_NS_PER_MIN;

    row->hold_min = 0.0;
    if (field_of(r, record, ROLE_HOLD)->len && !understand_minutes(r, record, ROLE_HOLD, &row->hold_min)) return false;
    row->active_min = length_min - row->hold_min;
    if (row->outcome == WR_SKIPPED) {
        row->active_min = row->hold_min = 0.0;
        return true;
    }
    if (row->active_min >= 0) return true;
    if (row->active_min > -1e-9) { /* rounding of decimal minutes */
        row->active_min = 0.0;
        return true;
    }
    return reject(r, record, ROLE_HOLD, "row-hold-too-long", "a hold of %.60s min in a step of %.6g min",
                  field_of(r, record, ROLE_HOLD)->text, length_min);
}

static bool understand_row(struct reading *r, const struct wr_csv_record *record, struct row *row)
{
    if (field_of(r, record, ROLE_RUN)->len == 0)
        return reject(r, record, ROLE_RUN, "row-no-run", "it names no run%s",
                      r->log->rows_accepted ? " (--fill-down run, if an empty cell means the one above)" : "");
    if (field_of(r, record, ROLE_TASK)->len == 0)
        return reject(r, record, ROLE_TASK, "row-no-task", "it names no task");
    return understand_outcome(r, record, row) && understand_times(r, record, row) && understand_hold(r, record, row);
}

/* ---- what belongs to the run ---- */

static uint32_t number_of(struct reading *r, struct wr_names *names, const struct wr_csv_field *f, uint32_t *last)
{
    return wr_names_add_next(names, &r->log->text, f->text, f->len, last);
}

static uint32_t new_run(struct reading *r, const struct wr_csv_record *record)
{
    uint32_t index = number_of(r, &r->pieces.runs, meant_by(r, record, ROLE_RUN, MAP_RUN), &r->run);
    struct log_run_state *run = log_pieces_new_run(&r->pieces);

    run->line = record->line;
    run->file = r->file_index;
    return index;
}

__attribute__((cold)) static void take_new_date(struct reading *r, const struct wr_csv_record *record,
                                                uint32_t run_index, uint32_t date)
{
    const struct wr_csv_field *f = field_of(r, record, ROLE_DATE);
    struct log_run_state *run = &r->pieces.run[run_index];
    const char *id = r->pieces.runs.name[run_index].text;
    enum wr_spelling spelling;
    int64_t day;

    if (run->date == date) return;
    const char *trouble = wr_written_date(f->text, f->len, &r->source->habits, &day, &spelling);
    if (trouble) {
        if (!run->date_reported)
            warn(r, record, ROLE_DATE, WR_WARNING, "bad-date", "date '%.60s' of run '%.60s': %s", f->text, id, trouble);
        run->date_reported = true;
        return;
    }
    if (spelling != WR_PLAIN) {
        char meant[16];
        wr_date_text(day, meant);
        note_spelling(r, record, ROLE_DATE, spelling, meant);
    }
    if (run->day != NO_DAY && run->day != day && !run->date_reported) {
        warn(r, record, ROLE_DATE, WR_WARNING, "date-varies",
             "run '%.60s' has the date %.60s here and %.60s before; the earlier day counts", id,
             f->text, r->pieces.dates.name[run->date].text);
        run->date_reported = true;
    }
    if (run->day != NO_DAY && run->day <= day) return;
    run->day = day;
    run->date = date;
}

static void take_date(struct reading *r, const struct wr_csv_record *record, uint32_t run)
{
    const struct wr_csv_field *f = field_of(r, record, ROLE_DATE);
    uint32_t before = r->date;

    if (f->len == 0) return;
    uint32_t date = number_of(r, &r->pieces.dates, f, &r->date);
    if (date == before && run == r->dated_run) return;
    r->dated_run = run;
    take_new_date(r, record, run, date);
}

static void widen_attributes(struct log_run_state *run, size_t n)
{
    run->attribute = wr_realloc(run->attribute, n, sizeof *run->attribute);
    for (size_t i = run->n_attribute; i < n; i++) run->attribute[i] = NULL;
    run->n_attribute = n;
}

static void take_attribute(struct reading *r, const struct wr_csv_record *record, struct log_run_state *run,
                           size_t field)
{
    const struct wr_csv_field *f = &record->field[field];
    uint32_t a = r->source->columns.attribute[field];

    if (f->len == 0 || (run->attribute[a] && r->attribute_varies[a])) return;
    if (!run->attribute[a]) {
        uint32_t value = wr_names_add(&r->pieces.values, &r->log->text, f->text, f->len);
        run->attribute[a] = r->pieces.values.name[value].text;
    } else if (strcmp(run->attribute[a], f->text) != 0) {
        struct wr_csv_place place = wr_csv_place_of_field(record, field);
        r->attribute_varies[a] = true;
        wr_findings_add(r->findings, WR_NOTE, "attribute-varies", r->file, place.line, place.column,
                        "column '%.60s' differs within a run; the run's first value is kept",
                        r->pieces.attributes.name[a].text);
    }
}

static void take_attributes(struct reading *r, const struct wr_csv_record *record, struct log_run_state *run)
{
    if (!r->source->columns.n_attribute) return;
    if (run->n_attribute < r->pieces.attributes.n_name) widen_attributes(run, r->pieces.attributes.n_name);
    for (size_t i = 0; i < r->source->columns.n_field; i++)
        if (r->source->columns.attribute[i] != WR_NO_NAME && i < record->n_field) take_attribute(r, record, run, i);
}

static void take_run_facts(struct reading *r, const struct wr_csv_record *record, uint32_t index, const struct row *row)
{
    struct log_run_state *run = &r->pieces.run[index];

    run->n_row++;
    if (run->kind == WR_TIME_NONE) run->kind = row->kind;
    if ((row->kind == WR_TIME_STAMP || row->kind == WR_TIME_ZONED) &&
        (run->stamp_day == NO_DAY || row->day < run->stamp_day))
        run->stamp_day = row->day;
    if (run->file != r->file_index && !run->files_reported) {
        run->files_reported = true;
        warn(r, record, ROLE_RUN, WR_NOTE, "run-in-two-files", "run '%.60s' is in %.200s as well",
             r->pieces.runs.name[index].text, r->log->file[run->file]);
    }
    take_date(r, record, index);
    take_attributes(r, record, run);
}

/* ---- pieces ---- */

__attribute__((cold)) static void report_duplicate(struct reading *r, const struct wr_csv_record *record,
                                                   const struct log_piece *first, const struct log_piece *again)
{
    bool same = first->length_ns == again->length_ns && first->outcome == again->outcome &&
                first->active_min == again->active_min && first->hold_min == again->hold_min &&
                first->crew == again->crew && first->performer == again->performer;

    r->log->rows_duplicate++;
    if (same)
        warn(r, record, ROLE_START, WR_WARNING, "duplicate-row",
             "the same run, task, step and start as in %.200s line %zu; counted once",
             r->log->file[first->file], first->line);
    else
        warn(r, record, ROLE_START, WR_WARNING, "duplicate-differs",
             "the same run, task, step and start as in %.200s line %zu, but not the same otherwise; the first is kept",
             r->log->file[first->file], first->line);
}

/* Adds a row to a record that stands for several. Clock times turn in a circle: the new start lies within 12 h of the
 * old one. */
static void merge(struct log_piece *into, const struct log_piece *p, enum wr_time_kind kind)
{
    int64_t ahead = p->start_ns - into->start_ns;

    if (kind == WR_TIME_CLOCK && ahead > HALF_DAY_NS) ahead -= WR_NS_PER_DAY;
    if (kind == WR_TIME_CLOCK && ahead < -HALF_DAY_NS) ahead += WR_NS_PER_DAY;
    int64_t end = ahead + p->length_ns > into->length_ns ? ahead + p->length_ns : into->length_ns;
    int64_t begin = ahead < 0 ? ahead : 0;
    into->start_ns += begin;
    if (kind == WR_TIME_CLOCK && into->start_ns < 0) into->start_ns += WR_NS_PER_DAY;
    into->length_ns = end - begin;
    into->active_min += p->active_min;
    into->hold_min += p->hold_min;
    into->n_row++;
    if (p->outcome == WR_STOPPED) into->outcome = WR_STOPPED;
}

static void add_to_overflow(struct reading *r, const struct log_cell *cell, const struct log_piece *p)
{
    merge(&r->pieces.piece[cell->overflow], p, r->pieces.run[p->run].kind);
}

/* The row of the cell that this one repeats, or NO_PIECE. */
static uint32_t find_original(const struct log_pieces *pieces, const struct log_cell *cell, const struct log_piece *p)
{
    if (p->has_start) return log_pieces_find_start(pieces, cell, p->start_ns);
    for (uint32_t i = cell->first; i != NO_PIECE; i = pieces->piece[i].next)
        if (!pieces->piece[i].has_start && pieces->piece[i].outcome == p->outcome) return i;
    return NO_PIECE;
}

/* A further start of a cell that has one. */
static void add_further(struct reading *r, const struct wr_csv_record *record, struct log_cell *cell,
                        const struct log_piece *p)
{
    if (cell->n >= WR_MOST_PIECES) {
        warn(r, record, ROLE_TASK, WR_WARNING, "many-pieces",
             "more than %d starts of one step of task '%.60s' in one run; from here on they are added up, and "
             "duplicates among them go unnoticed", WR_MOST_PIECES, r->pieces.tasks.name[p->task].text);
        cell->overflow = log_pieces_add(&r->pieces, cell, p);
    } else {
        log_pieces_add(&r->pieces, cell, p);
    }
}

/* Rows without a start and without a step add up: they have nothing that tells a repeated row from a further one. */
static bool add_up(struct reading *r, const struct wr_csv_record *record, const struct log_cell *cell,
                   const struct log_piece *p)
{
    if (p->has_start || p->outcome == WR_SKIPPED || field_of(r, record, ROLE_STEP)->len) return false;
    uint32_t i = find_original(&r->pieces, cell, p);
    if (i == NO_PIECE) return false;
    struct log_piece *q = &r->pieces.piece[i];
    if (q->n_row == 1 && q->active_min == p->active_min && q->hold_min == p->hold_min)
        warn(r, record, ROLE_MINUTES, WR_WARNING, "repeated-row",
             "the same minutes as in %.200s line %zu; without a start or a step both count",
             r->log->file[q->file], q->line);
    q->active_min += p->active_min;
    q->hold_min += p->hold_min;
    q->n_row++;
    return true;
}

static void add_to_cell(struct reading *r, const struct wr_csv_record *record, struct log_cell *cell,
                        const struct log_piece *p)
{
    uint32_t original;

    if (cell->overflow != NO_PIECE && p->has_start) add_to_overflow(r, cell, p);
    else if (add_up(r, record, cell, p)) return;
    else if ((original = find_original(&r->pieces, cell, p)) != NO_PIECE)
        report_duplicate(r, record, &r->pieces.piece[original], p);
    else if (p->has_start) add_further(r, record, cell, p);
    else log_pieces_add(&r->pieces, cell, p); /* at most one per outcome */
}

static void add_piece(struct reading *r, const struct wr_csv_record *record, uint32_t run, const struct row *row)
{
    struct log_piece p = {
        .run = run,
        .task = number_of(r, &r->pieces.tasks, meant_by(r, record, ROLE_TASK, MAP_TASK), &r->task),
        .step = number_of(r, &r->pieces.steps, field_of(r, record, ROLE_STEP), &r->step),
        .crew = number_of(r, &r->pieces.crews, meant_by(r, record, ROLE_CREW, MAP_CREW), &r->crew),
        .performer = number_of(r, &r->pieces.performers, meant_by(r, record, ROLE_PERFORMER, MAP_PERFORMER),
                               &r->performer),
        .n_row = 1,
        .file = (uint16_t)r->file_index,
        .outcome = (uint8_t)row->outcome,
        .has_start = row->has_start,
        .start_ns = row->start_ns,
        .length_ns = row->length_ns,
        .active_min = row->active_min,
        .hold_min = row->hold_min,
        .line = record->line,
    };
    uint32_t *first = log_pieces_first(&r->pieces, run, p.task, p.step);

    if (*first == NO_PIECE) log_pieces_begin(&r->pieces, first, &p);
    else add_to_cell(r, record, log_pieces_cell(&r->pieces, *first), &p);
}

/* ---- rows ---- */

static void report_oddities(struct reading *r, const struct wr_csv_record *record, const struct row *row)
{
    double length_min = (double)row->length_ns / (double)WR_NS_PER_MIN;

    if (row->outcome == WR_SKIPPED) return;
    if (row->kind == WR_TIME_MINUTES) length_min = row->minutes;
    if (length_min == 0.0)
        warn(r, record, ROLE_START, WR_WARNING, "zero-step", "the step takes no time");
    else if (row->active_min == 0.0)
        warn(r, record, ROLE_HOLD, WR_WARNING, "all-hold", "the whole step is a hold");
    if (length_min > 720.0)
        warn(r, record, ROLE_START, WR_WARNING, "long-step", "the step takes %.4g h", length_min / 60.0);
    if (row->has_minutes && row->kind != WR_TIME_MINUTES && fabs(row->minutes - length_min) > 1.0)
        warn(r, record, ROLE_MINUTES, WR_WARNING, "minutes-differ",
             "minutes says %.6g, start and end say %.6g; start and end count", row->minutes, length_min);
}

static bool accept(struct reading *r, const struct wr_csv_record *record, const struct row *row)
{
    const struct wr_csv_field *f = meant_by(r, record, ROLE_RUN, MAP_RUN);
    uint32_t run = wr_names_find_next(&r->pieces.runs, f->text, f->len, &r->run);

    if (run == WR_NO_NAME) { /* numbered only now that its row is accepted */
        run = new_run(r, record);
    } else {
        enum wr_time_kind kind = r->pieces.run[run].kind;
        if (row->kind != WR_TIME_NONE && kind != WR_TIME_NONE && row->kind != kind)
            return reject(
                r, record, ROLE_START, "row-mixed-times", "it is logged in %s, the run's earlier rows in %s%s",
                wr_time_kind_text(row->kind), wr_time_kind_text(kind),
                row->kind == WR_TIME_ELAPSED && kind == WR_TIME_CLOCK ? " (--times clock, if it is a time of day)"
                                                                      : "");
    }
    r->log->rows_accepted++;
    if (row->outcome != WR_SKIPPED && (row->active_min == 0.0 || row->length_ns > HALF_DAY_NS || row->has_minutes))
        report_oddities(r, record, row);
    take_run_facts(r, record, run, row);
    add_piece(r, record, run, row);
    note_names(r, record);
    return true;
}

static bool is_header_again(const struct reading *r, const struct wr_csv_record *record)
{
    return record->n_raw == r->n_header && memcmp(record->raw, r->header, r->n_header) == 0;
}

static enum wr_csv_next take_header(struct reading *r, const struct wr_csv_record *record)
{
    r->has_header = true;
    r->header = wr_realloc(r->header, record->n_raw, 1);
    memcpy(r->header, record->raw, record->n_raw);
    r->n_header = record->n_raw;
    struct wr_log_facts *facts = WR_PUSH(r->log->facts, r->log->n_facts, r->log->room_facts);
    *facts = (struct wr_log_facts){.delimiter = record->delimiter, .header_line = record->line};
    for (size_t role = 0; role < N_ROLE; role++) {
        const struct wr_csv_field *f = &record->field[r->source->columns.at[role]];
        if (!r->source->columns.has[role]) continue;
        facts->role[facts->n_column] = log_role_name((enum log_role)role);
        facts->column[facts->n_column++] = wr_arena_copy(&r->log->text, f->text, f->len);
    }
    r->log->has_crew |= r->source->columns.has[ROLE_CREW];
    r->log->has_performer |= r->source->columns.has[ROLE_PERFORMER];
    return WR_CSV_GO_ON;
}

/* Fields beyond those that the header names, with something in them. */
static bool has_surplus(const struct reading *r, const struct wr_csv_record *record)
{
    for (size_t i = r->source->columns.n_field; i < record->n_field; i++)
        if (record->field[i].len) return true;
    return false;
}

/* "Total", "Sum of hours", or nothing, where a run is named. */
static bool names_a_sum(const struct wr_csv_field *run)
{
    static const char *const word[] = {"total", "sum", "subtotal", "grand total", "overall"};
    bool found = run->len == 0;

    for (size_t i = 0; i < sizeof word / sizeof *word && !found; i++)
        found = strncasecmp(run->text, word[i], strlen(word[i])) == 0;
    return found;
}

/* Neither task nor times, or a sum of times: not of the table, if no row follows. */
static bool may_be_footer(const struct reading *r, const struct wr_csv_record *record)
{
    const struct log_columns *c = &r->source->columns;
    bool starts = log_cell_text(c, record, ROLE_START)->len > 0, ends = log_cell_text(c, record, ROLE_END)->len > 0;

    if (log_cell_text(c, record, ROLE_TASK)->len) return false;
    return (!starts && !ends) || (starts != ends && names_a_sum(log_cell_text(c, record, ROLE_RUN)));
}

static void keep_footer(struct reading *r, const struct wr_csv_record *record)
{
    *WR_PUSH(r->footer, r->n_footer, r->room_footer) = (struct footer){
        record->line, record->n_raw, record->raw, wr_csv_place_of_field(record, r->source->columns.at[ROLE_TASK])};
}

/* A row follows: what seemed to stand below the table stands within it. */
static void reject_footers(struct reading *r)
{
    for (size_t i = 0; i < r->n_footer; i++) {
        const struct footer *f = &r->footer[i];
        const struct wr_csv_record record = {.line = f->line, .raw = f->raw, .n_raw = f->n_raw};
        r->log->rows_read++;
        report_rejected(r, &record, f->place, "row-no-task", "it names no task");
    }
    r->n_footer = 0;
}

static void note_footers(struct reading *r)
{
    for (size_t i = 0; i < r->n_footer; i++) {
        char begin[64];
        snprintf(begin, sizeof begin, "%.*s", (int)(r->footer[i].n_raw < 60 ? r->footer[i].n_raw : 60),
                 r->footer[i].raw);
        wr_read_as_note(&r->source->read_as, WR_SP_FOOTER, r->footer[i].line, 1, begin, NULL);
    }
    r->n_footer = 0;
}

/* What a rejected row stood for was done, as far as the row can be made out. */
__attribute__((cold)) static void note_lost(struct reading *r, const struct wr_csv_record *record)
{
    if (record->trouble || strcasecmp(field_of(r, record, ROLE_OUTCOME)->text, "skipped") == 0) return;
    const struct log_lost_fields fields = {
        .run = meant_by(r, record, ROLE_RUN, MAP_RUN)->text, .task = meant_by(r, record, ROLE_TASK, MAP_TASK)->text,
        .step = field_of(r, record, ROLE_STEP)->text,        .start = field_of(r, record, ROLE_START)->text,
        .end = field_of(r, record, ROLE_END)->text,          .habits = &r->source->habits,
    };
    log_lost_note(&r->lost, &fields, r->file_index, record->line);
}

static enum wr_csv_next take_record(void *arg, const struct wr_csv_record *record)
{
    struct reading *r = arg;
    struct row row;

    if (!r->has_header) return take_header(r, record);
    if (row_is_empty(record) || row_is_comment(record)) {
        wr_read_as_note(&r->source->read_as, row_is_empty(record) ? WR_SP_EMPTY_ROW : WR_SP_COMMENT, record->line, 1,
                        record->field[0].text, NULL);
        return WR_CSV_GO_ON;
    }
    bool shapeless = record->trouble || has_surplus(r, record);
    if (!shapeless && may_be_footer(r, record)) {
        keep_footer(r, record);
        return WR_CSV_GO_ON;
    }
    reject_footers(r);
    r->log->rows_read++;
    if (!shapeless) log_fill_row(&r->survey.fill, &r->source->columns, record);
    if (shapeless) {
        reject_shape(r, record);
        note_lost(r, record);
    } else if (is_header_again(r, record)) {
        reject(r, record, ROLE_RUN, "row-header-again", "it is the header again");
    } else if (!understand_row(r, record, &row) || !accept(r, record, &row)) {
        note_lost(r, record);
    }
    return WR_CSV_GO_ON;
}

/* ---- files ---- */

static void read_one(struct reading *r, struct log_source *source)
{
    r->source = source;
    r->has_header = false;
    for (size_t m = 0; m < N_MAP; m++) r->raw[m] = WR_NO_NAME;
    log_fill_restart(&r->survey.fill);
    wr_csv_read(source->text.bytes, source->text.n, &source->start.csv, take_record, r);
    note_footers(r);
    wr_read_as_report(&source->read_as, r->file, r->findings);
}

/* Runs that are named in the logs, and of which nothing is left. */
static void report_lost_runs(struct reading *r)
{
    const struct name_map *map = &r->survey.map[MAP_RUN];
    struct wr_names lost = {0};

    for (size_t i = 0; i < map->raw.n_name; i++) {
        const struct wr_csv_field *meant = &map->meant[i];
        if (wr_names_find(&r->pieces.runs, meant->text, meant->len) != WR_NO_NAME) continue;
        size_t before = lost.n_name;
        wr_names_add(&lost, &r->log->text, meant->text, meant->len);
        if (lost.n_name == before) continue;
        *WR_PUSH(r->log->lost_run, r->log->n_lost_run, r->log->room_lost_run) = lost.name[before].text;
        wr_findings_add(r->findings, WR_ERROR, "run-lost", r->log->file[0], 0, 0,
                        "run '%.60s': every row of it was rejected; the results know nothing of it",
                        lost.name[before].text);
    }
    wr_names_release(&lost);
}

static enum wr_status check_result(struct reading *r)
{
    const struct wr_run_log *log = r->log;

    WR_BUG_IF(log->rows_read != log->rows_accepted + log->rows_rejected);
    if (log->rows_accepted) return WR_OK;
    if (!log->rows_read) return wr_fail(r->err, WR_E_INPUT, "%s: no rows below the header", log->file[0]);
    for (size_t i = 0; i < r->findings->n_finding; i++) {
        const struct wr_finding *f = &r->findings->finding[i];
        if (f->severity == WR_ERROR && f->file && strncmp(f->code, "row-", 4) == 0)
            return wr_fail(r->err, WR_E_INPUT, "all %zu rows were rejected; the first: %s:%zu:%zu: %s", log->rows_read,
                           f->file, f->line, f->column, f->message);
    }
    return wr_fail(r->err, WR_E_INPUT, "all %zu rows were rejected", log->rows_read);
}

static void read_all(struct reading *r)
{
    r->n_attribute_varies = r->pieces.attributes.n_name;
    r->attribute_varies = WR_NEW_ARRAY(bool, r->n_attribute_varies);
    for (size_t i = 0; i < r->survey.n_source; i++) {
        r->file_index = (uint32_t)i;
        r->file = r->log->file[i];
        read_one(r, &r->survey.source[i]);
    }
    report_lost_runs(r);
}

enum wr_status wr_run_log_read_texts(struct wr_run_log *log, const struct wr_log_text *text, size_t n_text,
                                     const struct wr_log_options *options, struct wr_findings *findings,
                                     struct wr_error *err)
{
    static const struct wr_log_options none = {0};
    struct reading r = {
        .log = log, .options = options ? options : &none, .findings = findings, .err = err,
        .run = WR_NO_NAME, .task = WR_NO_NAME, .step = WR_NO_NAME, .crew = WR_NO_NAME, .performer = WR_NO_NAME,
        .date = WR_NO_NAME, .dated_run = WR_NO_NAME,
    };

    if (n_text == 0) return wr_fail(err, WR_E_INPUT, "no step log was named");
    if (n_text > MOST_LOG_FILES) return wr_fail(err, WR_E_INPUT, "more than %d step logs", MOST_LOG_FILES);
    for (size_t i = 0; i < n_text; i++)
        *WR_PUSH(log->file, log->n_file, log->room_file) = wr_arena_copy(&log->text, text[i].name,
                                                                         strlen(text[i].name));
    enum wr_status status = log_survey_make(&r.survey, text, n_text, r.options, &r.pieces.attributes, &log->text,
                                            findings, err);
    if (status == WR_OK) {
        read_all(&r);
        status = check_result(&r);
    }
    if (status == WR_OK) {
        log_lost_settle(&r.lost, &r.pieces, log);
        log_finish(log, &r.pieces, findings);
        log_find_oddities(log, findings);
    }
    log_lost_release(&r.lost);
    log_survey_release(&r.survey);
    log_pieces_release(&r.pieces);
    wr_free(r.header);
    wr_free(r.footer);
    wr_free(r.attribute_varies);
    return status;
}

enum wr_status wr_run_log_read(struct wr_run_log *log, const char *const *path, size_t n_path,
                               const struct wr_log_options *options, struct wr_findings *findings,
                               struct wr_error *err)
{
    struct wr_text *file = WR_NEW_ARRAY(struct wr_text, n_path);
    struct wr_log_text *text = WR_NEW_ARRAY(struct wr_log_text, n_path);
    enum wr_status status = WR_OK;

    for (size_t i = 0; i < n_path && status == WR_OK; i++) {
        status = wr_text_read(&file[i], path[i], err);
        text[i] = (struct wr_log_text){path[i], file[i].bytes, file[i].n};
    }
    if (status == WR_OK) status = wr_run_log_read_texts(log, text, n_path, options, findings, err);
    for (size_t i = 0; i < n_path; i++) wr_text_release(&file[i]);
    wr_free(file);
    wr_free(text);
    return status;
}

enum wr_status wr_run_log_read_bytes(struct wr_run_log *log, const char *name, const char *bytes, size_t n,
                                     const struct wr_log_options *options, struct wr_findings *findings,
                                     struct wr_error *err)
{
    const struct wr_log_text text = {name, bytes ? bytes : "", n};

    return wr_run_log_read_texts(log, &text, 1, options, findings, err);
}

void wr_run_log_release(struct wr_run_log *log)
{
    for (size_t i = 0; i < log->n_run; i++) wr_free(log->run[i].attribute);
    wr_free(log->file);
    wr_free(log->run);
    wr_free(log->task);
    wr_free(log->step);
    wr_free(log->attribute);
    wr_free(log->facts);
    wr_free(log->lost);
    wr_free(log->lost_run);
    wr_arena_release(&log->text);
    *log = (struct wr_run_log){0};
}
