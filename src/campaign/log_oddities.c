/* What is odd about a log as a whole: each of these is taken as it stands, and said. */
#include <stdlib.h>
#include <string.h>
#include "crew_text.h"
#include "log_pieces.h"
#include "wetrun/campaign/near_name.h"
#include "wetrun/campaign/plan.h" /* WR_MAX_LANES */

enum { FEW_STEPS = 3, FEW_UNTIMED = 5, FAR_DAYS = 3 * 366, MOST_TASKS_COMPARED = 500, MANY_STEPS = 10 };

/* ---- a run that repeats another ---- */

struct run_steps {
    const struct wr_log_step *step;
    size_t n, run;
    uint64_t hash;
};

static uint64_t mix(uint64_t h, double value)
{
    uint64_t bits;

    memcpy(&bits, &value, sizeof bits);
    h = (h ^ bits) * 0x9e3779b97f4a7c15u;
    return h ^ h >> 29;
}

static uint64_t hash_of(const struct run_steps *r)
{
    uint64_t h = r->n;

    for (size_t i = 0; i < r->n; i++) {
        h = mix(h, r->step[i].task + 1.0);
        h = mix(h, r->step[i].start_min);
        h = mix(h, r->step[i].active_min);
    }
    return h;
}

static bool is_same(const struct run_steps *a, const struct run_steps *b)
{
    if (a->n != b->n) return false;
    for (size_t i = 0; i < a->n; i++) {
        const struct wr_log_step *x = &a->step[i], *y = &b->step[i];
        if (x->task != y->task || x->outcome != y->outcome || x->start_min != y->start_min ||
            x->active_min != y->active_min || x->hold_min != y->hold_min)
            return false;
    }
    return true;
}

/* So many steps with times that the same numbers cannot be chance. */
static bool has_enough(const struct run_steps *r)
{
    size_t n_clock = 0, n_timed = 0;

    for (size_t i = 0; i < r->n; i++) {
        n_clock += r->step[i].has_clock;
        n_timed += r->step[i].active_min > 0;
    }
    return n_clock >= FEW_STEPS || n_timed >= FEW_UNTIMED;
}

static int compare_hashes(const void *a, const void *b)
{
    const struct run_steps *x = a, *y = b;

    if (x->hash != y->hash) return x->hash < y->hash ? -1 : 1;
    return (x->run > y->run) - (x->run < y->run);
}

static void find_repeats(const struct wr_run_log *log, struct wr_findings *findings)
{
    struct run_steps *runs = WR_NEW_ARRAY(struct run_steps, log->n_run);
    size_t at = 0;

    for (size_t r = 0; r < log->n_run; r++) {
        size_t from = at;
        while (at < log->n_step && log->step[at].run == r) at++;
        runs[r] = (struct run_steps){.step = log->step + from, .n = at - from, .run = r};
        runs[r].hash = hash_of(&runs[r]);
    }
    qsort(runs, log->n_run, sizeof *runs, compare_hashes);
    for (size_t i = 1; i < log->n_run; i++) {
        const struct run_steps *a = &runs[i - 1], *b = &runs[i];
        if (a->hash != b->hash || !is_same(a, b) || !has_enough(a)) continue;
        const struct wr_log_run *run = &log->run[b->run];
        wr_findings_add(findings, WR_WARNING, "run-repeats", log->file[run->file], run->line, 0,
                        "run '%.60s' has the same times as run '%.60s', to the second: pasted again? Both count",
                        run->id, log->run[a->run].id);
    }
    wr_free(runs);
}

/* ---- dates ---- */

static int compare_days(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;

    return (x > y) - (x < y);
}

static void find_far_dates(const struct wr_run_log *log, struct wr_findings *findings)
{
    double *day = WR_NEW_ARRAY(double, log->n_run);
    size_t n = 0;

    for (size_t r = 0; r < log->n_run; r++)
        if (log->run[r].day.known) day[n++] = log->run[r].day.value;
    qsort(day, n, sizeof *day, compare_days);
    for (size_t r = 0; n >= 3 && r < log->n_run; r++) {
        const struct wr_log_run *run = &log->run[r];
        double off = run->day.known ? run->day.value - day[n / 2] : 0;
        if (off > -FAR_DAYS && off < FAR_DAYS) continue;
        wr_findings_add(findings, WR_WARNING, "date-far", log->file[run->file], run->line, 0,
                        "run '%.60s' is dated %.40s, %.0f years %s most runs: it stands %s in the order of the runs",
                        run->id, run->date[0] ? run->date : "by its times", (off < 0 ? -off : off) / 365.25,
                        off < 0 ? "before" : "after", off < 0 ? "first" : "last");
    }
    wr_free(day);
}

/* ---- names that stand alone ---- */

struct runs_of { /* a task */
    uint32_t *run;
    size_t n, room, first_step;
};

static const char *task_at(const void *arg, size_t i)
{
    return ((const char *const *)arg)[i];
}

/* Names of the plan, and those that names.csv has, are meant as they stand. */
static bool is_meant(const struct wr_log_options *options, const char *task)
{
    return wr_alias_is_given(options->aliases, WR_NAME_TASK, task) ||
           (options->plan && wr_plan_find(options->plan, task) != SIZE_MAX);
}

static bool share_a_run(const struct runs_of *a, const struct runs_of *b)
{
    for (size_t i = 0, k = 0; i < a->n && k < b->n;) {
        if (a->run[i] == b->run[k]) return true;
        if (a->run[i] < b->run[k]) i++;
        else k++;
    }
    return false;
}

static void report_lone_task(const struct wr_run_log *log, size_t task, size_t near, const struct runs_of *runs,
                             bool beside, struct wr_findings *findings)
{
    const struct wr_log_step *s = &log->step[runs->first_step];
    const char *name = log->task[task], *other = log->task[near];
    struct wr_str rows = {0}, only = {0};

    wr_alias_add_row(&rows, WR_NAME_TASK, name, other);
    wr_str_add(&rows, " (one), or ");
    wr_alias_add_row(&rows, WR_NAME_TASK, name, name);
    if (runs->n == 1) wr_str_addf(&only, "run '%.60s'", log->run[s->run].id);
    else wr_str_addf(&only, "%zu runs", runs->n);
    wr_findings_add(findings, WR_WARNING, "lone-name", log->file[s->file], s->line, 0,
                    "task '%.60s' stands in %s only, %s '%.60s'%s: one task or two? A row of names.csv says it: %s "
                    "(two)",
                    name, only.text, beside ? "beside" : "where", other, beside ? "" : " is missing", rows.text);
    wr_str_release(&rows);
    wr_str_release(&only);
}

/* May it be the other one? They lack that; or it is of one run, and of the two the plan knows the other only. */
static bool may_be(const struct wr_run_log *log, const struct wr_log_options *options, const struct runs_of *of,
                   size_t task, size_t other)
{
    if (of[other].n < 2 * of[task].n) return false;
    return !share_a_run(&of[task], &of[other]) ||
           (of[task].n == 1 && options->plan && wr_plan_find(options->plan, log->task[other]) != SIZE_MAX);
}

/* A task of few runs, and one of at least twice as many whose name is nearly the same. */
static void find_lone_tasks(const struct wr_run_log *log, const struct wr_log_options *options,
                            struct wr_findings *findings)
{
    struct runs_of *of = WR_NEW_ARRAY(struct runs_of, log->n_task);
    const char **other = WR_NEW_ARRAY(const char *, log->n_task);
    const struct wr_name_list list = {task_at, other, log->n_task};

    for (size_t i = 0; i < log->n_step; i++) {
        const struct wr_log_step *s = &log->step[i];
        struct runs_of *runs = &of[s->task];
        if (runs->n == 0) runs->first_step = i;
        if (runs->n == 0 || runs->run[runs->n - 1] != s->run) *WR_PUSH(runs->run, runs->n, runs->room) = s->run;
    }
    for (size_t t = 0; t < log->n_task && log->n_run >= 3; t++) {
        if (3 * of[t].n > log->n_run || is_meant(options, log->task[t])) continue;
        for (size_t u = 0; u < log->n_task; u++)
            other[u] = may_be(log, options, of, t, u) ? log->task[u] : NULL;
        size_t near = wr_find_near(&list, log->task[t]);
        if (near != SIZE_MAX)
            report_lone_task(log, t, near, &of[t], share_a_run(&of[t], &of[near]), findings);
    }
    for (size_t t = 0; t < log->n_task; t++) wr_free(of[t].run);
    wr_free(of);
    wr_free(other);
}

/* ---- a task that covers its runs ---- */

struct cover { /* in one run */
    double begin_min, end_min; /* of what is timed there */
    size_t n;
};

static void widen(struct cover *c, const struct wr_log_step *s)
{
    if (!s->has_clock) return;
    if (c->n == 0 || s->start_min < c->begin_min) c->begin_min = s->start_min;
    if (c->n == 0 || s->end_min > c->end_min) c->end_min = s->end_min;
    c->n++;
}

/* One can be with the line all the time while the other works. */
static bool may_share_a_lane(const char *a, const char *b)
{
    return !a[0] || !b[0] || strcmp(a, b) == 0 || strchr(a, '+') || strchr(b, '+');
}

/* Of all steps of the run but this one's, in its lanes. */
static struct cover of_others(const struct wr_log_step *first, const struct wr_log_step *last,
                              const struct wr_log_step *but)
{
    struct cover c = {0};

    for (const struct wr_log_step *s = first; s < last; s++)
        if (s->task != but->task && may_share_a_lane(s->crew, but->crew)) widen(&c, s);
    return c;
}

/* Alone in its run from the first start to the last end of at least FEW_STEPS others: "EVA 9:12 12:40". */
static void find_covering_tasks(const struct wr_run_log *log, const struct wr_log_options *options,
                                struct wr_findings *findings)
{
    unsigned char *said = WR_NEW_ARRAY(unsigned char, log->n_task);

    for (size_t from = 0, to; from < log->n_step; from = to) {
        double longest = -1;
        const struct wr_log_step *s = NULL;
        for (to = from; to < log->n_step && log->step[to].run == log->step[from].run; to++) {
            const struct wr_log_step *t = &log->step[to];
            if (!t->has_clock || t->end_min - t->start_min <= longest) continue;
            longest = t->end_min - t->start_min;
            s = t;
        }
        if (!s || said[s->task] || is_meant(options, log->task[s->task])) continue;
        struct cover others = of_others(log->step + from, log->step + to, s);
        if (others.n < FEW_STEPS || s->start_min > others.begin_min || s->end_min < others.end_min) continue;
        said[s->task] = 1;
        struct wr_str row = {0};
        wr_alias_add_row(&row, WR_NAME_TASK, log->task[s->task], log->task[s->task]);
        wr_findings_add(findings, WR_WARNING, "covers-run", log->file[s->file], s->line, 0,
                        "task '%.60s' of run '%.60s' lasts from the first start to the last end of all its other "
                        "tasks: the whole of it, and no task? take such rows out, or let names.csv say that it is one: "
                        "%s",
                        log->task[s->task], log->run[s->run].id, row.text);
        wr_str_release(&row);
    }
    wr_free(said);
}

/* ---- lanes ---- */

struct lanes {
    struct wr_names name;
    struct wr_arena text;
    size_t n_step[WR_MAX_LANES], first[WR_MAX_LANES]; /* of the first lanes; more are no crew */
    size_t step;                                      /* that is being looked at */
};

static void count_lane(void *arg, const char *part, size_t len)
{
    struct lanes *l = arg;
    uint32_t lane = len ? wr_names_add(&l->name, &l->text, part, len) : WR_NO_NAME;

    if (lane >= WR_MAX_LANES) return;
    if (l->n_step[lane]++ == 0) l->first[lane] = l->step;
}

/* A lane that no other row knows. */
static void find_lone_lanes(const struct wr_run_log *log, const struct wr_log_options *options,
                            struct wr_findings *findings)
{
    struct lanes l = {.step = 0};

    for (; l.step < log->n_step && l.name.n_name <= WR_MAX_LANES; l.step++)
        crew_parts(log->step[l.step].crew, false, count_lane, &l);
    for (size_t lane = 0; lane < l.name.n_name && lane < WR_MAX_LANES && log->n_step >= MANY_STEPS; lane++) {
        const struct wr_log_step *s = &log->step[l.first[lane]];
        const char *name = l.name.name[lane].text;
        if (l.n_step[lane] != 1 || wr_alias_is_given(options->aliases, WR_NAME_LANE, name)) continue;
        struct wr_str row = {0};
        wr_alias_add_row(&row, WR_NAME_LANE, name, "NAME");
        wr_findings_add(findings, WR_WARNING, "lone-name", log->file[s->file], s->line, 0,
                        "lane '%.60s' stands in this row only: a slip? A row of names.csv says which it is: %s", name,
                        row.text);
        wr_str_release(&row);
    }
    wr_names_release(&l.name);
    wr_arena_release(&l.text);
}

static void find_lone_runs(const struct wr_run_log *log, const struct wr_log_options *options,
                           struct wr_findings *findings)
{
    double *rows = WR_NEW_ARRAY(double, log->n_run);

    for (size_t r = 0; r < log->n_run; r++) rows[r] = (double)log->run[r].n_row;
    qsort(rows, log->n_run, sizeof *rows, compare_days);
    for (size_t r = 0; log->n_run >= 3 && r < log->n_run; r++) {
        const struct wr_log_run *run = &log->run[r];
        if (run->n_row > 2 || rows[log->n_run / 2] < 6 || wr_alias_is_given(options->aliases, WR_NAME_RUN, run->id))
            continue;
        struct wr_str row = {0};
        wr_alias_add_row(&row, WR_NAME_RUN, run->id, "NAME");
        wr_findings_add(findings, WR_WARNING, "lone-name", log->file[run->file], run->line, 0,
                        "run '%.60s' has %zu row%s where others have %.0f: a slip in its name? A row of names.csv "
                        "says which it is: %s",
                        run->id, run->n_row, run->n_row == 1 ? "" : "s", rows[log->n_run / 2], row.text);
        wr_str_release(&row);
    }
    wr_free(rows);
}

void log_find_oddities(const struct wr_run_log *log, const struct wr_log_options *options,
                       struct wr_findings *findings)
{
    find_repeats(log, findings);
    find_far_dates(log, findings);
    if (log->n_task <= MOST_TASKS_COMPARED) find_lone_tasks(log, options, findings);
    find_covering_tasks(log, options, findings);
    find_lone_lanes(log, options, findings);
    find_lone_runs(log, options, findings);
}
