/* Example stamps: RFC 3339 (Klyne and Newman, July 2002), section 5.8, with what it says about each. Leap years:
 * section 5.7 and appendix C. Days are held against the C library's own calendar (timegm). */
#include <check.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>
#include <time.h>
#include "wetrun/campaign/log_time.h"

static struct wr_log_time parse(const char *text)
{
    struct wr_log_time t = {WR_TIME_NONE, 0, 0};

    ck_assert_msg(wr_parse_log_time(text, strlen(text), &t) == WR_TIME_OK, "refused '%s'", text);
    return t;
}

static void expect(const char *text, enum wr_time_kind kind, double minutes)
{
    struct wr_log_time t = parse(text);

    ck_assert_msg(t.kind == kind, "'%s' is of kind %d", text, t.kind);
    ck_assert_msg(t.ns == (int64_t)(minutes * 60e9 + (minutes < 0 ? -0.5 : 0.5)), "'%s' gives %lld ns", text,
                  (long long)t.ns);
}

static void refuse(const char *text, enum wr_time_trouble trouble)
{
    struct wr_log_time t;
    enum wr_time_trouble got = wr_parse_log_time(text, strlen(text), &t);

    ck_assert_msg(got == trouble, "'%s': %s, not %s", text, wr_time_trouble_text(got), wr_time_trouble_text(trouble));
}

START_TEST(rfc3339_examples)
{
    /* 20 minutes and 50.52 seconds after the 23rd hour of April 12th, 1985 in UTC */
    ck_assert_int_eq(parse("1985-04-12T23:20:50.52Z").ns, INT64_C(482196050520000000));
    /* 39 minutes and 57 seconds after the 16th hour of December 19th, 1996 with an offset of -08:00 from UTC;
     * equivalent to 1996-12-20T00:39:57Z */
    ck_assert_int_eq(parse("1996-12-19T16:39:57-08:00").ns, parse("1996-12-20T00:39:57Z").ns);
    ck_assert_int_eq(parse("1996-12-19T16:39:57-08:00").day + 1, parse("1996-12-20T00:39:57Z").day);
    /* the leap second inserted at the end of 1990, in UTC and in Pacific Standard Time */
    ck_assert_int_eq(parse("1990-12-31T23:59:60Z").ns, parse("1990-12-31T15:59:60-08:00").ns);
    ck_assert_int_eq(parse("1990-12-31T23:59:60Z").ns, parse("1991-01-01T00:00:00Z").ns);
    /* the same instant as noon, January 1, 1937, Netherlands time, which was exactly 19 minutes and 32.13 seconds
     * ahead of UTC; the offset can only be written as +00:20 */
    ck_assert_int_eq(parse("1937-01-01T12:00:27.87+00:20").ns,
                     parse("1937-01-01T11:40:27.87Z").ns);
    ck_assert_int_eq(parse("1937-01-01T11:40:27.87Z").ns, parse("1937-01-01T12:00:00Z").ns - INT64_C(1172130000000));
}
END_TEST

START_TEST(clock_times)
{
    expect("00:00", WR_TIME_CLOCK, 0);
    expect("9:05", WR_TIME_CLOCK, 545);
    expect("09:05", WR_TIME_CLOCK, 545);
    expect("23:59:59", WR_TIME_CLOCK, 1439 + 59 / 60.0);
    expect("09:00:00.25", WR_TIME_CLOCK, 540 + 0.25 / 60);
    expect("09:00:00,25", WR_TIME_CLOCK, 540 + 0.25 / 60);
    expect("24:00", WR_TIME_CLOCK, 1440); /* ISO 8601: the end of the day */
    expect("24:00:00.0", WR_TIME_CLOCK, 1440);
    expect("23:59:60", WR_TIME_CLOCK, 1440);
    ck_assert_int_eq(parse("00:00:00.123456789").ns, 123456789);
    ck_assert_int_eq(parse("00:00:00.1234567899999999999999").ns, 123456789);
}
END_TEST

static bool is_plain_clock(const char *text, size_t len, int64_t *second)
{
    int h, m, s = 0;

    for (size_t i = 0; i < len; i++)
        if (i % 3 == 2 ? text[i] != ':' : text[i] < '0' || text[i] > '9') return false;
    if (sscanf(text, len == 8 ? "%2d:%2d:%2d" : "%2d:%2d", &h, &m, &s) < 2) return false;
    *second = h * 3600 + m * 60 + s;
    return h < 24 && m < 60 && s < 60;
}

/* Each of its bytes made any other, which may carry over to its neighbours. */
static void try_all_bytes(const char *text, size_t len)
{
    for (size_t i = 0; i < len; i++)
        for (int byte = 0; byte < 256; byte++) {
            char tried[9];
            int64_t second;
            struct wr_log_time t = {WR_TIME_NONE, 0, -1};
            memcpy(tried, text, len + 1);
            tried[i] = (char)byte;
            bool plain = is_plain_clock(tried, len, &second);
            ck_assert_msg(wr_parse_plain_clock(tried, len, &t) == plain, "byte %zu of '%s' made %d", i, text, byte);
            ck_assert(t.kind == (plain ? WR_TIME_CLOCK : WR_TIME_NONE));
            ck_assert(!plain || t.ns == second * INT64_C(1000000000));
        }
}

START_TEST(plain_clock_times)
{
    char text[9];

    for (int second = 0; second < 86400; second += 7) {
        struct wr_log_time t;
        snprintf(text, sizeof text, "%02d:%02d:%02d", second / 3600, second / 60 % 60, second % 60);
        ck_assert(wr_parse_plain_clock(text, 8, &t) && t.ns == second * INT64_C(1000000000));
        ck_assert(wr_parse_plain_clock(text, 5, &t) && t.ns == second / 60 * INT64_C(60000000000));
        for (size_t len = 0; len < 8; len++) ck_assert(len == 5 || !wr_parse_plain_clock(text, len, &t));
    }
    static const char *const clock[] = {"00:00:00", "09:05:59", "19:59:09", "23:59:59", "20:10:30"};
    for (size_t i = 0; i < sizeof clock / sizeof *clock; i++) {
        try_all_bytes(clock[i], 8);
        memcpy(text, clock[i], 5);
        text[5] = '\0';
        try_all_bytes(text, 5);
    }
}
END_TEST

START_TEST(elapsed_minutes)
{
    expect("0", WR_TIME_ELAPSED, 0);
    expect("12.5", WR_TIME_ELAPSED, 12.5);
    expect("-5", WR_TIME_ELAPSED, -5);
    expect("1e3", WR_TIME_ELAPSED, 1000);
    refuse("1e8", WR_TIME_TOO_FAR);
    refuse("-1e300", WR_TIME_TOO_FAR);
    refuse("nan", WR_TIME_NOT_A_TIME);
    refuse("inf", WR_TIME_NOT_A_TIME);
}
END_TEST

START_TEST(stamps)
{
    ck_assert_int_eq(parse("2031-03-04T09:00").kind, WR_TIME_STAMP);
    ck_assert_int_eq(parse("2031/03/04 09:00").ns, parse("2031-03-04t09:00:00.000").ns);
    ck_assert_int_eq(parse("2031-03-04 09:00:00+0130").ns, parse("2031-03-04T07:30:00Z").ns);
    ck_assert_int_eq(parse("2031-03-04 09:00:00 +01").ns, parse("2031-03-04 08:00:00z").ns);
    ck_assert_int_eq(parse("2031-03-04T24:00").ns, parse("2031-03-05T00:00").ns);
    ck_assert_int_eq(parse("2031-03-04T24:00").day, parse("2031-03-04T00:00").day);
    ck_assert_int_eq(parse("2031-03-04T09:00Z").kind, WR_TIME_ZONED);
    ck_assert_int_eq(parse("2031-03-04T09:00-00:00").ns, parse("2031-03-04T09:00").ns);
}
END_TEST

START_TEST(what_is_no_time)
{
    const char *none[] = {"", " ", ":", "9:5", "009:00", "9:00 ", " 9:00", "09:00:", "09:00:0", "09:00:00.", "09:00pm",
        "9:00 AM", "T09:00", "2031-03-04", "2031-03-04T", "2031-03-04T9", "2031-03/04T09:00", "31-03-04T09:00",
        "2031-3-4T09:00", "20310304T090000", "2031-03-04  09:00", "2031-03-04T09:00ZZ", "2031-03-04T09:00+", "-9:00",
        "2031-03-04T09:00+1", "2031-03-04T09:00+01:0", "09:00Z", "0x10", "1,5", "09.00.00", "+09:00",
        "2031-03-04T09:00 "};
    for (size_t i = 0; i < sizeof none / sizeof *none; i++)
        refuse(none[i], WR_TIME_NOT_A_TIME);
    refuse("25:00", WR_TIME_NO_SUCH_TIME);
    refuse("24:01", WR_TIME_NO_SUCH_TIME);
    refuse("24:00:00.1", WR_TIME_NO_SUCH_TIME);
    refuse("09:60", WR_TIME_NO_SUCH_TIME);
    refuse("09:00:61", WR_TIME_NO_SUCH_TIME);
    refuse("09:00:60", WR_TIME_NO_SUCH_TIME); /* no leap second there */
    refuse("24:59:60", WR_TIME_NO_SUCH_TIME);
    refuse("1990-12-31T22:59:60Z", WR_TIME_NO_SUCH_TIME);
    refuse("2031-03-04T09:00+24:00", WR_TIME_NO_SUCH_TIME);
    refuse("2031-03-04T09:00+01:60", WR_TIME_NO_SUCH_TIME);
    refuse("2031-13-01T09:00", WR_TIME_NO_SUCH_DATE);
    refuse("2031-00-01T09:00", WR_TIME_NO_SUCH_DATE);
    refuse("2031-04-31T09:00", WR_TIME_NO_SUCH_DATE);
    refuse("2031-04-00T09:00", WR_TIME_NO_SUCH_DATE);
    refuse("2100-02-29T09:00", WR_TIME_NO_SUCH_DATE);
    refuse("1699-12-31T09:00", WR_TIME_TOO_FAR);
    refuse("9999-12-31T09:00", WR_TIME_TOO_FAR);
    refuse("0000-01-01T09:00", WR_TIME_TOO_FAR);
}
END_TEST

START_TEST(length_counts_not_the_nul)
{
    struct wr_log_time t;

    ck_assert_int_eq(wr_parse_log_time("09:00:30", 5, &t), WR_TIME_OK);
    ck_assert_int_eq(t.ns, 540 * WR_NS_PER_MIN);
}
END_TEST

START_TEST(every_day_as_the_c_library_has_it)
{
    bool wide = sizeof(time_t) > 4; /* else the C library knows 1902 to 2037 */
    struct tm tm = {.tm_year = wide ? -70 : 2, .tm_mon = 0, .tm_mday = 1}; /* 1830 */
    char text[64], said[16];

    for (int i = 0; i < (wide ? 150000 : 49000); i++) { /* to 2240 */
        tm.tm_hour = 12;
        time_t seconds = timegm(&tm); /* brings tm into shape as well */
        snprintf(text, sizeof text, "%04d-%02d-%02d", tm.tm_year + 1900, tm.tm_mon + 1, tm.tm_mday);
        int64_t day;
        ck_assert_msg(wr_parse_log_date(text, strlen(text), &day), "refused %s", text);
        ck_assert_int_eq(day, (seconds - 43200) / 86400);
        wr_date_text(day, said);
        ck_assert_str_eq(said, text);
        tm.tm_mday++;
    }
}
END_TEST

START_TEST(dates)
{
    int64_t day = 7;
    const char *bad[] = {"", "2031", "2031-02-30", "04.03.2031", "2031-03-04x", "2031-03-04 x", "2031-03-04 ",
                         "Tuesday"};

    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) ck_assert(!wr_parse_log_date(bad[i], strlen(bad[i]), &day));
    ck_assert(wr_parse_log_date("2031/03/04", 10, &day) && day == 22342);
    ck_assert(wr_parse_log_date("2031-03-04T23:00-08:00", 22, &day) && day == 22342); /* the date as written */
}
END_TEST

START_TEST(what_is_said_of_a_time_that_is_none)
{
    struct wr_log_time time;
    char longest[80];

    memset(longest, '9', sizeof longest);
    ck_assert_int_eq(wr_parse_log_time(longest, 63, &time), WR_TIME_TOO_FAR);
    ck_assert_int_eq(wr_parse_log_time(longest, 64, &time), WR_TIME_NOT_A_TIME); /* no number of minutes is so long */
    ck_assert_ptr_nonnull(strstr(wr_time_trouble_text(WR_TIME_NO_SUCH_DATE), "no such date"));
    ck_assert_ptr_nonnull(strstr(wr_time_trouble_text(WR_TIME_NO_SUCH_TIME), "no such time of day"));
    ck_assert_ptr_nonnull(strstr(wr_time_trouble_text(WR_TIME_TOO_FAR), "too far away"));
    ck_assert_ptr_nonnull(strstr(wr_time_trouble_text(WR_TIME_NOT_A_TIME), "use HH:MM"));
    ck_assert_str_eq(wr_time_trouble_text(WR_TIME_OK), "fine");
}
END_TEST

Suite *suite_log_time(void);
Suite *suite_log_time(void)
{
    Suite *s = suite_create("log_time");
    TCase *t = tcase_create("log_time");

    tcase_add_test(t, rfc3339_examples);
    tcase_add_test(t, clock_times);
    tcase_add_test(t, plain_clock_times);
    tcase_add_test(t, elapsed_minutes);
    tcase_add_test(t, stamps);
    tcase_add_test(t, what_is_no_time);
    tcase_add_test(t, length_counts_not_the_nul);
    tcase_add_test(t, every_day_as_the_c_library_has_it);
    tcase_add_test(t, dates);
    tcase_add_test(t, what_is_said_of_a_time_that_is_none);
    suite_add_tcase(s, t);
    return s;
}
