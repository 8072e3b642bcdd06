/* series.csv and spill.csv: every refusal has its code, its line and its column. */
#include <check.h>
#include <stdio.h>
#include <string.h>
#include "wetrun/base/str.h"
#include "wetrun/campaign/series.h"

static const char good_series[] = "excursion,campaign,date\nOne,one,2031-04-18\nTwo,two,2031-05-09\nThree,three,\n";

static const struct {
    const char *rows, *code;
    size_t line, column;
} bad_series[] = {
    {",one,\n", "no-name", 2, 1},
    {"One,one,\nOne,two,\n", "excursion-twice", 3, 1},
    {"One,,\n", "no-campaign", 2, 5},
    {"One,one,2031-05-09\nTwo,two,2031-04-18\n", "dates-fall", 3, 9},
    {"One,one,9.5.2031\nTwo,two,18.4.2031\n", "dates-fall", 3, 9},
    {"One,one,2031-05-09\nTwo,two,\nThree,three,2031-04-18\n", "dates-fall", 4, 13},
    {"One,one,2031-02-30\n", "bad-date", 2, 9},
    {"One,one,3/4/2031\n", "bad-date", 2, 9}, /* 3 April or 4 March */
    {"One,one,\nTwo,one,\n", "campaign-twice", 3, 5},
};

static enum wr_status read_series(struct wr_series_files *s, const char *text, struct wr_findings *findings)
{
    struct wr_error err = {0};

    return wr_series_read_bytes(s, "series.csv", text, strlen(text), findings, &err);
}

static void expect_finding(const struct wr_findings *findings, const char *code, size_t line, size_t column)
{
    ck_assert_msg(findings->n_finding == 1, "%s: %zu findings", code, findings->n_finding);
    ck_assert_str_eq(findings->finding[0].code, code);
    ck_assert_uint_eq(findings->finding[0].line, line);
    ck_assert_uint_eq(findings->finding[0].column, column);
}

START_TEST(excursions_in_the_order_flown)
{
    struct wr_series_files s = {0};
    struct wr_findings findings = {0};

    ck_assert_int_eq(read_series(&s, good_series, &findings), WR_OK);
    ck_assert_uint_eq(s.n_row, 3);
    ck_assert_str_eq(s.row[1].excursion, "Two");
    ck_assert_str_eq(s.row[2].campaign, "three");
    ck_assert_uint_eq(s.row[2].line, 4);
    ck_assert_uint_eq(findings.n_finding, 0);
    wr_series_files_release(&s);
    wr_findings_release(&findings);
}
END_TEST

/* Two excursions of a day are believed and asked about, in the order of the rows. */
START_TEST(two_on_one_day)
{
    struct wr_series_files s = {0};
    struct wr_findings findings = {0};

    ck_assert_int_eq(read_series(&s, "excursion,campaign,date\nOne,one,2031-05-09\nTwo,two,9.5.2031\n", &findings),
                     WR_OK);
    ck_assert_uint_eq(s.n_row, 2);
    expect_finding(&findings, "dates-alike", 3, 9);
    ck_assert_int_eq(findings.finding[0].severity, WR_WARNING);
    wr_series_files_release(&s);
    wr_findings_release(&findings);
}
END_TEST

/* Who flies, with whatever blanks; a lane and a person stand there once. */
START_TEST(who_flies)
{
    static const struct { const char *people, *code; } c[] = {
        {"EV1=Ann;EV2=Bob", NULL}, {" EV1 = Ann ;\tEV2\t= Bob\t", NULL}, {"EV1=Ann;EV2=Bob;", "no-seat"},
        {"Ann", "no-seat"}, {"=Ann", "no-seat"}, {"EV1=", "no-seat"}, {"EV1= ;EV2=Bob", "no-seat"},
        {"0123456789012345678901234567890123456789012345678901234567890123456789", "no-seat"},
        {"EV1=Ann;EV1=Bob", "seat-twice"}, {"EV1=Ann;EV2=Ann", "seat-twice"}};

    for (size_t i = 0; i < sizeof c / sizeof *c; i++) {
        struct wr_series_files s = {0};
        struct wr_findings findings = {0};
        char text[200];
        snprintf(text, sizeof text, "excursion,campaign,date,people\nOne,one,,%s\n", c[i].people);
        enum wr_status status = read_series(&s, text, &findings);
        ck_assert_msg(status == (c[i].code ? WR_E_INPUT : WR_OK), "'%s'", c[i].people);
        if (c[i].code) {
            ck_assert_str_eq(findings.finding[0].code, c[i].code);
            if (c[i].people[0] == '0') /* 60 characters of it are enough */
                ck_assert_ptr_eq(
                    strstr(findings.finding[0].message,
                           "'012345678901234567890123456789012345678901234567890123456789' is not LANE=NAME"),
                    findings.finding[0].message);
        } else {
            ck_assert_uint_eq(s.row[0].n_seat, 2);
            ck_assert_str_eq(s.row[0].seat[0].lane, "EV1");
            ck_assert_str_eq(s.row[0].seat[0].name, "Ann");
            ck_assert_str_eq(s.row[0].seat[1].lane, "EV2");
            ck_assert_str_eq(s.row[0].seat[1].name, "Bob");
        }
        wr_series_files_release(&s);
        wr_findings_release(&findings);
    }
}
END_TEST

/* Dates are held against each other only where they are said in numbers. */
START_TEST(dates_that_say_nothing_of_the_order)
{
    const char *rows[] = {"One,one,\nTwo,two,2031-04-18\n", "One,one,2031-04-18\nTwo,two,\n",
                          "One,one,spring\nTwo,two,2031-04-18\n", "One,one,2031-04-18\nTwo,two,spring\n"};

    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct wr_series_files s = {0};
        struct wr_findings findings = {0};
        char text[200];
        snprintf(text, sizeof text, "excursion,campaign,date\n%s", rows[i]);
        ck_assert_int_eq(read_series(&s, text, &findings), WR_OK);
        ck_assert_msg(s.n_row == 2 && findings.n_finding == 0, "series %zu", i);
        wr_series_files_release(&s);
        wr_findings_release(&findings);
    }
}
END_TEST

START_TEST(a_bad_excursion_is_placed)
{
    struct wr_series_files s = {0};
    struct wr_findings findings = {0};
    char text[200];

    snprintf(text, sizeof text, "excursion,campaign,date\n%s", bad_series[_i].rows);
    ck_assert_int_eq(read_series(&s, text, &findings), WR_E_INPUT);
    expect_finding(&findings, bad_series[_i].code, bad_series[_i].line, bad_series[_i].column);
    wr_series_files_release(&s);
    wr_findings_release(&findings);
}
END_TEST

START_TEST(more_excursions_than_a_series_holds)
{
    struct wr_series_files s = {0};
    struct wr_findings findings = {0};
    char text[64 * (WR_MOST_EXCURSIONS + 2)];
    int n = snprintf(text, sizeof text, "excursion,campaign\n");

    ck_assert_int_eq(read_series(&s, text, &findings), WR_E_INPUT); /* a header alone is no series */
    wr_series_files_release(&s);
    for (int i = 0; i <= WR_MOST_EXCURSIONS; i++)
        n += snprintf(text + n, sizeof text - (size_t)n, "E%d,folder%d\n", i, i);
    s = (struct wr_series_files){0};
    ck_assert_int_eq(read_series(&s, text, &findings), WR_E_INPUT);
    expect_finding(&findings, "many-excursions", WR_MOST_EXCURSIONS + 2, 1);
    ck_assert_uint_eq(s.n_row, WR_MOST_EXCURSIONS);
    wr_series_files_release(&s);
    wr_findings_release(&findings);
}
END_TEST

/* ---- what goes on from one excursion to a later one ---- */

static const struct {
    const char *rows, *code;
    size_t line, column;
} bad_spill[] = {
    {",One,Two,,,,\n", "no-name", 2, 1},
    {"A,One,One,,,,\n", "spill-backwards", 2, 7},
    {"A,Two,One,,,,\n", "spill-backwards", 2, 7},
    {"A,Four,Two,,,,\n", "unknown-excursion", 2, 3},
    {"A,One,Tow,,,,\n", "unknown-excursion", 2, 7},
    {"A,One,Two,,,,\nA,One,Three,,,,\n", "spill-twice", 3, 1},
    {"A,One,Two,soon,,,\n", "bad-number", 2, 11},
};

static enum wr_status read_spill(struct wr_series_files *s, const char *rows, struct wr_findings *findings)
{
    struct wr_error err = {0};
    char text[300];

    ck_assert_int_eq(read_series(s, good_series, findings), WR_OK);
    snprintf(text, sizeof text, "task,from,to,setup,before,drop_after,stop\n%s", rows);
    return wr_spill_read_bytes(s, "spill.csv", text, strlen(text), findings, &err);
}

START_TEST(work_that_goes_on)
{
    struct wr_series_files s = {0};
    struct wr_findings findings = {0};

    ck_assert_int_eq(read_spill(&s, "A,One,Three,0:10,B,1:30,90\nA,Two,Three,,,,\nB,One,Three,,,,\n", &findings),
                     WR_OK);
    ck_assert_uint_eq(s.n_spill, 3); /* the same task from two excursions, two tasks from one */
    ck_assert(s.spill[0].from == 0 && s.spill[0].to == 2);
    ck_assert_double_eq(s.spill[0].setup_min, 10);
    ck_assert(s.spill[0].drop_after_min.known && s.spill[0].drop_after_min.value == 90);
    ck_assert(s.spill[0].stop_min.known && s.spill[0].stop_min.value == 90);
    ck_assert_str_eq(s.spill[0].before, "B");
    ck_assert_double_eq(s.spill[1].setup_min, 0);
    ck_assert(!s.spill[1].drop_after_min.known && !s.spill[1].stop_min.known);
    wr_series_files_release(&s);
    wr_findings_release(&findings);
}
END_TEST

START_TEST(bad_work_that_goes_on_is_placed)
{
    struct wr_series_files s = {0};
    struct wr_findings findings = {0};

    ck_assert_int_eq(read_spill(&s, bad_spill[_i].rows, &findings), WR_E_INPUT);
    expect_finding(&findings, bad_spill[_i].code, bad_spill[_i].line, bad_spill[_i].column);
    wr_series_files_release(&s);
    wr_findings_release(&findings);
}
END_TEST

/* Columns spelt otherwise are read; any other is told by name, all of a file at once. */
START_TEST(columns_of_other_names)
{
    static const char *const header[] = {"task,from,to,set-up,before,drop-after",
                                         "Task,From,To,setup minutes,before,drop after min",
                                         "task,from,to,Setup (min),be-fore,DROP_AFTER_MINS"};
    struct wr_findings findings = {0};
    struct wr_series_files s = {0};
    struct wr_error err = {0};
    WR_SCOPED_STR text = {0};

    for (size_t i = 0; i < sizeof header / sizeof *header; i++) {
        struct wr_series_files spelt = {0};
        ck_assert_int_eq(read_series(&spelt, good_series, &findings), WR_OK);
        wr_str_clear(&text);
        wr_str_addf(&text, "%s\nA,One,Two,4,B,90\n", header[i]);
        ck_assert_int_eq(wr_spill_read_bytes(&spelt, "spill.csv", text.text, text.len, &findings, &err), WR_OK);
        ck_assert_double_eq(spelt.spill[0].setup_min, 4);
        ck_assert_str_eq(spelt.spill[0].before, "B");
        ck_assert(spelt.spill[0].drop_after_min.known && spelt.spill[0].drop_after_min.value == 90);
        ck_assert_uint_eq(wr_findings_count(&findings, WR_WARNING), 0);
        wr_series_files_release(&spelt);
    }
    wr_findings_release(&findings);
    findings = (struct wr_findings){0};
    ck_assert_int_eq(read_series(&s, good_series, &findings), WR_OK);
    wr_str_clear(&text);
    wr_str_add(&text, "task,from,to,in front of,task minutes\nA,One,Two,B,4\n");
    ck_assert_int_eq(wr_spill_read_bytes(&s, "a/spill.csv", text.text, text.len, &findings, &err), WR_OK);
    expect_finding(&findings, "column-unread", 1, 14);
    ck_assert_ptr_nonnull(strstr(findings.finding[0].message, "header of spill.csv"));
    ck_assert_ptr_nonnull(strstr(findings.finding[0].message, "'in front of', 'task minutes'"));
    wr_series_files_release(&s);
    wr_findings_release(&findings);
}
END_TEST

Suite *suite_series_files(void);
Suite *suite_series_files(void)
{
    Suite *s = suite_create("series_files");
    TCase *t = tcase_create("series_files");

    tcase_add_test(t, excursions_in_the_order_flown);
    tcase_add_test(t, two_on_one_day);
    tcase_add_test(t, who_flies);
    tcase_add_test(t, dates_that_say_nothing_of_the_order);
    tcase_add_loop_test(t, a_bad_excursion_is_placed, 0, (int)(sizeof bad_series / sizeof *bad_series));
    tcase_add_test(t, more_excursions_than_a_series_holds);
    tcase_add_test(t, work_that_goes_on);
    tcase_add_loop_test(t, bad_work_that_goes_on_is_placed, 0, (int)(sizeof bad_spill / sizeof *bad_spill));
    tcase_add_test(t, columns_of_other_names);
    suite_add_tcase(s, t);
    return s;
}
