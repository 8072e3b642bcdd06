/* Work that gets stuck now and then, and what it costs the limits if all of it may. */
#include <check.h>
#include <gsl/gsl_cdf.h>
#include <math.h>
#include "../../support/made_excursion.h"
#include "../../support/made_timing.h"
#include "wetrun/base/memory.h"
#include "wetrun/decide/stuck.h"

enum { TASKS = 10, RUNS = 8 };

/* 20 min and up to 3 of 100 more or less, of which no two tasks or runs have the same order. */
static void make_steady(struct wr_timing *t)
{
    made_timing_init(t, TASKS, RUNS, 1);
    for (size_t k = 0; k < TASKS; k++)
        for (size_t r = 0; r < RUNS; r++)
            made_cell(t, k, r)->active_min = 20 * (1 + 0.01 * ((double)((3 * r + 5 * k + r * k) % 7) - 3));
}

static void times(struct wr_timing *t, size_t task, size_t run, double factor)
{
    made_cell(t, task, run)->active_min *= factor;
}

static bool is_told(const struct wr_timing *t)
{
    WR_RELEASED_BY(wr_stuck_release) struct wr_stuck stuck = {0};

    wr_stuck_find(&stuck, t);
    return stuck.told;
}

START_TEST(what_got_stuck_is_counted)
{
    struct wr_timing t;
    struct wr_stuck stuck = {0};

    make_steady(&t);
    times(&t, 1, 1, 2);
    times(&t, 4, 3, 2);
    times(&t, 4, 6, 2);
    times(&t, 7, 5, 4);
    made_cell_state(&t, 9, 2, WR_CELL_SKIPPED);
    wr_stuck_find(&stuck, &t);
    ck_assert(stuck.told);
    ck_assert_uint_eq(stuck.n_step, TASKS * RUNS - 1);
    ck_assert_uint_eq(stuck.n_stuck, 4);
    ck_assert_uint_eq(stuck.n_task, TASKS);
    ck_assert_uint_eq(stuck.n_task_stuck, 3);
    for (size_t k = 0; k < TASKS; k++) ck_assert_int_eq(stuck.was[k], k == 1 || k == 4 || k == 7);
    ck_assert_double_eq_tol(stuck.least, 2, 0.15);
    ck_assert_double_eq_tol(stuck.usual, 2 * pow(2, 0.25), 0.15);
    ck_assert_double_eq_tol(stuck.chance, 4.5 / 80, 1e-12);
    ck_assert_double_eq_tol(gsl_cdf_beta_P(stuck.chance_hi, 4.5, 75.5), 0.95, 1e-9);
    wr_stuck_release(&stuck);
    made_timing_release(&t);
}
END_TEST

START_TEST(what_is_no_getting_stuck)
{
    static const size_t task[] = {1, 4, 7}, run[] = {1, 3, 5};
    struct wr_timing t;

    make_steady(&t);
    ck_assert(!is_told(&t));
    for (size_t i = 0; i < 2; i++) times(&t, task[i], run[i], 2);
    ck_assert(!is_told(&t)); /* two tasks: their own matter */
    times(&t, task[2], run[2], 1.3);
    ck_assert(!is_told(&t)); /* the third too little */
    times(&t, task[2], run[2], 2);
    ck_assert(is_told(&t));
    times(&t, 2, 2, 0.4);
    ck_assert(is_told(&t)); /* one as far on the other side, for three */
    times(&t, 3, 6, 0.4);
    ck_assert(!is_told(&t)); /* two: of times that lie far to both sides */
    made_timing_release(&t);

    make_steady(&t);
    for (size_t r = 0; r < RUNS; r++) t.run[r].order = (double)((r + 3) % RUNS + 1);
    for (size_t i = 0; i < 3; i++) times(&t, task[i], i < 2 ? 5 : 1, 2);
    ck_assert(!is_told(&t)); /* two of three in the first rehearsal, which is not the first in the log */
    times(&t, 2, 1, 2);
    ck_assert(is_told(&t)); /* two of four */
    made_timing_release(&t);

    make_steady(&t);
    for (size_t k = 0; k < TASKS; k++) times(&t, k, 4, 2);
    ck_assert(!is_told(&t)); /* a slow day */
    made_timing_release(&t);

    make_steady(&t);
    for (size_t i = 0; i < 3; i++)
        for (size_t r = 0; r < RUNS; r++) made_cell(&t, task[i], r)->active_min = r == run[i] ? 3 : 1;
    ck_assert(!is_told(&t)); /* by whole minutes */
    for (size_t i = 0; i < 3; i++) made_cell(&t, task[i], run[i])->active_min = 4;
    ck_assert(is_told(&t));
    for (size_t i = 0; i < 3; i++)
        for (size_t r = 3; r < RUNS; r++) made_cell(&t, task[i], (run[i] + r) % RUNS)->lead_in_unknown = true;
    ck_assert(!is_told(&t)); /* three times, the others being lower bounds: what is usual? */
    made_timing_release(&t);
}
END_TEST

/* One lane of four tasks of which one was stuck, at next to no scatter: a day is over just if one of the other three
 * gets stuck, each with the chance of the count, and over a later limit if two do. */
START_TEST(what_it_costs)
{
    static const struct made_task task[] = {{"A", NULL, NULL, 20, 0.001, 0, 0},
                                            {"B", NULL, NULL, 20, 0.001, 0, 0},
                                            {"C", NULL, NULL, 20, 0.001, 0, 0},
                                            {"D", NULL, NULL, 20, 0.001, 0, 0}};
    const struct wr_sim_limit limit[] = {
        {.lanes = 1, .minutes = 85}, {.lanes = 1, .minutes = 110}, {.lanes = 1, .minutes = 70}};
    unsigned char was[4] = {0, 1, 0, 0};
    const struct wr_stuck stuck = {.was = was, .usual = 2, .chance = 0.1, .chance_hi = 0.2};
    struct made_excursion e = {0};
    double more[3], again[3];

    made_excursion_plan(&e, task, 4, 0.001, 50);
    struct wr_basis basis = made_excursion_basis(&e);
    basis.limit = limit;
    basis.n_limit = 3;
    wr_stuck_cost(more, &stuck, &basis, 1, 1);
    ck_assert_double_eq_tol(more[0], 1 - pow(0.9, 3), 0.012); /* 4 standard errors of 16384 days */
    ck_assert_double_eq_tol(more[1], 3 * 0.01 * 0.9 + 0.001, 0.006);
    ck_assert_double_eq(more[2], 0); /* over as it is */
    wr_stuck_cost(again, &stuck, &basis, 1, 2);
    ck_assert(more[0] == again[0] && more[1] == again[1]);
    made_excursion_release(&e);
}
END_TEST

START_TEST(what_rests_on_it)
{
    const struct wr_stuck stuck = {.chance = 0.04, .chance_hi = 0.07};
    const struct wr_probability over = {.mean = 0.02, .lo = 0.01, .hi = 0.05};
    struct wr_stuck_over then = wr_stuck_over(&stuck, &over, 0.04);

    ck_assert_double_eq_tol(then.mean, 0.06, 1e-12);
    ck_assert_double_eq_tol(then.hi, 0.06 + sqrt(0.03 * 0.03 + 0.03 * 0.03), 1e-12); /* 0.04 (0.07 / 0.04 - 1) = 0.03 */
    ck_assert(wr_stuck_decides(&over, &then, 0.9));
    ck_assert(!wr_stuck_decides(&over, &then, 0.85)); /* still kept */
    ck_assert(!wr_stuck_decides(&over, &then, 0.96)); /* not kept as it is */
    then = wr_stuck_over(&stuck, &over, 0.004);
    ck_assert(!wr_stuck_decides(&over, &then, 0.949)); /* too little to be told of */
    then = wr_stuck_over(&stuck, &over, 2);
    ck_assert(then.mean == 1 && then.hi == 1);
}
END_TEST

Suite *suite_stuck(void);
Suite *suite_stuck(void)
{
    Suite *s = suite_create("stuck");
    TCase *t = tcase_create("stuck");

    tcase_add_test(t, what_got_stuck_is_counted);
    tcase_add_test(t, what_is_no_getting_stuck);
    tcase_add_test(t, what_it_costs);
    tcase_add_test(t, what_rests_on_it);
    suite_add_tcase(s, t);
    return s;
}
