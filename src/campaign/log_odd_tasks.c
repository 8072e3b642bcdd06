/* Tasks that may be one under two names. */
#include <math.h>
#include "crew_text.h"
#include "log_oddities.h"
#include "wetrun/campaign/near_name.h"
#include "wetrun/campaign/plan.h"

enum { MOST_TASKS_COMPARED = 500, FEW_RUNS = 3 };

/* ---- a name that is nearly another ---- */

struct runs_of { /* a task */
    uint32_t *run;
    size_t n, room, first_step;
};

static const char *task_at(const void *arg, size_t i)
{
    return ((const char *const *)arg)[i];
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

/* "task,Lader,Ladder (one), or task,Lader,Lader (two)" */
static void say_rows(struct wr_str *rows, const char *name, const char *other)
{
    wr_alias_add_row(rows, WR_NAME_TASK, name, other);
    wr_str_add(rows, " (one), or ");
    wr_alias_add_row(rows, WR_NAME_TASK, name, name);
    wr_str_add(rows, " (two)");
}

static void report_lone_task(const struct oddities *o, size_t task, size_t near, const struct runs_of *runs,
                             bool beside)
{
    const struct wr_run_log *log = o->log;
    const struct wr_log_step *s = &log->step[runs->first_step];
    const char *name = log->task[task], *other = log->task[near];
    WR_SCOPED_STR rows = {0}, only = {0};

    say_rows(&rows, name, other);
    if (runs->n == 1) wr_str_addf(&only, "run '%.60s'", log->run[s->run].id);
    else wr_str_addf(&only, "%zu runs", runs->n);
    wr_findings_add(o->findings, WR_WARNING, "lone-name", log->file[s->file], s->line, 0,
                    "task '%.60s' stands in %s only, %s '%.60s'%s: one task or two? A row of names.csv says it: %s",
                    name, only.text, beside ? "beside" : "where", other, beside ? "" : " is missing", rows.text);
}

static bool is_planned(const struct oddities *o, size_t task)
{
    return o->options->plan && wr_plan_find(o->options->plan, o->log->task[task]) != SIZE_MAX;
}

/* May it be the other one? They lack that; or it is of one run, and of the two the plan knows the other only. */
static bool may_be(const struct oddities *o, const struct runs_of *of, size_t task, size_t other)
{
    if (of[other].n < 2 * of[task].n) return false;
    return !share_a_run(&of[task], &of[other]) || (of[task].n == 1 && is_planned(o, other));
}

/* A task of few runs, and one of at least twice as many whose name is nearly the same. */
static bool find_lone_task(const struct oddities *o, const struct runs_of *of, size_t task, const char **other)
{
    const struct wr_name_list list = {task_at, other, o->log->n_task};

    if (3 * of[task].n > o->log->n_run || oddity_is_meant(o, o->log->task[task])) return false;
    for (size_t u = 0; u < o->log->n_task; u++) other[u] = may_be(o, of, task, u) ? o->log->task[u] : NULL;
    size_t near = wr_find_near(&list, o->log->task[task]);
    if (near != SIZE_MAX) report_lone_task(o, task, near, &of[task], share_a_run(&of[task], &of[near]));
    return near != SIZE_MAX;
}

/* ---- two tasks of which every run has one ---- */

static bool is_given(const struct oddities *o, size_t task)
{
    return wr_alias_is_given(o->options->aliases, WR_NAME_TASK, o->log->task[task]);
}

/* No run has both, nearly every run has one, a lane does both, and a forecast would count them as two. */
static bool stand_for_each_other(const struct oddities *o, const struct runs_of *of, size_t a, size_t b)
{
    const struct wr_log_step *x = &o->log->step[of[a].first_step], *y = &o->log->step[of[b].first_step];

    if (5 * (of[a].n + of[b].n) < 4 * o->log->n_run || share_a_run(&of[a], &of[b])) return false;
    if (o->options->plan && is_planned(o, a) == is_planned(o, b)) return false;
    return !is_given(o, a) && !is_given(o, b) && crews_may_share_a_lane(x->crew, y->crew);
}

static void report_apart(const struct oddities *o, const struct runs_of *of, size_t task, size_t other)
{
    const struct wr_run_log *log = o->log;
    const struct wr_log_step *s = &log->step[of[task].first_step];
    WR_SCOPED_STR rows = {0};

    say_rows(&rows, log->task[task], log->task[other]);
    wr_findings_add(o->findings, WR_WARNING, "never-together", log->file[s->file], s->line, 0,
                    "task '%.60s' stands in %zu run%s, '%.60s' in %zu others, and no run has both: one task, or two? A "
                    "row of names.csv says it: %s",
                    log->task[task], of[task].n, of[task].n == 1 ? "" : "s", log->task[other], of[other].n, rows.text);
}

/* Of several the one that begins at nearly the same time. The one in the plan, or of more runs, gives the name. */
static void find_apart(const struct oddities *o, const struct runs_of *of, size_t task)
{
    const struct wr_log_step *step = o->log->step;
    double nearest = INFINITY;
    size_t best = SIZE_MAX;

    for (size_t u = 0; u < o->log->n_task; u++) {
        /* cppcheck-suppress arrayIndexThenCheck ; it breaks a tie, and bounds nothing */
        bool is_commoner = of[u].n > of[task].n || (of[u].n == of[task].n && u < task);
        if (!(o->options->plan ? is_planned(o, u) : is_commoner) || !stand_for_each_other(o, of, task, u)) continue;
        double apart = fabs(step[of[u].first_step].start_min - step[of[task].first_step].start_min);
        if (apart >= nearest) continue;
        nearest = apart;
        best = u;
    }
    if (best != SIZE_MAX) report_apart(o, of, task, best);
}

static struct runs_of *gather_runs(const struct wr_run_log *log)
{
    struct runs_of *of = WR_NEW_ARRAY(struct runs_of, log->n_task);

    for (size_t i = 0; i < log->n_step; i++) {
        const struct wr_log_step *s = &log->step[i];
        struct runs_of *runs = &of[s->task];
        if (runs->n == 0) runs->first_step = i;
        if (runs->n == 0 || runs->run[runs->n - 1] != s->run) *WR_PUSH(runs->run, runs->n, runs->room) = s->run;
    }
    return of;
}

void log_find_odd_tasks(const struct oddities *o)
{
    const struct wr_run_log *log = o->log;

    if (log->n_task > MOST_TASKS_COMPARED || log->n_run < FEW_RUNS) return;
    struct runs_of *of = gather_runs(log);
    const char **other = WR_NEW_ARRAY(const char *, log->n_task);
    for (size_t t = 0; t < log->n_task; t++)
        if (!find_lone_task(o, of, t, other)) find_apart(o, of, t);
    for (size_t t = 0; t < log->n_task; t++) wr_free(of[t].run);
    WR_FREE(of, other);
}
