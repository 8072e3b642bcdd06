/* Places by halves and by Newton's method in a bracket, against roots known in closed form. */
#include <check.h>
#include <limits.h>
#include <math.h>
#include "suites.h"
#include "wetrun/stats/halve.h"
#include "wetrun/stats/newton.h"

struct counted {
    double root;
    int n;
};

static bool is_before(void *arg, double x)
{
    struct counted *c = arg;

    c->n++;
    return x < c->root;
}

START_TEST(the_place_is_found_from_either_side)
{
    struct counted up = {sqrt(2), 0}, down = {M_PI, 0};
    double from = 0, to = 2, low = 3, high = 4;

    wr_halve(is_before, &up, 0, 60, &from, &to);
    ck_assert(from < sqrt(2) && sqrt(2) <= to && to - from < 1e-15);
    wr_halve(is_before, &down, 1e-6, INT_MAX, &low, &high);
    ck_assert(low < M_PI && M_PI <= high && high - low <= 1e-6 && high - low > 2.5e-7);
    ck_assert_int_eq(down.n, 20); /* 2^-20 is the first power of a half within 1e-6 */
}
END_TEST

static bool is_after(void *arg, double x)
{
    return !is_before(arg, x);
}

START_TEST(from_may_be_the_larger)
{
    struct counted c = {0.3, 0};
    double from = 1, to = 0;

    wr_halve(is_after, &c, 0, 40, &from, &to);
    ck_assert(to < 0.3 && 0.3 <= from && from - to < 1e-11);
    ck_assert_int_eq(c.n, 40);
    wr_halve(is_after, &c, 1, 40, &from, &to); /* near enough already */
    ck_assert_int_eq(c.n, 40);
}
END_TEST

static void step_to_0(struct wr_newton *n, double least_step)
{
    double slope = 1 / (1 + n->at * n->at);

    if (fabs(n->at) > 1e-9) wr_newton_step(n, n->at > 0, fmax(-atan(n->at) / slope, least_step));
}

/* atan has its root at 0 and throws plain Newton ever farther away from 1.4 on. */
START_TEST(newton_stays_where_the_root_is)
{
    struct wr_newton closed = {2, -3, 5}, open = {2, -INFINITY, INFINITY}, blind = {2, -3, 5};

    for (int i = 0; i < 60; i++) {
        step_to_0(&closed, -INFINITY);
        step_to_0(&open, -1);
        wr_newton_step(&blind, blind.at > 0.7, NAN); /* no slope: by halves, 8 / 2^60 */
        ck_assert(closed.lo <= 0 && closed.hi >= 0 && closed.lo >= -3 && closed.hi <= 5);
    }
    ck_assert(fabs(closed.at) <= 1e-9 && fabs(open.at) <= 1e-9);
    ck_assert(fabs(blind.at - 0.7) < 1e-15);
}
END_TEST

START_TEST(from_an_open_bracket_by_one_from_the_end_that_is_known)
{
    struct wr_newton up = {2, -INFINITY, INFINITY}, down = up;

    wr_newton_step(&up, false, -1); /* the root lies above, the step goes down */
    ck_assert(up.at == 3 && up.lo == 2 && isinf(up.hi));
    wr_newton_step(&down, true, NAN);
    ck_assert(down.at == 1 && down.hi == 2 && isinf(down.lo));
}
END_TEST

Suite *suite_halve(void);
Suite *suite_halve(void)
{
    Suite *suite = suite_create("halve");
    TCase *tc = tcase_create("halve");

    tcase_add_test(tc, the_place_is_found_from_either_side);
    tcase_add_test(tc, from_may_be_the_larger);
    tcase_add_test(tc, newton_stays_where_the_root_is);
    tcase_add_test(tc, from_an_open_bracket_by_one_from_the_end_that_is_known);
    suite_add_tcase(suite, tc);
    return suite;
}
