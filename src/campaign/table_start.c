#include "table_start.h"

#include <stdio.h>
#include <string.h>
#include <strings.h>
#include "wetrun/base/memory.h"
#include "wetrun/base/str.h"
#include "wetrun/campaign/near_name.h"

static const char delimiters[] = {',', ';', '\t', '|'};
enum { LONGEST_NAME = 120 };

/* ---- columns ---- */

/* Without a unit of minutes in brackets at the end: "hold (min)" is "hold ". */
static size_t without_unit(const char *text)
{
    static const char *const unit[] = {"min", "mins", "minutes", "h:mm", "hh:mm", "hh:mm:ss", "h:mm:ss", NULL};
    size_t n = strlen(text);
    const char *open = n ? strrchr(text, text[n - 1] == ')' ? '(' : '[') : NULL;

    if (!open || (text[n - 1] != ')' && text[n - 1] != ']')) return n;
    for (int i = 0; unit[i]; i++)
        if (strlen(unit[i]) == n - 2 - (size_t)(open - text) && strncasecmp(open + 1, unit[i], strlen(unit[i])) == 0)
            return (size_t)(open - text);
    return n;
}

static void fold_column(struct wr_str *out, const char *text)
{
    size_t n = 0;

    wr_str_clear(out);
    wr_fold_name(out, text, without_unit(text));
    for (size_t i = 0; i < out->len; i++)
        if (out->text[i] != '-') out->text[n++] = out->text[i];
    out->text[out->len = n] = '\0';
}

/* hold_s, hold s: seconds, and no plural. */
static bool ends_in_seconds(const char *text)
{
    size_t n = strlen(text);

    return n > 2 && (text[n - 1] | 32) == 's' && strchr("_ -.", text[n - 2]);
}

/* a, folded, is b or its plural. */
static bool folded_like(const struct wr_str *a, const struct wr_str *b)
{
    return a->len > 0 && (a->len == b->len || (a->len == b->len + 1 && a->text[b->len] == 's')) &&
           memcmp(a->text, b->text, b->len) == 0;
}

enum column_match column_match(const char *text, const char *name)
{
    WR_SCOPED_STR a = {0}, b = {0};

    if (strcasecmp(text, name) == 0) return COLUMN_SAME;
    fold_column(&a, text);
    fold_column(&b, name);
    bool like = folded_like(&a, &b) && !ends_in_seconds(text);
    return like ? COLUMN_LIKE : COLUMN_OTHER;
}

size_t column_find(const struct wr_csv_record *header, const char *name, enum column_match *match)
{
    size_t best = header->n_field;

    *match = COLUMN_OTHER;
    for (size_t i = 0; i < header->n_field; i++) {
        enum column_match m = column_match(header->field[i].text, name);
        if (m <= *match) continue;
        *match = m;
        best = i;
    }
    return best;
}

/* ---- the header's line ---- */

/* One cell of a line, quotes and blanks around it dropped. Returns where the next begins, past end if there is none. */
static const char *take_cell(const char *at, const char *end, char delimiter, struct wr_str *cell)
{
    bool quoted = false;
    const char *begin = at;

    for (; at < end && (quoted || *at != delimiter); at++)
        if (*at == '"') quoted = !quoted;
    const char *stop = at;
    while (begin < stop && (*begin == ' ' || *begin == '\t' || *begin == '"')) begin++;
    while (stop > begin && (stop[-1] == ' ' || stop[-1] == '\t' || stop[-1] == '"' || stop[-1] == '\r')) stop--;
    wr_str_clear(cell);
    wr_str_add_bytes(cell, begin, (size_t)(stop - begin));
    return at + 1;
}

/* name[n_name]: folded */
static size_t count_matches(const char *begin, const char *end, char delimiter, const struct wr_str *name,
                            size_t n_name)
{
    WR_SCOPED_STR cell = {0}, folded = {0};
    size_t n = 0;

    for (const char *at = begin; at <= end;) {
        at = take_cell(at, end, delimiter, &cell);
        if (cell.len == 0 || cell.len > LONGEST_NAME) continue;
        fold_column(&folded, cell.text);
        for (size_t i = 0; i < n_name; i++)
            if (folded_like(&folded, &name[i])) {
                n++;
                break;
            }
    }
    return n;
}

static char commonest_delimiter(const char *begin, const char *end)
{
    size_t count[sizeof delimiters] = {0}, best = 0;
    bool quoted = false;

    for (const char *at = begin; at < end; at++) {
        if (*at == '"') quoted = !quoted;
        for (size_t k = 0; k < sizeof delimiters && !quoted; k++) count[k] += *at == delimiters[k];
    }
    for (size_t k = 1; k < sizeof delimiters; k++)
        if (count[k] > count[best]) best = k;
    return delimiters[best];
}

/* "sep=;", as spreadsheets write it; 0: it is something else. */
static char sep_of(const char *begin, const char *end)
{
    while (begin < end && (*begin == '"' || *begin == ' ')) begin++;
    return end - begin >= 5 && strncasecmp(begin, "sep=", 4) == 0 ? begin[4] : '\0';
}

struct candidate {
    const char *begin, *end;
    size_t line, matches;
    char delimiter;
};

/* The line with the best of its delimiters. */
static struct candidate look_at_line(const char *begin, const char *end, size_t line, const struct wr_str *name,
                                     size_t n_name)
{
    struct candidate c = {begin, end, line, 0, commonest_delimiter(begin, end)};

    c.matches = count_matches(begin, end, c.delimiter, name, n_name);
    for (size_t k = 0; k < sizeof delimiters; k++) {
        size_t n = count_matches(begin, end, delimiters[k], name, n_name);
        if (n <= c.matches) continue;
        c.matches = n;
        c.delimiter = delimiters[k];
    }
    return c;
}

static bool is_blank(const char *begin, const char *end)
{
    while (begin < end && (*begin == ' ' || *begin == '\t' || *begin == '\r')) begin++;
    return begin == end;
}

/* A line of delimiters only, as a spreadsheet leaves it between a title and a table. */
static bool has_no_text(const char *begin, const char *end)
{
    while (begin < end && strchr(" \t\r,;|\"", *begin)) begin++;
    return begin == end;
}

static void note_above(struct table_start *start, const char *bytes, const char *header)
{
    size_t line = 1;

    for (const char *at = bytes; at < header; line++) {
        const char *end = memchr(at, '\n', (size_t)(header - at));
        if (!end) end = header;
        if (!has_no_text(at, end) && start->lines_above++ == 0) {
            start->first_above = line;
            size_t n = strcspn(at, "\r\n");
            snprintf(start->above, sizeof start->above, "%.*s", (int)(n < 60 ? n : 60), at);
        }
        at = end + 1;
    }
}

void table_start_find(struct table_start *start, const char *bytes, size_t n, const char *const *name, size_t n_name)
{
    const char *at = bytes, *stop = bytes + n;
    struct candidate best = {0}, first = {0};
    WR_SCOPED struct wr_str *folded = WR_NEW_ARRAY(struct wr_str, n_name);
    char sep = '\0';

    *start = (struct table_start){0};
    for (size_t i = 0; i < n_name; i++) fold_column(&folded[i], name[i]);
    if (n >= 3 && memcmp(bytes, "\xef\xbb\xbf", 3) == 0) at += 3;
    const char *begin = at;
    for (size_t line = 1, looked = 0; at < stop && looked < MOST_LINES_ABOVE; line++) {
        const char *end = memchr(at, '\n', (size_t)(stop - at));
        if (!end) end = stop;
        if (sep_of(at, end)) {
            sep = sep_of(at, end);
        } else if (!is_blank(at, end) && end - at < 65536) {
            struct candidate c = look_at_line(at, end, line, folded, n_name);
            if (!first.begin && *at != '#' && !has_no_text(at, end)) first = c;
            if (c.matches > best.matches) best = c;
            looked++;
        }
        at = end + 1;
    }
    if (best.matches < 2 && first.begin && first.matches == best.matches) best = first;
    if (!best.begin) best = (struct candidate){begin, stop, 1, 0, ','};
    if (sep && count_matches(best.begin, best.end, sep, folded, n_name) >= best.matches) best.delimiter = sep;
    start->csv = (struct wr_csv_start){(size_t)(best.begin - bytes), best.line, best.delimiter};
    note_above(start, begin, best.begin);
    for (size_t i = 0; i < n_name; i++) wr_str_release(&folded[i]);
}

/* ---- rows ---- */

static bool is_empty_from(const struct wr_csv_record *record, size_t field)
{
    while (field < record->n_field && record->field[field].len == 0) field++;
    return field >= record->n_field;
}

bool row_is_empty(const struct wr_csv_record *record)
{
    return !record->trouble && is_empty_from(record, 0);
}

static bool begins_with_sign(const struct wr_csv_record *record)
{
    return !record->trouble && record->n_field > 0 && record->field[0].text[0] == '#';
}

bool row_is_comment(const struct wr_csv_record *record)
{
    return begins_with_sign(record) && is_empty_from(record, 1);
}

bool row_may_be_struck(const struct wr_csv_record *record)
{
    return begins_with_sign(record) && record->raw[strspn(record->raw, " \t\r")] == '#' && !is_empty_from(record, 1);
}
