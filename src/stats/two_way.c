#include <gsl/gsl_linalg.h>
#include <math.h>
#include "wetrun/base/memory.h"
#include "wetrun/stats/grouping.h"
#include "wetrun/stats/gsl_own.h"

struct layout {
    const double *y;
    const unsigned char *present;
    size_t n_task, n_run;
};

static bool has(const struct layout *l, size_t task, size_t run)
{
    return l->present[task * l->n_run + run] != 0;
}

/* Spreads a mark from run 0 over common tasks; the number of the first run that stays unmarked, or n_run. */
static size_t first_unconnected_run(const struct layout *l)
{
    unsigned char *mark = WR_NEW_ARRAY(unsigned char, l->n_run);
    bool grew = true;
    size_t r;

    mark[0] = 1;
    while (grew) {
        grew = false;
        for (size_t k = 0; k < l->n_task; k++) {
            bool touched = false;
            for (r = 0; r < l->n_run; r++) touched |= has(l, k, r) && mark[r];
            if (!touched) continue;
            for (r = 0; r < l->n_run; r++) {
                if (!has(l, k, r) || mark[r]) continue;
                mark[r] = 1;
                grew = true;
            }
        }
    }
    for (r = 0; r < l->n_run && mark[r]; r++) continue;
    wr_free(mark);
    return r;
}

static enum wr_status check_layout(const struct layout *l, struct wr_error *err)
{
    for (size_t r = 0; r < l->n_run; r++) {
        size_t cells = 0;
        for (size_t k = 0; k < l->n_task; k++) {
            if (!has(l, k, r)) continue;
            cells++;
            if (!isfinite(l->y[k * l->n_run + r]))
                return wr_fail(err, WR_E_DOMAIN, "task %zu, run %zu: not finite", k + 1, r + 1);
        }
        if (!cells) return wr_fail(err, WR_E_TOO_FEW, "run %zu has no task that could be compared", r + 1);
    }
    size_t alone = first_unconnected_run(l);
    if (alone < l->n_run)
        return wr_fail(err, WR_E_TOO_FEW, "run %zu shares no tasks with run 1, directly or through other runs",
                       alone + 1);
    return WR_OK;
}

/* Normal equations of the run effects after the tasks are swept out; 1 added everywhere fixes their sum at 0. */
static void fill_equations(const struct layout *l, gsl_matrix *a, gsl_vector *b)
{
    gsl_matrix_set_all(a, 1.0);
    for (size_t k = 0; k < l->n_task; k++) {
        double mean = 0, cells = 0;
        for (size_t r = 0; r < l->n_run; r++) {
            if (!has(l, k, r)) continue;
            mean += l->y[k * l->n_run + r];
            cells++;
        }
        if (cells == 0) continue;
        mean /= cells;
        for (size_t r = 0; r < l->n_run; r++) {
            if (!has(l, k, r)) continue;
            *gsl_vector_ptr(b, r) += l->y[k * l->n_run + r] - mean;
            *gsl_matrix_ptr(a, r, r) += 1;
            for (size_t s = 0; s < l->n_run; s++)
                if (has(l, k, s)) *gsl_matrix_ptr(a, r, s) -= 1 / cells;
        }
    }
}

static void task_effects(const struct layout *l, const double *run_effect, double *task_effect)
{
    for (size_t k = 0; k < l->n_task; k++) {
        double sum = 0, cells = 0;
        for (size_t r = 0; r < l->n_run; r++) {
            if (!has(l, k, r)) continue;
            sum += l->y[k * l->n_run + r] - run_effect[r];
            cells++;
        }
        task_effect[k] = cells > 0 ? sum / cells : 0;
    }
}

enum wr_status wr_two_way_fit(const double *y, const unsigned char *present, size_t n_task, size_t n_run,
                              double *task_effect, double *run_effect, struct wr_error *err)
{
    struct layout l = {y, present, n_task, n_run};
    WR_BUG_IF(n_run == 0);
    enum wr_status status = check_layout(&l, err);
    if (status != WR_OK) return status;

    gsl_matrix *a = wr_gsl_matrix(n_run, n_run);
    gsl_vector *b = wr_gsl_vector(n_run);
    fill_equations(&l, a, b);
    int trouble = gsl_linalg_cholesky_decomp1(a);
    if (!trouble) trouble = gsl_linalg_cholesky_svx(a, b);
    for (size_t r = 0; r < n_run && !trouble; r++) run_effect[r] = gsl_vector_get(b, r);
    if (!trouble && task_effect) task_effects(&l, run_effect, task_effect);
    wr_free(a);
    wr_free(b);
    return trouble ? wr_fail(err, WR_E_NO_CONVERGE, "the equations of the run effects could not be solved") : WR_OK;
}
