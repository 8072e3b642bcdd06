/* Places by halves, against roots known in closed form. */
#include <check.h>
#include <limits.h>
#include <math.h>
#include "suites.h"
#include "wetrun/stats/halve.h"

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

Suite *suite_halve(void);
Suite *suite_halve(void)
{
    Suite *suite = suite_create("halve");
    TCase *tc = tcase_create("halve");

    tcase_add_test(tc, the_place_is_found_from_either_side);
    tcase_add_test(tc, from_may_be_the_larger);
    suite_add_tcase(suite, tc);
    return suite;
}
