/* Days walked side by side against the walk of one day, on plans with every kind of task. */
#include <check.h>
#include <math.h>
#include <string.h>
#include "../../../src/decide/abreast.h"
#include "made_excursion.h"
#include "made_plan.h"
#include "wetrun/base/memory.h"

enum { N_TASK = 10, N_TRIAL = 300, N_DRAW = 7, SEEDS = 12 };

struct made {
    struct made_excursion e;
    struct wr_days days;
    struct wr_now_state now;
    struct wr_way way;
    struct wr_abreast abreast;
    struct wr_walk walk;
    unsigned long long state;
};

/* Tasks with a run effect, with a spread of their own, from three points and fixed; moments before and after which a
 * task is not begun; in every third one task is done and one under way, and in half of those one is past whose begin
 * and end were reported. */
static void make(struct made *m, int seed)
{
    unsigned char state[N_TASK] = {WR_NOW_DONE, WR_NOW_RUNNING};
    static double begin[N_TASK] = {0, 12, 0, 14}, end[N_TASK] = {12, 0, 0, 19}, hold[N_TASK] = {0, 3};
    static unsigned char known[N_TASK] = {[3] = WR_NOW_REPORTED};
    static unsigned char rule[N_TASK]; /* none has dropped anything */

    *m = (struct made){.state = 40 + (unsigned long long)seed};
    made_excursion_random(&m->e, N_TASK, 2, 0.15, true, &m->state);
    m->e.durations.source[2] = (struct wr_source){WR_SRC_JUDGED, {10, 14, 30}, WR_THREE_POINT_PERT};
    m->e.durations.source[4] = (struct wr_source){WR_SRC_JUDGED, {5, 5, 12}, WR_THREE_POINT_TRIANGULAR};
    m->e.durations.source[5] = (struct wr_source){.kind = WR_SRC_LOGNORMAL, .p = {2.5, 0.4}};
    m->e.durations.source[7] = (struct wr_source){.kind = WR_SRC_FIXED, .p = {6}};
    m->e.net.drop_after_min[8] = 40;
    made_excursion_days(&m->e, N_TRIAL, (uint64_t)seed + 1);
    m->now = (struct wr_now_state){.n_task = N_TASK,
                                   .now_min = 20,
                                   .state = WR_NEW_ARRAY(unsigned char, N_TASK),
                                   .begin_min = begin,
                                   .end_min = end,
                                   .hold_min = hold,
                                   .rule = rule,
                                   .begin_known = known,
                                   .end_known = known};
    memcpy(m->now.state, state, sizeof state);
    wr_days_make(&m->days, &m->e.net, &m->e.durations, &m->e.scenarios, seed % 3 == 2 ? &m->now : NULL);
    if (seed % 6 == 5) m->now.state[3] = WR_NOW_PAST; /* its minutes are as they are: no moment is met */
    wr_way_init(&m->way, &m->days);
    m->way.run = made_uniform(&m->state);
    for (size_t k = 0; k < N_TASK; k++) m->way.task[k] = k % 4 == 3 ? 0 : made_uniform(&m->state);
    ck_assert(wr_way_normalise(&m->way, &m->days));
    wr_abreast_init(&m->abreast, N_TASK);
    wr_walk_init(&m->walk, N_TASK);
}

static void unmake(struct made *m)
{
    wr_walk_release(&m->walk);
    wr_abreast_release(&m->abreast);
    wr_way_release(&m->way);
    wr_days_release(&m->days);
    wr_free(m->now.state);
    made_excursion_release(&m->e);
}

static void compare(const struct made *m, size_t i)
{
    const struct wr_abreast *a = &m->abreast;

    for (size_t k = 0; k < N_TASK; k++) {
        size_t at = k * WR_ABREAST + i;
        double scale = 1e-13 * (1 + m->walk.end_min[k]);
        ck_assert_double_eq_tol(a->start_min[at], m->walk.start_min[k], scale);
        ck_assert_double_eq_tol(a->end_min[at], m->walk.end_min[k], scale);
        ck_assert_double_eq_tol(a->start_rate[at], m->walk.start_rate[k], scale);
        ck_assert_double_eq_tol(a->end_rate[at], m->walk.end_rate[k], scale);
        ck_assert_int_eq(a->dropped[at] != 0, m->walk.dropped[k]);
    }
    if (m->now.state[3] != WR_NOW_PAST) return;
    ck_assert(m->walk.start_min[3] == 14 && m->walk.end_min[3] == 19); /* as reported, and nothing moves them */
    ck_assert(m->walk.start_rate[3] == 0 && m->walk.end_rate[3] == 0);
}

/* The rate of an outcome is that of the task that ends last. */
static void compare_outcomes(const struct made *m)
{
    const struct wr_sim_limit limit[] = {{.lanes = 3}, {.lanes = 2}, {.is_clock = true, .from = 2, .to = 9}};
    const struct wr_abreast *a = &m->abreast;
    double out[WR_ABREAST], rate[WR_ABREAST];

    for (size_t l = 0; l < 3; l++) {
        wr_abreast_outcomes(a, &m->e.net, &limit[l], out, rate);
        for (size_t i = 0; i < a->n; i++) {
            double minutes = a->end_min[9 * WR_ABREAST + i] - a->start_min[2 * WR_ABREAST + i];
            double by_push = a->end_rate[9 * WR_ABREAST + i] - a->start_rate[2 * WR_ABREAST + i];
            for (size_t lane = 0; lane < 2 && !limit[l].is_clock; lane++) {
                size_t last = m->e.net.lane_last[lane], at = last * WR_ABREAST + i;
                if (lane == 0) minutes = by_push = 0;
                if (!(limit[l].lanes >> lane & 1) || last == SIZE_MAX || a->end_min[at] <= minutes) continue;
                minutes = a->end_min[at];
                by_push = a->end_rate[at];
            }
            ck_assert_double_eq(out[i], minutes);
            ck_assert_double_eq(rate[i], by_push);
            ck_assert_double_eq(out[i], wr_abreast_outcome(a, &m->e.net, &limit[l], i));
        }
    }
}

START_TEST(as_one_day_walks)
{
    struct made m;
    struct wr_abreast *a = &m.abreast;
    const size_t *order;

    make(&m, _i);
    order = m.e.net.order;
    for (int round = 0; round < 6; round++) {
        a->n = round == 0 ? 1 : round == 1 ? WR_ABREAST : 1 + (size_t)(made_uniform(&m.state) * WR_ABREAST);
        for (size_t i = 0; i < a->n; i++) {
            a->trial[i] = round == 1 ? i : (size_t)(made_uniform(&m.state) * N_TRIAL);
            a->delta[i] = 8 * made_uniform(&m.state) - 4;
        }
        wr_abreast_load(a, &m.days, &m.way, order, N_TASK);
        wr_abreast_walk(a, &m.days, &m.way, order, N_TASK);
        for (size_t i = 0; i < a->n; i++) {
            wr_days_walk(&m.days, &m.way, order, N_TASK, a->trial[i], a->delta[i], &m.walk);
            compare(&m, i);
        }
        compare_outcomes(&m);
    }
    unmake(&m);
}
END_TEST

START_TEST(held_back_as_if_it_might_not_begin_before)
{
    struct made m;
    struct wr_abreast *a = &m.abreast;
    const size_t held = 6;

    make(&m, _i);
    wr_abreast_take(a, 20, N_TRIAL);
    ck_assert_uint_eq(a->n, WR_ABREAST);
    for (size_t i = 0; i < a->n; i++) a->held_min[i] = 20 + 10 * (double)i;
    wr_abreast_load(a, &m.days, NULL, m.e.net.order, N_TASK);
    a->held = held;
    wr_abreast_walk(a, &m.days, NULL, m.e.net.order, N_TASK);
    double floor_min = m.days.floor_min[held];
    for (size_t i = 0; i < a->n; i++) {
        m.days.floor_min[held] = fmax(floor_min, a->held_min[i]);
        wr_days_walk(&m.days, NULL, m.e.net.order, N_TASK, 20 + i, 0, &m.walk);
        compare(&m, i);
    }
    unmake(&m);
}
END_TEST

START_TEST(all_days_as_they_are)
{
    struct made m;
    const struct wr_sim_limit limit = {.lanes = 3, .minutes = 100}, clock = {.is_clock = true, .from = 1, .to = 9};

    make(&m, _i);
    wr_days_walk_all(&m.days);
    for (size_t i = 0; i < N_TRIAL; i++) {
        wr_days_walk(&m.days, NULL, m.e.net.order, N_TASK, i, 0, &m.walk);
        for (size_t k = 0; k < N_TASK; k++) {
            ck_assert_double_eq_tol(m.days.start_min[k * N_TRIAL + i], m.walk.start_min[k], 1e-12);
            ck_assert_double_eq_tol(m.days.end_min[k * N_TRIAL + i], m.walk.end_min[k], 1e-12);
            ck_assert_double_ge(m.days.start_rate[k * N_TRIAL + i], 0);
        }
        double finish = 0;
        for (size_t l = 0; l < 2; l++)
            if (m.e.net.lane_last[l] != SIZE_MAX) finish = fmax(finish, m.walk.end_min[m.e.net.lane_last[l]]);
        ck_assert_double_eq_tol(wr_days_outcome(&m.days, &limit, i), finish, 1e-12);
        ck_assert_double_eq_tol(wr_days_outcome(&m.days, &clock, i), m.walk.end_min[9] - m.walk.start_min[1], 1e-12);
    }
    unmake(&m);
}
END_TEST

Suite *suite_abreast(void);
Suite *suite_abreast(void)
{
    Suite *s = suite_create("abreast");
    TCase *t = tcase_create("walks");

    tcase_add_loop_test(t, as_one_day_walks, 0, SEEDS);
    tcase_add_loop_test(t, held_back_as_if_it_might_not_begin_before, 0, SEEDS);
    tcase_add_loop_test(t, all_days_as_they_are, 0, SEEDS);
    suite_add_tcase(s, t);
    return s;
}
