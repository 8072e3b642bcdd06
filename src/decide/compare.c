#include "wetrun/decide/compare.h"

#include <math.h>
#include <string.h>
#include "compare_parts.h"

/* ---- the table of logs ---- */

static void table_alloc(struct wr_log_table *table, size_t n_task, size_t n_run)
{
    *table = (struct wr_log_table){.n_task = n_task, .n_run = n_run};
    table->run = WR_NEW_ARRAY(size_t, n_run);
    table->log_order = WR_NEW_ARRAY(double, n_run);
    table->y = WR_NEW_ARRAY(double, n_task * n_run);
    table->present = WR_NEW_ARRAY(unsigned char, n_task * n_run);
}

void wr_log_table_release(struct wr_log_table *table)
{
    WR_FREE(table->run, table->log_order, table->y, table->present);
    *table = (struct wr_log_table){0};
}

void wr_log_table_of(struct wr_log_table *table, const struct wr_log_table *from, const size_t *at, size_t n)
{
    table_alloc(table, from->n_task, n);
    for (size_t i = 0; i < n; i++) {
        table->run[i] = from->run[at[i]];
        table->log_order[i] = from->log_order[at[i]];
        for (size_t k = 0; k < from->n_task; k++) {
            table->y[k * n + i] = from->y[k * from->n_run + at[i]];
            table->present[k * n + i] = from->present[k * from->n_run + at[i]];
        }
    }
}

static void table_of_all(struct wr_log_table *table, const struct wr_timing *timing)
{
    table_alloc(table, timing->n_task, timing->n_run);
    for (size_t r = 0; r < timing->n_run; r++) {
        table->run[r] = r;
        table->log_order[r] = log(timing->run[r].order);
    }
    for (size_t i = 0; i < timing->n_task * timing->n_run; i++) {
        double minutes = wr_cell_modelled_min(&timing->cell[i]);
        if (!wr_cell_is_timed(&timing->cell[i]) || !(minutes > 0)) continue;
        table->present[i] = 1;
        table->y[i] = log(minutes);
    }
}

/* One pass of spreading the smallest number along the runs in which a task was done; false if nothing changed. */
static bool spread_numbers(const struct wr_log_table *table, size_t *number)
{
    bool changed = false;

    for (size_t k = 0; k < table->n_task; k++) {
        const unsigned char *present = table->present + k * table->n_run;
        size_t least = SIZE_MAX;
        for (size_t r = 0; r < table->n_run; r++)
            if (present[r] && number[r] < least) least = number[r];
        for (size_t r = 0; r < table->n_run; r++)
            if (present[r] && number[r] != least) number[r] = least, changed = true;
    }
    return changed;
}

static bool has_cell(const struct wr_log_table *table, size_t run)
{
    for (size_t k = 0; k < table->n_task; k++)
        if (table->present[k * table->n_run + run]) return true;
    return false;
}

/* The runs with a done cell that a chain of common tasks connects; of several such sets the largest, of equal ones the
 * earliest. Empty if nothing was done. */
static void log_table_make(struct wr_log_table *table, const struct wr_timing *timing)
{
    WR_RELEASED_BY(wr_log_table_release) struct wr_log_table all = {0};
    size_t n = timing->n_run, *number = WR_NEW_ARRAY(size_t, n), *size = WR_NEW_ARRAY(size_t, n), largest = 0, kept = 0;

    table_of_all(&all, timing);
    for (size_t r = 0; r < n; r++) number[r] = r;
    while (spread_numbers(&all, number)) continue;
    for (size_t r = 0; r < n; r++) size[number[r]] += has_cell(&all, r);
    for (size_t r = 1; r < n; r++)
        if (size[r] > size[largest]) largest = r;
    for (size_t r = 0; r < n; r++) /* the list of kept runs takes the place of the sizes, never ahead of r */
        if (number[r] == largest && has_cell(&all, r)) size[kept++] = r;
    wr_log_table_of(table, &all, size, kept);
    WR_FREE(number, size);
}

/* ---- run by run ---- */

static void add_up_cells(struct wr_compared_run *out, const struct wr_timing *timing, size_t run)
{
    for (size_t k = 0; k < timing->n_task; k++) {
        const struct wr_cell *cell = wr_timing_cell(timing, k, run);
        out->active_min += cell->active_min;
        out->lead_in_min += cell->lead_in_min;
        out->gap_min += cell->gap_min + cell->hole_min;
        out->hold_min += cell->hold_min;
    }
    out->gap_min += timing->run[run].nobodys_min;
    for (size_t i = 0; i < timing->n_other; i++) {
        const struct wr_cell *cell = wr_timing_cell(timing, timing->n_task + i, run);
        out->off_plan_min += wr_cell_modelled_min(cell) + cell->hole_min + cell->hold_min;
    }
}

static void keep_largest(struct wr_compared_run *run, struct wr_standing_out found)
{
    size_t at = run->n_out;

    while (at > 0 && fabs(run->out[at - 1].minutes) < fabs(found.minutes)) at--;
    if (at == WR_MOST_STANDING_OUT) return;
    if (run->n_out < WR_MOST_STANDING_OUT) run->n_out++;
    memmove(&run->out[at + 1], &run->out[at], (run->n_out - at - 1) * sizeof found);
    run->out[at] = found;
}

/* A cell against what the same task in the other runs and the other tasks of the same run let expect: it must widen or
 * move nothing that it is held against. */
static void judge_cell(struct wr_compared_run *run, const struct wr_log_table *t, const struct wr_two_way *fit,
                       size_t k, size_t r, double n_in_run, double pooled_ms)
{
    const double *y = t->y + k * t->n_run;
    const unsigned char *present = t->present + k * t->n_run;
    double sum = 0, ss = 0, n = 0, residual = y[r] - fit->task_effect[k] - fit->run_effect[r];

    for (size_t o = 0; o < t->n_run; o++)
        if (present[o] && o != r) sum += y[o] - fit->run_effect[o], n++;
    if (n < 2 || n_in_run < 2) return; /* one other time is no standard, and a day with one task has no pace of its
                                          own */
    for (size_t o = 0; o < t->n_run; o++)
        if (present[o] && o != r) ss += pow(y[o] - fit->run_effect[o] - sum / n, 2);
    double ms = (WR_POOLED_WEIGHT * pooled_ms + ss) / (WR_POOLED_WEIGHT + n - 1);
    double pace = fit->run_effect[r] - residual / (n_in_run - 1), expected = sum / n + pace;
    double far = (y[r] - expected) / sqrt(ms * (1 + 1 / n) + pooled_ms / (n_in_run - 1));
    if (fabs(far) >= WR_STANDS_OUT_SD)
        keep_largest(run, (struct wr_standing_out){k, exp(y[r] - expected), exp(y[r]) - exp(expected), far});
}

static void find_standing_out(struct wr_comparison *c, const struct wr_log_table *t, const struct wr_two_way *fit)
{
    double *n_in_run = WR_NEW_ARRAY(double, t->n_run), n_cell = 0, n_task = 0, ss = 0;

    for (size_t k = 0; k < t->n_task; k++) {
        bool done = false;
        for (size_t r = 0; r < t->n_run; r++) {
            if (!t->present[k * t->n_run + r]) continue;
            ss += pow(t->y[k * t->n_run + r] - fit->task_effect[k] - fit->run_effect[r], 2);
            n_in_run[r]++;
            n_cell++;
            done = true;
        }
        n_task += done;
    }
    double df = n_cell - n_task - (double)t->n_run + 1;
    if (df >= 3 && ss / df > 1e-20) /* else too little to say what is out of the ordinary */
        for (size_t k = 0; k < t->n_task; k++)
            for (size_t r = 0; r < t->n_run; r++)
                if (t->present[k * t->n_run + r])
                    judge_cell(&c->run[t->run[r]], t, fit, k, r, n_in_run[r], ss / df);
    wr_free(n_in_run);
}

static void fit_runs(struct wr_comparison *c, const struct wr_log_table *t)
{
    struct wr_two_way fit = {WR_NEW_ARRAY(double, t->n_task), WR_NEW_ARRAY(double, t->n_run)};

    if (t->n_run > 0 &&
        wr_two_way_fit(t->y, t->present, t->n_task, t->n_run, fit.task_effect, fit.run_effect, NULL) == WR_OK) {
        for (size_t i = 0; i < t->n_run; i++) {
            if (fabs(fit.run_effect[i]) < 1e-12) fit.run_effect[i] = 0; /* rounding, not a difference */
            c->run[t->run[i]].effect = wr_known(fit.run_effect[i]);
        }
        find_standing_out(c, t, &fit);
        wr_compare_trends(c, t, &fit);
    }
    WR_FREE(fit.task_effect, fit.run_effect);
}

enum wr_status wr_compare(struct wr_comparison *c, const struct wr_run_log *log, const struct wr_timing *timing,
                          const struct wr_compare_options *options, struct wr_error *err)
{
    WR_RELEASED_BY(wr_log_table_release) struct wr_log_table table = {0};
    enum wr_status status = WR_OK;

    *c = (struct wr_comparison){.n_run = timing->n_run, .n_task = timing->n_task, .n_lane = timing->n_lane};
    c->run = WR_NEW_ARRAY(struct wr_compared_run, c->n_run);
    c->task_trend = WR_NEW_ARRAY(struct wr_task_trend, c->n_task);
    for (size_t r = 0; r < c->n_run; r++) {
        c->run[r].waiting_min = timing->waiting_min + r * timing->n_lane;
        add_up_cells(&c->run[r], timing, r);
    }
    log_table_make(&table, timing);
    fit_runs(c, &table);
    if (options->by != WR_BY_NOTHING) status = wr_compare_groups(c, &table, log, timing, options, err);
    if (status) wr_comparison_release(c);
    return status;
}

void wr_comparison_release(struct wr_comparison *c)
{
    for (size_t i = 0; i < c->n_group; i++) wr_free(c->group[i].task);
    WR_FREE(c->run, c->task_trend, c->group);
    wr_arena_release(&c->text);
    *c = (struct wr_comparison){0};
}
