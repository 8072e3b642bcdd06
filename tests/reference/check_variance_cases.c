/* Variance components, run effect and learning against published and independently computed values: cases S-VAR-*,
 * S-LRN-*; sources in each file. */
#include <check.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include "refcase.h"
#include "wetrun/stats/learning.h"
#include "wetrun/stats/variance_components.h"

static const struct layout {
    const char *id, *response, *fixed, *factor[2];
    bool logged, profiled;
} layouts[] = {
    {"S-VAR-01", "y", NULL, {"group", NULL}, false, true},
    {"S-VAR-02", "y", NULL, {"group", NULL}, false, false},
    {"S-VAR-03", "y", NULL, {"plate", "sample"}, false, true},
    {"S-VAR-04", "y", "sample", {"plate", NULL}, false, true},
    {"S-VAR-05", "minutes", "task", {"run", NULL}, true, true},
};

/* An intercept and, with a fixed column, one indicator for each level but the first, in alphabetical order in these
 * data. */
static size_t design(const struct reftable *t, const char *fixed, double *x, const char **name)
{
    size_t *level = calloc(t->n_row, sizeof *level), n = fixed ? reftable_levels(t, fixed, level) : 1;

    for (size_t i = 0; i < t->n_row; i++) {
        x[i * n] = 1;
        for (size_t k = 1; k < n; k++) x[i * n + k] = level[i] == k;
        if (level[i]) name[level[i]] = reftable_text(t, i, fixed);
    }
    free(level);
    return n;
}

static void compare_sd_interval(struct refcase *c, const struct wr_mixed_data *data, size_t which, const char *name)
{
    struct wr_interval i;
    struct wr_error err;

    ck_assert_msg(wr_mixed_sd_interval(data, which, 0.95, &i, &err) == WR_OK, "%s", err.text);
    refcase_is(c, i.lo, "profile95.%s.lo", name);
    refcase_is(c, i.hi, "profile95.%s.hi", name);
}

static void compare_fit(struct refcase *c, const struct layout *l, const struct wr_mixed_data *data,
                        const char **column)
{
    struct wr_mixed_fit fit = {0};
    struct wr_error err;
    char name[80];

    ck_assert_msg(wr_mixed_fit(&fit, data, &err) == WR_OK, "%s", err.text);
    for (size_t f = 0; f < data->n_factor; f++) {
        refcase_is(c, fit.sd_factor[f] * fit.sd_factor[f], "var.%s", l->factor[f]);
        refcase_is(c, fit.sd_factor[f], "sd.%s", l->factor[f]);
    }
    refcase_is(c, fit.sd_residual * fit.sd_residual, "var.residual");
    refcase_is(c, fit.sd_residual, "sd.residual");
    refcase_is(c, fit.criterion, "reml_criterion");
    refcase_is(c, fit.fixed[0], "fixed.(Intercept)");
    refcase_is(c, fit.fixed_se[0], "se.(Intercept)");
    if (refcase_has(c, "published.intercept")) refcase_is(c, fit.fixed[0], "published.intercept");
    for (size_t k = 1; k < data->n_fixed; k++) {
        refcase_is(c, fit.fixed[k], "fixed.%s%s", l->fixed, column[k]);
        refcase_is(c, fit.fixed_se[k], "se.%s%s", l->fixed, column[k]);
    }
    wr_mixed_fit_release(&fit);
    for (size_t f = 0; f < data->n_factor && l->profiled; f++) {
        snprintf(name, sizeof name, "sd.%s", l->factor[f]);
        compare_sd_interval(c, data, f, name);
    }
    if (l->profiled) compare_sd_interval(c, data, data->n_factor, "sigma");
}

/* Dyestuff2 has no stored interval because its source stops at the boundary; an honest one starts at 0. */
static void check_interval_from_zero(const struct wr_mixed_data *data)
{
    struct wr_interval i;

    ck_assert_int_eq(wr_mixed_sd_interval(data, 0, 0.95, &i, NULL), WR_OK);
    ck_assert(i.known && i.lo == 0);
    ck_assert_double_gt(i.hi, 0.5);
}

START_TEST(components)
{
    const struct layout *l = &layouts[_i];
    struct refcase *c = refcase_open(l->id);
    struct reftable *t = refcase_table(c, "file");
    double *y = reftable_numbers(t, l->response), *x = calloc(t->n_row * 10, sizeof *x);
    const char *column[10];
    size_t *level[2] = {calloc(t->n_row, sizeof *level[0]), calloc(t->n_row, sizeof *level[1])};
    struct wr_mixed_data data = {.n = t->n_row, .n_fixed = design(t, l->fixed, x, column), .y = y, .x = x};

    for (size_t i = 0; i < t->n_row && l->logged; i++) y[i] = log(y[i]);
    for (size_t f = 0; f < 2 && l->factor[f]; f++) {
        data.n_level[f] = reftable_levels(t, l->factor[f], level[f]);
        data.level[f] = level[f];
        data.n_factor++;
    }
    compare_fit(c, l, &data, column);
    if (_i <= 1) {
        refcase_put_aside(c, "anova.", "analysis of variance of a balanced layout: rehearsals are not balanced");
        refcase_put_aside(c, "ratio95.", "the same");
        refcase_put_aside(c, "moment_estimate", "the same");
    }
    if (_i == 1) check_interval_from_zero(&data);
    if (_i == 0) refcase_put_aside(c, "published.ml.", "maximum-likelihood estimate, for contrast");
    free(y);
    free(x);
    free(level[0]);
    free(level[1]);
    reftable_free(t);
    refcase_close(c);
}
END_TEST

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

START_TEST(slope_beside_run_effect)
{
    enum { TASKS = 5, RUNS = 7 };
    struct refcase *c = refcase_open("S-LRN-03");
    struct reftable *t = refcase_table(c, "file");
    double y[TASKS * RUNS] = {0}, trend[RUNS];
    unsigned char present[TASKS * RUNS] = {0};
    size_t task[TASKS * RUNS];
    struct wr_run_effect with, without;

    ck_assert_uint_eq(t->n_row, TASKS * RUNS);
    ck_assert_uint_eq(reftable_levels(t, "task", task), TASKS);
    for (size_t i = 0; i < t->n_row; i++) {
        double order = reftable_number(t, i, "run_no");
        size_t run = (size_t)order - 1, cell = task[i] * RUNS + run;
        trend[run] = log(order);
        y[cell] = log(reftable_number(t, i, "minutes"));
        present[cell] = 1;
    }
    ck_assert_int_eq(wr_run_effect_fit(y, present, TASKS, RUNS, trend, 0.95, &with, NULL), WR_OK);
    ck_assert_int_eq(wr_run_effect_fit(y, present, TASKS, RUNS, NULL, 0.95, &without, NULL), WR_OK);
    refcase_is(c, with.slope_log, "slope_log");
    refcase_is(c, with.slope_se, "slope_se");
    refcase_is(c, with.slope_interval.lo, "slope95.lo");
    refcase_is(c, with.slope_interval.hi, "slope95.hi");
    refcase_is(c, with.sd_log, "run_effect.sd_log");
    refcase_is(c, with.residual_sd_log, "residual.sd_log");
    refcase_is(c, without.sd_log, "run_effect_without_slope.sd_log");
    ck_assert(!without.slope_interval.known && with.sd_interval.known);
    reftable_free(t);
    refcase_close(c);
}
END_TEST

Suite *suite_variance_cases(void);
Suite *suite_variance_cases(void)
{
    Suite *s = suite_create("variance_cases");
    TCase *t = tcase_create("published");

    tcase_set_timeout(t, 60);
    tcase_add_loop_test(t, components, 0, sizeof layouts / sizeof *layouts);
    tcase_add_test(t, learning_line);
    tcase_add_test(t, eighty_percent_curve);
    tcase_add_test(t, slope_beside_run_effect);
    suite_add_tcase(s, t);
    return s;
}
