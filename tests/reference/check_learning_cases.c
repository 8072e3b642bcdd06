/* Learning against published and independently computed values: cases S-LRN-*; sources in each file. */
#include <check.h>
#include <math.h>
#include <stdlib.h>
#include "refcase.h"
#include "wetrun/stats/learning.h"

START_TEST(learning_line)
{
    struct refcase *c = refcase_open("S-LRN-02");
    struct reftable *t = refcase_table(c, "file");
    double *minutes = reftable_numbers(t, "minutes"), *order = reftable_numbers(t, "run"), log_minutes[100];
    struct wr_line line, per_run;

    ck_assert_int_eq(wr_learning_fit(minutes, order, t->n_row, &line, NULL), WR_OK);
    struct wr_interval slope = wr_line_slope_interval(&line, 0.95), next = wr_learning_next_interval_min(&line, 9, 0.9);
    refcase_is(c, line.slope, "slope_log");
    refcase_is(c, line.intercept, "intercept");
    refcase_is(c, line.residual_sd, "sigma");
    refcase_is(c, line.slope_se, "slope_se");
    refcase_is(c, slope.lo, "slope95.lo");
    refcase_is(c, slope.hi, "slope95.hi");
    refcase_is(c, wr_line_slope_p(&line).value, "p_value");
    refcase_is(c, wr_learning_rate(line.slope), "rate_per_doubling");
    refcase_is(c, wr_learning_median_min(&line, 9), "next.median");
    refcase_is(c, next.lo, "next.pred90.lo");
    refcase_is(c, next.hi, "next.pred90.hi");
    ck_assert(t->n_row <= 100);
    for (size_t i = 0; i < t->n_row; i++) log_minutes[i] = log(minutes[i]);
    ck_assert_int_eq(wr_line_fit(order, log_minutes, t->n_row, &per_run, NULL), WR_OK);
    refcase_is(c, per_run.slope, "slope_per_run");
    free(minutes);
    free(order);
    reftable_free(t);
    refcase_close(c);
}
END_TEST

START_TEST(eighty_percent_curve)
{
    struct refcase *c = refcase_open("S-LRN-01");
    double first = refcase_input_number(c, "first"), slope = wr_learning_slope(refcase_input_number(c, "rate"));
    const json_t *units = refcase_input(c, "units");
    struct wr_line line = {.intercept = log(first), .slope = slope};

    refcase_is(c, slope, "exponent");
    ck_assert_double_eq_tol(wr_learning_rate(slope), refcase_input_number(c, "rate"), 1e-15);
    for (size_t i = 0; i < json_array_size(units); i++) {
        double unit = json_number_value(json_array_get(units, i)), total = 0;
        for (int k = 1; k <= (int)unit; k++) total += wr_learning_median_min(&line, k);
        refcase_is(c, wr_learning_median_min(&line, unit), "unit_theory.%g", unit);
        refcase_is(c, total, "unit_theory.total.%g", unit);
    }
    refcase_put_aside(c, "cumulative_average.", "the program reads the curve by units, not by cumulative averages");
    refcase_put_aside(c, "total.", "the same");
    refcase_put_aside(c, "unit_in_cumulative_average_theory.", "the same");
    refcase_close(c);
}
END_TEST

Suite *suite_learning_cases(void);
Suite *suite_learning_cases(void)
{
    Suite *s = suite_create("learning_cases");
    TCase *t = tcase_create("published");

    tcase_add_test(t, learning_line);
    tcase_add_test(t, eighty_percent_curve);
    suite_add_tcase(s, t);
    return s;
}
