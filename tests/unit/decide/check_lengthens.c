/* Tasks that get longer while all are credited with learning. */
#include <check.h>
#include <math.h>
#include "../../support/made_timing.h"
#include "wetrun/base/memory.h"
#include "wetrun/decide/lengthens.h"

enum { TASKS = 3, RUNS = 4 };

struct seen {
    struct wr_timing timing;
    struct wr_task_trend trend[TASKS];
    struct wr_comparison comparison;
    struct wr_task_outlook task[TASKS];
    struct wr_forecast forecast;
    double gamma[2];
    struct wr_posterior post;
    struct wr_lengthening *found;
};

/* Task 1 takes 10, 20, 30 and 40 min by its line, task 2 goes the other way, task 0 goes nowhere for sure. */
static size_t find(struct seen *v, double shared)
{
    *v = (struct seen){.gamma = {shared - 0.02, shared + 0.02}};
    made_timing_init(&v->timing, TASKS, RUNS, 1);
    for (size_t k = 0; k < TASKS; k++) v->task[k].median_min = 24;
    v->trend[0] = (struct wr_task_trend){.line = {.known = true, .slope_log = 2}};
    v->trend[1] = (struct wr_task_trend){
        .line = {.known = true, .slope_log = 1, .level_log = log(10), .per_doubling = 1}, .told = true};
    v->trend[2] = (struct wr_task_trend){.line = {.known = true, .slope_log = -1}, .told = true};
    v->comparison = (struct wr_comparison){.n_task = TASKS, .task_trend = v->trend};
    v->forecast = (struct wr_forecast){.task = v->task};
    v->post = (struct wr_posterior){.n_draw = 2, .gamma = v->gamma};
    return wr_find_lengthening(&v->found, &v->comparison, &v->timing, &v->forecast, &v->post, RUNS + 1);
}

static void done(struct seen *v)
{
    wr_free(v->found);
    made_timing_release(&v->timing);
}

/* By hand: the mean log order of four rehearsals is log(24) / 4, the fifth is forecast. */
START_TEST(a_task_that_gets_longer_is_found_with_its_minutes)
{
    struct seen v;

    ck_assert_uint_eq(find(&v, -0.1), 1);
    ck_assert_uint_eq(v.found[0].task, 1);
    ck_assert(v.found[0].per_doubling == 1 && v.found[0].forecast_min == 24);
    ck_assert_double_eq_tol(v.found[0].uncredited_min, 24 * pow(5 / pow(24, 0.25), 0.1), 1e-9);
    ck_assert_double_eq_tol(v.found[0].own_trend_min, 50, 1e-9);
    done(&v);
}
END_TEST

START_TEST(nothing_is_credited_where_all_get_longer)
{
    struct seen v;

    ck_assert_uint_eq(find(&v, 0.1), 0);
    done(&v);
}
END_TEST

/* The rehearsals in which it was done are those that count; what the forecast never does has no minutes to warn of. */
START_TEST(a_task_that_was_left_out_once)
{
    struct seen v;

    ck_assert_uint_eq(find(&v, -0.1), 1);
    WR_FREE(v.found);
    made_cell_state(&v.timing, 1, 0, WR_CELL_SKIPPED);
    ck_assert_uint_eq(wr_find_lengthening(&v.found, &v.comparison, &v.timing, &v.forecast, &v.post, RUNS + 1), 1);
    ck_assert_double_eq_tol(v.found[0].uncredited_min, 24 * pow(5 / pow(24, 1.0 / 3), 0.1), 1e-9); /* 2, 3, 4 */
    WR_FREE(v.found);
    v.task[1].median_min = 0;
    ck_assert_uint_eq(wr_find_lengthening(&v.found, &v.comparison, &v.timing, &v.forecast, &v.post, RUNS + 1), 0);
    done(&v);
}
END_TEST

/* At most 10 of 100 may go over: what 1 - 0.9 is in binary decides nothing, nor do costs that nobody is told of. */
START_TEST(what_rests_on_them)
{
    ck_assert(wr_lengthening_decides(0.015, 0.42, 0.9));
    ck_assert(wr_lengthening_decides(0.1, 0.12, 0.9));
    ck_assert(!wr_lengthening_decides(0.05, 0.1, 0.9));    /* still kept */
    ck_assert(!wr_lengthening_decides(0.11, 0.42, 0.9));   /* not kept as it is */
    ck_assert(!wr_lengthening_decides(0.099, 0.103, 0.9)); /* too little to be told of */
    ck_assert(!wr_lengthening_decides(0.3, 0.1, 0.8));
}
END_TEST

Suite *suite_lengthens(void);
Suite *suite_lengthens(void)
{
    Suite *s = suite_create("lengthens");
    TCase *t = tcase_create("lengthens");

    tcase_add_test(t, a_task_that_gets_longer_is_found_with_its_minutes);
    tcase_add_test(t, nothing_is_credited_where_all_get_longer);
    tcase_add_test(t, a_task_that_was_left_out_once);
    tcase_add_test(t, what_rests_on_them);
    suite_add_tcase(s, t);
    return s;
}
