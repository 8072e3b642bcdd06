#include "wetrun/io/csv_reader.h"

#include <csv.h>
#include <stdbool.h>
#include <string.h>
#include "wetrun/base/error.h"
#include "wetrun/base/memory.h"
#include "wetrun/base/str.h"

enum { SHORT_LINE = 512 };

struct reader {
    struct csv_parser libcsv;
    wr_csv_record_fn *fn;
    void *arg;
    const char *at, *end; /* bytes not yet taken */
    size_t line;          /* of the byte at `at` */
    struct wr_csv_record record;
    struct wr_csv_field *field;
    size_t field_room;
    char *text; /* the fields of one record, one after the other */
    size_t text_used, text_room;
    char *blanked; /* a record with its carriage returns made blanks */
    size_t blanked_room;
    bool has_row;
};

/* The line that begins `skip` bytes after `at`, as offsets from `at`. */
struct line {
    size_t begin, end; /* without its line end */
    size_t next;       /* where the following line begins */
};

/* false if there is none. */
static bool find_line(const struct reader *r, size_t skip, struct line *line)
{
    size_t left = (size_t)(r->end - r->at) - skip;

    if (left == 0) return false;
    const char *begin = r->at + skip, *newline = memchr(begin, '\n', left);
    line->begin = skip;
    line->end = skip + (newline ? (size_t)(newline - begin) : left);
    line->next = newline ? line->end + 1 : line->end;
    if (line->end > skip && r->at[line->end - 1] == '\r') line->end--;
    return true;
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
                set_trouble(q,
                            "a quote inside a field that does not begin with one: put the field in quotes, and "
                            "write its own quotes twice",
                            at - 1);
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
                set_trouble(q, "text after a closing quote: write quotes that belong to a field twice", at);
                return;
            }
        }
    }
}

/* ---- records ---- */

static void grow_fields(struct reader *r)
{
    r->field_room *= 2;
    r->field = wr_realloc(r->field, r->field_room, sizeof *r->field);
}

static void push_field(struct reader *r, struct wr_csv_field field)
{
    if (r->record.n_field == r->field_room) grow_fields(r);
    r->field[r->record.n_field++] = field;
}

/* Neither a blank nor a part of one, as most ends of fields. */
static bool is_ink(char c)
{
    return c > ' ' && c <= '~';
}

/* Apart, for it is seldom needed, and takes addresses of what is then kept in no register. */
__attribute__((noinline)) static struct wr_csv_field trimmed_field(char *begin, char *end)
{
    const char *from = begin, *to = end;

    wr_trim(&from, &to);
    begin[to - begin] = '\0';
    return (struct wr_csv_field){from, (size_t)(to - from)};
}

/* Blanks at its ends are dropped; *end takes its NUL. */
static inline struct wr_csv_field field_of(char *begin, char *end)
{
    if (begin < end && (!is_ink(*begin) || !is_ink(end[-1]))) return trimmed_field(begin, end);
    *end = '\0';
    return (struct wr_csv_field){begin, (size_t)(end - begin)};
}

/* A carriage return that ends no line is a blank, unless it is quoted: to libcsv it would end the row. */
static const char *blank_carriage_returns(struct reader *r, const char *raw, size_t n)
{
    bool quoted = false;

    if (!memchr(raw, '\r', n)) return raw;
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

/* Cuts one line at its delimiters, if each of its quotes stands beside one. False: libcsv is to take it apart. */
static bool cut_plain(struct reader *r, size_t n, bool has_quotes)
{
    const char delimiter = r->record.delimiter;
    char *at = r->text, *const stop = at + n;
    size_t n_field = 0; /* here, where no byte that is written can change it */

    memcpy(at, blank_carriage_returns(r, r->at, n), n);
    stop[0] = delimiter;
    stop[1] = '"'; /* ends the search for one that is missing */
    while (at <= stop) {
        char *begin = at, *end = at;
        if (*at == '"') {
            begin++;
            do end++;
            while (*end != '"');
            if (end > stop || end[1] != delimiter) return false; /* open, doubled, or something follows */
            at = end + 2;
        } else {
            while (*end != delimiter) end++;
            if (has_quotes && memchr(begin, '"', (size_t)(end - begin))) return false;
            at = end + 1;
        }
        if (n_field == r->field_room) grow_fields(r);
        r->field[n_field++] = field_of(begin, end);
    }
    r->record.n_field = n_field;
    return true;
}

/* ---- the lines that nearly all of a log consists of ---- */

enum { STRIDE = 16 };

typedef unsigned char stride __attribute__((vector_size(STRIDE)));
typedef signed char matches __attribute__((vector_size(STRIDE)));
#ifdef __SSE2__
typedef char sse_bytes __attribute__((vector_size(STRIDE)));
#endif

/* Bit i: byte i of a comparison holds. */
static inline unsigned bits_of(matches holds)
{
#ifdef __SSE2__
    return (unsigned)__builtin_ia32_pmovmskb128((sse_bytes)holds);
#else
    unsigned bits = 0;
    for (unsigned i = 0; i < STRIDE; i++) bits |= (unsigned)(holds[i] & 1) << i;
    return bits;
#endif
}

struct cutting {
    const char *at;
    char *text; /* a copy of it, in which the fields are ended */
    struct wr_csv_field *field;
    size_t n_field;
    size_t begin; /* of the field at hand, behind its quote */
    size_t next;  /* what stands before it is settled */
    enum { UNQUOTED, OPEN, CLOSED } quote;
    char delimiter;
};

static inline void end_field(struct cutting *c, size_t end)
{
    c->field[c->n_field++] = field_of(c->text + c->begin, c->text + end - (c->quote == CLOSED));
    c->begin = end + 1;
    c->quote = UNQUOTED;
}

enum cut { CUT_GOES_ON, CUT_ENDS, CUT_NOT_SETTLED };

/* A quote that ends its field takes the delimiter behind it along, and the quote that opens the next one: where all
 * fields are quoted so each is one step. */
static inline enum cut take_quote(struct cutting *c, size_t at)
{
    const char *behind = c->at + at + 1;

    if (c->quote == UNQUOTED && at == c->begin) {
        c->begin++, c->quote = OPEN;
        return CUT_GOES_ON;
    }
    if (c->quote != OPEN) return CUT_NOT_SETTLED;
    c->quote = CLOSED;
    if (*behind == '\n' || *behind == '\r') return CUT_GOES_ON;
    if (*behind != c->delimiter) return CUT_NOT_SETTLED; /* doubled, or within a field */
    end_field(c, at + 1);
    if (behind[1] == '"') c->begin++, c->quote = OPEN;
    c->next = c->begin;
    return CUT_GOES_ON;
}

/* The byte there is no plain one. */
static inline enum cut take_mark(struct cutting *c, size_t at)
{
    const char mark = c->at[at];

    c->next = at + 1;
    if (mark == '"') return take_quote(c, at);
    if (mark == c->delimiter) {
        if (c->quote != OPEN) end_field(c, at);
        return CUT_GOES_ON;
    }
    if (mark != '\n' && (mark != '\r' || c->at[at + 1] != '\n')) return CUT_NOT_SETTLED;
    if (c->quote == OPEN || c->n_field == 0) return CUT_NOT_SETTLED; /* what is one field may be blank */
    end_field(c, at);
    return CUT_ENDS;
}

/* Goes through a line once, a stride at a time, and cuts it as cut_plain does. False, and nothing is settled: something
 * in it is to be looked at closely, or it is one field, or long, or ends too near the end of the text. */
static bool cut_short(struct reader *r, struct line *line)
{
    struct cutting c = {.at = r->at, .text = r->text, .field = r->field, .delimiter = r->record.delimiter};
    const size_t left = (size_t)(r->end - c.at), most = left < SHORT_LINE ? left : SHORT_LINE;

    for (size_t from = 0; from + STRIDE + 1 < most; from += STRIDE) { /* a mark may have two bytes behind it */
        const unsigned unsettled = c.next > from ? ~0u << (c.next - from) : ~0u;
        stride piece;
        memcpy(&piece, c.at + from, STRIDE);
        memcpy(c.text + from, &piece, STRIDE);
        unsigned cuts = bits_of(piece == (unsigned char)c.delimiter) & unsettled,
                 marks = (bits_of((piece == '"') | (piece < ' ')) & unsettled) | cuts;
        if (c.quote == UNQUOTED && marks == cuts) {
            for (; cuts; cuts &= cuts - 1) end_field(&c, from + (size_t)__builtin_ctz(cuts));
            continue;
        }
        for (; marks; marks &= ~0u << (c.next - from)) {
            const size_t end = from + (size_t)__builtin_ctz(marks);
            const enum cut cut = take_mark(&c, end);
            if (cut == CUT_GOES_ON) continue;
            if (cut == CUT_NOT_SETTLED) return false;
            r->record.n_field = c.n_field;
            *line = (struct line){.end = end, .next = end + 1 + (c.at[end] == '\r')};
            return true;
        }
    }
    return false;
}

/* ="09:12" is how a spreadsheet is made to leave a text alone: the text is meant. */
static bool is_formula_of_text(const struct wr_csv_field *f)
{
    return f->len >= 3 && f->text[0] == '=' && f->text[1] == '"' && f->text[f->len - 1] == '"' &&
           !memchr(f->text + 2, '"', f->len - 3);
}

/* A field as libcsv has unquoted it is copied behind the others. */
static void copy_field(void *bytes, size_t n, void *arg)
{
    struct reader *r = arg;
    char *begin = r->text + r->text_used;

    memcpy(begin, bytes, n);
    r->text_used += n + 1;
    struct wr_csv_field f = field_of(begin, begin + n);
    if (is_formula_of_text(&f)) {
        f = (struct wr_csv_field){f.text + 2, f.len - 3};
        begin[f.text + f.len - begin] = '\0';
    }
    push_field(r, f);
}

static void take_row(int end_byte, void *arg)
{
    struct reader *r = arg;

    (void)end_byte;
    r->has_row = true;
}

static void *grow_for_libcsv(void *old, size_t n)
{
    return wr_realloc(old, n, 1);
}

static void begin_libcsv(struct reader *r)
{
    WR_BUG_IF(csv_init(&r->libcsv, CSV_STRICT | CSV_APPEND_NULL) != 0);
    csv_set_realloc_func(&r->libcsv, grow_for_libcsv);
    csv_set_free_func(&r->libcsv, wr_free);
    csv_set_delim(&r->libcsv, (unsigned char)r->record.delimiter);
}

static void begin_fields(struct reader *r, size_t n)
{
    if (r->text_room < 2 * n + 2) { /* every field ends with a NUL of its own */
        wr_free(r->text);
        r->text_room = 4 * n + 2;
        r->text = wr_alloc(r->text_room, 1);
    }
    r->record.n_field = 0;
    r->text_used = 0;
}

/* libcsv takes the n bytes from `at` apart. false if they are not one row by themselves. */
static bool parse_quoted(struct reader *r, size_t n)
{
    const char *bytes = blank_carriage_returns(r, r->at, n);

    r->has_row = false;
    if (csv_parse(&r->libcsv, bytes, n, copy_field, take_row, r) == n && !r->has_row &&
        csv_parse(&r->libcsv, "\n", 1, copy_field, take_row, r) == 1 && r->has_row)
        return true;
    csv_free(&r->libcsv); /* after an error or inside a quote it is of no more use */
    begin_libcsv(r);
    return false;
}

static enum wr_csv_next pass_on(struct reader *r, size_t n_raw)
{
    push_field(r, (struct wr_csv_field){"", 0}); /* what a column that is missing holds */
    r->record.n_field--;
    r->record.field = r->field;
    r->record.line = r->line;
    r->record.raw = r->at;
    r->record.n_raw = n_raw;
    return r->fn(r->arg, &r->record);
}

static enum wr_csv_next pass_on_trouble(struct reader *r, size_t n_raw, const char *trouble, size_t trouble_at)
{
    r->record.n_field = 0;
    r->record.trouble = trouble;
    r->record.trouble_at = trouble_at;
    enum wr_csv_next next = pass_on(r, n_raw);
    r->record.trouble = NULL;
    return next;
}

static size_t count_lines(const char *bytes, size_t n)
{
    size_t lines = 0;

    for (const char *end = bytes + n; (bytes = memchr(bytes, '\n', (size_t)(end - bytes))); bytes++) lines++;
    return lines;
}

/* The lines that a record with quotes spans. On trouble it ends with its first line. */
static void find_record_end(struct reader *r, const struct line *first, struct line *last, struct quoting *q)
{
    struct line line = *first;
    size_t left_open_at = 0; /* the quote that carried the record beyond its first line */

    for (unsigned lines = 1;; lines++) {
        follow_quotes(q, r->at, line.begin, line.end, r->record.delimiter);
        *last = line;
        if (!q->trouble && !q->open) return;
        if (lines == 1) left_open_at = q->opened_at;
        if (q->trouble || lines == WR_CSV_MOST_LINES || line.end > WR_CSV_MOST_BYTES) break;
        if (!find_line(r, line.next, &line) || line.end - line.begin > WR_CSV_MOST_BYTES) break;
    }
    if (!q->trouble || last->begin != first->begin) {
        q->trouble = "a quote that is not closed: add the closing one";
        q->trouble_at = left_open_at;
    }
    *last = *first;
}

static enum wr_csv_next take_lines(struct reader *r, const struct line *first, struct line *last)
{
    struct quoting q = {.trouble = NULL};
    bool has_quotes = memchr(r->at, '"', first->end);

    if (first->end > WR_CSV_MOST_BYTES)
        return pass_on_trouble(r, WR_CSV_MOST_BYTES,
                               "a line without an end: is it a table at all? write one row a line", WR_CSV_MOST_BYTES);
    if (!has_quotes && skip_blanks(r->at, 0, first->end, r->record.delimiter) == first->end) return WR_CSV_GO_ON;
    const char *nul = memchr(r->at, '\0', first->end);
    begin_fields(r, first->end);
    if (!nul && cut_plain(r, first->end, has_quotes)) return pass_on(r, first->end);
    if (has_quotes) find_record_end(r, first, last, &q);
    nul = memchr(r->at, '\0', last->end);
    if (!q.trouble && nul)
        set_trouble(&q, "a NUL byte: put a whole copy of the file in its place", (size_t)(nul - r->at));
    begin_fields(r, last->end);
    if (!q.trouble && !parse_quoted(r, last->end))
        set_trouble(&q, "quotes out of order: put the field in quotes, and write its own quotes twice", 0);
    return q.trouble ? pass_on_trouble(r, last->end, q.trouble, q.trouble_at) : pass_on(r, last->end);
}

/* ---- the beginning of the file ---- */

static const char delimiters[] = {',', ';', '\t', '|'};

/* The line's commonest delimiter outside quotes; a comma where there is none. */
static char find_delimiter(const char *bytes, size_t n)
{
    size_t count[sizeof delimiters] = {0}, best = 0;
    bool quoted = false, begun = false;

    for (size_t i = 0; i < n; i++) {
        if (bytes[i] == '"') quoted = !quoted;
        if (bytes[i] == '\n' && !quoted && begun) break;
        if (!is_blank(bytes[i]) && bytes[i] != '\n') begun = true;
        if (quoted) continue;
        for (size_t k = 0; k < sizeof delimiters; k++) count[k] += bytes[i] == delimiters[k];
    }
    for (size_t k = 1; k < sizeof delimiters; k++)
        if (count[k] > count[best]) best = k;
    return delimiters[best];
}

void wr_csv_read(const char *bytes, size_t n, const struct wr_csv_start *start, wr_csv_record_fn *fn, void *arg)
{
    struct reader r = {.fn = fn, .arg = arg, .at = bytes, .end = bytes + n, .line = 1};
    struct line first, last;
    enum wr_csv_next next = WR_CSV_GO_ON;

    if (start) {
        r.at += start->at;
        r.line = start->line;
    } else if (n >= 3 && memcmp(bytes, "\xef\xbb\xbf", 3) == 0) {
        r.at += 3;
    }
    r.record.delimiter = start ? start->delimiter : find_delimiter(r.at, (size_t)(r.end - r.at));
    begin_libcsv(&r);
    r.field_room = SHORT_LINE + 1; /* with the empty one behind them */
    r.field = WR_NEW_ARRAY(struct wr_csv_field, r.field_room);
    begin_fields(&r, SHORT_LINE);
    while (next == WR_CSV_GO_ON) {
        if (cut_short(&r, &first)) {
            next = pass_on(&r, first.end);
        } else if (find_line(&r, 0, &first)) {
            last = first;
            next = take_lines(&r, &first, &last);
            if (last.begin) r.line += count_lines(r.at, first.next = last.next) - 1;
        } else {
            break;
        }
        r.line++;
        r.at += first.next;
    }
    csv_free(&r.libcsv);
    WR_FREE(r.field, r.text, r.blanked);
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
