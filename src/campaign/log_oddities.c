/* What is odd about a log as a whole: dates, and names of lanes and runs that stand alone. */
#include "log_oddities.h"

#include <ctype.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include "crew_text.h"
#include "wetrun/campaign/plan.h"

enum { FAR_DAYS = 3 * 366, APART_DAYS = 180, TIMES_APART = 4, MANY_STEPS = 10 };

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

/* Years from most; or one alone, before or after all others, and four times as far as they lie apart. */
static bool is_far(const double *day, size_t n, double at)
{
    double off = at - day[n / 2], span = 0, gap = 0;

    if (off <= -FAR_DAYS || off >= FAR_DAYS) return true;
    if (n > 3 && at == day[0]) gap = day[1] - at, span = day[n - 1] - day[1];
    else if (n > 3 && at == day[n - 1]) gap = at - day[n - 2], span = day[n - 2] - day[0];
    return gap > APART_DAYS && gap > TIMES_APART * span;
}

static void report_date(const struct oddities *o, const struct wr_log_run *run, const char *code, const char *what)
{
    WR_SCOPED_STR row = {0};

    wr_alias_add_row(&row, WR_NAME_RUN, run->id, run->id);
    wr_findings_add(o->findings, WR_WARNING, code, o->log->file[run->file], run->line, 0,
                    "run '%.60s' is dated %.40s, %s: correct its date, or let names.csv say that it is right: %s",
                    run->id, run->date[0] ? run->date : "by its times", what, row.text);
}

static bool is_given(const struct oddities *o, const struct wr_log_run *run)
{
    return wr_alias_is_given(o->options->aliases, WR_NAME_RUN, run->id);
}

static bool find_far_dates(const struct oddities *o)
{
    const struct wr_run_log *log = o->log;
    WR_SCOPED double *day = WR_NEW_ARRAY(double, log->n_run);
    size_t n = 0, n_far = 0;
    char what[128];

    for (size_t r = 0; r < log->n_run; r++)
        if (log->run[r].day.known) day[n++] = log->run[r].day.value;
    qsort(day, n, sizeof *day, compare_days);
    for (size_t r = 0; n >= 3 && r < log->n_run; r++) {
        const struct wr_log_run *run = &log->run[r];
        if (!run->day.known || !is_far(day, n, run->day.value) || is_given(o, run)) continue;
        double off = run->day.value - day[n / 2], days = off < 0 ? -off : off;
        snprintf(what, sizeof what, "%.0f %s %s most runs, and stands %s in their order",
                 days < FAR_DAYS ? days : days / 365.25, days < FAR_DAYS ? "days" : "years",
                 off < 0 ? "before" : "after", off < 0 ? "first" : "last");
        report_date(o, run, "date-far", what);
        n_far++;
    }
    return n_far > 0;
}

struct placed { /* a run: where it stands by date, and in the log */
    const struct wr_log_run *run;
    size_t by_date;
};

static int compare_places(const void *a, const void *b)
{
    const struct wr_log_run *x = ((const struct placed *)a)->run, *y = ((const struct placed *)b)->run;

    if (x->file != y->file) return x->file < y->file ? -1 : 1;
    return (x->line > y->line) - (x->line < y->line);
}

/* The last number in a name: "P7-9 b" is "P7-", 9 and " b". */
static bool split(const char *id, size_t *before, double *number, const char **behind)
{
    size_t end = strlen(id);

    while (end > 0 && !isdigit((unsigned char)id[end - 1])) end--;
    *before = end;
    while (*before > 0 && isdigit((unsigned char)id[*before - 1])) --*before;
    *number = strtod(id + *before, NULL);
    *behind = id + end;
    return end > *before;
}

/* Names alike but for a number, which grows from run to run. */
static bool are_numbered_on(const struct placed *at, size_t n)
{
    const char *first = at[0].run->id, *behind, *behind_first;
    size_t before, before_first;
    double number, last;

    if (!split(first, &before_first, &last, &behind_first)) return false;
    for (size_t i = 1; i < n; i++) {
        const char *id = at[i].run->id;
        if (!split(id, &before, &number, &behind) || before != before_first || strcmp(behind, behind_first) != 0 ||
            strncmp(id, first, before) != 0 || number <= last)
            return false;
        last = number;
    }
    return true;
}

/* Names and log count the runs in one order, and the dates in another: the one that is moved furthest. */
static void find_moved_dates(const struct oddities *o)
{
    const struct wr_run_log *log = o->log;
    WR_SCOPED struct placed *at = WR_NEW_ARRAY(struct placed, log->n_run);
    size_t n = 0, worst = 0, furthest = 0;
    char what[160];

    for (size_t r = 0; r < log->n_run && log->has_dates; r++)
        if (!is_given(o, &log->run[r])) at[n] = (struct placed){&log->run[r], n}, n++;
    if (n < 3) return;
    qsort(at, n, sizeof *at, compare_places);
    for (size_t i = 0; i < n; i++) {
        size_t moved = i > at[i].by_date ? i - at[i].by_date : at[i].by_date - i;
        if (moved <= furthest) continue;
        furthest = moved;
        worst = i;
    }
    if (furthest == 0 || !are_numbered_on(at, n)) return;
    snprintf(what, sizeof what, "and so counts as number %zu of %zu; by its name and its place in the log it is number "
             "%zu", at[worst].by_date + 1, n, worst + 1);
    report_date(o, at[worst].run, "date-order", what);
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
    if (!find_far_dates(o)) find_moved_dates(o);
    log_find_odd_order(o);
    log_find_odd_tasks(o);
    log_find_odd_people(o);
    log_find_odd_holds(o);
    find_lone_lanes(o);
    find_lone_runs(o);
}
