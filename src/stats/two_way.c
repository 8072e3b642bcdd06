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
    WR_SCOPED unsigned char *mark = WR_NEW_ARRAY(unsigned char, l->n_run);
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

/* The table from one side: the items of one factor are solved for, those of the other are swept out. */
struct side {
    const struct layout *l;
    bool tasks; /* are solved for; false: runs are */
    size_t n, n_swept;
};

static struct side side_of(const struct layout *l, bool tasks)
{
    return (struct side){l, tasks, tasks ? l->n_task : l->n_run, tasks ? l->n_run : l->n_task};
}

static bool side_has(const struct side *s, size_t item, size_t swept, double *y)
{
    size_t at = s->tasks ? item * s->l->n_run + swept : swept * s->l->n_run + item;

    *y = s->l->y[at];
    return s->l->present[at] != 0;
}

/* Normal equations of the effects after the others are swept out; 1 added everywhere fixes their sum at 0. */
static void fill_equations(const struct side *s, gsl_matrix *a, gsl_vector *b)
{
    WR_SCOPED size_t *item = WR_NEW_ARRAY(size_t, s->n);
    WR_SCOPED double *y = WR_NEW_ARRAY(double, s->n);

    gsl_matrix_set_all(a, 1.0);
    for (size_t k = 0; k < s->n_swept; k++) {
        double mean = 0, value;
        size_t cells = 0;
        for (size_t i = 0; i < s->n; i++) {
            if (!side_has(s, i, k, &value)) continue;
            mean += value;
            y[cells] = value;
            item[cells++] = i;
        }
        if (cells == 0) continue;
        mean /= (double)cells;
        for (size_t i = 0; i < cells; i++) {
            *gsl_vector_ptr(b, item[i]) += y[i] - mean;
            *gsl_matrix_ptr(a, item[i], item[i]) += 1;
            for (size_t j = 0; j < cells; j++) *gsl_matrix_ptr(a, item[i], item[j]) -= 1 / (double)cells;
        }
    }
}

/* A task without a cell has no equation: this one makes its effect 0 and leaves the others alone. */
static void give_empty_items_an_equation(const struct side *s, gsl_matrix *a)
{
    for (size_t i = 0; i < s->n; i++) {
        double unused;
        size_t k = 0;
        while (k < s->n_swept && !side_has(s, i, k, &unused)) k++;
        if (k == s->n_swept) *gsl_matrix_ptr(a, i, i) += 1;
    }
}

static bool solve(const struct side *s, double *effect)
{
    WR_SCOPED gsl_matrix *a = wr_gsl_matrix(s->n, s->n);
    WR_SCOPED gsl_vector *b = wr_gsl_vector(s->n);

    fill_equations(s, a, b);
    give_empty_items_an_equation(s, a);
    bool solved = !gsl_linalg_cholesky_decomp1(a) && !gsl_linalg_cholesky_svx(a, b);
    for (size_t i = 0; i < s->n && solved; i++) effect[i] = gsl_vector_get(b, i);
    return solved;
}

/* The effects of the items that were swept out, given the others; 0 for one without a cell. */
static void swept_effects(const struct side *s, const double *effect, double *swept)
{
    for (size_t k = 0; k < s->n_swept; k++) {
        double sum = 0, cells = 0, y;
        for (size_t i = 0; i < s->n; i++) {
            if (!side_has(s, i, k, &y)) continue;
            sum += y - effect[i];
            cells++;
        }
        swept[k] = cells > 0 ? sum / cells : 0;
    }
}

/* By way of the tasks: hundreds of runs of a few tasks take no matrix of all runs. */
static bool solve_runs_by_tasks(const struct layout *l, double *run_effect)
{
    const struct side by_tasks = side_of(l, true);
    WR_SCOPED double *task_effect = WR_NEW_ARRAY(double, l->n_task);
    bool solved = solve(&by_tasks, task_effect);

    if (solved) {
        double mean = 0;
        swept_effects(&by_tasks, task_effect, run_effect);
        for (size_t r = 0; r < l->n_run; r++) mean += run_effect[r] / (double)l->n_run;
        for (size_t r = 0; r < l->n_run; r++) run_effect[r] -= mean;
    }
    return solved;
}

enum wr_status wr_two_way_fit(const double *y, const unsigned char *present, size_t n_task, size_t n_run,
                              double *task_effect, double *run_effect, struct wr_error *err)
{
    const struct layout l = {y, present, n_task, n_run};
    WR_BUG_IF(n_run == 0);
    enum wr_status status = check_layout(&l, err);
    if (status != WR_OK) return status;

    const struct side by_runs = side_of(&l, false);
    if (!(n_task < n_run ? solve_runs_by_tasks(&l, run_effect) : solve(&by_runs, run_effect)))
        return wr_fail(err, WR_E_NO_CONVERGE, "the equations of the run effects could not be solved");
    if (task_effect) swept_effects(&by_runs, run_effect, task_effect);
    return WR_OK;
}
