/* Learning against published and independently computed values: case S-LRN-02; sources in its file. */
#include <check.h>
#include <math.h>
#include <stdlib.h>
#include "refcase.h"
#include "wetrun/stats/learning.h"

START_TEST(learning_line)
{
    struct refcase *c = refcase_open("S-LRN-02");
    struct reftable *t = refcase_table(c, "file");
    double *minutes = reftable_numbers(t, "minutes"), *order = reftable_numbers(t, "run");
    double log_minutes[100], log_order[100];
    struct wr_line line, per_run;

    ck_assert(t->n_row <= 100);
    for (size_t i = 0; i < t->n_row; i++) {
        log_minutes[i] = log(minutes[i]);
        log_order[i] = log(order[i]);
    }
    ck_assert_int_eq(wr_line_fit(log_order, log_minutes, t->n_row, &line, NULL), WR_OK);
    struct wr_interval slope = wr_line_slope_interval(&line, 0.95);
    refcase_is(c, line.slope, "slope_log");
    refcase_is(c, line.intercept, "intercept");
    refcase_is(c, line.residual_sd, "sigma");
    refcase_is(c, line.slope_se, "slope_se");
    refcase_is(c, slope.lo, "slope95.lo");
    refcase_is(c, slope.hi, "slope95.hi");
    refcase_is(c, wr_line_slope_p(&line).value, "p_value");
    refcase_is(c, wr_learning_rate(line.slope), "rate_per_doubling");
    refcase_put_aside(c, "next.", "the program forecasts from the model, not from a line");
    ck_assert_int_eq(wr_line_fit(order, log_minutes, t->n_row, &per_run, NULL), WR_OK);
    refcase_is(c, per_run.slope, "slope_per_run");
    free(minutes);
    free(order);
    reftable_free(t);
    refcase_close(c);
}
END_TEST

Suite *suite_learning_cases(void);
Suite *suite_learning_cases(void)
{
    Suite *s = suite_create("learning_cases");
    TCase *t = tcase_create("published");

    tcase_add_test(t, learning_line);
    suite_add_tcase(s, t);
    return s;
}
