/* moves.csv: what a planner allows. */
#include <check.h>
#include <stdio.h>
#include <string.h>
#include "made_plan.h"
#include "wetrun/campaign/moves.h"
#include "wetrun/campaign/way_in.h"

static void small_plan(struct wr_plan *plan)
{
    made_plan_add(plan, "OUT", "EV1+EV2", "");
    made_plan_add(plan, "A", "EV1", "");
    made_plan_add(plan, "B", "EV2", "");
    made_plan_add(plan, "C", "EV1", "");
    made_plan_add(plan, "D", "EV1", "");
    made_plan_add(plan, "IN", "EV1+EV2", "");
    made_plan_finish(plan);
    plan->task[4].drop_after_min = wr_known(60);
}

static enum wr_status read_text(struct wr_moves *moves, const char *text, const struct wr_plan *plan,
                                struct wr_findings *findings)
{
    struct wr_error err = {0};

    return wr_moves_read_bytes(moves, "moves.csv", text, strlen(text), plan, findings, &err);
}

START_TEST(every_kind_is_read)
{
    struct wr_plan plan = {0};
    struct wr_moves m = {0};
    struct wr_findings findings = {0};

    small_plan(&plan);
    ck_assert_int_eq(
        read_text(&m, "to;task;move\nC;A;exchange\nA;D;Before\nEV2;A;crew\n;D;drop\n0.6;D;shorten\n", &plan, &findings),
        WR_OK);
    ck_assert_uint_eq(m.n_move, 5);
    ck_assert(m.move[0].kind == WR_MOVE_EXCHANGE && m.move[0].task == 1 && m.move[0].other == 3);
    ck_assert(m.move[1].kind == WR_MOVE_BEFORE && m.move[1].task == 4 && m.move[1].other == 1);
    ck_assert(m.move[2].kind == WR_MOVE_CREW && m.move[2].lanes == 2);
    ck_assert(m.move[3].kind == WR_MOVE_DROP && m.move[3].task == 4);
    ck_assert(m.move[4].kind == WR_MOVE_SHORTEN && m.move[4].factor == 0.6);
    wr_moves_release(&m);
    wr_findings_release(&findings);
    made_plan_release(&plan);
}
END_TEST

static const struct { const char *row, *code; size_t column; } bad[] = {
    {"vanish,A,", "unknown-move", 1},     {"drop,Q,", "unknown-task", 6},        {"exchange,A,Q", "unknown-task", 12},
    {"exchange,A,A", "move-with-itself", 12}, {"crew,A,EV3", "unknown-lane", 8},  {"shorten,A,1", "bad-factor", 11},
    {"shorten,A,", "bad-factor", 11},     {"drop,A,B", "needless-to", 8},        {"drop,A,\ndrop,A,", "move-twice", 1},
    {"exchange,A,C\nexchange,C,A", "move-twice", 1}, {"drop,IN,", "way-in-lost", 6},
    {"shorten,A,x", "bad-number", 11},   {"exchange,IN,D", "way-in-lost", 10},
    {"crew,IN,EV1", "way-in-lost", 6},    {"before,IN,D", "way-in-lost", 8},       {"exchange,D,IN", "way-in-lost", 10},
};

START_TEST(a_bad_row_is_placed)
{
    struct wr_plan plan = {0};
    struct wr_moves m = {0};
    struct wr_findings findings = {0};
    char text[128];

    small_plan(&plan);
    snprintf(text, sizeof text, "move,task,to\n%s\n", bad[_i].row);
    ck_assert_int_eq(read_text(&m, text, &plan, &findings), WR_E_INPUT);
    ck_assert_uint_eq(findings.n_finding, 1);
    ck_assert_str_eq(findings.finding[0].code, bad[_i].code);
    ck_assert_uint_eq(findings.finding[0].column, bad[_i].column);
    ck_assert_uint_eq(findings.finding[0].line, strchr(bad[_i].row, '\n') ? 3 : 2);
    wr_moves_release(&m);
    wr_findings_release(&findings);
    made_plan_release(&plan);
}
END_TEST

/* Alike, and not the same: what they say differs in one thing. */
START_TEST(changes_that_are_alike)
{
    struct wr_plan plan = {0};
    struct wr_moves m = {0};
    struct wr_findings findings = {0};
    const char *text = "move,task,to\nexchange,A,C\nexchange,D,A\nexchange,D,C\ncrew,A,EV2\ncrew,A,EV1+EV2\n"
                       "shorten,A,0.5\nshorten,A,0.6\nshorten,C,0.5\nbefore,D,A\nbefore,D,C\n";

    small_plan(&plan);
    enum wr_status status = read_text(&m, text, &plan, &findings);
    ck_assert_msg(status == WR_OK, "%s", findings.n_finding ? findings.finding[0].message : "");
    ck_assert_uint_eq(m.n_move, 10);
    wr_moves_release(&m);
    ck_assert_int_eq(read_text(&m, "move,task,to\nexchange,Q,Q\n", &plan, &findings), WR_E_INPUT);
    ck_assert_uint_eq(findings.n_finding, 2); /* neither is known: not said to be itself */
    ck_assert_str_eq(findings.finding[1].code, "unknown-task");
    wr_moves_release(&m);
    wr_findings_release(&findings);
    made_plan_release(&plan);
}
END_TEST

/* Without a joint task at the end each lane has its own way back in. */
START_TEST(the_last_task_of_one_lane)
{
    struct wr_plan plan = {0};
    struct wr_str words = {0};

    made_plan_add(&plan, "OUT", "EV1+EV2", "");
    made_plan_add(&plan, "A", "EV1", "");
    made_plan_add(&plan, "B", "EV2", "");
    made_plan_finish(&plan);
    ck_assert_uint_eq(wr_way_in_of(&plan, 1), 1);
    ck_assert_uint_eq(wr_way_in_of(&plan, 0), 0);
    wr_way_in_say(&plan, 1, &words);
    ck_assert_str_eq(words.text, "'A' is the last task of EV1, its way back in: unless it ends with it the finish "
                                 "would not say that it is inside");
    wr_str_release(&words);
    made_plan_release(&plan);
}
END_TEST

/* By hand: lane EV1 holds A, C, D between its joint tasks, lane EV2 holds B; D is get-ahead work. */
START_TEST(general_permissions)
{
    const size_t wanted[WR_N_MOVE_KIND] = {
        [WR_MOVE_EXCHANGE] = 2, [WR_MOVE_BEFORE] = 3, [WR_MOVE_CREW] = 4, [WR_MOVE_DROP] = 1, [WR_MOVE_SHORTEN] = 1};
    struct wr_plan plan = {0};

    small_plan(&plan);
    for (int kind = 0; kind < WR_N_MOVE_KIND; kind++) {
        struct wr_moves m = {0};
        wr_moves_allow(&m, (enum wr_move_kind)kind, &plan);
        ck_assert_uint_eq(m.n_move, wanted[kind]);
        wr_moves_allow(&m, (enum wr_move_kind)kind, &plan); /* nothing twice */
        ck_assert_uint_eq(m.n_move, wanted[kind]);
        wr_moves_release(&m);
    }
    made_plan_release(&plan);
}
END_TEST

/* By hand: EV1 ends with HOME, EV2 with BACK, and LATE of EV2 stands below HOME: given to EV1, or HOME before C, work
 * would be left for somebody who is inside. */
START_TEST(a_way_in_stays_last)
{
    struct wr_plan plan = {0};

    made_plan_add(&plan, "C", "EV1", "");
    made_plan_add(&plan, "HOME", "EV1", "");
    made_plan_add(&plan, "LATE", "EV2", "");
    made_plan_add(&plan, "BACK", "EV2", "");
    made_plan_finish(&plan);
    ck_assert(wr_way_in_of(&plan, 1) == 1 && wr_way_in_of(&plan, 3) == 2);
    ck_assert(wr_way_in_of(&plan, 0) == 0 && wr_way_in_of(&plan, 2) == 0);
    for (int kind = 0; kind < WR_N_MOVE_KIND; kind++) {
        struct wr_moves m = {0};
        wr_moves_allow(&m, (enum wr_move_kind)kind, &plan);
        ck_assert_uint_eq(m.n_move, kind == WR_MOVE_CREW);
        for (size_t i = 0; i < m.n_move; i++) ck_assert(m.move[i].task == 0 && m.move[i].lanes == 2);
        wr_moves_release(&m);
    }
    plan.task[3].drop_after_min = wr_known(60); /* what the plan lets go is none, unless nobody would come in */
    ck_assert(wr_way_in_of(&plan, 3) == 0 && wr_way_in_dropped(&plan) == SIZE_MAX);
    made_plan_release(&plan);
    small_plan(&plan);
    ck_assert(wr_way_in_of(&plan, 5) == 3 && wr_way_in_dropped(&plan) == SIZE_MAX);
    plan.task[5].drop_after_min = wr_known(300);
    ck_assert_uint_eq(wr_way_in_dropped(&plan), 5);
    made_plan_release(&plan);
}
END_TEST

/* By hand. GO and IN are done by both, one after the other; WALK and HOME by EV1 alone, of one kind of work. */
START_TEST(a_way_in_of_two_parts)
{
    struct wr_plan plan = {0};
    struct wr_str words = {0};

    made_plan_add(&plan, "C", "EV1", "");
    made_plan_add(&plan, "D", "EV2", "");
    made_plan_add(&plan, "GO", "EV1+EV2", "");
    made_plan_add(&plan, "IN", "EV1+EV2", "");
    made_plan_finish(&plan);
    for (size_t k = 0; k < 4; k++) ck_assert_uint_eq(wr_way_in_after(&plan, k), k == 2 ? 3 : SIZE_MAX);
    wr_way_in_part_say(&plan, 2, &words);
    ck_assert_str_eq(words.text, "'GO' comes just before 'IN', the way back in, and may be part of it: if it is, the "
                                 "finish of days without it does not say that they are inside, and it must stay in");
    plan.task[2].kind = "mechanism"; /* where only one has a kind the lanes decide */
    ck_assert_uint_eq(wr_way_in_after(&plan, 2), 3);
    plan.task[3].kind = "transit";
    ck_assert_uint_eq(wr_way_in_after(&plan, 2), SIZE_MAX);
    plan.task[2].kind = "Transit";
    ck_assert_uint_eq(wr_way_in_after(&plan, 2), 3);
    plan.task[1].kind = "transit"; /* not next to it */
    ck_assert_uint_eq(wr_way_in_after(&plan, 1), SIZE_MAX);
    made_plan_release(&plan);
    made_plan_add(&plan, "WALK", "EV1", "");
    made_plan_add(&plan, "HOME", "EV1", "");
    made_plan_finish(&plan);
    ck_assert_uint_eq(wr_way_in_after(&plan, 0), SIZE_MAX); /* of one lane the place alone says nothing */
    plan.task[0].kind = plan.task[1].kind = "transit";
    ck_assert_uint_eq(wr_way_in_after(&plan, 0), 1);
    made_plan_release(&plan);
    wr_str_release(&words);
}
END_TEST

/* The limit runs from A to D, both of lane EV1: neither is dropped, asked for or by the general permission; B is. */
START_TEST(a_clock_keeps_its_ends)
{
    struct wr_limit clock = {.name = "line dead", .is_clock = true, .from = 1, .to = 4, .minutes = 60};
    const struct wr_limits limits = {.limit = &clock, .n_limit = 1};
    static const struct { const char *row, *says; } rows[] = {
        {"move,task\ndrop,D\n", "without 'D' it cannot be kept: take the row out"},
        {"move,task\ndrop,A\n", "without 'A' it does not apply: take the row out"},
        {"move,task,to\ndrop,B,\nshorten,D,0.5\nexchange,A,C\n", NULL}};
    struct wr_plan plan = {0};

    small_plan(&plan);
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct wr_moves m = {.limits = &limits};
        struct wr_findings findings = {0};
        ck_assert_int_eq(read_text(&m, rows[i].row, &plan, &findings), rows[i].says ? WR_E_INPUT : WR_OK);
        ck_assert_uint_eq(findings.n_finding, rows[i].says != NULL);
        if (rows[i].says) {
            ck_assert_str_eq(findings.finding[0].code, "clock-lost");
            ck_assert_ptr_nonnull(strstr(findings.finding[0].message, rows[i].says));
        }
        wr_moves_release(&m);
        wr_findings_release(&findings);
    }
    struct wr_moves m = {.limits = &limits};
    wr_moves_allow(&m, WR_MOVE_DROP, &plan);
    ck_assert_uint_eq(m.n_move, 0);
    wr_moves_release(&m);
    made_plan_release(&plan);
}
END_TEST

Suite *suite_moves(void);
Suite *suite_moves(void)
{
    Suite *s = suite_create("moves");
    TCase *c = tcase_create("moves");

    tcase_add_test(c, every_kind_is_read);
    tcase_add_test(c, changes_that_are_alike);
    tcase_add_test(c, the_last_task_of_one_lane);
    tcase_add_loop_test(c, a_bad_row_is_placed, 0, sizeof bad / sizeof *bad);
    tcase_add_test(c, general_permissions);
    tcase_add_test(c, a_way_in_stays_last);
    tcase_add_test(c, a_way_in_of_two_parts);
    tcase_add_test(c, a_clock_keeps_its_ends);
    suite_add_tcase(s, c);
    return s;
}
