#include <math.h>
#include <string.h>
#include "compare_parts.h"
#include "wetrun/base/str.h"
#include "wetrun/campaign/near_name.h"

/* ---- which run is in which group ---- */

enum { NO_GROUP = -1 };

struct labels {
    const char **label; size_t n_label, room;
    long *of_run;            /* [runs of the campaign] index of the label, or NO_GROUP */
};

static long label_index(struct labels *labels, struct wr_arena *text, const char *name)
{
    for (size_t i = 0; i < labels->n_label; i++)
        if (strcmp(labels->label[i], name) == 0) return (long)i;
    const char **slot = WR_PUSH(labels->label, labels->n_label, labels->room);
    *slot = wr_arena_copy(text, name, strlen(name));
    return (long)labels->n_label - 1;
}

static bool names_anybody(const struct wr_timing *timing, size_t lane)
{
    for (size_t r = 0; r < timing->n_run; r++)
        if (timing->line_up[r * timing->n_lane + lane] >= 0) return true;
    return false;
}

/* "AB+CD", lane by lane; empty if somebody is not known. */
static void add_line_up(const struct wr_timing *timing, size_t run, struct wr_str *text)
{
    for (size_t lane = 0; lane < timing->n_lane; lane++) {
        int person = timing->line_up[run * timing->n_lane + lane];
        if (person < 0 && names_anybody(timing, lane)) {
            wr_str_clear(text);
            return;
        }
        if (person < 0) continue;
        if (text->len) wr_str_add_char(text, '+');
        wr_str_add(text, timing->person[person]);
    }
}

static void label_by_performer(struct labels *labels, struct wr_arena *text, const struct wr_timing *timing)
{
    WR_SCOPED_STR name = {0};

    for (size_t r = 0; r < timing->n_run; r++) {
        wr_str_clear(&name);
        add_line_up(timing, r, &name);
        labels->of_run[r] = name.len ? label_index(labels, text, wr_str_text(&name)) : NO_GROUP;
    }
}

static const char *attribute_at(const void *log, size_t i)
{
    return ((const struct wr_run_log *)log)->attribute[i];
}

static enum wr_status no_such_column(const struct wr_name_list *columns, const char *name, struct wr_error *err)
{
    WR_SCOPED_STR text = {0};

    wr_str_addf(&text, "the log has no further column '%.60s'", name);
    wr_add_did_you_mean(&text, columns, name, "the log's header has them");
    if (columns->n == 0) wr_str_add(&text, ": add one, as basin or date, or leave --by out");
    return wr_fail(err, WR_E_USAGE, "%s", text.text);
}

static enum wr_status label_by_attribute(struct labels *labels, struct wr_arena *text, const struct wr_run_log *log,
                                         const char *name, struct wr_error *err)
{
    const struct wr_name_list columns = {attribute_at, log, log->n_attribute};
    size_t column = wr_find_spelling(&columns, name);

    if (column == SIZE_MAX) return no_such_column(&columns, name, err);
    for (size_t r = 0; r < log->n_run; r++) {
        const char *entry = log->run[r].attribute[column];
        labels->of_run[r] = *entry ? label_index(labels, text, entry) : NO_GROUP;
    }
    if (labels->n_label == 0)
        return wr_fail(err, WR_E_TOO_FEW,
                       "no rehearsal has an entry in column '%s': write it in the log, or name another column", name);
    return WR_OK;
}

static enum wr_status label_runs(struct labels *labels, struct wr_arena *text, const struct wr_run_log *log,
                                 const struct wr_timing *timing, const struct wr_compare_options *options,
                                 struct wr_error *err)
{
    switch (options->by) {
    case WR_BY_SPLIT:
        if (options->split == 0 || options->split >= timing->n_run)
            return wr_fail(err, WR_E_USAGE, "the split leaves no rehearsal in one of the groups: name a later run");
        label_index(labels, text, "before");
        label_index(labels, text, "from the split on");
        for (size_t r = 0; r < timing->n_run; r++) labels->of_run[r] = r >= options->split;
        return WR_OK;
    case WR_BY_ATTRIBUTE: return label_by_attribute(labels, text, log, options->column, err);
    case WR_BY_PERFORMER:
        if (!log->has_performer)
            return wr_fail(err, WR_E_USAGE, "the log has no performer column: add one, or --columns performer=NAME");
        label_by_performer(labels, text, timing);
        if (labels->n_label == 0)
            return wr_fail(err, WR_E_TOO_FEW,
                           "no rehearsal names the people of all its lanes: write them in column performer of the log");
        return WR_OK;
    case WR_BY_NOTHING: break;
    }
    return WR_OK;
}

/* ---- two sides against each other ---- */

struct sides {
    struct wr_log_table table; /* of the runs that take part */
    unsigned char *group;      /* [table.n_run] */
    double *value;             /* [table.n_run] run effects or lengths */
    size_t n_labelled[2];      /* runs of each side, comparable or not */
};

static void sides_release(struct sides *s)
{
    wr_log_table_release(&s->table);
    WR_FREE(s->group, s->value);
}

typedef struct wr_maybe measure(const struct wr_compared_run *run);

static struct wr_maybe pace_of(const struct wr_compared_run *run)
{
    return run->effect;
}

static struct wr_maybe length_of(const struct wr_compared_run *run)
{
    return run->length;
}

/* Side 1: the label `one`; side 0: every other label. */
static void take_sides(struct sides *s, const struct wr_comparison *c, const struct wr_log_table *table,
                       const struct labels *labels, size_t one, measure *of)
{
    size_t *at = WR_NEW_ARRAY(size_t, table->n_run), n = 0;

    *s = (struct sides){.group = WR_NEW_ARRAY(unsigned char, table->n_run),
                        .value = WR_NEW_ARRAY(double, table->n_run)};
    for (size_t r = 0; r < c->n_run; r++)
        if (labels->of_run[r] != NO_GROUP) s->n_labelled[labels->of_run[r] == (long)one]++;
    for (size_t i = 0; i < table->n_run; i++) {
        const struct wr_maybe value = of(&c->run[table->run[i]]);
        if (labels->of_run[table->run[i]] == NO_GROUP || !value.known) continue;
        s->group[n] = labels->of_run[table->run[i]] == (long)one;
        s->value[n] = value.value;
        at[n++] = i;
    }
    wr_log_table_of(&s->table, table, at, n);
    wr_free(at);
}

static bool in_order(const struct sides *s)
{
    size_t changes = 0;

    for (size_t i = 1; i < s->table.n_run; i++) changes += s->group[i] != s->group[i - 1];
    return changes == 1;
}

static void compare_tasks(struct wr_group_comparison *g, const struct sides *s, const struct wr_grouping *grouping,
                          struct wr_permutation_options options, size_t n_comparison)
{
    const struct wr_log_table *t = &s->table;
    WR_SCOPED struct wr_task_comparison *test = WR_NEW_ARRAY(struct wr_task_comparison, t->n_task);
    struct wr_permutation about;
    size_t comparable = 0;

    if (g->pace.in_order && g->pace.has_detrended) options.trend = t->log_order;
    if (wr_permutation_tasks(t->y, t->present, t->n_task, grouping, &options, test, &about, NULL) == WR_OK) {
        g->has_tasks = true;
        g->task = WR_NEW_ARRAY(struct wr_group_task, t->n_task);
        for (size_t k = 0; k < t->n_task; k++) {
            struct wr_group_task *task = &g->task[k];
            task->test = test[k];
            if (test[k].difference.known) task->ratio = wr_known(exp(test[k].difference.value));
            task->told = test[k].max_t_p.known && test[k].max_t_p.value * (double)n_comparison <= WR_GROUP_TOLD_P;
            comparable += test[k].raw_p.known;
        }
        g->tasks_smallest_holm = fmin(1, (double)comparable * about.smallest_p);
    }
}

static void compare_sides(struct wr_group_ratio *g, const struct sides *s, const struct wr_grouping *grouping,
                          const struct wr_permutation_options *options, size_t n_comparison)
{
    struct wr_group_difference plain, detrended;

    for (size_t i = 0; i < s->table.n_run; i++) g->n_run[s->group[i]]++;
    g->in_order = in_order(s);
    if (g->n_run[0] == 0 || g->n_run[1] == 0) {
        g->reason = s->n_labelled[0] && s->n_labelled[1] ? WR_COMPARE_NOT_CONNECTED : WR_COMPARE_ONE_GROUP;
        return;
    }
    if (wr_group_difference(s->value, grouping, NULL, 0.9, &plain, NULL) != WR_OK ||
        wr_permutation_test(s->value, grouping, options, &g->permutation, NULL) != WR_OK) {
        g->reason = WR_COMPARE_TOO_FEW_RUNS;
        return;
    }
    g->smallest_p = fmin(1, (double)n_comparison * g->permutation.smallest_p);
    g->ratio = exp(plain.difference);
    g->lo = exp(plain.interval.lo);
    g->hi = exp(plain.interval.hi);
    if (wr_group_difference(s->value, grouping, s->table.log_order, 0.9, &detrended, NULL) == WR_OK) {
        g->has_detrended = true;
        g->detrended_ratio = exp(detrended.difference);
        g->detrended_lo = exp(detrended.interval.lo);
        g->detrended_hi = exp(detrended.interval.hi);
        g->detrended_p = detrended.p;
    }
}

/* ---- all comparisons ---- */

static struct wr_group_ratio *ratio_of(struct wr_group_comparison *g, measure *of)
{
    return of == pace_of ? &g->pace : &g->length;
}

static void adjust_over_comparisons(struct wr_comparison *c, measure *of)
{
    WR_SCOPED double *p = WR_NEW_ARRAY(double, c->n_group);
    size_t m = 0;

    for (size_t i = 0; i < c->n_group; i++) {
        const struct wr_group_ratio *g = ratio_of(&c->group[i], of);
        if (g->reason == WR_COMPARE_DONE) p[m++] = g->permutation.p_two_sided;
    }
    wr_holm_adjust(p, m);
    m = 0;
    for (size_t i = 0; i < c->n_group; i++) {
        struct wr_group_ratio *g = ratio_of(&c->group[i], of);
        if (g->reason == WR_COMPARE_DONE) g->holm_p = wr_known(p[m++]);
    }
}

static void compare_label(struct wr_comparison *c, size_t i, const struct wr_log_table *table,
                          const struct labels *labels, size_t one, uint64_t seed, measure *of)
{
    struct wr_group_comparison *g = &c->group[i];
    struct wr_group_ratio *ratio = ratio_of(g, of);
    struct wr_permutation_options options = wr_permutation_default();
    WR_RELEASED_BY(sides_release) struct sides s = {0};

    options.seed = seed;
    take_sides(&s, c, table, labels, one, of);
    const struct wr_grouping grouping = {.n_run = s.table.n_run, .group = s.group};
    compare_sides(ratio, &s, &grouping, &options, c->n_group);
    if (of == pace_of && ratio->reason == WR_COMPARE_DONE) compare_tasks(g, &s, &grouping, options, c->n_group);
}

static void compare_labels(struct wr_comparison *c, const struct wr_log_table *table, const struct labels *labels,
                           uint64_t seed)
{
    bool pair = labels->n_label == 2;

    c->n_group = pair ? 1 : labels->n_label;
    c->group = WR_NEW_ARRAY(struct wr_group_comparison, c->n_group);
    for (size_t i = 0; i < c->n_group; i++) {
        struct wr_group_comparison *g = &c->group[i];
        size_t one = pair ? 1 : i;
        g->label[1] = labels->label[one];
        g->label[0] = pair ? labels->label[0] : "all others";
        compare_label(c, i, table, labels, one, seed, pace_of);
        compare_label(c, i, table, labels, one, seed, length_of);
    }
    if (c->n_group > 1) {
        adjust_over_comparisons(c, pace_of);
        adjust_over_comparisons(c, length_of);
    }
}

enum wr_status wr_compare_groups(struct wr_comparison *c, const struct wr_log_table *table,
                                 const struct wr_run_log *log, const struct wr_timing *timing,
                                 const struct wr_compare_options *options, struct wr_error *err)
{
    struct labels labels = {.of_run = WR_NEW_ARRAY(long, c->n_run)};
    enum wr_status status = label_runs(&labels, &c->text, log, timing, options, err);

    if (!status) {
        for (size_t r = 0; r < c->n_run; r++) c->n_without_group += labels.of_run[r] == NO_GROUP;
        compare_labels(c, table, &labels, options->seed);
    }
    WR_FREE(labels.label, labels.of_run);
    return status;
}
