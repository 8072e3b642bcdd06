#include "wetrun/timing/timing.h"

#include <math.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>
#include "people.h"
#include "wetrun/base/memory.h"
#include "wetrun/base/number.h"

static const double same_moment_min = 0.5 / 60;    /* clocks are read to the second */
static const double unlogged_share_noted = 0.10;

struct place { /* of a row; line 0: none */
    const char *file;
    size_t line;
};

/* What is at hand while one run after the other is measured. */
struct job {
    struct wr_timing *timing;
    const struct wr_run_log *log;
    const struct wr_plan *plan;
    const struct wr_network *net;
    struct wr_findings *findings;
    size_t *plan_task;                 /* [log tasks] plan index, SIZE_MAX: not in the plan */
    struct wr_names people;
    double *ready_min, *ended_min;     /* [n_task] of the run at hand: could have begun, has ended */
    size_t *held_by;                   /* [n_task] predecessor that ended last, SIZE_MAX: none */
    double *not_before_min;            /* [n_task] as far as the run at hand kept it */
    double *never_dropped;             /* [n_task] INFINITY */
    double *duration_min, *start_min, *end_min; /* [n_task] replay */
    /* the run at hand */
    size_t r;
    const struct wr_log_run *log_run;
    struct wr_timing_run *run;
    struct place first_row;
    struct place *cell_place;          /* [n_task] first row of each cell of the run */
    bool has_clock;
    struct lane_votes votes;
};

static struct wr_cell *cell_of(const struct job *j, size_t task)
{
    return &j->timing->cell[task * j->timing->n_run + j->r];
}

static bool took_time(const struct wr_cell *c)
{
    return c->state == WR_CELL_DONE || c->state == WR_CELL_STOPPED;
}

/* A difference of two clock readings, without the dust that taking it leaves. */
static double span_min(double from_min, double to_min)
{
    double d = to_min - from_min;

    return d > 1e-7 ? d : 0.0;
}

static struct place place_of(const struct job *j, const struct wr_log_step *step)
{
    return (struct place){j->log->file[step->file], step->line};
}

/* The run as a whole: its file, no line. */
static struct place place_of_run(const struct job *j)
{
    return (struct place){j->first_row.file, 0};
}

WR_PRINTF(5, 6)
static void find(const struct job *j, enum wr_severity severity, const char *code, struct place at,
                 const char *fmt, ...)
{
    char text[900];
    va_list ap;

    va_start(ap, fmt);
    vsnprintf(text, sizeof text, fmt, ap);
    va_end(ap);
    wr_findings_add(j->findings, severity, code, at.file, at.line, 0, "run '%s': %s", j->log_run->id, text);
}

/* ---- rows into cells ---- */

/* People and crew of the rows of one cell against the plan. */
static void read_people(struct job *j, const struct wr_log_step *step, size_t n, const struct wr_plan_task *task,
                        struct wr_cell *cell)
{
    struct cell_people people;
    uint32_t lanes, all_lanes = 0;
    const struct wr_log_step *stranger = NULL;
    enum performer_fit worst = PERFORMERS_FIT;
    struct place worst_place = {0};

    cell_people_clear(&people);
    for (size_t i = 0; i < n; i++) {
        uint8_t lane[WR_MAX_LANES];
        size_t n_lane = wr_plan_crew_lanes(j->plan, step[i].crew, lane, &lanes);
        if (step[i].crew[0] && (n_lane == 0 || (lanes & ~task->lanes)) && !stranger) stranger = &step[i];
        all_lanes |= step[i].crew[0] ? lanes : task->lanes;
        if (step[i].outcome == WR_SKIPPED || !step[i].performer[0]) continue;
        enum performer_fit fit = cell_people_add(&people, &j->people, &j->timing->text, step[i].performer,
                                                 n_lane ? lane : task->lane_order, n_lane ? n_lane : task->n_lane);
        if (fit > worst) {
            worst = fit;
            worst_place = place_of(j, &step[i]);
        }
    }
    if (!stranger && all_lanes != task->lanes) stranger = &step[0];
    if (stranger)
        find(j, WR_WARNING, "other-crew", place_of(j, stranger),
             "task '%s' was logged for crew '%s', not for that of the plan", task->id, stranger->crew);
    if (worst == PERFORMERS_TWICE)
        find(j, WR_WARNING, "person-twice", worst_place, "task '%s' names the same performer twice", task->id);
    if (worst == PERFORMERS_OTHER_COUNT)
        find(j, WR_NOTE, "performer-count", worst_place, "task '%s' does not name one performer for each of its lanes",
             task->id);
    cell_people_settle(&people, task, cell);
    lane_votes_add(&j->votes, &people, j->net->n_lane);
}

static enum wr_cell_state state_of(const struct wr_log_step *step, size_t n)
{
    size_t n_done = 0, n_skipped = 0;

    for (size_t i = 0; i < n; i++) {
        n_done += step[i].outcome == WR_DONE;
        n_skipped += step[i].outcome == WR_SKIPPED;
    }
    return n_skipped == n ? WR_CELL_SKIPPED : n_done == n ? WR_CELL_DONE : WR_CELL_STOPPED;
}

/* Start, end, gap of a cell from its rows, which come in the order of their starts. */
static void read_clock(struct job *j, const struct wr_log_step *step, size_t n, const struct wr_plan_task *task,
                       struct wr_cell *cell)
{
    const struct wr_log_step *overlap = NULL;
    bool begun = false;

    for (size_t i = 0; i < n; i++) {
        if (step[i].outcome == WR_SKIPPED) continue;
        if (!begun || step[i].start_min < cell->start_min) cell->start_min = step[i].start_min;
        if (begun && step[i].start_min < cell->end_min - same_moment_min) overlap = &step[i];
        if (begun && step[i].start_min > cell->end_min) cell->gap_min += span_min(cell->end_min, step[i].start_min);
        if (step[i].n_row > 1) { /* rows added up: what none of them covers lies between the first and the last */
            double inside = step[i].end_min - step[i].start_min - step[i].active_min - step[i].hold_min;
            if (inside > same_moment_min) cell->gap_min += inside;
        }
        if (!begun || step[i].end_min > cell->end_min) cell->end_min = step[i].end_min;
        begun = true;
    }
    if (!overlap) return;
    j->run->kept_to_plan = false;
    find(j, WR_WARNING, "steps-overlap", place_of(j, overlap),
         "task '%s': step '%s' began before an earlier step had ended; their times are still added up", task->id,
         overlap->step);
}

static void fill_cell(struct job *j, const struct wr_log_step *step, size_t n, size_t task)
{
    struct wr_cell *cell = cell_of(j, task);

    j->cell_place[task] = place_of(j, &step[0]);
    cell->line = step[0].line;
    cell->state = state_of(step, n);
    if (!took_time(cell)) return;
    for (size_t i = 0; i < n; i++) {
        if (step[i].outcome == WR_SKIPPED) continue;
        cell->active_min += step[i].active_min;
        cell->hold_min += step[i].hold_min;
    }
    if (j->has_clock) read_clock(j, step, n, &j->plan->task[task], cell);
    read_people(j, step, n, &j->plan->task[task], cell);
}

/* step[n]: the rows of the run, those of one task together. */
static void fill_cells(struct job *j, const struct wr_log_step *step, size_t n)
{
    for (size_t i = 0, next; i < n; i = next) {
        for (next = i + 1; next < n && step[next].task == step[i].task; next++) {}
        size_t task = j->plan_task[step[i].task];
        if (task == SIZE_MAX) {
            j->run->kept_to_plan = false;
            find(j, WR_NOTE, "off-plan-work", place_of(j, &step[i]), "work outside the plan: task '%s'",
                 j->log->task[step[i].task]);
        } else {
            fill_cell(j, step + i, next - i, task);
        }
    }
}

/* ---- lead-ins ---- */

static void report_early(const struct job *j, size_t task, double early_min)
{
    size_t by = j->held_by[task];
    const char *through = "";

    while (!took_time(cell_of(j, by)) && j->held_by[by] != SIZE_MAX) { /* what the skipped one would have waited for */
        by = j->held_by[by];
        through = ", by way of work that was left out";
    }
    find(j, WR_WARNING, "began-early", j->cell_place[task],
         "task '%s' began %.1f min before '%s' had ended, which the plan has it wait for%s", j->plan->task[task].id,
         early_min, j->plan->task[by].id, through);
}

static void measure_lead_in(struct job *j, size_t task)
{
    struct wr_cell *cell = cell_of(j, task);
    double not_before = j->net->not_before_min[task];

    if (cell->start_min < not_before - same_moment_min) {
        find(j, WR_WARNING, "before-not-before", j->cell_place[task],
             "task '%s' began %.1f min before its not_before", j->plan->task[task].id, not_before - cell->start_min);
        not_before = 0;
    }
    if (cell->start_min < j->ready_min[task] - same_moment_min) {
        cell->began_early = true;
        j->run->kept_to_plan = false;
        report_early(j, task, j->ready_min[task] - cell->start_min);
    }
    if (cell->start_min > j->net->drop_after_min[task] + same_moment_min)
        find(j, WR_NOTE, "after-drop-time", j->cell_place[task],
             "task '%s' was begun %.1f min after the time by which it is dropped", j->plan->task[task].id,
             cell->start_min - j->net->drop_after_min[task]);
    cell->lead_in_min = span_min(fmax(j->ready_min[task], not_before), cell->start_min);
    j->not_before_min[task] = not_before;
}

static void measure_lead_ins(struct job *j)
{
    for (size_t i = 0; i < j->net->n_task; i++) {
        size_t k = j->net->order[i];
        const struct wr_cell *cell = cell_of(j, k);
        double ready = 0;
        j->held_by[k] = SIZE_MAX;
        for (size_t p = j->net->pred_first[k]; p < j->net->pred_first[k + 1]; p++)
            if (j->held_by[k] == SIZE_MAX || j->ended_min[j->net->pred[p]] > ready) {
                ready = j->ended_min[j->net->pred[p]];
                j->held_by[k] = j->net->pred[p];
            }
        j->ready_min[k] = ready;
        j->not_before_min[k] = took_time(cell) ? j->net->not_before_min[k] : 0;
        j->ended_min[k] = took_time(cell) ? cell->end_min : ready;
        if (took_time(cell) && j->has_clock) measure_lead_in(j, k);
    }
}

/* ---- replay ---- */

enum holds { WITH_HOLDS, WITHOUT_HOLDS };

static double replay(struct job *j, enum holds holds)
{
    struct wr_network as_run = *j->net; /* borrowed but for the clocks */

    as_run.not_before_min = j->not_before_min;
    as_run.drop_after_min = j->never_dropped;
    for (size_t k = 0; k < as_run.n_task; k++) {
        const struct wr_cell *c = cell_of(j, k);
        j->duration_min[k] = wr_cell_modelled_min(c) + (holds == WITH_HOLDS ? c->hold_min : 0);
    }
    return wr_network_forward(&as_run, j->duration_min, j->start_min, j->end_min, NULL);
}

/* A lane waits from the end of one of its tasks to the moment at which its next one may begin. */
static void sum_waiting(struct job *j)
{
    double *waiting_min = &j->timing->waiting_min[j->r * j->timing->n_lane], free_at_min[WR_MAX_LANES] = {0};

    for (size_t i = 0; i < j->net->n_task; i++) {
        size_t k = j->net->order[i];
        for (size_t lane = 0; lane < j->net->n_lane; lane++) {
            if (!(j->net->lanes[k] >> lane & 1)) continue;
            if (j->start_min[k] > free_at_min[lane]) waiting_min[lane] += j->start_min[k] - free_at_min[lane];
            free_at_min[lane] = j->end_min[k];
        }
    }
}

static void replay_run(struct job *j)
{
    j->run->finish_without_holds_min = replay(j, WITHOUT_HOLDS);
    j->run->replay_min = replay(j, WITH_HOLDS);
    sum_waiting(j);
    for (size_t k = 0; k < j->net->n_task && !j->has_clock; k++) {
        struct wr_cell *c = cell_of(j, k);
        if (!took_time(c)) continue;
        c->start_min = j->start_min[k];
        c->end_min = j->end_min[k];
    }
    if (j->run->finish_min.known && j->run->complete && j->run->kept_to_plan &&
        fabs(j->run->replay_min - j->run->finish_min.value) > same_moment_min) {
        j->run->kept_to_plan = false;
        find(j, WR_WARNING, "replay-differs", place_of_run(j),
             "replayed through the plan it ends %.2f min off its logged finish",
             j->run->replay_min - j->run->finish_min.value);
    }
}

/* ---- the run as a whole ---- */

static void count_states(struct job *j)
{
    struct wr_timing_run *run = j->run;
    size_t first = SIZE_MAX;

    for (size_t k = 0; k < j->net->n_task; k++) {
        const struct wr_cell *c = cell_of(j, k);
        run->n_done += c->state == WR_CELL_DONE;
        run->n_stopped += c->state == WR_CELL_STOPPED;
        run->n_skipped += c->state == WR_CELL_SKIPPED;
        run->n_absent += c->state == WR_CELL_ABSENT;
        if (c->state != WR_CELL_DONE && first == SIZE_MAX) first = k;
        if (c->state == WR_CELL_DONE && wr_cell_modelled_min(c) <= 0)
            find(j, WR_WARNING, "no-time", j->cell_place[k], "task '%s' is done but took no time", j->plan->task[k].id);
    }
    run->complete = first == SIZE_MAX;
    if (!run->complete)
        find(j, WR_NOTE, "run-incomplete", j->cell_place[first].line ? j->cell_place[first] : place_of_run(j),
             "not complete: %zu stopped, %zu skipped, %zu not logged of %zu tasks; the first is '%s'", run->n_stopped,
             run->n_skipped, run->n_absent, j->net->n_task, j->plan->task[first].id);
}

static void sum_unlogged(struct job *j)
{
    double worked = 0, largest = 0;
    size_t where = 0;

    for (size_t k = 0; k < j->net->n_task; k++) {
        const struct wr_cell *c = cell_of(j, k);
        double unlogged = c->lead_in_min + c->gap_min;
        j->run->unlogged_min += unlogged;
        worked += wr_cell_modelled_min(c) + c->hold_min;
        if (unlogged > largest) {
            largest = unlogged;
            where = k;
        }
    }
    if (j->run->unlogged_min > unlogged_share_noted * worked)
        find(j, WR_NOTE, "time-unlogged", j->cell_place[where],
             "%.0f min between steps, %.0f %% of the logged work, stand in no row; most at '%s': %.1f min",
             j->run->unlogged_min, 100 * j->run->unlogged_min / worked, j->plan->task[where].id, largest);
}

static void settle_line_up(struct job *j)
{
    int *line_up = &j->timing->line_up[j->r * j->timing->n_lane];

    for (size_t l = 0; l < j->timing->n_lane; l++) {
        size_t n_person;
        line_up[l] = lane_votes_winner(&j->votes, l, &n_person);
        if (n_person > 1)
            find(j, WR_NOTE, "line-up-changed", place_of_run(j),
                 "%zu people worked in lane '%s'; most of it was done by '%s'", n_person, j->plan->lane[l],
                 j->people.name[line_up[l]].text);
        for (size_t other = 0; other < l; other++)
            if (line_up[l] >= 0 && line_up[other] == line_up[l])
                find(j, WR_WARNING, "person-twice", place_of_run(j), "'%s' stands in lanes '%s' and '%s'",
                     j->people.name[line_up[l]].text, j->plan->lane[other], j->plan->lane[l]);
    }
    for (size_t k = 0; k < j->net->n_task; k++) {
        const struct wr_plan_task *task = &j->plan->task[k];
        struct cell_people people;
        bool known = took_time(cell_of(j, k)) && cell_of(j, k)->n_performer == 0;
        cell_people_clear(&people);
        for (size_t i = 0; i < task->n_lane && known; i++) {
            people.in_lane[task->lane_order[i]] = line_up[task->lane_order[i]];
            known = line_up[task->lane_order[i]] >= 0;
        }
        if (known) cell_people_settle(&people, task, cell_of(j, k));
    }
}

/* A run has clock times when every step that was begun has them. */
static void look_at_clock(struct job *j, const struct wr_log_step *step, size_t n)
{
    bool begun = false;
    double last = 0;

    j->has_clock = true;
    for (size_t i = 0; i < n; i++) {
        if (step[i].outcome == WR_SKIPPED) continue;
        begun = true;
        j->has_clock &= step[i].has_clock;
        if (step[i].has_clock && step[i].end_min > last) last = step[i].end_min;
    }
    j->has_clock &= begun;
    j->run->finish_min = j->has_clock ? wr_known(last) : WR_UNKNOWN;
}

static void measure_run(struct job *j, const struct wr_log_step *step, size_t n)
{
    j->first_row = n ? place_of(j, &step[0]) : (struct place){0};
    for (size_t k = 0; k < j->net->n_task; k++) j->cell_place[k] = (struct place){0};
    j->run->order = (double)(j->r + 1);
    j->run->kept_to_plan = true;
    look_at_clock(j, step, n);
    fill_cells(j, step, n);
    measure_lead_ins(j);
    count_states(j);
    replay_run(j);
    sum_unlogged(j);
    settle_line_up(j);
    lane_votes_release(&j->votes);
}

static void make_room(struct job *j)
{
    struct wr_timing *t = j->timing;

    *t = (struct wr_timing){.n_task = j->net->n_task, .n_run = j->log->n_run, .n_lane = j->net->n_lane};
    t->run = WR_NEW_ARRAY(struct wr_timing_run, t->n_run);
    t->line_up = WR_NEW_ARRAY(int, t->n_run * t->n_lane);
    t->waiting_min = WR_NEW_ARRAY(double, t->n_run * t->n_lane);
    j->plan_task = WR_NEW_ARRAY(size_t, j->log->n_task);
    for (size_t i = 0; i < j->log->n_task; i++) j->plan_task[i] = wr_plan_find(j->plan, j->log->task[i]);
    j->cell_place = WR_NEW_ARRAY(struct place, t->n_task);
    j->ready_min = WR_NEW_ARRAY(double, t->n_task);
    j->ended_min = WR_NEW_ARRAY(double, t->n_task);
    j->held_by = WR_NEW_ARRAY(size_t, t->n_task);
    j->not_before_min = WR_NEW_ARRAY(double, t->n_task);
    j->never_dropped = WR_NEW_ARRAY(double, t->n_task);
    j->duration_min = WR_NEW_ARRAY(double, t->n_task);
    j->start_min = WR_NEW_ARRAY(double, t->n_task);
    j->end_min = WR_NEW_ARRAY(double, t->n_task);
    for (size_t k = 0; k < t->n_task; k++) j->never_dropped[k] = INFINITY;
}

static void release_room(struct job *j)
{
    wr_names_release(&j->people);
    wr_free(j->plan_task);
    wr_free(j->cell_place);
    wr_free(j->ready_min);
    wr_free(j->ended_min);
    wr_free(j->held_by);
    wr_free(j->not_before_min);
    wr_free(j->never_dropped);
    wr_free(j->duration_min);
    wr_free(j->start_min);
    wr_free(j->end_min);
}

enum wr_status wr_timing_build(struct wr_timing *timing, const struct wr_run_log *log, const struct wr_plan *plan,
                               const struct wr_network *net, struct wr_findings *findings, struct wr_error *err)
{
    struct job j = {.timing = timing, .log = log, .plan = plan, .net = net, .findings = findings};
    size_t cells, i = 0;

    if (__builtin_mul_overflow(net->n_task, log->n_run, &cells))
        return wr_fail(err, WR_E_INPUT, "%zu tasks in %zu runs are too many", net->n_task, log->n_run);
    make_room(&j);
    timing->cell = WR_NEW_ARRAY(struct wr_cell, cells);
    for (j.r = 0; j.r < log->n_run; j.r++) {
        size_t from = i;
        while (i < log->n_step && log->step[i].run == j.r) i++;
        j.log_run = &log->run[j.r];
        j.run = &timing->run[j.r];
        measure_run(&j, log->step + from, i - from);
    }
    WR_BUG_IF(i != log->n_step);
    timing->n_person = j.people.n_name;
    timing->person = WR_NEW_ARRAY(const char *, timing->n_person);
    for (size_t p = 0; p < timing->n_person; p++) timing->person[p] = j.people.name[p].text;
    release_room(&j);
    return WR_OK;
}

void wr_timing_release(struct wr_timing *timing)
{
    wr_free(timing->cell);
    wr_free(timing->run);
    wr_free(timing->person);
    wr_free(timing->line_up);
    wr_free(timing->waiting_min);
    wr_arena_release(&timing->text);
    *timing = (struct wr_timing){0};
}

static void check_cell(const struct wr_timing *t, const struct wr_cell *c)
{
    WR_BUG_IF(c->active_min < 0 || c->lead_in_min < 0 || c->gap_min < 0 || c->hold_min < 0);
    WR_BUG_IF(c->end_min < c->start_min || c->n_performer > WR_MAX_PERFORMERS);
    WR_BUG_IF(c->state == WR_CELL_ABSENT && c->line != 0);
    WR_BUG_IF(!took_time(c) && (wr_cell_modelled_min(c) + c->hold_min + c->end_min > 0 || c->n_performer));
    for (size_t i = 0; i < c->n_performer; i++) WR_BUG_IF(c->person[i] >= t->n_person);
}

void wr_timing_check(const struct wr_timing *t)
{
    for (size_t i = 0; i < t->n_task * t->n_run; i++) check_cell(t, &t->cell[i]);
    for (size_t r = 0; r < t->n_run; r++) {
        const struct wr_timing_run *run = &t->run[r];
        WR_BUG_IF(run->n_done + run->n_stopped + run->n_skipped + run->n_absent != t->n_task);
        WR_BUG_IF(run->complete != (run->n_done == t->n_task));
        WR_BUG_IF(run->order != (double)(r + 1));
        WR_BUG_IF(run->finish_without_holds_min > run->replay_min + same_moment_min);
    }
    for (size_t i = 0; i < t->n_run * t->n_lane; i++)
        WR_BUG_IF(t->line_up[i] < -1 || t->line_up[i] >= (int)t->n_person);
}
