/* Rows that are rejected, missing or of another run: the time in which they stand is nobody's. All by hand. */
#include <check.h>
#include <stdint.h>
#include <string.h>
#include "made_plan.h"
#include "read_campaign.h"
#include "wetrun/base/str.h"

static const double tiny = 1e-9;
static const char chain[] = "task,crew\nA,EV1\nB,EV1\nC,EV1\nD,EV1\n";
/* two runs that have everything; lead-ins of a minute, in r2 of two */
#define WHOLE "r1,A,EV1,0,10\nr1,B,EV1,11,30\nr1,C,EV1,31,40\nr1,D,EV1,41,50\n" \
              "r2,A,EV1,0,10\nr2,B,EV1,12,32\nr2,C,EV1,34,44\nr2,D,EV1,46,56\n"

static void with_third(struct read_campaign *c, const char *rows)
{
    struct wr_str log = {0};

    wr_str_addf(&log, "run,task,crew,start,end\n%s%s", WHOLE, rows);
    read_campaign(c, chain, NULL, log.text);
    wr_str_release(&log);
}

static void is_hole_before(const struct read_campaign *c, const char *task, double hole_min)
{
    const struct wr_cell *cell = read_cell(c, task, "r3");

    ck_assert_msg(cell->state == WR_CELL_DONE && cell->lead_in_unknown && !wr_cell_is_timed(cell), "%s", task);
    ck_assert_double_eq_tol(cell->hole_min, hole_min, tiny);
    ck_assert_double_eq_tol(cell->lead_in_min, 0, tiny);
}

static void is_known(const struct read_campaign *c, const char *task, double lead_in_min)
{
    ck_assert_msg(wr_cell_is_timed(read_cell(c, task, "r3")), "%s", task);
    ck_assert_double_eq_tol(read_cell(c, task, "r3")->lead_in_min, lead_in_min, tiny);
}

START_TEST(a_blank_end)
{
    struct read_campaign c;

    with_third(&c, "r3,A,EV1,0,10\nr3,B,EV1,11,\nr3,C,EV1,31,40\nr3,D,EV1,41,50\n");
    ck_assert_int_eq(read_cell(&c, "B", "r3")->state, WR_CELL_LOST);
    is_hole_before(&c, "C", 21);
    is_known(&c, "D", 1);
    ck_assert_ptr_nonnull(strstr(read_message(&c, "time-unknown"),
                                 "'B' took is not known: a row of it was rejected. The "
                                 "21.0 min before 'C' may hold it"));
    const struct wr_timing_run *run = read_run(&c, "r3");
    ck_assert(!run->complete && run->n_lost == 1 && run->n_unknown == 1);
    ck_assert_double_eq_tol(run->replay_min, 50, tiny); /* the hole is there, whosever it is */
    ck_assert_double_eq_tol(run->unlogged_min, 1, tiny);
    ck_assert_ptr_nonnull(strstr(read_message(&c, "run-incomplete"),
                                 "not complete: all done, but how long 1 task took is not known"));
    ck_assert_uint_eq(read_finding(&c, "run-incomplete")->line, 11);
    read_release(&c);
}
END_TEST

/* A joint task that opens the others' runs is missing, and one of its lanes is at work from the first row on: it stood
 * before that. Both whose lead-in that takes are named. */
START_TEST(missing_before_the_first_row)
{
    static const char joint[] = "task,crew\nOUT,EV1+EV2\nFETCH,EV1\nPANEL,EV2\nBOX,EV1\n";
    struct read_campaign c;

    read_campaign(&c, joint, NULL, "run,task,crew,start,end\n"
                                   "r1,OUT,EV1+EV2,0,20\nr1,FETCH,EV1,21,36\nr1,PANEL,EV2,21,50\nr1,BOX,EV1,51,90\n"
                                   "r2,OUT,EV1+EV2,0,22\nr2,FETCH,EV1,23,39\nr2,PANEL,EV2,23,55\nr2,BOX,EV1,56,94\n"
                                   "r3,PANEL,EV2,0,27\nr3,BOX,EV1,28,70\n");
    const char *out = read_message(&c, "time-unknown"); /* of OUT, the first of the plan */
    ck_assert_ptr_nonnull(strstr(out, "how long task 'OUT' took is not known"));
    ck_assert_msg(strstr(out, "the lead-ins of 'BOX' and 'PANEL' are not known") != NULL, "%s", out);
    ck_assert_ptr_null(strstr(out, "may hold it"));
    ck_assert_ptr_nonnull(strstr(out, "it may stand before the first row"));
    ck_assert(read_cell(&c, "PANEL", "r3")->lead_in_unknown && read_cell(&c, "BOX", "r3")->lead_in_unknown);
    read_release(&c);
}
END_TEST

START_TEST(no_row_at_all)
{
    struct read_campaign c;

    with_third(&c, "r3,A,EV1,0,10\nr3,C,EV1,31,40\nr3,D,EV1,41,50\n");
    ck_assert_int_eq(read_cell(&c, "B", "r3")->state, WR_CELL_ABSENT);
    is_hole_before(&c, "C", 21);
    ck_assert_ptr_nonnull(strstr(read_message(&c, "time-unknown"), "it has no row, though other runs have it"));
    read_release(&c);
    /* half of the shortest B, 9.5 min, do not go into 9: it was left out, and the lead-in of C is what it is */
    with_third(&c, "r3,A,EV1,0,10\nr3,C,EV1,19,40\nr3,D,EV1,41,50\n");
    is_known(&c, "C", 9);
    ck_assert_uint_eq(read_count(&c, "time-unknown"), 0);
    read_release(&c);
    /* skipped is said: nothing is missing */
    with_third(&c, "r3,A,EV1,0,10\nr3,B,EV1,,\nr3,C,EV1,31,40\nr3,D,EV1,41,50\n");
    ck_assert_int_eq(read_cell(&c, "B", "r3")->state, WR_CELL_LOST); /* no times and not skipped */
    read_release(&c);
}
END_TEST

START_TEST(the_first_and_the_last)
{
    struct read_campaign c;

    with_third(&c, "r3,A,EV1,x,10\nr3,B,EV1,11,30\nr3,C,EV1,31,40\nr3,D,EV1,41,50\n");
    is_hole_before(&c, "B", 0); /* the run is counted from B's start, so even 0 is not known to be its lead-in */
    is_known(&c, "C", 1);
    ck_assert(!read_run(&c, "r3")->finish_stands); /* it began before its first row */
    read_release(&c);
    with_third(&c, "r3,A,EV1,0,10\nr3,B,EV1,11,x\nr3,C,EV1,31,40\nr3,D,EV1,41,50\n");
    ck_assert(read_run(&c, "r3")->finish_stands);
    read_release(&c);
    with_third(&c, "r3,A,EV1,0,10\nr3,B,EV1,11,30\nr3,C,EV1,31,40\nr3,D,EV1,41,x\n");
    is_known(&c, "B", 1);
    is_known(&c, "C", 1);
    ck_assert_int_eq(read_cell(&c, "D", "r3")->state, WR_CELL_LOST);
    ck_assert_uint_eq(read_run(&c, "r3")->n_unknown, 0);
    read_release(&c);
}
END_TEST

START_TEST(two_in_a_row)
{
    struct read_campaign c;

    with_third(&c, "r3,A,EV1,0,10\nr3,B,EV1,11,x\nr3,C,EV1,31,y\nr3,D,EV1,41,50\n");
    is_hole_before(&c, "D", 31);
    ck_assert_uint_eq(read_count(&c, "time-unknown"), 2);
    read_release(&c);
}
END_TEST

START_TEST(the_second_half_of_a_task)
{
    struct read_campaign c;

    with_third(&c, "r3,A,EV1,0,10\nr3,B,EV1,11,20\nr3,B,EV1,21,x\nr3,C,EV1,31,40\nr3,D,EV1,41,50\n");
    ck_assert_int_eq(read_cell(&c, "B", "r3")->state, WR_CELL_LOST);
    ck_assert_double_eq_tol(read_cell(&c, "B", "r3")->active_min, 0, tiny); /* half a time is none */
    is_hole_before(&c, "C", 11);
    is_known(&c, "D", 1);
    read_release(&c);
}
END_TEST

START_TEST(done_elsewhere_than_usual)
{
    struct read_campaign c;

    /* B's row is no good, and between A and C there is no room; 25 min before D are */
    with_third(&c, "r3,A,EV1,0,10\nr3,B,EV1,x,y\nr3,C,EV1,10.5,20\nr3,D,EV1,45,50\n");
    is_hole_before(&c, "D", 25);
    read_release(&c);
}
END_TEST

START_TEST(who_waits_for_what_is_missing)
{
    static const char plan[] = "task,crew,after\nA,EV1,\nB,EV1,\nX,EV2,\nY,EV2,B\nC,EV1,\n";
    struct read_campaign c;

    /* Y waits for B; of r3 nobody knows when B ended, only that it was before C began */
    read_campaign(&c, plan, NULL,
                  "run,task,crew,start,end\n"
                  "r1,A,EV1,0,10\nr1,B,EV1,11,30\nr1,X,EV2,0,20\nr1,Y,EV2,31,40\nr1,C,EV1,31,45\n"
                  "r2,A,EV1,0,10\nr2,B,EV1,11,33\nr2,X,EV2,0,20\nr2,Y,EV2,34,40\nr2,C,EV1,34,45\n"
                  "r3,A,EV1,0,10\nr3,B,EV1,11,x\nr3,X,EV2,0,20\nr3,Y,EV2,31,40\nr3,C,EV1,31,45\n");
    is_hole_before(&c, "C", 21);
    is_hole_before(&c, "Y", 11);
    is_known(&c, "X", 0);
    read_release(&c);
}
END_TEST

START_TEST(new_work_and_single_jobs_are_not_missing)
{
    struct read_campaign c;

    /* N was put into the plan after the rehearsals; "mend" was a single job of r1 */
    read_campaign(&c, "task,crew,planned\nA,EV1,10\nN,EV1,15\nB,EV1,20\nC,EV1,10\n", NULL,
                  "run,task,crew,start,end\n"
                  "r1,A,EV1,0,10\nr1,mend,EV1,10,40\nr1,B,EV1,41,60\nr1,C,EV1,60,70\n"
                  "r2,A,EV1,0,10\nr2,B,EV1,55,75\nr2,C,EV1,75,85\n"
                  "r3,A,EV1,0,10\nr3,B,EV1,11,30\nr3,C,EV1,30,40\n");
    ck_assert_uint_eq(read_count(&c, "time-unknown"), 0);
    ck_assert_double_eq_tol(read_cell(&c, "B", "r1")->lead_in_min, 1, tiny);
    ck_assert_double_eq_tol(read_cell(&c, "B", "r2")->lead_in_min, 45, tiny); /* slow to start, and nothing explains
                                                                                 it */
    read_release(&c);
}
END_TEST

START_TEST(a_row_under_another_run)
{
    struct read_campaign c;

    /* r2's C, 35 to 45, was typed under r3 */
    read_campaign(&c, chain, NULL,
                  "run,task,crew,start,end\n"
                  "r1,A,EV1,0,10\nr1,B,EV1,11,30\nr1,C,EV1,31,40\nr1,D,EV1,41,50\n"
                  "r2,A,EV1,0,10\nr2,B,EV1,12,34\nr2,D,EV1,46,56\n"
                  "r3,A,EV1,0,10\nr3,B,EV1,11,38\nr3,C,EV1,35,45\nr3,C,EV1,39,50\nr3,D,EV1,51,60\n");
    ck_assert_ptr_nonnull(strstr(read_message(&c, "misplaced-row"), "'C' stands here twice"));
    ck_assert_ptr_nonnull(strstr(read_message(&c, "misplaced-row"), "not at all in run 'r2'"));
    ck_assert_int_eq(read_cell(&c, "C", "r3")->state, WR_CELL_LOST);
    is_hole_before(&c, "D", 13);
    ck_assert(read_cell(&c, "D", "r2")->lead_in_unknown);
    is_known(&c, "B", 1);
    read_release(&c);
    /* and when it was the earliest of the run: it does not move the others */
    read_campaign(&c, chain, NULL,
                  "run,task,crew,start,end\n"
                  "r1,A,EV1,0,10\nr1,B,EV1,11,30\nr1,C,EV1,31,40\nr1,D,EV1,41,50\n"
                  "r2,A,EV1,0,10\nr2,B,EV1,12,34\nr2,D,EV1,46,56\n"
                  "r3,C,EV1,35,45\nr3,A,EV1,300,310\nr3,B,EV1,311,338\nr3,C,EV1,339,350\nr3,D,EV1,351,360\n");
    ck_assert_double_eq_tol(read_run(&c, "r3")->finish_min.value, 60, tiny);
    is_known(&c, "A", 0);
    ck_assert_double_eq_tol(read_cell(&c, "B", "r3")->start_min, 11, tiny);
    read_release(&c);
}
END_TEST

/* Any one row of a sound campaign lost: no lead-in grows, none but those next to it changes, all else is as it was. */
START_TEST(losing_any_row_makes_no_lead_in_longer)
{
    static const char plan[] =
        "task,crew,after\nA,EV1+EV2,\nB,EV1,\nC,EV2,\nD,EV1,C\nE,EV2,\nF,EV1+EV2,\nG,EV1,\nH,EV2,G\n";
    enum { RUNS = 4, TASKS = 8 };
    static const char *crew[] = {"EV1+EV2", "EV1", "EV2", "EV1", "EV2", "EV1+EV2", "EV1", "EV2"};
    unsigned long long state = 90 + (unsigned long long)_i;
    double start[RUNS][TASKS], end[RUNS][TASKS];
    size_t lost = (size_t)(made_uniform(&state) * RUNS * TASKS);
    bool rejected = made_uniform(&state) < 0.5;
    struct wr_str whole = {0}, less = {0};
    struct read_campaign base, c;

    wr_str_add(&whole, "run,task,crew,start,end\n");
    wr_str_add(&less, "run,task,crew,start,end\n");
    for (size_t r = 0; r < RUNS; r++) {
        double one = 0, two = 0;
        for (size_t k = 0; k < TASKS; k++) {
            bool first = strstr(crew[k], "EV1") != NULL, second = strstr(crew[k], "EV2") != NULL;
            double ready = first && second ? (one > two ? one : two) : first ? one : two;
            if (k == 3 && end[r][2] > ready) ready = end[r][2];
            if (k == 7 && end[r][6] > ready) ready = end[r][6];
            start[r][k] = ready + (k ? 2 * made_uniform(&state) : 0);
            end[r][k] = start[r][k] + 10 + 20 * made_uniform(&state);
            if (first) one = end[r][k];
            if (second) two = end[r][k];
            wr_str_addf(&whole, "r%zu,%c,%s,%.6f,%.6f\n", r, (char)('A' + k), crew[k], start[r][k], end[r][k]);
            if (r * TASKS + k != lost)
                wr_str_addf(&less, "r%zu,%c,%s,%.6f,%.6f\n", r, (char)('A' + k), crew[k], start[r][k], end[r][k]);
            else if (rejected)
                wr_str_addf(&less, "r%zu,%c,%s,%.6f,\n", r, (char)('A' + k), crew[k], start[r][k]);
        }
    }
    read_campaign(&base, plan, NULL, whole.text);
    read_campaign(&c, plan, NULL, less.text);
    size_t n_unknown = 0;
    for (size_t r = 0; r < RUNS; r++)
        for (size_t k = 0; k < TASKS; k++) {
            const struct wr_cell *was = wr_timing_cell(&base.timing, k, r), *is = wr_timing_cell(&c.timing, k, r);
            if (r * TASKS + k == lost) {
                ck_assert(is->state == WR_CELL_LOST || is->state == WR_CELL_ABSENT);
                continue;
            }
            ck_assert_double_eq_tol(is->active_min, was->active_min, 1e-6);
            n_unknown += is->lead_in_unknown;
            if (!is->lead_in_unknown) ck_assert_double_eq_tol(is->lead_in_min, was->lead_in_min, 1e-5);
            else ck_assert(r == lost / TASKS && (lost % TASKS == 0 || is->hole_min >= was->lead_in_min - 1e-5));
        }
    for (size_t i = 0; i < 2 * RUNS; i++)
        ck_assert_double_le(c.timing.waiting_min[i], base.timing.waiting_min[i] + 1e-5);
    ck_assert_uint_eq(read_count(&c, "time-unknown"), 1);
    ck_assert_uint_ge(n_unknown, lost % TASKS < TASKS - 1);
    ck_assert_uint_le(n_unknown, 3); /* next in each lane, and what waits by after */
    read_release(&base);
    read_release(&c);
    wr_str_release(&whole);
    wr_str_release(&less);
}
END_TEST

/* What a lane does while a task of it is under way whose end nobody knows is no waiting. */
START_TEST(a_lost_row_is_no_waiting)
{
    static const char plan[] = "task,crew\nA,EV1+EV2\nB,EV1\nC,EV2\nD,EV1+EV2\n";
    static const char good[] = "r1,A,EV1+EV2,0,10\nr1,B,EV1,10,60\nr1,C,EV2,10,50\nr1,D,EV1+EV2,60,70\n"
                               "r2,A,EV1+EV2,0,10\nr2,B,EV1,10,60\nr2,C,EV2,10,49\nr2,D,EV1+EV2,61,71\n";
    static const char *const third[] = {"r3,A,EV1+EV2,0,10\nr3,B,EV1,10,60\nr3,C,EV2,10,\nr3,D,EV1+EV2,60,70\n",
                                        "r3,A,EV1+EV2,0,10\nr3,B,EV1,10,60\nr3,D,EV1+EV2,60,70\n",
                                        "r3,A,EV1+EV2,0,10\nr3,B,EV1,10,\nr3,C,EV2,10,50\nr3,D,EV1+EV2,60,70\n"};
    static const struct { double waiting[2], nobodys; } expected[] = {{{0, 0}, 50}, {{0, 0}, 50}, {{0, 0}, 40}};
    struct wr_str log = {0};
    struct read_campaign c;

    wr_str_addf(&log, "run,task,crew,start,end\n%s%s", good, third[_i]);
    read_campaign(&c, plan, NULL, log.text);
    ck_assert_double_eq_tol(c.timing.waiting_min[1], 10, tiny); /* of r1 it is known */
    ck_assert_double_eq_tol(c.timing.run[0].nobodys_min, 0, tiny);
    for (size_t l = 0; l < 2; l++)
        ck_assert_double_eq_tol(c.timing.waiting_min[2 * 2 + l], expected[_i].waiting[l], tiny);
    ck_assert_double_eq_tol(c.timing.run[2].nobodys_min, expected[_i].nobodys, tiny);
    read_release(&c);
    wr_str_release(&log);
}
END_TEST

/* B's end is not known, and V waited for it by way of P, which was left out: how long of V's idle time was lead-in
 * nobody knows, though V and B share no lane. */
START_TEST(a_lost_row_behind_work_that_was_left_out)
{
    static const char plan[] = "task,crew,after\nA,EV1+EV2,\nB,EV1,\nX,EV2,\nP,EV2,B\nV,EV2,\nZ,EV1+EV2,\n";
    static const char log[] = "run,task,crew,start,end,outcome\n"
                              "r1,A,EV1+EV2,0,10,\nr1,B,EV1,10,50,\nr1,X,EV2,10,20,\nr1,V,EV2,51,60,\n"
                              "r1,Z,EV1+EV2,60,70,\n"
                              "r2,A,EV1+EV2,0,10,\nr2,B,EV1,10,4O,\nr2,X,EV2,10,22,\nr2,V,EV2,42,60,\n"
                              "r2,Z,EV1+EV2,60,70,\n";
    static const char skipped[] = "r1,P,EV2,,,skipped\nr2,P,EV2,,,skipped\n";

    for (int told = 0; told < 2; told++) {
        struct wr_str text = {0};
        struct read_campaign c;
        wr_str_addf(&text, "%s%s", log, told ? skipped : "");
        read_campaign(&c, plan, NULL, text.text);
        ck_assert_int_eq(read_cell(&c, "B", "r2")->state, WR_CELL_LOST);
        ck_assert(!read_cell(&c, "V", "r1")->lead_in_unknown && read_cell(&c, "V", "r2")->lead_in_unknown);
        ck_assert_double_eq_tol(read_cell(&c, "V", "r2")->lead_in_min, 0, tiny);
        ck_assert_double_eq_tol(read_cell(&c, "V", "r2")->hole_min, 42 - 22, tiny);
        read_release(&c);
        wr_str_release(&text);
    }
}
END_TEST

/* EV2 comes when A has ended, and waits for C alone. A lane there from the start is so without B, too. */
START_TEST(before_it_first_takes_part_no_lane_waits)
{
    static const char later[] = "task,crew,after\nA,EV1,\nB,EV2,A\nC,EV1,\nD,EV1+EV2,\n";
    static const char from_0[] = "task,crew\nA,EV1\nB,EV2\nC,EV1\nD,EV1+EV2\n";
    static const char log[] = "run,task,crew,start,end,outcome\nr1,A,EV1,0,40,done\nr1,B,EV2,40,50,done\n"
                              "r1,C,EV1,40,70,done\nr1,D,EV1+EV2,70,80,done\n"
                              "r2,A,EV1,0,40,done\nr2,B,EV2,,,skipped\nr2,C,EV1,40,70,done\nr2,D,EV1+EV2,70,80,done\n";
    static const char minutes[] = "run,task,crew,minutes\nr1,A,EV1,40\nr1,B,EV2,10\nr1,C,EV1,30\nr1,D,EV1+EV2,10\n";
    struct read_campaign c = {0};

    read_campaign(&c, later, NULL, log);
    ck_assert_double_eq_tol(c.timing.waiting_min[0], 0, tiny);
    ck_assert_double_eq_tol(c.timing.waiting_min[1], 20, tiny);
    read_release(&c);
    read_campaign(&c, later, NULL, minutes);
    ck_assert_double_eq_tol(c.timing.waiting_min[1], 20, tiny);
    read_release(&c);
    read_campaign(&c, from_0, NULL, log);
    ck_assert_double_eq_tol(c.timing.waiting_min[2 + 1], 70, tiny);
    read_release(&c);
}
END_TEST

/* Both parts of a task are refused: it is said of the first. */
START_TEST(two_rows_of_one_task)
{
    struct read_campaign c;

    with_third(&c, "r3,A,EV1,0,10\nr3,B,EV1,11,x\nr3,B,EV1,20,y\nr3,C,EV1,31,40\nr3,D,EV1,41,50\n");
    ck_assert_int_eq(read_cell(&c, "B", "r3")->state, WR_CELL_LOST);
    is_hole_before(&c, "C", 21);
    ck_assert_uint_eq(read_count(&c, "time-unknown"), 1);
    for (size_t i = 0; i < c.findings.n_finding; i++)
        if (strcmp(c.findings.finding[i].code, "time-unknown") == 0) ck_assert_uint_eq(c.findings.finding[i].line, 11);
    read_release(&c);
}
END_TEST

Suite *suite_holes(void);
Suite *suite_holes(void)
{
    Suite *s = suite_create("holes");
    TCase *t = tcase_create("holes");

    tcase_add_test(t, a_blank_end);
    tcase_add_test(t, no_row_at_all);
    tcase_add_test(t, missing_before_the_first_row);
    tcase_add_test(t, the_first_and_the_last);
    tcase_add_test(t, two_in_a_row);
    tcase_add_test(t, the_second_half_of_a_task);
    tcase_add_test(t, done_elsewhere_than_usual);
    tcase_add_test(t, who_waits_for_what_is_missing);
    tcase_add_test(t, new_work_and_single_jobs_are_not_missing);
    tcase_add_test(t, a_row_under_another_run);
    tcase_add_loop_test(t, losing_any_row_makes_no_lead_in_longer, 0, 100);
    tcase_add_loop_test(t, a_lost_row_is_no_waiting, 0, 3);
    tcase_add_test(t, a_lost_row_behind_work_that_was_left_out);
    tcase_add_test(t, before_it_first_takes_part_no_lane_waits);
    tcase_add_test(t, two_rows_of_one_task);
    suite_add_tcase(s, t);
    return s;
}
