#include <check.h>
#include <math.h>
#include <stdint.h>
#include <string.h>
#include "made_plan.h"
#include "wetrun/network/network.h"

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
                               "for 'hold' (line 5) waits for 'lock' (line 4) waits for 'lift'");
    ck_assert(net.order == NULL && net.n_task == 0);
    made_plan_release(&plan);

    made_plan_add(&plan, "self", "EV1", "self");
    made_plan_finish(&plan);
    ck_assert(wr_network_build(&net, &plan, &err) == WR_E_INPUT);
    ck_assert_str_eq(err.text, "these tasks wait for one another, so none can begin: 'self' (line 2) waits for 'self'");
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

/* The slow twin: every task begins at 0 and is pushed back until nothing moves. Reads the plan, not the network. */
static void push_until_still(const struct wr_plan *plan, const double *minutes, double *start, double *end)
{
    for (size_t k = 0; k < plan->n_task; k++) start[k] = end[k] = 0;
    for (bool moved = true; moved;) {
        moved = false;
        for (size_t k = 0; k < plan->n_task; k++) {
            const struct wr_plan_task *t = &plan->task[k];
            double s = t->not_before_min.known ? t->not_before_min.value : 0;
            for (size_t j = 0; j < k; j++)
                if (plan->task[j].lanes & t->lanes) s = fmax(s, end[j]); /* all before it, not the last */
            for (size_t i = 0; i < t->n_after; i++) s = fmax(s, end[t->after[i]]);
            bool drop = t->drop_after_min.known && s > t->drop_after_min.value;
            double e = drop ? s : s + minutes[k];
            moved |= s != start[k] || e != end[k];
            start[k] = s;
            end[k] = e;
        }
    }
}

START_TEST(random_networks_agree_with_the_slow_twin)
{
    unsigned long long state = 20310304 + (unsigned long long)_i;
    struct wr_plan plan = {0};
    struct wr_network net = {0};
    double minutes[MOST], start[MOST], end[MOST], slow_start[MOST], slow_end[MOST], lane_end[4], finish = 0;
    unsigned char dropped[MOST], path[MOST];
    size_t n = 1 + (size_t)(made_uniform(&state) * (MOST - 1)), n_lane = 1 + (size_t)(made_uniform(&state) * 4);

    made_plan_random(&plan, n, n_lane, &state);
    for (size_t k = 0; k < n; k++) {
        minutes[k] = made_uniform(&state) < 0.1 ? 0 : floor(made_uniform(&state) * 40); /* whole minutes: ties */
        if (made_uniform(&state) < 0.15) plan.task[k].not_before_min = wr_known(floor(made_uniform(&state) * 300));
        if (made_uniform(&state) < 0.15) plan.task[k].drop_after_min = wr_known(floor(made_uniform(&state) * 300));
    }
    build(&net, &plan);
    double got = wr_network_forward(&net, minutes, start, end, dropped);
    push_until_still(&plan, minutes, slow_start, slow_end);
    for (size_t k = 0; k < n; k++) {
        ck_assert(start[k] == slow_start[k] && end[k] == slow_end[k]);
        if (dropped[k]) ck_assert(end[k] == start[k] && start[k] > plan.task[k].drop_after_min.value);
        finish = fmax(finish, slow_end[k]);
    }
    ck_assert(got == finish);
    wr_network_lane_ends(&net, end, lane_end);
    for (size_t l = 0; l < net.n_lane; l++) {
        double last = 0;
        for (size_t k = 0; k < n; k++)
            if (plan.task[k].lanes >> l & 1) last = fmax(last, slow_end[k]);
        ck_assert(lane_end[l] == last);
    }

    /* On the longest path means: without its clock a moment more of this task is a moment more for the finish. */
    size_t to = _i % 2 ? WR_FINISH : (size_t)_i / 2 % n; /* likewise for the moment that task waits for */
    double ready = wr_network_ready(&net, to, end);
    wr_network_longest_path(&net, to, start, end, dropped, path);
    for (size_t k = 0; k < n; k++) net.drop_after_min[k] = dropped[k] ? -1 : INFINITY; /* the same work is left out */
    if (to == WR_FINISH) ck_assert(ready == finish);
    for (size_t k = 0; k < n; k++) {
        double longer[MOST], longer_end[MOST];
        if (dropped[k]) {
            ck_assert_uint_eq(path[k], 0);
            continue;
        }
        memcpy(longer, minutes, sizeof longer);
        longer[k] += 0.25;
        wr_network_forward(&net, longer, NULL, longer_end, NULL);
        ck_assert_uint_eq(path[k], wr_network_ready(&net, to, longer_end) > ready);
    }
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
    tcase_add_loop_test(t, random_networks_agree_with_the_slow_twin, 0, 300);
    suite_add_tcase(s, t);
    return s;
}
