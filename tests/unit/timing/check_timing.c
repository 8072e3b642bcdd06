#include <check.h>
#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include "made_log.h"
#include "made_plan.h"
#include "wetrun/timing/timing.h"

static const double tiny = 1e-7; /* a clock reading is a double of some hundred minutes */

struct bench { /* a plan, a log, and what comes of them */
    struct wr_plan plan;
    struct wr_network net;
    struct wr_run_log log;
    struct wr_timing timing;
    struct wr_findings findings;
};

static void measure(struct bench *b)
{
    struct wr_error err = {0};

    made_log_finish(&b->log);
    ck_assert_msg(wr_network_build(&b->net, &b->plan, &err) == WR_OK, "%s", err.text);
    ck_assert_msg(wr_timing_build(&b->timing, &b->log, &b->plan, &b->net, &b->findings, &err) == WR_OK, "%s", err.text);
    wr_timing_check(&b->timing);
}

static void clear_away(struct bench *b)
{
    wr_timing_release(&b->timing);
    wr_network_release(&b->net);
    wr_findings_release(&b->findings);
    made_log_release(&b->log);
    made_plan_release(&b->plan);
}

static size_t count_code(const struct bench *b, const char *code)
{
    size_t n = 0;

    for (size_t i = 0; i < b->findings.n_finding; i++) n += strcmp(b->findings.finding[i].code, code) == 0;
    return n;
}

/* The one finding with this code. */
static const struct wr_finding *the_finding(const struct bench *b, const char *code)
{
    ck_assert_msg(count_code(b, code) == 1, "%zu findings '%s'", count_code(b, code), code);
    for (size_t i = 0;; i++)
        if (strcmp(b->findings.finding[i].code, code) == 0) return &b->findings.finding[i];
}

static void expect_cell(const struct bench *b, size_t task, enum wr_cell_state state, double lead_in, double gap,
                        double active, double hold)
{
    const struct wr_cell *c = wr_timing_cell(&b->timing, task, 0);

    ck_assert_msg(c->state == state, "task %zu: state %d", task, c->state);
    ck_assert_double_eq_tol(c->lead_in_min, lead_in, tiny);
    ck_assert_double_eq_tol(c->gap_min, gap, tiny);
    ck_assert_double_eq_tol(c->active_min, active, tiny);
    ck_assert_double_eq_tol(c->hold_min, hold, tiny);
    ck_assert_double_eq_tol(wr_cell_modelled_min(c), lead_in + gap + active, tiny);
}

/* A opens for both, EV1 does B, EV2 does C and then D after B as well, E closes for both. */
static void five_tasks(struct bench *b)
{
    made_plan_add(&b->plan, "A", "EV1+EV2", "");
    made_plan_add(&b->plan, "B", "EV1", "");
    made_plan_add(&b->plan, "C", "EV2", "");
    made_plan_add(&b->plan, "D", "EV2", "B");
    made_plan_add(&b->plan, "E", "EV1+EV2", "");
    made_plan_finish(&b->plan);
    made_log_run(&b->log, "R1");
}

START_TEST(lead_ins_gaps_and_holds)
{
    struct bench b = {0};

    five_tasks(&b);
    made_log_step(&b.log, 0, "A", 540, 550);           /* 9:00; all below by hand, from 0 on */
    made_log_step(&b.log, 0, "B", 552, 560);           /* 12-20 */
    made_log_step(&b.log, 0, "B", 563, 575)->hold_min = 5; /* 23-35 */
    made_log_step(&b.log, 0, "C", 550, 570);           /* 10-30 */
    made_log_step(&b.log, 0, "D", 576, 580);           /* 36-40; could begin when B ended, 35 */
    made_log_step(&b.log, 0, "E", 580, 590)->hold_min = 2;
    measure(&b);
    expect_cell(&b, 0, WR_CELL_DONE, 0, 0, 10, 0);
    expect_cell(&b, 1, WR_CELL_DONE, 2, 3, 15, 5);
    expect_cell(&b, 2, WR_CELL_DONE, 0, 0, 20, 0);
    expect_cell(&b, 3, WR_CELL_DONE, 1, 0, 4, 0);
    expect_cell(&b, 4, WR_CELL_DONE, 0, 0, 8, 2);
    const struct wr_timing_run *run = &b.timing.run[0];
    ck_assert(run->complete && run->kept_to_plan && run->finish_min.known && run->n_done == 5);
    ck_assert_double_eq_tol(run->finish_min.value, 50, tiny);
    ck_assert_double_eq_tol(run->replay_min, 50, tiny);
    /* Without holds B ends at 30 as C does, D from 31 to 35, E until 43. */
    ck_assert_double_eq_tol(run->finish_without_holds_min, 43, tiny);
    ck_assert_double_eq_tol(run->unlogged_min, 6, tiny);
    ck_assert_double_eq_tol(wr_timing_cell(&b.timing, 1, 0)->start_min, 12, tiny);
    ck_assert_double_eq_tol(wr_timing_cell(&b.timing, 1, 0)->end_min, 35, tiny);
    ck_assert_uint_eq(wr_timing_cell(&b.timing, 1, 0)->line, 3);
    ck_assert_uint_eq(b.findings.n_finding, 0);
    clear_away(&b);
}
END_TEST

/* Steps of one run from two logs, whose rows stand in the same lines. */
START_TEST(lines_of_two_logs_are_told_apart)
{
    struct bench b = {0};

    five_tasks(&b);
    made_log_step(&b.log, 0, "A", 540, 550);
    made_log_step(&b.log, 0, "B", 552, 575)->line = 2;
    made_log_step(&b.log, 0, "C", 550, 570)->line = 3;
    made_log_step(&b.log, 0, "D", 576, 580)->line = 3;
    made_log_step(&b.log, 0, "E", 580, 590)->line = 2;
    measure(&b);
    expect_cell(&b, 1, WR_CELL_DONE, 2, 0, 23, 0);
    expect_cell(&b, 3, WR_CELL_DONE, 1, 0, 4, 0);
    ck_assert_double_eq_tol(b.timing.run[0].replay_min, 50, tiny);
    clear_away(&b);
}
END_TEST

/* C and D are EV2's, and in the second of three runs D begins an hour early; A, of the run before, is skipped. */
START_TEST(two_places_at_once_in_one_run_of_three)
{
    struct bench b = {0};

    five_tasks(&b);
    b.log.has_crew = true;
    made_log_run(&b.log, "R2");
    made_log_run(&b.log, "R3");
    for (size_t r = 0; r < 3; r++) {
        if (r == 0) made_log_skip(&b.log, r, "A");
        else made_log_step(&b.log, r, "A", 0, 10)->crew = "EV1+EV2";
        made_log_step(&b.log, r, "B", 10, 20)->crew = "EV1";
        made_log_step(&b.log, r, "C", 10, 70)->crew = "EV2";
        made_log_step(&b.log, r, "D", r == 1 ? 20 : 80, r == 1 ? 50 : 110)->crew = "EV2";
        made_log_step(&b.log, r, "E", 110, 120)->crew = "EV1+EV2";
    }
    measure(&b);
    const struct wr_finding *f = the_finding(&b, "two-places");
    ck_assert_str_eq(f->message,
                     "run 'R2': EV2 would be at 'C' and 'D' at once for 30.0 min: a slip in one of their times?");
    clear_away(&b);
}
END_TEST

START_TEST(left_out_work_has_ended_when_it_could_have_begun)
{
    struct bench b = {0};

    five_tasks(&b);
    made_log_step(&b.log, 0, "A", 0, 10);
    made_log_step(&b.log, 0, "B", 10, 25);
    made_log_skip(&b.log, 0, "C");
    /* D has no row at all: it could have begun at 25, when B ended and C was not to be waited for */
    made_log_step(&b.log, 0, "E", 27, 30);
    measure(&b);
    expect_cell(&b, 2, WR_CELL_SKIPPED, 0, 0, 0, 0);
    expect_cell(&b, 3, WR_CELL_ABSENT, 0, 0, 0, 0);
    expect_cell(&b, 4, WR_CELL_DONE, 2, 0, 3, 0);
    const struct wr_timing_run *run = &b.timing.run[0];
    ck_assert(!run->complete && run->kept_to_plan);
    ck_assert(run->n_done == 3 && run->n_skipped == 1 && run->n_absent == 1);
    ck_assert_double_eq_tol(run->replay_min, 30, tiny);
    const struct wr_finding *f = the_finding(&b, "run-incomplete");
    ck_assert(f->severity == WR_NOTE && f->line == 4);
    ck_assert_str_eq(f->message,
                     "run 'R1': not complete: 0 stopped, 1 skipped, 1 not logged of 5 tasks; the first is 'C'");
    clear_away(&b);
}
END_TEST

START_TEST(states_of_tasks_with_several_steps)
{
    static const struct {
        enum wr_outcome one, two;
        enum wr_cell_state state;
        double active;
        size_t undone_line; /* of the first row that is not done */
    } row[] = {
        {WR_DONE, WR_DONE, WR_CELL_DONE, 7, 0},          {WR_DONE, WR_STOPPED, WR_CELL_STOPPED, 7, 3},
        {WR_STOPPED, WR_DONE, WR_CELL_DONE, 7, 0},       {WR_DONE, WR_SKIPPED, WR_CELL_STOPPED, 3, 3},
        {WR_SKIPPED, WR_DONE, WR_CELL_STOPPED, 4, 2},    {WR_SKIPPED, WR_SKIPPED, WR_CELL_SKIPPED, 0, 2},
        {WR_STOPPED, WR_SKIPPED, WR_CELL_STOPPED, 3, 2},
    };

    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        struct bench b = {0};
        made_plan_add(&b.plan, "A", "EV1", "");
        made_plan_finish(&b.plan);
        made_log_run(&b.log, "R1");
        for (int step = 0; step < 2; step++) {
            enum wr_outcome outcome = step ? row[i].two : row[i].one;
            if (outcome == WR_SKIPPED)
                made_log_skip(&b.log, 0, "A");
            else
                made_log_step(&b.log, 0, "A", step ? 3 : 0, step ? 7 : 3)->outcome = outcome;
        }
        measure(&b);
        ck_assert_int_eq(wr_timing_cell(&b.timing, 0, 0)->state, row[i].state);
        ck_assert_double_eq_tol(wr_timing_cell(&b.timing, 0, 0)->active_min, row[i].active, tiny);
        ck_assert(b.timing.run[0].complete == (row[i].state == WR_CELL_DONE));
        if (row[i].undone_line)
            ck_assert_uint_eq(the_finding(&b, "run-incomplete")->line, row[i].undone_line);
        clear_away(&b);
    }
}
END_TEST

struct part { const char *step, *crew; double start, end; enum wr_outcome outcome; };

/* A step that was stopped and then done, in three rows at most; what becomes of the task, and what is said of it. */
static const struct {
    struct part part[3];
    enum wr_cell_state state;
    const char *says;
    size_t undone_line; /* 0: it is done */
} repeated[] = {
    {{{"", "EV1", 0, 11, WR_STOPPED}, {"", "EV1", 11, 33, WR_DONE}}, WR_CELL_DONE,
     "task 'A' was stopped here and done to its end later, by line 3: it counts as done, with the time of all its "
     "rows", 0},
    {{{"", "EV1", 0, 11, WR_STOPPED}, {"", "EV1", 20, 33, WR_DONE}}, WR_CELL_DONE, "by line 3", 0},
    {{{"", "EV1", 0, 11, WR_STOPPED}, {"", "EV1", 11, 20, WR_STOPPED}, {"", "EV1", 20, 33, WR_DONE}}, WR_CELL_DONE,
     "by line 4", 0},
    {{{"cap", "EV1", 0, 11, WR_STOPPED}, {"cap", "EV1", 11, 33, WR_DONE}, {"torque", "EV1", 33, 40, WR_DONE}},
     WR_CELL_DONE, "by line 3", 0},
    /* stopped once more, or before it began again */
    {{{"", "EV1", 0, 11, WR_STOPPED}, {"", "EV1", 11, 20, WR_DONE}, {"", "EV1", 20, 33, WR_STOPPED}}, WR_CELL_STOPPED,
     NULL, 4},
    {{{"", "EV1", 0, 11, WR_DONE}, {"", "EV1", 11, 33, WR_STOPPED}}, WR_CELL_STOPPED, NULL, 3},
    {{{"", "EV1", 0, 11, WR_STOPPED}, {"", "EV1", 8, 33, WR_DONE}}, WR_CELL_STOPPED, NULL, 2},
    /* another step: what was stopped was not done */
    {{{"cap", "EV1", 0, 11, WR_STOPPED}, {"torque", "EV1", 11, 33, WR_DONE}}, WR_CELL_STOPPED, NULL, 2},
    {{{"cap", "EV1", 0, 11, WR_STOPPED}, {"torque", "EV1", 11, 20, WR_STOPPED}, {"cap", "EV1", 20, 33, WR_DONE}},
     WR_CELL_STOPPED, NULL, 3},
    /* it may be the rest, and may be not */
    {{{"cap", "EV1", 0, 11, WR_STOPPED}, {"", "EV1", 11, 33, WR_DONE}}, WR_CELL_STOPPED,
     "task 'A' was stopped here, and line 3 of it says done: only one of the two names a step, so it counts as "
     "stopped. If that did to its end what was stopped, give both the same step, or none, the same crew, and start and "
     "end", 2},
    {{{"", "EV1", 0, 11, WR_STOPPED}, {"cap", "EV1", 11, 33, WR_DONE}}, WR_CELL_STOPPED, "only one of the two", 2},
    {{{"", "EV1", 0, 11, WR_STOPPED}, {"", "EV2", 11, 33, WR_DONE}}, WR_CELL_STOPPED, "name other lanes", 2},
    {{{"", "EV1+EV2", 0, 11, WR_STOPPED}, {"", "EV2", 11, 33, WR_DONE}}, WR_CELL_STOPPED, "name other lanes", 2},
    /* all lanes that stopped it went on */
    {{{"", "EV1+EV2", 0, 11, WR_STOPPED}, {"", "EV1", 11, 33, WR_DONE}, {"", "EV2", 12, 33, WR_DONE}}, WR_CELL_DONE,
     "by line 4", 0},
    {{{"", "EV1", 0, 11, WR_STOPPED}, {"", "EV2+EV1", 11, 33, WR_DONE}}, WR_CELL_DONE, "by line 3", 0},
    {{{"", "", 0, 11, WR_STOPPED}, {"", "EV1+EV2", 11, 33, WR_DONE}}, WR_CELL_DONE, "by line 3", 0}, /* as planned */
    {{{"", "", 0, 11, WR_STOPPED}, {"", "EV1", 11, 33, WR_DONE}}, WR_CELL_STOPPED, "name other lanes", 2},
};

START_TEST(a_step_that_was_stopped_and_then_done)
{
    struct bench b = {0};

    made_plan_add(&b.plan, "A", "EV1+EV2", "");
    made_plan_finish(&b.plan);
    made_log_run(&b.log, "R1");
    b.log.has_crew = true;
    for (size_t i = 0; i < 3 && repeated[_i].part[i].step; i++) {
        const struct part *p = &repeated[_i].part[i];
        struct wr_log_step *s = made_log_step(&b.log, 0, "A", p->start, p->end);
        s->step = p->step;
        s->crew = p->crew;
        s->outcome = p->outcome;
    }
    measure(&b);
    ck_assert_int_eq(wr_timing_cell(&b.timing, 0, 0)->state, repeated[_i].state);
    ck_assert(b.timing.run[0].complete == (repeated[_i].state == WR_CELL_DONE));
    ck_assert_uint_eq(count_code(&b, "stopped-then-done"), repeated[_i].says != NULL);
    if (repeated[_i].says) {
        const struct wr_finding *f = the_finding(&b, "stopped-then-done");
        ck_assert_msg(strstr(f->message, repeated[_i].says) != NULL, "%s", f->message);
        ck_assert_int_eq(f->severity, repeated[_i].state == WR_CELL_DONE ? WR_NOTE : WR_WARNING);
        ck_assert_uint_eq(f->line, 2);
    }
    if (repeated[_i].undone_line)
        ck_assert_uint_eq(the_finding(&b, "run-incomplete")->line, repeated[_i].undone_line);
    clear_away(&b);
}
END_TEST

/* Minutes alone do not say which came first; of two logs the line is told with its file. */
START_TEST(which_row_came_first)
{
    struct bench b = {0};

    for (int has_clock = 0; has_clock < 2; has_clock++) {
        made_plan_add(&b.plan, "A", "EV1", "");
        made_plan_finish(&b.plan);
        made_log_run(&b.log, "R1");
        *WR_PUSH(b.log.file, b.log.n_file, b.log.room_file) = "again.csv";
        made_log_step(&b.log, 0, "A", 0, 11)->outcome = WR_STOPPED;
        made_log_step(&b.log, 0, "A", 11, 33)->file = (uint32_t)(b.log.n_file - 1);
        for (size_t i = 0; i < 2 && !has_clock; i++) b.log.step[i].has_clock = false;
        measure(&b);
        ck_assert_int_eq(wr_timing_cell(&b.timing, 0, 0)->state, has_clock ? WR_CELL_DONE : WR_CELL_STOPPED);
        ck_assert_ptr_nonnull(strstr(the_finding(&b, "stopped-then-done")->message,
                                     has_clock ? "by line 3 of again.csv: it"
                                               : "line 3 of again.csv of it says done: which of the two came first"));
        clear_away(&b);
        b = (struct bench){0};
    }
}
END_TEST

/* EV1 is free at 41, EV2 at 62, and E is begun at 55 for both; then D, which waits for B by the plan, at 45 with B at
 * work until 50. Nobody waits for what has begun: A, B, E and 14 minutes make up the 78 of EV1. */
START_TEST(no_lane_waits_for_what_it_has_begun)
{
    struct bench b = {0};

    five_tasks(&b);
    made_log_step(&b.log, 0, "A", 0, 10);
    made_log_step(&b.log, 0, "B", 10, 41);
    made_log_step(&b.log, 0, "C", 10, 30);
    made_log_step(&b.log, 0, "D", 42, 62);
    made_log_step(&b.log, 0, "E", 55, 78);
    measure(&b);
    ck_assert_double_eq_tol(b.timing.waiting_min[0], 55 - 41, tiny);
    ck_assert_double_eq_tol(b.timing.waiting_min[1], 41 - 30, tiny);
    clear_away(&b);

    five_tasks(&b);
    made_log_step(&b.log, 0, "A", 0, 10);
    made_log_step(&b.log, 0, "B", 10, 50);
    made_log_step(&b.log, 0, "C", 10, 30);
    made_log_step(&b.log, 0, "D", 45, 62);
    made_log_step(&b.log, 0, "E", 62, 78);
    measure(&b);
    ck_assert_double_eq_tol(b.timing.waiting_min[0], 62 - 50, tiny);
    ck_assert_double_eq_tol(b.timing.waiting_min[1], 45 - 30, tiny);
    clear_away(&b);
}
END_TEST

START_TEST(beginning_early_is_a_contradiction)
{
    struct bench b = {0};

    five_tasks(&b);
    made_log_step(&b.log, 0, "A", 0, 10);
    made_log_step(&b.log, 0, "B", 10, 30);
    made_log_step(&b.log, 0, "C", 10, 20);
    made_log_step(&b.log, 0, "D", 27.5, 40); /* B ended at 30 */
    made_log_step(&b.log, 0, "E", 40, 50);
    measure(&b);
    expect_cell(&b, 3, WR_CELL_DONE, 0, 0, 12.5, 0);
    ck_assert(wr_timing_cell(&b.timing, 3, 0)->began_early && !wr_timing_cell(&b.timing, 4, 0)->began_early);
    ck_assert(b.timing.run[0].complete && !b.timing.run[0].kept_to_plan);
    ck_assert_double_eq_tol(b.timing.run[0].replay_min, 50, tiny); /* in its own order, whatever the plan says */
    ck_assert_double_eq_tol(b.timing.run[0].by_plan_min, 52.5, tiny);
    const struct wr_finding *f = the_finding(&b, "began-early");
    ck_assert(f->severity == WR_WARNING && f->line == 5);
    ck_assert_str_eq(f->file, "made.csv");
    ck_assert_str_eq(f->message,
                     "run 'R1': task 'D' began 2.5 min before 'B' had ended, which the plan has it wait for");
    clear_away(&b);
}
END_TEST

START_TEST(early_is_told_through_work_left_out)
{
    struct bench b = {0};

    five_tasks(&b);
    made_log_step(&b.log, 0, "A", 0, 10);
    made_log_step(&b.log, 0, "B", 10, 30);
    made_log_step(&b.log, 0, "C", 10, 20);
    made_log_skip(&b.log, 0, "D"); /* would have waited for B */
    made_log_step(&b.log, 0, "E", 28, 50);
    measure(&b);
    ck_assert_str_eq(the_finding(&b, "began-early")->message,
                     "run 'R1': task 'E' began 2.0 min before 'B' had ended, which the plan has it wait for");
    clear_away(&b);

    made_plan_add(&b.plan, "A", "EV1", "");
    made_plan_add(&b.plan, "G", "EV1", "");
    made_plan_add(&b.plan, "Z", "EV1", "");
    made_plan_finish(&b.plan);
    made_log_run(&b.log, "R1");
    made_log_step(&b.log, 0, "A", 0, 10);
    made_log_skip(&b.log, 0, "G");
    made_log_step(&b.log, 0, "Z", 9, 20);
    measure(&b);
    ck_assert_str_eq(the_finding(&b, "began-early")->message,
                     "run 'R1': task 'Z' began 1.0 min before 'A' had ended, which the plan has it wait for, by way of "
                     "work that was left out");
    clear_away(&b);
}
END_TEST

START_TEST(half_a_second_is_the_same_moment)
{
    for (int late = 0; late < 2; late++) {
        struct bench b = {0};
        double early_s = late ? 0.6 : 0.4;
        five_tasks(&b);
        made_log_step(&b.log, 0, "A", 0, 10);
        made_log_step(&b.log, 0, "B", 10, 30);
        made_log_step(&b.log, 0, "C", 10 - early_s / 60, 20);
        made_log_step(&b.log, 0, "D", 30, 40);
        made_log_step(&b.log, 0, "E", 40, 50);
        measure(&b);
        ck_assert_uint_eq(count_code(&b, "began-early"), (size_t)late);
        ck_assert(b.timing.run[0].kept_to_plan == !late);
        clear_away(&b);
    }
}
END_TEST

START_TEST(a_window_counts_when_it_was_kept)
{
    struct bench b = {0};

    made_plan_add(&b.plan, "A", "EV1", "");
    made_plan_add(&b.plan, "B", "EV1", "");
    made_plan_finish(&b.plan);
    b.plan.task[1].not_before_min = wr_known(25);
    made_log_run(&b.log, "kept");
    made_log_run(&b.log, "not kept");
    made_log_step(&b.log, 0, "A", 0, 10);
    made_log_step(&b.log, 0, "B", 27, 30);
    made_log_step(&b.log, 1, "A", 0, 10);
    made_log_step(&b.log, 1, "B", 12, 15);
    measure(&b);
    ck_assert_double_eq_tol(wr_timing_cell(&b.timing, 1, 0)->lead_in_min, 2, tiny);
    ck_assert_double_eq_tol(wr_timing_cell(&b.timing, 1, 1)->lead_in_min, 2, tiny);
    ck_assert_double_eq_tol(b.timing.run[0].replay_min, 30, tiny);
    ck_assert_double_eq_tol(b.timing.run[1].replay_min, 15, tiny);
    const struct wr_finding *f = the_finding(&b, "before-not-before");
    ck_assert(f->severity == WR_WARNING && f->line == 5);
    ck_assert_str_eq(f->message, "run 'not kept': task 'B' began 13.0 min before its not_before");
    clear_away(&b);
}
END_TEST

START_TEST(late_get_ahead_work_that_was_done_counts)
{
    struct bench b = {0};

    made_plan_add(&b.plan, "A", "EV1", "");
    made_plan_add(&b.plan, "G", "EV1", "");
    made_plan_finish(&b.plan);
    b.plan.task[1].drop_after_min = wr_known(8);
    made_log_run(&b.log, "R1");
    made_log_step(&b.log, 0, "A", 0, 10);
    made_log_step(&b.log, 0, "G", 10, 15);
    measure(&b);
    ck_assert_double_eq_tol(b.timing.run[0].replay_min, 15, tiny);
    ck_assert(b.timing.run[0].complete && b.timing.run[0].kept_to_plan);
    ck_assert(the_finding(&b, "after-drop-time")->severity == WR_NOTE && the_finding(&b, "after-drop-time")->line == 3);
    clear_away(&b);
}
END_TEST

/* G may be dropped after 8 min and was begun at 10, then B: a forecast of that day leaves G out, and B ends at 12. A
 * hold of 2 in A, and it does G: nothing is left out. */
START_TEST(work_past_its_rule_is_left_out_as_a_forecast_does)
{
    for (int hold = 1; hold <= 2; hold++) {
        struct bench b = {0};
        for (const char *task = "AGB"; *task; task++) made_plan_add(&b.plan, (char[]){*task, '\0'}, "EV1", "");
        made_plan_finish(&b.plan);
        b.plan.task[1].drop_after_min = wr_known(8);
        made_log_run(&b.log, "R1");
        made_log_step(&b.log, 0, "A", 0, 10)->hold_min = hold;
        made_log_step(&b.log, 0, "G", 10, 15);
        made_log_step(&b.log, 0, "B", 16, 18);
        measure(&b);
        const struct wr_timing_run *run = &b.timing.run[0];
        ck_assert_uint_eq(run->n_past_rule, hold == 1);
        ck_assert_double_eq_tol(run->by_rules_min, hold == 1 ? 9 + 3 : 8 + 5 + 3, tiny);
        ck_assert_double_eq_tol(run->finish_without_holds_min, 18 - hold, tiny);
        ck_assert_uint_eq(run->n_dropped, 0);
        clear_away(&b);
    }
}
END_TEST

/* G may be dropped after 8 min. The finding says what a forecast does with such a day, which goes by when G could
 * begin, holds left out; of less than a minute of lead-in it says nothing. */
START_TEST(work_begun_after_its_drop_time_is_said_as_the_rule_goes)
{
    static const struct { double a_end, hold, begun; const char *says; } c[] = {
        {10, 0, 10, "task 'G' was begun, though it is dropped after 0:08:00: holds left out, it could only begin at "
                    "0:10:00, and a forecast of such a day drops it"},
        {8.1, 0, 8.1, "it could only begin at 0:08:06, and a forecast of such a day drops it"},
        {7.7, 0, 8.1, NULL},
        {7.7, 0, 8.9, NULL},
        {7.7, 0, 9, "task 'G' was begun at 0:09:00, and is dropped after 0:08:00: holds left out, it could have begun "
                    "in time, at 0:07:42, and a forecast of such a day does it"},
        {10, 2, 10, "it could have begun in time, at 0:08:00, and a forecast of such a day does it"}};

    for (size_t i = 0; i < sizeof c / sizeof *c; i++) {
        struct bench b = {0};
        size_t n = 0;
        made_plan_add(&b.plan, "A", "EV1", "");
        made_plan_add(&b.plan, "G", "EV1", "");
        made_plan_finish(&b.plan);
        b.plan.task[1].drop_after_min = wr_known(8);
        made_log_run(&b.log, "R1");
        made_log_step(&b.log, 0, "A", 0, c[i].a_end)->hold_min = c[i].hold;
        made_log_step(&b.log, 0, "G", c[i].begun, 20);
        measure(&b);
        for (size_t f = 0; f < b.findings.n_finding; f++) n += !strcmp(b.findings.finding[f].code, "after-drop-time");
        ck_assert_uint_eq(n, c[i].says != NULL);
        if (c[i].says) ck_assert_ptr_nonnull(strstr(the_finding(&b, "after-drop-time")->message, c[i].says));
        clear_away(&b);
    }
}
END_TEST

/* G may be dropped after 8 min, and its run skipped it at 10 min. A hold of 2 in A, and without it G could have begun
 * in time: the day that is forecast would have done it. */
START_TEST(work_that_its_rule_drops_is_not_missing)
{
    static const struct {
        double hold;
        bool lacks_b, complete;
        const char *code, *says;
    } c[] = {
        {1, false, true, "work-dropped",
         "complete without 1 task that the plan drops on such a day; the first is 'G', which, holds left out, could "
         "have begun at 0:09, and is dropped after 0:08"},
        {2, false, false, "run-incomplete",
         "not complete, though nothing but work that the plan may drop is missing: holds left out, 'G' could have "
         "begun at 0:08, and it is dropped after 0:08"},
        {1, true, false, "run-incomplete",
         "not complete: 0 stopped, 2 skipped, 0 not logged of 3 tasks; the first that the plan does not drop on such a "
         "day is 'B'"}};

    for (size_t i = 0; i < sizeof c / sizeof *c; i++) {
        struct bench b = {0};
        made_plan_add(&b.plan, "A", "EV1", "");
        made_plan_add(&b.plan, "G", "EV1", "");
        made_plan_add(&b.plan, "B", "EV1", "");
        made_plan_finish(&b.plan);
        b.plan.task[1].drop_after_min = wr_known(8);
        made_log_run(&b.log, "R1");
        made_log_step(&b.log, 0, "A", 0, 10)->hold_min = c[i].hold;
        made_log_step(&b.log, 0, "G", 0, 0)->outcome = WR_SKIPPED;
        made_log_step(&b.log, 0, "B", 10, 15)->outcome = c[i].lacks_b ? WR_SKIPPED : WR_DONE;
        measure(&b);
        const struct wr_timing_run *run = &b.timing.run[0];
        ck_assert(run->complete == c[i].complete && run->n_left_out == 1 && run->n_dropped == (c[i].hold < 2));
        ck_assert(wr_run_did_its_work(run) == !c[i].lacks_b);
        ck_assert_ptr_nonnull(strstr(the_finding(&b, c[i].code)->message, c[i].says));
        clear_away(&b);
    }
}
END_TEST

START_TEST(overlapping_steps_count_once_and_are_told)
{
    struct bench b = {0};

    made_plan_add(&b.plan, "A", "EV1", "");
    made_plan_finish(&b.plan);
    made_log_run(&b.log, "R1");
    made_log_step(&b.log, 0, "A", 0, 20);  /* holds the next one whole */
    made_log_step(&b.log, 0, "A", 5, 10);
    made_log_step(&b.log, 0, "A", 22, 25); /* a gap only after 20 */
    measure(&b);
    expect_cell(&b, 0, WR_CELL_DONE, 0, 2, 23, 0);
    ck_assert_double_eq_tol(b.timing.run[0].replay_min, 25, tiny);
    ck_assert(!b.timing.run[0].kept_to_plan);
    ck_assert(the_finding(&b, "steps-overlap")->line == 3);
    clear_away(&b);
}
END_TEST

/* Of two rows of the same minutes with a hold each, as two people log it, one counts; work and hold are the span.
 * By hand: the union of the rows, less the holds that cannot be the same one. */
START_TEST(holds_of_overlapping_steps_count_once)
{
    static const struct {
        double hold[2], from, to, active, held;
    } of[] = {{{5, 5}, 0.5, 20, 15, 5},   /* one of both */
              {{5, 5}, 15, 40, 35, 5},    /* may both lie in the five minutes that are told of twice */
              {{5, 9}, 15, 40, 31, 9},    /* or but four of it */
              {{5, 5}, 19, 40, 31, 9},    /* a minute is told of twice */
              {{0, 5}, 15, 40, 35, 5},    /* nobody else has it */
              {{0, 5}, 2, 20, 20, 0},     /* or somebody has no hold there */
              {{5, 0}, 15, 40, 35, 5},
              {{5, 5}, 20, 40, 30, 10}};  /* one after the other */

    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        struct bench b = {0};
        made_plan_add(&b.plan, "OUT", "EV1", "");
        made_plan_add(&b.plan, "A", "EV1", "");
        made_plan_add(&b.plan, "B", "EV1", "");
        made_plan_finish(&b.plan);
        made_log_run(&b.log, "R1");
        made_log_step(&b.log, 0, "OUT", 0, 30);
        made_log_step(&b.log, 0, "A", 30, 50);
        made_log_step(&b.log, 0, "A", 30 + of[i].from, 30 + of[i].to);
        made_log_step(&b.log, 0, "B", 30 + of[i].to, 40 + of[i].to);
        for (size_t s = 0; s < 2; s++) {
            b.log.step[1 + s].hold_min = of[i].hold[s];
            b.log.step[1 + s].active_min -= of[i].hold[s];
        }
        measure(&b);
        expect_cell(&b, 1, WR_CELL_DONE, 0, 0, of[i].active, of[i].held);
        ck_assert_double_eq_tol(b.timing.run[0].replay_min, of[i].to + 40, tiny);
        ck_assert_double_eq_tol(b.timing.run[0].finish_without_holds_min, of[i].active + 40, tiny);
        ck_assert_double_eq_tol(b.timing.run[0].by_plan_min, of[i].active + 40, tiny);
        clear_away(&b);
    }
}
END_TEST

START_TEST(work_outside_the_plan)
{
    struct bench b = {0};

    made_plan_add(&b.plan, "A", "EV1", "");
    made_plan_finish(&b.plan);
    made_log_run(&b.log, "R1");
    made_log_step(&b.log, 0, "A", 0, 10);
    made_log_step(&b.log, 0, "extra", 10, 14);
    measure(&b);
    ck_assert(b.timing.run[0].complete && !b.timing.run[0].kept_to_plan);
    ck_assert_double_eq_tol(b.timing.run[0].finish_min.value, 14, tiny);
    ck_assert(the_finding(&b, "off-plan-work")->line == 3);
    clear_away(&b);
}
END_TEST

START_TEST(another_crew_than_planned)
{
    static const struct {
        const char *one, *two; /* crew of two steps of a joint task */
        bool differs;
    } row[] = {
        {"EV1+EV2", "EV1+EV2", false}, {"EV2 + EV1", "EV1+EV2", false}, {"EV1", "EV2", false}, {"", "", false},
        {"EV1", "EV1", true},          {"EV1+EV3", "EV1+EV2", true},    {"EV9", "", true},     {"EV1+EV2", "EV3", true},
    };

    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        struct bench b = {0};
        made_plan_add(&b.plan, "A", "EV1+EV2", "");
        made_plan_add(&b.plan, "Z", "EV3", "");
        made_plan_finish(&b.plan);
        made_log_run(&b.log, "R1");
        made_log_step(&b.log, 0, "A", 0, 10)->crew = row[i].one;
        made_log_step(&b.log, 0, "A", 10, 12)->crew = row[i].two;
        made_log_step(&b.log, 0, "Z", 0, 9);
        measure(&b);
        ck_assert_msg(count_code(&b, "other-crew") == row[i].differs, "row %zu", i);
        ck_assert(b.timing.run[0].kept_to_plan);
        clear_away(&b);
    }
}
END_TEST

static const char *name_at(const struct bench *b, size_t task, size_t run, size_t i)
{
    const struct wr_cell *c = wr_timing_cell(&b->timing, task, run);

    ck_assert(i < c->n_performer);
    return b->timing.person[c->person[i]];
}

START_TEST(people_by_lane)
{
    struct bench b = {0};
    struct wr_log_step *s;

    made_plan_add(&b.plan, "A", "EV1+EV2", "");
    made_plan_add(&b.plan, "B", "EV1", "");
    made_plan_add(&b.plan, "C", "EV2", "");
    made_plan_add(&b.plan, "E", "EV2+EV1", "");
    made_plan_finish(&b.plan);
    for (size_t r = 0; r < 2; r++) {
        made_log_run(&b.log, r ? "R2" : "R1");
        s = made_log_step(&b.log, r, "A", 0, 10);
        s->crew = "EV2+EV1"; /* the row's own order counts */
        s->performer = r ? "AB + CD" : "CD+AB";
        made_log_step(&b.log, r, "B", 10, 20); /* nobody named: whoever is in EV1 */
        made_log_step(&b.log, r, "C", 10, 20)->performer = r ? "AB" : "CD";
        made_log_step(&b.log, r, "E", 20, 30); /* both, in the order of the plan: EV2 first */
    }
    measure(&b);
    ck_assert_uint_eq(b.timing.n_person, 2);
    for (size_t r = 0; r < 2; r++) {
        const char *ev1 = r ? "CD" : "AB", *ev2 = r ? "AB" : "CD";
        ck_assert_str_eq(name_at(&b, 0, r, 0), ev1);
        ck_assert_str_eq(name_at(&b, 0, r, 1), ev2);
        ck_assert_str_eq(name_at(&b, 1, r, 0), ev1);
        ck_assert_str_eq(name_at(&b, 2, r, 0), ev2);
        ck_assert_str_eq(name_at(&b, 3, r, 0), ev2);
        ck_assert_str_eq(name_at(&b, 3, r, 1), ev1);
        ck_assert_str_eq(b.timing.person[b.timing.line_up[r * 2]], ev1);
        ck_assert_str_eq(b.timing.person[b.timing.line_up[r * 2 + 1]], ev2);
        ck_assert_uint_eq(wr_timing_cell(&b.timing, 1, r)->n_performer, 1);
    }
    ck_assert_uint_eq(b.findings.n_finding, 0);
    clear_away(&b);
}
END_TEST

START_TEST(people_that_do_not_fit)
{
    struct bench b = {0};

    made_plan_add(&b.plan, "A", "EV1+EV2", "");
    made_plan_add(&b.plan, "B", "EV1", "");
    made_plan_add(&b.plan, "C", "EV2", "");
    made_plan_add(&b.plan, "D", "EV2", "");
    made_plan_finish(&b.plan);
    made_log_run(&b.log, "R1");
    made_log_run(&b.log, "R2");
    made_log_step(&b.log, 0, "A", 0, 10)->performer = "AB"; /* one name for two lanes: which lane is not known */
    made_log_step(&b.log, 0, "B", 10, 20)->performer = "AB";
    made_log_step(&b.log, 0, "C", 10, 20);                  /* nobody is known in EV2 */
    made_log_step(&b.log, 1, "A", 0, 10)->performer = "AB+AB";
    made_log_step(&b.log, 1, "B", 10, 20)->performer = "P+Q+R+S+T"; /* four are kept */
    made_log_step(&b.log, 1, "C", 10, 20)->performer = "CD";
    made_log_step(&b.log, 1, "D", 20, 30)->performer = "CD";
    measure(&b);
    ck_assert_uint_eq(wr_timing_cell(&b.timing, 0, 0)->n_performer, 1);
    ck_assert_uint_eq(wr_timing_cell(&b.timing, 2, 0)->n_performer, 0);
    ck_assert(b.timing.line_up[0] >= 0 && b.timing.line_up[1] == -1);
    ck_assert_uint_eq(wr_timing_cell(&b.timing, 0, 1)->n_performer, 1);
    ck_assert_uint_eq(wr_timing_cell(&b.timing, 1, 1)->n_performer, 4);
    ck_assert_str_eq(b.timing.person[b.timing.line_up[3]], "CD"); /* twice CD, once AB */
    ck_assert_uint_eq(count_code(&b, "performer-count"), 2);
    ck_assert_uint_eq(count_code(&b, "person-twice"), 1);
    ck_assert_uint_eq(count_code(&b, "line-up-changed"), 1);
    clear_away(&b);
}
END_TEST

START_TEST(one_person_cannot_stand_in_two_lanes)
{
    struct bench b = {0};

    made_plan_add(&b.plan, "B", "EV1", "");
    made_plan_add(&b.plan, "C", "EV2", "");
    made_plan_finish(&b.plan);
    made_log_run(&b.log, "R1");
    made_log_step(&b.log, 0, "B", 0, 20)->performer = "AB";
    made_log_step(&b.log, 0, "C", 0, 20)->performer = "AB";
    measure(&b);
    ck_assert_str_eq(the_finding(&b, "person-twice")->message, "run 'R1': 'AB' stands in lanes 'EV1' and 'EV2'");
    clear_away(&b);
}
END_TEST

START_TEST(many_people_keep_their_numbers)
{
    struct bench b = {0};
    char name[16];
    enum { PEOPLE = 1000 };

    made_plan_add(&b.plan, "A", "EV1", "");
    made_plan_finish(&b.plan);
    for (int turn = 0; turn < 2; turn++)
        for (size_t i = 0; i < PEOPLE; i++) {
            size_t r = made_log_run(&b.log, "R");
            int n = snprintf(name, sizeof name, "p%zu", i);
            made_log_step(&b.log, r, "A", 0, 1)->performer = wr_arena_copy(&b.log.text, name, (size_t)n);
        }
    measure(&b);
    ck_assert_uint_eq(b.timing.n_person, PEOPLE);
    for (size_t r = 0; r < 2 * PEOPLE; r++) {
        snprintf(name, sizeof name, "p%zu", r % PEOPLE);
        ck_assert_str_eq(name_at(&b, 0, r, 0), name);
    }
    clear_away(&b);
}
END_TEST

START_TEST(minutes_without_a_clock)
{
    struct bench b = {0};
    const char *task[] = {"A", "B", "C", "D", "E"};
    const double minutes[] = {10, 20, 15, 5, 8}, start[] = {0, 10, 10, 34, 39};

    five_tasks(&b);
    for (size_t k = 0; k < 5; k++) {
        struct wr_log_step *s = made_log_step(&b.log, 0, task[k], 0, 0);
        s->has_clock = false;
        s->active_min = minutes[k];
        s->hold_min = k == 1 ? 4 : 0;
    }
    b.log.run[0].kind = WR_TIME_MINUTES;
    measure(&b);
    ck_assert(!b.timing.run[0].finish_min.known && b.timing.run[0].complete && b.timing.run[0].kept_to_plan);
    ck_assert(b.timing.run[0].by_minutes && the_finding(&b, "minutes-alone")->severity == WR_WARNING);
    ck_assert_double_eq_tol(b.timing.run[0].replay_min, 47, tiny);
    ck_assert_double_eq_tol(b.timing.run[0].finish_without_holds_min, 43, tiny);
    for (size_t k = 0; k < 5; k++) {
        expect_cell(&b, k, WR_CELL_DONE, 0, 0, minutes[k], k == 1 ? 4 : 0);
        ck_assert_double_eq_tol(wr_timing_cell(&b.timing, k, 0)->start_min, start[k], tiny);
    }
    clear_away(&b);
}
END_TEST

/* B has lead-ins of 2, 4 and 9 min by the clock, C none of its own there: the median of all of 0, 0, 0, 2, 4, 9. */
START_TEST(minutes_beside_runs_with_a_clock)
{
    static const double lead_in[] = {2, 4, 9};
    struct bench b = {0};
    const char *run[] = {"R1", "R2", "R3", "M1"};

    made_plan_add(&b.plan, "A", "EV1", "");
    made_plan_add(&b.plan, "B", "EV1", "");
    made_plan_add(&b.plan, "C", "EV1", "");
    made_plan_finish(&b.plan);
    for (size_t r = 0; r < 4; r++) made_log_run(&b.log, run[r]);
    for (size_t r = 0; r < 3; r++) {
        made_log_step(&b.log, r, "A", 0, 10);
        made_log_step(&b.log, r, "B", 10 + lead_in[r], 30);
    }
    for (const char *task = "ABC"; *task; task++) {
        struct wr_log_step *s = made_log_step(&b.log, 3, (char[]){*task, '\0'}, 0, 0);
        s->has_clock = false;
        s->active_min = 10;
    }
    b.log.run[3].kind = WR_TIME_MINUTES;
    measure(&b);
    const struct wr_timing_run *m = &b.timing.run[3];
    ck_assert(m->by_minutes && !b.timing.run[0].by_minutes && m->complete && !wr_run_is_whole(m));
    ck_assert_uint_eq(wr_timing_complete(&b.timing), 0); /* C was done in M1 alone */
    expect_cell(&b, 0, WR_CELL_DONE, 0, 0, 10, 0);
    ck_assert_double_eq_tol(wr_timing_cell(&b.timing, 1, 3)->lead_in_min, 4, tiny);
    ck_assert_double_eq_tol(wr_timing_cell(&b.timing, 2, 3)->lead_in_min, 1, tiny);
    ck_assert_double_eq_tol(m->finish_without_holds_min, 30, tiny); /* no more than is known */
    ck_assert_double_eq_tol(m->by_plan_min, 35, tiny);
    ck_assert_double_eq(m->unlogged_min, 0);
    ck_assert_ptr_nonnull(strstr(the_finding(&b, "minutes-alone")->message, "1 of 4 runs ('M1') has minutes"));
    ck_assert_ptr_nonnull(strstr(the_finding(&b, "minutes-alone")->message, "have 4 min of it in a run (median)"));
    clear_away(&b);
}
END_TEST

/* Said to hold the time between tasks as well: as a run by the clock without any, but for its finish, which nobody saw.
 * A step with a clock among them belies it. */
START_TEST(minutes_that_are_whole)
{
    for (int clocked = 0; clocked < 2; clocked++) {
        struct bench b = {0};
        const char *run[] = {"R1", "M1"};
        made_plan_add(&b.plan, "A", "EV1", "");
        made_plan_add(&b.plan, "B", "EV1", "");
        made_plan_finish(&b.plan);
        for (size_t r = 0; r < 2; r++) made_log_run(&b.log, run[r]);
        made_log_step(&b.log, 0, "A", 0, 10);
        made_log_step(&b.log, 0, "B", 14, 30);
        for (const char *task = "AB"; *task; task++) {
            struct wr_log_step *s = made_log_step(&b.log, 1, (char[]){*task, '\0'}, 0, 10);
            s->has_clock = clocked && *task == 'A';
            s->active_min = 10;
        }
        b.log.run[1].kind = WR_TIME_MINUTES;
        b.log.minutes_whole = true;
        measure(&b);
        const struct wr_timing_run *m = &b.timing.run[1];
        ck_assert(m->by_minutes == clocked && wr_run_is_whole(m) == !clocked && !m->finish_min.known);
        ck_assert_double_eq_tol(wr_timing_cell(&b.timing, 1, 1)->lead_in_min, clocked ? 4 : 0, tiny);
        ck_assert_double_eq_tol(m->finish_without_holds_min, 20, tiny);
        ck_assert_double_eq_tol(m->by_plan_min, clocked ? 24 : 20, tiny);
        ck_assert_int_eq(the_finding(&b, "minutes-alone")->severity, clocked ? WR_WARNING : WR_NOTE);
        clear_away(&b);
    }
}
END_TEST

START_TEST(no_time_and_much_idle_time_are_told)
{
    struct bench b = {0};

    made_plan_add(&b.plan, "A", "EV1", "");
    made_plan_add(&b.plan, "B", "EV1", "");
    made_plan_finish(&b.plan);
    made_log_run(&b.log, "R1");
    made_log_run(&b.log, "R2");
    made_log_step(&b.log, 0, "A", 0, 0);
    made_log_step(&b.log, 0, "B", 1, 11);     /* 1 beside 10 min: not more than a tenth */
    made_log_step(&b.log, 1, "A", 0, 8);
    made_log_step(&b.log, 1, "B", 9.1, 11.1); /* 1.1 beside 10 */
    measure(&b);
    ck_assert(the_finding(&b, "no-time")->line == 2 && the_finding(&b, "no-time")->severity == WR_WARNING);
    ck_assert(the_finding(&b, "time-unlogged")->line == 5 && the_finding(&b, "time-unlogged")->severity == WR_NOTE);
    ck_assert_ptr_nonnull(strstr(the_finding(&b, "time-unlogged")->message, "1 min between steps, 11 % of the logged"));
    clear_away(&b);
}
END_TEST

/* ---- random runs ---- */

struct piece { /* what one task of a run is made of */
    enum wr_cell_state state;
    double lead_in, gap, active[3], hold[3];
    size_t n_step;
};

static double whole_seconds(unsigned long long *state, double most_min)
{
    return floor(made_uniform(state) * most_min * 60) / 60;
}

static struct piece draw_piece(unsigned long long *state)
{
    double u = made_uniform(state);
    struct piece p = {.state = u < 0.06 ? WR_CELL_SKIPPED : u < 0.12 ? WR_CELL_STOPPED : u < 0.15 ? WR_CELL_ABSENT
                                                                                                 : WR_CELL_DONE};
    if (p.state == WR_CELL_SKIPPED || p.state == WR_CELL_ABSENT) return p;
    p.n_step = 1 + (size_t)(made_uniform(state) * 3);
    p.lead_in = made_uniform(state) < 0.5 ? whole_seconds(state, 4) : 0;
    p.gap = p.n_step > 1 && made_uniform(state) < 0.5 ? whole_seconds(state, 3) : 0;
    for (size_t i = 0; i < p.n_step; i++) {
        p.active[i] = 1.0 / 60 + whole_seconds(state, 20);
        p.hold[i] = made_uniform(state) < 0.2 ? whole_seconds(state, 5) : 0;
    }
    return p;
}

static double length(const struct piece *p)
{
    double sum = p->lead_in + p->gap;

    for (size_t i = 0; i < p->n_step; i++) sum += p->active[i] + p->hold[i];
    return sum;
}

/* Walks the plan by pushing tasks back until nothing moves; knows nothing of the network. Returns the finish. */
static double walk(const struct wr_plan *plan, const struct piece *piece, double *ready)
{
    double *end = calloc(plan->n_task, sizeof *end), finish = 0;

    for (size_t k = 0; k < plan->n_task; k++) ready[k] = 0;
    for (bool moved = true; moved;) {
        moved = false;
        for (size_t k = 0; k < plan->n_task; k++) {
            double r = 0;
            for (size_t j = 0; j < k; j++)
                if (plan->task[j].lanes & plan->task[k].lanes) r = fmax(r, end[j]);
            for (size_t i = 0; i < plan->task[k].n_after; i++) r = fmax(r, end[plan->task[k].after[i]]);
            if (piece[k].n_step && plan->task[k].not_before_min.known) r = fmax(r, plan->task[k].not_before_min.value);
            double e = r + length(&piece[k]);
            moved |= e != end[k] || r != ready[k];
            ready[k] = r;
            end[k] = e;
        }
    }
    for (size_t k = 0; k < plan->n_task; k++)
        if (piece[k].n_step) finish = fmax(finish, end[k]);
    free(end);
    return finish;
}

static void write_down(struct wr_run_log *log, size_t run, const char *id, const struct piece *p, double ready)
{
    double at = ready + p->lead_in;

    if (p->state == WR_CELL_SKIPPED) made_log_skip(log, run, id);
    for (size_t i = 0; i < p->n_step; i++) {
        if (i == 1) at += p->gap;
        struct wr_log_step *s = made_log_step(log, run, id, at, at + p->active[i] + p->hold[i]);
        s->hold_min = p->hold[i];
        if (p->state == WR_CELL_STOPPED && i == p->n_step - 1) s->outcome = WR_STOPPED;
        at = s->end_min;
    }
}

START_TEST(random_runs_replay_to_their_finish)
{
    enum { TASKS = 30, RUNS = 4 };
    unsigned long long state = 77000 + (unsigned long long)_i;
    struct bench b = {0};
    struct piece piece[RUNS][TASKS];
    double finish[RUNS], ready[TASKS];
    bool opens[TASKS];

    made_plan_random(&b.plan, TASKS, 1 + (size_t)(_i % 4), &state);
    for (size_t k = 0; k < TASKS; k++) piece[0][k] = (struct piece){.state = WR_CELL_DONE, .active = {1}, .n_step = 1};
    walk(&b.plan, piece[0], ready);
    for (size_t k = 0; k < TASKS; k++) {
        opens[k] = ready[k] == 0;
        if (!opens[k] && made_uniform(&state) < 0.1)
            b.plan.task[k].not_before_min = wr_known(whole_seconds(&state, 200));
    }
    for (size_t r = 0; r < RUNS; r++) {
        made_log_run(&b.log, "R");
        for (size_t k = 0; k < TASKS; k++) {
            do piece[r][k] = draw_piece(&state);
            while ((r < 2 || opens[k]) && piece[r][k].state != WR_CELL_DONE); /* two complete runs */
            if (opens[k]) piece[r][k].lead_in = 0; /* a run counts from its first start */
        }
        finish[r] = walk(&b.plan, piece[r], ready);
        for (size_t k = 0; k < TASKS; k++) write_down(&b.log, r, b.plan.task[k].id, &piece[r][k], ready[k]);
    }
    measure(&b);
    for (size_t r = 0; r < RUNS; r++) {
        const struct wr_timing_run *run = &b.timing.run[r];
        for (size_t k = 0; k < TASKS; k++) {
            const struct piece *p = &piece[r][k];
            const struct wr_cell *c = wr_timing_cell(&b.timing, k, r);
            double active = 0, hold = 0;
            for (size_t i = 0; i < p->n_step; i++) {
                active += p->active[i];
                hold += p->hold[i];
            }
            ck_assert_int_eq(c->state, p->state);
            ck_assert_double_eq_tol(c->active_min, active, tiny);
            ck_assert_double_eq_tol(c->hold_min, hold, tiny);
            ck_assert_double_eq_tol(c->gap_min, p->gap, tiny);
            if (c->lead_in_unknown) /* only next to work that has no row, of which two runs know more */
                ck_assert(r >= 2 && run->n_absent > 0 && c->lead_in_min == 0 && c->hole_min >= p->lead_in - tiny);
            else
                ck_assert_double_eq_tol(c->lead_in_min, p->lead_in, tiny);
        }
        ck_assert(run->kept_to_plan && run->finish_min.known);
        if (r < 2) ck_assert(run->complete && run->n_unknown == 0);
        ck_assert_double_eq_tol(run->finish_min.value, finish[r], tiny);
        ck_assert_double_eq_tol(run->replay_min, finish[r], 0.5 / 60);
        for (size_t k = 0; k < TASKS; k++)
            for (size_t i = 0; i < piece[r][k].n_step; i++) piece[r][k].hold[i] = 0;
        double without_holds = walk(&b.plan, piece[r], ready);
        ck_assert_double_eq_tol(run->finish_without_holds_min, without_holds, 0.5 / 60);
        if (run->n_unknown == 0) ck_assert_double_eq_tol(run->by_plan_min, without_holds, 0.5 / 60);
    }
    clear_away(&b);
}
END_TEST

Suite *suite_timing(void);
Suite *suite_timing(void)
{
    Suite *s = suite_create("timing");
    TCase *t = tcase_create("timing");

    tcase_add_test(t, lead_ins_gaps_and_holds);
    tcase_add_test(t, lines_of_two_logs_are_told_apart);
    tcase_add_test(t, two_places_at_once_in_one_run_of_three);
    tcase_add_test(t, left_out_work_has_ended_when_it_could_have_begun);
    tcase_add_test(t, states_of_tasks_with_several_steps);
    tcase_add_loop_test(t, a_step_that_was_stopped_and_then_done, 0, sizeof repeated / sizeof *repeated);
    tcase_add_test(t, which_row_came_first);
    tcase_add_test(t, no_lane_waits_for_what_it_has_begun);
    tcase_add_test(t, beginning_early_is_a_contradiction);
    tcase_add_test(t, early_is_told_through_work_left_out);
    tcase_add_test(t, half_a_second_is_the_same_moment);
    tcase_add_test(t, a_window_counts_when_it_was_kept);
    tcase_add_test(t, late_get_ahead_work_that_was_done_counts);
    tcase_add_test(t, work_begun_after_its_drop_time_is_said_as_the_rule_goes);
    tcase_add_test(t, work_past_its_rule_is_left_out_as_a_forecast_does);
    tcase_add_test(t, work_that_its_rule_drops_is_not_missing);
    tcase_add_test(t, overlapping_steps_count_once_and_are_told);
    tcase_add_test(t, holds_of_overlapping_steps_count_once);
    tcase_add_test(t, work_outside_the_plan);
    tcase_add_test(t, another_crew_than_planned);
    tcase_add_test(t, people_by_lane);
    tcase_add_test(t, people_that_do_not_fit);
    tcase_add_test(t, one_person_cannot_stand_in_two_lanes);
    tcase_add_test(t, many_people_keep_their_numbers);
    tcase_add_test(t, minutes_without_a_clock);
    tcase_add_test(t, minutes_beside_runs_with_a_clock);
    tcase_add_test(t, minutes_that_are_whole);
    tcase_add_test(t, no_time_and_much_idle_time_are_told);
    tcase_add_loop_test(t, random_runs_replay_to_their_finish, 0, 60);
    suite_add_tcase(s, t);
    return s;
}
