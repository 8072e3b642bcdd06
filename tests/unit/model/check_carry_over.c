#include <check.h>
#include <gsl/gsl_statistics_double.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include "wetrun/base/memory.h"
#include "wetrun/model/durations.h"

static struct wr_history_row worked[] = {{"X1", "transit", 12, 10.5, 2, false}, {"X1", "fastener", 40, 46, 3, false},
                                         {"X2", "transit", 15, 14, 4, false},   {"X2", "fastener", 32, 35, 5, false},
                                         {"X3", "transit", 9, 8.8, 6, false},   {"X3", "fastener", 55, 70, 7, false},
                                         {"X3", "connector", 21, 27, 8, false}};
static const struct wr_history history = {.row = worked, .n_row = 7};

/* Expected means and sds of the next log factor: the joint normal of all rows and the next factors, conditioned with
 * plain matrix algebra (numpy) and summed over 120 x 120 points of the two standard deviations; the hierarchy's algebra
 * is not used. 40 points there instead of 120 change the fifth digit, so both grids are fine enough. */
START_TEST(agrees_with_the_joint_normal)
{
    struct wr_carry_over c = {0};
    struct wr_error err;
    static const double mean[] = {-0.04772064, 0.14437005, 0.20279751}, sd[] = {0.12743812, 0.12440417, 0.14640821};

    ck_assert_int_eq(wr_carry_over_fit(&c, &history, &err), WR_OK);
    ck_assert_uint_eq(c.n_kind, 3);
    ck_assert_uint_eq(c.n_excursion, 3);
    for (size_t k = 0; k < 3; k++) {
        ck_assert_double_eq_tol(c.mean_log[k], mean[k], 5e-5);
        ck_assert_double_eq_tol(c.sd_log[k], sd[k], 1e-4);
    }
    ck_assert_double_eq_tol(c.common_mean_log, 0.09322172, 5e-5);
    ck_assert_double_eq_tol(c.common_sd_log, 0.29515757, 1e-4);
    wr_carry_over_release(&c);
}
END_TEST

/* Pooling: every kind's mean lies between its own and the common one, the kind seen once is moved most, and the spread
 * for a kind without history is the widest. */
START_TEST(kinds_are_pooled)
{
    struct wr_carry_over c = {0};
    struct wr_error err;
    double moved[3];

    ck_assert_int_eq(wr_carry_over_fit(&c, &history, &err), WR_OK);
    for (size_t k = 0; k < 3; k++) {
        moved[k] = (c.mean_log[k] - c.row_mean_log[k]) / (c.common_mean_log - c.row_mean_log[k]);
        ck_assert(moved[k] > 0 && moved[k] < 1);
        ck_assert(c.sd_log[k] < c.common_sd_log);
    }
    ck_assert(moved[2] > moved[0] && moved[2] > moved[1]);
    wr_carry_over_release(&c);
}
END_TEST

START_TEST(draws_have_the_stated_moments)
{
    enum { N = 20000 };
    struct wr_carry_over c = {0};
    struct wr_error err;
    double *a = WR_NEW_ARRAY(double, N), *b = WR_NEW_ARRAY(double, N);

    ck_assert_int_eq(wr_carry_over_fit(&c, &history, &err), WR_OK);
    for (size_t k = 0; k < 3; k++) {
        wr_carry_over_draw(&c, c.kind[k], 5, N, a);
        ck_assert_double_eq_tol(gsl_stats_mean(a, 1, N), c.mean_log[k], 4 * c.sd_log[k] / sqrt(N));
        ck_assert_double_eq_tol(gsl_stats_sd(a, 1, N), c.sd_log[k], 0.05 * c.sd_log[k]); /* heavy tails */
    }
    wr_carry_over_draw(&c, "", 5, N, a);
    wr_carry_over_draw(&c, "welding", 5, N, b);
    ck_assert_double_eq_tol(gsl_stats_mean(a, 1, N), c.common_mean_log, 4 * c.common_sd_log / sqrt(N));
    ck_assert_double_eq_tol(gsl_stats_sd(b, 1, N), c.common_sd_log, 0.05 * c.common_sd_log);
    /* two kinds without history share the common level, and only that */
    double r = gsl_stats_correlation(a, 1, b, 1, N);
    ck_assert_msg(r > 0.02 && r < 0.9, "correlation %g", r);
    wr_carry_over_draw(&c, "welding", 5, N, a);
    ck_assert(memcmp(a, b, N * sizeof *a) == 0);
    wr_free(a);
    wr_free(b);
    wr_carry_over_release(&c);
}
END_TEST

/* With many rows a kind speaks for itself: mean near its own, spread near its own sd. */
START_TEST(many_rows_need_no_pooling)
{
    enum { N = 400 };
    struct wr_history_row *row = WR_NEW_ARRAY(struct wr_history_row, N);
    double y[N];
    struct wr_carry_over c = {0};
    struct wr_error err;

    for (size_t i = 0; i < N; i++) {
        y[i] = 0.3 + 0.1 * sin(1.0 + 2.7 * (double)i);
        row[i] = (struct wr_history_row){"X1", "transit", 10, 10 * exp(y[i]), i + 2, false};
    }
    struct wr_history many = {.row = row, .n_row = N};
    ck_assert_int_eq(wr_carry_over_fit(&c, &many, &err), WR_OK);
    double mean = gsl_stats_mean(y, 1, N), sd = gsl_stats_sd(y, 1, N);
    ck_assert_double_eq_tol(c.mean_log[0], mean, 0.1 * sd / sqrt(N));
    ck_assert_double_eq_tol(c.sd_log[0], sd, 0.06 * sd);
    ck_assert_uint_eq(c.n_excursion, 1);
    wr_free(row);
    wr_carry_over_release(&c);
}
END_TEST

START_TEST(one_row_is_enough_and_none_is_not)
{
    struct wr_history one = {.row = worked, .n_row = 1}, none = {0};
    struct wr_carry_over c = {0};
    struct wr_error err = {0};

    ck_assert_int_eq(wr_carry_over_fit(&c, &one, &err), WR_OK);
    ck_assert(c.mean_log[0] > log(10.5 / 12) && c.mean_log[0] < 0 && c.sd_log[0] > 0.1);
    wr_carry_over_release(&c);
    ck_assert_int_eq(wr_carry_over_fit(&c, &none, &err), WR_E_TOO_FEW);
    struct wr_history_row bad = {"X1", "transit", 12, 0, 9, false};
    struct wr_history zero = {.row = &bad, .n_row = 1};
    ck_assert_int_eq(wr_carry_over_fit(&c, &zero, &err), WR_E_DOMAIN);
    ck_assert_ptr_nonnull(strstr(err.text, "line 9"));
}
END_TEST

Suite *suite_carry_over(void);
Suite *suite_carry_over(void)
{
    Suite *s = suite_create("carry_over");
    TCase *t = tcase_create("carry_over");

    tcase_add_test(t, agrees_with_the_joint_normal);
    tcase_add_test(t, kinds_are_pooled);
    tcase_add_test(t, draws_have_the_stated_moments);
    tcase_add_test(t, many_rows_need_no_pooling);
    tcase_add_test(t, one_row_is_enough_and_none_is_not);
    suite_add_tcase(s, t);
    return s;
}
