/* Holds that may be one number drawn down a column, or typed once for every run. Each is taken off the time of its
 * step, so that a hold that was none shortens the day. */
#include <math.h>
#include <stdlib.h>
#include "log_oddities.h"
#include "wetrun/campaign/near_name.h"

static const double BY_CHANCE = 0.01;
enum { FEW_HOLDS = 6, LONG_STRETCH = 8, FEW_RUNS = 4 };

static bool is_timed(const struct wr_log_step *s)
{
    return s->outcome != WR_SKIPPED && s->active_min + s->hold_min > 0;
}

static int compare_numbers(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;

    return (x > y) - (x < y);
}

static void report(const struct oddities *o, const char *code, const struct wr_log_step *first, double hold_min,
                   const char *where)
{
    WR_SCOPED_STR row = {0};

    wr_alias_add_row(&row, WR_NAME_COLUMN, "hold", "hold");
    wr_findings_add(o->findings, WR_WARNING, code, o->log->file[first->file], first->line, 0,
                    "a hold of %.6g min stands in %s? Each is taken off the time of its row. Leave it empty where "
                    "nothing was held; if all are meant, a row of names.csv (header kind,from,to) says so: %s",
                    hold_min, where, row.text);
}

/* ---- one number in most rows ---- */

struct same_holds { /* of one number */
    const struct wr_log_step *first; /* NULL: none */
    size_t n, n_timed;
};

/* The hold that most steps have, of those that took time. */
static struct same_holds commonest(const struct wr_log_step *step, size_t n, double *hold)
{
    struct same_holds most = {NULL, 0, 0};
    size_t n_hold = 0;
    double of_most = 0;

    for (size_t i = 0; i < n; i++) {
        most.n_timed += is_timed(&step[i]);
        if (is_timed(&step[i]) && step[i].hold_min > 0) hold[n_hold++] = step[i].hold_min;
    }
    qsort(hold, n_hold, sizeof *hold, compare_numbers);
    for (size_t i = 0, n_same = 0; i < n_hold; i++) {
        n_same = i > 0 && hold[i] == hold[i - 1] ? n_same + 1 : 1;
        if (n_same > most.n) most.n = n_same, of_most = hold[i];
    }
    for (size_t i = 0; i < n && most.n > 0; i++)
        if (is_timed(&step[i]) && step[i].hold_min == of_most && (!most.first || step[i].line < most.first->line))
            most.first = &step[i];
    return most;
}

/* The runs in which three of four timed steps have one and the same. */
static bool find_full_runs(const struct oddities *o, double *hold)
{
    const struct wr_run_log *log = o->log;
    struct same_holds of_first = {NULL, 0, 0};
    size_t n_full = 0;

    for (size_t from = 0, to; from < log->n_step; from = to) {
        for (to = from; to < log->n_step && log->step[to].run == log->step[from].run;) to++;
        struct same_holds most = commonest(&log->step[from], to - from, hold);
        if (most.n < FEW_HOLDS || 4 * most.n < 3 * most.n_timed) continue;
        if (n_full++ == 0) of_first = most;
    }
    if (n_full == 0) return false;
    WR_SCOPED_STR where = {0};
    wr_str_addf(&where, "%zu of the %zu timed rows of run '%.60s'", of_first.n, of_first.n_timed,
                log->run[of_first.first->run].id);
    if (n_full > 1) wr_str_addf(&where, ", and %zu more run%s so", n_full - 1, n_full == 2 ? " is" : "s are");
    wr_str_add(&where, ": drawn down the column");
    report(o, "hold-filled", of_first.first, of_first.first->hold_min, where.text);
    return true;
}

static int compare_places(const void *a, const void *b)
{
    const struct wr_log_step *x = *(const struct wr_log_step *const *)a, *y = *(const struct wr_log_step *const *)b;

    if (x->file != y->file) return x->file < y->file ? -1 : 1;
    return (x->line > y->line) - (x->line < y->line);
}

/* Timed rows one below the other with the same hold. */
static bool find_stretch(const struct oddities *o)
{
    const struct wr_run_log *log = o->log;
    WR_SCOPED const struct wr_log_step **at = WR_NEW_ARRAY(const struct wr_log_step *, log->n_step);
    struct same_holds longest = {NULL, 0, 0};
    size_t n = 0;

    for (size_t i = 0; i < log->n_step; i++)
        if (is_timed(&log->step[i])) at[n++] = &log->step[i];
    qsort(at, n, sizeof *at, compare_places);
    for (size_t from = 0, to; from < n; from = to) {
        for (to = from; to < n && at[to]->hold_min == at[from]->hold_min;) to++;
        if (at[from]->hold_min > 0 && to - from > longest.n) longest.first = at[from], longest.n = to - from;
    }
    if (longest.n < LONG_STRETCH) return false;
    WR_SCOPED_STR where = {0};
    wr_str_addf(&where, "%zu timed rows one below the other: drawn down the column", longest.n);
    report(o, "hold-filled", longest.first, longest.first->hold_min, where.text);
    return true;
}

/* ---- one number in every run ---- */

struct task_holds {
    const struct wr_log_step *first; /* NULL: no run had it */
    size_t n_run, n_same;            /* that took time; that have the hold of the first */
    double hold_min;
};

/* What each task was held in each run. */
static void count_runs(const struct wr_run_log *log, struct task_holds *task)
{
    for (size_t from = 0, to; from < log->n_step; from = to) {
        const struct wr_log_step *s = &log->step[from];
        struct task_holds *t = &task[s->task];
        double hold_min = 0;
        bool timed = false;
        for (to = from; to < log->n_step && log->step[to].run == s->run && log->step[to].task == s->task; to++) {
            hold_min += log->step[to].hold_min;
            timed |= is_timed(&log->step[to]);
        }
        if (!timed) continue;
        if (t->n_run++ == 0) t->first = s, t->hold_min = hold_min;
        t->n_same += hold_min == t->hold_min;
    }
}

/* How many tasks would have it in every run by chance, if it came as often as in the timed rows of all other tasks: a
 * log in which most holds are of five minutes has some by chance. */
static double expected_by_chance(const struct wr_run_log *log, const struct task_holds *t)
{
    size_t n = 0, n_same = 0;

    for (size_t i = 0; i < log->n_step; i++) {
        const struct wr_log_step *s = &log->step[i];
        if (s->task == t->first->task || !is_timed(s)) continue;
        n++;
        n_same += s->hold_min == t->hold_min;
    }
    return (double)log->n_task * pow((double)(n_same + 1) / (double)(n + 2), (double)t->n_run);
}

/* What a diver or a mock-up really takes differs from run to run, by minutes at least. */
static void find_fixed(const struct oddities *o)
{
    const struct wr_run_log *log = o->log;
    WR_SCOPED struct task_holds *task = WR_NEW_ARRAY(struct task_holds, log->n_task + 1);

    count_runs(log, task);
    for (size_t k = 0; k < log->n_task; k++) {
        const struct task_holds *t = &task[k];
        WR_SCOPED_STR where = {0};
        if (t->n_run < FEW_RUNS || t->n_same < t->n_run || !(t->hold_min > 0)) continue;
        if (expected_by_chance(log, t) > BY_CHANCE) continue;
        wr_str_addf(&where, "task '%.60s' in each of %zu runs, to the digit: measured, or typed once", log->task[k],
                    t->n_run);
        report(o, "hold-fixed", t->first, t->hold_min, where.text);
    }
}

static bool are_meant(const struct wr_aliases *aliases)
{
    return wr_alias_is_given(aliases, WR_NAME_COLUMN, "hold") &&
           wr_same_but_for_spelling(wr_alias_of(aliases, WR_NAME_COLUMN, "hold"), "hold");
}

void log_find_odd_holds(const struct oddities *o)
{
    size_t n = 0;

    if (are_meant(o->options->aliases)) return;
    for (size_t i = 0; i < o->log->n_step; i++) n += o->log->step[i].hold_min > 0;
    if (n < FEW_RUNS) return;
    WR_SCOPED double *hold = WR_NEW_ARRAY(double, n);
    if (!find_full_runs(o, hold) && !find_stretch(o)) find_fixed(o);
}
