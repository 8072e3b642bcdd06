#include <math.h>
#include "wetrun/base/memory.h"
#include "wetrun/stats/special.h"
#include "wetrun/stats/variance_components.h"

/* The cells of a task-by-run table as a list of values with their design. */
struct cells {
    size_t n, n_run, n_column;
    double *y, *x;
    size_t *run;
};

/* index[i] = position among the rows (by_task) or columns that hold a cell; returns how many there are */
static size_t number_used(const unsigned char *present, size_t n_task, size_t n_run, int by_task, size_t *index)
{
    size_t n = 0, n_outer = by_task ? n_task : n_run, n_inner = by_task ? n_run : n_task;

    for (size_t i = 0; i < n_outer; i++) {
        size_t cells = 0;
        for (size_t j = 0; j < n_inner; j++) cells += present[by_task ? i * n_run + j : j * n_run + i] != 0;
        index[i] = n;
        n += cells > 0;
    }
    return n;
}

static struct cells list_cells(const double *y, const unsigned char *present, size_t n_task, size_t n_run,
                               const double *trend)
{
    size_t *task_index = WR_NEW_ARRAY(size_t, n_task), *run_index = WR_NEW_ARRAY(size_t, n_run);
    size_t tasks = number_used(present, n_task, n_run, 1, task_index);
    struct cells c = {.n_run = number_used(present, n_task, n_run, 0, run_index), .n_column = tasks + (trend ? 1 : 0)};

    for (size_t i = 0; i < n_task * n_run; i++) c.n += present[i] != 0;
    c.y = WR_NEW_ARRAY(double, c.n);
    c.run = WR_NEW_ARRAY(size_t, c.n);
    c.x = WR_NEW_ARRAY(double, c.n * c.n_column);
    size_t at = 0;
    for (size_t i = 0; i < n_task * n_run; i++) {
        if (!present[i]) continue;
        double *row = c.x + at * c.n_column;
        row[task_index[i / n_run]] = 1;
        if (trend) row[tasks] = trend[i % n_run];
        c.run[at] = run_index[i % n_run];
        c.y[at++] = y[i];
    }
    wr_free(task_index);
    wr_free(run_index);
    return c;
}

enum wr_status wr_run_effect_fit(const double *y, const unsigned char *present, size_t n_task, size_t n_run,
                                 const double *trend, double level, struct wr_run_effect *out, struct wr_error *err)
{
    struct cells c = list_cells(y, present, n_task, n_run, trend);
    struct wr_mixed_data data = {.n = c.n, .n_fixed = c.n_column, .n_factor = 1, .y = c.y, .x = c.x, .level = {c.run},
                                 .n_level = {c.n_run}};
    struct wr_mixed_fit fit = {0};
    struct wr_run_effect e = {0};
    enum wr_status status = WR_OK;

    if (!c.n) status = wr_fail(err, WR_E_TOO_FEW, "no times");
    else if (trend && c.n_run < 3)
        status = wr_fail(err, WR_E_TOO_FEW, "a trend over %zu run%s", c.n_run, c.n_run == 1 ? "" : "s");
    if (status == WR_OK) status = wr_mixed_fit(&fit, &data, err);
    if (status == WR_OK) status = wr_mixed_sd_interval(&data, 0, level, &e.sd_interval, err);
    if (status == WR_OK) {
        e.sd_log = fit.sd_factor[0];
        e.residual_sd_log = fit.sd_residual;
        if (trend) {
            e.slope_log = fit.fixed[c.n_column - 1];
            e.slope_se = fit.fixed_se[c.n_column - 1];
            double half = wr_t_quantile(0.5 + 0.5 * level, (double)c.n_run - 2) * e.slope_se;
            e.slope_interval = (struct wr_interval){true, e.slope_log - half, e.slope_log + half};
        }
        *out = e;
    }
    wr_mixed_fit_release(&fit);
    wr_free(c.y);
    wr_free(c.x);
    wr_free(c.run);
    return status;
}
