#include "wetrun/stats/regress.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_linalg.h>
#include <stdbool.h>
#include <stdlib.h>
#include "wetrun/base/memory.h"
#include "wetrun/stats/special.h"
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

/* The terms as Q R, for what is left to the singular values is then as small as R. Neither changes what the least
 * squares are. Jacobi's way takes no memory of its own. */
static int reduce(struct wr_design *d, const double *x)
{
    const size_t n = d->of.n_term;
    gsl_matrix_view terms = gsl_matrix_view_array(d->terms, d->n_row, n), left = gsl_matrix_view_array(d->left, n, n),
                    right = gsl_matrix_view_array(d->right, n, n);
    gsl_vector_view tau = gsl_vector_view_array(d->tau, n), singular = gsl_vector_view_array(d->singular, n);

    for (size_t i = 0; i < d->n_row; i++) fill_terms(&d->of, x + i * d->of.n_variable, d->terms + i * n);
    int trouble = gsl_linalg_QR_decomp(&terms.matrix, &tau.vector);
    for (size_t i = 0; i < n; i++)
        for (size_t j = i; j < n; j++) d->left[i * n + j] = d->terms[i * n + j];
    return trouble ? trouble : gsl_linalg_SV_decomp_jacobi(&left.matrix, &right.matrix, &singular.vector);
}

enum wr_status wr_design_make(struct wr_design *d, enum wr_degree degree, const double *x, size_t n_row,
                              size_t n_variable, struct wr_error *err)
{
    size_t n_first = n_variable + 1, n_term = degree == WR_FIRST_DEGREE ? n_first : n_first * (n_first + 1) / 2;

    if (n_row < n_term)
        return wr_fail(err, WR_E_TOO_FEW, "%zu rows are too few for a regression with %zu terms", n_row, n_term);
    *d = (struct wr_design){.of = {.n_variable = n_variable, .n_term = n_term, .degree = degree}, .n_row = n_row};
    d->of.centre = WR_NEW_ARRAY(double, n_variable);
    d->of.scale = WR_NEW_ARRAY(double, n_variable);
    d->terms = WR_NEW_ARRAY(double, n_row * n_term);
    d->tau = WR_NEW_ARRAY(double, n_term);
    d->left = WR_NEW_ARRAY(double, n_term * n_term);
    d->right = WR_NEW_ARRAY(double, n_term * n_term);
    d->singular = WR_NEW_ARRAY(double, n_term);
    standardise(&d->of, x, n_row);
    if (reduce(d, x) == GSL_SUCCESS) return WR_OK;
    wr_design_release(d);
    return wr_fail(err, WR_E_NO_CONVERGE, "a regression with %zu terms did not come out", n_term);
}

void wr_design_release(struct wr_design *d)
{
    wr_regression_release(&d->of);
    WR_FREE(d->terms, d->tau, d->left, d->right, d->singular);
    *d = (struct wr_design){0};
}

/* Minimal least squares by the singular values of the terms. Sizes fit, so nothing here can fail. */
static void solve(struct wr_regression *r, const struct wr_design *d, const double *y)
{
    static const double tolerance = 1e-10; /* of the largest singular value: below it a term repeats others */
    const size_t n = r->n_term;
    WR_SCOPED double *wanted = WR_COPY(y, d->n_row), *along = WR_NEW_ARRAY(double, n);
    gsl_matrix_const_view terms = gsl_matrix_const_view_array(d->terms, d->n_row, n);
    gsl_vector_const_view tau = gsl_vector_const_view_array(d->tau, n);
    gsl_vector_view q_y = gsl_vector_view_array(wanted, d->n_row);

    gsl_linalg_QR_QTvec(&terms.matrix, &tau.vector, &q_y.vector);
    for (size_t k = 0; k < n; k++) {
        bool counts = d->singular[k] > tolerance * d->singular[0];
        r->rank += counts;
        for (size_t i = 0; i < n && counts; i++) along[k] += d->left[i * n + k] * wanted[i] / d->singular[k];
    }
    for (size_t i = 0; i < n; i++)
        for (size_t k = 0; k < n; k++) r->coefficient[i] += d->right[i * n + k] * along[k];
}

void wr_regression_on(struct wr_regression *r, const struct wr_design *d, const double *y)
{
    *r = d->of;
    r->centre = WR_COPY(d->of.centre, r->n_variable);
    r->scale = WR_COPY(d->of.scale, r->n_variable);
    r->coefficient = WR_NEW_ARRAY(double, r->n_term);
    solve(r, d, y);
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
