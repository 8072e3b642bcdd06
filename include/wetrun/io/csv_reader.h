/* Delimited text (RFC 4180) as a stream of records, parsed by libcsv, with line numbers, columns and the verbatim
 * bytes of every record. Comma, semicolon or tab, found from the header; CRLF or LF; a leading byte-order mark is
 * dropped. libcsv is fed line by line so that a stray or unclosed quote costs one record, not the rest of the file. */
#ifndef WETRUN_IO_CSV_READER_H
#define WETRUN_IO_CSV_READER_H

#include <stddef.h>
#include "wetrun/base/error.h"

struct wr_csv_field {
    const char *text;  /* NUL-terminated; borrowed until the callback returns */
    size_t len;        /* bytes; differs from strlen(text) if the field holds NUL bytes */
    size_t column;     /* byte column of its first character in the record, from 1 */
};

struct wr_csv_record {
    const struct wr_csv_field *field; size_t n_field;
    size_t line;               /* first physical line of the record, from 1 */
    const char *raw; size_t n_raw; /* verbatim, without the line end */
    const char *trouble;       /* NULL, or what is wrong with its quoting: the fields are then empty */
    size_t trouble_column;
};

enum wr_csv_next { WR_CSV_GO_ON, WR_CSV_STOP };
/* Called for each record, the header first. Blank lines are no records. */
typedef enum wr_csv_next wr_csv_record_fn(void *arg, const struct wr_csv_record *record);

/* WR_E_INPUT if the file cannot be opened or read. An empty file calls nothing and is WR_OK. */
WR_MUST_CHECK enum wr_status wr_csv_read_file(const char *path, wr_csv_record_fn *fn, void *arg, struct wr_error *err);
/* The same from memory, for tests and the fuzzer. */
WR_MUST_CHECK enum wr_status wr_csv_read_bytes(const char *bytes, size_t n, wr_csv_record_fn *fn, void *arg,
                                               struct wr_error *err);
#endif
