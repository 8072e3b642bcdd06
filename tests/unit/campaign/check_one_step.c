/* Rows that stand for one step: of its lanes, repeated, added up. What comes of each is worked out by hand. */
#include <check.h>
#include <string.h>
#include "read_log.h"

#define HEAD "run,task,crew,performer,start,end,outcome\n"

/* ---- a row for each lane ---- */

static const struct {
    const char *rows, *crew, *performer;
    double end_min;
    bool stopped;
} lane_rows[] = {
    {"r1,A,EV1,Ann,9:00,9:10,done\nr1,A,EV2,Bob,9:00,9:12,done\n", "EV1+EV2", "Ann+Bob", 12, false},
    {"r1,A,EV1,Ann,9:00,9:12,done\nr1,A,EV2,Bob,9:00,9:10,done\n", "EV1+EV2", "Ann+Bob", 12, false},
    {"r1,A,EV1,,9:00,9:10,done\nr1,A,EV2,Bob,9:00,9:10,done\n", "EV1+EV2", "Bob", 10, false},
    {"r1,A,EV1,Ann,9:00,9:10,done\nr1,A,EV2,,9:00,9:10,done\n", "EV1+EV2", "Ann", 10, false},
    {"r1,A,EV1,Ann,9:00,9:10,done\nr1,A,EV2,Ann,9:00,9:10,done\n", "EV1+EV2", "Ann", 10, false},
    {"r1,A,EV1,Ann,9:00,9:10,done\nr1,A,EV2,Bob,9:00,9:10,stopped\n", "EV1+EV2", "Ann+Bob", 10, true},
    {"r1,A,EV1,Ann,9:00,9:10,stopped\nr1,A,EV2,Bob,9:00,9:10,done\n", "EV1+EV2", "Ann+Bob", 10, true},
    {"r1,A,EV1,Ann,9:00,9:10,done\nr1,A,EV2+EV3,Bob,9:00,9:11,done\n", "EV1+EV2+EV3", "Ann+Bob", 11, false},
};

START_TEST(the_lanes_of_a_step_have_rows_of_their_own)
{
    struct outcome o;
    struct wr_str text = {0};

    wr_str_addf(&text, HEAD "%s", lane_rows[_i].rows);
    read_good(&o, text.text);
    ck_assert_uint_eq(o.log.n_step, 1);
    const struct wr_log_step *s = outcome_step(&o, "r1", "A", 0);
    expect_times(s, 0, lane_rows[_i].end_min, lane_rows[_i].end_min, 0);
    ck_assert_str_eq(s->crew, lane_rows[_i].crew);
    ck_assert_str_eq(s->performer, lane_rows[_i].performer);
    ck_assert_int_eq(s->outcome, lane_rows[_i].stopped ? WR_STOPPED : WR_DONE);
    ck_assert_uint_eq(s->n_row, 2);
    ck_assert_uint_eq(o.log.rows_duplicate, 0);
    outcome_release(&o);
    wr_str_release(&text);
}
END_TEST

/* A lane that is in both, or none in one of them: a duplicate, the first row kept. */
START_TEST(no_lane_stands_twice_in_a_step)
{
    static const char *const rows[] = {
        "r1,A,EV1+EV2,Ann,9:00,9:10,done\nr1,A,EV2+EV3,Bob,9:00,9:12,done\n",
        "r1,A,EV1,Ann,9:00,9:10,done\nr1,A,,Bob,9:00,9:12,done\n",
        "r1,A,,Ann,9:00,9:10,done\nr1,A,EV2,Bob,9:00,9:12,done\n",
    };
    struct outcome o;
    struct wr_str text = {0};

    wr_str_addf(&text, HEAD "%s", rows[_i]);
    read_good(&o, text.text);
    expect_times(outcome_step(&o, "r1", "A", 0), 0, 10, 10, 0);
    ck_assert_str_eq(outcome_step(&o, "r1", "A", 0)->performer, "Ann");
    ck_assert_uint_eq(o.log.rows_duplicate, 1);
    outcome_has(&o, "duplicate-differs", WR_WARNING, 3, _i == 0 ? 18 : _i == 1 ? 11 : 14);
    outcome_release(&o);
    wr_str_release(&text);
}
END_TEST

/* ---- a row again ---- */

static const struct {
    const char *row, *code;
} again[] = {
    {"r1,A,a,EV1,Ann,9:00,9:10,2,done", "duplicate-row"},
    {"r1,A,a,EV1,Ann,9:00,9:10,2,", "duplicate-row"}, /* done is what goes without saying */
    {"r1,A,a,EV1,Ann,9:00,9:10,2,stopped", "duplicate-differs"},
    {"r1,A,a,EV1,Ann,9:00,9:10,3,done", "duplicate-differs"},
    {"r1,A,a,EV1,Ann,9:00,9:11,3,done", "duplicate-differs"}, /* as many minutes of work */
    {"r1,A,a,EV1,Bob,9:00,9:10,2,done", "duplicate-differs"},
    {"r1,A,a,EV1+EV2,Ann,9:00,9:10,2,done", "duplicate-differs"},
};

START_TEST(a_row_again_is_the_same_only_in_all_of_its_fields)
{
    struct outcome o;
    struct wr_str text = {0};

    wr_str_addf(&text, "run,task,step,crew,performer,start,end,hold,outcome\nr1,A,a,EV1,Ann,9:00,9:10,2,done\n%s\n",
                again[_i].row);
    read_good(&o, text.text);
    ck_assert_uint_eq(outcome_count(&o, again[_i].code), 1);
    ck_assert_uint_eq(outcome_count(&o, "duplicate-row") + outcome_count(&o, "duplicate-differs"), 1);
    expect_times(outcome_step(&o, "r1", "A", 0), 0, 10, 8, 2);
    outcome_release(&o);
    wr_str_release(&text);
}
END_TEST

/* ---- minutes alone ---- */

/* 5 and 7 minutes of work that was done add up beside 3 that were stopped, and a skipped row is no work. */
START_TEST(minutes_add_up_by_outcome)
{
    struct outcome o;

    read_good(&o, "run,task,minutes,outcome\nr1,A,5,done\nr1,A,3,stopped\nr1,A,7,done\nr1,A,,skipped\n");
    ck_assert_uint_eq(o.log.n_step, 3);
    double done = 0, stopped = 0;
    for (size_t i = 0; i < o.log.n_step; i++) {
        const struct wr_log_step *s = outcome_step(&o, "r1", "A", i);
        *(s->outcome == WR_STOPPED ? &stopped : &done) += s->active_min;
    }
    ck_assert_double_eq(done, 12);
    ck_assert_double_eq(stopped, 3);
    outcome_release(&o);
}
END_TEST

/* Whether the same minutes are told of as repeated: once for a pair; not for a third row, whose sum is another; not if
 * the holds differ, or it is another lane's, which is told in its own words. */
START_TEST(repeated_minutes_are_told_of)
{
    static const struct {
        const char *rows;
        size_t n;
        const char *says;
        double active_min;
    } c[] = {
        {"r1,A,EV1,5,0\nr1,A,EV1,5,0\n", 1, "the same minutes as in runs.csv line 2", 10},
        {"r1,A,EV1,5,0\nr1,A,EV1,5,0\nr1,A,EV1,10,0\n", 1, "the same minutes", 20},
        {"r1,A,EV1,6,1\nr1,A,EV1,5,0\n", 0, NULL, 10},
        {"r1,A,EV1,5,0\nr1,A,EV2,7,0\n", 1, "minutes of another lane than in runs.csv line 2", 12},
        {"r1,A,EV1,5,0\nr1,A,EV1+EV2,7,0\n", 0, NULL, 12},
    };
    struct outcome o;
    struct wr_str text = {0};

    wr_str_addf(&text, "run,task,crew,minutes,hold\n%s", c[_i].rows);
    read_good(&o, text.text);
    ck_assert_uint_eq(outcome_count(&o, "repeated-row"), c[_i].n);
    if (c[_i].says) ck_assert_ptr_nonnull(strstr(outcome_finding(&o, "repeated-row")->message, c[_i].says));
    ck_assert_double_eq(outcome_step(&o, "r1", "A", 0)->active_min, c[_i].active_min);
    outcome_release(&o);
    wr_str_release(&text);
}
END_TEST

/* ---- more starts than are kept apart ---- */

START_TEST(further_starts_are_added_up)
{
    struct outcome o;
    struct wr_str text = {0};

    wr_str_add(&text, HEAD);
    for (int i = 0; i < WR_MOST_PIECES; i++) wr_str_addf(&text, "r1,A,EV1,Ann,9:%02d,9:%02d,done\n", i, i + 1);
    wr_str_add(&text, "r1,A,EV1,Ann,10:00,10:10,done\nr1,A,EV1,Ann,9:50,9:55,stopped\nr1,A,EV1,Ann,,,skipped\n");
    read_good(&o, text.text);
    outcome_has(&o, "many-pieces", WR_WARNING, WR_MOST_PIECES + 2, 4);
    const struct wr_log_step *sum = NULL, *skipped = NULL;
    for (size_t i = 0; i < o.log.n_step; i++) {
        const struct wr_log_step *s = outcome_step(&o, "r1", "A", i);
        if (s->n_row == 2) sum = s;
        if (s->outcome == WR_SKIPPED) skipped = s;
    }
    ck_assert(sum && skipped);
    expect_times(sum, 50, 70, 15, 0); /* from 9:50 to 10:10; 10 and 5 minutes */
    ck_assert_int_eq(sum->outcome, WR_STOPPED);
    outcome_release(&o);
    wr_str_release(&text);
}
END_TEST

/* ---- what is known of the run ---- */

/* The day of a run is the first of those that its rows name; what is wrong with them is said once. */
START_TEST(the_dates_of_a_run)
{
    struct outcome o;

    read_good(&o, "run,task,date,minutes\n"
                  "r1,A,2031-03-05,5\nr1,B,2031-03-04,5\nr1,C,2031-03-03,5\nr2,A,2031-03-03,5\nr1,D,2031-03-03,5\n"
                  "r3,A,soon,5\nr3,B,later,5\nr3,C,2031-03-09,5\n");
    ck_assert_uint_eq(outcome_count(&o, "date-varies"), 1);
    ck_assert_uint_eq(outcome_count(&o, "bad-date"), 1);
    outcome_has(&o, "bad-date", WR_WARNING, 7, 6);
    for (size_t r = 0; r < o.log.n_run; r++) {
        ck_assert(o.log.run[r].day.known);
        ck_assert_str_eq(o.log.run[r].date, strcmp(o.log.run[r].id, "r3") == 0 ? "2031-03-09" : "2031-03-03");
    }
    outcome_release(&o);
}
END_TEST

START_TEST(the_day_of_stamps_is_the_first)
{
    struct outcome o;

    read_good(&o, "run,task,start,end\nr1,B,2031-03-05T00:10,2031-03-05T00:20\nr1,A,2031-03-04T23:50,2031-03-05T00:05\n"
                  "r1,C,2031-03-05T00:30,2031-03-05T00:40\n");
    ck_assert_double_eq(o.log.run[0].day.value, 22342); /* date -d 2031-03-04 +%s, over 86400 */
    expect_times(outcome_step(&o, "r1", "C", 0), 40, 50, 10, 0);
    outcome_release(&o);
}
END_TEST

Suite *suite_one_step(void);
Suite *suite_one_step(void)
{
    Suite *s = suite_create("one_step");
    TCase *t = tcase_create("one_step");

    tcase_add_loop_test(t, the_lanes_of_a_step_have_rows_of_their_own, 0, (int)(sizeof lane_rows / sizeof *lane_rows));
    tcase_add_loop_test(t, no_lane_stands_twice_in_a_step, 0, 3);
    tcase_add_loop_test(t, a_row_again_is_the_same_only_in_all_of_its_fields, 0, (int)(sizeof again / sizeof *again));
    tcase_add_test(t, minutes_add_up_by_outcome);
    tcase_add_loop_test(t, repeated_minutes_are_told_of, 0, 5);
    tcase_add_test(t, further_starts_are_added_up);
    tcase_add_test(t, the_dates_of_a_run);
    tcase_add_test(t, the_day_of_stamps_is_the_first);
    suite_add_tcase(s, t);
    return s;
}
