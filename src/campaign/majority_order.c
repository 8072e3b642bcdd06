#include "majority_order.h"

#include <stdlib.h>
#include <string.h>
#include "wetrun/base/memory.h"
#include "wetrun/campaign/near_name.h"

enum { MOST_TASKS_COMPARED = 1000, MOST_REPORTED = 20 };

struct first { /* of a task in a run */
    uint32_t run;
    bool has_clock;
    double start_min, end_min;
    uint32_t file;
    size_t line;
};

struct task {
    struct first *first; /* by run */
    size_t n, room, number;
    double median_min;   /* of the elapsed starts */
    size_t n_closed, n_opened; /* runs in which nothing of its lanes began after it, or before it */
    uint32_t lanes;
};

struct votes {
    size_t before, after;             /* by times */
    size_t row_before, row_after;     /* by the place of the rows */
};

/* ---- what the runs say ---- */

static struct task *gather(const struct wr_run_log *log, const struct plan_crew *crew)
{
    struct task *task = WR_NEW_ARRAY(struct task, log->n_task);

    for (size_t t = 0; t < log->n_task; t++) {
        task[t].number = t;
        task[t].lanes = crew[t].lanes;
    }
    for (size_t i = 0; i < log->n_step; i++) {
        const struct wr_log_step *s = &log->step[i];
        struct task *of = &task[s->task];
        struct first *seen = of->n && of->first[of->n - 1].run == s->run ? &of->first[of->n - 1] : NULL;
        if (seen && (seen->has_clock || !s->has_clock)) continue;
        if (!seen) seen = WR_PUSH(of->first, of->n, of->room);
        *seen = (struct first){s->run, s->has_clock, s->start_min, s->end_min, s->file, s->line};
    }
    return task;
}

static int compare_doubles(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;

    return (x > y) - (x < y);
}

/* Of a task that was never timed the median of the one logged before it. */
static void find_medians(struct task *task, size_t n_task, size_t n_run)
{
    WR_SCOPED double *start = WR_NEW_ARRAY(double, n_run + 1);

    for (size_t t = 0; t < n_task; t++) {
        size_t n = 0;
        for (size_t i = 0; i < task[t].n; i++)
            if (task[t].first[i].has_clock) start[n++] = task[t].first[i].start_min;
        if (n) qsort(start, n, sizeof *start, compare_doubles);
        if (n) task[t].median_min = n % 2 ? start[n / 2] : (start[n / 2 - 1] + start[n / 2]) / 2;
        else task[t].median_min = t ? task[t - 1].median_min : 0.0;
    }
}

/* -1: a comes first, 1: b does, 0: it cannot be told. */
static int by_times(const struct first *a, const struct first *b)
{
    if (!a->has_clock || !b->has_clock) return 0;
    if (a->start_min != b->start_min) return a->start_min < b->start_min ? -1 : 1;
    return (a->end_min > b->end_min) - (a->end_min < b->end_min);
}

static int by_rows(const struct first *a, const struct first *b)
{
    if (a->file != b->file) return 0;
    return (a->line > b->line) - (a->line < b->line);
}

static struct votes votes_on(const struct task *a, const struct task *b)
{
    struct votes v = {0};

    for (size_t i = 0, k = 0; i < a->n && k < b->n;) {
        if (a->first[i].run != b->first[k].run) {
            if (a->first[i].run < b->first[k].run) i++;
            else k++;
            continue;
        }
        int times = by_times(&a->first[i], &b->first[k]), rows = by_rows(&a->first[i], &b->first[k]);
        v.before += times < 0;
        v.after += times > 0;
        v.row_before += rows < 0;
        v.row_after += rows > 0;
        i++, k++;
    }
    return v;
}

static void count_ends(struct task *task, size_t n_task, size_t n_run)
{
    size_t n = n_run * WR_MAX_LANES;
    WR_SCOPED double *last = WR_NEW_ARRAY(double, n + 1), *first = WR_NEW_ARRAY(double, n + 1);

    for (size_t i = 0; i < n; i++) last[i] = -1, first[i] = -1;
    for (size_t pass = 0; pass < 2; pass++)
        for (size_t t = 0; t < n_task; t++)
            for (size_t i = 0; i < task[t].n; i++) {
                const struct first *f = &task[t].first[i];
                bool closes = pass, opens = pass;
                for (uint32_t left = f->has_clock ? task[t].lanes : 0; left; left &= left - 1) {
                    size_t at = f->run * WR_MAX_LANES + (size_t)__builtin_ctz(left);
                    if (!pass && f->start_min > last[at]) last[at] = f->start_min;
                    if (!pass && (first[at] < 0 || f->start_min < first[at])) first[at] = f->start_min;
                    closes &= f->start_min >= last[at];
                    opens &= f->start_min <= first[at];
                }
                task[t].n_closed += f->has_clock && closes;
                task[t].n_opened += f->has_clock && opens;
            }
}

static double sign(size_t before, size_t after)
{
    return (double)before - (double)after;
}

static bool closes_more(const struct task *a, const struct task *b)
{
    return a->n_closed > b->n_closed && 2 * a->n_closed > a->n;
}

static bool opens_more(const struct task *a, const struct task *b)
{
    return a->n_opened > b->n_opened && 2 * a->n_opened > a->n;
}

/* How much speaks for a before b; below 0: against it. What has no run in common is worth half a run. */
static double margin(const struct task *a, const struct task *b)
{
    struct votes v = votes_on(a, b);

    if (v.before != v.after) return sign(v.before, v.after);
    if (v.row_before != v.row_after) return sign(v.row_before, v.row_after);
    int ends = closes_more(b, a) + opens_more(a, b) - closes_more(a, b) - opens_more(b, a);
    return ends > 0 ? 0.5 : ends < 0 ? -0.5 : 0;
}

/* [n_task][n_task] the margins of all that share a lane, which each move asks for again: below the diagonal the same
 * with the other sign. */
static float *margins_of(const struct task *task, size_t n_task)
{
    float *margins = WR_NEW_ARRAY(float, n_task * n_task);

    for (size_t a = 0; a < n_task; a++)
        for (size_t b = a + 1; b < n_task; b++) {
            if (!(task[a].lanes & task[b].lanes)) continue;
            margins[a * n_task + b] = (float)margin(&task[a], &task[b]); /* of whole and half runs */
            margins[b * n_task + a] = -margins[a * n_task + b];
        }
    return margins;
}

/* ---- the order ---- */

static int compare_medians(const void *a, const void *b)
{
    const struct task *x = *(const struct task *const *)a, *y = *(const struct task *const *)b;

    if (x->median_min != y->median_min) return x->median_min < y->median_min ? -1 : 1;
    return (x->number > y->number) - (x->number < y->number);
}

/* Moves the task to the place, before it or behind it, that pleases the most runs, if one pleases more of them. */
static bool move_where_most_agree(const struct task **order, size_t n, size_t at, const float *margins)
{
    const struct task *moving = order[at];
    const float *for_it = margins + moving->number * n; /* what speaks for it before each of the others */
    double most = 0, sum = 0;
    size_t to = at;

    for (size_t i = at; i-- > 0;) {
        if (order[i]->lanes & moving->lanes) sum += for_it[order[i]->number];
        if (sum <= most) continue;
        most = sum;
        to = i;
    }
    sum = 0;
    for (size_t i = at + 1; i < n; i++) {
        if (order[i]->lanes & moving->lanes) sum -= for_it[order[i]->number];
        if (sum <= most) continue;
        most = sum;
        to = i;
    }
    if (to < at) memmove(order + to + 1, order + to, (at - to) * sizeof *order);
    else if (to > at) memmove(order + at, order + at + 1, (to - at) * sizeof *order);
    order[to] = moving;
    return to != at;
}

static void improve_order(const struct task **order, size_t n, const struct task *task)
{
    bool moved = n <= MOST_TASKS_COMPARED;
    WR_SCOPED float *margins = moved ? margins_of(task, n) : NULL;

    while (moved) { /* each move adds to what all runs agree with, so this ends */
        moved = false;
        for (size_t i = 0; i < n; i++) moved |= move_where_most_agree(order, n, i, margins);
    }
}

/* ---- what is left open ---- */

static void report(const struct wr_run_log *log, const struct task *a, const struct task *b, struct votes v,
                   struct wr_findings *findings)
{
    const struct first *f = &b->first[0];
    WR_SCOPED_STR why = {0};

    if (v.before + v.after == 0) wr_str_add(&why, "no run has both");
    else wr_str_addf(&why, "%zu of %zu runs have it so", v.before, v.before + v.after);
    wr_findings_add(findings, WR_WARNING, "order-unsure", log->file[f->file], f->line, 0,
                    "there is no plan, and the log does not settle whether '%.60s' comes before '%.60s', as is taken "
                    "here (%s): `wetrun check --write-plan plan.csv` writes the order to correct",
                    log->task[a->number], log->task[b->number], why.text);
}

static const char *name_at(const void *task, size_t i)
{
    return ((const char *const *)task)[i];
}

/* A slip in a name is another finding. */
static bool is_one_name(const struct wr_run_log *log, const struct task *a, const struct task *b)
{
    const struct wr_name_list list = {name_at, &log->task[a->number], 1};

    return wr_find_near(&list, log->task[b->number]) != SIZE_MAX;
}

/* Settled by fewer than two thirds of the runs, or, where times tell nothing, neither by rows nor by the ends. */
static bool is_open(const struct wr_run_log *log, const struct task *a, const struct task *b, struct votes v)
{
    size_t all = v.before + v.after;

    if (all == 0) return margin(a, b) <= 0 && !is_one_name(log, a, b);
    return 3 * v.after > all;
}

static void report_open(const struct wr_run_log *log, const struct task **order, size_t n,
                        struct wr_findings *findings)
{
    size_t n_said = 0;

    for (size_t i = 1; i < n && n <= MOST_TASKS_COMPARED; i++) {
        uint32_t open = order[i]->lanes; /* lanes whose task before it was not met yet */
        for (size_t k = i; k-- > 0 && open && n_said < MOST_REPORTED;) {
            if (!(order[k]->lanes & open)) continue;
            struct votes v = votes_on(order[k], order[i]);
            if (is_open(log, order[k], order[i], v) && ++n_said) report(log, order[k], order[i], v, findings);
            open &= ~order[k]->lanes;
        }
    }
}

size_t *majority_order(const struct wr_run_log *log, const struct plan_crew *crew, struct wr_findings *findings)
{
    WR_SCOPED struct task *task = gather(log, crew);
    WR_SCOPED const struct task **order = WR_NEW_ARRAY(const struct task *, log->n_task);
    size_t *number = WR_NEW_ARRAY(size_t, log->n_task);

    find_medians(task, log->n_task, log->n_run);
    count_ends(task, log->n_task, log->n_run);
    for (size_t t = 0; t < log->n_task; t++) order[t] = &task[t];
    qsort(order, log->n_task, sizeof *order, compare_medians);
    improve_order(order, log->n_task, task);
    report_open(log, order, log->n_task, findings);
    for (size_t t = 0; t < log->n_task; t++) {
        number[t] = order[t]->number;
        wr_free(task[order[t]->number].first);
    }
    return number;
}
