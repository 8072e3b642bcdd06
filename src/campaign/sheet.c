#include "sheet.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>
#include <strings.h>

bool sheet_name_is(const char *name, const char *wanted)
{
    return strcasecmp(name, wanted) == 0; /* the locale is never set: ASCII */
}

const char *sheet_text(const struct sheet *sheet, size_t column)
{
    return sheet->has[column] ? sheet->record->field[sheet->at[column]].text : "";
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
    va_list ap;

    va_start(ap, fmt);
    vsnprintf(message, sizeof message, fmt, ap);
    va_end(ap);
    report(sheet, place, code, message);
}

void sheet_error(struct sheet *sheet, size_t column, const char *code, const char *fmt, ...)
{
    char message[1024];
    va_list ap;

    va_start(ap, fmt);
    vsnprintf(message, sizeof message, fmt, ap);
    va_end(ap);
    report(sheet, sheet_place(sheet, column), code, message);
}

void sheet_warn(struct sheet *sheet, size_t column, const char *code, const char *fmt, ...)
{
    struct wr_csv_place place = sheet_place(sheet, column);
    char message[1024];
    va_list ap;

    va_start(ap, fmt);
    vsnprintf(message, sizeof message, fmt, ap);
    va_end(ap);
    wr_findings_add(sheet->findings, WR_WARNING, code, sheet->file, place.line, place.column, "%s", message);
}

bool sheet_number(struct sheet *sheet, size_t column, enum sheet_number shape, double least, double most,
                  struct wr_maybe *value)
{
    const char *text = sheet_text(sheet, column), *name = sheet->column[column].name;
    double v;

    *value = WR_UNKNOWN;
    if (text[0] == '\0') return true;
    if (!(shape == SHEET_ELAPSED && strchr(text, ':') ? wr_parse_elapsed(text, &v) : wr_parse_double(text, &v))) {
        sheet_error(sheet, column, "bad-number", "%s '%.60s' is not a number%s", name, text,
                    shape == SHEET_ELAPSED ? " of minutes or h:mm" : "");
        return false;
    }
    if (v < least || v > most) {
        sheet_error(sheet, column, "number-out-of-range", "%s %.60s is outside %g to %g", name, text, least, most);
        return false;
    }
    *value = wr_known(v);
    return true;
}

static void read_header(struct sheet *sheet)
{
    const struct wr_csv_record *header = sheet->record;

    sheet->n_field = header->n_field;
    for (size_t i = 0; i < header->n_field; i++) {
        const char *name = header->field[i].text;
        struct wr_csv_place place = wr_csv_place_of_field(header, i);
        size_t c = 0;
        while (c < sheet->n_column && !sheet_name_is(name, sheet->column[c].name)) c++;
        if (c < sheet->n_column && sheet->has[c]) {
            sheet_error_at(sheet, place, "column-twice", "there are two columns '%.60s'", name);
        } else if (c < sheet->n_column) {
            sheet->has[c] = true;
            sheet->at[c] = i;
        } else if (name[0] != '\0') {
            wr_findings_add(sheet->findings, WR_WARNING, "column-unknown", sheet->file, place.line, place.column,
                            "column '%.60s' is not known here and is passed over", name);
        }
    }
    for (size_t c = 0; c < sheet->n_column; c++)
        if (sheet->column[c].needed && !sheet->has[c])
            sheet_error_at(sheet, (struct wr_csv_place){header->line, 1}, "column-missing", "there is no column '%s'",
                           sheet->column[c].name);
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
    sheet->n_row++;
    if (record->n_field != sheet->n_field) {
        sheet_error_at(sheet, wr_csv_place_of_field(record, sheet->n_field), "field-count",
                       "%zu fields where the header has %zu", record->n_field, sheet->n_field);
        return WR_CSV_GO_ON;
    }
    sheet->row(sheet->arg, sheet);
    return WR_CSV_GO_ON;
}

enum wr_status sheet_read(struct sheet *sheet, const char *bytes, size_t n_bytes)
{
    enum wr_status status;

    WR_BUG_IF(sheet->n_column > SHEET_MOST_COLUMNS);
    if (bytes) {
        status = wr_csv_read_bytes(bytes, n_bytes, take_record, sheet, sheet->err);
        if (status != WR_OK) wr_error_prefix(sheet->err, "%s", sheet->file);
    } else {
        status = wr_csv_read_file(sheet->file, take_record, sheet, sheet->err);
    }
    sheet->record = NULL;
    if (status != WR_OK) return status;
    if (!sheet->has_header && !sheet->n_error)
        return wr_fail(sheet->err, WR_E_INPUT, "%s: it is empty; a header line is needed", sheet->file);
    return sheet->n_error ? WR_E_INPUT : WR_OK;
}
