/* Groups of runs compared, against full enumeration done elsewhere and published tests: cases S-CMP-*, CMP-*; sources
 * in each file. */
#include <check.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include "refcase.h"
#include "wetrun/stats/grouping.h"
#include "wetrun/stats/summary.h"

enum { MOST = 40 };

static void compare_test(struct refcase *c, const char *head, const double *v, const struct wr_grouping *g)
{
    struct wr_permutation_options o = wr_permutation_default();
    struct wr_permutation p;
    struct wr_group_difference pooled, welch;

    ck_assert_int_eq(wr_permutation_test(v, g, &o, &p, NULL), WR_OK);
    ck_assert_int_eq(wr_group_difference(v, g, NULL, 0.95, &pooled, NULL), WR_OK);
    ck_assert_int_eq(wr_welch_difference(v, g, 0.95, &welch, NULL), WR_OK);
    ck_assert(p.exact);
    refcase_is(c, pooled.difference, "%sdifference", head);
    refcase_is(c, p.n_grouping, "%spermutations", head);
    refcase_is(c, p.n_two_sided, "%sp_two_sided.count", head);
    refcase_is(c, p.p_two_sided, "%sp_two_sided", head);
    refcase_is(c, p.p_greater, "%sp_greater", head);
    refcase_is(c, p.p_less, "%sp_less", head);
    refcase_is(c, pooled.interval.lo, "%spooled95.lo", head);
    refcase_is(c, pooled.interval.hi, "%spooled95.hi", head);
    refcase_is(c, welch.interval.lo, "%swelch95.lo", head);
    refcase_is(c, welch.interval.hi, "%swelch95.hi", head);
    refcase_is(c, welch.df, "%swelch.df", head);
    refcase_is(c, welch.p.value, "%swelch.p", head);
    if (*head) {
        refcase_is(c, exp(pooled.difference), "ratio_of_geometric_means");
        refcase_is(c, exp(welch.interval.lo), "ratio95.lo");
        refcase_is(c, exp(welch.interval.hi), "ratio95.hi");
    }

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
    refcase_put_aside(c, "wilcoxon.p", "rank test, not offered");
    refcase_put_aside(c, "hodges_lehmann", "the same");
    reftable_free(t);
    refcase_close(c);
}
END_TEST

START_TEST(pairs_of_plants)
{
    struct refcase *c = refcase_open("S-CMP-02");
    struct reftable *t = refcase_table(c, "file");
    struct wr_permutation_options o = wr_permutation_default();
    struct wr_permutation p;
    double *d = reftable_numbers(t, "diff");
    struct wr_summary s = wr_summarise(d, t->n_row);
    struct wr_interval i = wr_mean_interval(&s, 0.95);

    wr_sign_permutation(d, t->n_row, &o, &p);
    refcase_is(c, s.mean, "mean_difference");
    refcase_is(c, p.n_grouping, "sign_flips");
    refcase_is(c, p.n_two_sided, "p_two_sided.count");
    refcase_is(c, p.n_two_sided, "published.count");
    refcase_is(c, p.p_two_sided, "p_two_sided");
    refcase_is(c, s.mean / (s.sd.value / sqrt((double)s.n)), "t");
    refcase_is(c, wr_mean_zero_p(&s).value, "t.p");
    refcase_is(c, i.lo, "t95.lo");
    refcase_is(c, i.hi, "t95.hi");
    o.most_enumerated = 0;
    wr_sign_permutation(d, t->n_row, &o, &p);
    ck_assert(!p.exact);
    refcase_is(c, p.p_two_sided, "p_two_sided"); /* 0.01 is more than four standard errors of 20 000 */
    free(d);
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

Suite *suite_compare_cases(void);
Suite *suite_compare_cases(void)
{
    Suite *s = suite_create("compare_cases");
    TCase *t = tcase_create("published");

    tcase_add_loop_test(t, two_groups_of_values, 0, 2);
    tcase_add_test(t, pairs_of_plants);
    tcase_add_test(t, run_effects);
    tcase_add_test(t, tasks_on_the_same_groupings);
    suite_add_tcase(s, t);
    return s;
}
