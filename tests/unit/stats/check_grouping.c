/* Groupings against slow twins: permutations by listing every subset of runs, effects by solving the full table. Worked
 * cases: tests/reference/check_compare_cases.c. */
#include <check.h>
#include <gsl/gsl_multifit.h>
#include <gsl/gsl_randist.h>
#include <math.h>
#include <string.h>
#include "wetrun/stats/grouping.h"

enum { RUNS = 8, TASKS = 5 };

static gsl_rng *seeded(unsigned long seed)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    gsl_rng_set(rng, seed);
    return rng;
}

/* A table with holes in which every run keeps the last task, so that all are connected. */
static void random_table_of(gsl_rng *rng, size_t n_task, size_t n_run, double *y, unsigned char *present)
{
    for (size_t i = 0; i < n_task * n_run; i++) {
        y[i] = gsl_ran_gaussian(rng, 0.3) + (double)(i / n_run);
        present[i] = i / n_run == n_task - 1 || gsl_rng_uniform(rng) < 0.7;
    }
}

static void random_table(gsl_rng *rng, double *y, unsigned char *present)
{
    random_table_of(rng, TASKS, RUNS, y, present);
}

/* By singular values of the whole table: one indicator per task, and per run but the last; absent cells weigh 0. */
static void expect_least_squares(const double *y, const unsigned char *present, size_t n_task, size_t n_run,
                                 const double *task, const double *run)
{
    size_t n_cell = n_task * n_run, n_effect = n_task + n_run - 1;
    gsl_matrix *x = gsl_matrix_calloc(n_cell, n_effect), *covariance = gsl_matrix_alloc(n_effect, n_effect);
    gsl_vector *b = gsl_vector_alloc(n_effect), *weight = gsl_vector_alloc(n_cell);
    gsl_vector_const_view values = gsl_vector_const_view_array(y, n_cell);
    gsl_multifit_linear_workspace *w = gsl_multifit_linear_alloc(n_cell, n_effect);
    double mean = 0, chi;

    for (size_t i = 0; i < n_cell; i++) {
        gsl_matrix_set(x, i, i / n_run, 1);
        if (i % n_run < n_run - 1) gsl_matrix_set(x, i, n_task + i % n_run, 1);
        gsl_vector_set(weight, i, present[i]);
    }
    ck_assert_int_eq(gsl_multifit_wlinear(x, weight, &values.vector, b, covariance, &chi, w), 0);
    for (size_t r = 0; r < n_run - 1; r++) mean += gsl_vector_get(b, n_task + r) / (double)n_run;
    for (size_t r = 0; r < n_run; r++)
        ck_assert_double_eq_tol(run[r], (r < n_run - 1 ? gsl_vector_get(b, n_task + r) : 0) - mean, 1e-10);
    for (size_t k = 0; k < n_task; k++) {
        bool seen = memchr(present + k * n_run, 1, n_run) != NULL;
        ck_assert_double_eq_tol(task[k], seen ? gsl_vector_get(b, k) + mean : 0, 1e-10);
    }
    gsl_multifit_linear_free(w);
    gsl_matrix_free(x);
    gsl_matrix_free(covariance);
    gsl_vector_free(b);
    gsl_vector_free(weight);
}

/* The smaller factor is solved for: tables of both kinds, some with a task that was never done. */
START_TEST(two_way_is_least_squares)
{
    static const size_t shape[][2] = {{5, 8}, {8, 5}, {6, 6}, {2, 20}, {1, 4}, {9, 1}};
    gsl_rng *rng = seeded(3);
    double y[40], run[20], task[20];
    unsigned char present[40];

    for (size_t s = 0; s < sizeof shape / sizeof shape[0]; s++)
        for (int round = 0; round < 20; round++) {
            size_t n_task = shape[s][0], n_run = shape[s][1];
            random_table_of(rng, n_task, n_run, y, present);
            if (n_task > 1 && round % 4 == 0) memset(present, 0, n_run);
            ck_assert_int_eq(wr_two_way_fit(y, present, n_task, n_run, task, run, NULL), WR_OK);
            expect_least_squares(y, present, n_task, n_run, task, run);
        }
    gsl_rng_free(rng);
}
END_TEST

START_TEST(two_way_refuses)
{
    double y[4] = {1, 2, 3, 4}, run[2];
    const unsigned char apart[4] = {1, 0, 0, 1}, empty[4] = {1, 0, 1, 0}, full[4] = {1, 1, 1, 1};
    struct wr_error err;

    ck_assert_int_eq(wr_two_way_fit(y, apart, 2, 2, NULL, run, &err), WR_E_TOO_FEW);
    ck_assert_ptr_nonnull(strstr(err.text, "run 2 shares no tasks"));
    ck_assert_int_eq(wr_two_way_fit(y, empty, 2, 2, NULL, run, &err), WR_E_TOO_FEW);
    ck_assert_ptr_nonnull(strstr(err.text, "run 2 has no task"));
    y[2] = NAN;
    ck_assert_int_eq(wr_two_way_fit(y, full, 2, 2, NULL, run, &err), WR_E_DOMAIN);
    ck_assert_ptr_nonnull(strstr(err.text, "task 2, run 1"));
}
END_TEST

/* Difference of means within strata by definition: each stratum's difference weighted by n0 n1 / (n0 + n1). */
static bool stratified_difference(const double *v, const unsigned char *use, const unsigned char *group,
                                  const size_t *stratum, double *difference)
{
    double sum = 0, weight = 0;

    for (size_t s = 0; s < RUNS; s++) {
        double mean[2] = {0, 0}, n[2] = {0, 0};
        for (size_t r = 0; r < RUNS; r++) {
            if (stratum[r] != s || !use[r]) continue;
            mean[group[r]] += v[r];
            n[group[r]]++;
        }
        if (n[0] == 0 || n[1] == 0) continue;
        double w = n[0] * n[1] / (n[0] + n[1]);
        sum += w * (mean[1] / n[1] - mean[0] / n[0]);
        weight += w;
    }
    *difference = weight > 0 ? sum / weight : 0;
    return weight > 0;
}

/* All subsets of runs that keep the numbers of each group in each stratum. */
static bool admissible(unsigned subset, const unsigned char *group, const size_t *stratum, unsigned char *moved)
{
    int count[RUNS] = {0};
    for (size_t r = 0; r < RUNS; r++) {
        moved[r] = subset >> r & 1;
        count[stratum[r]] += moved[r] - group[r];
    }
    for (size_t s = 0; s < RUNS; s++)
        if (count[s]) return false;
    return true;
}

static const unsigned char everyone[RUNS] = {1, 1, 1, 1, 1, 1, 1, 1};
static const size_t one_stratum[RUNS] = {0}, two_strata[RUNS] = {0, 0, 0, 1, 1, 1, 1, 1},
                    pairs[RUNS] = {3, 3, 5, 5, 0, 0, 1, 1};
static const unsigned char half[RUNS] = {1, 0, 1, 0, 1, 0, 1, 0}, few[RUNS] = {0, 1, 1, 0, 0, 1, 0, 0};

static const struct {
    const unsigned char *group;
    const size_t *stratum;
    double least; /* smallest reachable p, counted by hand */
} designs[] = {
    {half, one_stratum, 2.0 / 70}, {few, one_stratum, 1.0 / 56}, {half, two_strata, 1.0 / 30},
    {few, two_strata, 1.0 / 15},   {half, pairs, 2.0 / 16},
};
enum { DESIGNS = sizeof designs / sizeof *designs };

START_TEST(permutation_lists_every_grouping)
{
    const unsigned char *group = designs[_i].group;
    const size_t *stratum = designs[_i].stratum;
    struct wr_grouping g = {RUNS, group, stratum};
    struct wr_permutation_options o = wr_permutation_default();
    struct wr_permutation p;
    gsl_rng *rng = seeded(5 + (unsigned long)_i);

    for (int round = 0; round < 10; round++) {
        double v[RUNS], observed, d, n = 0, two = 0, up = 0, down = 0;
        unsigned char moved[RUNS];
        for (size_t r = 0; r < RUNS; r++)
            v[r] = 0.1 * (double)gsl_rng_uniform_int(rng, 7); /* ties, and 0.1 is no double */
        ck_assert(stratified_difference(v, everyone, group, stratum, &observed));
        for (unsigned subset = 0; subset < 1u << RUNS; subset++) {
            if (!admissible(subset, group, stratum, moved)) continue;
            stratified_difference(v, everyone, moved, stratum, &d);
            n++;
            two += fabs(d) >= fabs(observed) - 1e-9;
            up += d >= observed - 1e-9;
            down += d <= observed + 1e-9;
        }
        ck_assert_int_eq(wr_permutation_test(v, &g, &o, &p, NULL), WR_OK);
        ck_assert(p.exact && p.n_grouping == n && p.n_two_sided == two && p.n_greater == up && p.n_less == down);
        ck_assert_double_eq_tol(p.p_two_sided, two / n, 1e-15);
        ck_assert_double_eq_tol(p.smallest_p, designs[_i].least, 1e-15);
        ck_assert_double_ge(p.p_two_sided, p.smallest_p - 1e-15);
        struct wr_group_difference t;
        if (wr_group_difference(v, &g, NULL, 0.9, &t, NULL) == WR_OK)
            ck_assert_double_eq_tol(t.difference, observed, 1e-12);
    }
    gsl_rng_free(rng);
}
END_TEST

static double pooled_t(const double *y, const unsigned char *use, const unsigned char *group)
{
    double mean[2] = {0, 0}, n[2] = {0, 0}, square = 0;

    for (size_t r = 0; r < RUNS; r++) {
        if (!use[r]) continue;
        mean[group[r]] += y[r];
        n[group[r]]++;
    }
    if (n[0] == 0 || n[1] == 0) return 0;
    mean[0] /= n[0];
    mean[1] /= n[1];
    for (size_t r = 0; r < RUNS; r++)
        if (use[r]) square += pow(y[r] - mean[group[r]], 2);
    return (mean[1] - mean[0]) / sqrt(square / (n[0] + n[1] - 2) * (1 / n[0] + 1 / n[1]));
}

/* t of the group beside a trend, from the regression over the runs in which the task is present. */
static double t_beside_trend(const double *y, const unsigned char *present, const unsigned char *group, const double *x)
{
    double v[RUNS], trend[RUNS];
    unsigned char side[RUNS];
    struct wr_grouping g = {0, side, NULL};
    struct wr_group_difference d;

    for (size_t r = 0; r < RUNS; r++) {
        if (!present[r]) continue;
        v[g.n_run] = y[r];
        trend[g.n_run] = x[r];
        side[g.n_run++] = group[r];
    }
    return wr_group_difference(v, &g, trend, 0.9, &d, NULL) == WR_OK ? d.difference / d.se : 0;
}

static double t_of(const double *y, const unsigned char *present, const unsigned char *group, const double *trend)
{
    return trend ? t_beside_trend(y, present, group, trend) : pooled_t(y, present, group);
}

START_TEST(tasks_with_holes) /* _i: 0 alone, 1 beside a trend */
{
    const double log_order[RUNS] = {0, log(2), log(3), log(4), log(5), log(6), log(7), log(8)},
                 *x = _i ? log_order : NULL;
    struct wr_grouping g = {RUNS, half, NULL};
    struct wr_permutation_options o = wr_permutation_default();
    gsl_rng *rng = seeded(9);

    o.trend = x;
    for (int round = 0; round < 10; round++) {
        double y[TASKS * RUNS], observed[TASKS], raw[TASKS] = {0}, most[TASKS] = {0}, n = 0;
        unsigned char present[TASKS * RUNS], moved[RUNS];
        struct wr_task_comparison task[TASKS];
        struct wr_permutation about;
        random_table(rng, y, present);
        for (size_t r = 0; r < RUNS; r++) present[r] = r < 2; /* task 0: too few to compare */
        ck_assert_int_eq(wr_permutation_tasks(y, present, TASKS, &g, &o, task, &about, NULL), WR_OK);
        for (size_t k = 0; k < TASKS; k++) observed[k] = fabs(t_of(y + k * RUNS, present + k * RUNS, half, x));
        for (unsigned subset = 0; subset < 1u << RUNS; subset++) {
            double largest = 0, t[TASKS];
            if (!admissible(subset, half, one_stratum, moved)) continue;
            n++;
            for (size_t k = 1; k < TASKS; k++) {
                t[k] = task[k].t.known ? fabs(t_of(y + k * RUNS, present + k * RUNS, moved, x)) : 0;
                largest = fmax(largest, t[k]);
            }
            for (size_t k = 1; k < TASKS; k++) {
                raw[k] += t[k] >= observed[k] - 1e-9;
                most[k] += largest >= observed[k] - 1e-9;
            }
        }
        ck_assert(!task[0].t.known && !task[0].raw_p.known && !task[0].max_t_p.known && !task[0].holm_p.known);
        ck_assert(task[0].n_cell[0] == 1 && task[0].n_cell[1] == 1);
        for (size_t k = 1; k < TASKS; k++) {
            if (!task[k].t.known) continue;
            ck_assert_double_eq_tol(fabs(task[k].t.value), observed[k], 1e-9);
            ck_assert_double_eq_tol(task[k].raw_p.value, raw[k] / n, 1e-14);
            ck_assert_double_eq_tol(task[k].max_t_p.value, most[k] / n, 1e-14);
            ck_assert(task[k].max_t_p.value >= task[k].raw_p.value && task[k].holm_p.value >= task[k].raw_p.value);
        }
        ck_assert(task[TASKS - 1].t.known);
    }
    gsl_rng_free(rng);
}
END_TEST

START_TEST(constant_and_separated_tasks)
{
    /* equal times tell nothing; a task that separates the groups without spread is as far out as can be */
    double y[3 * RUNS];
    unsigned char present[3 * RUNS];
    struct wr_grouping g = {RUNS, half, NULL};
    struct wr_permutation_options o = wr_permutation_default();
    struct wr_task_comparison task[3];
    struct wr_permutation about;

    memset(present, 1, sizeof present);
    for (size_t r = 0; r < RUNS; r++) {
        y[r] = 2.5;
        y[RUNS + r] = half[r] ? 3 : 2;
        y[2 * RUNS + r] = 0.1 * (double)r;
    }
    ck_assert_int_eq(wr_permutation_tasks(y, present, 3, &g, &o, task, &about, NULL), WR_OK);
    ck_assert(!task[0].t.known && task[1].t.known && isfinite(task[1].t.value));
    ck_assert_double_eq_tol(task[1].raw_p.value, about.smallest_p, 1e-15);
    ck_assert_double_eq_tol(task[1].difference.value, 1, 1e-12);
    ck_assert_int_eq(wr_permutation_tasks(y, present, 1, &g, &o, task, &about, NULL), WR_E_TOO_FEW);
}
END_TEST

/* With a trend: the coefficient, its error and p as in any regression.
 * R 4.2.2: summary(lm(v ~ g + log(1:8))), confint(., level = 0.9) */
START_TEST(difference_beside_a_trend)
{
    const double v[RUNS] = {0.31, 0.22, 0.25, 0.11, 0.14, 0.02, 0.05, -0.04};
    const unsigned char late[RUNS] = {0, 0, 0, 0, 1, 1, 1, 1};
    double x[RUNS];
    struct wr_grouping g = {RUNS, late, NULL};
    struct wr_group_difference plain, with;

    for (size_t r = 0; r < RUNS; r++) x[r] = log((double)r + 1);
    ck_assert_int_eq(wr_group_difference(v, &g, NULL, 0.9, &plain, NULL), WR_OK);
    ck_assert_int_eq(wr_group_difference(v, &g, x, 0.9, &with, NULL), WR_OK);
    ck_assert(plain.df == 6 && with.df == 5);
    ck_assert_double_eq_tol(with.difference, -0.032328452600514, 1e-9);
    ck_assert_double_eq_tol(with.se, 0.064755441124109, 1e-9);
    ck_assert_double_eq_tol(with.p.value, 0.63879796139079437, 1e-9);
    ck_assert_double_eq_tol(with.interval.lo, -0.16281379890211, 1e-9);
    ck_assert_double_eq_tol(with.interval.hi, 0.098156893701084, 1e-9);
}
END_TEST

START_TEST(difference_refuses)
{
    const double v[3] = {1, 2, 4}, x[3] = {0, 0, 1};
    const unsigned char same[3] = {1, 1, 1}, split[3] = {0, 0, 1};
    const size_t apart[3] = {0, 0, 1};
    struct wr_grouping none = {3, same, NULL}, two = {2, split + 1, NULL}, strata = {3, split, apart},
                       three = {3, split, NULL};
    struct wr_group_difference d = {.difference = 7};
    struct wr_permutation_options o = wr_permutation_default();
    struct wr_permutation p;
    struct wr_error err;

    ck_assert_int_eq(wr_group_difference(v, &none, NULL, 0.9, &d, &err), WR_E_TOO_FEW);
    ck_assert_int_eq(wr_permutation_test(v, &none, &o, &p, &err), WR_E_TOO_FEW);
    ck_assert_int_eq(wr_permutation_test(v, &strata, &o, &p, &err), WR_E_TOO_FEW);
    ck_assert_ptr_nonnull(strstr(err.text, "stratum"));
    ck_assert_int_eq(wr_group_difference(v, &two, NULL, 0.9, &d, &err), WR_E_TOO_FEW);
    ck_assert_int_eq(wr_group_difference(v, &three, x, 0.9, &d, &err), WR_E_TOO_FEW); /* df 0 */
    ck_assert(d.difference == 7);
    const double four[4] = {1, 2, 4, 3}, step[4] = {0, 0, 1, 1};
    const unsigned char both[4] = {0, 0, 1, 1};
    struct wr_grouping confounded = {4, both, NULL};
    ck_assert_int_eq(wr_group_difference(four, &confounded, step, 0.9, &d, &err), WR_E_TOO_FEW);
    ck_assert_ptr_nonnull(strstr(err.text, "trend"));
}
END_TEST

START_TEST(no_spread_at_all)
{
    const double v[4] = {1, 1, 1, 1};
    const unsigned char group[4] = {0, 1, 0, 1};
    struct wr_grouping g = {4, group, NULL};
    struct wr_group_difference d;
    struct wr_permutation_options o = wr_permutation_default();
    struct wr_permutation p;

    ck_assert_int_eq(wr_group_difference(v, &g, NULL, 0.9, &d, NULL), WR_OK);
    ck_assert(d.difference == 0 && d.interval.lo == 0 && d.interval.hi == 0 && !d.p.known);
    ck_assert_int_eq(wr_permutation_test(v, &g, &o, &p, NULL), WR_OK);
    ck_assert(p.p_two_sided == 1);
}
END_TEST

START_TEST(random_groupings_are_seeded)
{
    double v[30];
    unsigned char group[30];
    struct wr_grouping g = {30, group, NULL};
    struct wr_permutation_options o = wr_permutation_default();
    struct wr_permutation a, b, other;

    for (size_t r = 0; r < 30; r++) {
        v[r] = sin((double)r * 7.1);
        group[r] = r % 2;
    }
    ck_assert_int_eq(wr_permutation_test(v, &g, &o, &a, NULL), WR_OK);
    ck_assert_int_eq(wr_permutation_test(v, &g, &o, &b, NULL), WR_OK);
    o.seed = 2;
    ck_assert_int_eq(wr_permutation_test(v, &g, &o, &other, NULL), WR_OK);
    ck_assert(!a.exact && a.n_grouping == 20001 && a.n_two_sided >= 1);
    ck_assert(a.n_two_sided == b.n_two_sided && a.n_greater == b.n_greater);
    ck_assert(a.n_two_sided != other.n_two_sided);
    ck_assert_double_eq_tol(a.smallest_p, 1 / 20001.0, 1e-15);
}
END_TEST

START_TEST(holm)
{
    double p[] = {0.01, 0.04, 0.03, 0.2, 0.005}, one[] = {0.7, 0.6};
    const double adjusted[] = {0.040, 0.090, 0.090, 0.200, 0.025}; /* R: p.adjust(p, "holm") */

    wr_holm_adjust(p, 5);
    for (int i = 0; i < 5; i++) ck_assert_double_eq_tol(p[i], adjusted[i], 1e-15);
    wr_holm_adjust(one, 2);
    ck_assert(one[0] == 1 && one[1] == 1);
    wr_holm_adjust(NULL, 0);
}
END_TEST

Suite *suite_grouping(void);
Suite *suite_grouping(void)
{
    Suite *s = suite_create("grouping");
    TCase *t = tcase_create("grouping");

    tcase_add_test(t, two_way_is_least_squares);
    tcase_add_test(t, two_way_refuses);
    tcase_add_loop_test(t, permutation_lists_every_grouping, 0, DESIGNS);
    tcase_add_loop_test(t, tasks_with_holes, 0, 2);
    tcase_add_test(t, constant_and_separated_tasks);
    tcase_add_test(t, difference_beside_a_trend);
    tcase_add_test(t, difference_refuses);
    tcase_add_test(t, no_spread_at_all);
    tcase_add_test(t, random_groupings_are_seeded);
    tcase_add_test(t, holm);
    suite_add_tcase(s, t);
    return s;
}
