#include "wetrun/decide/compare.h"

#include <math.h>
#include <string.h>
#include "compare_parts.h"
#include "wetrun/stats/special.h"

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

/* What the other runs of a task say of it, each at its day's pace. */
struct others {
    double *done, *least; /* log minutes; of a stopped task, at least so many */
    size_t n_done, n_least;
};
struct standard { double mean, ms, n; }; /* n: how many times the mean is worth */

static struct standard standard_of_done(const struct others *o, double pooled_ms)
{
    double sum = 0, ss = 0, n = (double)o->n_done;

    for (size_t i = 0; i < o->n_done; i++) sum += o->done[i];
    for (size_t i = 0; i < o->n_done; i++) ss += pow(o->done[i] - sum / n, 2);
    return (struct standard){sum / n, (WR_POOLED_WEIGHT * pooled_ms + ss) / (WR_POOLED_WEIGHT + n - 1), n};
}

/* A normal beyond a bound: expectation, variance, and how much of an observation it is for the mean. */
struct beyond { double mean, variance, worth; };

static struct beyond beyond(double bound, const struct standard *s)
{
    double sd = sqrt(s->ms), z = (bound - s->mean) / sd, hazard = wr_normal_hazard(z), worth = hazard * (hazard - z);

    return (struct beyond){s->mean + sd * hazard, s->ms * (1 - worth), worth};
}

/* A step of expectation and maximisation (Dempster, Laird and Rubin 1977, from memory). */
static struct standard step_to_bounds(const struct others *o, const struct standard *from, double pooled_ms)
{
    double n = (double)(o->n_done + o->n_least), sum = 0, ss = 0, worth = (double)o->n_done;

    for (size_t i = 0; i < o->n_done; i++) sum += o->done[i];
    for (size_t i = 0; i < o->n_least; i++) sum += beyond(o->least[i], from).mean;
    for (size_t i = 0; i < o->n_done; i++) ss += pow(o->done[i] - sum / n, 2);
    for (size_t i = 0; i < o->n_least; i++) {
        const struct beyond b = beyond(o->least[i], from);
        ss += b.variance + pow(b.mean - sum / n, 2);
        worth += b.worth;
    }
    return (struct standard){sum / n, (WR_POOLED_WEIGHT * pooled_ms + ss) / (WR_POOLED_WEIGHT + n - 1), worth};
}

static struct standard standard_of(const struct others *o, double pooled_ms)
{
    enum { MOST_STEPS = 1000 };
    struct standard s = standard_of_done(o, pooled_ms);

    for (int i = 0; o->n_least > 0 && i < MOST_STEPS; i++) {
        const struct standard before = s;
        s = step_to_bounds(o, &before, pooled_ms);
        if (fabs(s.mean - before.mean) + fabs(s.ms - before.ms) < 1e-10 * s.ms) break;
    }
    return s;
}

struct judging { /* which cells stand out */
    struct wr_comparison *c;
    const struct wr_timing *timing;
    const struct wr_log_table *t;
    const struct wr_two_way *fit;
    double *n_in_run, pooled_ms;
    struct others others;
};

static bool is_lower_bound(const struct wr_cell *cell)
{
    return cell->state == WR_CELL_STOPPED && wr_cell_has_time(cell);
}

static void see_others(struct judging *j, size_t k, size_t r)
{
    const struct wr_log_table *t = j->t;
    struct others *others = &j->others;

    others->n_done = others->n_least = 0;
    for (size_t o = 0; o < t->n_run; o++) {
        const struct wr_cell *cell = wr_timing_cell(j->timing, k, t->run[o]);
        if (o == r) continue;
        if (t->present[k * t->n_run + o])
            others->done[others->n_done++] = t->y[k * t->n_run + o] - j->fit->run_effect[o];
        else if (is_lower_bound(cell))
            others->least[others->n_least++] = log(wr_cell_modelled_min(cell)) - j->fit->run_effect[o];
    }
}

/* A cell against what the same task in the other runs and the other tasks of the same run let expect: it must widen or
 * move nothing that it is held against. A lower bound is in no fit; of it only that it is long can be said. */
static void judge_cell(struct judging *j, size_t k, size_t r)
{
    const struct wr_two_way *fit = j->fit;
    const bool done = j->t->present[k * j->t->n_run + r];
    const struct wr_cell *cell = wr_timing_cell(j->timing, k, j->t->run[r]);
    double n_other = j->n_in_run[r] - done;

    if (!done && !is_lower_bound(cell)) return;
    see_others(j, k, r);
    if (j->others.n_done < 2 || n_other < 1) return; /* one other time is no standard, and a day with one task has no
                                                        pace of its own */
    double y = log(wr_cell_modelled_min(cell));
    double residual = done ? y - fit->task_effect[k] - fit->run_effect[r] : 0;
    const struct standard s = standard_of(&j->others, j->pooled_ms);
    double expected = s.mean + fit->run_effect[r] - residual / n_other;
    double far = (y - expected) / sqrt(s.ms * (1 + 1 / s.n) + j->pooled_ms / n_other);
    if ((done ? fabs(far) : far) >= WR_STANDS_OUT_SD)
        keep_largest(&j->c->run[j->t->run[r]],
                     (struct wr_standing_out){k, exp(y - expected), exp(y) - exp(expected), far, !done});
}

static void judge_cells(struct judging *j)
{
    j->others.done = WR_NEW_ARRAY(double, j->t->n_run);
    j->others.least = WR_NEW_ARRAY(double, j->t->n_run);
    for (size_t k = 0; k < j->t->n_task; k++)
        for (size_t r = 0; r < j->t->n_run; r++) judge_cell(j, k, r);
    WR_FREE(j->others.done, j->others.least);
}

static void find_standing_out(struct wr_comparison *c, const struct wr_timing *timing, const struct wr_log_table *t,
                              const struct wr_two_way *fit)
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
    struct judging j = {.c = c, .timing = timing, .t = t, .fit = fit, .n_in_run = n_in_run, .pooled_ms = ss / df};
    if (df >= 3 && ss / df > 1e-20) judge_cells(&j); /* else too little to say what is out of the ordinary */
    wr_free(n_in_run);
}

static void fit_runs(struct wr_comparison *c, const struct wr_timing *timing, const struct wr_log_table *t)
{
    struct wr_two_way fit = {WR_NEW_ARRAY(double, t->n_task), WR_NEW_ARRAY(double, t->n_run)};

    if (t->n_run > 0 &&
        wr_two_way_fit(t->y, t->present, t->n_task, t->n_run, fit.task_effect, fit.run_effect, NULL) == WR_OK) {
        for (size_t i = 0; i < t->n_run; i++) {
            if (fabs(fit.run_effect[i]) < 1e-12) fit.run_effect[i] = 0; /* rounding, not a difference */
            c->run[t->run[i]].effect = wr_known(fit.run_effect[i]);
        }
        find_standing_out(c, timing, t, &fit);
        wr_compare_lengths(c, timing, t, &fit);
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
    fit_runs(c, timing, &table);
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
