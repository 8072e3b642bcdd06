#include "wetrun/decide/compare.h"

#include <math.h>
#include <string.h>
#include "wetrun/stats/learning.h"

/* ---- the table of logs ---- */

struct logs { /* done cells only */
    size_t n_task, n_run;
    double *y;               /* [task * n_run + run] */
    unsigned char *present;
};

static void logs_make(struct logs *l, const struct wr_timing *timing)
{
    *l = (struct logs){.n_task = timing->n_task, .n_run = timing->n_run};
    l->y = WR_NEW_ARRAY(double, l->n_task * l->n_run);
    l->present = WR_NEW_ARRAY(unsigned char, l->n_task * l->n_run);
    for (size_t i = 0; i < l->n_task * l->n_run; i++) {
        double minutes = wr_cell_modelled_min(&timing->cell[i]);
        if (timing->cell[i].state != WR_CELL_DONE || !(minutes > 0)) continue;
        l->present[i] = 1;
        l->y[i] = log(minutes);
    }
}

static void logs_release(struct logs *l)
{
    wr_free(l->y);
    wr_free(l->present);
}

/* ---- run by run ---- */

static void add_up_cells(struct wr_compared_run *out, const struct wr_timing *timing, size_t run)
{
    for (size_t k = 0; k < timing->n_task; k++) {
        const struct wr_cell *cell = wr_timing_cell(timing, k, run);
        out->active_min += cell->active_min;
        out->lead_in_min += cell->lead_in_min;
        out->gap_min += cell->gap_min;
        out->hold_min += cell->hold_min;
    }
}

/* Residuals of the two-way fit and, per cell, the sd to hold them against: that of the task's residuals in the other runs,
 * or where those are fewer than three the pooled one. A cell's own residual must not widen the measure it is held against. */
static void find_standing_out(struct wr_comparison *c, const struct logs *l, const double *task_effect,
                              const double *run_effect)
{
    size_t n_cell = 0;
    double pooled_ss = 0;

    for (size_t i = 0; i < l->n_task * l->n_run; i++)
        if (l->present[i]) {
            double r = l->y[i] - task_effect[i / l->n_run] - run_effect[i % l->n_run];
            pooled_ss += r * r;
            n_cell++;
        }
    double df = (double)n_cell - (double)l->n_task - (double)l->n_run + 1;
    if (df < 3 || !(pooled_ss > 0)) return; /* too little to say what is out of the ordinary */
    double pooled_sd = sqrt(pooled_ss / df);
    for (size_t k = 0; k < l->n_task; k++) {
        const double *y = l->y + k * l->n_run;
        const unsigned char *present = l->present + k * l->n_run;
        for (size_t r = 0; r < l->n_run; r++) {
            double sum = 0, ss = 0, n = 0;
            if (!present[r]) continue;
            for (size_t o = 0; o < l->n_run; o++)
                if (present[o] && o != r) sum += y[o] - run_effect[o], n++;
            if (n < 2) continue; /* one other time is no standard */
            for (size_t o = 0; o < l->n_run; o++)
                if (present[o] && o != r) ss += pow(y[o] - run_effect[o] - sum / n, 2);
            double sd = n >= 3 ? fmax(sqrt(ss / (n - 1)), 0.5 * pooled_sd) : pooled_sd;
            double expected = sum / n + run_effect[r], far = (y[r] - expected) / (sd * sqrt(1 + 1 / n));
            if (fabs(far) < WR_STANDS_OUT_SD) continue;
            struct wr_standing_out found = {k, exp(y[r] - expected), exp(y[r]) - exp(expected), far};
            struct wr_compared_run *run = &c->run[r];
            size_t at = run->n_out;
            while (at > 0 && fabs(run->out[at - 1].minutes) < fabs(found.minutes)) at--;
            if (at == WR_MOST_STANDING_OUT) continue;
            if (run->n_out < WR_MOST_STANDING_OUT) run->n_out++;
            memmove(&run->out[at + 1], &run->out[at], (run->n_out - at - 1) * sizeof found);
            run->out[at] = found;
        }
    }
}

/* ---- groups ---- */

struct label_list { const char **label; size_t n_label, room; };

static size_t label_index(struct label_list *list, const char *text)
{
    for (size_t i = 0; i < list->n_label; i++)
        if (strcmp(list->label[i], text) == 0) return i;
    const char **slot = WR_PUSH(list->label, list->n_label, list->room);
    *slot = text;
    return list->n_label - 1;
}

static const char *line_up_text(struct wr_comparison *c, const struct wr_timing *timing, size_t run)
{
    char text[256];
    size_t used = 0;

    text[0] = '\0';
    for (size_t lane = 0; lane < timing->n_lane; lane++) {
        int person = timing->line_up[run * timing->n_lane + lane];
        const char *name = person >= 0 ? timing->person[person] : "?";
        size_t len = strlen(name);
        if (used + len + 2 >= sizeof text) break;
        if (lane) text[used++] = '+';
        memcpy(text + used, name, len + 1);
        used += len;
    }
    return wr_arena_copy(&c->text, text, used);
}

/* The level of the grouping factor of every run; runs without one get SIZE_MAX and stay out. */
static enum wr_status level_of_runs(struct wr_comparison *c, const struct wr_run_log *log,
                                    const struct wr_timing *timing, const struct wr_compare_options *options,
                                    struct label_list *labels, size_t *level, struct wr_error *err)
{
    size_t column = 0;

    if (options->by == WR_BY_SPLIT) {
        if (options->split == 0 || options->split >= timing->n_run)
            return wr_fail(err, WR_E_USAGE, "the split leaves no rehearsal in one of the groups");
        label_index(labels, "before");
        label_index(labels, "from the split on");
        for (size_t r = 0; r < timing->n_run; r++) level[r] = r >= options->split;
        return WR_OK;
    }
    if (options->by == WR_BY_ATTRIBUTE) {
        while (column < log->n_attribute && strcmp(log->attribute[column], options->column) != 0) column++;
        if (column == log->n_attribute)
            return wr_fail(err, WR_E_USAGE, "the log has no further column '%s'", options->column);
    } else if (!log->has_performer) {
        return wr_fail(err, WR_E_USAGE, "the log has no performer column");
    }
    for (size_t r = 0; r < timing->n_run; r++) {
        const char *text = options->by == WR_BY_PERFORMER ? line_up_text(c, timing, r) : log->run[r].attribute[column];
        level[r] = text[0] == '\0' ? SIZE_MAX : label_index(labels, text);
    }
    return WR_OK;
}

/* Runs of the two sides, closed up: side[r] 0, 1, or 2 for neither. */
struct sides {
    size_t n;
    size_t *run;
    unsigned char *group;
};

static bool in_order(const struct sides *s)
{
    size_t changes = 0;

    for (size_t i = 1; i < s->n; i++) changes += s->group[i] != s->group[i - 1];
    return changes == 1;
}

static void compare_tasks(struct wr_group_comparison *g, const struct logs *l, const struct sides *s,
                          const struct wr_timing *timing, double slope, uint64_t seed)
{
    struct logs part = {.n_task = l->n_task, .n_run = s->n};
    struct wr_task_comparison *test = WR_NEW_ARRAY(struct wr_task_comparison, l->n_task);
    struct wr_permutation_options options = wr_permutation_default();
    struct wr_permutation about;
    const struct wr_grouping grouping = {.n_run = s->n, .group = s->group};

    options.seed = seed;
    part.y = WR_NEW_ARRAY(double, part.n_task * part.n_run);
    part.present = WR_NEW_ARRAY(unsigned char, part.n_task * part.n_run);
    for (size_t k = 0; k < l->n_task; k++)
        for (size_t i = 0; i < s->n; i++) {
            size_t from = k * l->n_run + s->run[i], to = k * s->n + i;
            part.present[to] = l->present[from];
            part.y[to] = l->y[from] - slope * log(timing->run[s->run[i]].order);
        }
    if (wr_permutation_tasks(part.y, part.present, part.n_task, &grouping, &options, test, &about, NULL) == WR_OK) {
        size_t comparable = 0;
        g->has_tasks = true;
        g->task = WR_NEW_ARRAY(struct wr_group_task, l->n_task);
        for (size_t k = 0; k < l->n_task; k++) {
            g->task[k].test = test[k];
            if (test[k].difference.known) g->task[k].ratio = wr_known(exp(test[k].difference.value));
            comparable += test[k].raw_p.known;
        }
        g->tasks_smallest_holm = fmin(1, (double)comparable * about.smallest_p);
    }
    wr_free(test);
    logs_release(&part);
}

/* The trend that is left once each group has its own level: the slope of the fit behind the detrended ratio. */
static double slope_within_groups(const double *value, const double *x, const struct sides *s)
{
    double mean_x[2] = {0, 0}, mean_v[2] = {0, 0}, n[2] = {0, 0}, top = 0, bottom = 0;

    for (size_t i = 0; i < s->n; i++) {
        mean_x[s->group[i]] += x[i];
        mean_v[s->group[i]] += value[i];
        n[s->group[i]]++;
    }
    for (size_t i = 0; i < s->n; i++) {
        size_t g = s->group[i];
        top += (x[i] - mean_x[g] / n[g]) * (value[i] - mean_v[g] / n[g]);
        bottom += pow(x[i] - mean_x[g] / n[g], 2);
    }
    return bottom > 0 ? top / bottom : 0;
}

static void compare_sides(struct wr_group_comparison *g, const struct logs *l, const struct wr_comparison *c,
                          const struct sides *s, const struct wr_timing *timing, uint64_t seed)
{
    double *value = WR_NEW_ARRAY(double, s->n), *order = WR_NEW_ARRAY(double, s->n);
    struct wr_permutation_options options = wr_permutation_default();
    struct wr_group_difference plain, detrended;
    const struct wr_grouping grouping = {.n_run = s->n, .group = s->group};
    double slope = 0;

    options.seed = seed;
    for (size_t i = 0; i < s->n; i++) {
        value[i] = c->run[s->run[i]].effect.value;
        order[i] = log(timing->run[s->run[i]].order);
        g->n_run[s->group[i]]++;
    }
    g->in_order = in_order(s);
    if (g->n_run[0] == 0 || g->n_run[1] == 0 || wr_group_difference(value, &grouping, NULL, 0.9, &plain, NULL) ||
        wr_permutation_test(value, &grouping, &options, &g->permutation, NULL)) {
        g->reason = WR_COMPARE_TOO_FEW_RUNS;
    } else {
        g->ratio = exp(plain.difference);
        g->lo = exp(plain.interval.lo);
        g->hi = exp(plain.interval.hi);
        if (wr_group_difference(value, &grouping, order, 0.9, &detrended, NULL) == WR_OK) {
            g->has_detrended = true;
            g->detrended_ratio = exp(detrended.difference);
            g->detrended_lo = exp(detrended.interval.lo);
            g->detrended_hi = exp(detrended.interval.hi);
            g->detrended_p = detrended.p;
            if (g->in_order) slope = slope_within_groups(value, order, s);
        }
        compare_tasks(g, l, s, timing, slope, seed);
    }
    wr_free(value);
    wr_free(order);
}

/* Two levels are compared with each other; of more, each with all the others, and Holm over those comparisons. */
static void compare_levels(struct wr_comparison *c, const struct logs *l, const struct wr_timing *timing,
                           const struct label_list *labels, const size_t *level, uint64_t seed)
{
    size_t n = labels->n_label == 2 ? 1 : labels->n_label;
    struct sides s = {.run = WR_NEW_ARRAY(size_t, c->n_run), .group = WR_NEW_ARRAY(unsigned char, c->n_run)};

    c->group = WR_NEW_ARRAY(struct wr_group_comparison, n);
    c->n_group = n;
    for (size_t i = 0; i < n; i++) {
        struct wr_group_comparison *g = &c->group[i];
        size_t one = labels->n_label == 2 ? 1 : i;
        g->label[1] = labels->label[one];
        g->label[0] = labels->n_label == 2 ? labels->label[0] : "all others";
        if (labels->n_label < 2) {
            g->reason = WR_COMPARE_ONE_GROUP;
            continue;
        }
        s.n = 0;
        for (size_t r = 0; r < c->n_run; r++) {
            if (level[r] == SIZE_MAX || !c->run[r].effect.known) continue;
            s.run[s.n] = r;
            s.group[s.n++] = level[r] == one;
        }
        compare_sides(g, l, c, &s, timing, seed);
    }
    if (n > 1) {
        double *p = WR_NEW_ARRAY(double, n);
        size_t *which = WR_NEW_ARRAY(size_t, n), m = 0;
        for (size_t i = 0; i < n; i++)
            if (c->group[i].reason == WR_COMPARE_DONE) {
                which[m] = i;
                p[m++] = c->group[i].permutation.p_two_sided;
            }
        wr_holm_adjust(p, m);
        for (size_t i = 0; i < m; i++) c->group[which[i]].holm_p = wr_known(p[i]);
        wr_free(p);
        wr_free(which);
    }
    wr_free(s.run);
    wr_free(s.group);
}

static enum wr_status compare_groups(struct wr_comparison *c, const struct logs *l, const struct wr_run_log *log,
                                     const struct wr_timing *timing, const struct wr_compare_options *options,
                                     struct wr_error *err)
{
    struct label_list labels = {0};
    size_t *level = WR_NEW_ARRAY(size_t, c->n_run);
    enum wr_status status = level_of_runs(c, log, timing, options, &labels, level, err);

    if (!status) {
        for (size_t i = 0; i < labels.n_label; i++)
            labels.label[i] = wr_arena_copy(&c->text, labels.label[i], strlen(labels.label[i]));
        compare_levels(c, l, timing, &labels, level, options->seed);
    }
    wr_free(labels.label);
    wr_free(level);
    return status;
}

/* ---- all of it ---- */

static void fit_trend(struct wr_trend *trend, const double *run_effect, const struct wr_timing *timing)
{
    double *x = WR_NEW_ARRAY(double, timing->n_run);
    struct wr_line line;

    for (size_t r = 0; r < timing->n_run; r++) x[r] = log(timing->run[r].order);
    trend->n_run = timing->n_run;
    if (wr_line_fit(x, run_effect, timing->n_run, &line, NULL) == WR_OK) {
        const struct wr_interval slope = wr_line_slope_interval(&line, 0.9);
        trend->known = slope.known;
        trend->slope_log = line.slope;
        trend->lo = slope.lo;
        trend->hi = slope.hi;
        trend->per_doubling = wr_learning_rate(line.slope) - 1;
        trend->per_doubling_lo = wr_learning_rate(slope.lo) - 1;
        trend->per_doubling_hi = wr_learning_rate(slope.hi) - 1;
        trend->level_log = line.intercept;
    }
    wr_free(x);
}

static void fit_runs(struct wr_comparison *c, const struct logs *l, const struct wr_timing *timing)
{
    double *task_effect = WR_NEW_ARRAY(double, c->n_task), *run_effect = WR_NEW_ARRAY(double, c->n_run);

    if (wr_two_way_fit(l->y, l->present, c->n_task, c->n_run, task_effect, run_effect, NULL) == WR_OK) {
        for (size_t r = 0; r < c->n_run; r++) c->run[r].effect = wr_known(run_effect[r]);
        find_standing_out(c, l, task_effect, run_effect);
        fit_trend(&c->trend, run_effect, timing);
    }
    wr_free(task_effect);
    wr_free(run_effect);
}

enum wr_status wr_compare(struct wr_comparison *c, const struct wr_run_log *log, const struct wr_timing *timing,
                          const struct wr_compare_options *options, struct wr_error *err)
{
    struct logs l;
    enum wr_status status = WR_OK;

    *c = (struct wr_comparison){.n_run = timing->n_run, .n_task = timing->n_task, .n_lane = timing->n_lane};
    c->run = WR_NEW_ARRAY(struct wr_compared_run, c->n_run);
    logs_make(&l, timing);
    for (size_t r = 0; r < c->n_run; r++) {
        c->run[r].waiting_min = timing->waiting_min + r * timing->n_lane;
        add_up_cells(&c->run[r], timing, r);
    }
    fit_runs(c, &l, timing);
    if (options->by != WR_BY_NOTHING) status = compare_groups(c, &l, log, timing, options, err);
    logs_release(&l);
    if (status) wr_comparison_release(c);
    return status;
}

void wr_comparison_release(struct wr_comparison *c)
{
    for (size_t i = 0; i < c->n_group; i++) wr_free(c->group[i].task);
    wr_free(c->run);
    wr_free(c->group);
    wr_arena_release(&c->text);
    *c = (struct wr_comparison){0};
}
