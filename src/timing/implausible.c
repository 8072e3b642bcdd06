#include <math.h>
#include <stdio.h>
#include "screening.h"
#include "wetrun/base/memory.h"
#include "wetrun/network/planned.h"

static const double FAR_STEP = 4, LONE_STEP = 6, LONE_RUN = 2.5, FAR_UNIT = 15, LEAST_MIN = 5, HOUR_OFF = 2.5,
                    HOUR_BEYOND = 2, HOUR_SLACK = 3, LEAST_WAIT = 25, A_WAIT = 4, ROOM_SHARE = 0.5;
enum { HELD_TEXT = 48, FEW_TASKS = 3, MANY_RUNS = 50 /* beyond these a median need not leave one run out */ };

/* ", holds of 0:15 left out", or nothing: no answer rests on the holds of steps and runs. */
static const char *left_out(double hold_min, char text[HELD_TEXT])
{
    text[0] = '\0';
    if (hold_min >= 1) snprintf(text, HELD_TEXT, ", holds of %s left out", wr_hmm(hold_min, WR_ROOM));
    return text;
}

/* ---- steps ---- */

/* The median of a task over all runs but one (SIZE_MAX: over all) that have it done. */
static struct wr_maybe usual_step(struct screening *j, size_t task, size_t but)
{
    size_t n = 0;

    for (size_t r = 0; r < j->timing->n_run; r++) {
        const struct wr_cell *other = wr_timing_cell(j->timing, task, r);
        if (r != but && other->state == WR_CELL_DONE) j->value[n++] = wr_cell_modelled_min(other);
    }
    return n >= 2 ? screen_median(j->value, n) : WR_UNKNOWN;
}

/* How long the runs that have a task done took: the two longest and the two shortest, so that one can be left out. */
struct range { double longest[2], shortest[2]; size_t n; };

static struct range range_of(const struct screening *j, size_t task)
{
    struct range all = {.shortest = {INFINITY, INFINITY}};

    for (size_t r = 0; r < j->timing->n_run; r++) {
        const struct wr_cell *c = wr_timing_cell(j->timing, task, r);
        if (c->state != WR_CELL_DONE) continue;
        double took = wr_cell_modelled_min(c);
        all.longest[1] = fmax(all.longest[1], fmin(took, all.longest[0]));
        all.longest[0] = fmax(all.longest[0], took);
        all.shortest[1] = fmin(all.shortest[1], fmax(took, all.shortest[0]));
        all.shortest[0] = fmin(all.shortest[0], took);
        all.n++;
    }
    return all;
}

/* One hour more than usual, or less: 11:04 typed for 10:04. So much more is 2.5 times as long as in any other run, and
 * the hour less as long as some of them; or it is 2.5 times the usual, far from any of them, and the hour is meant to a
 * few minutes. */
static bool is_hour_off(const struct range *all, bool is_done, double read, struct wr_maybe usual)
{
    double longest = all->longest[is_done && read == all->longest[0]],
           shortest = all->shortest[is_done && read == all->shortest[0]];

    if (all->n - is_done < 2 || !usual.known) return false;
    if (read > HOUR_OFF * longest && read - 60 > shortest * 0.9 && read - 60 < longest * 1.1) return true;
    if (fabs(fabs(read - usual.value) - 60) > HOUR_SLACK) return false;
    return (read > HOUR_OFF * usual.value && read > HOUR_BEYOND * longest) ||
           (read * HOUR_OFF < usual.value && read * HOUR_BEYOND < shortest);
}

static void screen_step(struct screening *j, size_t task, size_t run, struct wr_maybe others, const struct range *all)
{
    const struct wr_cell *c = wr_timing_cell(j->timing, task, run);
    struct wr_implausible row = {.kind = WR_IMPLAUSIBLE_STEP,
                                 .run = j->log->run[run].id,
                                 .task = j->plan->task[task].id,
                                 .read_min = wr_cell_modelled_min(c),
                                 .planned_min = j->plan->task[task].planned_min,
                                 .others_min = others};
    char text[128], read[WR_CLOCK_TEXT], held[HELD_TEXT];
    bool slow;

    if (c->state != WR_CELL_DONE && c->state != WR_CELL_STOPPED) return;
    if (!screen_is_far(row.read_min, row.planned_min, row.others_min, FAR_STEP, LONE_STEP, &slow)) {
        if (!is_hour_off(all, c->state == WR_CELL_DONE, row.read_min, others)) return;
        slow = row.read_min > others.value;
    }
    if (!slow && c->state == WR_CELL_STOPPED) return; /* cut off early: that is what stopped means */
    double usual = row.others_min.known ? row.others_min.value : row.planned_min.value;
    if (fabs(row.read_min - usual) < LEAST_MIN) return;
    screen_add_row(j, row);
    wr_findings_add(j->findings, WR_WARNING, "implausible-step", j->log->file[j->log->run[run].file], c->line, 0,
                    "run '%.60s': task '%.60s' takes %s as read%s; %s: a slip in its times?", row.run, row.task,
                    wr_hmm(row.read_min, read), left_out(c->hold_min, held), screen_beside(&row, text, sizeof text));
}

/* An hour that slipped in the middle of a run, or a break that nobody wrote down, counts as the next task's time. */
static void screen_wait(struct screening *j, size_t task)
{
    double longest = 0, second = A_WAIT;
    size_t run = 0, n = 0;

    for (size_t r = 0; r < j->timing->n_run; r++) {
        const struct wr_cell *c = wr_timing_cell(j->timing, task, r);
        if (c->state != WR_CELL_DONE || c->lead_in_unknown) continue;
        n++;
        if (c->lead_in_min > longest) {
            second = fmax(longest, A_WAIT);
            longest = c->lead_in_min;
            run = r;
        } else {
            second = fmax(second, c->lead_in_min);
        }
    }
    if (n < 3 || longest < LEAST_WAIT || longest < FAR_STEP * second) return;
    const struct wr_log_run *of = &j->log->run[run];
    const char *id = j->plan->task[task].id;
    screen_add_row(j, (struct wr_implausible){.kind = WR_IMPLAUSIBLE_WAIT, .run = of->id, .task = id,
                                              .read_min = longest, .others_min = wr_known(second)});
    wr_findings_add(j->findings, WR_WARNING, "implausible-wait", j->log->file[of->file],
                    wr_timing_cell(j->timing, task, run)->line, 0,
                    "run '%.60s': %s pass before task '%.60s' begins, in the other runs at most %s, and count as its "
                    "time: a slip in the times, or a break? a break is written as a hold",
                    of->id, wr_hmm(longest, WR_ROOM), id, wr_hmm(second, WR_ROOM));
}

/* ---- a task that no run logs ---- */

static struct wr_maybe usual_lead_in(struct screening *j, size_t task)
{
    size_t n = 0;

    for (size_t r = 0; r < j->timing->n_run; r++) {
        const struct wr_cell *c = wr_timing_cell(j->timing, task, r);
        if (c->state == WR_CELL_DONE && !c->lead_in_unknown) j->value[n++] = c->lead_in_min;
    }
    return screen_median(j->value, n);
}

/* Where the runs have the time for it, before what comes next in a lane of it, it counts there and from the plan. What
 * is judged, or known from elsewhere, is said to be in no run. */
static void screen_unlogged(struct screening *j, size_t task)
{
    const struct wr_plan_task *t = &j->plan->task[task];
    uint32_t lanes = t->lanes;

    if (!t->planned_min.known || t->likely_min.known || t->median_min.known || j->timing->n_run == 0 ||
        !screen_is_never_logged(j, task))
        return;
    for (size_t k = task + 1; k < j->timing->n_task; k++) {
        if (!(j->plan->task[k].lanes & lanes) || screen_is_never_logged(j, k)) continue;
        lanes &= ~j->plan->task[k].lanes;
        struct wr_maybe wait = usual_lead_in(j, k);
        if (!wait.known || wait.value < LEAST_MIN || wait.value < ROOM_SHARE * t->planned_min.value) continue;
        wr_findings_add(j->findings, WR_WARNING, "planned-unlogged", j->plan->file, t->line, 0,
                        "task '%.60s' is in no run, and typically %s pass in the runs before '%.60s' begins: if it was "
                        "done then, it counts twice. Log it, or take it out of the plan; if it is new, save the plan "
                        "that was rehearsed as plan-rehearsed.csv",
                        t->id, wr_hmm(wait.value, WR_ROOM), j->plan->task[k].id);
        return;
    }
}

/* ---- runs ---- */

static void screen_run(struct screening *j, size_t run, struct wr_maybe planned, struct wr_maybe others)
{
    struct wr_implausible row = {.kind = WR_IMPLAUSIBLE_RUN, .run = j->log->run[run].id,
                                 .read_min = screen_without_holds(&j->timing->run[run]), .planned_min = planned,
                                 .others_min = others};
    char text[128], read[WR_CLOCK_TEXT], held[HELD_TEXT];
    bool slow;

    if (!j->timing->run[run].complete) return;
    if (!screen_is_far(row.read_min, row.planned_min, row.others_min, FAR_RUN, LONE_RUN, &slow)) return;
    screen_add_row(j, row);
    wr_findings_add(j->findings, WR_WARNING, "implausible-run", j->log->file[j->log->run[run].file],
                    j->log->run[run].line, 0, "run '%.60s' takes %s as read%s; %s", row.run,
                    wr_hmm(row.read_min, read), left_out(screen_finish_of(&j->timing->run[run]) - row.read_min, held),
                    screen_beside(&row, text, sizeof text));
}

static void screen_runs(struct screening *j, struct wr_maybe planned)
{
    bool many = j->timing->n_run > MANY_RUNS;
    struct wr_maybe of_all = screen_other_finish(j, screen_without_holds, SIZE_MAX, 2);

    for (size_t r = 0; r < j->timing->n_run; r++)
        screen_run(j, r, planned, many ? of_all : screen_other_finish(j, screen_without_holds, r, 2));
}

static void screen_steps(struct screening *j)
{
    bool many = j->timing->n_run > MANY_RUNS;

    for (size_t k = 0; k < j->timing->n_task; k++) {
        struct wr_maybe of_all = usual_step(j, k, SIZE_MAX);
        struct range all = range_of(j, k);
        for (size_t r = 0; r < j->timing->n_run; r++)
            screen_step(j, k, r, many ? of_all : usual_step(j, k, r), &all);
        screen_wait(j, k);
        screen_unlogged(j, k);
    }
}

/* ---- units ---- */

/* The log's minutes over the plan's, in the median task. */
static struct wr_maybe typical_ratio(struct screening *j, double *ratio)
{
    size_t n_ratio = 0;

    for (size_t k = 0; k < j->timing->n_task; k++) {
        size_t n = 0;
        if (!j->plan->task[k].planned_min.known) continue;
        for (size_t r = 0; r < j->timing->n_run; r++) {
            const struct wr_cell *c = wr_timing_cell(j->timing, k, r);
            if (c->state == WR_CELL_DONE && c->active_min > 0) j->value[n++] = c->active_min;
        }
        struct wr_maybe typical = screen_median(j->value, n);
        if (typical.known) ratio[n_ratio++] = typical.value / j->plan->task[k].planned_min.value;
    }
    return n_ratio >= FEW_TASKS ? screen_median(ratio, n_ratio) : WR_UNKNOWN;
}

static void screen_unit(struct screening *j)
{
    struct wr_maybe ratio = typical_ratio(j, j->value + j->timing->n_run);

    if (!ratio.known || (ratio.value < FAR_UNIT && ratio.value > 1 / FAR_UNIT)) return;
    j->screen->unit_doubtful = j->screen->plan_doubtful = true;
    screen_add_row(j, (struct wr_implausible){
                          .kind = WR_IMPLAUSIBLE_UNIT, .read_min = ratio.value, .planned_min = wr_known(1)});
    wr_findings_add(j->findings, WR_WARNING, "implausible-unit", j->log->n_file ? j->log->file[0] : NULL, 0, 0,
                    "typically the log's times are %.3g times what the plan allots: is one of them not in minutes? "
                    "--minutes-in seconds or hours says it of the log's bare numbers; the plan's are minutes or h:mm",
                    ratio.value);
}

static void nothing_known(struct screening *j, const char *code, const char *message)
{
    wr_findings_add(j->findings, WR_WARNING, code, j->log->n_file ? j->log->file[0] : NULL, 0, 0, "%s", message);
}

/* A plan that allots times to others, and none to this. */
static bool allots_nothing(const struct wr_plan *plan, size_t task)
{
    bool others = false;

    for (size_t k = 0; k < plan->n_task; k++) others |= plan->task[k].planned_min.known;
    return plan->file && others && !plan->task[task].planned_min.known;
}

bool wr_never_timed(const struct wr_timing *timing, const struct wr_plan *plan, size_t task)
{
    bool done = false;

    if (allots_nothing(plan, task)) return false;
    for (size_t r = 0; r < timing->n_run; r++) {
        const struct wr_cell *c = wr_timing_cell(timing, task, r);
        if (c->state != WR_CELL_DONE) continue;
        if (wr_cell_modelled_min(c) > 0) return false;
        done = true;
    }
    return done;
}

static void doubt_untimed(struct screening *j)
{
    char message[320];

    for (size_t k = 0; k < j->plan->n_task; k++) {
        if (!wr_never_timed(j->timing, j->plan, k)) continue;
        snprintf(message, sizeof message,
                 "task '%.60s' took no time whenever it was done, so how long it takes is not known: log when it began "
                 "and ended; if it takes none, leave its planned empty in plan.csv",
                 j->plan->task[k].id);
        nothing_known(j, "never-timed", message);
    }
}

/* How long they were at it are lower bounds, from which a model makes a time all the same. Of a lost cell nobody knows
 * whether it was done. */
static void doubt_unfinished(struct screening *j)
{
    enum { FEW_RUNS = 2 };

    for (size_t k = 0; k < j->plan->n_task; k++) {
        const struct wr_plan_task *task = &j->plan->task[k];
        size_t n_stopped = 0, n_other = 0;
        double longest = 0;
        for (size_t r = 0; r < j->timing->n_run; r++) {
            const struct wr_cell *c = wr_timing_cell(j->timing, k, r);
            n_other += c->state == WR_CELL_DONE || c->state == WR_CELL_LOST;
            n_stopped += c->state == WR_CELL_STOPPED;
            if (c->state == WR_CELL_STOPPED) longest = fmax(longest, wr_cell_modelled_min(c));
        }
        if (n_other > 0 || n_stopped < FEW_RUNS || wr_plan_said(task) != &task->planned_min) continue;
        wr_findings_add(j->findings, WR_WARNING, "never-finished", j->plan->file, task->line, 0,
                        "task '%.60s' was stopped in all %zu runs that began it: that it takes longer than %.3g min is "
                        "all that they say of it. Rehearse it to its end, or write its low, likely and high",
                        task->id, n_stopped, longest);
    }
}

/* Stopped steps are lower bounds: a campaign of nothing else says nothing of how long anything takes. Nor does one
 * whose steps end as they begin. */
static void screen_outcomes(struct screening *j)
{
    size_t n_done = 0, n_timed = 0;

    for (size_t i = 0; i < j->timing->n_task * j->timing->n_run; i++) {
        const struct wr_cell *c = &j->timing->cell[i];
        n_done += c->state == WR_CELL_DONE;
        n_timed += c->state == WR_CELL_DONE && wr_cell_modelled_min(c) > 0;
    }
    if (n_timed > 0) {
        doubt_untimed(j);
        doubt_unfinished(j);
    } else if (j->timing->n_run > 0)
        nothing_known(
            j, "nothing-done",
            n_done ? "no task that was done took any time: of no task is it known how long it takes"
                   : "no task was ever done: every step was stopped or skipped, and only lower bounds are known");
}

void wr_screen_make(struct wr_screen *screen, const struct wr_run_log *log, const struct wr_plan *plan,
                    const struct wr_network *net, const struct wr_timing *timing, struct wr_findings *findings)
{
    struct screening j = {screen, log, plan, net, timing, findings,
                          .value = WR_NEW_ARRAY(double, timing->n_run + timing->n_task + 1)};
    struct wr_maybe planned = wr_network_planned_finish(j.net, j.plan);

    screen_outcomes(&j);
    screen_unit(&j);
    if (!screen->unit_doubtful) {
        screen_runs(&j, planned);
        screen_steps(&j);
    }
    wr_free(j.value);
}

void wr_screen_release(struct wr_screen *screen)
{
    wr_free(screen->row);
    *screen = (struct wr_screen){0};
}
