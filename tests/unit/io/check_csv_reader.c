/* Quoting examples: RFC 4180 (Shafranovich, October 2005), section 2, rules 1 to 7. */
#include <check.h>
#include <csv.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include "wetrun/base/memory.h"
#include "wetrun/base/str.h"
#include "wetrun/io/csv_reader.h"

/* Records as text: "LINE:field|field|\n", or "LINE:COLUMN trouble\n". */
static enum wr_csv_next note_record(void *arg, const struct wr_csv_record *record)
{
    struct wr_str *out = arg;

    if (record->trouble) {
        struct wr_csv_place place = wr_csv_place_of_trouble(record);
        wr_str_addf(out, "%zu:%zu %s\n", place.line, place.column, record->trouble);
        return WR_CSV_GO_ON;
    }
    wr_str_addf(out, "%zu:", record->line);
    for (size_t i = 0; i < record->n_field; i++) {
        ck_assert_uint_eq(strlen(record->field[i].text), record->field[i].len);
        wr_str_addf(out, "%s|", record->field[i].text);
    }
    wr_str_add_char(out, '\n');
    return WR_CSV_GO_ON;
}

static void expect_bytes(const char *input, size_t n, const char *expected)
{
    struct wr_str out = {0};

    wr_csv_read(input, n, NULL, note_record, &out);
    ck_assert_str_eq(wr_str_text(&out), expected);
    wr_str_release(&out);
}

static void expect(const char *input, const char *expected)
{
    expect_bytes(input, strlen(input), expected);
}

#define STRAY                                                                                                   \
    "a quote inside a field that does not begin with one: put the field in quotes, and write its own quotes twice"
#define AFTER_CLOSING "text after a closing quote: write quotes that belong to a field twice"
#define OPEN "a quote that is not closed: add the closing one"

START_TEST(rfc4180_examples)
{
    expect("aaa,bbb,ccc\r\nzzz,yyy,xxx\r\n", "1:aaa|bbb|ccc|\n2:zzz|yyy|xxx|\n");
    expect("aaa,bbb,ccc\r\nzzz,yyy,xxx", "1:aaa|bbb|ccc|\n2:zzz|yyy|xxx|\n");
    expect("field_name,field_name,field_name\r\naaa,bbb,ccc\r\nzzz,yyy,xxx\r\n",
           "1:field_name|field_name|field_name|\n2:aaa|bbb|ccc|\n3:zzz|yyy|xxx|\n");
    expect("\"aaa\",\"bbb\",\"ccc\"\r\nzzz,yyy,xxx", "1:aaa|bbb|ccc|\n2:zzz|yyy|xxx|\n");
    expect("\"aaa\",\"b\r\nbb\",\"ccc\"\r\nzzz,yyy,xxx", "1:aaa|b\r\nbb|ccc|\n3:zzz|yyy|xxx|\n");
    expect("\"aaa\",\"b\"\"bb\",\"ccc\"", "1:aaa|b\"bb|ccc|\n");
}
END_TEST

START_TEST(delimiters_come_from_the_header)
{
    expect("a;b,c;d\n1;2,5;3\n", "1:a|b,c|d|\n2:1|2,5|3|\n");
    expect("a\tb\tc\n1\t\t3\n", "1:a|b|c|\n2:1||3|\n");
    expect("\"a;b;c;d\",e\n1,2\n", "1:a;b;c;d|e|\n2:1|2|\n"); /* those in quotes do not count */
    expect("one\nx;y\n", "1:one|\n2:x;y|\n");
    expect("\n \nrun;task\n", "3:run|task|\n"); /* the first line that has something on it */
}
END_TEST

START_TEST(byte_order_marks)
{
    expect("\xef\xbb\xbfrun,task\n", "1:run|task|\n");
    expect("\xef\xbb\xbf\"run\",\"task\"\n", "1:run|task|\n"); /* libcsv alone would take the quote for text */
    expect("a,b\n\xef\xbb\xbf,x\n", "1:a|b|\n2:|x|\n"); /* where files were joined it is a blank */
    expect("a,b\n\xe2\x80\x8bx\xc2\xa0,y\xe2\x80\xaf\n", "1:a|b|\n2:x|y|\n"); /* no width; not breaking */
    expect("a,b\n\xe2\x80\x94,\xc3\xa0\n", "1:a|b|\n2:\xe2\x80\x94|\xc3\xa0|\n"); /* a dash, an a with an accent */
    expect("a,b\n\"=\"\"9:12\"\"\",\"=1+\"\"2\"\"\"\n", "1:a|b|\n2:9:12|=1+\"2\"|\n");
}
END_TEST

START_TEST(blanks_and_carriage_returns)
{
    expect("a,b\n\x01 , \x02x\x03 \n", "1:a|b|\n2:\x01|\x02x\x03|\n"); /* no other control character is a blank */
    expect(" a , b \n\"  c\" ,\t\"d \"\n", "1:a|b|\n2:c|d|\n");
    expect("a,b\r,d\n1\r2,\r3,4\r\n", "1:a|b|d|\n2:1 2|3|4|\n");
    expect("a,\"b\rc\"\n", "1:a|b\rc|\n"); /* quoted it is data */
    expect("a\r\r\n", "1:a|\n");
}
END_TEST

START_TEST(blank_lines_count_but_are_no_records)
{
    expect("a,b\n\n  \n\r\n1,2\n\n", "1:a|b|\n5:1|2|\n");
    expect("", "");
    expect("\n\n", "");
    expect(",\n", "1:||\n");
    expect("a,b\n1,", "1:a|b|\n2:1||\n");
}
END_TEST

START_TEST(a_stray_quote_costs_one_record)
{
    /* libcsv in its lenient mode would swallow the lines up to the next quote */
    expect("a,b\n\"x\"y,z\n1,2\n\"3\",4\n", "1:a|b|\n2:4 " AFTER_CLOSING "\n3:1|2|\n4:3|4|\n");
    expect("a,b\nx\"y\",z\n1,2\n", "1:a|b|\n2:2 " STRAY "\n3:1|2|\n");
    expect("a,b\n6\" bolt,2\n1,2\n", "1:a|b|\n2:2 " STRAY "\n3:1|2|\n");
    expect("a,b\n1,2\"", "1:a|b|\n2:4 " STRAY "\n");
}
END_TEST

START_TEST(an_unclosed_quote_costs_one_record)
{
    expect("a,b\n\"x,y\n1,2\n3,4\n", "1:a|b|\n2:1 " OPEN "\n3:1|2|\n4:3|4|\n");
    expect("a,b\n1,\"", "1:a|b|\n2:3 " OPEN "\n");
    /* the next quote belongs to a good line: it is the first that is blamed, and only it is lost */
    expect("a,b\n\"x,y\n\"1\",2\n3,4\n", "1:a|b|\n2:1 " OPEN "\n3:1|2|\n4:3|4|\n");
    expect("a,b\n1,\"x\ny\",\"z\n", "1:a|b|\n2:3 " OPEN "\n"
           "3:2 " STRAY "\n");
    expect("a,b\n\"x\ny\nz\"w,2\n", "1:a|b|\n2:1 " OPEN "\n3:y|\n"
           "4:2 " STRAY "\n");
}
END_TEST

START_TEST(a_record_spans_so_many_lines_and_no_more)
{
    struct wr_str in = {0}, out = {0};

    wr_str_add(&in, "a,b\n\"");
    for (int i = 1; i < WR_CSV_MOST_LINES; i++) wr_str_add(&in, "x\n");
    wr_str_add(&in, "\",2\n3,4\n");
    wr_csv_read(in.text, in.len, NULL, note_record, &out);
    ck_assert_ptr_nonnull(strstr(out.text, "|2|\n66:3|4|\n"));
    wr_str_clear(&in);
    wr_str_clear(&out);
    wr_str_add(&in, "a,b\n\"");
    for (int i = 0; i < WR_CSV_MOST_LINES; i++) wr_str_add(&in, "x\n");
    wr_str_add(&in, "\",2\n3,4\n");
    wr_csv_read(in.text, in.len, NULL, note_record, &out);
    ck_assert_ptr_nonnull(strstr(out.text, "\n2:1 " OPEN "\n3:x|\n4:x|\n"));
    wr_str_release(&in);
    wr_str_release(&out);
}
END_TEST

START_TEST(nul_bytes_are_trouble)
{
    expect_bytes("a,b\n1\0,2\n3,4\n", 13,
                 "1:a|b|\n2:2 a NUL byte: put a whole copy of the file in its place\n3:3|4|\n");
    expect_bytes("a,b\n\"1\n\0\",2\n3,4\n", 16,
                 "1:a|b|\n3:1 a NUL byte: put a whole copy of the file in its place\n4:3|4|\n");
    expect_bytes("\0", 1, "1:1 a NUL byte: put a whole copy of the file in its place\n");
}
END_TEST

/* ---- places and raw bytes ---- */

static enum wr_csv_next check_places(void *arg, const struct wr_csv_record *record)
{
    int *n = arg;

    if ((*n)++ == 0) return WR_CSV_GO_ON;
    const struct { size_t line, column; } place[] = {{2, 1}, {2, 6}, {3, 6}, {3, 9}, {3, 12}};
    ck_assert_uint_eq(record->n_field, 4);
    for (size_t i = 0; i < 5; i++) {
        struct wr_csv_place p = wr_csv_place_of_field(record, i);
        ck_assert_uint_eq(p.line, place[i].line);
        ck_assert_uint_eq(p.column, place[i].column);
    }
    ck_assert_uint_eq(record->n_raw, 20);
    ck_assert_int_eq(memcmp(record->raw, "abc, \"d,\n\"\"\", 7 ,\"x\"", record->n_raw), 0);
    return WR_CSV_GO_ON;
}

START_TEST(places_follow_quoted_lines)
{
    const char *in = "p,q,r,s\r\nabc, \"d,\n\"\"\", 7 ,\"x\"\r\n";
    int n = 0;

    wr_csv_read(in, strlen(in), NULL, check_places, &n);
    ck_assert_int_eq(n, 2);
}
END_TEST

static enum wr_csv_next stop_at_second(void *arg, const struct wr_csv_record *record)
{
    int *n = arg;

    (void)record;
    return ++*n == 2 ? WR_CSV_STOP : WR_CSV_GO_ON;
}

START_TEST(a_callback_can_stop)
{
    int n = 0;

    wr_csv_read("a\nb\nc\nd\n", 8, NULL, stop_at_second, &n);
    ck_assert_int_eq(n, 2);
}
END_TEST

/* ---- random tables ---- */

static uint64_t next_random(uint64_t *state)
{
    *state = *state * 6364136223846793005u + 1442695040888963407u;
    return *state >> 33;
}

/* A field of random bytes, blanks kept from its ends, as it should be read. */
static void random_field(uint64_t *state, char *field)
{
    static const char letter[] = "ab,;\t\"\n\r x\xc3\xa9";
    size_t n = next_random(state) % (next_random(state) % 50 ? 9 : 90), k = 0;

    for (size_t i = 0; i < n; i++) field[k++] = letter[next_random(state) % (sizeof letter - 1)];
    while (k && strchr(" \t\r\n", field[k - 1])) k--;
    field[k] = '\0';
    memmove(field, field + strspn(field, " \t\r\n"), strlen(field + strspn(field, " \t\r\n")) + 1);
}

static void write_field(struct wr_str *out, const char *field, uint64_t *state)
{
    if (!strpbrk(field, ",;\t\"\n\r") && next_random(state) % 3) {
        wr_str_add(out, field);
        return;
    }
    wr_str_add(out, next_random(state) % 4 ? "\"" : "  \"");
    for (; *field; field++) {
        if (*field == '"') wr_str_add_char(out, '"');
        wr_str_add_char(out, *field);
    }
    wr_str_add_char(out, '"');
}

/* n_row rows of three fields, the first never empty; *in as written, *expected as note_record would note it. */
static void random_table(uint64_t seed, size_t n_row, struct wr_str *in, struct wr_str *expected)
{
    const char delimiter = ",;\t"[seed % 3];
    const char *line_end = seed / 3 % 2 ? "\r\n" : "\n";
    uint64_t state = seed;
    size_t line = 1;
    char field[128];

    wr_str_addf(in, "p%cq%cr%s", delimiter, delimiter, line_end);
    wr_str_add(expected, "1:p|q|r|\n");
    for (size_t row = 0; row < n_row; row++) {
        size_t before = in->len;
        line++;
        wr_str_addf(expected, "%zu:", line);
        for (int f = 0; f < 3; f++) {
            random_field(&state, field);
            if (f) wr_str_add_char(in, delimiter);
            write_field(in, field, &state);
            wr_str_addf(expected, "%s|", field);
        }
        for (size_t i = before; i < in->len; i++) line += in->text[i] == '\n';
        wr_str_add(in, line_end);
        wr_str_add_char(expected, '\n');
    }
}

START_TEST(what_is_written_by_the_rules_is_read_back)
{
    for (uint64_t seed = 1; seed <= 300; seed++) {
        struct wr_str in = {0}, expected = {0}, out = {0};
        random_table(seed, 20, &in, &expected);
        wr_csv_read(in.text, in.len, NULL, note_record, &out);
        ck_assert_str_eq(wr_str_text(&out), expected.text);
        wr_str_release(&in);
        wr_str_release(&expected);
        wr_str_release(&out);
    }
}
END_TEST

/* ---- lines without quotes, against libcsv ---- */

static void note_field(void *bytes, size_t n, void *arg)
{
    wr_str_add_bytes(arg, bytes, n);
    wr_str_add_char(arg, '|');
}

static void note_row(int end_byte, void *arg)
{
    (void)end_byte;
    wr_str_add_char(arg, '\n');
}

static enum wr_csv_next note_fields(void *arg, const struct wr_csv_record *record)
{
    ck_assert_ptr_null(record->trouble);
    for (size_t i = 0; i < record->n_field; i++)
        wr_str_addf(arg, "%s|", record->field[i].text);
    ck_assert_str_eq(record->field[record->n_field].text, ""); /* one more, for columns that are missing */
    wr_str_add_char(arg, '\n');
    return WR_CSV_GO_ON;
}

START_TEST(plain_lines_are_cut_as_libcsv_has_them)
{
    static const char letter[] = "ab\x01\x7f\x80\xac\xbb\xff,,;;\t\t  \n";
    uint64_t state = 99;

    for (int round = 0; round < 600; round++) {
        const char delimiter = ",;\t"[round % 3];
        struct wr_str in = {0}, ours = {0}, theirs = {0};
        struct csv_parser parser;
        wr_str_addf(&in, "p%cq%cr%cs\n", delimiter, delimiter, delimiter);
        for (int i = 0; i < 500; i++) wr_str_add_char(&in, letter[next_random(&state) % (sizeof letter - 1)]);
        ck_assert_int_eq(csv_init(&parser, CSV_APPEND_NULL), 0);
        csv_set_delim(&parser, (unsigned char)delimiter);
        csv_parse(&parser, in.text, in.len, note_field, note_row, &theirs);
        csv_fini(&parser, note_field, note_row, &theirs);
        csv_free(&parser);
        wr_csv_read(in.text, in.len, NULL, note_fields, &ours);
        ck_assert_str_eq(wr_str_text(&ours), wr_str_text(&theirs));
        wr_str_release(&in);
        wr_str_release(&ours);
        wr_str_release(&theirs);
    }
}
END_TEST

/* ---- lines with quotes, against libcsv ---- */

static void note_trimmed_field(void *bytes, size_t n, void *arg)
{
    const char *text = bytes;

    while (n > 0 && strchr(" \t\r", *text)) text++, n--;
    while (n > 0 && strchr(" \t\r", text[n - 1])) n--;
    note_field((void *)(uintptr_t)text, n, arg);
}

/* What libcsv, strictly, has of one line; false if it is not a row by itself. */
static bool one_line(const char *line, size_t n, char delimiter, struct wr_str *out)
{
    struct csv_parser parser;
    struct wr_str rest = {0};

    ck_assert_int_eq(csv_init(&parser, CSV_STRICT | CSV_STRICT_FINI | CSV_APPEND_NULL), 0);
    csv_set_delim(&parser, (unsigned char)delimiter);
    bool fine = csv_parse(&parser, line, n, note_trimmed_field, note_row, out) == n;
    fine = fine && out->len > 0 && out->text[out->len - 1] == '\n'; /* the line's end has ended the row */
    fine = fine && csv_fini(&parser, note_trimmed_field, note_row, &rest) == 0;
    csv_free(&parser);
    wr_str_release(&rest);
    return fine;
}

struct seen_line {
    struct wr_str fields;
    size_t n, n_trouble;
};

static enum wr_csv_next see_line(void *arg, const struct wr_csv_record *record)
{
    struct seen_line *seen = arg;

    if (seen->n++ == 0) return WR_CSV_GO_ON; /* the header */
    seen->n_trouble += record->trouble != NULL;
    if (!record->trouble) note_fields(&seen->fields, record);
    return WR_CSV_GO_ON;
}

START_TEST(quoted_lines_are_cut_as_libcsv_has_them)
{
    static const char letter[] = "aab\x01\xff,,,;;;\t\t   \"\"\"\"\"\"\"\"";
    static const char *const piece[] = {"\"ab\"",  "\"\"",       "\"a,b;c\td\"", "ab",    "",
                                        "\" a \"", "\"a\"\"b\"", " \"x\"",       "\"x\" "};
    uint64_t state = 17;
    size_t n_fine = 0, n_trouble = 0;

    for (int round = 0; round < 6000; round++) {
        const char delimiter = ",;\t"[round % 3];
        struct wr_str in = {0}, line = {0}, theirs = {0};
        struct seen_line seen = {.n = 0};
        if (round % 2) /* at random; else of pieces in order */
            for (size_t i = next_random(&state) % 24 + 1; i > 0; i--)
                wr_str_add_char(&line, letter[next_random(&state) % (sizeof letter - 1)]);
        else
            for (size_t i = next_random(&state) % 6 + 1; i > 0; i--)
                wr_str_addf(&line, "%s%c", piece[next_random(&state) % (sizeof piece / sizeof *piece)],
                            i > 1 ? delimiter : ' ');
        wr_str_add_char(&line, '\n');
        wr_str_addf(&in, "p%cq%cr%cs%ct\n", delimiter, delimiter, delimiter, delimiter);
        wr_str_add_bytes(&in, line.text, line.len);
        bool has_quote = strchr(line.text, '"') != NULL, fine = one_line(line.text, line.len, delimiter, &theirs);
        wr_csv_read(in.text, in.len, NULL, see_line, &seen);
        if (has_quote && fine) {
            ck_assert_msg(seen.n == 2 && seen.n_trouble == 0, "[%s]", line.text);
            ck_assert_str_eq(wr_str_text(&seen.fields), wr_str_text(&theirs));
            n_fine++;
        } else if (has_quote) {
            ck_assert_msg(seen.n == 2 && seen.n_trouble == 1, "[%s]", line.text);
            n_trouble++;
        }
        wr_str_release(&in);
        wr_str_release(&line);
        wr_str_release(&theirs);
        wr_str_release(&seen.fields);
    }
    ck_assert(n_fine > 1000 && n_trouble > 1000);
}
END_TEST

/* ---- where a line stands ---- */

/* The last line of a text is cut by other code than one in the middle: sixteen bytes are looked at at once. */
START_TEST(a_line_is_read_alike_wherever_it_stands)
{
    static const char letter[] = "abcdefgh\x01\x7f\x80\xac\xc2\xa0\r\0\t,,,;;   \"\"";
    static const char *const piece[] = {"\"ab\"", "\"\"", "\"a,b;c\td\"", "ab",    "",
                                        "\" a \"", "\"a\"\"b\"", " \"x\"",       "c d ", "x\xc2\xa0"};
    uint64_t state = 5;

    for (int round = 0; round < 20000; round++) {
        const char delimiter = ",;\t"[round % 3];
        struct wr_str in = {0}, alone = {0}, followed = {0};
        wr_str_addf(&in, "p%cq%cr%cs%ct\n", delimiter, delimiter, delimiter, delimiter);
        const size_t length = round % 10 ? 40 : 700; /* longer than what is looked at so */
        if (round % 4) /* of pieces in order; else at random */
            for (size_t i = next_random(&state) % (length / 4) + 1; i > 0; i--)
                wr_str_addf(&in, "%s%c", piece[next_random(&state) % (sizeof piece / sizeof *piece)],
                            i > 1 ? delimiter : next_random(&state) % 2 ? '\r' : 'x');
        else
            for (size_t i = next_random(&state) % length; i > 0; i--)
                wr_str_add_char(&in, letter[next_random(&state) % (sizeof letter - (round % 8 ? 3 : 1))]);
        wr_str_add_char(&in, '\n');
        wr_csv_read(in.text, in.len, NULL, note_record, &alone);
        for (int i = 0; i < 600; i++) wr_str_add_char(&in, 'y');
        wr_csv_read(in.text, in.len, NULL, note_record, &followed);
        wr_str_addf(&alone, "3:%s|\n", in.text + in.len - 600);
        ck_assert_str_eq(wr_str_text(&followed), wr_str_text(&alone));
        wr_str_release(&in);
        wr_str_release(&alone);
        wr_str_release(&followed);
    }
}
END_TEST

START_TEST(a_table_may_begin_further_down)
{
    const char *in = "a title, of sorts\n#,,,,,,\nrun|task\nA, B|C\n";
    const struct wr_csv_start start = {.at = 26, .line = 3, .delimiter = '|'};
    struct wr_str out = {0};

    wr_csv_read(in, strlen(in), &start, note_record, &out);
    ck_assert_str_eq(out.text, "3:run|task|\n4:A, B|C|\n");
    wr_str_release(&out);
}
END_TEST

static enum wr_csv_next note_lengths(void *arg, const struct wr_csv_record *record)
{
    wr_str_addf(arg, "%zu:%zu%s\n", record->line, record->n_raw, record->trouble ? "!" : "");
    return WR_CSV_GO_ON;
}

START_TEST(a_line_without_an_end_is_cut)
{
    size_t n = 2 * (size_t)WR_CSV_MOST_BYTES;
    char *in = wr_alloc(n + 16, 1);
    struct wr_str out = {0};
    char expected[64];

    memset(in, 'x', n);
    memcpy(in, "a\n", 2);
    memcpy(in + n, "\nb\n", 3);
    wr_csv_read(in, n + 3, NULL, note_lengths, &out);
    snprintf(expected, sizeof expected, "1:1\n2:%d!\n3:1\n", WR_CSV_MOST_BYTES);
    ck_assert_str_eq(out.text, expected);
    wr_free(in);
    wr_str_release(&out);
}
END_TEST

/* A quote is looked for in so many bytes: beyond them only its own line is lost, as everywhere. */
START_TEST(a_quote_over_too_many_bytes)
{
    const size_t most = WR_CSV_MOST_BYTES, first = most / 4 * 3, second = most / 2;
    char *in = wr_alloc(2 * most, 1), *at = in, expected[128];
    struct wr_str out = {0};

    memset(in, 'x', 2 * most);
    memcpy(at, "a\n\"", 3);
    at[first] = '\n';
    at[first + second] = '\n';
    memcpy(at + first + second + 1, "y\"\nb\n", 5);
    wr_csv_read(in, first + second + 6, NULL, note_lengths, &out);
    snprintf(expected, sizeof expected, "1:1\n2:%zu!\n3:%zu\n4:2!\n5:1\n", first - 2, second - 1);
    ck_assert_str_eq(out.text, expected);
    wr_str_clear(&out);
    memset(in, 'x', 2 * most); /* the line behind is too long itself */
    memcpy(at, "a\n\"b\n", 5);
    memcpy(at + most + 100, "\nc\n", 3);
    wr_csv_read(in, most + 103, NULL, note_lengths, &out);
    snprintf(expected, sizeof expected, "1:1\n2:2!\n3:%zu!\n4:1\n", most);
    ck_assert_str_eq(out.text, expected);
    wr_free(in);
    wr_str_release(&out);
}
END_TEST

START_TEST(texts_that_a_spreadsheet_leaves_alone)
{
    expect("a,b\n\"=\"\"09:12\"\"\",2\n", "1:a|b|\n2:09:12|2|\n");
    expect("a,b\n\"=\"\"09:12\",2\n", "1:a|b|\n2:=\"09:12|2|\n");               /* not closed */
    expect("a,b\n\"=09:12\"\"\",2\n", "1:a|b|\n2:=09:12\"|2|\n");               /* not opened */
    expect("a,b\n\"=\"\"9\"\"12\"\"\",2\n", "1:a|b|\n2:=\"9\"12\"|2|\n"); /* more than a text */
    expect("a,b\n\"=\"\"\",2\n", "1:a|b|\n2:=\"|2|\n");
}
END_TEST

static enum wr_csv_next note_places(void *arg, const struct wr_csv_record *record)
{
    for (size_t i = 0; i < record->n_field; i++) {
        struct wr_csv_place place = wr_csv_place_of_field(record, i);
        wr_str_addf(arg, "%zu:%zu ", place.line, place.column);
    }
    return WR_CSV_GO_ON;
}

/* Where the delimiter is a blank itself an empty field has its place all the same. */
START_TEST(places_between_tabs)
{
    struct wr_str out = {0};

    wr_csv_read("a\tb\tc\n1\t \t 3\n", 13, NULL, note_places, &out);
    ck_assert_str_eq(out.text, "1:1 1:3 1:5 2:1 2:4 2:6 ");
    wr_str_release(&out);
}
END_TEST

Suite *suite_csv_reader(void);
Suite *suite_csv_reader(void)
{
    Suite *s = suite_create("csv_reader");
    TCase *t = tcase_create("csv_reader");

    tcase_set_timeout(t, 60);
    tcase_add_test(t, rfc4180_examples);
    tcase_add_test(t, delimiters_come_from_the_header);
    tcase_add_test(t, byte_order_marks);
    tcase_add_test(t, blanks_and_carriage_returns);
    tcase_add_test(t, blank_lines_count_but_are_no_records);
    tcase_add_test(t, a_stray_quote_costs_one_record);
    tcase_add_test(t, an_unclosed_quote_costs_one_record);
    tcase_add_test(t, a_record_spans_so_many_lines_and_no_more);
    tcase_add_test(t, nul_bytes_are_trouble);
    tcase_add_test(t, places_follow_quoted_lines);
    tcase_add_test(t, a_callback_can_stop);
    tcase_add_test(t, what_is_written_by_the_rules_is_read_back);
    tcase_add_test(t, plain_lines_are_cut_as_libcsv_has_them);
    tcase_add_test(t, quoted_lines_are_cut_as_libcsv_has_them);
    tcase_add_test(t, a_line_is_read_alike_wherever_it_stands);
    tcase_add_test(t, a_table_may_begin_further_down);
    tcase_add_test(t, a_line_without_an_end_is_cut);
    tcase_add_test(t, a_quote_over_too_many_bytes);
    tcase_add_test(t, texts_that_a_spreadsheet_leaves_alone);
    tcase_add_test(t, places_between_tabs);
    suite_add_tcase(s, t);
    return s;
}
