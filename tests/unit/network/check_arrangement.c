/* A plan arranged anew, held against the same plan written down in that order. */
#include <check.h>
#include <stdint.h>
#include <string.h>
#include "made_plan.h"
#include "wetrun/network/arrangement.h"

enum { TASKS = 14 };

/* The plan's rows in another order, as a planner would write them: numbers of `after` follow. */
static void write_down(struct wr_plan *written, size_t *after, const struct wr_plan *plan,
                       const struct wr_arrangement *a, size_t *place)
{
    *written = *plan;
    written->task = WR_NEW_ARRAY(struct wr_plan_task, plan->n_task);
    for (size_t r = 0; r < plan->n_task; r++) place[a->row[r]] = r;
    for (size_t r = 0; r < plan->n_task; r++) {
        struct wr_plan_task *t = &written->task[r];
        *t = plan->task[a->row[r]];
        t->lanes = a->lanes[a->row[r]];
        for (size_t i = 0; i < t->n_after; i++) after[i] = place[plan->task[a->row[r]].after[i]];
        t->after = after;
        after += t->n_after;
    }
}

static void same_days(const struct wr_network *arranged, const struct wr_network *written, const size_t *place,
                      unsigned long long *state)
{
    double minutes[TASKS], moved[TASKS], start[TASKS], end[TASKS], start_written[TASKS], end_written[TASKS];

    for (size_t k = 0; k < TASKS; k++) {
        minutes[k] = 1 + 30 * made_uniform(state);
        moved[place[k]] = minutes[k];
    }
    double finish = wr_network_forward(arranged, minutes, start, end, NULL);
    ck_assert(finish == wr_network_forward(written, moved, start_written, end_written, NULL));
    for (size_t k = 0; k < TASKS; k++)
        ck_assert(start[k] == start_written[place[k]] && end[k] == end_written[place[k]]);
}

START_TEST(it_is_the_plan_written_down_in_that_order)
{
    unsigned long long state = 20311;
    size_t n_possible = 0, n_impossible = 0;

    for (int round = 0; round < 400; round++) {
        struct wr_plan plan = {0}, written;
        struct wr_arrangement a;
        struct wr_network arranged = {0}, net = {0};
        struct wr_error err = {0};
        size_t place[TASKS], after[TASKS * TASKS];
        made_plan_random(&plan, TASKS, 3, &state);
        wr_arrangement_of(&a, &plan);
        for (int move = 0; move < 3; move++) {
            size_t k = (size_t)(made_uniform(&state) * TASKS), j = (size_t)(made_uniform(&state) * TASKS);
            if (move == 0) wr_arrangement_swap(&a, k, j);
            if (move == 1) wr_arrangement_put_before(&a, k, j);
            if (move == 2) a.lanes[k] = UINT32_C(1) << (size_t)(made_uniform(&state) * (double)plan.n_lane);
        }
        write_down(&written, after, &plan, &a, place);
        enum wr_status status = wr_network_build_arranged(&arranged, &plan, &a, &err);
        ck_assert_int_eq(status, wr_network_build(&net, &written, &err));
        n_possible += status == WR_OK;
        n_impossible += status != WR_OK;
        if (status == WR_OK) {
            wr_network_check(&arranged);
            same_days(&arranged, &net, place, &state);
            wr_network_release(&arranged);
            wr_network_release(&net);
        }
        wr_free(written.task);
        wr_arrangement_release(&a);
        made_plan_release(&plan);
    }
    ck_assert_uint_gt(n_possible, 50); /* else nothing was compared */
    ck_assert_uint_gt(n_impossible, 50);
}
END_TEST

START_TEST(rows_move_as_asked)
{
    struct wr_plan plan = {0};
    struct wr_arrangement a;

    for (const char *id = "ABCDE"; *id; id++) made_plan_add(&plan, (char[]){*id, '\0'}, "EV1", "");
    made_plan_finish(&plan);
    wr_arrangement_of(&a, &plan);
    wr_arrangement_swap(&a, 1, 3);
    ck_assert(memcmp(a.row, (size_t[]){0, 3, 2, 1, 4}, sizeof(size_t[5])) == 0);
    wr_arrangement_put_before(&a, 4, 3);
    ck_assert(memcmp(a.row, (size_t[]){0, 4, 3, 2, 1}, sizeof(size_t[5])) == 0);
    wr_arrangement_put_before(&a, 0, 1); /* stands above already */
    ck_assert(memcmp(a.row, (size_t[]){0, 4, 3, 2, 1}, sizeof(size_t[5])) == 0);
    wr_arrangement_release(&a);
    made_plan_release(&plan);
}
END_TEST

Suite *suite_arrangement(void);
Suite *suite_arrangement(void)
{
    Suite *s = suite_create("arrangement");
    TCase *c = tcase_create("arrangement");

    tcase_add_test(c, it_is_the_plan_written_down_in_that_order);
    tcase_add_test(c, rows_move_as_asked);
    suite_add_tcase(s, c);
    return s;
}
