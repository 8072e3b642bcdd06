#include "wetrun/timing/timing.h"

#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include "by_minutes.h"
#include "cells.h"
#include "holes.h"
#include "kept.h"
#include "lanes.h"
#include "measure.h"
#include "misplaced.h"
#include "missing_steps.h"
#include "nameless.h"
#include "stopped.h"
#include "two_places.h"
#include "waits.h"
#include "wetrun/base/memory.h"
#include "wetrun/base/number.h"

static const double unlogged_share_noted = 0.10;
enum { MOST_SAID = 8 };             /* differences of one run */
enum { MOST_OTHER_CELLS = 5000000 }; /* of work that the plan does not have: no honest log comes near */

void timing_report(const struct measuring *j, enum wr_severity severity, const char *code, struct place at,
                   const char *fmt, ...)
{
    char text[900];

    if (wr_findings_suppress(j->findings, severity, code)) return;
    WR_FORMAT(text, fmt);
    wr_findings_add(j->findings, severity, code, at.file, at.line, 0, "run '%s': %s", j->log_run->id, text);
}

void timing_differs(struct measuring *j, const char *fmt, ...)
{
    struct differences *d = &j->differences[j->r];
    char text[400];

    j->run->kept_to_plan = false;
    if (d->n++ >= MOST_SAID) return;
    WR_FORMAT(text, fmt);
    wr_str_addf(&d->text, "%s%s", d->n > 1 ? "; " : "", text);
}

/* Into the table, once nothing more is to come. */
static void keep_differences(struct measuring *j)
{
    for (size_t r = 0; r < j->timing->n_run; r++) {
        struct differences *d = &j->differences[r];
        if (d->n > MOST_SAID) wr_str_addf(&d->text, "; and %zu more", d->n - MOST_SAID);
        if (d->n) j->timing->run[r].differs = wr_arena_copy(&j->timing->text, d->text.text, d->text.len);
        wr_str_release(&d->text);
    }
}

/* ---- lead-ins ---- */

/* Idle time before a piece: lead-in of the work that it opens, else a gap; nobody's where something is missing. */
static void share_out_idle_time(struct measuring *j)
{
    for (size_t i = 0; i < j->own.n_piece; i++) {
        const struct piece *p = &j->own.piece[i];
        struct wr_cell *cell = cell_of(j, p->work);
        double idle = own_order_idle(p);
        if (!took_time(cell)) continue;
        if (j->unsure[i]) {
            cell->lead_in_unknown = true;
            cell->hole_min += idle;
            j->run->n_unknown += p->work < j->known.n_plan;
        } else if (p->opens) {
            cell->lead_in_min += idle;
        } else {
            cell->gap_min += idle;
        }
    }
}

/* A run that began with a row that is not its own is counted from its first row. */
static void take_clock_from_pieces(struct measuring *j)
{
    double last = 0;

    for (size_t i = 0; i < j->own.n_piece; i++) {
        const struct piece *p = &j->own.piece[i];
        struct wr_cell *cell = cell_of(j, p->work);
        last = fmax(last, p->end_min);
        if (!took_time(cell)) continue;
        if (p->opens) cell->start_min = p->start_min;
        cell->end_min = j->own.piece[j->own.last_of[p->work]].end_min;
    }
    j->run->finish_min = wr_known(last);
}

static void keep_not_before(struct measuring *j)
{
    for (size_t i = 0; i < j->own.n_piece; i++) {
        struct piece *p = &j->own.piece[i];
        double not_before = j->known.not_before_min[p->work];
        p->not_before_min = p->opens && p->start_min >= not_before - SAME_MOMENT_MIN ? not_before : 0;
    }
}

static void measure_by_own_order(struct measuring *j)
{
    lanes_take_pieces(j, j->r);
    take_clock_from_pieces(j);
    keep_not_before(j);
    own_order_link(&j->own, &j->known);
    holes_find(j);
    share_out_idle_time(j);
    waits_look(j);
}

/* ---- replay ---- */

/* Modelled times and holds through the plan as it now stands. */
static double replay_by_plan(struct measuring *j, enum own_holds holds)
{
    struct wr_network as_run = *j->net; /* borrowed but for the clocks */

    as_run.not_before_min = j->not_before_min;
    as_run.drop_after_min = j->never_dropped;
    for (size_t k = 0; k < as_run.n_task; k++) {
        const struct wr_cell *c = cell_of(j, k);
        j->duration_min[k] = wr_cell_modelled_min(c) + (holds == OWN_WITH_HOLDS ? c->hold_min : 0);
    }
    return wr_network_forward(&as_run, j->duration_min, j->start_min, j->end_min, NULL);
}

/* The rule goes by when a task could begin, not by when it was begun; a lead-in shorter than a log shows is no news. */
static void report_past_rule(const struct measuring *j, size_t task, bool dropped)
{
    const double log_shows_min = 1, rule = j->net->drop_after_min[task];
    const struct wr_cell *cell = cell_of(j, task);
    const char *id = j->plan->task[task].id;

    if (dropped)
        timing_report(j, WR_NOTE, "after-drop-time", j->cell_place[task],
                      "task '%s' was begun, though it is dropped after %s: holds left out, it could only begin at %s, "
                      "and a forecast of such a day drops it",
                      id, wr_hmmss(rule, WR_ROOM), wr_hmmss(j->start_min[task], WR_ROOM));
    else if (j->has_clock && cell->start_min >= rule + log_shows_min)
        timing_report(j, WR_NOTE, "after-drop-time", j->cell_place[task],
                      "task '%s' was begun at %s, and is dropped after %s: holds left out, it could have begun in "
                      "time, at %s, and a forecast of such a day does it",
                      id, wr_hmmss(cell->start_min, WR_ROOM), wr_hmmss(rule, WR_ROOM),
                      wr_hmmss(j->start_min[task], WR_ROOM));
}

/* As a forecast takes the day: what it comes to past a drop rule is left out, though the run did it. */
static void replay_by_rules(struct measuring *j)
{
    struct wr_network as_run = *j->net;
    WR_SCOPED unsigned char *dropped = WR_NEW_ARRAY(unsigned char, as_run.n_task);

    if (!wr_network_drops(j->net)) return;
    as_run.not_before_min = j->not_before_min;
    for (size_t k = 0; k < as_run.n_task; k++) j->duration_min[k] = wr_cell_modelled_min(cell_of(j, k));
    j->run->by_rules_min = wr_network_forward(&as_run, j->duration_min, j->start_min, j->end_min, dropped);
    for (size_t k = 0; k < as_run.n_task; k++) {
        if (!took_time(cell_of(j, k))) continue;
        j->run->n_past_rule += dropped[k];
        report_past_rule(j, k, dropped[k]);
    }
}

struct lane_clock {
    double free_at_min[WR_MAX_LANES];
    uint32_t missing; /* lanes whose time up to their next task may hold what is missing: it is nobody's, no wait */
    uint32_t there;   /* lanes that take part: before its first task no lane waits */
};

/* What opens at 0 by the plan takes part from there, though its first task be left out. */
static struct lane_clock lanes_at_0(const struct wr_network *net)
{
    struct lane_clock c = {0};

    for (size_t lane = 0; lane < net->n_lane; lane++) {
        size_t k = wr_network_lane_first(net, lane);
        if (k != SIZE_MAX && net->pred_first[k] == net->pred_first[k + 1] && net->not_before_min[k] <= 0)
            c.there |= UINT32_C(1) << lane;
    }
    return c;
}

static void wait_in_lanes(struct measuring *j, uint32_t lanes, double start_min, double end_min, struct lane_clock *c)
{
    double *waiting_min = &j->timing->waiting_min[j->r * j->timing->n_lane];

    for (size_t lane = 0; lane < j->timing->n_lane; lane++) {
        if (!(lanes >> lane & 1)) continue;
        double idle = fmax(0, start_min - c->free_at_min[lane]);
        if (c->missing >> lane & 1) j->run->nobodys_min += idle;
        else if (c->there >> lane & 1) waiting_min[lane] += idle;
        c->free_at_min[lane] = fmax(c->free_at_min[lane], end_min);
    }
    c->missing &= ~lanes;
    c->there |= lanes;
}

static void sum_waiting_of_pieces(struct measuring *j)
{
    struct lane_clock c = lanes_at_0(j->net);

    for (size_t i = 0; i < j->own.n_piece; i++) {
        const struct piece *p = &j->own.piece[i];
        double early = fmin(0, p->start_min - p->ready_min); /* no lane waits longer than to where it began */
        c.missing = j->missing_lanes[i];
        wait_in_lanes(j, p->lanes, j->own.start_min[i] + early, j->own.end_min[i], &c);
    }
}

static void sum_waiting_by_plan(struct measuring *j)
{
    struct lane_clock c = lanes_at_0(j->net);

    for (size_t i = 0; i < j->net->n_task; i++) {
        size_t k = j->net->order[i];
        if (holes_is_missing(j, k)) c.missing |= j->net->lanes[k];
        else wait_in_lanes(j, j->net->lanes[k], j->start_min[k], j->end_min[k], &c);
    }
}

/* A lane waits from the end of one of its tasks to the moment at which its next one may begin, or was begun all the
 * same. */
static void sum_waiting(struct measuring *j)
{
    if (j->has_clock) sum_waiting_of_pieces(j);
    else sum_waiting_by_plan(j);
}

/* Without a clock the replay's times are all there is. */
static void take_times_of_replay(struct measuring *j)
{
    for (size_t k = 0; k < j->net->n_task; k++) {
        struct wr_cell *c = cell_of(j, k);
        if (!took_time(c)) continue;
        c->start_min = j->start_min[k];
        c->end_min = j->end_min[k];
    }
}

static bool is_as_rehearsed(const struct measuring *j)
{
    for (size_t e = 0; e < j->net->pred_first[j->net->n_task]; e++)
        if (j->never_kept[e]) return false;
    return true;
}

static void compare_with_plan(struct measuring *j, double by_plan_min)
{
    struct wr_timing_run *run = j->run;

    if (!run->complete || !run->kept_to_plan || run->n_unknown || !is_as_rehearsed(j) ||
        fabs(by_plan_min - run->finish_min.value) <= SAME_MOMENT_MIN)
        return;
    timing_differs(j, "replayed through the plan it ends elsewhere");
    timing_report(j, WR_WARNING, "replay-differs", timing_place_of_run(j),
                  "replayed through the plan it ends %.2f min off its logged finish",
                  by_plan_min - run->finish_min.value);
}

/* ---- the run as a whole ---- */

static bool lanes_end_known(const struct measuring *j)
{
    for (size_t l = 0; l < j->net->n_lane; l++) {
        size_t last = j->net->lane_last[l];
        if (last != SIZE_MAX && cell_of(j, last)->state != WR_CELL_DONE) return false;
    }
    return true;
}

static bool is_left_out(const struct measuring *j, size_t task)
{
    return cell_of(j, task)->state == WR_CELL_SKIPPED && isfinite(j->net->drop_after_min[task]);
}

static void count_states(struct measuring *j)
{
    struct wr_timing_run *run = j->run;

    for (size_t k = 0; k < j->net->n_task; k++) {
        const struct wr_cell *c = cell_of(j, k);
        run->n_done += c->state == WR_CELL_DONE;
        run->n_stopped += c->state == WR_CELL_STOPPED;
        run->n_skipped += c->state == WR_CELL_SKIPPED;
        run->n_absent += c->state == WR_CELL_ABSENT;
        run->n_lost += c->state == WR_CELL_LOST;
        run->n_left_out += is_left_out(j, k);
        if (c->state == WR_CELL_DONE && wr_cell_modelled_min(c) <= 0)
            timing_report(j, WR_WARNING, "no-time", j->cell_place[k], "task '%s' is done but took no time",
                          j->plan->task[k].id);
    }
    run->finish_stands = j->has_clock && !j->lacks_step && !j->began_before &&
                         run->n_done + run->n_lost == j->net->n_task && lanes_end_known(j);
}

/* By the starts of the replay without holds. What that would have dropped is what a forecast of the day drops. */
static bool is_dropped(const struct measuring *j, size_t task)
{
    return is_left_out(j, task) && j->start_min[task] > j->net->drop_after_min[task];
}

static size_t first_not_done(const struct measuring *j)
{
    size_t first = 0;

    while (first < j->net->n_task && cell_of(j, first)->state == WR_CELL_DONE) first++;
    return first;
}

static size_t first_missing(const struct measuring *j)
{
    size_t first = 0;

    while (first < j->net->n_task && (cell_of(j, first)->state == WR_CELL_DONE || is_dropped(j, first))) first++;
    return first;
}

/* The row that leaves the task undone: of several steps most may be done. What was rejected is none of the log's steps;
 * no row at all: the run as a whole. */
static struct place place_not_done(struct measuring *j, size_t task)
{
    const struct wr_log_step *undone = NULL, *all = j->log->step;
    const struct place *lost = &j->lost_row[cell_index(j, task, j->r)];
    size_t first = j->first_step[j->r], end = j->first_step[j->r + 1], n = 0;

    while (first < end && j->known.of_log_task[all[first].task] != task) first++;
    while (first + n < end && j->known.of_log_task[all[first + n].task] == task) n++;
    if (n) undone = stopped_for_good(j, all + first, n, task);
    for (size_t i = first; i < first + n; i++)
        if (all[i].outcome == WR_SKIPPED && (!undone || wr_log_step_is_above(&all[i], undone))) undone = &all[i];
    if (undone) return timing_place_of_step(j, undone);
    if (lost->line) return *lost;
    return j->cell_place[task].line ? j->cell_place[task] : timing_place_of_run(j);
}

static void report_incomplete(struct measuring *j, size_t in_time)
{
    const struct wr_timing_run *run = j->run;
    size_t first = first_missing(j);
    struct place place = place_not_done(j, first);

    if (run->n_done + run->n_lost == j->net->n_task) {
        timing_report(j, WR_NOTE, "run-incomplete", place,
                      "not complete: %show long %zu task%s took is not known; the first is '%s'",
                      j->lacks_step ? "" : "all done, but ", run->n_lost, run->n_lost == 1 ? "" : "s",
                      j->plan->task[first].id);
        return;
    }
    if (wr_run_did_its_work(run)) {
        timing_report(j, WR_NOTE, "run-incomplete", j->cell_place[in_time],
                      "not complete, though nothing but work that the plan may drop is missing: holds left out, '%s' "
                      "could have begun at %s, and it is dropped after %s",
                      j->plan->task[in_time].id, wr_hmm(j->start_min[in_time], WR_ROOM),
                      wr_hmm(j->net->drop_after_min[in_time], WR_ROOM));
        return;
    }
    char lost[40] = "";
    if (run->n_lost) snprintf(lost, sizeof lost, "%zu not known, ", run->n_lost);
    timing_report(j, WR_NOTE, "run-incomplete", place,
                  "not complete: %zu stopped, %zu skipped, %s%zu not logged of %zu tasks; the first%s is '%s'",
                  run->n_stopped, run->n_skipped, lost, run->n_absent, j->net->n_task,
                  run->n_dropped ? " that the plan does not drop on such a day" : "", j->plan->task[first].id);
}

static void judge_complete(struct measuring *j)
{
    struct wr_timing_run *run = j->run;
    size_t in_time = SIZE_MAX;

    for (size_t k = 0; k < j->net->n_task; k++) {
        run->n_dropped += is_dropped(j, k);
        if (is_left_out(j, k) && !is_dropped(j, k) && in_time == SIZE_MAX) in_time = k;
    }
    run->complete = run->n_done + run->n_dropped == j->net->n_task;
    if (!run->complete) {
        report_incomplete(j, in_time);
    } else if (run->n_dropped > 0) {
        size_t first = first_not_done(j);
        timing_report(j, WR_NOTE, "work-dropped", j->cell_place[first],
                      "complete without %zu task%s that the plan drops on such a day; the first is '%s', which, holds "
                      "left out, could have begun at %s, and is dropped after %s",
                      run->n_dropped, run->n_dropped == 1 ? "" : "s", j->plan->task[first].id,
                      wr_hmm(j->start_min[first], WR_ROOM), wr_hmm(j->net->drop_after_min[first], WR_ROOM));
    }
}

static void replay_run(struct measuring *j)
{
    struct wr_timing_run *run = j->run;

    if (j->has_clock) {
        replay_by_rules(j);
        run->by_plan_min = replay_by_plan(j, OWN_WITHOUT_HOLDS);
        judge_complete(j);
        compare_with_plan(j, replay_by_plan(j, OWN_WITH_HOLDS));
        run->finish_without_holds_min = own_order_replay(&j->own, OWN_WITHOUT_HOLDS);
        run->replay_min = own_order_replay(&j->own, OWN_WITH_HOLDS);
    } else {
        run->finish_without_holds_min = replay_by_plan(j, OWN_WITHOUT_HOLDS);
        run->replay_min = replay_by_plan(j, OWN_WITH_HOLDS);
        if (run->by_minutes) by_minutes_take_lead_ins(j);
        replay_by_rules(j);
        run->by_plan_min = replay_by_plan(j, OWN_WITHOUT_HOLDS);
        judge_complete(j);
        replay_by_plan(j, OWN_WITH_HOLDS); /* the times of which are taken */
        take_times_of_replay(j);
    }
    sum_waiting(j);
}

static void sum_unlogged(struct measuring *j)
{
    double worked = 0, largest = 0;
    size_t where = 0;

    for (size_t k = 0; k < j->net->n_task; k++) {
        const struct wr_cell *c = cell_of(j, k);
        double unlogged = c->lead_in_min + c->gap_min;
        j->run->unlogged_min += unlogged;
        worked += c->active_min + c->hold_min;
        if (unlogged > largest) {
            largest = unlogged;
            where = k;
        }
    }
    if (j->run->unlogged_min > unlogged_share_noted * worked)
        timing_report(j, WR_NOTE, "time-unlogged", j->cell_place[where],
                      "%.0f min between steps, %.0f %% of the logged work, stand in no row; most at '%s': %.1f min",
                      j->run->unlogged_min, 100 * j->run->unlogged_min / worked, j->plan->task[where].id, largest);
}

static void compare_lanes(struct measuring *j)
{
    uint32_t planned = (uint32_t)((UINT64_C(1) << j->plan->n_lane) - 1);

    for (size_t k = 0; k < j->known.n_plan && j->has_clock; k++)
        if (took_time(cell_of(j, k)) && (j->lanes[cell_index(j, k, j->r)] & planned) != j->plan->task[k].lanes)
            timing_differs(j, "'%s' was done in other lanes", j->plan->task[k].id);
}

/* ---- one run after the other ---- */

static void set_run(struct measuring *j, size_t r)
{
    const struct wr_run_log *log = j->log;
    size_t first = j->first_step[r], n = j->first_step[r + 1] - first;

    j->r = r;
    j->log_run = &log->run[r];
    j->run = &j->timing->run[r];
    j->has_clock = j->run->finish_min.known;
    j->first_row = n ? (struct place){log->file[log->step[first].file], log->step[first].line} : (struct place){0};
    for (size_t w = 0; w < j->known.n_work; w++) j->cell_place[w] = (struct place){0};
    for (size_t i = first + n; i-- > first;)
        j->cell_place[j->known.of_log_task[log->step[i].task]] =
            (struct place){log->file[log->step[i].file], log->step[i].line};
}

static void read_run(struct measuring *j, size_t r)
{
    set_run(j, r);
    j->run->order = (double)(r + 1);
    j->run->kept_to_plan = true;
    cells_fill(j);
}

/* Where everything was done, and what cannot be of this run or has lost rows. */
static void finish_cells(struct measuring *j, size_t r)
{
    set_run(j, r);
    if (j->has_clock) {
        lanes_take_pieces(j, r);
        lanes_as_worked(j, r);
        misplaced_find(j, r);
    }
    for (size_t w = 0; w < j->known.n_work; w++) {
        size_t cell = cell_index(j, w, r);
        if (j->not_of_run[cell] || (j->lost_row[cell].line && cell_of(j, w)->state != WR_CELL_SKIPPED))
            cells_lose(j, w);
    }
    cells_name_people(j);
}

static void measure_run(struct measuring *j, size_t r)
{
    set_run(j, r);
    j->began_before = false;
    j->lacks_step = missing_steps_in_run(j, r);
    if (j->has_clock) measure_by_own_order(j);
    else holes_say_missing_steps(j);
    kept_in_run(j);
    compare_lanes(j);
    count_states(j);
    replay_run(j);
    if (j->has_clock) sum_unlogged(j);
}

/* ---- the campaign ---- */

static void count_done(struct measuring *j)
{
    for (size_t w = 0; w < j->known.n_work; w++) {
        j->n_done[w] = 0;
        j->shortest_min[w] = INFINITY;
        for (size_t r = 0; r < j->timing->n_run; r++) {
            const struct wr_cell *c = &j->timing->cell[cell_index(j, w, r)];
            j->n_done[w] += took_time(c);
            if (c->state == WR_CELL_DONE) j->shortest_min[w] = fmin(j->shortest_min[w], c->active_min);
        }
    }
}

struct start { double start_min, end_min; size_t step; };

static int compare_starts(const void *a, const void *b)
{
    const struct start *x = a, *y = b;

    if (x->start_min != y->start_min) return x->start_min < y->start_min ? -1 : 1;
    if (x->end_min != y->end_min) return x->end_min < y->end_min ? -1 : 1;
    return (x->step > y->step) - (x->step < y->step);
}

/* The n steps from `from` as their rows stand in the log, into by_start; false if other rows lie among them. */
static bool list_as_logged(struct measuring *j, size_t from, size_t n, size_t *of_line)
{
    const struct wr_log_step *step = j->log->step + from;
    size_t first = SIZE_MAX, last = 0, n_listed = 0;

    for (size_t i = 0; i < n; i++) {
        if (step[i].line < first) first = step[i].line;
        if (step[i].line > last) last = step[i].line;
    }
    if (last - first >= 2 * n) return false;
    for (size_t k = 0; k <= last - first; k++) of_line[k] = SIZE_MAX;
    for (size_t i = 0; i < n; i++) of_line[step[i].line - first] = from + i;
    for (size_t k = 0; k <= last - first; k++)
        if (of_line[k] != SIZE_MAX) j->by_start[from + n_listed++] = of_line[k];
    return n_listed == n; /* not if two files have the same lines of it */
}

/* Most rows stand in the log as their steps began: then nothing is to be moved. */
static void sort_steps(struct measuring *j, size_t from, size_t n, struct start *start, size_t *of_line)
{
    const bool as_logged = list_as_logged(j, from, n, of_line);
    bool sorted = true;

    for (size_t i = 0; i < n; i++) {
        const size_t k = as_logged ? j->by_start[from + i] : from + i;
        start[i] = (struct start){j->log->step[k].start_min, j->log->step[k].end_min, k};
        sorted = sorted && (i == 0 || compare_starts(&start[i - 1], &start[i]) < 0);
    }
    if (!sorted) qsort(start, n, sizeof *start, compare_starts);
    for (size_t i = 0; i < n; i++) j->by_start[from + i] = start[i].step;
}

static void find_steps_of_runs(struct measuring *j)
{
    WR_SCOPED struct start *start = WR_NEW_ARRAY(struct start, j->log->n_step);
    WR_SCOPED size_t *of_line = WR_NEW_ARRAY(size_t, 2 * j->log->n_step);
    size_t i = 0;

    for (size_t r = 0; r < j->log->n_run; r++) {
        j->first_step[r] = i;
        while (i < j->log->n_step && j->log->step[i].run == r) i++;
        if (i > j->first_step[r]) sort_steps(j, j->first_step[r], i - j->first_step[r], start, of_line);
    }
    j->first_step[j->log->n_run] = i;
    WR_BUG_IF(i != j->log->n_step);
}

static void take_lost_rows(struct measuring *j)
{
    WR_RELEASED_BY(wr_names_release) struct wr_names runs = {0};
    WR_RELEASED_BY(wr_arena_release) struct wr_arena text = {0};

    for (size_t r = 0; r < j->log->n_run && j->log->n_lost; r++)
        wr_names_add(&runs, &text, j->log->run[r].id, strlen(j->log->run[r].id));
    for (size_t i = 0; i < j->log->n_lost; i++) {
        const struct wr_log_lost *lost = &j->log->lost[i];
        uint32_t run = wr_names_find(&runs, lost->run, strlen(lost->run));
        size_t work = wr_names_find(&j->known.ids, lost->task, strlen(lost->task));
        if (run == WR_NO_NAME || work == WR_NO_NAME) continue;
        struct place *at = &j->lost_row[cell_index(j, work, run)];
        if (!at->line) *at = (struct place){j->log->file[lost->file], lost->line};
        j->known.was_there[work] = 1;
    }
}

static void make_room(struct measuring *j)
{
    struct wr_timing *t = j->timing;
    size_t n_work = j->known.n_work, n_cell = n_work * j->log->n_run;

    *t = (struct wr_timing){.n_task = j->net->n_task, .n_run = j->log->n_run, .n_lane = j->net->n_lane};
    t->cell = WR_NEW_ARRAY(struct wr_cell, n_cell);
    t->run = WR_NEW_ARRAY(struct wr_timing_run, t->n_run);
    t->line_up = WR_NEW_ARRAY(int, t->n_run * t->n_lane);
    t->waiting_min = WR_NEW_ARRAY(double, t->n_run * t->n_lane);
    j->lanes = WR_NEW_ARRAY(uint32_t, n_cell);
    j->lost_row = WR_NEW_ARRAY(struct place, n_cell);
    j->first_without = WR_NEW_ARRAY(size_t, n_work);
    j->not_of_run = WR_NEW_ARRAY(unsigned char, n_cell);
    j->stranger = WR_NEW_ARRAY(const struct wr_log_step *, n_cell);
    j->first_step = WR_NEW_ARRAY(size_t, t->n_run + 1);
    j->by_start = WR_NEW_ARRAY(size_t, j->log->n_step);
    j->hold_min = WR_NEW_ARRAY(double, j->log->n_step);
    j->n_done = WR_NEW_ARRAY(size_t, n_work);
    j->shortest_min = WR_NEW_ARRAY(double, n_work);
    j->never_kept = WR_NEW_ARRAY(unsigned char, j->net->pred_first[t->n_task]);
    j->cell_place = WR_NEW_ARRAY(struct place, n_work);
    j->ready_min = WR_NEW_ARRAY(double, t->n_task);
    j->ended_min = WR_NEW_ARRAY(double, t->n_task);
    j->held_by = WR_NEW_ARRAY(size_t, t->n_task);
    j->not_before_min = WR_NEW_ARRAY(double, t->n_task);
    j->never_dropped = WR_NEW_ARRAY(double, t->n_task);
    j->duration_min = WR_NEW_ARRAY(double, t->n_task);
    j->start_min = WR_NEW_ARRAY(double, t->n_task);
    j->end_min = WR_NEW_ARRAY(double, t->n_task);
    for (size_t k = 0; k < t->n_task; k++) j->never_dropped[k] = INFINITY;
    j->differences = WR_NEW_ARRAY(struct differences, t->n_run);
    j->wait = WR_NEW_ARRAY(struct wait, t->n_task);
    j->wait_unlogged = WR_NEW_ARRAY(struct wait, t->n_task);
    own_order_init(&j->own, n_work);
}

static void release_room(struct measuring *j)
{
    own_order_release(&j->own);
    wr_names_release(&j->people);
    WR_FREE(j->unsure, j->missing_lanes, j->missing, j->differences, j->wait, j->wait_unlogged, j->lanes, j->lost_row,
            j->first_without, j->not_of_run, j->stranger, j->first_step, j->by_start, j->hold_min, j->n_done,
            j->shortest_min, j->never_kept, j->cell_place, j->ready_min, j->ended_min, j->held_by, j->not_before_min,
            j->never_dropped, j->duration_min, j->start_min, j->end_min);
}

/* What the plan does not have keeps its cells behind those of the plan. */
static void name_other_work(struct measuring *j)
{
    struct wr_timing *t = j->timing;

    t->n_other = j->known.n_work - j->known.n_plan;
    t->other = WR_NEW_ARRAY(struct wr_other_work, t->n_other);
    for (size_t i = 0; i < t->n_other; i++) {
        size_t w = j->known.n_plan + i;
        const char *id = rehearsed_id(&j->known, w);
        t->other[i].id = wr_arena_copy(&t->text, id, strlen(id));
        if (j->known.task[w]) t->other[i].planned_min = j->known.task[w]->planned_min;
    }
}

/* Of a log without crews the plan is all there is, and it may have been changed. */
static void report_lanes(const struct measuring *j)
{
    if (j->log->has_crew || !j->plan->file || j->known.as_rehearsed || j->plan->n_lane < 2 || j->log->n_run == 0)
        return;
    wr_findings_add(
        j->findings, WR_NOTE, "lanes-by-plan", j->log->n_file ? j->log->file[0] : NULL, 0, 0,
        "the log has no column crew: who did what is taken from the plan. If lanes were changed there since, save "
        "the plan that was followed as plan-rehearsed.csv");
}

static void measure_all(struct measuring *j)
{
    struct wr_timing *t = j->timing;

    find_steps_of_runs(j);
    take_lost_rows(j);
    for (size_t r = 0; r < t->n_run; r++) read_run(j, r);
    count_done(j);
    cells_report_crews(j);
    nameless_find_lanes(j);
    for (size_t r = 0; r < t->n_run; r++) finish_cells(j, r);
    missing_steps_find(j);
    count_done(j);
    kept_over_runs(j);
    for (size_t r = 0; r < t->n_run; r++)
        if (t->run[r].finish_min.known) measure_run(j, r);
    for (size_t r = 0; r < t->n_run; r++) /* from the others' lead-ins */
        if (!t->run[r].finish_min.known) measure_run(j, r);
    by_minutes_report(j);
    two_places_find(j);
    waits_report(j);
    keep_differences(j);
    report_lanes(j);
    t->n_person = j->people.n_name;
    t->person = WR_NEW_ARRAY(const char *, t->n_person);
    for (size_t p = 0; p < t->n_person; p++) t->person[p] = j->people.name[p].text;
    name_other_work(j);
}

enum wr_status wr_timing_build_as_rehearsed(struct wr_timing *timing, const struct wr_run_log *log,
                                            const struct wr_plan *plan, const struct wr_network *net,
                                            const struct wr_plan *as_rehearsed, struct wr_findings *findings,
                                            struct wr_error *err)
{
    struct measuring j = {.timing = timing, .log = log, .plan = plan, .net = net, .findings = findings};
    size_t cells;

    enum wr_status status = rehearsed_make(&j.known, log, plan, net, as_rehearsed, err);
    if (status == WR_OK && __builtin_mul_overflow(j.known.n_work, log->n_run, &cells))
        status = wr_fail(err, WR_E_INPUT, "%zu tasks in %zu runs are too many: leave the oldest runs out", net->n_task,
                         log->n_run);
    if (status == WR_OK && (double)(j.known.n_work - j.known.n_plan) * (double)log->n_run > MOST_OTHER_CELLS)
        status = wr_fail(err, WR_E_INPUT,
                         "%zu names of tasks that the plan does not have, in %zu runs: is the column task the "
                         "right one? write --columns task=NAME",
                         j.known.n_work - j.known.n_plan, log->n_run);
    if (status == WR_OK) {
        make_room(&j);
        measure_all(&j);
        release_room(&j);
    }
    rehearsed_release(&j.known);
    if (status == WR_OK) WR_CHECK(wr_timing_check(timing));
    return status;
}

enum wr_status wr_timing_build(struct wr_timing *timing, const struct wr_run_log *log, const struct wr_plan *plan,
                               const struct wr_network *net, struct wr_findings *findings, struct wr_error *err)
{
    return wr_timing_build_as_rehearsed(timing, log, plan, net, NULL, findings, err);
}

void wr_timing_release(struct wr_timing *timing)
{
    WR_FREE(timing->cell, timing->run, timing->person, timing->other, timing->line_up, timing->waiting_min);
    wr_arena_release(&timing->text);
    *timing = (struct wr_timing){0};
}

static void check_cell(const struct wr_timing *t, const struct wr_cell *c)
{
    WR_BUG_IF(c->active_min < 0 || c->lead_in_min < 0 || c->gap_min < 0 || c->hold_min < 0 || c->hole_min < 0);
    WR_BUG_IF(c->end_min < c->start_min || c->n_performer > WR_MAX_PERFORMERS);
    WR_BUG_IF(c->state == WR_CELL_ABSENT && c->line != 0);
    WR_BUG_IF(!took_time(c) && (wr_cell_modelled_min(c) + c->hold_min + c->end_min > 0 || c->n_performer));
    WR_BUG_IF(c->lead_in_unknown && !took_time(c));
    for (size_t i = 0; i < c->n_performer; i++) WR_BUG_IF(c->person[i] >= t->n_person);
}

void wr_timing_check(const struct wr_timing *t)
{
    for (size_t i = 0; i < (t->n_task + t->n_other) * t->n_run; i++) check_cell(t, &t->cell[i]);
    for (size_t r = 0; r < t->n_run; r++) {
        const struct wr_timing_run *run = &t->run[r];
        WR_BUG_IF(run->n_done + run->n_stopped + run->n_skipped + run->n_absent + run->n_lost != t->n_task);
        WR_BUG_IF(run->complete != (run->n_done + run->n_dropped == t->n_task));
        WR_BUG_IF(run->n_dropped > run->n_left_out || run->n_left_out > run->n_skipped);
        WR_BUG_IF(run->order != (double)(r + 1));
        WR_BUG_IF(run->finish_without_holds_min > run->replay_min + SAME_MOMENT_MIN);
    }
    for (size_t i = 0; i < t->n_run * t->n_lane; i++)
        WR_BUG_IF(t->line_up[i] < -1 || t->line_up[i] >= (int)t->n_person);
}
