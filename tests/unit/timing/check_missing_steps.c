/* A step that most runs log and one has no row of: lost, cut otherwise, or in doubt. All by hand: a run has OUT, WORK
 * in steps of 10 min and 10 min, NEXT and BACK. */
#include <check.h>
#include <string.h>
#include "read_campaign.h"
#include "wetrun/base/str.h"

static const double tiny = 1e-9;
static const char plan[] = "task,crew\nOUT,EV1\nWORK,EV1\nNEXT,EV1\nBACK,EV1\n";

/* WORK begins at 11, NEXT at 33, BACK at 44. */
static void add_run(struct wr_str *log, const char *run, const char *work)
{
    wr_str_addf(log, "%s,OUT,,0,10\n", run);
    for (const char *row = work; *row; row += strcspn(row, "/") + (row[strcspn(row, "/")] == '/'))
        wr_str_addf(log, "%s,WORK,%.*s\n", run, (int)strcspn(row, "/"), row);
    wr_str_addf(log, "%s,NEXT,,33,43\n%s,BACK,,44,54\n", run, run);
}

/* n runs with both steps, a little apart; then those whose rows of WORK are given, "step,start,end/step,start,end". */
static void with_runs(struct read_campaign *c, size_t n, const char *const *work, size_t n_work)
{
    WR_SCOPED_STR log = {0};
    char name[8], both[64];

    wr_str_add(&log, "run,task,step,start,end\n");
    for (size_t i = 0; i < n; i++) {
        snprintf(name, sizeof name, "r%zu", i + 1);
        snprintf(both, sizeof both, "one,11,%zu/two,22,%zu", 20 + i % 3, 31 + i % 2);
        add_run(&log, name, both);
    }
    for (size_t i = 0; i < n_work; i++) {
        snprintf(name, sizeof name, "x%zu", i + 1);
        add_run(&log, name, work[i]);
    }
    read_campaign(c, plan, NULL, log.text);
}

static void with_run(struct read_campaign *c, size_t n, const char *work)
{
    with_runs(c, n, &work, 1);
}

static void is_lost(const struct read_campaign *c, const char *run, const char *words)
{
    const struct wr_timing_run *r = read_run(c, run);

    ck_assert_int_eq(read_cell(c, "WORK", run)->state, WR_CELL_LOST);
    ck_assert_double_eq_tol(read_cell(c, "WORK", run)->active_min, 0, tiny);
    ck_assert(!r->complete && !r->finish_stands);
    ck_assert_uint_eq(r->n_lost, 1);
    ck_assert_msg(strstr(read_message(c, "time-unknown"), words) != NULL, "%s", read_message(c, "time-unknown"));
    ck_assert_ptr_nonnull(strstr(read_message(c, "run-incomplete"), "not complete: how long 1 task took is not known"));
    ck_assert_uint_eq(read_count(c, "step-unlogged"), 0);
}

static enum wr_severity severity_of(const struct read_campaign *c, const char *code)
{
    for (size_t i = 0; i < c->findings.n_finding; i++)
        if (strcmp(c->findings.finding[i].code, code) == 0) return c->findings.finding[i].severity;
    ck_abort_msg("no %s", code);
}

static void is_in_doubt(const struct read_campaign *c, const char *run, const char *words)
{
    ck_assert_int_eq(read_cell(c, "WORK", run)->state, WR_CELL_DONE);
    ck_assert(read_run(c, run)->complete);
    ck_assert_uint_eq(read_count(c, "time-unknown"), 0);
    ck_assert_int_eq(severity_of(c, "step-unlogged"), WR_WARNING);
    ck_assert_msg(strstr(read_message(c, "step-unlogged"), words) != NULL, "%s", read_message(c, "step-unlogged"));
}

static void is_a_note(const struct read_campaign *c, const char *words)
{
    ck_assert_uint_eq(read_count(c, "time-unknown"), 0);
    ck_assert_uint_eq(read_count(c, "step-unlogged"), 1);
    ck_assert_int_eq(severity_of(c, "step-unlogged"), WR_NOTE);
    ck_assert_msg(strstr(read_message(c, "step-unlogged"), words) != NULL, "%s", read_message(c, "step-unlogged"));
}

static void is_nothing(const struct read_campaign *c)
{
    ck_assert_uint_eq(read_count(c, "time-unknown") + read_count(c, "step-unlogged"), 0);
    for (size_t r = 0; r < c->log.n_run; r++) ck_assert(c->timing.run[r].complete);
}

/* The last step: what follows may have waited for it. */
START_TEST(a_last_step_lost)
{
    struct read_campaign c;

    with_run(&c, 3, "one,11,21");
    is_lost(&c, "x1", "3 of 4 runs have a step 'two' of it, which has no row here");
    ck_assert_ptr_nonnull(strstr(read_message(&c, "time-unknown"), "The 12.0 min before 'NEXT' may hold it"));
    ck_assert(read_cell(&c, "NEXT", "x1")->lead_in_unknown);
    ck_assert_double_eq_tol(read_cell(&c, "NEXT", "x1")->hole_min, 12, tiny);
    ck_assert_double_eq_tol(read_cell(&c, "BACK", "x1")->lead_in_min, 1, tiny);
    for (size_t i = 0; i < c.findings.n_finding; i++) /* at the row that it has */
        if (strcmp(c.findings.finding[i].code, "time-unknown") == 0) ck_assert_uint_eq(c.findings.finding[i].line, 18);
    read_release(&c);
}
END_TEST

/* The first one: what follows did not wait for it. */
START_TEST(a_first_step_lost)
{
    struct read_campaign c;

    with_run(&c, 3, "two,22,32");
    is_lost(&c, "x1", "a step 'one' of it");
    ck_assert(wr_cell_is_timed(read_cell(&c, "NEXT", "x1")));
    ck_assert_double_eq_tol(read_cell(&c, "NEXT", "x1")->lead_in_min, 1, tiny);
    read_release(&c);
}
END_TEST

/* Where the next task follows at once there is no room for it: the lead-in is what it is. */
START_TEST(no_room_behind)
{
    struct read_campaign c;
    static const char *const work[] = {"one,22,32"};

    with_runs(&c, 3, work, 1);
    is_lost(&c, "x1", "a step 'two' of it");
    ck_assert_double_eq_tol(read_cell(&c, "NEXT", "x1")->lead_in_min, 1, tiny);
    ck_assert(wr_cell_is_timed(read_cell(&c, "NEXT", "x1")));
    read_release(&c);
}
END_TEST

/* Minutes alone: it is said as well. */
START_TEST(in_minutes_alone)
{
    struct read_campaign c;

    read_campaign(&c, "task,crew\nA,EV1\nB,EV1\n", NULL,
                  "run,task,step,minutes\nr1,A,one,10\nr1,A,two,11\nr1,B,,5\nr2,A,one,9\nr2,A,two,10\nr2,B,,5\n"
                  "r3,A,one,10\nr3,A,two,10\nr3,B,,5\nr4,A,one,10\nr4,B,,5\n");
    ck_assert_int_eq(read_cell(&c, "A", "r4")->state, WR_CELL_LOST);
    ck_assert_ptr_nonnull(strstr(read_message(&c, "time-unknown"), "3 of 4 runs have a step 'two' of it"));
    read_release(&c);
}
END_TEST

START_TEST(small_majorities_and_other_names_are_doubts)
{
    struct read_campaign c;
    static const char *const two[] = {"one,11,21", "one,11,20"};

    with_runs(&c, 3, two, 2); /* three of five are no two of three */
    is_in_doubt(&c, "x1", "3 of 5 runs have a step 'two' of it, which has none here. Its 10.0 min count as all of it, "
                          "which takes 19.0 elsewhere, and 10.0 without that step");
    ck_assert_uint_eq(read_count(&c, "step-unlogged"), 2);
    read_release(&c);
    with_run(&c, 2, "one,11,21"); /* two runs are few */
    is_in_doubt(&c, "x1", "2 of 3 runs");
    read_release(&c);
    with_run(&c, 3, "one,11,27"); /* between the two */
    is_in_doubt(&c, "x1", "Its 16.0 min count as all of it");
    read_release(&c);
    /* of three steps one is another, and one has no row */
    read_campaign(&c, "task,crew\nA,EV1\nB,EV1\n", NULL,
                  "run,task,step,start,end\nr1,A,one,0,10\nr1,A,two,10,20\nr1,A,three,20,30\nr1,B,,30,40\n"
                  "r2,A,one,0,10\nr2,A,two,10,20\nr2,A,three,20,30\nr2,B,,30,40\n"
                  "r3,A,one,0,10\nr3,A,two,10,20\nr3,A,three,20,30\nr3,B,,30,40\n"
                  "r4,A,one,0,9\nr4,A,drive,9,12\nr4,B,,30,40\n");
    ck_assert_int_eq(read_cell(&c, "A", "r4")->state, WR_CELL_DONE);
    ck_assert_int_eq(severity_of(&c, "step-unlogged"), WR_WARNING);
    read_release(&c);
}
END_TEST

START_TEST(cut_otherwise)
{
    struct read_campaign c;
    static const char *const whole[] = {"one,11,31", "one,11,30", "one,11,32", "one,11,31", "one,11,30", "one,11,21"};
    static const char *const mixed[] = {"one,11,31", "one,11,21"};

    with_run(&c, 4, "one,11,31"); /* the whole of it, under the name of its first step */
    is_a_note(&c, "steps that most runs have, and that have no row: 'two' of 'WORK' in run 'x1'. There the task");
    read_release(&c);
    with_run(&c, 4, ",11,21"); /* no step: all of it */
    is_nothing(&c);
    read_release(&c);
    with_run(&c, 4, "one,11,16/,16,21"); /* of which a row without a step is enough to say so */
    is_nothing(&c);
    read_release(&c);
    with_run(&c, 4, "bolts,11,16/plugs,16,21"); /* by other names */
    is_nothing(&c);
    read_release(&c);
    with_run(&c, 4, "bolts,11,16"); /* nothing says that it is a part */
    is_nothing(&c);
    read_release(&c);
    with_run(&c, 4, "ONE,11,21/Two ,22,32"); /* the same, otherwise spelt */
    is_nothing(&c);
    read_release(&c);
    with_runs(&c, 12, whole, 6); /* five of six are whole: so they work, and the sixth is no loss */
    is_a_note(&c, "in run 'x3' and 3 more");
    read_release(&c);
    with_runs(&c, 5, mixed, 2); /* one whole, one not: who knows */
    is_in_doubt(&c, "x2", "run 'x2': task 'WORK' may lack a row: 5 of 7 runs");
    read_release(&c);
}
END_TEST

/* The same 15 min are the whole of a day on which all goes in three quarters of the time, and a part of it where
 * nothing else does. */
START_TEST(the_pace_of_the_day_counts)
{
    struct read_campaign c;
    static const char head[] = "run,task,step,start,end\n", tail[] = "r4,A,one,0,15\n";
    static const char quick[] = "r4,B,,20,29\nr4,C,,30,39\nr4,D,,40,49\n";
    static const char usual[] = "r4,B,,20,32\nr4,C,,33,45\nr4,D,,46,58\n";
    WR_SCOPED_STR log = {0}, other = {0};

    wr_str_add(&log, head);
    for (int r = 1; r <= 3; r++)
        wr_str_addf(&log, "r%d,A,one,0,10\nr%d,A,two,10,20\nr%d,B,,20,32\nr%d,C,,33,45\nr%d,D,,46,58\n", r, r, r, r, r);
    wr_str_addf(&other, "%s%s%s", log.text, tail, usual);
    wr_str_addf(&log, "%s%s", tail, quick);
    read_campaign(&c, "task,crew\nA,EV1\nB,EV1\nC,EV1\nD,EV1\n", NULL, log.text);
    is_a_note(&c, "'two' of 'A' in run 'r4'");
    read_release(&c);
    read_campaign(&c, "task,crew\nA,EV1\nB,EV1\nC,EV1\nD,EV1\n", NULL, other.text);
    ck_assert_int_eq(severity_of(&c, "step-unlogged"), WR_WARNING);
    read_release(&c);
}
END_TEST

START_TEST(small_steps_and_those_that_few_have_are_notes)
{
    struct read_campaign c;
    static const char *const more[] = {"one,11,20/two,22,31/again,31,35", "one,11,20/two,22,31/again,31,35"},
                             *const other[] = {"one,11,20/bolts,22,31", "one,11,20/plugs,22,31", "one,11,20/nuts,22,30",
                                               "one,11,20/covers,22,30"};

    with_runs(&c, 5, more, 2);
    is_a_note(&c, "steps that most runs have no row of: 'again' of 'WORK' in run 'x1', 'again' of 'WORK' in run 'x2'.");
    read_release(&c);
    with_runs(&c, 3, other, 4); /* the rest of it has another name in each: no run lacks a row */
    is_nothing(&c);
    read_release(&c);
    with_run(&c, 3, "one,11,21/two,22,32/,32,33"); /* a row without a name says that it is the whole */
    is_nothing(&c);
    read_release(&c);
    read_campaign(&c, "task,crew\nA,EV1\nB,EV1\n", NULL,
                  "run,task,step,start,end\nr1,A,do,0,19\nr1,A,count,19,20\nr1,B,,20,30\nr2,A,do,0,19\n"
                  "r2,A,count,19,20\nr2,B,,20,30\nr3,A,do,0,19\nr3,A,count,19,20\nr3,B,,20,30\n"
                  "r4,A,do,0,15\nr4,B,,20,30\n");
    is_a_note(&c, "'count' of 'A' in run 'r4'");
    read_release(&c);
}
END_TEST

/* Of which most runs have no row, but a third has, and they take much longer by it. */
START_TEST(a_step_lost_in_most_runs_is_a_doubt)
{
    static const char *const less[] = {"one,11,21", "one,11,20", "one,11,21", "one,11,20"};
    struct read_campaign c;

    with_runs(&c, 3, less, 4);
    is_in_doubt(&c, "x1", "no row of: 'two' of 'WORK' in run 'r1', 'two' of 'WORK' in run 'r2', 'two' of");
    ck_assert_uint_eq(read_count(&c, "step-unlogged"), 1);
    read_release(&c);
    with_runs(&c, 2, less, 4); /* two runs are few */
    is_a_note(&c, "'two' of 'WORK' in run 'r1', 'two' of 'WORK' in run 'r2'. Where");
    read_release(&c);
}
END_TEST

START_TEST(rows_without_names_go_by_their_number)
{
    struct read_campaign c;
    WR_SCOPED_STR log = {0}, whole = {0};

    wr_str_add(&log, "run,task,start,end\n");
    for (int r = 1; r <= 4; r++) wr_str_addf(&log, "r%d,A,0,10\nr%d,A,11,21\nr%d,B,22,30\n", r, r, r);
    wr_str_addf(&whole, "%sr5,A,0,19\nr5,B,22,30\n", log.text);
    wr_str_add(&log, "r5,A,0,10\nr5,B,22,30\n");
    read_campaign(&c, "task,crew\nA,EV1\nB,EV1\n", NULL, log.text);
    ck_assert_int_eq(read_cell(&c, "A", "r5")->state, WR_CELL_DONE);
    ck_assert_int_eq(severity_of(&c, "step-unlogged"), WR_WARNING);
    ck_assert_ptr_nonnull(strstr(read_message(&c, "step-unlogged"), "it has 1 here, and 4 of 5 runs have 2. Its 10.0 "
                                                                    "min count as all of it, which takes 20.0"));
    read_release(&c);
    read_campaign(&c, "task,crew\nA,EV1\nB,EV1\n", NULL, whole.text);
    is_nothing(&c);
    read_release(&c);
}
END_TEST

/* A step that was stopped or skipped says so itself. */
START_TEST(what_is_said_to_be_missing_is_not_looked_for)
{
    struct read_campaign c;

    read_campaign(&c, "task,crew\nA,EV1\nB,EV1\n", NULL,
                  "run,task,step,start,end,outcome\nr1,A,one,0,10,\nr1,A,two,10,20,\nr1,B,,20,30,\nr2,A,one,0,10,\n"
                  "r2,A,two,10,20,\nr2,B,,20,30,\nr3,A,one,0,10,\nr3,A,two,10,20,\nr3,B,,20,30,\nr4,A,one,0,10,\n"
                  "r4,A,two,,,skipped\nr4,B,,20,30,\nr5,A,one,0,10,stopped\nr5,B,,20,30,\n");
    ck_assert_int_eq(read_cell(&c, "A", "r4")->state, WR_CELL_STOPPED);
    ck_assert_int_eq(read_cell(&c, "A", "r5")->state, WR_CELL_STOPPED);
    ck_assert_uint_eq(read_count(&c, "step-unlogged") + read_count(&c, "time-unknown"), 0);
    read_release(&c);
}
END_TEST

Suite *suite_missing_steps(void);
Suite *suite_missing_steps(void)
{
    Suite *s = suite_create("missing_steps");
    TCase *t = tcase_create("missing_steps");

    tcase_add_test(t, a_last_step_lost);
    tcase_add_test(t, a_first_step_lost);
    tcase_add_test(t, no_room_behind);
    tcase_add_test(t, in_minutes_alone);
    tcase_add_test(t, small_majorities_and_other_names_are_doubts);
    tcase_add_test(t, cut_otherwise);
    tcase_add_test(t, the_pace_of_the_day_counts);
    tcase_add_test(t, small_steps_and_those_that_few_have_are_notes);
    tcase_add_test(t, a_step_lost_in_most_runs_is_a_doubt);
    tcase_add_test(t, rows_without_names_go_by_their_number);
    tcase_add_test(t, what_is_said_to_be_missing_is_not_looked_for);
    suite_add_tcase(s, t);
    return s;
}
