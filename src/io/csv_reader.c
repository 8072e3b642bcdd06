#include "wetrun/io/csv_reader.h"

#include <csv.h>
#include <endian.h>
#include <errno.h>
#include <fcntl.h>
#include <stdbool.h>
#include <stdint.h>
#include <string.h>
#include <unistd.h>
#include "wetrun/base/memory.h"

enum {
    FIRST_ROOM = 256 * 1024, /* of the buffer; it grows only for a longer record */
    SHORT_FIELD = 16
};

/* The next place of one byte in the buffer: looked for once, not once per line. */
struct mark {
    const char *at;
};

struct reader {
    struct csv_parser libcsv;
    wr_csv_record_fn *fn;
    void *arg;

    int fd; /* -1: all there is lies between at and end */
    char *buffer;
    size_t room;
    const char *at, *end; /* bytes not yet taken */
    bool no_more;         /* nothing will come after end */
    int read_errno;
    struct mark quote, nul, cr;

    size_t line; /* of the byte at `at` */
    struct wr_csv_record record;
    struct wr_csv_field *field;
    size_t field_room;
    char *text; /* the fields of one record, one after the other */
    size_t text_used, text_room;
    char *blanked; /* a record with its carriage returns made blanks */
    size_t blanked_room;
    bool has_row;
};

/* ---- the buffer ---- */

/* Gets more bytes behind those from `at` on; false at the end of the file. Moves the buffer. */
static bool fill(struct reader *r)
{
    if (r->no_more) return false;
    size_t kept = (size_t)(r->end - r->at);

    if (r->room - kept < FIRST_ROOM / 2) {
        size_t room = r->room * 2;
        char *larger = wr_alloc(room, 1);
        memcpy(larger, r->at, kept);
        wr_free(r->buffer);
        r->buffer = larger;
        r->room = room;
    } else if (kept) {
        memmove(r->buffer, r->at, kept);
    }
    r->at = r->buffer;
    ssize_t got;
    do got = read(r->fd, r->buffer + kept, r->room - kept);
    while (got < 0 && errno == EINTR);
    if (got < 0) r->read_errno = errno;
    if (got <= 0) r->no_more = true;
    r->end = r->buffer + kept + (got > 0 ? (size_t)got : 0);
    r->quote.at = r->nul.at = r->cr.at = NULL;
    return got > 0;
}

static const char *next_of(struct reader *r, struct mark *m, char c, const char *from)
{
    if (!m->at || m->at < from) {
        m->at = memchr(from, c, (size_t)(r->end - from));
        if (!m->at) m->at = r->end;
    }
    return m->at;
}

/* The line that begins `skip` bytes after `at`, as offsets from `at` (filling moves the bytes, not the offsets). */
struct line {
    size_t begin, end; /* without its line end */
    size_t next;       /* where the following line begins */
};

/* false if there is none. A line that grows too long ends where it became too long, with *cut set. */
static bool find_line(struct reader *r, size_t skip, struct line *line, bool *cut)
{
    size_t looked = skip;

    *cut = false;
    for (;;) {
        size_t have = (size_t)(r->end - r->at);
        const char *newline = have > looked ? memchr(r->at + looked, '\n', have - looked) : NULL;
        size_t length = (newline ? (size_t)(newline - r->at) : have) - skip;
        if (length > WR_CSV_MOST_BYTES) {
            *cut = true;
            line->end = line->next = skip + WR_CSV_MOST_BYTES;
            break;
        }
        if (newline) {
            line->end = skip + length;
            line->next = line->end + 1;
            break;
        }
        looked = have;
        if (fill(r)) continue;
        if (have == skip) return false;
        line->end = line->next = have;
        break;
    }
    line->begin = skip;
    if (!*cut && line->end > skip && r->at[line->end - 1] == '\r') line->end--;
    return true;
}

/* Drops the rest of a line that is too long. */
static void skip_to_line_end(struct reader *r)
{
    for (;;) {
        const char *newline = memchr(r->at, '\n', (size_t)(r->end - r->at));
        if (newline) {
            r->at = newline + 1;
            return;
        }
        r->at = r->end;
        if (!fill(r)) return;
    }
}

/* ---- quoting ---- */

struct quoting {
    bool open; /* at the end of what was looked at */
    size_t opened_at, trouble_at;
    const char *trouble;
};

static bool is_blank(char c)
{
    return c == ' ' || c == '\t' || c == '\r';
}

/* Nothing but blanks stands between the offset and the delimiter, or the record's begin, before it. */
static bool begins_field(const char *record, size_t at, char delimiter)
{
    while (at > 0 && is_blank(record[at - 1]) && record[at - 1] != delimiter) at--;
    return at == 0 || record[at - 1] == delimiter;
}

static size_t skip_blanks(const char *record, size_t at, size_t end, char delimiter)
{
    while (at < end && is_blank(record[at]) && record[at] != delimiter) at++;
    return at;
}

static void set_trouble(struct quoting *q, const char *trouble, size_t at)
{
    q->trouble = trouble;
    q->trouble_at = at;
}

/* Follows the quotes of one line, offsets counted from the record's begin; stops at the first trouble. */
static void follow_quotes(struct quoting *q, const char *record, size_t begin, size_t end, char delimiter)
{
    const char *quote;

    for (size_t at = begin; at < end && (quote = memchr(record + at, '"', end - at));) {
        at = (size_t)(quote - record) + 1;
        if (!q->open) {
            if (!begins_field(record, at - 1, delimiter)) {
                set_trouble(q, "a quote inside a field that does not begin with one", at - 1);
                return;
            }
            q->open = true;
            q->opened_at = at - 1;
        } else if (at < end && record[at] == '"') {
            at++; /* doubled: stands for one */
        } else {
            q->open = false;
            at = skip_blanks(record, at, end, delimiter);
            if (at < end && record[at] != delimiter) {
                set_trouble(q, "text after a closing quote", at);
                return;
            }
        }
    }
}

/* ---- records ---- */

/* So that no field has to look whether there is room for it. */
static void reserve_fields(struct reader *r, const char *bytes, size_t n_raw)
{
    size_t most = n_raw + 2;

    if (most <= r->field_room) return;
    if (n_raw > FIRST_ROOM) { /* a monster: counted, so as not to take sixteen times its size for nothing */
        const char *end = bytes + n_raw;
        most = 2;
        for (const char *at = bytes; (at = memchr(at, r->record.delimiter, (size_t)(end - at))); at++) most++;
        if (most <= r->field_room) return;
    }
    r->field = wr_realloc(r->field, most, sizeof *r->field);
    r->field_room = most;
}

static inline void push_field(struct reader *r, const char *text, size_t n)
{
    struct wr_csv_field *f = &r->field[r->record.n_field++];

    f->text = text;
    f->len = n;
}

/* A field from begin to end, blanks around it dropped, ended in place. */
static inline void push_trimmed(struct reader *r, char *begin, char *end)
{
    while (begin < end && is_blank(*begin)) begin++;
    while (begin < end && is_blank(end[-1])) end--;
    *end = '\0';
    push_field(r, begin, (size_t)(end - begin));
}

/* Eight times the same byte, to look for it in eight at once. */
static inline uint64_t eight_of(char c)
{
    return UINT64_C(0x0101010101010101) * (unsigned char)c;
}

/* Of each byte that is like the pattern's the top bit is set (and of no other: the sum cannot carry from byte to byte). */
static inline uint64_t alike(uint64_t eight, uint64_t pattern)
{
    const uint64_t low_bits = UINT64_C(0x7f7f7f7f7f7f7f7f);

    eight ^= pattern;
    return ~(((eight & low_bits) + low_bits) | eight | low_bits);
}

static inline uint64_t eight_at(const char *text)
{
    uint64_t eight;

    memcpy(&eight, text, 8);
    return le64toh(eight);
}

/* Cuts n_raw bytes without quotes at the delimiters, in place. */
static void cut_fields(struct reader *r, char *text, size_t n_raw)
{
    const uint64_t delimiters = eight_of(r->record.delimiter);
    char *begin = text;

    text[n_raw] = r->record.delimiter; /* ends the last field */
    for (size_t base = 0; base <= n_raw; base += 8)
        for (uint64_t found = alike(eight_at(text + base), delimiters); found; found &= found - 1) {
            char *next = text + base + (unsigned)__builtin_ctzll(found) / 8;
            if (next > text + n_raw) return;
            push_trimmed(r, begin, next);
            begin = next + 1;
        }
}

/* The same where each field is free of quotes or stands, to the byte, between two that enclose no other. false, and the text
 * is spoilt, if there is anything else about a quote: libcsv's business. */
static bool cut_simply_quoted(struct reader *r, char *text, size_t n_raw)
{
    const uint64_t delimiters = eight_of(r->record.delimiter), quotes = eight_of('"');
    char *begin = text, *closed = NULL; /* the field's first byte; the quote that closed it, if it is a quoted one */
    bool open = false;

    text[n_raw] = r->record.delimiter;
    for (size_t base = 0; base <= n_raw; base += 8) {
        uint64_t eight = eight_at(text + base);
        for (uint64_t found = alike(eight, delimiters) | alike(eight, quotes); found; found &= found - 1) {
            char *at = text + base + (unsigned)__builtin_ctzll(found) / 8;
            if (at > text + n_raw) return true;
            if (*at == '"') {
                if (open ? at[1] != r->record.delimiter : at != begin) return false;
                if (open) closed = at;
                else begin = at + 1;
                open = !open;
            } else if (!open) {
                push_trimmed(r, begin, closed ? closed : at);
                begin = at + 1;
                closed = NULL;
            } else if (at == text + n_raw) {
                return false; /* it goes on in the next line, or is not closed */
            }
        }
    }
    return true;
}

/* A field as libcsv has unquoted it is copied behind the others, blanks within its quotes dropped. libcsv's buffer is
 * never smaller than 128 bytes and ours has as many to spare: a copy of fixed length needs no call and no loop. */
static void copy_field(void *bytes, size_t n, void *arg)
{
    struct reader *r = arg;
    char *begin = r->text + r->text_used, *end = begin + n;

    if (n <= SHORT_FIELD) memcpy(begin, bytes, SHORT_FIELD);
    else memcpy(begin, bytes, n);
    r->text_used += n + 1;
    while (begin < end && is_blank(end[-1])) end--;
    while (begin < end && is_blank(*begin)) begin++;
    *end = '\0';
    push_field(r, begin, (size_t)(end - begin));
}

static void take_row(int end_byte, void *arg)
{
    struct reader *r = arg;

    (void)end_byte;
    r->has_row = true;
}

/* A carriage return that ends no line is a blank, unless it is quoted: to libcsv it would end the row. */
static const char *blank_carriage_returns(struct reader *r, const char *raw, size_t n)
{
    bool quoted = false;

    if (r->blanked_room < n) {
        r->blanked = wr_realloc(r->blanked, n, 1);
        r->blanked_room = n;
    }
    for (size_t i = 0; i < n; i++) {
        if (raw[i] == '"') quoted = !quoted;
        r->blanked[i] = raw[i] == '\r' && !quoted ? ' ' : raw[i];
    }
    return r->blanked;
}

static void reserve_text(struct reader *r, size_t need)
{
    if (need <= r->text_room) return;
    wr_free(r->text);
    r->text_room = 2 * need;
    r->text = wr_alloc(r->text_room, 1);
}

static enum wr_csv_next pass_on(struct reader *r, const char *raw, size_t n_raw)
{
    r->field[r->record.n_field] = (struct wr_csv_field){"", 0};
    r->record.field = r->field;
    r->record.line = r->line;
    r->record.raw = raw;
    r->record.n_raw = n_raw;
    return r->fn(r->arg, &r->record);
}

static enum wr_csv_next pass_on_trouble(struct reader *r, size_t n_raw, const char *trouble, size_t trouble_at)
{
    reserve_fields(r, "", 0);
    r->record.n_field = 0;
    r->record.trouble = trouble;
    r->record.trouble_at = trouble_at;
    return pass_on(r, r->at, n_raw);
}

static void begin_libcsv(struct reader *r)
{
    WR_BUG_IF(csv_init(&r->libcsv, CSV_STRICT | CSV_APPEND_NULL) != 0);
    csv_set_delim(&r->libcsv, (unsigned char)r->record.delimiter);
}

/* Room for the fields of the n_raw bytes from `at`. Returns those bytes, carriage returns made blanks. */
static const char *prepare_fields(struct reader *r, size_t n_raw)
{
    const char *bytes = r->at;

    if (next_of(r, &r->cr, '\r', bytes) < bytes + n_raw) bytes = blank_carriage_returns(r, bytes, n_raw);
    reserve_text(r, 2 * n_raw + 2 + SHORT_FIELD);
    reserve_fields(r, bytes, n_raw);
    r->record.n_field = 0;
    r->record.trouble = NULL;
    return bytes;
}

/* libcsv takes the record apart: n_raw bytes from `at`, n_all with its line end. false, and nothing is left of the
 * attempt, if its quotes are not in order or it does not end there. */
static bool parse_fields(struct reader *r, size_t n_raw, size_t n_all)
{
    const char *bytes = prepare_fields(r, n_raw);
    size_t n = bytes == r->at && n_all > n_raw ? n_raw + 1 : n_raw; /* either byte of a line end ends the row */

    r->text_used = 0;
    r->has_row = false;
    bool fine = csv_parse(&r->libcsv, bytes, n, copy_field, take_row, r) == n;
    if (fine && !r->has_row) fine = csv_parse(&r->libcsv, "\n", 1, copy_field, take_row, r) == 1;
    if (fine && r->has_row) return true;
    csv_free(&r->libcsv); /* after an error or inside a quote it is of no more use */
    begin_libcsv(r);
    return false;
}

/* A copy to be cut, in r->text. */
static char *copy_record(struct reader *r, size_t n_raw)
{
    const char *bytes = prepare_fields(r, n_raw); /* may move r->text */

    return memcpy(r->text, bytes, n_raw);
}

static size_t count_lines(const char *bytes, size_t n)
{
    size_t lines = 0;

    for (const char *end = bytes + n; (bytes = memchr(bytes, '\n', (size_t)(end - bytes))); bytes++) lines++;
    return lines;
}

/* The lines that a record spans whose first line is not in order by itself. On trouble it ends with its first line. */
static void find_record_end(struct reader *r, const struct line *first, struct line *last, struct quoting *q)
{
    bool cut;
    struct line line = *first;
    size_t left_open_at = 0; /* the quote that carried the record beyond its first line */

    *q = (struct quoting){.open = false};
    for (unsigned lines = 1;; lines++) {
        follow_quotes(q, r->at, line.begin, line.end, r->record.delimiter);
        *last = line;
        if (!q->trouble && !q->open) return;
        if (lines == 1) left_open_at = q->opened_at;
        if (q->trouble || lines == WR_CSV_MOST_LINES || line.end > WR_CSV_MOST_BYTES) break;
        if (!find_line(r, line.next, &line, &cut) || cut) break;
    }
    if (!q->trouble || last->begin != first->begin) {
        q->trouble = "a quote that is not closed";
        q->trouble_at = left_open_at;
    }
    *last = *first;
}

static enum wr_csv_next next_record(struct reader *r)
{
    struct line first, last;
    bool cut;
    enum wr_csv_next next;

    if (!find_line(r, 0, &first, &cut)) return WR_CSV_STOP;
    if (cut) {
        next = pass_on_trouble(r, first.end, "a line without an end", first.end);
        r->at += first.next;
        skip_to_line_end(r);
        r->line++;
        return next;
    }
    struct quoting q = {.trouble = NULL};
    last = first;
    bool has_quotes = next_of(r, &r->quote, '"', r->at) < r->at + first.end;
    if (!has_quotes) {
        cut_fields(r, copy_record(r, first.end), first.end);
    } else if (!cut_simply_quoted(r, copy_record(r, first.end), first.end) && !parse_fields(r, first.end, first.next)) {
        find_record_end(r, &first, &last, &q);
        if (!q.trouble && !parse_fields(r, last.end, last.next)) set_trouble(&q, "quotes out of order", 0);
    }
    const char *nul = next_of(r, &r->nul, '\0', r->at);
    if (!q.trouble && nul < r->at + last.end) set_trouble(&q, "a NUL byte", (size_t)(nul - r->at));
    bool is_blank_line = !has_quotes && r->record.n_field == 1 && r->field[0].len == 0;
    if (q.trouble) next = pass_on_trouble(r, last.end, q.trouble, q.trouble_at);
    else next = is_blank_line ? WR_CSV_GO_ON : pass_on(r, r->at, last.end);
    r->line += last.begin == 0 ? 1 : count_lines(r->at, last.next);
    r->at += last.next;
    return next;
}

/* ---- the beginning of the file ---- */

/* The header's commonest delimiter outside quotes; a comma where there is none. */
static char find_delimiter(const char *bytes, size_t n)
{
    static const char candidate[] = {',', ';', '\t'};
    size_t count[sizeof candidate] = {0}, best = 0;
    bool quoted = false, begun = false;

    for (size_t i = 0; i < n; i++) {
        if (bytes[i] == '"') quoted = !quoted;
        if (bytes[i] == '\n' && !quoted && begun) break;
        if (!is_blank(bytes[i]) && bytes[i] != '\n') begun = true;
        if (quoted) continue;
        for (size_t k = 0; k < sizeof candidate; k++) count[k] += bytes[i] == candidate[k];
    }
    for (size_t k = 1; k < sizeof candidate; k++)
        if (count[k] > count[best]) best = k;
    return candidate[best];
}

static bool begins_with(const struct reader *r, const char *bytes, size_t n)
{
    return (size_t)(r->end - r->at) >= n && memcmp(r->at, bytes, n) == 0;
}

static enum wr_status read_all(struct reader *r, struct wr_error *err)
{
    while (r->end - r->at < FIRST_ROOM / 4 && fill(r)) continue;
    if (begins_with(r, "\xff\xfe", 2) || begins_with(r, "\xfe\xff", 2))
        return wr_fail(err, WR_E_INPUT, "this is UTF-16 text; save it as UTF-8");
    if (begins_with(r, "\xef\xbb\xbf", 3)) r->at += 3;
    r->line = 1;
    r->record.delimiter = find_delimiter(r->at, (size_t)(r->end - r->at));
    begin_libcsv(r);
    while (next_record(r) == WR_CSV_GO_ON) continue;
    csv_free(&r->libcsv);
    if (r->read_errno) return wr_fail(err, WR_E_INPUT, "cannot be read: %s", strerror(r->read_errno));
    return WR_OK;
}

static void release(struct reader *r)
{
    wr_free(r->buffer);
    wr_free(r->field);
    wr_free(r->text);
    wr_free(r->blanked);
}

enum wr_status wr_csv_read_file(const char *path, wr_csv_record_fn *fn, void *arg, struct wr_error *err)
{
    struct reader r = {.fn = fn, .arg = arg};

    r.fd = open(path, O_RDONLY | O_CLOEXEC);
    if (r.fd < 0) return wr_fail(err, WR_E_INPUT, "%s: cannot be opened: %s", path, strerror(errno));
    r.room = FIRST_ROOM;
    r.buffer = wr_alloc(r.room, 1);
    r.at = r.end = r.buffer;
    enum wr_status status = read_all(&r, err);
    if (status != WR_OK) wr_error_prefix(err, "%s", path);
    close(r.fd);
    release(&r);
    return status;
}

enum wr_status wr_csv_read_bytes(const char *bytes, size_t n, wr_csv_record_fn *fn, void *arg, struct wr_error *err)
{
    struct reader r = {.fn = fn, .arg = arg, .fd = -1, .at = bytes, .end = bytes + n, .no_more = true};

    if (n == 0) return WR_OK;
    enum wr_status status = read_all(&r, err);
    release(&r);
    return status;
}

/* ---- places ---- */

static struct wr_csv_place place_of(const struct wr_csv_record *record, size_t offset)
{
    struct wr_csv_place place = {record->line, 1};

    for (size_t i = 0; i < offset; i++) {
        place.column++;
        if (record->raw[i] == '\n') {
            place.line++;
            place.column = 1;
        }
    }
    return place;
}

struct wr_csv_place wr_csv_place_of_trouble(const struct wr_csv_record *record)
{
    return place_of(record, record->trouble_at);
}

struct wr_csv_place wr_csv_place_of_field(const struct wr_csv_record *record, size_t field)
{
    bool quoted = false;
    size_t i = 0;

    for (; field > 0 && i < record->n_raw; i++) {
        if (record->raw[i] == '"') quoted = !quoted;
        if (record->raw[i] == record->delimiter && !quoted) field--;
    }
    if (field == 0)
        while (i < record->n_raw && is_blank(record->raw[i]) && record->raw[i] != record->delimiter) i++;
    return place_of(record, i);
}
