/* Tops that are known: Rosenbrock's valley turned over (Rosenbrock, 1960; start as in Moré, Garbow and Hillstrom, 1981,
 * problem 1; both from memory), two hills with a saddle between them, and surfaces that have no top. */
#include <check.h>
#include <math.h>
#include "../../../src/stats/surface.h"

static double rosenbrock(const void *arg, double u, double v)
{
    (void)arg;
    return -100 * (v - u * u) * (v - u * u) - (1 - u) * (1 - u);
}

static double two_hills(const void *arg, double u, double v)
{
    (void)arg;
    return -(u * u - 1) * (u * u - 1) - v * v;
}

static double with_an_edge(const void *arg, double u, double v) /* nothing is defined from u = 0 down */
{
    (void)arg;
    return log(u) - u - v * v;
}

static double plane(const void *arg, double u, double v)
{
    (void)arg;
    return u + 2 * v;
}

static double flat(const void *arg, double u, double v)
{
    (void)arg;
    (void)u;
    (void)v;
    return 3;
}

static double nowhere(const void *arg, double u, double v)
{
    (void)arg;
    return u < 0 || v < 0 ? -INFINITY : NAN;
}

static double ridge(const void *arg, double u,
                    double v) /* falls to both sides of u = v, and along it nothing changes */
{
    (void)arg;
    return -(u - v) * (u - v);
}

START_TEST(tops_that_are_known)
{
    const struct {
        wr_surface_fn *fn;
        double from[2], top[2];
    } row[] = {
        {rosenbrock, {-1.2, 1}, {1, 1}}, {two_hills, {0.1, 0.5}, {1, 0}},   {two_hills, {-0.3, -2}, {-1, 0}},
        {two_hills, {3, 3}, {1, 0}},     {with_an_edge, {0.05, 1}, {1, 0}}, {with_an_edge, {6, -2}, {1, 0}},
    };

    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        double at[2] = {row[i].from[0], row[i].from[1]};
        ck_assert_msg(wr_surface_top(row[i].fn, NULL, 60, at), "surface %zu: no top", i);
        ck_assert_msg(hypot(at[0] - row[i].top[0], at[1] - row[i].top[1]) < 1e-6, "surface %zu: %g, %g", i, at[0],
                      at[1]);
    }
}
END_TEST

START_TEST(no_top_is_no_top)
{
    wr_surface_fn *const fn[] = {plane, flat, nowhere, ridge};

    for (size_t i = 0; i < sizeof fn / sizeof *fn; i++) {
        double at[2] = {0.5, 0.25};
        ck_assert_msg(!wr_surface_top(fn[i], NULL, 60, at), "surface %zu: %g, %g", i, at[0], at[1]);
    }
}
END_TEST

/* Just within reach, and just beyond it, in either variable. */
START_TEST(reach)
{
    double near[2] = {2.5, 0.5}, wide[2] = {2.5, 0.5}, along_v[2] = {1, 3};

    ck_assert(!wr_surface_top(two_hills, NULL, 1.2, near));
    ck_assert(wr_surface_top(two_hills, NULL, 1.8, wide));
    ck_assert(!wr_surface_top(two_hills, NULL, 2.5, along_v));
}
END_TEST

Suite *suite_surface(void);
Suite *suite_surface(void)
{
    Suite *s = suite_create("surface");
    TCase *t = tcase_create("surface");

    tcase_add_test(t, tops_that_are_known);
    tcase_add_test(t, no_top_is_no_top);
    tcase_add_test(t, reach);
    suite_add_tcase(s, t);
    return s;
}
