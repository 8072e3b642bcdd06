/* What is odd about a log as a whole: dates, and names of lanes and runs that stand alone. */
#include "log_oddities.h"

#include <stdlib.h>
#include <string.h>
#include "crew_text.h"
#include "wetrun/campaign/plan.h"

enum { FAR_DAYS = 3 * 366, MANY_STEPS = 10 };

bool oddity_is_meant(const struct oddities *o, const char *task)
{
    return wr_alias_is_given(o->options->aliases, WR_NAME_TASK, task) ||
           (o->options->plan && wr_plan_find(o->options->plan, task) != SIZE_MAX);
}

/* ---- dates ---- */

static int compare_days(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;

    return (x > y) - (x < y);
}

static void find_far_dates(const struct oddities *o)
{
    const struct wr_run_log *log = o->log;
    WR_SCOPED double *day = WR_NEW_ARRAY(double, log->n_run);
    size_t n = 0;

    for (size_t r = 0; r < log->n_run; r++)
        if (log->run[r].day.known) day[n++] = log->run[r].day.value;
    qsort(day, n, sizeof *day, compare_days);
    for (size_t r = 0; n >= 3 && r < log->n_run; r++) {
        const struct wr_log_run *run = &log->run[r];
        double off = run->day.known ? run->day.value - day[n / 2] : 0;
        if (off > -FAR_DAYS && off < FAR_DAYS) continue;
        wr_findings_add(o->findings, WR_WARNING, "date-far", log->file[run->file], run->line, 0,
                        "run '%.60s' is dated %.40s, %.0f years %s most runs: it stands %s in the order of the runs",
                        run->id, run->date[0] ? run->date : "by its times", (off < 0 ? -off : off) / 365.25,
                        off < 0 ? "before" : "after", off < 0 ? "first" : "last");
    }
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
static void find_lone_lanes(const struct oddities *o)
{
    const struct wr_run_log *log = o->log;
    struct lanes l = {.step = 0};
    struct wr_names crew = {0};
    size_t *n_of = NULL, n_crew = 0, room = 0;
    uint32_t last = WR_NO_NAME;

    for (; l.step < log->n_step && l.name.n_name <= WR_MAX_LANES; l.step++) {
        const char *text = log->step[l.step].crew;
        if (!text[0]) continue;
        uint32_t c = wr_names_add_next(&crew, &l.text, text, strlen(text), &last);
        if (c == n_crew) WR_PUSH(n_of, n_crew, room);
        if (n_of[c]++ < 2) crew_parts(text, false, count_lane, &l); /* beyond that none of its lanes stands alone */
    }
    wr_names_release(&crew);
    wr_free(n_of);
    for (size_t lane = 0; lane < l.name.n_name && lane < WR_MAX_LANES && log->n_step >= MANY_STEPS; lane++) {
        const struct wr_log_step *s = &log->step[l.first[lane]];
        const char *name = l.name.name[lane].text;
        if (l.n_step[lane] != 1 || wr_alias_is_given(o->options->aliases, WR_NAME_LANE, name)) continue;
        WR_SCOPED_STR row = {0};
        wr_alias_add_row(&row, WR_NAME_LANE, name, "NAME");
        wr_findings_add(o->findings, WR_WARNING, "lone-name", log->file[s->file], s->line, 0,
                        "lane '%.60s' stands in this row only: a slip? A row of names.csv says which it is: %s", name,
                        row.text);
    }
    wr_names_release(&l.name);
    wr_arena_release(&l.text);
}

static void find_lone_runs(const struct oddities *o)
{
    const struct wr_run_log *log = o->log;
    WR_SCOPED double *rows = WR_NEW_ARRAY(double, log->n_run);

    for (size_t r = 0; r < log->n_run; r++) rows[r] = (double)log->run[r].n_row;
    qsort(rows, log->n_run, sizeof *rows, compare_days);
    for (size_t r = 0; log->n_run >= 3 && r < log->n_run; r++) {
        const struct wr_log_run *run = &log->run[r];
        if (run->n_row > 2 || rows[log->n_run / 2] < 6 || wr_alias_is_given(o->options->aliases, WR_NAME_RUN, run->id))
            continue;
        WR_SCOPED_STR row = {0};
        wr_alias_add_row(&row, WR_NAME_RUN, run->id, "NAME");
        wr_findings_add(o->findings, WR_WARNING, "lone-name", log->file[run->file], run->line, 0,
                        "run '%.60s' has %zu row%s where others have %.0f: a slip in its name? A row of names.csv "
                        "says which it is: %s",
                        run->id, run->n_row, run->n_row == 1 ? "" : "s", rows[log->n_run / 2], row.text);
    }
}

void log_find_oddities(const struct oddities *o)
{
    log_find_odd_runs(o);
    find_far_dates(o);
    log_find_odd_tasks(o);
    log_find_odd_people(o);
    find_lone_lanes(o);
    find_lone_runs(o);
}
