/* With Z the indicator columns of the factors, D the diagonal of their sds relative to the residual sd, and y already
 * less its least-squares fit on X:
 *     L L' = D Z'Z D + I,  w = L^-1 D Z'y,  W = L^-1 D Z'X,  R'R = X'X - W'W,  b = R'^-1 (X'y - W'w)
 *     rest = y'y - w'w - b'b, the penalised sum of squares
 * The REML criterion is log|L|^2 + log|R|^2 + (n - p)(1 + log(2 pi rest / (n - p))); that of maximum likelihood is the
 * same without log|R|^2 and with n in place of n - p. */
#include "wetrun/stats/variance_components.h"

#include <gsl/gsl_blas.h>
#include <gsl/gsl_cdf.h>
#include <gsl/gsl_linalg.h>
#include <gsl/gsl_min.h>
#include <gsl/gsl_roots.h>
#include <math.h>
#include <stdbool.h>
#include <string.h>
#include "surface.h"
#include "wetrun/base/memory.h"

struct workspace {
    const struct wr_mixed_data *data;
    size_t p, q;
    double n, yy, unit;  /* y divided by unit, its residual sd about the fixed effects */
    gsl_vector *start;   /* [p] least-squares fixed effects, in minutes' logs or whatever y is */
    gsl_matrix *xx, *zx, *zz;
    gsl_vector *zy;      /* X'y is 0: y is a residual */
    gsl_matrix *l, *w_x, *r; /* L, W, R' (lower) of the last evaluation */
    gsl_vector *w_y, *b;
    double rest, log_det_l, log_det_r;
};

static void release_workspace(struct workspace *w)
{
    gsl_vector_free(w->start);
    gsl_matrix_free(w->xx);
    gsl_matrix_free(w->zx);
    gsl_matrix_free(w->zz);
    gsl_vector_free(w->zy);
    gsl_matrix_free(w->l);
    gsl_matrix_free(w->w_x);
    gsl_matrix_free(w->r);
    gsl_vector_free(w->w_y);
    gsl_vector_free(w->b);
}

static double log_det_squared(const gsl_matrix *triangle)
{
    double sum = 0;
    for (size_t i = 0; i < triangle->size1; i++) sum += 2 * log(gsl_matrix_get(triangle, i, i));
    return sum;
}

static const double *x_row(const struct wr_mixed_data *d, size_t i)
{
    return d->x + i * d->n_fixed;
}

/* Column of Z that is 1 in row i for factor f. */
static size_t z_column(const struct wr_mixed_data *d, size_t f, size_t i)
{
    return (f ? d->n_level[0] : 0) + d->level[f][i];
}

static enum wr_status check_data(const struct wr_mixed_data *d, struct wr_error *err)
{
    WR_BUG_IF(d->n_fixed == 0 || d->n_factor == 0 || d->n_factor > WR_MOST_FACTORS);
    if (d->n <= d->n_fixed + d->n_factor)
        return wr_fail(err, WR_E_TOO_FEW, "%zu values for %zu unknowns", d->n, d->n_fixed + d->n_factor + 1);
    for (size_t i = 0; i < d->n; i++) {
        bool finite = isfinite(d->y[i]);
        for (size_t k = 0; k < d->n_fixed; k++) finite &= isfinite(x_row(d, i)[k]) != 0;
        for (size_t f = 0; f < d->n_factor; f++) WR_BUG_IF(d->level[f][i] >= d->n_level[f]);
        if (!finite) return wr_fail(err, WR_E_DOMAIN, "value %zu is not finite", i + 1);
    }
    for (size_t f = 0; f < d->n_factor; f++) {
        if (d->n_level[f] < 2) return wr_fail(err, WR_E_TOO_FEW, "a random factor with one level has no spread");
        if (d->n_level[f] >= d->n)
            return wr_fail(err, WR_E_TOO_FEW, "as many levels as values: a factor cannot be told from the residual");
    }
    return WR_OK;
}

/* Least squares on the fixed effects; residual[n] */
static enum wr_status fit_fixed(struct workspace *w, double *residual, struct wr_error *err)
{
    const struct wr_mixed_data *d = w->data;
    gsl_matrix *root = gsl_matrix_alloc(w->p, w->p);
    double least = INFINITY, most = 0;

    for (size_t i = 0; i < d->n; i++) {
        for (size_t k = 0; k < w->p; k++) {
            *gsl_vector_ptr(w->start, k) += x_row(d, i)[k] * d->y[i];
            for (size_t m = 0; m < w->p; m++) *gsl_matrix_ptr(w->xx, k, m) += x_row(d, i)[k] * x_row(d, i)[m];
        }
    }
    gsl_matrix_memcpy(root, w->xx);
    int trouble = gsl_linalg_cholesky_decomp1(root);
    for (size_t k = 0; k < w->p && !trouble; k++) {
        /* what is left of each column once the earlier ones are swept out */
        double share = gsl_matrix_get(root, k, k) / sqrt(gsl_matrix_get(w->xx, k, k));
        least = fmin(least, share);
        most = fmax(most, share);
    }
    if (!trouble) gsl_linalg_cholesky_svx(root, w->start);
    gsl_matrix_free(root);
    if (trouble || !(least > 1e-7 * most)) return wr_fail(err, WR_E_TOO_FEW, "fixed effects that cannot be told apart");

    double square = 0, size = 0;
    for (size_t i = 0; i < d->n; i++) {
        residual[i] = d->y[i];
        for (size_t k = 0; k < w->p; k++) residual[i] -= x_row(d, i)[k] * gsl_vector_get(w->start, k);
        square += residual[i] * residual[i];
        size += d->y[i] * d->y[i];
    }
    if (!(square > 1e-22 * size))
        return wr_fail(err, WR_E_NO_MAXIMUM, "the fixed effects explain the values without remainder");
    w->unit = sqrt(square / w->n);
    return WR_OK;
}

static enum wr_status open_workspace(struct workspace *w, const struct wr_mixed_data *d, struct wr_error *err)
{
    enum wr_status status = check_data(d, err);
    if (status != WR_OK) return status;

    size_t p = d->n_fixed, q = d->n_level[0] + (d->n_factor > 1 ? d->n_level[1] : 0);
    *w = (struct workspace){.data = d, .p = p, .q = q, .n = (double)d->n, .start = gsl_vector_calloc(p),
                            .xx = gsl_matrix_calloc(p, p), .zx = gsl_matrix_calloc(q, p), .zz = gsl_matrix_calloc(q, q),
                            .zy = gsl_vector_calloc(q), .l = gsl_matrix_alloc(q, q), .w_x = gsl_matrix_alloc(q, p),
                            .r = gsl_matrix_alloc(p, p), .w_y = gsl_vector_alloc(q), .b = gsl_vector_alloc(p)};
    double *residual = WR_NEW_ARRAY(double, d->n);
    status = fit_fixed(w, residual, err);
    for (size_t i = 0; i < d->n && status == WR_OK; i++) {
        double y = residual[i] / w->unit;
        w->yy += y * y;
        for (size_t f = 0; f < d->n_factor; f++) {
            size_t row = z_column(d, f, i);
            *gsl_vector_ptr(w->zy, row) += y;
            for (size_t k = 0; k < p; k++) *gsl_matrix_ptr(w->zx, row, k) += x_row(d, i)[k];
            for (size_t g = 0; g < d->n_factor; g++) *gsl_matrix_ptr(w->zz, row, z_column(d, g, i)) += 1;
        }
    }
    wr_free(residual);
    if (status != WR_OK) release_workspace(w);
    return status;
}

static double ratio_of_column(const struct workspace *w, const double *ratio, size_t column)
{
    return ratio[column >= w->data->n_level[0]];
}

/* ratio[n_factor]: sd of each factor over the residual sd. False if rounding has the better of it. */
static bool evaluate(struct workspace *w, const double *ratio)
{
    for (size_t i = 0; i < w->q; i++) {
        double di = ratio_of_column(w, ratio, i);
        for (size_t j = 0; j < w->q; j++)
            gsl_matrix_set(w->l, i, j, di * gsl_matrix_get(w->zz, i, j) * ratio_of_column(w, ratio, j) + (i == j));
        for (size_t k = 0; k < w->p; k++) gsl_matrix_set(w->w_x, i, k, di * gsl_matrix_get(w->zx, i, k));
        gsl_vector_set(w->w_y, i, di * gsl_vector_get(w->zy, i));
    }
    if (gsl_linalg_cholesky_decomp1(w->l)) return false;
    gsl_blas_dtrsv(CblasLower, CblasNoTrans, CblasNonUnit, w->l, w->w_y);
    gsl_blas_dtrsm(CblasLeft, CblasLower, CblasNoTrans, CblasNonUnit, 1.0, w->l, w->w_x);
    gsl_matrix_memcpy(w->r, w->xx);
    gsl_blas_dsyrk(CblasLower, CblasTrans, -1.0, w->w_x, 1.0, w->r);
    gsl_blas_dgemv(CblasTrans, -1.0, w->w_x, w->w_y, 0.0, w->b);
    if (gsl_linalg_cholesky_decomp1(w->r)) return false;
    gsl_blas_dtrsv(CblasLower, CblasNoTrans, CblasNonUnit, w->r, w->b);
    double ww, bb;
    gsl_blas_ddot(w->w_y, w->w_y, &ww);
    gsl_blas_ddot(w->b, w->b, &bb);
    w->rest = w->yy - ww - bb;
    w->log_det_l = log_det_squared(w->l);
    w->log_det_r = log_det_squared(w->r);
    return w->rest > 1e-13 * w->yy;
}

/* --- the lowest point of a criterion in one or two variables >= 0, which may lie at 0 --- */

enum { MOST_VARIABLE = WR_MOST_FACTORS + 1, MOST_FREE = 2 };
#define LEAST_LOG (-9.0)
#define MOST_LOG 9.0

struct search {
    double (*cost)(void *arg, const double *v);
    void *arg;
    double v[MOST_VARIABLE]; /* all variables; those that are not free stay */
    size_t n_free, free[MOST_FREE];
    bool may_vanish[MOST_FREE]; /* per free variable */
};

static double cost_at(const struct search *s, size_t i, double value)
{
    double v[MOST_VARIABLE];
    memcpy(v, s->v, sizeof v);
    v[s->free[i]] = value;
    return s->cost(s->arg, v);
}

struct line {
    const struct search *search;
    size_t i;
};

static double cost_on_line(double log_value, void *arg)
{
    struct line *l = arg;
    return cost_at(l->search, l->i, exp(log_value));
}

/* Brent between two points around a lower third one; the best log found. */
static double refine(struct line *l, double lo, double at, double hi)
{
    gsl_function f = {cost_on_line, l};
    gsl_min_fminimizer *m = gsl_min_fminimizer_alloc(gsl_min_fminimizer_brent);

    if (gsl_min_fminimizer_set(m, &f, at, lo, hi) == 0) {
        for (int round = 0; round < 100 && hi - lo > 1e-8; round++) {
            if (gsl_min_fminimizer_iterate(m)) break;
            lo = gsl_min_fminimizer_x_lower(m);
            hi = gsl_min_fminimizer_x_upper(m);
        }
        at = gsl_min_fminimizer_x_minimum(m);
    }
    gsl_min_fminimizer_free(m);
    return at;
}

/* Moves free variable i to the lowest point along it; the cost there. */
static double lowest_along(struct search *s, size_t i)
{
    const double stride = 0.5;
    struct line l = {s, i};
    double best = INFINITY, at = LEAST_LOG;

    for (double u = LEAST_LOG; u <= MOST_LOG; u += stride) {
        double c = cost_on_line(u, &l);
        if (c < best) {
            best = c;
            at = u;
        }
    }
    if (at > LEAST_LOG && at < MOST_LOG) at = refine(&l, at - stride, at, at + stride);
    best = cost_on_line(at, &l);
    bool vanishes = s->may_vanish[i] && (at == LEAST_LOG || cost_at(s, i, 0) <= best);
    s->v[s->free[i]] = vanishes ? 0 : exp(at);
    return s->cost(s->arg, s->v);
}

static double height(const void *arg, double u, double v)
{
    const struct search *s = arg;
    double at[MOST_VARIABLE];
    memcpy(at, s->v, sizeof at);
    at[s->free[0]] = exp(u);
    at[s->free[1]] = exp(v);
    return -0.5 * s->cost(s->arg, at);
}

static double lowest(struct search *s)
{
    double c = INFINITY;

    for (int round = 0; round < 30; round++) {
        double before = c;
        for (size_t i = 0; i < s->n_free; i++) c = lowest_along(s, i);
        if (s->n_free < 2) return c;
        if (s->v[s->free[0]] > 0 && s->v[s->free[1]] > 0 && round >= 1) {
            double at[2] = {log(s->v[s->free[0]]), log(s->v[s->free[1]])};
            if (wr_surface_top(height, s, 5, at)) {
                s->v[s->free[0]] = exp(at[0]);
                s->v[s->free[1]] = exp(at[1]);
                return s->cost(s->arg, s->v);
            }
        }
        if (before - c < 1e-9 * fabs(c)) break;
    }
    return c;
}

/* --- REML --- */

static double reml_cost(void *arg, const double *ratio)
{
    struct workspace *w = arg;
    double free = w->n - (double)w->p;
    if (!evaluate(w, ratio)) return INFINITY;
    return w->log_det_l + w->log_det_r + free * (1 + log(2 * M_PI * w->rest / free));
}

static void fill_effects(struct workspace *w, const double *ratio, struct wr_mixed_fit *fit)
{
    double sd = fit->sd_residual;
    gsl_vector *u = gsl_vector_alloc(w->q);
    gsl_matrix *inverse = gsl_matrix_alloc(w->p, w->p);

    gsl_blas_dtrsv(CblasLower, CblasTrans, CblasNonUnit, w->r, w->b); /* b is now the correction of the fixed effects */
    gsl_vector_memcpy(u, w->w_y);
    gsl_blas_dgemv(CblasNoTrans, -1.0, w->w_x, w->b, 1.0, u);
    gsl_blas_dtrsv(CblasLower, CblasTrans, CblasNonUnit, w->l, u);
    gsl_matrix_memcpy(inverse, w->r);
    gsl_linalg_cholesky_invert(inverse);
    for (size_t k = 0; k < w->p; k++) {
        fit->fixed[k] = gsl_vector_get(w->start, k) + w->unit * gsl_vector_get(w->b, k);
        fit->fixed_se[k] = sd * sqrt(gsl_matrix_get(inverse, k, k));
    }
    for (size_t i = 0; i < w->q; i++) {
        size_t second = i >= w->data->n_level[0];
        fit->effect[second][i - (second ? w->data->n_level[0] : 0)] = w->unit * ratio[second] * gsl_vector_get(u, i);
    }
    gsl_vector_free(u);
    gsl_matrix_free(inverse);
}

enum wr_status wr_mixed_fit(struct wr_mixed_fit *fit, const struct wr_mixed_data *data, struct wr_error *err)
{
    struct workspace w;
    enum wr_status status = open_workspace(&w, data, err);
    if (status != WR_OK) return status;

    struct search s = {.cost = reml_cost, .arg = &w, .n_free = data->n_factor, .v = {1, 1}, .free = {0, 1},
                       .may_vanish = {true, true}};
    double criterion = lowest(&s), free = w.n - (double)w.p;
    bool settled = isfinite(criterion);
    for (size_t f = 0; f < data->n_factor; f++) settled &= s.v[f] < 0.9 * exp(MOST_LOG);
    if (settled) {
        *fit = (struct wr_mixed_fit){.n_fixed = w.p, .n_factor = data->n_factor, .fixed = WR_NEW_ARRAY(double, w.p),
                                     .fixed_se = WR_NEW_ARRAY(double, w.p)};
        fit->sd_residual = w.unit * sqrt(w.rest / free);
        fit->criterion = criterion + 2 * free * log(w.unit);
        for (size_t f = 0; f < data->n_factor; f++) {
            fit->effect[f] = WR_NEW_ARRAY(double, data->n_level[f]);
            fit->sd_factor[f] = s.v[f] * fit->sd_residual;
        }
        fill_effects(&w, s.v, fit);
    }
    release_workspace(&w);
    return settled ? WR_OK : wr_fail(err, WR_E_NO_MAXIMUM, "the random factors explain the values without remainder");
}

void wr_mixed_fit_release(struct wr_mixed_fit *fit)
{
    wr_free(fit->fixed);
    wr_free(fit->fixed_se);
    for (size_t f = 0; f < WR_MOST_FACTORS; f++) wr_free(fit->effect[f]);
    *fit = (struct wr_mixed_fit){0};
}

/* --- profile intervals: variables are the sds themselves, the residual's last --- */

struct profile {
    struct workspace w;
    struct search search;
    size_t which;
    double wanted; /* criterion at the ends of the interval */
};

static double ml_cost(void *arg, const double *sd)
{
    struct workspace *w = arg;
    double sd_residual = sd[w->data->n_factor], ratio[WR_MOST_FACTORS];

    for (size_t f = 0; f < w->data->n_factor; f++) ratio[f] = sd[f] / sd_residual;
    if (!evaluate(w, ratio)) return INFINITY;
    return w->log_det_l + w->n * log(2 * M_PI * sd_residual * sd_residual) + w->rest / (sd_residual * sd_residual);
}

/* The same at its best residual sd. */
static double ml_profiled_cost(void *arg, const double *ratio)
{
    struct workspace *w = arg;
    if (!evaluate(w, ratio)) return INFINITY;
    return w->log_det_l + w->n * (1 + log(2 * M_PI * w->rest / w->n));
}

/* Best of all sds: fills sd, returns the criterion. */
static double best_ml(struct workspace *w, double *sd)
{
    size_t n_factor = w->data->n_factor;
    struct search s = {.cost = ml_profiled_cost, .arg = w, .v = {1, 1}, .n_free = n_factor, .free = {0, 1},
                       .may_vanish = {true, true}};
    double criterion = lowest(&s);

    sd[n_factor] = sqrt(w->rest / w->n);
    for (size_t f = 0; f < n_factor; f++) sd[f] = s.v[f] * sd[n_factor];
    return criterion;
}

static double excess_at(struct profile *p, double sd)
{
    p->search.v[p->which] = sd;
    return lowest(&p->search) - p->wanted;
}

static double excess(double log_sd, void *arg)
{
    return excess_at(arg, exp(log_sd));
}

static bool find_end(struct profile *p, double lo, double hi, double *end)
{
    gsl_function f = {excess, p};
    gsl_root_fsolver *solver = gsl_root_fsolver_alloc(gsl_root_fsolver_brent);
    bool found = gsl_root_fsolver_set(solver, &f, lo, hi) == 0;

    for (int round = 0; found && round < 100 && hi - lo > 1e-6; round++) {
        found = gsl_root_fsolver_iterate(solver) == 0;
        lo = gsl_root_fsolver_x_lower(solver);
        hi = gsl_root_fsolver_x_upper(solver);
    }
    *end = exp(gsl_root_fsolver_root(solver));
    gsl_root_fsolver_free(solver);
    return found;
}

static bool find_interval(struct profile *p, double best, struct wr_interval *interval)
{
    const double stride = 0.5;
    double top = best > 0 ? log(best) : LEAST_LOG, at = top;

    if (p->which < p->w.data->n_factor && (best == 0 || excess_at(p, 0) <= 0)) {
        interval->lo = 0;
    } else {
        while (excess(at, p) <= 0 && at > top - 20) at -= stride;
        if (!find_end(p, at, at + stride, &interval->lo)) return false;
    }
    for (at = top; excess(at, p) <= 0 && at < top + 20;) at += stride;
    return find_end(p, at - stride, at, &interval->hi);
}

enum wr_status wr_mixed_sd_interval(const struct wr_mixed_data *data, size_t which, double level,
                                    struct wr_interval *interval, struct wr_error *err)
{
    struct profile p = {.which = which};
    struct wr_interval found = {.known = true};

    WR_BUG_IF(which > data->n_factor || !(level > 0 && level < 1));
    enum wr_status status = open_workspace(&p.w, data, err);
    if (status != WR_OK) return status;
    p.search = (struct search){.cost = ml_cost, .arg = &p.w};
    double best = best_ml(&p.w, p.search.v);
    p.wanted = best + gsl_cdf_chisq_Pinv(level, 1);
    for (size_t i = 0; i <= data->n_factor; i++) {
        if (i == which) continue;
        p.search.may_vanish[p.search.n_free] = i < data->n_factor;
        p.search.free[p.search.n_free++] = i;
    }
    if (!isfinite(best))
        status = wr_fail(err, WR_E_NO_MAXIMUM, "the random factors explain the values without remainder");
    else if (!find_interval(&p, p.search.v[which], &found))
        status = wr_fail(err, WR_E_NO_CONVERGE, "an end of the interval is out of reach");
    if (status == WR_OK) *interval = (struct wr_interval){true, found.lo * p.w.unit, found.hi * p.w.unit};
    release_workspace(&p.w);
    return status;
}
