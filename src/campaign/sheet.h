/* A small table with named columns (plan, limits, history, names): the header is found and matched, then each row is
 * handed on. What was read as something else than it says is tallied, and reported at the end as notes "read-as". */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include "wetrun/base/error.h"
#include "wetrun/base/number.h"
#include "wetrun/campaign/findings.h"
#include "wetrun/campaign/written.h"
#include "wetrun/io/csv_reader.h"

enum {
    SHEET_MOST_COLUMNS = 16,
    SHEET_MOST_MINUTES = 10000000 /* 19 years: more was not meant */
};

struct sheet_column {
    const char *name;
    bool needed;
    const char *also; /* what such columns are called elsewhere, or NULL */
};

struct sheet {
    const char *file;
    const struct sheet_column *column;
    size_t n_column;
    void (*row)(void *arg, struct sheet *sheet);
    void *arg;
    bool (*must_be_read)(const char *folded); /* a further column of that name is an error; NULL: none is */
    bool all_matter; /* a further column cannot be but one that was meant to count */
    const char *no_row; /* what is wrong if there is none, and what to do; NULL: nothing is */
    struct wr_findings *findings;
    struct wr_error *err; /* gets the first error */

    /* filled while reading */
    const struct wr_csv_record *record; /* of the current row */
    bool has_header;
    bool has[SHEET_MOST_COLUMNS];
    size_t at[SHEET_MOST_COLUMNS];
    size_t n_field, n_row, n_error;
    struct wr_habits habits;
    struct wr_read_as read_as;
};

/* Calls row for every well-formed row. Errors become findings, also those that row reports by sheet_error.
 * WR_E_INPUT if there was any, or if there is no header, or no row where no_row says that it matters. */
WR_MUST_CHECK enum wr_status sheet_read(struct sheet *sheet, const char *bytes, size_t n_bytes);

const char *sheet_text(const struct sheet *sheet, size_t column); /* "" if absent */
const char *sheet_copy(const struct sheet *sheet, size_t column, struct wr_arena *text); /* the same, to be kept */
/* An error at a column of the current row. */
void sheet_error(struct sheet *sheet, size_t column, const char *code, const char *fmt, ...) WR_PRINTF(4, 5);
/* The same anywhere in the file, after reading as well. */
void sheet_error_at(struct sheet *sheet, struct wr_csv_place place, const char *code, const char *fmt, ...)
    WR_PRINTF(4, 5);
void sheet_warn(struct sheet *sheet, size_t column, const char *code, const char *fmt, ...) WR_PRINTF(4, 5);
struct wr_csv_place sheet_place(const struct sheet *sheet, size_t column);

enum sheet_number {
    SHEET_DECIMAL,
    SHEET_SPAN,    /* minutes that something takes: h:mm, 3 min */
    SHEET_ELAPSED, /* a moment or a limit: 2.30 may be either and is refused */
};
/* The number in a column of the current row; unknown where the field is empty; false, with an error reported, if it
 * is no number or lies outside least … most (both allowed). */
bool sheet_number(struct sheet *sheet, size_t column, enum sheet_number shape, double least, double most,
                  struct wr_maybe *value);

/* What a column of the current row was read as. */
void sheet_note(struct sheet *sheet, size_t column, enum wr_spelling spelling, const char *to);

/* Names of columns are compared without regard to case (ASCII). */
bool sheet_name_is(const char *name, const char *wanted);
