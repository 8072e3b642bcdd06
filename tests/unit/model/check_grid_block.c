/* Grid points worked side by side: the same bytes from every instruction set, and what GSL's own algebra gives. */
#include <check.h>
#include <gsl/gsl_blas.h>
#include <gsl/gsl_linalg.h>
#include <gsl/gsl_rng.h>
#include <math.h>
#include <string.h>
#include "../../../src/model/grid_block.h"
#include "suites.h"

enum { EFFECTS = 6, RUNS = 9, PACKED = EFFECTS * (EFFECTS + 1) / 2, LEN = PACKED + EFFECTS + 1 };

struct problem {
    double row[(RUNS + 1) * LEN], eigenvalue[RUNS], tau[WR_GRID_WIDE], prior[EFFECTS], first;
    size_t times[RUNS];
};

struct work {
    struct wr_grid_work at;
    double folded[LEN * WR_GRID_WIDE], prior[EFFECTS * WR_GRID_WIDE], factor[PACKED * WR_GRID_WIDE];
    double half[EFFECTS * WR_GRID_WIDE];
};

/* Rows as effects_block.c makes them, of vectors that leave V(tau) positive definite. scale: large ones leave the range
 * of a single product. */
static struct problem make_problem(unsigned long seed, double scale)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    struct problem p;
    double sum[PACKED] = {0};

    gsl_rng_set(rng, seed);
    for (size_t s = 1; s <= RUNS; s++) {
        double v[EFFECTS], pull = gsl_rng_uniform(rng) - 0.5, *row = p.row + s * LEN;
        for (size_t d = 0; d < EFFECTS; d++) v[d] = scale * (gsl_rng_uniform(rng) - 0.5);
        for (size_t d = 0, at = 0; d < EFFECTS; d++)
            for (size_t c = 0; c <= d; c++, at++) {
                row[at] = v[d] * v[c];
                sum[at] += 0.7 * row[at];
            }
        for (size_t d = 0; d < EFFECTS; d++) row[PACKED + d] = v[d] * pull;
        row[PACKED + EFFECTS] = pull * pull;
        p.eigenvalue[s - 1] = scale * 20 * gsl_rng_uniform(rng);
        p.times[s - 1] = s % 4 ? 1 : 50;
    }
    for (size_t i = 0; i < PACKED; i++) p.row[i] = sum[i];
    for (size_t d = 0; d < EFFECTS; d++) {
        p.row[PACKED + d] = gsl_rng_uniform(rng) - 0.5;
        p.prior[d] = 1.0 + gsl_rng_uniform(rng);
    }
    p.row[PACKED + EFFECTS] = 0.3;
    for (size_t t = 0; t < WR_GRID_WIDE; t++) p.tau[t] = 0.01 + 0.1 * (double)t;
    p.first = 0.4;
    gsl_rng_free(rng);
    return p;
}

static bool solve(const struct wr_grid_block *block, const struct problem *p, struct work *w)
{
    memset(w, 0, sizeof *w);
    w->at.folded = w->folded;
    w->at.prior = w->prior;
    w->at.factor = w->factor;
    w->at.half = w->half;
    memcpy(w->at.tau, p->tau, sizeof p->tau);
    for (size_t d = 0; d < EFFECTS; d++)
        for (size_t t = 0; t < WR_GRID_WIDE; t++) w->prior[d * WR_GRID_WIDE + t] = p->prior[d];
    block->fold(&w->at, p->row, p->eigenvalue, p->times, RUNS, EFFECTS);
    return block->factor(&w->at, EFFECTS, p->first);
}

/* One point by GSL: its Cholesky factor, its determinant, its solution; sums as the head of effects_block.c has
 * them. */
static void ck_point(const struct problem *p, const struct work *w, size_t t)
{
    double row[LEN], growth = 0.0;
    gsl_matrix *m = gsl_matrix_alloc(EFFECTS, EFFECTS);
    gsl_vector *l = gsl_vector_alloc(EFFECTS);

    memcpy(row, p->row, sizeof row);
    for (size_t s = 0; s < RUNS; s++) {
        double tau2 = p->tau[t] * p->tau[t], v = tau2 / (1 + tau2 * p->eigenvalue[s]);
        growth -= 0.5 * (double)p->times[s] * log1p(tau2 * p->eigenvalue[s]);
        for (size_t i = 0; i < LEN; i++) row[i] -= v * p->row[(s + 1) * LEN + i];
    }
    for (size_t d = 0, at = 0; d < EFFECTS; d++) {
        for (size_t c = 0; c <= d; c++, at++) {
            gsl_matrix_set(m, d, c, row[at]);
            gsl_matrix_set(m, c, d, row[at]);
        }
        gsl_matrix_set(m, d, d, gsl_matrix_get(m, d, d) + p->prior[d]);
        gsl_vector_set(l, d, row[PACKED + d] + (d == 0 ? p->first : 0.0));
    }
    ck_assert_int_eq(gsl_linalg_cholesky_decomp1(m), 0);
    double log_det = 0.0, squares;
    for (size_t d = 0; d < EFFECTS; d++) log_det += log(gsl_matrix_get(m, d, d));
    gsl_blas_dtrsv(CblasLower, CblasNoTrans, CblasNonUnit, m, l);
    gsl_blas_ddot(l, l, &squares);
    ck_assert_double_eq_tol(w->at.growth[t], growth, 1e-12 * (1 + fabs(growth)));
    ck_assert_double_eq_tol(w->at.log_det[t], log_det, 1e-12 * (1 + fabs(log_det)));
    ck_assert_double_eq_tol(w->at.squares[t], squares, 1e-12 * (1 + squares));
    for (size_t d = 0; d < EFFECTS; d++)
        ck_assert_double_eq_tol(w->half[d * WR_GRID_WIDE + t], gsl_vector_get(l, d), 1e-12);
    gsl_matrix_free(m);
    gsl_vector_free(l);
}

START_TEST(points_are_what_gsl_gives)
{
    struct problem p = make_problem((unsigned long)_i, _i % 2 ? 1.0 : 1e9);
    struct work w;

    ck_assert(solve(wr_grid_block_at(0), &p, &w));
    for (size_t t = 0; t < WR_GRID_WIDE; t++) ck_point(&p, &w, t);
}
END_TEST

START_TEST(every_instruction_set_gives_the_same_bytes)
{
    struct problem p = make_problem((unsigned long)_i, _i % 2 ? 1.0 : 1e9);
    struct work plain, other;

    ck_assert(solve(wr_grid_block_at(0), &p, &plain));
    for (size_t i = 1; wr_grid_block_at(i); i++) {
        ck_assert(solve(wr_grid_block_at(i), &p, &other));
        ck_assert_mem_eq(other.folded, plain.folded, sizeof plain.folded);
        ck_assert_mem_eq(other.factor, plain.factor, sizeof plain.factor);
        ck_assert_mem_eq(other.half, plain.half, sizeof plain.half);
        ck_assert_mem_eq(other.at.growth, plain.at.growth, sizeof plain.at.growth);
        ck_assert_mem_eq(other.at.log_det, plain.at.log_det, sizeof plain.at.log_det);
        ck_assert_mem_eq(other.at.squares, plain.at.squares, sizeof plain.at.squares);
    }
}
END_TEST

/* What tasks share is taken from the lower triangle only, and only where the task has both runs. */
START_TEST(what_is_shared_goes_where_both_are)
{
    const double is_in[RUNS] = {1, 0, 1, 1, 1, 0, 1, 1, 1};

    for (size_t i = 0; wr_grid_block_at(i); i++) {
        double matrix[RUNS][RUNS + 2];
        for (size_t r = 0; r < RUNS; r++)
            for (size_t c = 0; c < RUNS + 2; c++) matrix[r][c] = 10.0 * (double)r + (double)c;
        wr_grid_block_at(i)->share(matrix[0], RUNS + 2, is_in, 0.3, RUNS);
        for (size_t r = 0; r < RUNS; r++)
            for (size_t c = 0; c < RUNS + 2; c++) {
                bool both = c <= r && r != 1 && r != 5 && c != 1 && c != 5;
                ck_assert(matrix[r][c] == 10.0 * (double)r + (double)c - (both ? 0.3 : 0.0));
            }
    }
}
END_TEST

/* Of six cells of five effects, in runs 0, 2 and 3, against the sums written out. */
START_TEST(cells_of_a_task_add_up)
{
    enum { CELLS = 6, OF_CELL = 5, WIDE = 8, GRAM = OF_CELL * (OF_CELL + 1) / 2 };
    const size_t run[CELLS] = {0, 0, 2, 2, 3, 3};
    const double is_in[2] = {0, 1}, w = 3, shared = 0.25;
    double design[CELLS * WIDE] = {0}, e[CELLS], sum[WIDE] = {0}, inner[GRAM], outer[GRAM];

    for (size_t i = 0; i < CELLS; i++) {
        e[i] = 0.5 - (double)i;
        for (size_t d = 0; d < OF_CELL; d++) sum[d] += design[i * WIDE + d] = sin((double)(3 * i + 7 * d));
    }
    for (size_t at = 0; at < GRAM; at++) inner[at] = cos((double)at), outer[at] = (double)at;
    const struct wr_task_cells t = {CELLS, OF_CELL, 2, run, design, e, sum, inner, outer, is_in, w, shared};
    for (size_t b = 0; wr_grid_block_at(b); b++) {
        double gram[GRAM] = {1}, pull[WIDE] = {2}, cross[4 * WIDE] = {3}, less[2 * WIDE] = {4};
        wr_grid_block_at(b)->take_task(&t, gram, pull, cross, less);
        for (size_t at = 0; at < GRAM; at++)
            ck_assert_double_eq_tol(gram[at], (at == 0) + w * inner[at] - shared * outer[at], 1e-14);
        for (size_t d = 0; d < WIDE; d++) {
            double want = d == 0 ? 2 : 0, of_run[4] = {d == 0 ? 3 : 0};
            for (size_t i = 0; i < CELLS; i++) want += e[i] * design[i * WIDE + d];
            for (size_t i = 0; i < CELLS; i++) of_run[run[i]] += w * design[i * WIDE + d];
            ck_assert_double_eq_tol(pull[d], want, 1e-13);
            for (size_t r = 0; r < 4; r++) ck_assert_double_eq_tol(cross[r * WIDE + d], of_run[r], 1e-13);
            ck_assert_double_eq_tol(less[d], d == 0 ? 4 : 0, 1e-14);
            ck_assert_double_eq_tol(less[WIDE + d], shared * sum[d], 1e-14);
        }
    }
}
END_TEST

/* Inside the table and where it ends, of numbers of cells that fill no whole row. */
START_TEST(log_phi_adds_up)
{
    enum { MOST = 61 };
    static struct wr_log_phi table;
    double value[MOST];

    wr_log_phi_build(&table);
    for (size_t i = 0; i < MOST; i++) value[i] = 4 * sin((double)i * (double)i);
    for (int round = 0; round < 3 * MOST; round++) {
        size_t n = (size_t)round % MOST + 1;
        double offset = round < MOST ? 0.3 : round < 2 * MOST ? 7.0 : -14.0, want = 0, first = 0;
        for (size_t i = 0; i < n; i++) want += wr_log_phi_exact(1.1 * value[i] + offset);
        const struct wr_numbers x = {n, value, -4, 4};
        for (size_t b = 0; wr_grid_block_at(b); b++) {
            double sum = wr_grid_block_at(b)->log_phi_sum(&table, &x, 1.1, offset);
            if (b == 0) first = sum;
            ck_assert_double_eq_tol(sum, want, 1e-12 * (double)n * (1 + fabs(want)));
            ck_assert_mem_eq(&sum, &first, sizeof sum);
        }
    }
}
END_TEST

START_TEST(one_point_without_a_factor_is_told)
{
    struct problem p = make_problem(3, 1.0);
    struct work w;

    p.row[1] = 1e6; /* off the diagonal */
    for (size_t i = 0; wr_grid_block_at(i); i++) ck_assert(!solve(wr_grid_block_at(i), &p, &w));
}
END_TEST

Suite *suite_grid_block(void);
Suite *suite_grid_block(void)
{
    Suite *s = suite_create("grid_block");
    TCase *t = tcase_create("points");

    tcase_add_loop_test(t, points_are_what_gsl_gives, 1, 9);
    tcase_add_loop_test(t, every_instruction_set_gives_the_same_bytes, 1, 9);
    tcase_add_test(t, what_is_shared_goes_where_both_are);
    tcase_add_test(t, cells_of_a_task_add_up);
    tcase_add_test(t, log_phi_adds_up);
    tcase_add_test(t, one_point_without_a_factor_is_told);
    suite_add_tcase(s, t);
    return s;
}
