#include "wetrun/stats/regress.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_blas.h>
#include <gsl/gsl_linalg.h>
#include <stdlib.h>
#include "wetrun/base/memory.h"
#include "wetrun/stats/special.h"
#include "wetrun/stats/gsl_own.h"
#include "wetrun/stats/summary.h"

struct placed {
    double value;
    size_t at;
};

static int by_value(const void *a, const void *b)
{
    const struct placed *x = a, *y = b;

    if (x->value != y->value) return x->value < y->value ? -1 : 1;
    return (x->at > y->at) - (x->at < y->at);
}

void wr_normal_scores(const double *value, size_t n, double off, double *score)
{
    WR_SCOPED struct placed *placed = WR_NEW_ARRAY(struct placed, n);

    for (size_t i = 0; i < n; i++) placed[i] = (struct placed){value[i], i};
    qsort(placed, n, sizeof *placed, by_value);
    for (size_t i = 0, end; i < n; i = end) {
        for (end = i + 1; end < n && placed[end].value == placed[i].value; end++) continue;
        double rank = 0.5 * (double)(i + 1 + end);
        double shared = wr_normal_quantile((rank - off) / ((double)n + 1.0 - 2.0 * off));
        for (size_t j = i; j < end; j++) score[placed[j].at] = shared;
    }
}

static double standardised(const struct wr_regression *r, const double *x, size_t variable)
{
    return r->scale[variable] > 0 ? (x[variable] - r->centre[variable]) / r->scale[variable] : 0.0;
}

static void fill_terms(const struct wr_regression *r, const double *x, double *term)
{
    size_t n = r->n_variable, at = n + 1;

    term[0] = 1.0;
    for (size_t v = 0; v < n; v++) term[v + 1] = standardised(r, x, v);
    if (r->degree == WR_FIRST_DEGREE) return;
    for (size_t v = 0; v < n; v++)
        for (size_t w = v; w < n; w++) term[at++] = term[v + 1] * term[w + 1];
}

static void standardise(struct wr_regression *r, const double *x, size_t n_row)
{
    WR_SCOPED double *column = WR_NEW_ARRAY(double, n_row);

    for (size_t v = 0; v < r->n_variable; v++) {
        for (size_t i = 0; i < n_row; i++) column[i] = x[i * r->n_variable + v];
        struct wr_summary s = wr_summarise(column, n_row);
        r->centre[v] = s.mean;
        r->scale[v] = s.sd.known ? s.sd.value : 0.0;
    }
}

/* The terms as Q R, for what is left to the singular values is then as small as R: into right, and Q'y into wanted.
 * Neither changes what the least squares are. */
static int reduce(const struct wr_regression *r, const double *x, size_t n_row, gsl_matrix *right, gsl_vector *wanted)
{
    WR_SCOPED gsl_matrix *terms = wr_gsl_matrix(n_row, r->n_term);
    WR_SCOPED gsl_vector *tau = wr_gsl_vector(r->n_term);

    for (size_t i = 0; i < n_row; i++) fill_terms(r, x + i * r->n_variable, gsl_matrix_ptr(terms, i, 0));
    int trouble = gsl_linalg_QR_decomp(terms, tau);
    if (!trouble) trouble = gsl_linalg_QR_QTvec(terms, tau, wanted);
    for (size_t i = 0; i < r->n_term; i++)
        for (size_t j = 0; j < r->n_term; j++) gsl_matrix_set(right, i, j, j >= i ? gsl_matrix_get(terms, i, j) : 0);
    return trouble;
}

/* Minimal least squares by the singular values of the terms; Jacobi's way takes no memory of its own. */
static int solve(struct wr_regression *r, const double *x, const double *y, size_t n_row)
{
    static const double tolerance = 1e-10; /* of the largest singular value: below it a term repeats others */
    WR_SCOPED gsl_matrix *left = wr_gsl_matrix(r->n_term, r->n_term), *right = wr_gsl_matrix(r->n_term, r->n_term);
    WR_SCOPED gsl_vector *singular = wr_gsl_vector(r->n_term), *along = wr_gsl_vector(r->n_term);
    WR_SCOPED gsl_vector *wanted = wr_gsl_vector(n_row);
    gsl_vector_view found = gsl_vector_view_array(r->coefficient, r->n_term);
    gsl_vector_const_view head = gsl_vector_const_subvector(wanted, 0, r->n_term);

    for (size_t i = 0; i < n_row; i++) gsl_vector_set(wanted, i, y[i]);
    int trouble = reduce(r, x, n_row, left, wanted);
    if (!trouble) trouble = gsl_linalg_SV_decomp_jacobi(left, right, singular);
    if (!trouble) trouble = gsl_blas_dgemv(CblasTrans, 1, left, &head.vector, 0, along);
    double least = tolerance * gsl_vector_get(singular, 0);
    for (size_t k = 0; k < r->n_term; k++) {
        double s = gsl_vector_get(singular, k);
        r->rank += s > least;
        gsl_vector_set(along, k, s > least ? gsl_vector_get(along, k) / s : 0);
    }
    if (!trouble) trouble = gsl_blas_dgemv(CblasNoTrans, 1, right, along, 0, &found.vector);
    return trouble;
}

enum wr_status wr_regression_fit(struct wr_regression *r, enum wr_degree degree, const double *x, const double *y,
                                 size_t n_row, size_t n_variable, struct wr_error *err)
{
    size_t n_first = n_variable + 1, n_term = degree == WR_FIRST_DEGREE ? n_first : n_first * (n_first + 1) / 2;

    if (n_row < n_term)
        return wr_fail(err, WR_E_TOO_FEW, "%zu rows are too few for a regression with %zu terms", n_row, n_term);
    *r = (struct wr_regression){.n_variable = n_variable, .n_term = n_term, .degree = degree};
    r->centre = WR_NEW_ARRAY(double, n_variable);
    r->scale = WR_NEW_ARRAY(double, n_variable);
    r->coefficient = WR_NEW_ARRAY(double, n_term);
    standardise(r, x, n_row);
    if (solve(r, x, y, n_row) == GSL_SUCCESS) return WR_OK;
    wr_regression_release(r);
    return wr_fail(err, WR_E_NO_CONVERGE, "a regression with %zu terms did not come out", n_term);
}

double wr_regression_at(const struct wr_regression *r, const double *x)
{
    double at = r->coefficient[0];
    size_t n = r->n_variable, term = n + 1;

    for (size_t v = 0; v < n; v++) at += r->coefficient[v + 1] * standardised(r, x, v);
    if (r->degree == WR_FIRST_DEGREE) return at;
    for (size_t v = 0; v < n; v++)
        for (size_t w = v; w < n; w++) at += r->coefficient[term++] * standardised(r, x, v) * standardised(r, x, w);
    return at;
}

void wr_regression_release(struct wr_regression *r)
{
    WR_FREE(r->centre, r->scale, r->coefficient);
    *r = (struct wr_regression){0};
}
