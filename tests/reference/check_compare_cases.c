/* Groups of runs compared, and trends, against full enumeration done elsewhere, published tests and closed forms: cases
 * S-CMP-*, CMP-*, S-LRN-*; sources in each file. */
#include <check.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include "made_timing.h"
#include "refcase.h"
#include "wetrun/decide/compare.h"
#include "wetrun/stats/grouping.h"
#include "wetrun/stats/special.h"
#include "wetrun/stats/summary.h"

enum { MOST = 40 };

static void compare_test(struct refcase *c, const char *head, const double *v, const struct wr_grouping *g)
{
    struct wr_permutation_options o = wr_permutation_default();
    struct wr_permutation p;
    struct wr_group_difference pooled;

    ck_assert_int_eq(wr_permutation_test(v, g, &o, &p, NULL), WR_OK);
    ck_assert_int_eq(wr_group_difference(v, g, NULL, 0.95, &pooled, NULL), WR_OK);
    ck_assert(p.exact);
    refcase_is(c, pooled.difference, "%sdifference", head);
    refcase_is(c, p.n_grouping, "%spermutations", head);
    refcase_is(c, p.n_two_sided, "%sp_two_sided.count", head);
    refcase_is(c, p.p_two_sided, "%sp_two_sided", head);
    refcase_is(c, p.p_greater, "%sp_greater", head);
    refcase_is(c, p.p_less, "%sp_less", head);
    refcase_is(c, pooled.interval.lo, "%spooled95.lo", head);
    refcase_is(c, pooled.interval.hi, "%spooled95.hi", head);
    if (*head) refcase_is(c, exp(pooled.difference), "ratio_of_geometric_means");

    /* the same test by random groupings: the case allows 0.01, four standard errors of 40 000 at p = 0.5 */
    o.most_enumerated = 0;
    o.n_random = 40000;
    struct wr_permutation drawn;
    ck_assert_int_eq(wr_permutation_test(v, g, &o, &drawn, NULL), WR_OK);
    ck_assert(!drawn.exact && drawn.n_grouping == 40001);
    refcase_is(c, drawn.p_two_sided, "%sp_two_sided", head);
    refcase_is(c, drawn.p_greater, "%sp_greater", head);
}

static const struct {
    const char *id, *second; /* the case's difference is second minus the other */
} two_groups[] = {{"S-CMP-01", "treated"}, {"S-CMP-03", "early"}};

START_TEST(two_groups_of_values)
{
    struct refcase *c = refcase_open(two_groups[_i].id);
    struct reftable *t = refcase_table(c, "file");
    double v[MOST];
    unsigned char group[MOST];
    struct wr_grouping g = {t->n_row, group, NULL};

    ck_assert(t->n_row <= MOST);
    for (size_t i = 0; i < t->n_row; i++) {
        v[i] = reftable_number(t, i, "value");
        group[i] = !strcmp(reftable_text(t, i, "group"), two_groups[_i].second);
    }
    compare_test(c, "", v, &g);
    for (size_t i = 0; i < t->n_row; i++) v[i] = log(v[i]);
    compare_test(c, "log_", v, &g);
    refcase_put_aside(c, "welch", "one variance for both groups; Welch's test is not offered");
    refcase_put_aside(c, "log_welch", "the same");
    refcase_put_aside(c, "ratio95.", "the same");
    refcase_put_aside(c, "wilcoxon.p", "rank test, not offered");
    refcase_put_aside(c, "hodges_lehmann", "the same");
    reftable_free(t);
    refcase_close(c);
}
END_TEST

static size_t groups_of(const struct refcase *c, unsigned char *group)
{
    const json_t *list = refcase_input(c, "group");
    ck_assert(json_array_size(list) <= MOST);
    for (size_t i = 0; i < json_array_size(list); i++)
        group[i] = (unsigned char)json_integer_value(json_array_get(list, i));
    return json_array_size(list);
}

START_TEST(run_effects)
{
    struct refcase *c = refcase_open("CMP-01");
    unsigned char group[MOST];
    struct wr_grouping g = {groups_of(c, group), group, NULL};
    struct wr_permutation_options o = wr_permutation_default();
    struct wr_group_difference d;
    struct wr_permutation p;
    double v[MOST];

    for (size_t i = 0; i < g.n_run; i++) v[i] = json_number_value(json_array_get(refcase_input(c, "run_effects"), i));
    ck_assert_int_eq(wr_group_difference(v, &g, NULL, 0.9, &d, NULL), WR_OK);
    ck_assert_int_eq(wr_permutation_test(v, &g, &o, &p, NULL), WR_OK);
    refcase_is(c, exp(d.difference), "ratio");
    refcase_is(c, exp(d.interval.lo), "ratio90.lo");
    refcase_is(c, exp(d.interval.hi), "ratio90.hi");
    refcase_is(c, p.p_two_sided, "permutation_p");
    refcase_is(c, p.n_grouping, "groupings");
    refcase_is(c, p.smallest_p, "smallest_reachable_p");
    refcase_close(c);
}
END_TEST

START_TEST(tasks_on_the_same_groupings)
{
    struct refcase *c = refcase_open("CMP-03");
    const json_t *rows = refcase_input(c, "log_minutes");
    unsigned char group[MOST], present[MOST];
    struct wr_grouping g = {groups_of(c, group), group, NULL};
    struct wr_permutation_options o = wr_permutation_default();
    struct wr_task_comparison task[3];
    struct wr_permutation about;
    double y[MOST];

    ck_assert(json_array_size(rows) == 3 && 3 * g.n_run <= MOST);
    for (size_t i = 0; i < 3 * g.n_run; i++) {
        y[i] = json_number_value(json_array_get(json_array_get(rows, i / g.n_run), i % g.n_run));
        present[i] = 1;
    }
    ck_assert_int_eq(wr_permutation_tasks(y, present, 3, &g, &o, task, &about, NULL), WR_OK);
    for (int k = 0; k < 3; k++) {
        refcase_is(c, task[k].raw_p.value, "raw_p.%d", k + 1);
        refcase_is(c, task[k].holm_p.value, "holm_p.%d", k + 1);
        refcase_is(c, task[k].max_t_p.value, "max_t_p.%d", k + 1);
    }
    refcase_close(c);
}
END_TEST

/* ---- the same numbers through the whole comparison ---- */

/* Groups by a column of the log. */
static void compare_by_column(struct wr_comparison *c, const struct wr_timing *t, const unsigned char *group)
{
    static const char *const label[2] = {"0", "1"};
    const char *name = "group", *entry[MOST];
    struct wr_log_run run[MOST] = {{0}};
    struct wr_run_log log = {.run = run, .n_run = t->n_run, .attribute = &name, .n_attribute = 1};
    struct wr_error err;

    for (size_t r = 0; r < t->n_run; r++) {
        entry[r] = label[group[r]];
        run[r].attribute = &entry[r];
    }
    ck_assert_int_eq(wr_compare(c, &log, t, &(struct wr_compare_options){.by = WR_BY_ATTRIBUTE, .column = name}, &err),
                     WR_OK);
}

START_TEST(run_effects_through_the_comparison)
{
    struct refcase *c = refcase_open("CMP-01");
    unsigned char group[MOST];
    size_t n = groups_of(c, group);
    struct wr_timing t;
    struct wr_comparison comparison;

    made_timing_init(&t, 4, n, 1);
    for (size_t k = 0; k < 4; k++) /* the effects are those of the runs: every task takes them alike */
        for (size_t r = 0; r < n; r++)
            made_cell(&t, k, r)->active_min =
                (double)(k + 3) * exp(json_number_value(json_array_get(refcase_input(c, "run_effects"), r)));
    compare_by_column(&comparison, &t, group);
    const struct wr_group_comparison *g = &comparison.group[0];
    refcase_is(c, g->pace.ratio, "ratio");
    refcase_is(c, g->pace.lo, "ratio90.lo");
    refcase_is(c, g->pace.hi, "ratio90.hi");
    refcase_is(c, g->pace.permutation.p_two_sided, "permutation_p");
    refcase_is(c, g->pace.permutation.n_grouping, "groupings");
    refcase_is(c, g->pace.permutation.smallest_p, "smallest_reachable_p");
    ck_assert(g->pace.in_order && g->pace.has_detrended);
    wr_comparison_release(&comparison);
    made_timing_release(&t);
    refcase_close(c);
}
END_TEST

/* The runs are dealt out so that the groups do not follow each other in time: else each task's trend would be taken
 * out. */
START_TEST(tasks_through_the_comparison)
{
    static const size_t place[8] = {0, 2, 5, 7, 1, 3, 4, 6};
    struct refcase *c = refcase_open("CMP-03");
    unsigned char given[MOST], group[MOST];
    struct wr_timing t;
    struct wr_comparison comparison;

    ck_assert_uint_eq(groups_of(c, given), 8);
    made_timing_init(&t, 3, 8, 1);
    for (size_t r = 0; r < 8; r++) {
        group[place[r]] = given[r];
        for (size_t k = 0; k < 3; k++) {
            const json_t *row = json_array_get(refcase_input(c, "log_minutes"), k);
            made_cell(&t, k, place[r])->active_min = exp(json_number_value(json_array_get(row, r)));
        }
    }
    compare_by_column(&comparison, &t, group);
    ck_assert(!comparison.group[0].pace.in_order && comparison.group[0].has_tasks);
    for (int k = 0; k < 3; k++) {
        const struct wr_task_comparison *test = &comparison.group[0].task[k].test;
        refcase_is(c, test->raw_p.value, "raw_p.%d", k + 1);
        refcase_is(c, test->holm_p.value, "holm_p.%d", k + 1);
        refcase_is(c, test->max_t_p.value, "max_t_p.%d", k + 1);
    }
    wr_comparison_release(&comparison);
    made_timing_release(&t);
    refcase_close(c);
}
END_TEST

static struct wr_maybe cell_at(const json_t *rows, size_t k, size_t r)
{
    const json_t *cell = json_array_get(json_array_get(rows, k), r);
    return json_is_null(cell) ? WR_UNKNOWN : wr_known(json_number_value(cell));
}

START_TEST(lengths_through_the_comparison)
{
    struct refcase *c = refcase_open("CMP-04");
    const json_t *minutes = refcase_input(c, "minutes"), *stopped = refcase_input(c, "stopped_at");
    unsigned char group[MOST];
    size_t n = groups_of(c, group), n_task = json_array_size(minutes);
    struct wr_timing t;
    struct wr_comparison comparison;

    made_timing_init(&t, n_task, n, 1);
    for (size_t k = 0; k < n_task; k++)
        for (size_t r = 0; r < n; r++) {
            struct wr_maybe done = cell_at(minutes, k, r), least = cell_at(stopped, k, r);
            if (!done.known) made_cell_state(&t, k, r, least.known ? WR_CELL_STOPPED : WR_CELL_SKIPPED);
            made_cell(&t, k, r)->active_min = done.known ? done.value : least.known ? least.value : 0;
        }
    compare_by_column(&comparison, &t, group);
    for (size_t r = 0; r < n; r++) {
        const struct wr_compared_run *run = &comparison.run[r];
        refcase_is_maybe(c, run->length.known, run->length.value, "length_log.%zu", r + 1);
        refcase_is(c, run->length_seen.value, "length_seen.%zu", r + 1);
    }
    ck_assert_uint_eq(comparison.n_length_unseen, 1);
    refcase_is(c, comparison.length_trend.slope_log, "trend.slope_log");
    refcase_is(c, comparison.length_trend.lo, "trend.lo");
    refcase_is(c, comparison.length_trend.hi, "trend.hi");
    const struct wr_group_ratio *g = &comparison.group[0].length;
    ck_assert(g->reason == WR_COMPARE_DONE && g->has_detrended && !g->in_order);
    ck_assert_uint_eq(g->n_run[0] + g->n_run[1], n - 1);
    refcase_is(c, g->ratio, "ratio");
    refcase_is(c, g->lo, "ratio90.lo");
    refcase_is(c, g->hi, "ratio90.hi");
    refcase_is(c, g->detrended_ratio, "detrended.ratio");
    refcase_is(c, g->detrended_lo, "detrended90.lo");
    refcase_is(c, g->detrended_hi, "detrended90.hi");
    refcase_is(c, g->detrended_p.value, "detrended.p");
    refcase_is(c, g->permutation.p_two_sided, "permutation_p");
    refcase_is(c, g->permutation.n_grouping, "groupings");
    wr_comparison_release(&comparison);
    made_timing_release(&t);
    refcase_close(c);
}
END_TEST

static void trend_is(struct refcase *c, const struct wr_trend *trend)
{
    double df = (double)trend->n_run - 2, se = 0.5 * (trend->hi - trend->lo) / wr_t_quantile(0.95, df);

    ck_assert(trend->known);
    refcase_is(c, trend->slope_log, "slope_log");
    refcase_is(c, se, "slope_se");
    refcase_is(c, trend->slope_log - wr_t_quantile(0.975, df) * se, "slope95.lo");
    refcase_is(c, trend->slope_log + wr_t_quantile(0.975, df) * se, "slope95.hi");
}

START_TEST(trend_of_runs_through_the_comparison)
{
    struct refcase *c = refcase_open("S-LRN-03");
    struct reftable *table = refcase_table(c, "file");
    size_t run[MOST], task[MOST];
    struct wr_timing t;
    struct wr_comparison comparison;
    unsigned char group[MOST] = {0};

    ck_assert(table->n_row <= MOST);
    made_timing_init(&t, reftable_levels(table, "task", task), reftable_levels(table, "run", run), 1);
    for (size_t i = 0; i < table->n_row; i++) {
        made_cell(&t, task[i], run[i])->active_min = reftable_number(table, i, "minutes");
        t.run[run[i]].order = reftable_number(table, i, "run_no");
    }
    compare_by_column(&comparison, &t, group);
    trend_is(c, &comparison.trend);
    refcase_put_aside(c, "run_effect.sd_log", "variances: not what a comparison gives");
    refcase_put_aside(c, "residual.sd_log", "the same");
    refcase_put_aside(c, "run_effect_without_slope.sd_log", "the same");
    wr_comparison_release(&comparison);
    made_timing_release(&t);
    reftable_free(table);
    refcase_close(c);
}
END_TEST

START_TEST(trend_of_a_task_through_the_comparison)
{
    struct refcase *c = refcase_open("S-LRN-02");
    struct reftable *table = refcase_table(c, "file");
    struct wr_timing t;
    struct wr_comparison comparison;
    unsigned char group[MOST] = {0};

    made_timing_init(&t, 2, table->n_row, 1); /* the second task always takes its ten minutes */
    for (size_t i = 0; i < table->n_row; i++) {
        made_cell(&t, 0, i)->active_min = reftable_number(table, i, "minutes");
        t.run[i].order = reftable_number(table, i, "run");
    }
    compare_by_column(&comparison, &t, group);
    const struct wr_task_trend *trend = &comparison.task_trend[0];
    trend_is(c, &trend->line);
    refcase_is(c, trend->line.level_log, "intercept");
    refcase_is(c, trend->p.value, "p_value");
    refcase_is(c, 1 + trend->line.per_doubling, "rate_per_doubling");
    ck_assert(trend->told && trend->holm_p.value == 2 * trend->p.value && !comparison.task_trend[1].told);
    refcase_put_aside(c, "sigma", "the line itself: check_learning_cases.c");
    refcase_put_aside(c, "next.", "the same");
    refcase_put_aside(c, "slope_per_run", "the same");
    wr_comparison_release(&comparison);
    made_timing_release(&t);
    reftable_free(table);
    refcase_close(c);
}
END_TEST

Suite *suite_compare_cases(void);
Suite *suite_compare_cases(void)
{
    Suite *s = suite_create("compare_cases");
    TCase *t = tcase_create("published");

    tcase_add_loop_test(t, two_groups_of_values, 0, 2);
    tcase_add_test(t, run_effects);
    tcase_add_test(t, tasks_on_the_same_groupings);
    suite_add_tcase(s, t);
    t = tcase_create("through the whole comparison");
    tcase_add_test(t, run_effects_through_the_comparison);
    tcase_add_test(t, tasks_through_the_comparison);
    tcase_add_test(t, lengths_through_the_comparison);
    tcase_add_test(t, trend_of_runs_through_the_comparison);
    tcase_add_test(t, trend_of_a_task_through_the_comparison);
    suite_add_tcase(s, t);
    return s;
}
