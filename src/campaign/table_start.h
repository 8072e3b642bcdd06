/* Where a table begins in a file that somebody saved: below a title, comments or a `sep=` line; and which of its
 * columns is which. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include "wetrun/campaign/written.h"
#include "wetrun/io/csv_reader.h"

/* How well the text of a header cell fits a column's name. Better matches are larger. */
enum column_match {
    COLUMN_OTHER,
    COLUMN_LIKE, /* "Holds (min)" for hold: without a unit of minutes in brackets, blanks, _, - and a plural s */
    COLUMN_SAME, /* but for case */
};
enum column_match column_match(const char *text, const char *name);
/* The field of the header that fits best, the first of equals; n_field if none does. *match says how. */
size_t column_find(const struct wr_csv_record *header, const char *name, enum column_match *match);

/* The first MOST_LINES_ABOVE lines are looked at; the one with the most cells that fit one of name[n] is the header,
 * with the delimiter that gives so many. If none has two, it is the first line that is no comment. */
enum { MOST_LINES_ABOVE = 60 };
struct table_start {
    struct wr_csv_start csv;
    size_t lines_above; /* that hold something: a title, comments, sep= */
    size_t first_above; /* line of the first of them */
    char above[64];     /* how it begins */
};
void table_start_find(struct table_start *start, const char *bytes, size_t n, const char *const *name, size_t n_name);

/* A row without anything in it, or whose only text begins with #: passed over. */
bool row_is_empty(const struct wr_csv_record *record);
bool row_is_comment(const struct wr_csv_record *record);
static inline bool row_is_none(const struct wr_csv_record *record)
{
    const char first = record->field[0].text[0];

    return (!first || first == '#') && (row_is_empty(record) || row_is_comment(record));
}
/* One with more than that: struck out, or a name such as #6? In quotes ("#6") it is a name. */
bool row_may_be_struck(const struct wr_csv_record *record);
