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

static const char *task_at(const void *arg, size_t i)
{
    return ((const char *const *)arg)[i];
}

/* A task of one run among several, beside one of more runs whose name is nearly the same. */
static void find_lone_tasks(const struct wr_run_log *log, struct wr_findings *findings)
{
    size_t *n_run = WR_NEW_ARRAY(size_t, log->n_task), *first = WR_NEW_ARRAY(size_t, log->n_task);
    const char **other = WR_NEW_ARRAY(const char *, log->n_task);

    for (size_t i = 0; i < log->n_step; i++) {
        const struct wr_log_step *s = &log->step[i];
        if (i > 0 && s[-1].run == s->run && s[-1].task == s->task) continue;
        if (n_run[s->task]++ == 0) first[s->task] = i;
    }
    for (size_t t = 0; t < log->n_task; t++) other[t] = n_run[t] >= 2 ? log->task[t] : NULL;
    const struct wr_name_list list = {task_at, other, log->n_task};
    for (size_t t = 0; t < log->n_task && log->n_run >= 3; t++) {
        size_t near = n_run[t] == 1 ? wr_find_near(&list, log->task[t]) : SIZE_MAX;
        if (near == SIZE_MAX) continue;
        const struct wr_log_step *s = &log->step[first[t]];
        /* beside that very task in its run it is another one */
        bool both = false;
        for (size_t i = 0; i < log->n_step && !both; i++)
            both = log->step[i].run == s->run && log->step[i].task == near;
        if (!both)
            wr_findings_add(
                findings, WR_WARNING, "lone-name", log->file[s->file], s->line, 0,
                "task '%.60s' stands in run '%.60s' only, where '%.60s' is missing: the same? names.csv can say "
                "it: task,%.60s,%.60s",
                log->task[t], log->run[s->run].id, log->task[near], log->task[t], log->task[near]);
    }
    wr_free(n_run);
    wr_free(first);
    wr_free(other);
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
static void find_lone_lanes(const struct wr_run_log *log, struct wr_findings *findings)
{
    struct lanes l = {.step = 0};

    for (; l.step < log->n_step && l.name.n_name <= WR_MAX_LANES; l.step++)
        crew_parts(log->step[l.step].crew, false, count_lane, &l);
    for (size_t lane = 0; lane < l.name.n_name && lane < WR_MAX_LANES && log->n_step >= MANY_STEPS; lane++) {
        const struct wr_log_step *s = &log->step[l.first[lane]];
        if (l.n_step[lane] != 1) continue;
        wr_findings_add(findings, WR_WARNING, "lone-name", log->file[s->file], s->line, 0,
                        "lane '%.60s' stands in this row only: a slip? names.csv can say which it is: lane,%.60s,NAME",
                        l.name.name[lane].text, l.name.name[lane].text);
    }
    wr_names_release(&l.name);
    wr_arena_release(&l.text);
}

static void find_lone_runs(const struct wr_run_log *log, struct wr_findings *findings)
{
    double *rows = WR_NEW_ARRAY(double, log->n_run);

    for (size_t r = 0; r < log->n_run; r++) rows[r] = (double)log->run[r].n_row;
    qsort(rows, log->n_run, sizeof *rows, compare_days);
    for (size_t r = 0; log->n_run >= 3 && r < log->n_run; r++) {
        const struct wr_log_run *run = &log->run[r];
        if (run->n_row > 2 || rows[log->n_run / 2] < 6) continue;
        wr_findings_add(
            findings, WR_WARNING, "lone-name", log->file[run->file], run->line, 0,
            "run '%.60s' has %zu row%s where others have %.0f: a slip in its name? names.csv can say which it is: "
            "run,%.60s,NAME",
            run->id, run->n_row, run->n_row == 1 ? "" : "s", rows[log->n_run / 2], run->id);
    }
    wr_free(rows);
}

void log_find_oddities(const struct wr_run_log *log, struct wr_findings *findings)
{
    find_repeats(log, findings);
    find_far_dates(log, findings);
    if (log->n_task <= MOST_TASKS_COMPARED) find_lone_tasks(log, findings);
    find_lone_lanes(log, findings);
    find_lone_runs(log, findings);
}
