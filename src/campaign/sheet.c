#include "sheet.h"

#include <stdio.h>
#include <string.h>
#include <strings.h>
#include "table_start.h"
#include "wetrun/base/memory.h"
#include "wetrun/base/str.h"
#include "wetrun/campaign/near_name.h"

bool sheet_name_is(const char *name, const char *wanted)
{
    return strcasecmp(name, wanted) == 0; /* the locale is never set: ASCII */
}

const char *sheet_text(const struct sheet *sheet, size_t column)
{
    const char *text = sheet->has[column] && sheet->at[column] < sheet->record->n_field
                           ? sheet->record->field[sheet->at[column]].text : "";

    return *text == '\'' && wr_is_formula(text + strspn(text, "'")) ? text + 1 : text; /* a sign for spreadsheets */
}

const char *sheet_copy(const struct sheet *sheet, size_t column, struct wr_arena *text)
{
    const char *cell = sheet_text(sheet, column);

    return wr_arena_copy(text, cell, strlen(cell));
}

struct wr_csv_place sheet_place(const struct sheet *sheet, size_t column)
{
    return wr_csv_place_of_field(sheet->record, sheet->has[column] ? sheet->at[column] : 0);
}

static void report(struct sheet *sheet, struct wr_csv_place place, const char *code, const char *message)
{
    sheet->n_error++;
    wr_findings_add(sheet->findings, WR_ERROR, code, sheet->file, place.line, place.column, "%s", message);
    if (sheet->n_error > 1) return;
    wr_fail(sheet->err, WR_E_INPUT, "%s:%zu:%zu: %s", sheet->file, place.line, place.column, message);
}

void sheet_error_at(struct sheet *sheet, struct wr_csv_place place, const char *code, const char *fmt, ...)
{
    char message[1024];

    WR_FORMAT(message, fmt);
    report(sheet, place, code, message);
}

void sheet_error(struct sheet *sheet, size_t column, const char *code, const char *fmt, ...)
{
    char message[1024];

    WR_FORMAT(message, fmt);
    report(sheet, sheet_place(sheet, column), code, message);
}

void sheet_warn(struct sheet *sheet, size_t column, const char *code, const char *fmt, ...)
{
    struct wr_csv_place place = sheet_place(sheet, column);
    char message[1024];

    WR_FORMAT(message, fmt);
    wr_findings_add(sheet->findings, WR_WARNING, code, sheet->file, place.line, place.column, "%s", message);
}

void sheet_note(struct sheet *sheet, size_t column, enum wr_spelling spelling, const char *to)
{
    if (spelling == WR_PLAIN) return;
    struct wr_csv_place place = sheet_place(sheet, column);
    wr_read_as_note(&sheet->read_as, spelling, place.line, place.column, sheet_text(sheet, column), to);
}

static const char *read_number(const struct sheet *sheet, const char *text, enum sheet_number shape, double *value,
                               enum wr_spelling *spelling)
{
    switch (shape) {
    case SHEET_DECIMAL: return wr_written_number(text, &sheet->habits, value, spelling);
    case SHEET_SPAN: return wr_written_span(text, &sheet->habits, value, spelling);
    case SHEET_ELAPSED: break;
    }
    return wr_written_moment(text, &sheet->habits, value, spelling);
}

bool sheet_number(struct sheet *sheet, size_t column, enum sheet_number shape, double least, double most,
                  struct wr_maybe *value)
{
    const char *text = sheet_text(sheet, column), *name = sheet->column[column].name;
    enum wr_spelling spelling;
    char meant[40];
    double v;

    *value = WR_UNKNOWN;
    if (text[0] == '\0') return true;
    const char *trouble = read_number(sheet, text, shape, &v, &spelling);
    if (trouble) {
        sheet_error(sheet, column, "bad-number", "%s '%.60s' is %s", name, text, trouble);
        return false;
    }
    if (v < least || v > most) {
        if (v > most && most >= SHEET_MOST_MINUTES)
            sheet_error(sheet, column, "number-out-of-range",
                        "%s %.60s is too large to be meant: write minutes, or h:mm", name, text);
        else if (v < least && most >= SHEET_MOST_MINUTES)
            sheet_error(sheet, column, "number-out-of-range", "%s %.60s is too small: write a number of %g or more",
                        name, text, least);
        else
            sheet_error(sheet, column, "number-out-of-range", "%s %.60s is out of range: write a number from %g to %g",
                        name, text, least, most);
        return false;
    }
    snprintf(meant, sizeof meant, "%.6g%s", v, shape == SHEET_DECIMAL ? "" : " min");
    sheet_note(sheet, column, spelling, meant);
    *value = wr_known(v);
    return true;
}

/* By the name that such a column has elsewhere, where none has its own. */
static bool is_called_otherwise(const struct sheet *sheet, size_t c, const char *text)
{
    const struct wr_csv_record *header = sheet->record;
    enum column_match match;

    if (!sheet->column[c].also || column_match(text, sheet->column[c].also) == COLUMN_OTHER) return false;
    return column_find(header, sheet->column[c].name, &match) == header->n_field;
}

/* "set-up min", where such a column holds minutes: without the word. */
static enum column_match match_minutes(const char *text, const struct sheet_column *column)
{
    static const char *const timed[] = {"planned",    "duration", "low",  "likely", "high", "median", "drop_after",
                                        "not_before", "setup",    "stop", "hold",   "pool", "flight"};
    const char *last = text + strcspn(text, "_ -"), *next;
    WR_SCOPED_STR name = {0};
    bool is_timed = false;

    while (*last && *(next = last + 1 + strcspn(last + 1, "_ -"))) last = next;
    for (size_t i = 0; i < sizeof timed / sizeof *timed; i++) is_timed |= strcmp(column->name, timed[i]) == 0;
    if (!is_timed || !*last ||
        !(sheet_name_is(last + 1, "min") || sheet_name_is(last + 1, "mins") || sheet_name_is(last + 1, "minutes")))
        return COLUMN_OTHER;
    wr_str_add_bytes(&name, text, (size_t)(last - text));
    if (column_match(wr_str_text(&name), column->name) != COLUMN_OTHER) return COLUMN_LIKE;
    return column->also && column_match(wr_str_text(&name), column->also) != COLUMN_OTHER ? COLUMN_LIKE : COLUMN_OTHER;
}

/* Which column of the table a header cell is; n_column if none. */
static size_t column_of(const struct sheet *sheet, const char *text, enum column_match *match)
{
    size_t best = sheet->n_column;

    *match = COLUMN_OTHER;
    for (size_t c = 0; c < sheet->n_column; c++) {
        enum column_match m = column_match(text, sheet->column[c].name);
        if (m == COLUMN_OTHER && is_called_otherwise(sheet, c, text)) m = COLUMN_LIKE;
        if (m == COLUMN_OTHER) m = match_minutes(text, &sheet->column[c]);
        if (m <= *match) continue;
        *match = m;
        best = c;
    }
    return best;
}

static bool must_be_read(const struct sheet *sheet, const char *name)
{
    WR_SCOPED_STR folded = {0};

    wr_fold_name(&folded, name, strlen(name));
    return sheet->must_be_read && sheet->must_be_read(wr_str_text(&folded));
}

/* One that a slip may have made of it: of a long name, and not yet there. */
static const char *missed_column(const void *arg, size_t c)
{
    enum { SHORTEST = 6 };
    const struct sheet *sheet = arg;
    const char *name = sheet->column[c].name;

    return sheet->has[c] || strlen(name) < SHORTEST ? NULL : name;
}

/* What a column that is missing is often called elsewhere: asked about, never taken unasked. */
static bool is_often_called(const struct sheet *sheet, const char *folded)
{
    static const struct { const char *column, *name[6]; } often[] = {
        {"planned", {"minutes", "min", "allotted", "allocated", "budget", "estimate"}},
        {"low", {"optimistic", "best", "min", "minimum", "shortest"}},
        {"likely", {"mostlikely", "mode", "expected", "typical"}},
        {"high", {"pessimistic", "worst", "max", "maximum", "longest"}},
        {"drop_after", {"latest", "lateststart", "deadline", "cutoff", "startby", "beginby"}},
        {"not_before", {"earliest", "earlieststart", "notearlier", "releasetime"}},
    };

    for (size_t c = 0; c < sheet->n_column; c++)
        for (size_t i = 0; i < sizeof often / sizeof *often && !sheet->has[c]; i++) {
            if (strcmp(often[i].column, sheet->column[c].name) != 0) continue;
            for (size_t k = 0; k < 6 && often[i].name[k]; k++)
                if (strcmp(often[i].name[k], folded) == 0) return true;
        }
    return false;
}

static bool may_be_column(const struct sheet *sheet, const char *name)
{
    static const char *const word[] = {"drop", "after", "before"};
    const struct wr_name_list missed = {missed_column, sheet, sheet->n_column};
    WR_SCOPED_STR folded = {0}, other = {0};

    wr_fold_name(&folded, name, strlen(name));
    if (is_often_called(sheet, wr_str_text(&folded))) return true;
    for (size_t c = 0; c < sheet->n_column; c++)
        for (size_t w = 0; w < sizeof word / sizeof *word && !sheet->has[c]; w++)
            if (strstr(folded.text, word[w]) && strstr(sheet->column[c].name, word[w])) return true;
    size_t near = wr_find_near(&missed, name);
    if (near == SIZE_MAX) return false;
    const char *meant = sheet->column[near].name;
    wr_fold_name(&other, meant, strlen(meant));
    return folded.text[0] == other.text[0] && folded.len <= other.len + 1 && other.len <= folded.len + 1;
}

/* What may move the answer is told with it, in one finding; a column of remarks is not. */
static void say_unknown(struct sheet *sheet, const size_t *field, size_t n)
{
    struct wr_csv_place first = {0};
    WR_SCOPED_STR unread = {0};

    for (size_t i = 0; i < n; i++) {
        const char *name = sheet->record->field[field[i]].text;
        struct wr_csv_place place = wr_csv_place_of_field(sheet->record, field[i]);
        if (sheet->all_matter || may_be_column(sheet, name)) {
            if (!unread.len) first = place;
            wr_str_addf(&unread, "%s'%.60s'", unread.len ? ", " : "", name);
        } else {
            wr_findings_add(sheet->findings, WR_WARNING, "column-unknown", sheet->file, place.line, place.column,
                            "column '%.60s' is not known here and is passed over", name);
        }
    }
    if (!unread.len) return;
    wr_str_add(&unread, " (what is read:");
    for (size_t c = 0; c < sheet->n_column; c++) wr_str_addf(&unread, "%s %s", c ? "," : "", sheet->column[c].name);
    wr_findings_add(sheet->findings, WR_WARNING, "column-unread", sheet->file, first.line, first.column,
                    "not known in the header of %s, and passed over: %s)",
                    wr_without_folders(sheet->file), unread.text);
}

static void read_header(struct sheet *sheet)
{
    const struct wr_csv_record *header = sheet->record;

    size_t *unknown = WR_NEW_ARRAY(size_t, header->n_field), n_unknown = 0;

    sheet->n_field = header->n_field;
    for (size_t i = 0; i < header->n_field; i++) {
        const char *name = header->field[i].text;
        struct wr_csv_place place = wr_csv_place_of_field(header, i);
        enum column_match match;
        size_t c = column_of(sheet, name, &match);
        if (match == COLUMN_LIKE && !sheet->has[c])
            wr_read_as_note(&sheet->read_as, WR_SP_COLUMN, place.line, place.column, name, sheet->column[c].name);
        if (c < sheet->n_column && sheet->has[c]) {
            sheet_error_at(sheet, place, "column-twice", "there are two columns '%.60s': name one of them otherwise",
                           name);
        } else if (c < sheet->n_column) {
            sheet->has[c] = true;
            sheet->at[c] = i;
        } else if (must_be_read(sheet, name)) {
            sheet_error_at(sheet, place, "column-unread",
                           "column '%.60s' may be minutes of holds or of the work, or name a step or say what became "
                           "of it, and would be passed over: name it hold, minutes, step or outcome, or take it out",
                           name);
        } else if (name[0] != '\0') {
            unknown[n_unknown++] = i;
        } else {
            wr_findings_add(sheet->findings, WR_NOTE, "column-unnamed", sheet->file, place.line, place.column,
                            "column %zu has no name and is passed over", i + 1);
        }
    }
    say_unknown(sheet, unknown, n_unknown);
    wr_free(unknown);
    for (size_t c = 0; c < sheet->n_column; c++)
        if (sheet->column[c].needed && !sheet->has[c])
            sheet_error_at(sheet, (struct wr_csv_place){header->line, 1}, "column-missing",
                           "there is no column '%s': the header begins '%.*s'; name the one that is it so",
                           sheet->column[c].name, (int)(header->n_raw < 60 ? header->n_raw : 60), header->raw);
}

/* Empty fields more than the header has names for. */
static bool has_surplus(const struct sheet *sheet, const struct wr_csv_record *record)
{
    for (size_t i = sheet->n_field; i < record->n_field; i++)
        if (record->field[i].len) return true;
    return false;
}

static enum wr_csv_next take_record(void *arg, const struct wr_csv_record *record)
{
    struct sheet *sheet = arg;

    sheet->record = record;
    if (record->trouble) {
        sheet_error_at(sheet, wr_csv_place_of_trouble(record), "malformed", "%s", record->trouble);
        return sheet->has_header ? WR_CSV_GO_ON : WR_CSV_STOP;
    }
    if (!sheet->has_header) {
        sheet->has_header = true;
        read_header(sheet);
        return sheet->n_error ? WR_CSV_STOP : WR_CSV_GO_ON;
    }
    if (row_is_none(record)) {
        wr_read_as_note(&sheet->read_as, row_is_empty(record) ? WR_SP_EMPTY_ROW : WR_SP_COMMENT, record->line, 1,
                        record->field[0].text, NULL);
        return WR_CSV_GO_ON;
    }
    sheet->n_row++;
    if (row_may_be_struck(record)) {
        sheet_error_at(sheet, (struct wr_csv_place){record->line, 1}, "struck-out",
                       "the row begins with '%.60s': take it out if it does not count; if that is its name, write it "
                       "in quotes",
                       record->field[0].text);
        return WR_CSV_GO_ON;
    }
    if (has_surplus(sheet, record)) {
        sheet_error_at(sheet, wr_csv_place_of_field(record, sheet->n_field), "field-count",
                       "%zu fields where the header has %zu: %s", record->n_field, sheet->n_field,
                       record->delimiter == ',' ? "a comma within a field? put the field in quotes"
                                                : "take out what is too many");
        return WR_CSV_GO_ON;
    }
    if (record->n_field < sheet->n_field)
        wr_read_as_note(&sheet->read_as, WR_SP_MISSING_FIELDS, record->line, 1, NULL, NULL);
    sheet->row(sheet->arg, sheet);
    return WR_CSV_GO_ON;
}

enum wr_status sheet_read(struct sheet *sheet, const char *bytes, size_t n_bytes)
{
    const char *name[SHEET_MOST_COLUMNS];
    struct table_start start;

    WR_BUG_IF(sheet->n_column > SHEET_MOST_COLUMNS);
    for (size_t c = 0; c < sheet->n_column; c++) name[c] = sheet->column[c].name;
    table_start_find(&start, bytes, n_bytes, name, sheet->n_column);
    if (start.lines_above)
        wr_read_as_note(&sheet->read_as, WR_SP_ABOVE, start.first_above, 1, start.above, NULL);
    sheet->habits.decimal_comma = start.csv.delimiter != ',';
    wr_csv_read(bytes, n_bytes, &start.csv, take_record, sheet);
    if (!sheet->n_error) wr_read_as_report(&sheet->read_as, sheet->file, sheet->findings);
    sheet->record = NULL;
    if (!sheet->has_header && !sheet->n_error)
        return wr_fail(sheet->err, WR_E_INPUT, "%s: it is empty: write a header line, or leave the file out",
                       sheet->file);
    if (sheet->n_error) return WR_E_INPUT;
    if (sheet->n_row == 0 && sheet->no_row)
        return wr_fail(sheet->err, WR_E_INPUT, "%s: %s", sheet->file, sheet->no_row);
    return WR_OK;
}
