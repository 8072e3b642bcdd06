/* Lines that there is no judging by. Lines with published values: tests/reference/check_learning_cases.c. */
#include <check.h>
#include <math.h>
#include <string.h>
#include "wetrun/stats/learning.h"

START_TEST(lines_refuse)
{
    const double x[3] = {1, 2, 3}, same[3] = {2, 2, 2}, y[3] = {5, 4, 3}, bad[3] = {5, NAN, 3};
    struct wr_line line;
    struct wr_error err;

    ck_assert_int_eq(wr_line_fit(x, y, 2, &line, &err), WR_E_TOO_FEW);
    ck_assert_int_eq(wr_line_fit(same, y, 3, &line, &err), WR_E_TOO_FEW);
    ck_assert_int_eq(wr_line_fit(x, bad, 3, &line, &err), WR_E_DOMAIN);
    ck_assert_ptr_nonnull(strstr(err.text, "point 2"));
    ck_assert_int_eq(wr_line_fit(x, y, 3, &line, &err), WR_OK); /* points on a line: no residual, no p */
    ck_assert(!wr_line_slope_p(&line).known);
    ck_assert_double_eq_tol(line.slope, -1, 1e-15);
}
END_TEST

Suite *suite_learning(void);
Suite *suite_learning(void)
{
    Suite *s = suite_create("learning");
    TCase *t = tcase_create("learning");

    tcase_add_test(t, lines_refuse);
    suite_add_tcase(s, t);
    return s;
}
