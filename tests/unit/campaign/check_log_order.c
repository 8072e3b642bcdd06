/* Where a run of the step log begins, and in which order runs are. All logs here are invented. */
#include <check.h>
#include <stdint.h>
#include <string.h>
#include "read_log.h"

/* ---- where a run begins ---- */

/* The slow way: mark every minute of the day in which a step ran, look at every stretch of empty ones. Steps are
 * half-open and at least a minute. -1 if no minute is empty. */
static int first_minute(const int *start, const int *length, int n)
{
    char busy[1440] = {0};
    int best = 0, begin = -1;

    for (int i = 0; i < n; i++)
        for (int m = 0; m < length[i]; m++) busy[(start[i] + m) % 1440] = 1;
    for (int m = 0; m < 1440; m++) { /* stretches ending at m, the earliest end winning */
        int empty = 0;
        if (!busy[m]) continue;
        while (empty < 1440 && !busy[(m + 1439 - empty) % 1440]) empty++;
        if (empty > best) {
            best = empty;
            begin = m;
        }
    }
    return begin;
}

START_TEST(the_run_begins_after_the_longest_empty_stretch)
{
    uint64_t state = 11;

    for (int round = 0; round < 400; round++) {
        int n = 1 + (int)(next_random(&state) % 12), start[12], length[12];
        int centre = (int)(next_random(&state) % 1440), spread = 60 + (int)(next_random(&state) % 1380);
        struct wr_str text = {0};
        struct outcome o;
        wr_str_add(&text, "run,task,start,end\n");
        for (int i = 0; i < n; i++) {
            start[i] = (centre + (int)(next_random(&state) % (unsigned)spread)) % 1440;
            length[i] = 1 + (int)(next_random(&state) % 200);
            int end = (start[i] + length[i]) % 1440;
            wr_str_addf(&text, "R,T%d,%02d:%02d,%02d:%02d\n", i, start[i] / 60, start[i] % 60, end / 60, end % 60);
        }
        read_good(&o, text.text);
        ck_assert_uint_eq(o.log.n_step, (size_t)n);
        int begin = first_minute(start, length, n);
        if (begin < 0) {
            ck_assert_ptr_nonnull(outcome_finding(&o, "clock-goes-round"));
        } else {
            for (int i = 0; i < n; i++)
                ck_assert_double_eq(o.log.step[i].start_min, (start[i] - begin + 1440) % 1440);
        }
        outcome_release(&o);
        wr_str_release(&text);
    }
}
END_TEST

START_TEST(the_order_of_rows_does_not_matter)
{
    static const char *row[] = {"R,A,22:00,22:30\n", "R,B,22:30,23:50\n", "R,C,23:50,00:40\n", "R,D,00:40,02:00\n",
                                "R,E,23:10,01:05\n"};
    static const double start[] = {0, 30, 110, 160, 70};
    uint64_t state = 3;

    for (int round = 0; round < 50; round++) {
        int order[5] = {0, 1, 2, 3, 4};
        struct wr_str text = {0};
        struct outcome o;
        for (int i = 4; i > 0; i--) {
            int j = (int)(next_random(&state) % (unsigned)(i + 1)), kept = order[i];
            order[i] = order[j];
            order[j] = kept;
        }
        wr_str_add(&text, "run,task,start,end\n");
        for (int i = 0; i < 5; i++) wr_str_add(&text, row[order[i]]);
        read_good(&o, text.text);
        for (int i = 0; i < 5; i++) {
            char task[2] = {(char)('A' + i), '\0'};
            ck_assert_double_eq(outcome_step(&o, "R", task, 0)->start_min, start[i]);
        }
        outcome_release(&o);
        wr_str_release(&text);
    }
}
END_TEST

START_TEST(of_equal_stretches_the_one_that_ends_earlier_in_the_day)
{
    struct outcome o;

    read_good(&o, "run,task,start,end\nR,A,13:00,18:00\nR,B,01:00,06:00\n"); /* seven hours either way */
    expect_times(outcome_step(&o, "R", "B", 0), 0, 300, 300, 0);
    expect_times(outcome_step(&o, "R", "A", 0), 720, 1020, 300, 0);
    outcome_release(&o);
}
END_TEST

START_TEST(long_runs_are_reported)
{
    struct outcome o;

    read_good(&o, "run,task,start,end\nR,A,06:00,10:00\nR,B,12:00,18:30\n");
    outcome_has(&o, "long-run", WR_WARNING, 2, 0);
    outcome_release(&o);
    read_good(&o, "run,task,start,end\nR,A,06:00,10:00\nR,B,12:00,18:00\n");
    ck_assert_ptr_null(outcome_finding(&o, "long-run"));
    outcome_release(&o);
    read_good(&o, "run,task,start,end\nR,A,2031-03-04T06:00,2031-03-04T10:00\nR,B,2031-03-06T12:00,2031-03-06T18:30\n");
    outcome_has(&o, "long-run", WR_WARNING, 2, 0);
    outcome_release(&o);
}
END_TEST

/* Times of a skipped step were not worked: they neither begin the run nor last. */
START_TEST(skipped_times_do_not_count)
{
    struct outcome o;

    read_good(&o, "run,task,start,end,outcome\nR,A,07:00,07:30,skipped\nR,B,09:00,09:30,done\nR,C,,09:40,skipped\n");
    expect_times(outcome_step(&o, "R", "B", 0), 0, 30, 30, 0);
    ck_assert(!outcome_step(&o, "R", "A", 0)->has_clock);
    ck_assert_double_eq(outcome_step(&o, "R", "A", 0)->active_min, 0.0);
    ck_assert_uint_eq(outcome_count(&o, "skipped-but-timed"), 1);
    outcome_has(&o, "skipped-but-timed", WR_WARNING, 2, 17);
    outcome_release(&o);
    read_good(&o, "run,task,minutes,outcome\nR,A,12,skipped\nR,B,,skipped\nR,C,0,skipped\nR,D,9,done\n");
    ck_assert_uint_eq(outcome_count(&o, "skipped-but-timed"), 1);
    ck_assert(strstr(outcome_finding(&o, "skipped-but-timed")->message, "of 12 min"));
    outcome_release(&o);
    read_good(&o, "run,task,start,end,outcome\nR,A,1,2,skipped\nR,B,9,10,done\n");
    expect_times(outcome_step(&o, "R", "B", 0), 0, 1, 1, 0);
    outcome_release(&o);
}
END_TEST

/* ---- dates and the order of runs ---- */

static void expect_order(const struct outcome *o, const char *ids)
{
    struct wr_str got = {0};

    for (size_t i = 0; i < o->log.n_run; i++) wr_str_addf(&got, "%s%s", i ? " " : "", o->log.run[i].id);
    ck_assert_str_eq(got.text, ids);
    for (size_t i = 1; i < o->log.n_step; i++) {
        const struct wr_log_step *a = &o->log.step[i - 1], *b = &o->log.step[i];
        ck_assert(a->run < b->run || (a->run == b->run && a->task <= b->task));
    }
    wr_str_release(&got);
}

START_TEST(runs_are_ordered_by_date)
{
    struct outcome o;

    read_good(&o, "run,date,task,start,end\nc,2031-03-09,T,14:00,15:00\na,2031/02/28,T,09:00,10:00\n"
                  "b,2031-03-09,T,09:00,10:00\nd,2032-01-01,T,09:00,10:00\n");
    ck_assert(o.log.has_dates);
    expect_order(&o, "a b c d"); /* of one day the earlier first */
    ck_assert_double_eq(o.log.run[0].day.value, 22338);
    ck_assert_str_eq(o.log.run[0].date, "2031/02/28");
    outcome_release(&o);
    read_good(&o, "run,date,task,start,end\nc,2031-03-09,T,14:00,15:00\na,,T,09:00,10:00\n"
                  "b,2031-03-01,T,09:00,10:00\n");
    ck_assert(!o.log.has_dates);
    expect_order(&o, "c a b");
    outcome_has(&o, "some-undated", WR_WARNING, 0, 0);
    outcome_release(&o);
    read_good(&o, "run,task,start,end\nb,T,2031-03-09T14:00,2031-03-09T15:00\na,T,2031-03-08T09:00,2031-03-08T10:00\n");
    ck_assert(o.log.has_dates);
    expect_order(&o, "a b");
    outcome_release(&o);
    read_good(&o, "run,task,minutes\nz,T,5\na,T,5\nz,U,5\n");
    expect_order(&o, "z a");
    ck_assert_ptr_null(outcome_finding(&o, "some-undated"));
    outcome_release(&o);
}
END_TEST

START_TEST(dates_that_do_not_fit)
{
    struct outcome o;

    read_good(&o, "run,date,task,start,end\na,2031-03-09,T,23:00,23:30\na,2031-03-10,U,00:10,00:20\n"
                  "b,31.12.30,T,09:00,10:00\nb,31.12.30,U,10:00,11:00\n");
    outcome_has(&o, "date-varies", WR_WARNING, 3, 3);
    outcome_has(&o, "bad-date", WR_WARNING, 4, 3);
    ck_assert_uint_eq(o.findings.n_finding, 3); /* once each, and that some are undated */
    ck_assert_str_eq(o.log.run[0].date, "2031-03-09");
    ck_assert_str_eq(o.log.run[1].date, "");
    outcome_release(&o);
    read_good(&o, "run,date,task,minutes\na,2031-03-10,T,1\na,2031-03-09,U,1\n"); /* the earlier, whatever the order */
    ck_assert_str_eq(o.log.run[0].date, "2031-03-09");
    outcome_release(&o);
}
END_TEST

/* The column says March, the times say February: a gap before the day, and the order, hang on it. */
START_TEST(a_date_that_its_times_contradict)
{
    struct outcome o;

    read_good(&o, "run,date,task,start,end\na,2031-03-03,T,2031-02-03 09:05,2031-02-03 09:30\n"
                  "b,2031-03-10,T,2031-03-10 09:05,2031-03-10 09:30\n"
                  "c,2031-03-11,T,2031-03-12 00:05,2031-03-12 00:30\n"); /* past midnight */
    ck_assert_uint_eq(outcome_count(&o, "date-not-times"), 1);
    ck_assert_ptr_nonnull(strstr(outcome_finding(&o, "date-not-times")->message,
                                 "run 'a' has the date 2031-03-03 and times of 2031-02-03"));
    ck_assert_uint_eq(o.findings.n_finding, 1);
    outcome_release(&o);
}
END_TEST

START_TEST(attributes_belong_to_the_run)
{
    struct outcome o;

    read_good(&o, "run,task,minutes,Pool,note\na,T,1,,x\na,U,1,deep,y\na,V,1,shallow,z\nb,T,1,wide,\n");
    ck_assert_uint_eq(o.log.n_attribute, 2);
    ck_assert_str_eq(o.log.run[0].attribute[0], "deep");
    ck_assert_str_eq(o.log.run[0].attribute[1], "x");
    ck_assert_str_eq(o.log.run[1].attribute[0], "wide");
    ck_assert_str_eq(o.log.run[1].attribute[1], "");
    outcome_has(&o, "attribute-varies", WR_NOTE, 3, 12); /* the note differs first */
    size_t n = 0;
    for (size_t i = 0; i < o.findings.n_finding; i++) n += strcmp(o.findings.finding[i].code, "attribute-varies") == 0;
    ck_assert_uint_eq(n, 2); /* once per column */
    outcome_release(&o);
}
END_TEST

Suite *suite_log_order(void);
Suite *suite_log_order(void)
{
    Suite *s = suite_create("log_order");
    TCase *t = tcase_create("log_order");

    tcase_set_timeout(t, 60);
    tcase_add_test(t, the_run_begins_after_the_longest_empty_stretch);
    tcase_add_test(t, the_order_of_rows_does_not_matter);
    tcase_add_test(t, of_equal_stretches_the_one_that_ends_earlier_in_the_day);
    tcase_add_test(t, long_runs_are_reported);
    tcase_add_test(t, skipped_times_do_not_count);
    tcase_add_test(t, runs_are_ordered_by_date);
    tcase_add_test(t, dates_that_do_not_fit);
    tcase_add_test(t, a_date_that_its_times_contradict);
    tcase_add_test(t, attributes_belong_to_the_run);
    suite_add_tcase(s, t);
    return s;
}
