#include <check.h>
#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include "wetrun/base/number.h"

START_TEST(whole_text_or_nothing)
{
    double v = 7;
    const char *bad[] = {"", " ", "nan", "inf", "-inf", "0x10", "1,5", "1.5x", "1e999", "--1", ".", "1 2"};

    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        ck_assert_msg(!wr_parse_double(bad[i], &v), "took '%s'", bad[i]);
        ck_assert(v == 7);
    }
    ck_assert(wr_parse_double(" -2.5e1\t", &v) && v == -25.0);
    ck_assert(wr_parse_double(".5", &v) && v == 0.5);
}
END_TEST

START_TEST(plain_decimals_as_strtod)
{
    uint64_t state = 1;
    char text[40];
    double v;

    for (int i = 0; i < 200000; i++) {
        state = state * 6364136223846793005u + 1442695040888963407u;
        unsigned long long whole = state >> (34 + state % 29);
        snprintf(text, sizeof text, i % 2 ? "%llu.%0*llu" : "%llu", whole, 1 + (int)(state >> 60),
                 (unsigned long long)(state >> 40 & 0xffff));
        ck_assert_msg(wr_parse_double(text, &v) && v == strtod(text, NULL), "%s", text);
    }
    ck_assert(wr_parse_double("999999999999999", &v) && v == 999999999999999.0);
    ck_assert(wr_parse_double("9999999999999999", &v) && v == strtod("9999999999999999", NULL));
    ck_assert(wr_parse_double("5.", &v) && v == 5.0);
    ck_assert(wr_parse_double("000000000000000000001.5", &v) && v == 1.5);
    ck_assert(wr_parse_double("-0", &v) && v == 0.0);
}
END_TEST

START_TEST(clock_text_rounds_once)
{
    char b[WR_CLOCK_TEXT];

    ck_assert_str_eq(wr_hmm(389.5, b), "6:30"); /* never 6:29:60 or 5:60 */
    ck_assert_str_eq(wr_hmm(-7.2, b), "\xe2\x88\x92" "0:07");
    ck_assert_str_eq(wr_hmm(-0.2, b), "0:00"); /* no minus zero */
    ck_assert_str_eq(wr_hmm(1505, b), "25:05");
    ck_assert_str_eq(wr_hmmss(62.5, b), "1:02:30");
    ck_assert_str_eq(wr_hmmss(-0.1, b), "\xe2\x88\x92"
                                        "0:00:06");
    ck_assert_str_eq(wr_hmmss(-0.001, b), "0:00:00");
    ck_assert_str_eq(wr_hmmss(INFINITY, b), "?");
    ck_assert_str_eq(wr_hmmss(1.1e9, b), "?"); /* longer than the text may be */
    ck_assert_str_eq(wr_hmm(1.1e9, b), "?");
    ck_assert_str_eq(wr_hmm(NAN, b), "?");
    ck_assert_double_eq(wr_shown_by_min(389.99), 389); /* never later than it is */
    ck_assert_double_eq(wr_shown_by_min(389.9999999), 390);
    ck_assert_double_eq(wr_shown_by_min(-0.5), -1);
}
END_TEST

Suite *suite_number(void);
Suite *suite_number(void)
{
    Suite *s = suite_create("number");
    TCase *t = tcase_create("number");

    tcase_add_test(t, whole_text_or_nothing);
    tcase_add_test(t, plain_decimals_as_strtod);
    tcase_add_test(t, clock_text_rounds_once);
    suite_add_tcase(s, t);
    return s;
}
