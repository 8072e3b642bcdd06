/* GSL's objects in memory of our own (base/memory.h), one block each: released by wr_free, never NULL. GSL's own
 * allocators would need a check at every call, and their blocks would stay behind where a guarded call is left. */
#pragma once

#include <gsl/gsl_eigen.h>
#include <gsl/gsl_matrix.h>
#include <gsl/gsl_rng.h>
#include <gsl/gsl_vector.h>

gsl_rng *wr_gsl_rng(const gsl_rng_type *type); /* to be seeded */
gsl_vector *wr_gsl_vector(size_t n);           /* zeros */
gsl_matrix *wr_gsl_matrix(size_t n_row, size_t n_column); /* zeros */
gsl_eigen_symmv_workspace *wr_gsl_eigen_symmv(size_t n);
