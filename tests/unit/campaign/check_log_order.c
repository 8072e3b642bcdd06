/* Where a run of the step log begins, and in which order runs are. All logs here are invented. */
#include <check.h>
#include <stdint.h>
#include <string.h>
#include "read_log.h"
#include "wetrun/campaign/aliases.h"

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

/* Counted from the hatch, with nothing logged before the first step: 14 min are missing from every finish. */
START_TEST(elapsed_minutes_that_begin_later)
{
    struct outcome o;

    read_good(&o, "run,task,start,end\nR,A,14,30\nR,B,30,50\nS,A,12.5,30\nT,A,0,20\n");
    outcome_has(&o, "elapsed-from-later", WR_WARNING, 2, 0);
    ck_assert_ptr_nonnull(strstr(outcome_finding(&o, "elapsed-from-later")->message,
                                 "in 2 of 3 runs in elapsed minutes the first step begins well after 0, by 13.25 min "
                                 "(median; 12.5 to 14)"));
    expect_times(outcome_step(&o, "R", "A", 0), 0, 16, 16, 0);
    outcome_release(&o);
    static const char *const harmless[] = {
        "R,B,14,30\nS,A,0,20\n",                /* half of them: a first step that is missing, perhaps */
        "R,A,2,30\nS,A,1.5,20\n",               /* hardly later */
        "R,A,2,30\nS,A,0,20\nT,A,0,20\n",
        "R,A,9:14,9:30\nS,A,9:14,9:30\n",       /* clocks */
        "R,B,14,30\nS,A,9:14,9:30\nT,A,0,9\n"}; /* clocks are not counted with them */
    for (size_t i = 0; i < sizeof harmless / sizeof *harmless; i++) {
        WR_SCOPED_STR text = {0};
        wr_str_addf(&text, "run,task,start,end\n%s", harmless[i]);
        read_good(&o, text.text);
        ck_assert_ptr_null(outcome_finding(&o, "elapsed-from-later"));
        outcome_release(&o);
    }
}
END_TEST

/* A run that is written from elsewhere than the others loses the time before it, however few they are. */
START_TEST(some_runs_that_begin_later_are_named)
{
    struct outcome o;

    read_good(&o, "run,task,start,end\nR,A,0,16\nS,A,30,46\nS,B,46,50\nT,A,1,20\nU,B,9,20\n");
    outcome_has(&o, "elapsed-from-later", WR_WARNING, 3, 0);
    ck_assert_ptr_nonnull(strstr(outcome_finding(&o, "elapsed-from-later")->message,
                                 "in 1 of 4 runs in elapsed minutes (S; the others begin at 0) the first step begins "
                                 "well after 0, by 30 min"));
    outcome_release(&o);
    read_good(&o, "run,task,start,end\nR,A,9,16\nS,A,9,16\nT,A,9,20\nU,A,9,20\n"
                  "V,A,0,9\nW,A,0,9\nX,A,0,9\nY,A,0,9\n");
    ck_assert_ptr_nonnull(strstr(outcome_finding(&o, "elapsed-from-later")->message,
                                 "in 4 of 8 runs in elapsed minutes (R, S, T and 1 more; the others begin at 0)"));
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

static void log_of_runs(struct outcome *o, const char *header, const char *runs, const struct wr_log_options *options)
{
    struct wr_str text = {0};

    wr_str_add(&text, header);
    for (const char *at = runs; *at;) {
        size_t n = strcspn(at, "|");
        wr_str_addf(&text, "%.*s,T,9\n", (int)n, at);
        at += n + (at[n] == '|');
    }
    log_read_as(o, wr_str_text(&text), options);
    ck_assert_msg(o->status == WR_OK, "%s", o->err.text);
    wr_str_release(&text);
}

/* Without a date the log's order counts: what the names say of it, and what is said of that. */
START_TEST(names_against_the_order_of_the_log)
{
    static const char reversed[] = "runs-reversed", disordered[] = "runs-disordered";
    static const struct {
        const char *runs, *code, *says;
    } c[] = {
        {"run 8|run 9|run 10", NULL, NULL},
        {"S-10|S-9|S-8", reversed, "('S-10' to 'S-8')"},
        {"P7-3|P7-2|P7-1", reversed, "names.csv says so: run,P7-3,P7-3"},
        {"dive 3|dive 2b|dive 2", reversed, NULL},
        {"dive 1|dive 2|dive 2b|dive 3", NULL, NULL},
        {"A1|B1|A2|B2", NULL, NULL},
        {"B2|A2|B1|A1", reversed, NULL},
        {"pool c|pool b|pool a", reversed, NULL},
        {"Tango|Sierra|Alpha", NULL, NULL},
        {"Wet 9|Pool 8|Dry 7", NULL, NULL}, /* nothing in common */
        {"20310502|20310414|20310328", reversed, NULL},
        {"2031-05-02 am|2031-03-28 pm|2031-03-28 am", reversed, NULL},
        {"28.03.2031|14.04.2031|02.05.2031", NULL, NULL}, /* by the day */
        {"02.05.2031|14.04.2031|28.03.2031", reversed, NULL},
        {"05/02/2031|04/14/2031|03/28/2031", reversed, NULL},  /* by the month: there is no month 14 */
        {"02/05/2031|04/04/2031|08/03/2031", NULL, NULL},      /* 5 February or 2 May: one of the two agrees */
        {"pool 2 May|pool 17 Apr|pool 3 Apr", reversed, NULL}, /* 2, 17, 3 */
        {"Apr 3; 2031|Apr 17; 2031|May 2; 2031", NULL, NULL},
        {"P7-9 (28.03.2031)|P7-10 (14.04.2031)|P7-11 (02.05.2031)", NULL, NULL},
        {"7.9|7.10|8.1", NULL, NULL},
        {"P7-1|P7-2|P7-4|P7-3|P7-5", disordered, "run 'P7-3' stands behind run 'P7-4' in the log, and"},
        {"d 412|d 398|d 455|d 401", disordered, "'d 398' stands behind run 'd 412' in the log (and 1 more such place)"},
        {"R2|R1", disordered, NULL}, /* two may be a slip */
        {"S-9|S-8|S-7|S-5|S-6|S-4", reversed, NULL},
    };

    for (size_t i = 0; i < sizeof c / sizeof *c; i++) {
        struct outcome o;
        log_of_runs(&o, "run,task,minutes\n", c[i].runs, &(struct wr_log_options){0});
        for (const char *const *code = (const char *const[]){reversed, disordered, NULL}; *code; code++)
            ck_assert_msg(outcome_count(&o, *code) == (*code == c[i].code), "%s: %s", c[i].runs, *code);
        if (c[i].says) ck_assert_msg(strstr(outcome_finding(&o, c[i].code)->message, c[i].says), "%s", c[i].runs);
        outcome_release(&o);
    }
}
END_TEST

static void with_names(struct outcome *o, const char *runs, const char *names)
{
    struct wr_aliases aliases = {0};
    struct wr_findings findings = {0};
    struct wr_error err;

    ck_assert_int_eq(wr_aliases_read_bytes(&aliases, "names.csv", names, strlen(names), &findings, &err), WR_OK);
    log_of_runs(o, "run,task,minutes\n", runs, &(struct wr_log_options){.aliases = &aliases});
    wr_findings_release(&findings);
    wr_aliases_release(&aliases);
}

START_TEST(an_order_that_is_said_to_be_right)
{
    struct outcome o;

    with_names(&o, "T-3|T-2|T-1", "kind,from,to\nrun,T-3,T-3\n"); /* counted down */
    ck_assert(!wr_findings_has(&o.findings, "runs-reversed"));
    expect_order(&o, "T-3 T-2 T-1");
    outcome_release(&o);
    with_names(&o, "R1|R2|R4|R3", "kind,from,to\nrun,R3,R3\n");
    ck_assert(!wr_findings_has(&o.findings, "runs-disordered"));
    outcome_release(&o);
}
END_TEST

/* Dates that all have are what orders the runs; of those of some the log's order is asked for as well. */
START_TEST(names_where_dates_say_the_order)
{
    struct outcome o;

    read_good(&o, "run,date,task,minutes\nS-3,2031-03-01,T,9\nS-2,2031-03-08,T,9\nS-1,2031-03-15,T,9\n");
    ck_assert(!wr_findings_has(&o.findings, "runs-reversed"));
    outcome_release(&o);
    read_good(&o, "run,date,task,minutes\nAda,2031-03-22,T,9\nBea,2031-03-15,T,9\nCy,,T,9\nDee,2031-03-01,T,9\n");
    outcome_has(&o, "runs-reversed", WR_WARNING, 2, 0);
    outcome_release(&o);
}
END_TEST

START_TEST(names_that_are_dates)
{
    struct outcome o;

    log_of_runs(&o, "run,task,minutes\n", "2031-05-02|2031/04/14|2031-03-28", &(struct wr_log_options){0});
    ck_assert(o.log.has_dates && !wr_findings_has(&o.findings, "runs-reversed"));
    expect_order(&o, "2031-03-28 2031/04/14 2031-05-02");
    ck_assert_double_eq(o.log.run[2].day.value - o.log.run[0].day.value, 35);
    outcome_has(&o, "read-as", WR_NOTE, 2, 0);
    ck_assert_str_eq(outcome_finding(&o, "read-as")->message,
                     "'2031-05-02' is read as a run's name that is its date as well (the first of 3)");
    outcome_release(&o);
    read_good(&o, "run,date,task,minutes\n2031-05-02,2031-06-02,T,9\n2031-04-14,,T,9\n"); /* a date is given */
    ck_assert(!o.log.has_dates && !o.log.run[1].day.known);
    outcome_release(&o);
    log_of_runs(&o, "run,task,minutes\n", "2031-04-31|2031-04-14|2031-03-28", &(struct wr_log_options){0});
    ck_assert(!o.log.has_dates); /* there is no such date */
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
    tcase_add_test(t, elapsed_minutes_that_begin_later);
    tcase_add_test(t, some_runs_that_begin_later_are_named);
    tcase_add_test(t, skipped_times_do_not_count);
    tcase_add_test(t, runs_are_ordered_by_date);
    tcase_add_test(t, names_against_the_order_of_the_log);
    tcase_add_test(t, an_order_that_is_said_to_be_right);
    tcase_add_test(t, names_where_dates_say_the_order);
    tcase_add_test(t, names_that_are_dates);
    tcase_add_test(t, dates_that_do_not_fit);
    tcase_add_test(t, a_date_that_its_times_contradict);
    tcase_add_test(t, attributes_belong_to_the_run);
    suite_add_tcase(s, t);
    return s;
}
