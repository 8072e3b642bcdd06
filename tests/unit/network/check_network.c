#include <check.h>
#include <math.h>
#include <stdint.h>
#include <string.h>
#include "made_plan.h"
#include "slow_walk.h"
#include "wetrun/network/planned.h"

enum { MOST = 64 };

static void build(struct wr_network *net, const struct wr_plan *plan)
{
    struct wr_error err = {0};

    ck_assert_msg(wr_network_build(net, plan, &err) == WR_OK, "%s", err.text);
    wr_network_check(net);
}

/* Two lanes: J1 opens, EV1 does P then S (after Q too), EV2 does Q then R (after P too), J2 closes. */
static void two_lanes(struct wr_plan *plan)
{
    made_plan_add(plan, "J1", "EV1+EV2", "");
    made_plan_add(plan, "P", "EV1", "");
    made_plan_add(plan, "Q", "EV2", "");
    made_plan_add(plan, "R", "EV2", "P");
    made_plan_add(plan, "S", "EV1", "Q P"); /* P is its lane predecessor as well: counted once */
    made_plan_add(plan, "J2", "EV2+EV1", "");
    made_plan_finish(plan);
}

START_TEST(predecessors_come_from_lanes_and_after)
{
    struct wr_plan plan = {0};
    struct wr_network net = {0};
    const size_t first[] = {0, 0, 1, 2, 4, 6, 8}, pred[] = {0, 0, 1, 2, 1, 2, 3, 4};

    two_lanes(&plan);
    build(&net, &plan);
    ck_assert(memcmp(net.pred_first, first, sizeof first) == 0);
    ck_assert(memcmp(net.pred, pred, sizeof pred) == 0);
    ck_assert(net.lane_last[0] == 5 && net.lane_last[1] == 5);
    for (size_t k = 0; k < 6; k++) {
        ck_assert_uint_eq(net.is_end[k], k == 5);
        ck_assert_uint_eq(net.order[k], k); /* rows that are in order stay so */
    }
    wr_network_release(&net);
    made_plan_release(&plan);
}
END_TEST

START_TEST(joint_task_waits_for_the_slower_lane)
{
    struct wr_plan plan = {0};
    struct wr_network net = {0};
    const double minutes[] = {10, 5, 20, 7, 1, 3};
    const double starts[] = {0, 10, 10, 30, 30, 37}; /* by hand */
    double start[6], end[6], lane_end[2];
    unsigned char path[6];

    two_lanes(&plan);
    build(&net, &plan);
    ck_assert(wr_network_forward(&net, minutes, start, end, NULL) == 40);
    for (size_t k = 0; k < 6; k++) ck_assert(start[k] == starts[k] && end[k] == starts[k] + minutes[k]);
    ck_assert(wr_network_forward(&net, minutes, NULL, end, NULL) == 40);
    wr_network_lane_ends(&net, end, lane_end);
    ck_assert(lane_end[0] == 40 && lane_end[1] == 40);
    wr_network_longest_path(&net, WR_FINISH, start, end, NULL, path);
    ck_assert(memcmp(path, (unsigned char[]){1, 0, 1, 1, 0, 1}, 6) == 0);
    wr_network_release(&net);
    made_plan_release(&plan);
}
END_TEST

START_TEST(ties_put_both_paths_on)
{
    struct wr_plan plan = {0};
    struct wr_network net = {0};
    const double minutes[] = {10, 20, 20, 7, 7, 3};
    double start[6], end[6];
    unsigned char path[6];

    two_lanes(&plan);
    build(&net, &plan);
    wr_network_forward(&net, minutes, start, end, NULL);
    wr_network_longest_path(&net, WR_FINISH, start, end, NULL, path);
    for (size_t k = 0; k < 6; k++) ck_assert_uint_eq(path[k], 1);
    wr_network_release(&net);
    made_plan_release(&plan);
}
END_TEST

START_TEST(a_wait_for_the_clock_starts_a_path)
{
    struct wr_plan plan = {0};
    struct wr_network net = {0};
    double minutes[] = {10, 5, 4}, start[3], end[3];
    unsigned char path[3];

    made_plan_add(&plan, "A", "EV1", "");
    made_plan_add(&plan, "B", "EV1", "");
    made_plan_add(&plan, "C", "EV2", "");
    made_plan_finish(&plan);
    plan.task[1].not_before_min = wr_known(25);
    build(&net, &plan);
    ck_assert(wr_network_forward(&net, minutes, start, end, NULL) == 30 && start[1] == 25);
    wr_network_longest_path(&net, WR_FINISH, start, end, NULL, path);
    ck_assert(memcmp(path, (unsigned char[]){0, 1, 0}, 3) == 0);
    minutes[0] = 25; /* ends just when B may begin: both hold it up */
    wr_network_forward(&net, minutes, start, end, NULL);
    wr_network_longest_path(&net, WR_FINISH, start, end, NULL, path);
    ck_assert(memcmp(path, (unsigned char[]){1, 1, 0}, 3) == 0);
    wr_network_release(&net);
    made_plan_release(&plan);
}
END_TEST

START_TEST(get_ahead_work_is_dropped_only_when_later)
{
    struct wr_plan plan = {0};
    struct wr_network net = {0};
    double minutes[] = {30, 15, 8}, start[3], end[3];
    unsigned char dropped[3], path[3];

    made_plan_add(&plan, "A", "EV1", "");
    made_plan_add(&plan, "G", "EV1", "");
    made_plan_add(&plan, "C", "EV1", "");
    made_plan_finish(&plan);
    plan.task[1].drop_after_min = wr_known(30);
    build(&net, &plan);
    ck_assert(wr_network_forward(&net, minutes, start, end, dropped) == 53);
    ck_assert(!dropped[0] && !dropped[1] && !dropped[2]);
    minutes[0] = 30.25;
    ck_assert(wr_network_forward(&net, minutes, start, end, dropped) == 38.25);
    ck_assert(dropped[1] && start[1] == 30.25 && end[1] == 30.25);
    wr_network_longest_path(&net, WR_FINISH, start, end, dropped, path);
    ck_assert(memcmp(path, (unsigned char[]){1, 0, 1}, 3) == 0); /* the wait runs through G, which took no time */
    wr_network_release(&net);
    made_plan_release(&plan);
}
END_TEST

START_TEST(what_is_waited_for_comes_first_whatever_the_rows)
{
    struct wr_plan plan = {0};
    struct wr_network net = {0};
    const double minutes[] = {4, 9, 2};
    double end[3];

    made_plan_add(&plan, "A", "EV1", "B"); /* waits for a task on a later row */
    made_plan_add(&plan, "B", "EV2", "");
    made_plan_add(&plan, "C", "EV2", "A");
    made_plan_finish(&plan);
    build(&net, &plan);
    ck_assert(net.order[0] == 1 && net.order[1] == 0 && net.order[2] == 2);
    ck_assert(wr_network_forward(&net, minutes, NULL, end, NULL) == 15);
    wr_network_release(&net);
    made_plan_release(&plan);
}
END_TEST

START_TEST(a_cycle_is_named_with_its_lines)
{
    struct wr_plan plan = {0};
    struct wr_network net = {0};
    struct wr_error err = {0};

    made_plan_add(&plan, "open", "EV1", "");
    made_plan_add(&plan, "lift", "EV1", "hold"); /* line 3; the lane makes `lock` wait for `lift` */
    made_plan_add(&plan, "lock", "EV1", "");     /* line 4 */
    made_plan_add(&plan, "hold", "EV2", "lock"); /* line 5 */
    made_plan_finish(&plan);
    plan.file = "plan.csv";
    ck_assert(wr_network_build(&net, &plan, &err) == WR_E_INPUT);
    ck_assert(err.status == WR_E_INPUT);
    ck_assert_str_eq(err.text, "plan.csv: these tasks wait for one another, so none can begin: 'lift' (line 3) waits "
                               "for 'hold' (line 5) waits for 'lock' (line 4) waits for 'lift': take "
                               "one of them out of its column after");
    ck_assert(net.order == NULL && net.n_task == 0);
    made_plan_release(&plan);

    made_plan_add(&plan, "self", "EV1", "self");
    made_plan_finish(&plan);
    ck_assert(wr_network_build(&net, &plan, &err) == WR_E_INPUT);
    ck_assert_str_eq(err.text, "these tasks wait for one another, so none can begin: 'self' (line 2) waits for 'self': "
                               "take one of them out of its column after");
    made_plan_release(&plan);
}
END_TEST

START_TEST(no_tasks_no_time)
{
    struct wr_plan plan = {0};
    struct wr_network net = {0};
    double none[1];

    build(&net, &plan);
    ck_assert(wr_network_forward(&net, none, none, none, NULL) == 0);
    wr_network_release(&net);
}
END_TEST

START_TEST(random_networks_agree_with_the_slow_twin)
{
    unsigned long long state = 20310304 + (unsigned long long)_i;
    struct wr_plan plan = {0};
    struct wr_network net = {0};
    double minutes[MOST], start[MOST], end[MOST], slow_start[MOST], slow_end[MOST], lane_end[4];
    unsigned char dropped[MOST], path[MOST], slow_dropped[MOST], slow_path[MOST];
    size_t n = 1 + (size_t)(made_uniform(&state) * (MOST - 1)), n_lane = 1 + (size_t)(made_uniform(&state) * 4);

    made_plan_random(&plan, n, n_lane, &state);
    for (size_t k = 0; k < n; k++) {
        minutes[k] = made_uniform(&state) < 0.1 ? 0 : floor(made_uniform(&state) * 40); /* whole minutes: ties */
        if (made_uniform(&state) < 0.15) plan.task[k].not_before_min = wr_known(floor(made_uniform(&state) * 300));
        if (made_uniform(&state) < 0.15) plan.task[k].drop_after_min = wr_known(floor(made_uniform(&state) * 300));
    }
    build(&net, &plan);
    double got = wr_network_forward(&net, minutes, start, end, dropped);
    ck_assert(got == slow_walk(&plan, minutes, NULL, slow_start, slow_end, slow_dropped));
    for (size_t k = 0; k < n; k++)
        ck_assert(start[k] == slow_start[k] && end[k] == slow_end[k] && dropped[k] == slow_dropped[k]);
    wr_network_lane_ends(&net, end, lane_end);
    for (size_t l = 0; l < net.n_lane; l++) {
        double last = 0;
        for (size_t k = 0; k < n; k++)
            if (plan.task[k].lanes >> l & 1) last = fmax(last, slow_end[k]);
        ck_assert(lane_end[l] == last);
    }

    size_t to = _i % 2 ? WR_FINISH : (size_t)_i / 2 % n; /* likewise until that task may begin */
    wr_network_longest_path(&net, to, start, end, dropped, path);
    slow_longest_path(&plan, to, minutes, dropped, 0.25, slow_path);
    ck_assert(memcmp(path, slow_path, n) == 0);

    size_t task = (size_t)(made_uniform(&state) * (double)n), list[MOST], n_marked = 0;
    memset(path, 0, n);
    wr_network_mark_before(&net, task, path);
    slow_mark_before(&plan, task, slow_path);
    ck_assert(memcmp(path, slow_path, n) == 0);
    for (size_t k = 0; k < n; k++) {
        n_marked += path[k];
        ck_assert(wr_network_waits_for(&net, task, k) == (k != task && slow_path[k]));
    }
    ck_assert_uint_eq(wr_network_list_marked(&net, path, list), n_marked);
    ck_assert_uint_eq(list[n_marked - 1], task); /* all it waits for comes before it */
    wr_network_release(&net);
    made_plan_release(&plan);
}
END_TEST

/* J1 5, P 10 and Q 20, R 7 after both, S 3 after both, J2 5: by hand 5 + 20 + 7 + 5. */
START_TEST(the_plan_is_as_long_as_its_own_times)
{
    const double minutes[] = {5, 10, 20, 7, 3, 5};
    struct wr_plan plan = {0};
    struct wr_network net = {0};

    two_lanes(&plan);
    for (size_t k = 0; k < 6; k++) plan.task[k].planned_min = wr_known(minutes[k]);
    build(&net, &plan);
    ck_assert(wr_network_planned_finish(&net, &plan).value == 37);
    plan.task[2].planned_min = WR_UNKNOWN;
    ck_assert(!wr_network_planned_finish(&net, &plan).known);
    plan.task[2].likely_min = wr_known(21); /* a judgement stands in */
    ck_assert(wr_network_planned_finish(&net, &plan).value == 38);
    wr_network_release(&net);
    made_plan_release(&plan);
}
END_TEST

Suite *suite_network(void);
Suite *suite_network(void)
{
    Suite *s = suite_create("network");
    TCase *t = tcase_create("network");

    tcase_add_test(t, predecessors_come_from_lanes_and_after);
    tcase_add_test(t, joint_task_waits_for_the_slower_lane);
    tcase_add_test(t, ties_put_both_paths_on);
    tcase_add_test(t, a_wait_for_the_clock_starts_a_path);
    tcase_add_test(t, get_ahead_work_is_dropped_only_when_later);
    tcase_add_test(t, what_is_waited_for_comes_first_whatever_the_rows);
    tcase_add_test(t, a_cycle_is_named_with_its_lines);
    tcase_add_test(t, no_tasks_no_time);
    tcase_add_test(t, the_plan_is_as_long_as_its_own_times);
    tcase_add_loop_test(t, random_networks_agree_with_the_slow_twin, 0, made_plan_many(600));
    suite_add_tcase(s, t);
    return s;
}
