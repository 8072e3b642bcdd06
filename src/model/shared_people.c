#include "wetrun/model/shared_people.h"

#include <gsl/gsl_blas.h>
#include <math.h>
#include "wetrun/base/memory.h"
#include "wetrun/stats/gsl_own.h"

static const double flat = 1e-10; /* of the largest variance: a direction without spread */

struct sample { size_t n, n_draw; const double **row; double *mean; gsl_matrix *cov; };

static double covariance(const double *a, double mean_a, const double *b, double mean_b, size_t n)
{
    double sum = 0;

    for (size_t j = 0; j < n; j++) sum += (a[j] - mean_a) * (b[j] - mean_b);
    return sum / (double)(n - 1);
}

static double mean_of(const double *a, size_t n)
{
    double sum = 0;

    for (size_t j = 0; j < n; j++) sum += a[j];
    return sum / (double)n;
}

static void sample_take(struct sample *s)
{
    s->mean = WR_NEW_ARRAY(double, s->n);
    s->cov = wr_gsl_matrix(s->n, s->n);
    for (size_t i = 0; i < s->n; i++) s->mean[i] = mean_of(s->row[i], s->n_draw);
    for (size_t i = 0; i < s->n; i++)
        for (size_t k = 0; k < s->n; k++)
            gsl_matrix_set(s->cov, i, k, covariance(s->row[i], s->mean[i], s->row[k], s->mean[k], s->n_draw));
}

static void sample_release(struct sample *s)
{
    WR_FREE(s->row, s->mean, s->cov);
}

/* to = m^power of a covariance matrix; false: there is no spread in some direction. */
static bool power_of(const gsl_matrix *m, double power, gsl_matrix *to)
{
    size_t n = m->size1;
    WR_SCOPED gsl_matrix *copy = wr_gsl_matrix(n, n), *vector = wr_gsl_matrix(n, n);
    WR_SCOPED gsl_vector *value = wr_gsl_vector(n);
    WR_SCOPED gsl_eigen_symmv_workspace *work = wr_gsl_eigen_symmv(n);

    gsl_matrix_memcpy(copy, m);
    gsl_eigen_symmv(copy, value, vector, work);
    double most = gsl_vector_max(value);
    bool spreads = most > 0 && gsl_vector_min(value) > flat * most;
    gsl_matrix_set_zero(to);
    for (size_t e = 0; e < n && spreads; e++) {
        gsl_vector_const_view v = gsl_matrix_const_column(vector, e);
        gsl_blas_dger(pow(gsl_vector_get(value, e), power), &v.vector, &v.vector, to);
    }
    return spreads;
}

static void product(const gsl_matrix *a, const gsl_matrix *b, gsl_matrix *to)
{
    gsl_blas_dgemm(CblasNoTrans, CblasNoTrans, 1, a, b, 0, to);
}

/* A of the header in `way`, the inverse of own's covariances in `inverse`. */
static bool find_way(const struct sample *own, const struct sample *other, gsl_matrix *way, gsl_matrix *inverse)
{
    size_t n = own->n;
    WR_SCOPED gsl_matrix *root = wr_gsl_matrix(n, n), *back = wr_gsl_matrix(n, n), *a = wr_gsl_matrix(n, n),
                         *b = wr_gsl_matrix(n, n);
    bool found = power_of(other->cov, 0.5, root) && power_of(other->cov, -0.5, back) &&
                 power_of(own->cov, -1, inverse);

    if (found) {
        product(root, own->cov, a);
        product(a, root, b);
        found = power_of(b, 0.5, a);
        product(back, a, b);
        product(b, back, way);
    }
    return found;
}

/* Moves a row of draws along its regression on the people, by what those move; from, to: [person * n_draw + draw]. */
static void go_along(double *row, const struct sample *own, const gsl_matrix *inverse, const double *by)
{
    size_t n = own->n, n_draw = own->n_draw;
    double mean = mean_of(row, n_draw);
    WR_SCOPED gsl_vector *with = wr_gsl_vector(n), *slope = wr_gsl_vector(n);

    for (size_t i = 0; i < n; i++) gsl_vector_set(with, i, covariance(row, mean, own->row[i], own->mean[i], n_draw));
    gsl_blas_dgemv(CblasNoTrans, 1, inverse, with, 0, slope);
    for (size_t i = 0; i < n; i++)
        for (size_t j = 0; j < n_draw; j++) row[j] += gsl_vector_get(slope, i) * by[i * n_draw + j];
}

static bool is_shared(const size_t *person, size_t n_shared, size_t p)
{
    for (size_t i = 0; i < n_shared; i++)
        if (person[i] == p) return true;
    return false;
}

static void move_all(struct wr_durations *d, const size_t *person, const struct sample *own,
                     const struct sample *other, const gsl_matrix *way, const gsl_matrix *inverse)
{
    size_t n = own->n, n_draw = d->n_draw;
    WR_SCOPED double *by = wr_alloc(n, n_draw * sizeof *by);

    for (size_t i = 0; i < n; i++)
        for (size_t j = 0; j < n_draw; j++) {
            double to = own->mean[i];
            for (size_t k = 0; k < n; k++) to += gsl_matrix_get(way, i, k) * (other->row[k][j] - other->mean[k]);
            by[i * n_draw + j] = to - own->row[i][j];
        }
    for (size_t k = 0; k < d->n_task; k++)
        if (wr_durations_are_modelled(d, k)) go_along(d->centre_log + k * n_draw, own, inverse, by);
    for (size_t p = 0; p < d->n_person; p++)
        if (!is_shared(person, n, p)) go_along(d->q + p * n_draw, own, inverse, by);
    for (size_t i = 0; i < n; i++) /* last: own->row are these */
        for (size_t j = 0; j < n_draw; j++) d->q[person[i] * n_draw + j] += by[i * n_draw + j];
}

void wr_people_join(struct wr_durations *d, const size_t *person, const double *const *as, size_t n_shared)
{
    struct sample own = {.n = n_shared, .n_draw = d->n_draw, .row = WR_NEW_ARRAY(const double *, n_shared)};
    struct sample other = {.n = n_shared, .n_draw = d->n_draw, .row = WR_NEW_ARRAY(const double *, n_shared)};

    if (n_shared > 0 && d->n_draw > 1) {
        WR_SCOPED gsl_matrix *way = wr_gsl_matrix(n_shared, n_shared), *inverse = wr_gsl_matrix(n_shared, n_shared);
        for (size_t i = 0; i < n_shared; i++) {
            own.row[i] = d->q + person[i] * d->n_draw;
            other.row[i] = as[i];
        }
        sample_take(&own);
        sample_take(&other);
        if (find_way(&own, &other, way, inverse)) move_all(d, person, &own, &other, way, inverse);
    }
    sample_release(&own);
    sample_release(&other);
}
