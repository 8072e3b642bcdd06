/* What is said of crews, people and differences of whole campaigns, read from texts. All invented; counts by hand. */
#include <check.h>
#include <stdint.h>
#include <string.h>
#include "read_campaign.h"
#include "wetrun/base/str.h"

/* Of work that the plan does not have nobody knows which lanes or people it should have. */
START_TEST(work_that_the_plan_does_not_have)
{
    struct read_campaign c;

    read_campaign(&c, "task,crew\nA,EV1+EV2\nB,EV1\n", NULL,
                  "run,task,step,crew,performer,start,end\n"
                  "r1,A,,EV1+EV2,AB,0,10\nr1,X,a,EV1+EV2,AB,10,20\nr1,X,b,EV1+EV2,AB,15,25\nr1,B,a,EV1,AB,25,30\n"
                  "r1,B,b,EV1,AB,28,40\n");
    ck_assert_uint_eq(read_count(&c, "performer-count"), 1); /* A */
    ck_assert_uint_eq(read_count(&c, "steps-overlap"), 1);   /* B */
    ck_assert_ptr_nonnull(strstr(read_message(&c, "steps-overlap"), "'B'"));
    ck_assert_double_eq_tol(read_cell(&c, "X", "r1")->active_min, 15, 1e-9);
    ck_assert_double_eq_tol(read_cell(&c, "B", "r1")->active_min, 15, 1e-9);
    read_release(&c);
}
END_TEST

/* n of four runs have B in the other lane: more than half of them are one finding, fewer one each. */
static void with_other_crews(struct read_campaign *c, size_t n)
{
    struct wr_str log = {0};

    wr_str_add(&log, "run,task,crew,start,end\n");
    for (size_t r = 0; r < 4; r++)
        wr_str_addf(&log, "r%zu,A,EV1,0,10\nr%zu,B,%s,10,20\n", r, r, r < n ? "EV2" : "EV1");
    read_campaign(c, "task,crew\nA,EV1\nB,EV1\nC,EV2\n", NULL, log.text);
    wr_str_release(&log);
}

START_TEST(another_crew_in_so_many_runs)
{
    static const struct { size_t n, findings; const char *says; } row[] = {
        {1, 1, "run 'r0': task 'B' was logged for crew 'EV2'"},
        {2, 2, "run 'r0': task 'B' was logged for crew 'EV2'"},
        {3, 1, "in 3 of 4 runs"},
        {4, 1, "in 4 of 4 runs"}};

    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        struct read_campaign c;
        with_other_crews(&c, row[i].n);
        ck_assert_uint_eq(read_count(&c, "other-crew"), row[i].findings);
        ck_assert_ptr_nonnull(strstr(read_message(&c, "other-crew"), row[i].says));
        ck_assert_uint_eq(read_count(&c, "run-other-crews"), 0); /* one task of two */
        read_release(&c);
    }
}
END_TEST

/* Two fifths of a run's tasks, three at least, in other lanes than planned: perhaps renumbered. */
START_TEST(a_run_of_other_crews)
{
    static const struct { size_t n_task, n_other; bool told; } row[] = {
        {4, 2, false}, {4, 3, true}, {8, 3, false}, {8, 4, true}, {10, 3, false}, {10, 4, true}};

    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        struct wr_str plan = {0}, log = {0};
        struct read_campaign c;
        wr_str_add(&plan, "task,crew\n");
        wr_str_add(&log, "run,task,crew,start,end\n");
        for (size_t k = 0; k < row[i].n_task; k++) wr_str_addf(&plan, "T%zu,EV1\n", k);
        for (size_t r = 0; r < 3; r++)
            for (size_t k = 0; k < row[i].n_task; k++)
                wr_str_addf(&log, "r%zu,T%zu,%s,%zu,%zu\n", r, k, r == 1 && k < row[i].n_other ? "EV2" : "EV1", 10 * k,
                            10 * k + 10);
        wr_str_add(&plan, "Z,EV2\n");
        read_campaign(&c, plan.text, NULL, log.text);
        ck_assert_msg(read_count(&c, "run-other-crews") == row[i].told, "%zu of %zu", row[i].n_other, row[i].n_task);
        if (row[i].told) ck_assert_ptr_nonnull(strstr(read_message(&c, "run-other-crews"), "run 'r1'"));
        read_release(&c);
        WR_STR_RELEASE(&plan, &log);
    }
}
END_TEST

/* A run in which nearly everything went otherwise: eight differences are named, the others counted. */
START_TEST(many_differences_of_one_run)
{
    enum { N = 12 };
    struct wr_str plan = {0}, log = {0};
    struct read_campaign c;

    wr_str_add(&plan, "task,crew\n");
    wr_str_add(&log, "run,task,step,crew,start,end\n");
    for (int k = 0; k < N; k++) wr_str_addf(&plan, "T%d,EV1\n", k);
    for (int r = 0; r < 3; r++)
        for (int k = 0; k < N; k++) /* in r1 each task has two steps that overlap */
            if (r == 1)
                wr_str_addf(&log, "r1,T%d,a,EV1,%d,%d\nr1,T%d,b,EV1,%d,%d\n", k, 10 * k, 10 * k + 6, k, 10 * k + 4,
                            10 * k + 9);
            else
                wr_str_addf(&log, "r%d,T%d,,EV1,%d,%d\n", r, k, 10 * k, 10 * k + 9);
    read_campaign(&c, plan.text, NULL, log.text);
    ck_assert_uint_eq(read_count(&c, "steps-overlap"), N);
    ck_assert_ptr_null(read_run(&c, "r0")->differs);
    const char *differs = read_run(&c, "r1")->differs;
    ck_assert_ptr_nonnull(strstr(differs, "steps of 'T7' overlap; and 4 more"));
    ck_assert_ptr_null(strstr(differs, "T8"));
    read_release(&c);
    WR_STR_RELEASE(&plan, &log);
}
END_TEST

/* A sign too many joins nobody; of very many names as many are kept as there may be lanes, and that they do not fit is
 * said. */
START_TEST(names_joined_by_signs)
{
    struct read_campaign c;
    struct wr_str log = {0};

    read_campaign(&c, "task,crew\nA,EV1+EV2\n", NULL,
                  "run,task,crew,performer,start,end\nr1,A,EV1+EV2,Ann++Bob,0,10\nr2,A,EV1+EV2,Ann+Bob,0,12\n");
    ck_assert_uint_eq(read_count(&c, "performer-count"), 0);
    ck_assert_uint_eq(read_cell(&c, "A", "r1")->n_performer, 2);
    ck_assert_uint_eq(c.timing.n_person, 2);
    read_release(&c);
    wr_str_add(&log, "run,task,crew,performer,start,end\nr1,A,EV1+EV2,P0");
    for (int i = 1; i < 40; i++) wr_str_addf(&log, "+P%d", i);
    wr_str_add(&log, ",0,10\n");
    read_campaign(&c, "task,crew\nA,EV1+EV2\n", NULL, log.text);
    ck_assert_uint_eq(read_count(&c, "performer-count"), 1);
    read_release(&c);
    wr_str_release(&log);
}
END_TEST

/* B of r3 is lost, and what came behind it may have waited for it. The plan has NEW between them since, which no run
 * had and was not there to hand anything on. */
START_TEST(a_lost_row_before_work_that_is_new)
{
    struct read_campaign c;

    read_campaign(&c, "task,crew,after\nA,EV1,\nB,EV1,\nNEW,EV2,B\nC,EV1,NEW\nD,EV1,\n",
                  "task,crew\nA,EV1\nB,EV1\nC,EV1\nD,EV1\n",
                  "run,task,crew,start,end\nr1,A,EV1,0,10\nr1,B,EV1,10,30\nr1,C,EV1,30,40\nr1,D,EV1,40,50\n"
                  "r2,A,EV1,0,10\nr2,B,EV1,10,29\nr2,C,EV1,29,40\nr2,D,EV1,40,50\n"
                  "r3,A,EV1,0,10\nr3,B,EV1,x,30\nr3,C,EV1,31,40\nr3,D,EV1,41,50\n");
    ck_assert_int_eq(read_cell(&c, "B", "r3")->state, WR_CELL_LOST);
    ck_assert(read_cell(&c, "C", "r3")->lead_in_unknown);
    ck_assert(!read_cell(&c, "D", "r3")->lead_in_unknown);
    ck_assert_int_eq(read_cell(&c, "NEW", "r3")->state, WR_CELL_ABSENT);
    read_release(&c);
}
END_TEST

Suite *suite_timed_campaigns(void);
Suite *suite_timed_campaigns(void)
{
    Suite *s = suite_create("timed_campaigns");
    TCase *t = tcase_create("timed_campaigns");

    tcase_add_test(t, work_that_the_plan_does_not_have);
    tcase_add_test(t, another_crew_in_so_many_runs);
    tcase_add_test(t, a_run_of_other_crews);
    tcase_add_test(t, many_differences_of_one_run);
    tcase_add_test(t, names_joined_by_signs);
    tcase_add_test(t, a_lost_row_before_work_that_is_new);
    suite_add_tcase(s, t);
    return s;
}
