/* Ends over draws that are known with noise, against the law that the draws come from. */
#include <check.h>
#include <gsl/gsl_cdf.h>
#include <math.h>
#include "wetrun/stats/noisy_ends.h"

enum { DRAWS = 2000 };
static double half_a[DRAWS], half_b[DRAWS];
static const double *const half[2] = {half_a, half_b};
static const double z95 = 1.6448536269514722;

/* Standard normals by a sequence that fills (0, 1) evenly, another one for each root. */
static double normal(size_t j, double root)
{
    return gsl_cdf_ugaussian_Pinv(fmod(((double)j + 0.5) * root, 1));
}

static double of_draw(size_t j)
{
    return normal(j, 0.6180339887498949);
}

START_TEST(without_noise_they_are_the_points)
{
    for (size_t j = 0; j < DRAWS; j++) half_a[j] = half_b[j] = 3 + of_draw(j);
    const struct wr_noisy_ends e = wr_noisy_ends(half, DRAWS);

    ck_assert_double_eq_tol(e.lo.value, 3 - z95, 0.01);
    ck_assert_double_eq_tol(e.hi.value, 3 + z95, 0.01);
    ck_assert(e.lo.left_open == 0 && e.hi.left_open == 0 && e.lo.draw_error > 0 && e.hi.draw_error > 0);
}
END_TEST

/* Noise of sd 1 in each half is 0.5 of variance in their mean, beside the draws' 1: the plain points lie 1.22 times as
 * far out. */
START_TEST(noise_is_taken_off)
{
    for (size_t j = 0; j < DRAWS; j++) {
        half_a[j] = 20 + of_draw(j) + normal(j, 0.4142135623730951);
        half_b[j] = 20 + of_draw(j) + normal(j, 0.7320508075688772);
    }
    const struct wr_noisy_ends e = wr_noisy_ends(half, DRAWS);
    const double plain = z95 * sqrt(1.5);

    ck_assert_double_eq_tol(e.hi.value, 20 + z95, 0.1);
    ck_assert_double_eq_tol(e.lo.value, 20 - z95, 0.1);
    ck_assert_double_eq_tol(e.hi.left_open, plain - z95, 0.1);
    for (size_t j = 0; j < DRAWS; j++) { /* as much of losses */
        half_a[j] = -half_a[j];
        half_b[j] = -half_b[j];
    }
    const struct wr_noisy_ends loss = wr_noisy_ends(half, DRAWS);
    ck_assert_double_eq_tol(loss.lo.value, -e.hi.value, 1e-9);
    ck_assert_double_eq_tol(loss.hi.value, -e.lo.value, 1e-9);
}
END_TEST

START_TEST(where_noise_is_most_of_it_nothing_is_sure)
{
    for (size_t j = 0; j < DRAWS; j++) {
        half_a[j] = 20 + 0.3 * of_draw(j) + normal(j, 0.4142135623730951);
        half_b[j] = 20 + 0.3 * of_draw(j) + normal(j, 0.7320508075688772);
    }
    const struct wr_noisy_ends e = wr_noisy_ends(half, DRAWS);

    ck_assert_double_eq_tol(e.hi.value, 20 + z95 * sqrt(0.09 + 0.5), 0.1);
    ck_assert_double_gt(e.hi.left_open, 0.3);
}
END_TEST

/* Shares with a long tail, exp(-7 + 2 z), counted on 256 days in each half: noise as a count has it, sqrt(p / 256). The
 * 5 % point is 0.000034; drawn together as the others are it would be ten times that. */
START_TEST(near_none_is_no_more_than_any_draw_has)
{
    const double truth = exp(-7 - 2 * z95);
    double mean = 0;

    for (size_t j = 0; j < DRAWS; j++) {
        double p = fmin(exp(-7 + 2 * of_draw(j)), 0.5);
        half_a[j] = fmax(0, floor(256 * p + sqrt(256 * p) * normal(j, 0.4142135623730951) + 0.5)) / 256;
        half_b[j] = fmax(0, floor(256 * p + sqrt(256 * p) * normal(j, 0.7320508075688772) + 0.5)) / 256;
        mean += 0.5 * (half_a[j] + half_b[j]) / DRAWS;
    }
    const struct wr_noisy_ends e = wr_noisy_ends(half, DRAWS);

    ck_assert_double_le(e.lo.value, truth);
    ck_assert_double_ge(e.lo.value + 2 * e.lo.left_open, truth);
    ck_assert_double_eq_tol(e.hi.value, exp(-7 + 2 * z95), 0.1 * exp(-7 + 2 * z95));
    ck_assert_double_gt(mean, 0.004);
}
END_TEST

Suite *suite_noisy_ends(void);
Suite *suite_noisy_ends(void)
{
    Suite *s = suite_create("noisy_ends");
    TCase *t = tcase_create("noisy_ends");

    tcase_add_test(t, without_noise_they_are_the_points);
    tcase_add_test(t, noise_is_taken_off);
    tcase_add_test(t, where_noise_is_most_of_it_nothing_is_sure);
    tcase_add_test(t, near_none_is_no_more_than_any_draw_has);
    suite_add_tcase(s, t);
    return s;
}
