/* Least squares on a few variables, of first or second degree, and the normal scores that make any quantity fit for
 * it. */
#pragma once

#include <stddef.h>
#include "wetrun/base/error.h"

/* score[i] = the standard normal quantile at (rank - off)/(n + 1 - 2 off); equal values share the mean of their ranks.
 * n >= 1, finite. */
void wr_normal_scores(const double *value, size_t n, double off, double *score);

enum wr_degree { WR_FIRST_DEGREE, WR_SECOND_DEGREE }; /* 1, x[v]; and all products x[v] x[w], v <= w */

struct wr_regression { /* start as {0} */
    size_t n_variable, n_term;
    enum wr_degree degree;
    double *centre, *scale;  /* [n_variable] the variables enter as (x - centre)/scale */
    double *coefficient;     /* [n_term] of the standardised terms: constant, first degree, then products by v, w */
    size_t rank;             /* below n_term: some terms repeat others; the shortest best coefficients are taken */
};

double wr_regression_at(const struct wr_regression *r, const double *x); /* x[n_variable] */
void wr_regression_release(struct wr_regression *r);

/* What the variables alone say, worked out once for all y of the same rows. */
struct wr_design { /* start as {0} */
    struct wr_regression of;               /* without coefficients */
    size_t n_row;
    double *terms, *tau;                   /* [n_row * n_term], [n_term] the terms as Q R, packed */
    double *left, *right, *singular;       /* of R: [n_term * n_term] twice, [n_term] */
};

/* x[row * n_variable + variable], all finite, not kept. A variable that does not vary is left out (its scale is 0).
 *   WR_E_TOO_FEW     fewer rows than terms
 *   WR_E_NO_CONVERGE the decomposition failed */
WR_MUST_CHECK enum wr_status wr_design_make(struct wr_design *d, enum wr_degree degree, const double *x, size_t n_row,
                                            size_t n_variable, struct wr_error *err);
void wr_design_release(struct wr_design *d);
/* y[row], finite. */
void wr_regression_on(struct wr_regression *r, const struct wr_design *d, const double *y);
