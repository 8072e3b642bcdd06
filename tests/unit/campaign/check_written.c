/* Numbers, times, dates as people write them. Expected values are plain arithmetic on the texts; day numbers of
 * spreadsheets: ISO/IEC 29500-1, 18.17.4.1 (dates as days, 1899-12-30 being day 0; from memory), 25569 being
 * 1970-01-01. */
#include <check.h>
#include <math.h>
#include <stdio.h>
#include <string.h>
#include "wetrun/campaign/written.h"

static void expect_time(const char *text, struct wr_habits habits, enum wr_time_kind kind, double minutes,
                        enum wr_spelling spelling)
{
    struct wr_log_time time = {0};
    enum wr_spelling got;
    const char *trouble = wr_written_time(text, strlen(text), &habits, &time, &got);

    ck_assert_msg(trouble == NULL, "'%s': %s", text, trouble);
    ck_assert_msg(time.kind == kind, "'%s': kind %d", text, time.kind);
    ck_assert_msg(got == spelling, "'%s': spelling %d", text, got);
    ck_assert_msg(fabs((double)time.ns / 6e10 - minutes) < 1e-9, "'%s': %.6f min", text, (double)time.ns / 6e10);
}

static void refuse_time(const char *text, struct wr_habits habits, const char *part)
{
    struct wr_log_time time;
    enum wr_spelling spelling;
    const char *trouble = wr_written_time(text, strlen(text), &habits, &time, &spelling);

    ck_assert_msg(trouble != NULL, "'%s' was taken", text);
    ck_assert_msg(strstr(trouble, part) != NULL, "'%s': %s", text, trouble);
}

static const struct wr_habits plain = {0};

START_TEST(times_of_day)
{
    expect_time("09:30", plain, WR_TIME_CLOCK, 570, WR_PLAIN);
    expect_time("9:05:30.5", plain, WR_TIME_CLOCK, 545.5 + 0.5 / 60, WR_PLAIN);
    expect_time("9:5", plain, WR_TIME_CLOCK, 545, WR_SP_ONE_DIGIT);
    expect_time("9h30", plain, WR_TIME_CLOCK, 570, WR_SP_HOUR_LETTER);
    expect_time("9h", plain, WR_TIME_CLOCK, 540, WR_SP_HOUR_LETTER);
    expect_time("9 H 05", plain, WR_TIME_CLOCK, 545, WR_SP_HOUR_LETTER);
    expect_time("9:30 AM", plain, WR_TIME_CLOCK, 570, WR_SP_AM_PM);
    expect_time("9:30pm", plain, WR_TIME_CLOCK, 1290, WR_SP_AM_PM);
    expect_time("12:15 a.m.", plain, WR_TIME_CLOCK, 15, WR_SP_AM_PM);
    expect_time("12 PM", plain, WR_TIME_CLOCK, 720, WR_SP_AM_PM);
    expect_time("24:10", plain, WR_TIME_CLOCK, 10, WR_SP_PAST_MIDNIGHT);
    expect_time("25:10:30", plain, WR_TIME_CLOCK, 70.5, WR_SP_PAST_MIDNIGHT);
    expect_time("0905Z", plain, WR_TIME_CLOCK, 545, WR_SP_ZONE);
    expect_time("9:05 utc", plain, WR_TIME_CLOCK, 545, WR_SP_ZONE);
    expect_time("9:30 PM GMT", plain, WR_TIME_CLOCK, 1290, WR_SP_ZONE);
    expect_time("905 hrs", plain, WR_TIME_CLOCK, 545, WR_SP_HOUR_LETTER);
    expect_time("~9:05", plain, WR_TIME_CLOCK, 545, WR_SP_ABOUT);
    expect_time("ca. 0905Z", plain, WR_TIME_CLOCK, 545, WR_SP_ABOUT);
    expect_time("\xe2\x89\x88 26.5", plain, WR_TIME_ELAPSED, 26.5, WR_SP_ABOUT);
    expect_time("9:30 am.", plain, WR_TIME_CLOCK, 570, WR_SP_AM_PM);
    expect_time("9:30 a.m", plain, WR_TIME_CLOCK, 570, WR_SP_AM_PM);
    expect_time("9:05:30 pm.", plain, WR_TIME_CLOCK, 1265.5, WR_SP_AM_PM);
    expect_time("9 h", plain, WR_TIME_CLOCK, 540, WR_SP_HOUR_LETTER);
    expect_time("25:05:30.5", plain, WR_TIME_CLOCK, 65.5 + 0.5 / 60, WR_SP_PAST_MIDNIGHT);
    expect_time("24:00:00,5", plain, WR_TIME_CLOCK, 0.5 / 60, WR_SP_PAST_MIDNIGHT);
    expect_time("~9:05 Z", plain, WR_TIME_CLOCK, 545, WR_SP_ABOUT);
    expect_time("ca 9:05GMT", plain, WR_TIME_CLOCK, 545, WR_SP_ABOUT);
    expect_time("905h", plain, WR_TIME_CLOCK, 545, WR_SP_HOUR_LETTER);
    expect_time("3.30Z", plain, WR_TIME_CLOCK, 210, WR_SP_ZONE);
    refuse_time("25:05:30.", plain, "not a time");
    refuse_time("25:05:30.5x", plain, "no such time");
    refuse_time("25:05:3", plain, "not a time");
    refuse_time("25:05x", plain, "no such time");
    refuse_time("9:05:75 PM", plain, "no such time");
    refuse_time("13 PM", plain, "no such time");
    refuse_time("9h60", plain, "no such time");
    refuse_time("9:30 xm", plain, "not a time");
    refuse_time("9 x", plain, "not a time");
    refuse_time("12.5Z", plain, "five or fifty");
    refuse_time("~1234567890123456789012345678901234567890:00", plain, "not a time");
    refuse_time("0975Z", plain, "not a time");
    refuse_time("Z", plain, "not a time");
    refuse_time("~", plain, "not a time");
    refuse_time("9:05 CET", plain, "not a time");
    refuse_time("9:05?", plain, "without its question mark");
    refuse_time("13:00 PM", plain, "no such time");
    refuse_time("0:30 AM", plain, "no such time");
    refuse_time("48:00", plain, "no such time");
    refuse_time("9:60", plain, "no such time");
    refuse_time("9:5:30", plain, "not a time");
    refuse_time("9x", plain, "not a time");
    refuse_time("9:05 xZ", plain, "not a time");
    expect_time("~90", plain, WR_TIME_ELAPSED, 90, WR_SP_ABOUT);
    refuse_time("AM", plain, "not a time");
    refuse_time("", plain, "not a time");
}
END_TEST

START_TEST(numbers_as_times)
{
    struct wr_habits clock = {.bare = WR_BARE_CLOCK, .whole_hours = true}, bare = {.bare = WR_BARE_CLOCK};
    struct wr_habits dropped = {.bare = WR_BARE_CLOCK, .whole_hours = true, .zeros_were_dropped = true};
    struct wr_habits day = {.bare = WR_BARE_DAY}, comma = {.decimal_comma = true},
                     seconds = {.minutes_per_unit = 1 / 60.0};
    struct wr_habits since = {.colons_are_elapsed = true};

    expect_time("12.5", plain, WR_TIME_ELAPSED, 12.5, WR_PLAIN);
    expect_time("12,5", comma, WR_TIME_ELAPSED, 12.5, WR_SP_DECIMAL_COMMA);
    refuse_time("12,5", plain, "not a time");
    expect_time("90", seconds, WR_TIME_ELAPSED, 1.5, WR_SP_OTHER_UNIT);
    expect_time("1:30", since, WR_TIME_ELAPSED, 90, WR_SP_HMM);
    expect_time("9.05", clock, WR_TIME_CLOCK, 545, WR_SP_POINT_CLOCK);
    expect_time("9", clock, WR_TIME_CLOCK, 540, WR_SP_POINT_CLOCK);
    expect_time("9.3", dropped, WR_TIME_CLOCK, 570, WR_SP_POINT_CLOCK);
    refuse_time("9.3", clock, "five or fifty");
    refuse_time("9.75", clock, "above 59");
    expect_time("0905", bare, WR_TIME_CLOCK, 545, WR_SP_BARE_CLOCK);
    expect_time("1410", bare, WR_TIME_CLOCK, 850, WR_SP_BARE_CLOCK);
    expect_time("5", bare, WR_TIME_CLOCK, 5, WR_SP_BARE_CLOCK); /* 0005, its zeros gone */
    refuse_time("0975", bare, "not a time of day");
    expect_time("2400", bare, WR_TIME_CLOCK, 1440,
                WR_SP_BARE_CLOCK); /* the end of the day; what is past it is of the next */
    expect_time("2410", clock, WR_TIME_CLOCK, 10, WR_SP_BARE_CLOCK);
    expect_time("24.10", clock, WR_TIME_CLOCK, 10, WR_SP_POINT_CLOCK);
    refuse_time("2460", bare, "not a time of day");
    refuse_time("12345", bare, "not a time of day");
    refuse_time("12.345", clock, "above 59");
    refuse_time("31.5", clock, "above 59");
    expect_time("1", day, WR_TIME_CLOCK, 1440, WR_SP_DAY_FRACTION);
    expect_time("0", day, WR_TIME_CLOCK, 0, WR_SP_DAY_FRACTION);
    refuse_time("100001", day, "not a fraction");
    refuse_time("2e7", plain, "too far away");
    refuse_time("-2e7", plain, "too far away");
    refuse_time("1:30Z", since, "not a time"); /* a zone has times of day only */
    expect_time("0.375", day, WR_TIME_CLOCK, 540, WR_SP_DAY_FRACTION);
    expect_time("0.393171", day, WR_TIME_CLOCK, 566 + 10 / 60.0, WR_SP_DAY_FRACTION); /* 9:26:10, to the second */
    expect_time("25570.5", day, WR_TIME_STAMP, 1.5 * 1440, WR_SP_DAY_FRACTION);
    refuse_time("-0.5", day, "not a fraction");
}
END_TEST

START_TEST(dates_and_stamps)
{
    struct wr_habits dmy = {.order = WR_DAY_FIRST}, mdy = {.order = WR_MONTH_FIRST};
    const struct { const char *text; struct wr_habits habits; int64_t day; enum wr_spelling spelling;
    } good[] = {
        {"1970-01-02", plain, 1, WR_PLAIN},   {"1970-1-2", plain, 1, WR_SP_DATE},
        {"2.1.1970", plain, 1, WR_SP_DATE},   {"2/1/1970", dmy, 1, WR_SP_DATE},
        {"2/1/1970", mdy, 31, WR_SP_DATE},    {"3/3/1970", plain, 61, WR_SP_DATE},
        {"1970/1/2", plain, 1, WR_SP_DATE},   {"1970-1-2T9:00", plain, 1, WR_SP_DATE},
        {"2.1.1970 x", plain, 1, WR_SP_DATE},
    };
    enum wr_spelling spelling;
    int64_t day;

    for (size_t i = 0; i < sizeof good / sizeof *good; i++) {
        ck_assert_ptr_null(wr_written_date(good[i].text, strlen(good[i].text), &good[i].habits, &day, &spelling));
        ck_assert_msg(day == good[i].day && spelling == good[i].spelling, "%s: day %d", good[i].text, (int)day);
    }
    const char *bad[] = {"2/1/1970",  "31.2.1970", "3.3.31",     "3-4-2031",  "",         "1970-1",
                         "2031-3-3x", "x",         "3x3x2031",   "3.3",       "3.x.1970", "3..1970",
                         "2031-3-",   "2031-3/3",  "123.1.1970", "12345-1-1", "1970-0-1", "1970-13-1",
                         "2031"};
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++)
        ck_assert_msg(wr_written_date(bad[i], strlen(bad[i]), &plain, &day, &spelling) != NULL, "'%s' was taken",
                      bad[i]);
    ck_assert_ptr_nonnull(strstr(wr_written_date("2/1/1970", 8, &plain, &day, &spelling), "--dates"));
    expect_time("2.1.1970 09:00", plain, WR_TIME_STAMP, 1440 + 540, WR_SP_DATE);
    expect_time("1970-1-2 09:00Z", plain, WR_TIME_ZONED, 1440 + 540, WR_SP_DATE);
    expect_time("1/2/1970 9:00 AM", mdy, WR_TIME_STAMP, 1440 + 540, WR_SP_AM_PM);
    refuse_time("1/2/1970 9:00 AM", plain, "--dates");
    expect_time("~1970-01-02 09:05", plain, WR_TIME_STAMP, 1440 + 545, WR_SP_ABOUT);
    refuse_time("2.1.1970", plain, "not a time");
    refuse_time("2.1.1970x09:00", plain, "not a time");
    refuse_time("2.1.1970 ", plain, "not a time");
    refuse_time("2.1.1970 0905", plain, "not a time");
    refuse_time("2.1.1970 9", plain, "not a time");
    expect_time("2.1.1970T09:00", plain, WR_TIME_STAMP, 1440 + 540, WR_SP_DATE);
    refuse_time("2.1.1970 25:00", plain, "no such time of day");
    refuse_time("1970-02-31 09:00", plain, wr_time_trouble_text(WR_TIME_NO_SUCH_DATE));
}
END_TEST

/* The two numbers tell day from month: 13 to 31 can only be a day. */
START_TEST(parts_of_a_date_with_slashes)
{
    const struct {
        const char *text;
        bool is;
        int first, second;
    } row[] = {
        {"3/4/1970", true, 3, 4},    {"13/4/1970 9:00", true, 13, 4},
        {"3/4/70", false, 0, 0},     {"3/4", false, 0, 0},
        {"3", false, 0, 0},          {"/3/4", false, 0, 0},
        {"3//1970", false, 0, 0},    {"3/4/1970x", false, 0, 0},
        {"3-4-1970", false, 0, 0},   {"3/4-1970", false, 0, 0},
        {"123/4/1970", false, 0, 0},
    };

    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        int first = -1, second = -1;
        bool is = wr_slash_date_parts(row[i].text, strlen(row[i].text), &first, &second);
        ck_assert_msg(is == row[i].is, "'%s'", row[i].text);
        ck_assert_msg(!is || (first == row[i].first && second == row[i].second), "'%s': %d, %d", row[i].text, first,
                      second);
    }
}
END_TEST

START_TEST(shapes_of_bare_numbers)
{
    const struct {
        const char *text;
        bool number, clock, point, fraction, four, zero;
    } row[] = {
        {"0930", true, true, false, false, true, true},    {"930", true, true, false, false, false, false},
        {"9", true, true, true, false, false, false},      {"31", true, true, false, false, false, false},
        {"2459", true, true, false, false, true, false},   {"2460", true, false, false, false, true, false},
        {"9.30", true, false, true, true, false, false},   {"9.60", true, false, false, true, false, false},
        {"31.10", true, false, false, true, false, false}, {"9.305", true, false, false, true, false, false},
        {"5.", true, false, false, false, false, false},   {".5", true, false, false, false, false, false},
        {"1e3", true, false, false, false, false, false},  {"", false, false, false, false, false, false},
        {"9,3", false, false, false, false, false, false}, {"x", false, false, false, false, false, false},
    };

    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        struct wr_bare_shape s = wr_bare_shape_of(row[i].text, strlen(row[i].text), false);
        ck_assert_msg(s.is_number == row[i].number && s.bare_clock == row[i].clock && s.point_clock == row[i].point &&
                          s.has_fraction == row[i].fraction && s.four_digits == row[i].four &&
                          s.leading_zero == row[i].zero,
                      "'%s'", row[i].text);
    }
    ck_assert(wr_bare_shape_of("9,3", 3, true).point_clock);
}
END_TEST

START_TEST(spans_and_moments)
{
    struct wr_habits comma = {.decimal_comma = true};
    enum wr_spelling spelling;
    double v;

    const struct { const char *text; double minutes; enum wr_spelling spelling;
    } span[] = {
        {"26.5", 26.5, WR_PLAIN},        {"0:26", 26, WR_SP_HMM},          {"1:02:30", 62.5, WR_SP_HMM},
        {"3 min", 3, WR_SP_UNIT},        {"1.5 h", 90, WR_SP_UNIT},        {"90s", 1.5, WR_SP_UNIT},
        {"1h30", 90, WR_SP_HOUR_LETTER}, {"1h30m", 90, WR_SP_HOUR_LETTER}, {"3'", 3, WR_SP_UNIT},
        {"1h2", 62, WR_SP_HOUR_LETTER},  {"13h", 780, WR_SP_HOUR_LETTER},  {"12:00:30", 720.5, WR_SP_HMM},
        {"3 '", 3, WR_SP_UNIT},          {"2 hrs", 120, WR_SP_UNIT},       {"30 sec.", 0.5, WR_SP_UNIT},
    };
    const char *none[] = {
        "1:2",       "1:60", "1:02:60", "1:02:3", "1:02:30m", "1h30x",   "100000:00",
        "3 parsecs", "min",  "3 min x", "3''",    "3,5 min",  "1.2.3 h", "12345678901234567890123456789012345 min",
        "9e306 h",   ":30",  ""};
    for (size_t i = 0; i < sizeof span / sizeof *span; i++) {
        ck_assert_ptr_null(wr_written_span(span[i].text, &plain, &v, &spelling));
        ck_assert_msg(fabs(v - span[i].minutes) < 1e-9 && spelling == span[i].spelling, "%s: %g", span[i].text, v);
    }
    for (size_t i = 0; i < sizeof none / sizeof *none; i++)
        ck_assert_msg(wr_written_span(none[i], &plain, &v, &spelling) != NULL, "'%s' was taken", none[i]);
    ck_assert_ptr_null(wr_written_span("3,5 min", &comma, &v, &spelling));
    ck_assert_double_eq(v, 3.5);
    ck_assert_ptr_nonnull(wr_written_span("3'30", &plain, &v, &spelling));
    ck_assert_ptr_nonnull(strstr(wr_written_span("26:10", &plain, &v, &spelling), "minutes and seconds?"));
    ck_assert_ptr_null(wr_written_span("0:26:10", &plain, &v, &spelling));
    ck_assert_double_eq_tol(v, 26 + 10 / 60.0, 1e-12);
    ck_assert_ptr_null(wr_written_span("26,5", &comma, &v, &spelling));
    ck_assert_ptr_nonnull(wr_written_span("26,5", &plain, &v, &spelling));
    ck_assert_ptr_nonnull(wr_written_span("inf", &plain, &v, &spelling));
    const struct wr_habits hours = {.minutes_per_unit = 60};
    ck_assert_ptr_nonnull(strstr(wr_written_span("9e306", &hours, &v, &spelling), "too large"));
    ck_assert_ptr_null(wr_written_moment("6:30", &plain, &v, &spelling));
    ck_assert(v == 390 && spelling == WR_PLAIN);
    ck_assert_ptr_null(wr_written_moment("26:10", &plain, &v, &spelling));
    ck_assert_ptr_nonnull(strstr(wr_written_moment("6.30", &plain, &v, &spelling), "write h:mm"));
    ck_assert_ptr_nonnull(strstr(wr_written_moment("6.3", &plain, &v, &spelling), "write h:mm"));
    ck_assert_ptr_null(wr_written_moment("390.5", &plain, &v, &spelling)); /* no hours and minutes look so */
    ck_assert_ptr_null(wr_written_moment("6.75", &plain, &v, &spelling));
    ck_assert_ptr_null(wr_written_moment("26.30", &plain, &v, &spelling)); /* 26 h 30 would be a day and more */
    ck_assert_double_eq(v, 26.3);
    ck_assert_ptr_nonnull(wr_written_moment("soon", &plain, &v, &spelling));
    ck_assert_ptr_nonnull(wr_written_number("1,2,3", &comma, &v, &spelling));
    ck_assert_ptr_nonnull(wr_written_number("1,2.3", &comma, &v, &spelling));
    ck_assert_ptr_nonnull(
        wr_written_number("0,1234567890123456789012345678901234567890123456789012345678901234", &comma, &v, &spelling));
    ck_assert_ptr_nonnull(wr_written_confidence("0.1234567890123456789012345678901234567890123456789012345678901234",
                                                &plain, &v, &spelling));
}
END_TEST

START_TEST(confidences)
{
    enum wr_spelling spelling;
    double v;
    const struct {
        const char *text;
        double prob;
    } good[] = {{"0.9", 0.9}, {"90", 0.9}, {"90 %", 0.9}, {"99.5%", 0.995}, {"0.999", 0.999}, {"99.9 %", 0.999},
                {"P90", 0.9}, {"p99.5", 0.995}, {"P90 %", 0.9}};

    for (size_t i = 0; i < sizeof good / sizeof *good; i++) {
        ck_assert_ptr_null(wr_written_confidence(good[i].text, &plain, &v, &spelling));
        ck_assert_double_eq_tol(v, good[i].prob, 1e-12);
    }
    const char *bad[] = {"0", "1",           "100", "100 %", "-1",     "x",       "",
                         "%", "0.9 of them", "0.5", "0.3",   "0.9999", "99.99 %", "0.999999",
                         "P", "P0.9", "P-1", "P 101"};
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++)
        ck_assert_msg(wr_written_confidence(bad[i], &plain, &v, &spelling) != NULL, "'%s' was taken", bad[i]);
}
END_TEST

START_TEST(what_was_read_is_counted)
{
    struct wr_read_as tally = {0};
    struct wr_findings findings = {0};

    wr_read_as_note(&tally, WR_PLAIN, 2, 3, "9:30", NULL);
    wr_read_as_report(&tally, "runs.csv", &findings);
    ck_assert_uint_eq(findings.n_finding, 0);
    for (int i = 0; i < 3; i++) wr_read_as_note(&tally, WR_SP_AM_PM, (size_t)(5 + i), 7, "9:30 PM", "21:30:00");
    wr_read_as_report(&tally, "runs.csv", &findings);
    ck_assert_uint_eq(findings.n_finding, 1);
    ck_assert_str_eq(findings.finding[0].code, "read-as");
    ck_assert_uint_eq(findings.finding[0].line, 5);
    ck_assert_str_eq(findings.finding[0].message,
                     "'9:30 PM' is read as a time with AM or PM: 21:30:00 (the first of 3)");
    wr_findings_release(&findings);
}
END_TEST

/* Words and names are counted each, for the second may mean something else than the first. */
START_TEST(words_are_counted_each)
{
    static const char *const expected[] = {"'yes' is read as an outcome in another word: done (2 times)",
                                           "'cut off' is read as an outcome in another word: stopped",
                                           "an empty cell that means the one above (2 times)"};
    struct wr_read_as tally = {0};
    struct wr_findings findings = {0};

    wr_read_as_note(&tally, WR_SP_OUTCOME, 2, 3, "yes", "done");
    wr_read_as_note(&tally, WR_SP_FILLED, 3, 1, NULL, NULL);
    wr_read_as_note(&tally, WR_SP_OUTCOME, 3, 3, "cut off", "stopped");
    wr_read_as_note(&tally, WR_SP_OUTCOME, 4, 3, "yes", "done");
    wr_read_as_note(&tally, WR_SP_FILLED, 4, 1, NULL, NULL);
    wr_read_as_report(&tally, "runs.csv", &findings);
    ck_assert_uint_eq(findings.n_finding, 3);
    for (size_t i = 0; i < 3; i++) ck_assert_str_eq(findings.finding[i].message, expected[i]);
    wr_findings_release(&findings);
    tally = (struct wr_read_as){0};
    for (size_t i = 0; i < WR_MOST_WORDS_TALLIED + 3; i++) {
        char word[16];
        snprintf(word, sizeof word, "word %zu", i);
        wr_read_as_note(&tally, WR_SP_OUTCOME, i + 2, 3, word, "done");
    }
    wr_read_as_report(&tally, "runs.csv", &findings);
    ck_assert_uint_eq(findings.n_finding, WR_MOST_WORDS_TALLIED + 1); /* the others are counted together */
    ck_assert_ptr_nonnull(strstr(findings.finding[0].message, "(the first of 3)"));
    wr_findings_release(&findings);
}
END_TEST

Suite *suite_written(void);
Suite *suite_written(void)
{
    Suite *s = suite_create("written");
    TCase *t = tcase_create("written");

    tcase_add_test(t, times_of_day);
    tcase_add_test(t, numbers_as_times);
    tcase_add_test(t, dates_and_stamps);
    tcase_add_test(t, parts_of_a_date_with_slashes);
    tcase_add_test(t, shapes_of_bare_numbers);
    tcase_add_test(t, spans_and_moments);
    tcase_add_test(t, confidences);
    tcase_add_test(t, what_was_read_is_counted);
    tcase_add_test(t, words_are_counted_each);
    suite_add_tcase(s, t);
    return s;
}
