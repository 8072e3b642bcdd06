#include <math.h>
#include <string.h>
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
    if (n < WR_TREND_LEAST_RUNS || wr_line_fit(x, y, n, &line, NULL) != WR_OK) return;
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

/* Along the runs of which the value is known. */
static struct wr_maybe fit_known(struct wr_trend *trend, const struct wr_log_table *t, const struct wr_maybe *value)
{
    WR_SCOPED double *x = WR_NEW_ARRAY(double, t->n_run), *y = WR_NEW_ARRAY(double, t->n_run);
    struct wr_maybe p;
    size_t n = 0;

    for (size_t i = 0; i < t->n_run; i++) {
        if (!value[i].known) continue;
        x[n] = t->log_order[i];
        y[n++] = value[i].value;
    }
    fit_line(trend, &p, x, y, n);
    return p;
}

static void fit_lengths(struct wr_comparison *c, const struct wr_log_table *t, const struct wr_two_way *fit)
{
    WR_SCOPED struct wr_maybe *value = WR_NEW_ARRAY(struct wr_maybe, t->n_run);

    for (size_t i = 0; i < t->n_run; i++) value[i] = c->run[t->run[i]].length;
    fit_known(&c->length_trend, t, value);
    for (size_t i = 0; i < t->n_run; i++) value[i].value -= fit->run_effect[i];
    c->apart_p = fit_known(&c->apart_trend, t, value);
}

int wr_trend_shown(const struct wr_trend *t)
{
    const double least = 0.0005; /* shows as 0.1 % */

    return !t->known ? 0 : t->per_doubling_hi <= -least ? -1 : t->per_doubling_lo >= least ? 1 : 0;
}

static void fit_tasks(struct wr_comparison *c, const struct wr_log_table *t)
{
    WR_SCOPED double *x = WR_NEW_ARRAY(double, t->n_run), *y = WR_NEW_ARRAY(double, t->n_run),
                     *p = WR_NEW_ARRAY(double, t->n_task);
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
        trend->told = trend->holm_p.value <= WR_TREND_TOLD_P && wr_trend_shown(&trend->line) != 0;
        c->n_task_told += trend->told;
    }
}

/* Task + run fitted again, each task weighted by its own scatter: in the plain fit the noise of a wild task gets into
 * the pace of its runs, and from there into the residuals of all the others. */
struct weighed_fit {
    const struct wr_log_table *table;
    double *task_effect, *run_effect, *mean_square; /* [n_task], [n_run], [n_task] of the residuals; 0: task left out */
};

static double residual(const struct weighed_fit *f, size_t task, size_t i)
{
    return f->table->y[task * f->table->n_run + i] - f->task_effect[task] - f->run_effect[i];
}

static void weigh_tasks(struct weighed_fit *f)
{
    const struct wr_log_table *t = f->table;
    double all = 0, n_all = 0;

    for (size_t k = 0; k < t->n_task; k++) {
        double ss = 0, n = 0;
        for (size_t i = 0; i < t->n_run; i++)
            if (t->present[k * t->n_run + i]) ss += pow(residual(f, k, i), 2), n++;
        f->mean_square[k] = n >= WR_TREND_LEAST_CELLS && ss / n > no_scatter * no_scatter ? ss / (n - 1) : 0;
        if (f->mean_square[k] > 0) all += ss, n_all += n;
    }
    for (size_t k = 0; k < t->n_task; k++) { /* a few cells that happen to agree must not carry the day */
        double n = 0;
        for (size_t i = 0; i < t->n_run; i++) n += t->present[k * t->n_run + i];
        if (f->mean_square[k] > 0)
            f->mean_square[k] = (WR_POOLED_WEIGHT * all / n_all + n * f->mean_square[k]) / (WR_POOLED_WEIGHT + n);
    }
}

static void fit_again(struct weighed_fit *f)
{
    const struct wr_log_table *t = f->table;

    for (size_t i = 0; i < t->n_run; i++) {
        double sum = 0, weight = 0;
        for (size_t k = 0; k < t->n_task; k++) {
            if (!t->present[k * t->n_run + i] || !(f->mean_square[k] > 0)) continue;
            sum += (t->y[k * t->n_run + i] - f->task_effect[k]) / f->mean_square[k];
            weight += 1 / f->mean_square[k];
        }
        if (weight > 0) f->run_effect[i] = sum / weight;
    }
    for (size_t k = 0; k < t->n_task; k++) {
        double sum = 0, n = 0;
        for (size_t i = 0; i < t->n_run; i++)
            if (t->present[k * t->n_run + i]) sum += t->y[k * t->n_run + i] - f->run_effect[i], n++;
        if (n > 0) f->task_effect[k] = sum / n;
    }
}

/* Residuals in units of each task's own root mean square, so that a run does not count as scattered because it holds
 * the tasks that always are; n - 1, because the run's pace was taken from the same n. */
static void take_spread(struct wr_comparison *c, const struct weighed_fit *f)
{
    const struct wr_log_table *t = f->table;
    WR_SCOPED double *ss = WR_NEW_ARRAY(double, t->n_run), *n = WR_NEW_ARRAY(double, t->n_run);

    for (size_t k = 0; k < t->n_task; k++) {
        double own = 0, cells = 0;
        if (!(f->mean_square[k] > 0)) continue;
        for (size_t i = 0; i < t->n_run; i++)
            if (t->present[k * t->n_run + i]) own += pow(residual(f, k, i), 2), cells++;
        for (size_t i = 0; i < t->n_run; i++)
            if (t->present[k * t->n_run + i]) ss[i] += pow(residual(f, k, i), 2) / (own / (cells - 1)), n[i]++;
    }
    for (size_t i = 0; i < t->n_run; i++)
        if (n[i] >= LEAST_CELLS_OF_SPREAD && ss[i] > 0) c->run[t->run[i]].spread = wr_known(sqrt(ss[i] / (n[i] - 1)));
}

static void fit_spread(struct wr_comparison *c, const struct wr_log_table *t, const struct wr_two_way *plain)
{
    enum { ROUNDS = 12 }; /* from the plain fit; the last rounds move effects by less than a thousandth of their
                             error */
    struct weighed_fit f = {t, WR_NEW_ARRAY(double, t->n_task), WR_NEW_ARRAY(double, t->n_run),
                            WR_NEW_ARRAY(double, t->n_task)};
    WR_SCOPED struct wr_maybe *value = WR_NEW_ARRAY(struct wr_maybe, t->n_run);

    if (t->n_task) memcpy(f.task_effect, plain->task_effect, t->n_task * sizeof(double));
    memcpy(f.run_effect, plain->run_effect, t->n_run * sizeof(double));
    weigh_tasks(&f);
    for (int i = 0; i < ROUNDS; i++) {
        fit_again(&f);
        weigh_tasks(&f);
    }
    take_spread(c, &f);
    for (size_t i = 0; i < t->n_run; i++) {
        const struct wr_maybe *spread = &c->run[t->run[i]].spread;
        value[i] = spread->known ? wr_known(log(spread->value)) : WR_UNKNOWN;
    }
    fit_known(&c->spread_trend, t, value);
    WR_FREE(f.task_effect, f.run_effect, f.mean_square);
}

void wr_compare_trends(struct wr_comparison *c, const struct wr_log_table *table, const struct wr_two_way *fit)
{
    struct wr_maybe unused;

    fit_line(&c->trend, &unused, table->log_order, fit->run_effect, table->n_run);
    fit_lengths(c, table, fit);
    fit_tasks(c, table);
    fit_spread(c, table, fit);
}
