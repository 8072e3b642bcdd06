#include <check.h>
#include <math.h>
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

START_TEST(elapsed_times)
{
    double v = 7;
    const char *bad[] = {"6:5", "6:60", "-1", ":30", "6:30:", "6:30:61", "6:305", "1234567:00", "-0:30"};

    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        ck_assert_msg(!wr_parse_elapsed(bad[i], &v), "took '%s'", bad[i]);
        ck_assert(v == 7);
    }
    ck_assert(wr_parse_elapsed("6:30", &v) && v == 390.0);
    ck_assert(wr_parse_elapsed("1:02:30", &v) && v == 62.5);
    ck_assert(wr_parse_elapsed("390.25", &v) && v == 390.25);
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
    ck_assert_str_eq(wr_hmm(NAN, b), "?");
}
END_TEST

Suite *suite_number(void);
Suite *suite_number(void)
{
    Suite *s = suite_create("number");
    TCase *t = tcase_create("number");

    tcase_add_test(t, whole_text_or_nothing);
    tcase_add_test(t, elapsed_times);
    tcase_add_test(t, clock_text_rounds_once);
    suite_add_tcase(s, t);
    return s;
}
