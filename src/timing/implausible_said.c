/* What the plan says beforehand of how long a task takes, where it cannot be meant. Of work that was never done that is
 * all that counts: 0.67 of an hour stands for 40 min, a digit is lost, and no run says otherwise. */
#include <math.h>
#include <stdio.h>
#include <string.h>
#include "screening.h"
#include "wetrun/base/memory.h"

static const double FAR_NEW = 8, FAR_PLANNED = 4, FAR_POINT = 8, FAR_HOURS = 2, MOST_HOURS = 4, MOST_SDLOG = 1,
                    OFTEN = 0.25;

/* Of the tasks that runs have done or, where none has, of those of the plan that are not written as hours may be.
 * INFINITY and 0: none; the second ones, so that a task may be left out. */
struct usual_tasks {
    double shortest[2], longest[2];
    size_t short_task[2], long_task[2];
    bool rehearsed;
    double far_hours; /* how far below the shortest such a one is doubted */
};

/* ---- what others take ---- */

static bool is_whole(struct wr_maybe value)
{
    return !value.known || value.value == floor(value.value);
}

/* 1.5, or 1 to 2.5 */
static bool has_fraction(const struct wr_plan_task *t)
{
    const struct wr_maybe *said = wr_plan_said(t);

    return !is_whole(*said) || (said == &t->likely_min && !(is_whole(t->low_min) && is_whole(t->high_min)));
}

/* Minutes are seldom written with a fraction, and hours as seldom without. */
static bool may_be_hours(const struct wr_plan_task *t)
{
    const struct wr_maybe *said = wr_plan_said(t);

    return said->known && t->said_form == WR_TIME_NUMBER && said->value < MOST_HOURS && has_fraction(t);
}

/* Where others have fractions as well, in minutes, one tells less. */
static double far_hours(const struct wr_plan *plan)
{
    size_t n = 0, n_fraction = 0;

    for (size_t k = 0; k < plan->n_task; k++) {
        const struct wr_plan_task *t = &plan->task[k];
        if (!wr_plan_said(t)->known || may_be_hours(t)) continue;
        n++;
        n_fraction += has_fraction(t);
    }
    return (double)n_fraction > OFTEN * (double)n ? FAR_PLANNED : FAR_HOURS;
}

static void add_usual(struct usual_tasks *all, double min, size_t task)
{
    bool first = min < all->shortest[0], last = min > all->longest[0];

    if (first) all->shortest[1] = all->shortest[0], all->short_task[1] = all->short_task[0];
    if (first || min < all->shortest[1]) all->shortest[!first] = min, all->short_task[!first] = task;
    if (last) all->longest[1] = all->longest[0], all->long_task[1] = all->long_task[0];
    if (last || min > all->longest[1]) all->longest[!last] = min, all->long_task[!last] = task;
}

static struct usual_tasks usual_tasks(struct screening *j, const struct wr_plan *plan)
{
    struct usual_tasks all = {.shortest = {INFINITY, INFINITY}, .far_hours = far_hours(plan)};

    for (size_t k = 0; k < j->timing->n_task; k++) {
        struct wr_maybe usual = screen_usually_took(j, k);
        if (usual.known) add_usual(&all, usual.value, k);
    }
    all.rehearsed = all.longest[0] > 0;
    for (size_t k = 0; k < plan->n_task && !all.rehearsed; k++) {
        const struct wr_maybe *said = wr_plan_said(&plan->task[k]);
        if (said->known && said->value > 0 && !may_be_hours(&plan->task[k])) add_usual(&all, said->value, k);
    }
    return all;
}

/* ---- what is said of one ---- */

/* Of the plan at hand, which may be another one than the runs are held against. */
struct said {
    const struct wr_plan *plan;
    const struct usual_tasks *usual;
    size_t task, row; /* in the plan; of the runs, SIZE_MAX: they are not held against it */
    bool logged, begun;
};

static void doubt_beside(struct screening *j, const struct said *s, bool is_short, size_t other)
{
    const struct wr_plan_task *t = &s->plan->task[s->task];
    const struct usual_tasks *u = s->usual;
    double min = wr_plan_said(t)->value;
    const char *id = u->rehearsed ? j->plan->task[is_short ? u->short_task[0] : u->long_task[0]].id
                                  : s->plan->task[is_short ? u->short_task[other] : u->long_task[other]].id;
    char hours[80] = "";

    if (is_short) snprintf(hours, sizeof hours, "if it is hours, write %s, else ", wr_hmm(60 * min, WR_ROOM));
    wr_findings_add(j->findings, WR_WARNING, "implausible-judgement", s->plan->file, t->line, 0,
                    "task '%.60s' %s, and %s to take %.4g min, where the %s %s, '%.60s', %s %.3g: is that in another "
                    "unit, or a digit lost? %swrite it with its unit if it is meant (%.4g min)",
                    t->id, s->logged ? "was timed in no run" : "is in no run",
                    wr_plan_said(t) == &t->planned_min ? "planned" : "judged", min,
                    is_short ? "shortest" : "longest", u->rehearsed ? "that was rehearsed" : "other of the plan", id,
                    u->rehearsed ? "usually takes" : "is said to take",
                    is_short ? u->shortest[other] : u->longest[other], hours, min);
}

/* Beside what other tasks take. */
static bool screen_beside_others(struct screening *j, const struct said *s)
{
    const struct wr_plan_task *t = &s->plan->task[s->task];
    const struct usual_tasks *u = s->usual;
    double min = wr_plan_said(t)->value;
    size_t low = !u->rehearsed && u->shortest[0] < INFINITY && u->short_task[0] == s->task,
           high = !u->rehearsed && u->longest[0] > 0 && u->long_task[0] == s->task;
    double shortest = u->shortest[low], longest = u->longest[high];

    if (s->begun || !(longest > 0) || !(min > 0)) return false;
    bool as_hours = may_be_hours(t) && u->far_hours * min <= shortest && 60 * min <= FAR_PLANNED * longest;
    bool is_short = min < fmin(1, shortest) || FAR_NEW * min < shortest || as_hours;
    if (!is_short && min <= FAR_NEW * longest) return false;
    doubt_beside(j, s, is_short, is_short ? low : high);
    return true;
}

/* Beside what is allotted: 0.5 of an hour stands where 30 minutes are planned, or 3 for 30. */
static bool screen_beside_planned(struct screening *j, const struct said *s)
{
    const struct wr_plan_task *t = &s->plan->task[s->task];
    const struct wr_maybe *said = wr_plan_said(t);

    if (said == &t->planned_min || !t->planned_min.known || !(said->value > 0)) return false;
    if (said->value < FAR_PLANNED * t->planned_min.value && FAR_PLANNED * said->value > t->planned_min.value)
        return false;
    wr_findings_add(j->findings, WR_WARNING, "implausible-judgement", s->plan->file, t->line, 0,
                    "task '%.60s' is allotted %g min and judged to take %g min: is one of them in another unit, or a "
                    "digit lost? hours and minutes are written h:mm; if both are meant, write what is judged with its "
                    "unit (%g min)",
                    t->id, t->planned_min.value, said->value, said->value);
    return true;
}

/* Low, likely and high so far apart that one of them may be in another unit. */
static bool screen_points(struct screening *j, const struct said *s)
{
    const struct wr_plan_task *t = &s->plan->task[s->task];
    double low = t->low_min.value, likely = t->likely_min.value, high = t->high_min.value;

    if (s->begun || wr_plan_said(t) != &t->likely_min || !(likely > 0)) return false;
    if (high < FAR_POINT * likely && !(low > 0 && FAR_POINT * low <= likely)) return false;
    wr_findings_add(j->findings, WR_WARNING, "implausible-judgement", s->plan->file, t->line, 0,
                    "task '%.60s' is judged to take %g min, likely %g, at most %g: is one of them in another unit, or "
                    "a digit lost? If they are meant, write likely with its unit (%g min)",
                    t->id, low, likely, high, likely);
    return true;
}

static void screen_sdlog(struct screening *j, const struct said *s)
{
    const struct wr_plan_task *t = &s->plan->task[s->task];

    if (!t->sdlog.known || t->sdlog.value <= MOST_SDLOG) return;
    wr_findings_add(j->findings, WR_WARNING, "implausible-judgement", s->plan->file, t->line, 0,
                    "task '%.60s' has an sdlog of %g, on one day in six more than %.3g times its median: it is the sd "
                    "of log minutes, as 0.2, and no minutes. If so little is known of it, write low, likely and high "
                    "in their place",
                    t->id, t->sdlog.value, exp(t->sdlog.value));
}

/* Get-ahead work that was always left out may be so by its rule, and then nothing rests on it. */
static void screen_planned_only(struct screening *j, const struct said *s)
{
    const struct wr_plan_task *t = &s->plan->task[s->task];
    bool by_rule = s->logged && t->drop_after_min.known;

    if (s->begun || by_rule || s->plan != j->plan || !s->usual->rehearsed) return;
    if (wr_plan_said(t) != &t->planned_min) return;
    wr_findings_add(j->findings, WR_WARNING, "planned-only", j->plan->file, t->line, 0,
                    "task '%.60s' %s: that it is planned to take %.4g min is all that is known of it. Rehearse it, or "
                    "write its low, likely and high",
                    t->id, s->logged ? "was timed in no run" : "is in no run", t->planned_min.value);
}

/* ---- all of a plan ---- */

static bool is_in_log(const struct wr_run_log *log, const char *id)
{
    for (size_t i = 0; i < log->n_task; i++)
        if (strcmp(log->task[i], id) == 0) return true;
    return false;
}

static void find_in_runs(const struct screening *j, struct said *s)
{
    const char *id = s->plan->task[s->task].id;

    s->row = s->plan == j->plan ? s->task : wr_plan_find(j->plan, id);
    if (s->row == SIZE_MAX) {
        s->logged = s->begun = is_in_log(j->log, id);
        return;
    }
    for (size_t r = 0; r < j->timing->n_run; r++) s->begun |= screen_was_begun(wr_timing_cell(j->timing, s->row, r));
    s->logged = !screen_is_never_logged(j, s->row);
}

void screen_said(struct screening *j, const struct wr_plan *plan)
{
    const struct usual_tasks usual = usual_tasks(j, plan);

    for (size_t k = 0; k < plan->n_task && plan->file; k++) {
        struct said s = {.plan = plan, .usual = &usual, .task = k};
        if (!wr_plan_said(&plan->task[k])->known) continue;
        find_in_runs(j, &s);
        bool answered = plan->task[k].said_form != WR_TIME_NUMBER;
        if (!answered && !screen_beside_planned(j, &s) && !screen_points(j, &s)) screen_beside_others(j, &s);
        screen_sdlog(j, &s);
        screen_planned_only(j, &s);
    }
}

void wr_screen_other_plan(const struct wr_run_log *log, const struct wr_plan *plan, const struct wr_timing *timing,
                          const struct wr_plan *other, struct wr_findings *findings)
{
    struct screening j = {.log = log, .plan = plan, .timing = timing, .findings = findings,
                          .value = WR_NEW_ARRAY(double, timing->n_run + 1)};

    screen_said(&j, other);
    wr_free(j.value);
}
