/* Least squares and normal scores against values of another system on published data: cases S-REG; sources in each. */
#include <check.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include "refcase.h"
#include "wetrun/base/memory.h"
#include "wetrun/stats/regress.h"

Suite *suite_regress(void);

/* x[row * n + variable] of the named columns */
static double *columns_of(const struct reftable *t, const char *const *name, size_t n)
{
    double *x = WR_NEW_ARRAY(double, t->n_row * n);

    for (size_t v = 0; v < n; v++)
        for (size_t i = 0; i < t->n_row; i++) x[i * n + v] = reftable_number(t, i, name[v]);
    return x;
}

static enum wr_status fit(struct wr_regression *r, enum wr_degree degree, const double *x, const double *y,
                          size_t n_row, size_t n_variable, struct wr_error *err)
{
    struct wr_design d = {0};
    enum wr_status status = wr_design_make(&d, degree, x, n_row, n_variable, err);

    if (status == WR_OK) wr_regression_on(r, &d, y);
    wr_design_release(&d);
    return status;
}

START_TEST(six_variables_that_nearly_repeat_each_other)
{
    static const char *const name[] = {"gnp_deflator", "gnp", "unemployed", "armed_forces", "population", "year"};
    enum { N = sizeof name / sizeof *name };
    struct refcase *c = refcase_open("S-REG-01");
    struct reftable *t = refcase_table(c, "file");
    double *x = columns_of(t, name, N), *y = reftable_numbers(t, "employed"), at[N] = {0};
    struct wr_regression r = {0};

    ck_assert_int_eq(fit(&r, WR_FIRST_DEGREE, x, y, t->n_row, N, NULL), WR_OK);
    ck_assert_uint_eq(r.rank, N + 1);
    refcase_is(c, wr_regression_at(&r, at), "at_zero");
    for (size_t v = 0; v < N; v++) refcase_is(c, r.coefficient[v + 1] / r.scale[v], "slope.%s", name[v]);
    wr_regression_release(&r);
    wr_free(x);
    free(y);
    reftable_free(t);
    refcase_close(c);
}
END_TEST

START_TEST(second_degree_in_two_variables)
{
    static const char *const name[] = {"girth", "height"};
    static const int shown[] = {1, 10, 20, 31}, scored[] = {1, 7, 9, 28, 31};
    struct refcase *c = refcase_open("S-REG-02");
    struct reftable *t = refcase_table(c, "file");
    double *x = columns_of(t, name, 2), *y = reftable_numbers(t, "volume"), *girth = reftable_numbers(t, "girth"),
           score[31];
    struct wr_regression r = {0};

    for (size_t i = 0; i < t->n_row; i++) y[i] = log(y[i]);
    ck_assert_int_eq(fit(&r, WR_SECOND_DEGREE, x, y, t->n_row, 2, NULL), WR_OK);
    for (size_t i = 0; i < 4; i++)
        refcase_is(c, wr_regression_at(&r, x + 2 * (size_t)(shown[i] - 1)), "fitted.%d", shown[i]);
    refcase_is(c, wr_regression_at(&r, (double[2]){15, 70}), "at.15.70");
    wr_normal_scores(girth, t->n_row, 0.5, score);
    for (size_t i = 0; i < 5; i++) refcase_is(c, score[scored[i] - 1], "score.%d", scored[i]);
    wr_regression_release(&r);
    wr_free(x);
    free(y);
    free(girth);
    reftable_free(t);
    refcase_close(c);
}
END_TEST

/* y = 2 + 3 u - u v on a grid, with a third variable that repeats the first and a fourth that does not vary */
START_TEST(terms_that_say_nothing_new_do_no_harm)
{
    double x[25 * 4], y[25];
    struct wr_regression r = {0};
    struct wr_error err;

    for (int i = 0; i < 25; i++) {
        double u = i % 5, v = i / 5;
        double row[4] = {u, v, 10 - 2 * u, 7};
        for (int k = 0; k < 4; k++) x[i * 4 + k] = row[k];
        y[i] = 2 + 3 * u - u * v;
    }
    ck_assert_int_eq(fit(&r, WR_SECOND_DEGREE, x, y, 25, 4, &err), WR_OK);
    ck_assert_uint_eq(r.rank, 6); /* of two variables */
    for (int i = 0; i < 25; i++) ck_assert_double_eq_tol(wr_regression_at(&r, x + i * 4), y[i], 1e-10);
    ck_assert_double_eq_tol(wr_regression_at(&r, (double[4]){6, 5, -2, 7}), 2 + 18 - 30, 1e-9);
    wr_regression_release(&r);
    ck_assert_int_eq(fit(&r, WR_SECOND_DEGREE, x, y, 14, 4, &err), WR_E_TOO_FEW);
}
END_TEST

/* Two lines on the same five rows, whose least squares are by hand: of y = (1, 2, 4, 4, 4) slope 0.8, mean 3; of
 * (5, 1, 0, 1, 5), which is even about the middle, slope 0, mean 2.4 */
START_TEST(one_design_serves_several_y)
{
    const double x[5] = {-2, -1, 0, 1, 2}, rising[5] = {1, 2, 4, 4, 4}, even[5] = {5, 1, 0, 1, 5};
    struct wr_design d = {0};
    struct wr_regression r = {0};

    ck_assert_int_eq(wr_design_make(&d, WR_FIRST_DEGREE, x, 5, 1, NULL), WR_OK);
    for (int round = 0; round < 2; round++) { /* nothing of one y stays behind for the next */
        wr_regression_on(&r, &d, rising);
        ck_assert_double_eq_tol(wr_regression_at(&r, (double[1]){10}), 11, 1e-12);
        wr_regression_release(&r);
        wr_regression_on(&r, &d, even);
        ck_assert_double_eq_tol(wr_regression_at(&r, (double[1]){10}), 2.4, 1e-12);
        wr_regression_release(&r);
    }
    wr_design_release(&d);
}
END_TEST

Suite *suite_regress(void)
{
    Suite *s = suite_create("regress");
    TCase *t = tcase_create("regress");

    tcase_add_test(t, six_variables_that_nearly_repeat_each_other);
    tcase_add_test(t, second_degree_in_two_variables);
    tcase_add_test(t, terms_that_say_nothing_new_do_no_harm);
    tcase_add_test(t, one_design_serves_several_y);
    suite_add_tcase(s, t);
    return s;
}
