/* REML by a slow twin: the restricted likelihood from the full covariance matrix of all values. Published layouts:
 * tests/reference/check_variance_cases.c. */
#include <check.h>
#include <gsl/gsl_blas.h>
#include <gsl/gsl_linalg.h>
#include <gsl/gsl_randist.h>
#include <math.h>
#include <string.h>
#include "wetrun/stats/learning.h"
#include "wetrun/stats/variance_components.h"

enum { TASKS = 4, RUNS = 6, MOST = TASKS * RUNS };

struct layout {
    double y[MOST], x[MOST * (TASKS + 1)];
    size_t run[MOST], task[MOST];
    struct wr_mixed_data data;
};

/* Fixed tasks and random runs with holes, or with crossed == true an intercept and random tasks beside the runs. */
static void random_layout(struct layout *l, gsl_rng *rng, bool crossed, double sd_run)
{
    double run[RUNS], task[TASKS];
    size_t n = 0, columns = crossed ? 1 : TASKS;

    for (size_t r = 0; r < RUNS; r++) run[r] = gsl_ran_gaussian(rng, sd_run);
    for (size_t k = 0; k < TASKS; k++) task[k] = gsl_ran_gaussian(rng, 0.5);
    memset(l, 0, sizeof *l);
    for (size_t i = 0; i < MOST; i++) {
        if (i / RUNS && gsl_rng_uniform(rng) < 0.2) continue;
        l->run[n] = i % RUNS;
        l->task[n] = i / RUNS;
        l->x[n * columns + (crossed ? 0 : i / RUNS)] = 1;
        l->y[n++] = 3 + task[i / RUNS] + run[i % RUNS] + gsl_ran_gaussian(rng, 0.2);
    }
    l->data = (struct wr_mixed_data){.n = n, .n_fixed = columns, .n_factor = crossed ? 2 : 1, .y = l->y, .x = l->x,
                                     .level = {l->run, l->task}, .n_level = {RUNS, TASKS}};
}

static double log_det(const gsl_matrix *cholesky)
{
    double sum = 0;
    for (size_t i = 0; i < cholesky->size1; i++) sum += 2 * log(gsl_matrix_get(cholesky, i, i));
    return sum;
}

/* -2 log restricted likelihood = log|V| + log|X'V^-1 X| + r'V^-1 r + (n - p) log 2 pi, with the residuals r of the
 * generalised least squares */
static double slow_criterion(const struct wr_mixed_data *d, const double *sd_factor, double sd_residual)
{
    size_t n = d->n, p = d->n_fixed;
    gsl_matrix *v = gsl_matrix_calloc(n, n), *vx = gsl_matrix_alloc(n, p), *xvx = gsl_matrix_alloc(p, p);
    gsl_vector *r = gsl_vector_alloc(n), *vr = gsl_vector_alloc(n), *b = gsl_vector_alloc(p);
    gsl_matrix_const_view x = gsl_matrix_const_view_array(d->x, n, p);
    gsl_vector_const_view y = gsl_vector_const_view_array(d->y, n);
    double square;

    for (size_t i = 0; i < n; i++) {
        for (size_t j = 0; j < n; j++)
            for (size_t f = 0; f < d->n_factor; f++)
                if (d->level[f][i] == d->level[f][j]) *gsl_matrix_ptr(v, i, j) += sd_factor[f] * sd_factor[f];
        *gsl_matrix_ptr(v, i, i) += sd_residual * sd_residual;
    }
    ck_assert_int_eq(gsl_linalg_cholesky_decomp1(v), 0);
    for (size_t k = 0; k < p; k++) {
        gsl_vector_const_view column = gsl_matrix_const_column(&x.matrix, k);
        gsl_vector_view solved = gsl_matrix_column(vx, k);
        gsl_linalg_cholesky_solve(v, &column.vector, vr);
        gsl_vector_memcpy(&solved.vector, vr);
    }
    gsl_blas_dgemm(CblasTrans, CblasNoTrans, 1, &x.matrix, vx, 0, xvx);
    gsl_blas_dgemv(CblasTrans, 1, vx, &y.vector, 0, b);
    ck_assert_int_eq(gsl_linalg_cholesky_decomp1(xvx), 0);
    gsl_linalg_cholesky_svx(xvx, b);
    gsl_vector_memcpy(r, &y.vector);
    gsl_blas_dgemv(CblasNoTrans, -1, &x.matrix, b, 1, r);
    gsl_linalg_cholesky_solve(v, r, vr);
    gsl_blas_ddot(r, vr, &square);
    double criterion = log_det(v) + log_det(xvx) + square + (double)(n - p) * log(2 * M_PI);
    gsl_matrix_free(v);
    gsl_matrix_free(vx);
    gsl_matrix_free(xvx);
    gsl_vector_free(r);
    gsl_vector_free(vr);
    gsl_vector_free(b);
    return criterion;
}

/* At the estimate the slow criterion has our value, and no neighbour is lower. */
static void check_lowest(const struct wr_mixed_data *d, const struct wr_mixed_fit *fit)
{
    static const double factor[] = {0.9, 0.99, 1, 1.01, 1.1};
    double least = slow_criterion(d, fit->sd_factor, fit->sd_residual), sd[2];

    ck_assert_double_eq_tol(fit->criterion, least, 1e-8);
    for (int i = 0; i < 5; i++) {
        for (int j = 0; j < 5; j++) {
            for (size_t f = 0; f < 2; f++) sd[f] = fit->sd_factor[f] * factor[i];
            ck_assert_double_ge(slow_criterion(d, sd, fit->sd_residual * factor[j]), least - 1e-8);
            sd[0] = fit->sd_factor[0];
            if (fit->sd_factor[0] == 0) sd[0] = 0.01 * fit->sd_residual;
            ck_assert_double_ge(slow_criterion(d, sd, fit->sd_residual * factor[j]), least - 1e-8);
        }
    }
}

START_TEST(reml_by_the_full_matrix)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    int vanished = 0;

    gsl_rng_set(rng, 21);
    for (int round = 0; round < 30; round++) {
        struct layout l;
        struct wr_mixed_fit fit = {0};
        struct wr_error err;
        random_layout(&l, rng, round % 2, round % 3 ? 0.3 : 0.01);
        ck_assert_msg(wr_mixed_fit(&fit, &l.data, &err) == WR_OK, "%s", err.text);
        check_lowest(&l.data, &fit);
        vanished += fit.sd_factor[0] == 0 || (fit.n_factor > 1 && fit.sd_factor[1] == 0);
        double sum = 0; /* predicted effects of a factor with an intercept in the model add up to 0 */
        for (size_t r = 0; r < RUNS; r++) sum += fit.effect[0][r];
        ck_assert_double_eq_tol(sum, 0, 1e-9);
        wr_mixed_fit_release(&fit);
    }
    ck_assert_int_gt(vanished, 0); /* the boundary was visited too */
    gsl_rng_free(rng);
}
END_TEST

START_TEST(shifts_and_units)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    struct layout l;
    struct wr_mixed_fit a = {0}, b = {0};

    gsl_rng_set(rng, 2);
    random_layout(&l, rng, false, 0.3);
    gsl_rng_free(rng);
    ck_assert_int_eq(wr_mixed_fit(&a, &l.data, NULL), WR_OK);
    for (size_t i = 0; i < l.data.n; i++) l.y[i] = 1e6 + 1e3 * l.y[i];
    ck_assert_int_eq(wr_mixed_fit(&b, &l.data, NULL), WR_OK);
    ck_assert_double_eq_tol(b.sd_factor[0] / a.sd_factor[0], 1e3, 1e-3);
    ck_assert_double_eq_tol(b.sd_residual / a.sd_residual, 1e3, 1e-3);
    ck_assert_double_eq_tol(b.fixed[1], 1e6 + 1e3 * a.fixed[1], 1e-2);
    wr_mixed_fit_release(&a);
    wr_mixed_fit_release(&b);
}
END_TEST

START_TEST(refuses)
{
    double y[6] = {1, 2, 3, 4, 5, 7}, one[6] = {1, 1, 1, 1, 1, 1}, twice[12] = {1, 2, 1, 2, 1, 2, 1, 2, 1, 2, 1, 2};
    size_t level[6] = {0, 0, 0, 1, 1, 1}, own[6] = {0, 1, 2, 3, 4, 5}, none[6] = {0};
    struct wr_mixed_data d = {.n = 6, .n_fixed = 1, .n_factor = 1, .y = y, .x = one, .level = {level}, .n_level = {2}},
                         bad;
    struct wr_mixed_fit fit = {0};
    struct wr_error err;

    bad = d;
    bad.n = 2;
    ck_assert_int_eq(wr_mixed_fit(&fit, &bad, &err), WR_E_TOO_FEW);
    bad = d;
    bad.level[0] = own;
    bad.n_level[0] = 6;
    ck_assert_int_eq(wr_mixed_fit(&fit, &bad, &err), WR_E_TOO_FEW);
    bad.level[0] = none;
    bad.n_level[0] = 1;
    ck_assert_int_eq(wr_mixed_fit(&fit, &bad, &err), WR_E_TOO_FEW);
    bad = d;
    bad.x = twice;
    bad.n_fixed = 2;
    ck_assert_int_eq(wr_mixed_fit(&fit, &bad, &err), WR_E_TOO_FEW);
    ck_assert_ptr_nonnull(strstr(err.text, "told apart"));
    for (int i = 0; i < 6; i++) y[i] = i < 3 ? 1 : 2; /* the groups explain everything */
    ck_assert_int_eq(wr_mixed_fit(&fit, &d, &err), WR_E_NO_MAXIMUM);
    for (int i = 0; i < 6; i++) y[i] = 4;
    ck_assert_int_eq(wr_mixed_fit(&fit, &d, &err), WR_E_NO_MAXIMUM);
    y[3] = NAN;
    ck_assert_int_eq(wr_mixed_fit(&fit, &d, &err), WR_E_DOMAIN);
    ck_assert(fit.fixed == NULL);
}
END_TEST

START_TEST(run_effect_leaves_out_what_is_empty)
{
    /* 3 tasks x 4 runs; with an empty task and an empty run added the answer is the same */
    const double y[12] = {3.1, 3.3, 2.9, 3.2, 2.2, 2.5, 2.1, 2.2, 4.0, 4.1, 3.9, 4.3};
    double wide[20] = {0};
    unsigned char all[12], some[20] = {0};
    struct wr_run_effect a, b;
    const double trend[4] = {0, log(2), log(3), log(4)};
    struct wr_error err;

    memset(all, 1, sizeof all);
    for (int i = 0; i < 12; i++) {
        int cell = i / 4 * 5 + i % 4 + (i % 4 >= 2);
        wide[cell] = y[i];
        some[cell] = 1;
    }
    ck_assert_int_eq(wr_run_effect_fit(y, all, 3, 4, NULL, 0.9, &a, NULL), WR_OK);
    ck_assert_int_eq(wr_run_effect_fit(wide, some, 4, 5, NULL, 0.9, &b, NULL), WR_OK);
    ck_assert(a.sd_log == b.sd_log && a.residual_sd_log == b.residual_sd_log && a.sd_interval.hi == b.sd_interval.hi);
    ck_assert(a.sd_interval.lo <= a.sd_log && a.sd_log <= a.sd_interval.hi);
    ck_assert_int_eq(wr_run_effect_fit(y, all, 6, 2, trend, 0.9, &a, &err), WR_E_TOO_FEW);
    memset(all, 0, sizeof all);
    ck_assert_int_eq(wr_run_effect_fit(y, all, 3, 4, trend, 0.9, &a, &err), WR_E_TOO_FEW);
}
END_TEST

START_TEST(lines_refuse)
{
    const double x[3] = {1, 2, 3}, same[3] = {2, 2, 2}, y[3] = {5, 4, 3}, zero[3] = {5, 0, 3};
    struct wr_line line;
    struct wr_error err;

    ck_assert_int_eq(wr_line_fit(x, y, 2, &line, &err), WR_E_TOO_FEW);
    ck_assert_int_eq(wr_line_fit(same, y, 3, &line, &err), WR_E_TOO_FEW);
    ck_assert_int_eq(wr_learning_fit(zero, x, 3, &line, &err), WR_E_DOMAIN);
    ck_assert_ptr_nonnull(strstr(err.text, "repetition 2"));
    ck_assert_int_eq(wr_learning_fit(y, zero, 3, &line, &err), WR_E_DOMAIN);
    ck_assert_int_eq(wr_line_fit(x, y, 3, &line, &err), WR_OK); /* points on a line: no residual, no p */
    ck_assert(!wr_line_slope_p(&line).known);
    ck_assert_double_eq_tol(line.slope, -1, 1e-15);
}
END_TEST

Suite *suite_variance(void);
Suite *suite_variance(void)
{
    Suite *s = suite_create("variance");
    TCase *t = tcase_create("variance");

    tcase_set_timeout(t, 60);
    tcase_add_test(t, reml_by_the_full_matrix);
    tcase_add_test(t, shifts_and_units);
    tcase_add_test(t, refuses);
    tcase_add_test(t, run_effect_leaves_out_what_is_empty);
    tcase_add_test(t, lines_refuse);
    suite_add_tcase(s, t);
    return s;
}
