#include <math.h>
#include "compare_parts.h"
#include "wetrun/stats/learning.h"

enum { LEAST_CELLS_OF_SPREAD = 3 };
static const double no_scatter = 1e-10; /* logs that differ by less are equal times */

static void take_slope(struct wr_trend *trend, double slope, double lo, double hi, double level)
{
    trend->known = true;
    trend->slope_log = slope;
    trend->lo = lo;
    trend->hi = hi;
    trend->per_doubling = wr_learning_rate(slope) - 1;
    trend->per_doubling_lo = wr_learning_rate(lo) - 1;
    trend->per_doubling_hi = wr_learning_rate(hi) - 1;
    trend->level_log = level;
}

/* Equal values are a flat line without scatter, which rounding must not give a slope. */
static void fit_line(struct wr_trend *trend, struct wr_maybe *p, const double *x, const double *y, size_t n)
{
    struct wr_line line;

    *p = WR_UNKNOWN;
    trend->n_run = n;
    if (wr_line_fit(x, y, n, &line, NULL) != WR_OK) return;
    if (line.residual_sd < no_scatter) {
        bool flat = fabs(line.slope) < no_scatter;
        double slope = flat ? 0 : line.slope;
        take_slope(trend, slope, slope, slope, flat ? y[0] : line.intercept);
        *p = wr_known(flat);
        return;
    }
    struct wr_interval slope = wr_line_slope_interval(&line, 0.9);
    take_slope(trend, line.slope, slope.lo, slope.hi, line.intercept);
    *p = wr_line_slope_p(&line);
}

static void fit_tasks(struct wr_comparison *c, const struct wr_log_table *t)
{
    double *x = WR_NEW_ARRAY(double, t->n_run), *y = WR_NEW_ARRAY(double, t->n_run), *p = WR_NEW_ARRAY(double, t->n_task);
    size_t m = 0;

    for (size_t k = 0; k < t->n_task; k++) {
        struct wr_task_trend *trend = &c->task_trend[k];
        size_t n = 0;
        for (size_t i = 0; i < t->n_run; i++) {
            if (!t->present[k * t->n_run + i]) continue;
            x[n] = t->log_order[i];
            y[n++] = t->y[k * t->n_run + i];
        }
        trend->line.n_run = n;
        if (n < WR_TREND_LEAST_CELLS) continue;
        fit_line(&trend->line, &trend->p, x, y, n);
        if (trend->p.known) p[m++] = trend->p.value;
    }
    wr_holm_adjust(p, m);
    c->n_task_trend = m;
    m = 0;
    for (size_t k = 0; k < t->n_task; k++) {
        struct wr_task_trend *trend = &c->task_trend[k];
        if (!trend->p.known) continue;
        trend->holm_p = wr_known(p[m++]);
        trend->told = trend->holm_p.value <= WR_TREND_TOLD_P;
        c->n_task_told += trend->told;
    }
    wr_free(x);
    wr_free(y);
    wr_free(p);
}

/* Residuals in units of each task's own root mean square, so that a run does not count as scattered because it holds the
 * tasks that always are. */
static void fit_spread(struct wr_comparison *c, const struct wr_log_table *t, const struct wr_two_way *fit)
{
    double *ss = WR_NEW_ARRAY(double, t->n_run), *n = WR_NEW_ARRAY(double, t->n_run);
    double *x = WR_NEW_ARRAY(double, t->n_run), *y = WR_NEW_ARRAY(double, t->n_run);
    struct wr_maybe unused;
    size_t m = 0;

    for (size_t k = 0; k < t->n_task; k++) {
        const double *value = t->y + k * t->n_run;
        const unsigned char *present = t->present + k * t->n_run;
        double own = 0, cells = 0;
        for (size_t i = 0; i < t->n_run; i++)
            if (present[i]) own += pow(value[i] - fit->task_effect[k] - fit->run_effect[i], 2), cells++;
        if (cells < WR_TREND_LEAST_CELLS || !(own / cells > no_scatter * no_scatter)) continue;
        for (size_t i = 0; i < t->n_run; i++) {
            if (!present[i]) continue;
            ss[i] += pow(value[i] - fit->task_effect[k] - fit->run_effect[i], 2) / (own / cells);
            n[i]++;
        }
    }
    for (size_t i = 0; i < t->n_run; i++) {
        if (n[i] < LEAST_CELLS_OF_SPREAD || !(ss[i] > 0)) continue;
        c->run[t->run[i]].spread = wr_known(sqrt(ss[i] / n[i]));
        x[m] = t->log_order[i];
        y[m++] = log(c->run[t->run[i]].spread.value);
    }
    fit_line(&c->spread_trend, &unused, x, y, m);
    wr_free(ss);
    wr_free(n);
    wr_free(x);
    wr_free(y);
}

void wr_compare_trends(struct wr_comparison *c, const struct wr_log_table *table, const struct wr_two_way *fit)
{
    struct wr_maybe unused;

    fit_line(&c->trend, &unused, table->log_order, fit->run_effect, table->n_run);
    fit_tasks(c, table);
    fit_spread(c, table, fit);
}
