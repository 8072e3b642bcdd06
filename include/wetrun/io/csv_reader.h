/* Delimited text (RFC 4180) in memory as a sequence of records, with physical line numbers, columns and the verbatim
 * bytes of every record. Where a record ends is found here, so that one bad quote costs one record. LF or CRLF; a
 * carriage return elsewhere is a blank. Blanks around a field are dropped, inside its quotes as well. Blank lines are
 * no records.
 *
 * What libcsv would pass over in silence is found here first, and costs one record each: a quote inside a field that
 * does not begin with one, text after a closing quote, a NUL byte, a line that never ends. A quote that is not closed
 * within WR_CSV_MOST_LINES lines costs the line on which it was opened, and reading goes on with the line after it.
 * So does quoting that goes wrong on a later line of a record that began with a good one: it is far more often the
 * first line that lacks a quote than the later one that has one too many.
 *
 * libcsv takes apart what has doubled quotes, or line ends within quotes. Any other line is cut at its delimiters, in a
 * loop of a few lines that tests hold against libcsv: it halves the work of reading a long log. Most lines of a log
 * are short and without anything odd: those are cut as their end is looked for, sixteen bytes at a time. */
#pragma once

#include <stddef.h>

enum {
    WR_CSV_MOST_LINES = 64,              /* lines that one record may span */
    WR_CSV_MOST_BYTES = 16 * 1024 * 1024 /* length of a line; of a longer one the first so many bytes are kept */
};

struct wr_csv_field {
    const char *text; /* NUL-terminated, holds no other NUL; borrowed until the callback returns */
    size_t len;
};

struct wr_csv_record {
    const struct wr_csv_field *field; /* [n_field + 1], the last one empty: what a column that is missing holds */
    size_t n_field;
    size_t line;          /* first physical line of the record, from 1 */
    const char *raw;      /* verbatim, without the line end; not NUL-terminated */
    size_t n_raw;
    char delimiter;
    const char *trouble;  /* NULL, or what is wrong with it: there are no fields then */
    size_t trouble_at;    /* offset in raw */
};

enum wr_csv_next { WR_CSV_GO_ON, WR_CSV_STOP };
/* Called for each record, the header first. */
typedef enum wr_csv_next wr_csv_record_fn(void *arg, const struct wr_csv_record *record);


/* Where the table begins, if something else stands above it (campaign/table_start.h finds it). */
struct wr_csv_start {
    size_t at;   /* offset of its header */
    size_t line; /* of the header, from 1 */
    char delimiter;
};
/* start NULL: at the first line, behind a byte-order mark; the delimiter is then comma, semicolon, tab or bar,
 * whichever that line has most of. A callback that stops ends the reading. */
void wr_csv_read(const char *bytes, size_t n, const struct wr_csv_start *start, wr_csv_record_fn *fn, void *arg);

struct wr_csv_place {
    size_t line, column; /* physical line and byte column on it, both from 1 */
};
/* Where a field begins (its opening quote, if it has one). A field number past the last gives the end of the record.
 * Found by looking at the raw bytes again: meant for messages. */
struct wr_csv_place wr_csv_place_of_field(const struct wr_csv_record *record, size_t field);
struct wr_csv_place wr_csv_place_of_trouble(const struct wr_csv_record *record);
