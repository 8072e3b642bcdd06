#include "wetrun/stats/gsl_own.h"

#include "wetrun/base/memory.h"

/* An object of `size` bytes with n doubles behind it. */
static void *object_with(size_t size, size_t n, double **data)
{
    size_t head = (size + sizeof(double) - 1) / sizeof(double);
    double *block = wr_alloc(head + n, sizeof(double));

    *data = block + head;
    return block;
}

gsl_rng *wr_gsl_rng(const gsl_rng_type *type)
{
    double *state;
    gsl_rng *rng = object_with(sizeof *rng, type->size / sizeof(double) + 1, &state);

    rng->type = type;
    rng->state = state;
    gsl_rng_set(rng, gsl_rng_default_seed);
    return rng;
}

gsl_vector *wr_gsl_vector(size_t n)
{
    double *data;
    gsl_vector *v = object_with(sizeof *v, n, &data);

    *v = gsl_vector_view_array(data, n).vector;
    return v;
}

gsl_matrix *wr_gsl_matrix(size_t n_row, size_t n_column)
{
    double *data;
    gsl_matrix *m = object_with(sizeof *m, n_row * n_column, &data);

    *m = gsl_matrix_view_array(data, n_row, n_column).matrix;
    return m;
}

gsl_eigen_symmv_workspace *wr_gsl_eigen_symmv(size_t n)
{
    double *data;
    gsl_eigen_symmv_workspace *work = object_with(sizeof *work, 4 * n, &data);

    *work = (gsl_eigen_symmv_workspace){.size = n, .d = data, .sd = data + n, .gc = data + 2 * n, .gs = data + 3 * n};
    return work;
}
