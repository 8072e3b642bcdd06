/* A string that grows, beside what the C library's own functions make of the same pieces. */
#include <check.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include "suites.h"
#include "wetrun/base/str.h"

START_TEST(an_empty_string_is_text)
{
    struct wr_str s = {0};

    ck_assert_str_eq(wr_str_text(&s), "");
    wr_str_clear(&s); /* nothing to clear */
    ck_assert_ptr_null(s.text);
    wr_str_add(&s, "");
    ck_assert(s.text && s.len == 0);
    ck_assert_str_eq(wr_str_text(&s), "");
    wr_str_release(&s);
    ck_assert(!s.text && !s.len && !s.room);
}
END_TEST

START_TEST(pieces_of_every_length_join)
{
    char want[20000] = "", piece[700];
    struct wr_str s = {0};

    for (size_t n = 0; n < 300; n += 7) { /* across the end of the small buffer and of the room */
        memset(piece, 'a' + (int)(n % 26), n);
        piece[n] = '\0';
        wr_str_addf(&s, "%s|", piece);
        strncat(want, piece, sizeof want - strlen(want) - 1);
        strncat(want, "|", sizeof want - strlen(want) - 1);
        ck_assert_uint_eq(s.len, strlen(want));
        ck_assert_str_eq(wr_str_text(&s), want);
    }
    for (int n = 254; n <= 258; n++) { /* a formatted piece as long as the small buffer, one less, one more */
        wr_str_clear(&s);
        ck_assert_str_eq(wr_str_text(&s), "");
        wr_str_addf(&s, "%*d", n, 7);
        snprintf(want, sizeof want, "%*d", n, 7);
        ck_assert_str_eq(wr_str_text(&s), want);
    }
    wr_str_release(&s);
}
END_TEST

START_TEST(bytes_may_be_zero)
{
    struct wr_str s = {0};

    wr_str_add_bytes(&s, "a\0b", 3);
    wr_str_add_char(&s, 'c');
    ck_assert_uint_eq(s.len, 4);
    ck_assert(memcmp(s.text, "a\0bc", 5) == 0);
    wr_str_release(&s);
}
END_TEST

START_TEST(a_path_without_its_folders)
{
    ck_assert_str_eq(wr_without_folders("a/b/c.csv"), "c.csv");
    ck_assert_str_eq(wr_without_folders("c.csv"), "c.csv");
    ck_assert_str_eq(wr_without_folders("/c"), "c");
    ck_assert_str_eq(wr_without_folders("a/"), "a/"); /* nothing behind it: the whole */
    ck_assert_str_eq(wr_without_folders(""), "");
}
END_TEST

START_TEST(parts_of_a_text)
{
    static const struct { const char *text, *parts; } c[] = {
        {"", "<>"}, {"AB", "<AB>"}, {" AB\t+ C D ", "<AB><C D>"}, {"+A++", "<><A><><>"},
        {" \xc2\xa0" "A\xe2\x80\x8b + ", "<A><>"}};

    for (size_t i = 0; i < sizeof c / sizeof *c; i++) {
        const char *at = c[i].text;
        struct wr_str out = {0};
        for (struct wr_part p; wr_next_part(&at, '+', &p);) wr_str_addf(&out, "<%.*s>", (int)p.len, p.text);
        ck_assert_str_eq(out.text, c[i].parts);
        wr_str_release(&out);
    }
}
END_TEST

Suite *suite_str(void);
Suite *suite_str(void)
{
    Suite *suite = suite_create("str");
    TCase *tc = tcase_create("str");

    tcase_add_test(tc, an_empty_string_is_text);
    tcase_add_test(tc, pieces_of_every_length_join);
    tcase_add_test(tc, bytes_may_be_zero);
    tcase_add_test(tc, a_path_without_its_folders);
    tcase_add_test(tc, parts_of_a_text);
    suite_add_tcase(suite, tc);
    return suite;
}
