#include "cells.h"

#include <math.h>
#include <stdint.h>
#include "stopped.h"

/* ---- rows into cells ---- */

/* One of the few rows before it says the same of who did it where, so that it adds nothing to what is known of that: as
 * a rule, also where two lanes take turns. */
static bool is_said(const struct wr_log_step *step, size_t i)
{
    enum { FEW = 4 };

    for (size_t k = i; k-- > 0 && i - k <= FEW;)
        if (step[k].crew == step[i].crew && step[k].performer == step[i].performer && step[k].outcome != WR_SKIPPED)
            return true;
    return false;
}

/* People and crew of the rows of one cell against the plan. */
static void read_people(struct measuring *j, const struct wr_log_step *step, size_t n, const struct wr_plan_task *task,
                        size_t work)
{
    struct cell_people people;
    uint32_t all_lanes = 0;
    const struct wr_log_step *stranger = NULL;
    enum performer_fit worst = PERFORMERS_FIT;
    struct place worst_place = {0};

    cell_people_clear(&people);
    for (size_t i = 0; i < n; i++) {
        if (is_said(step, i)) continue;
        const struct rehearsed_crew *crew = rehearsed_crew(&j->known, step[i].crew);
        if (step[i].crew[0] && (crew->n == 0 || (crew->planned & ~task->lanes)) && !stranger) stranger = &step[i];
        all_lanes |= step[i].crew[0] ? crew->planned : task->lanes;
        if (step[i].outcome == WR_SKIPPED || !step[i].performer[0]) continue;
        enum performer_fit fit = cell_people_add(&people, &j->people, &j->timing->text, step[i].performer,
                                                 crew->n ? crew->order : task->lane_order,
                                                 crew->n ? crew->n : task->n_lane);
        if (fit > worst) {
            worst = fit;
            worst_place = timing_place_of_step(j, &step[i]);
        }
    }
    if (!stranger && all_lanes != task->lanes) stranger = &step[0];
    if (stranger && work < j->known.n_plan) j->stranger[cell_index(j, work, j->r)] = stranger;
    if (worst == PERFORMERS_TWICE)
        timing_report(j, WR_WARNING, "person-twice", worst_place, "task '%s' names the same performer twice", task->id);
    if (worst == PERFORMERS_OTHER_COUNT && work < j->known.n_plan)
        timing_report(j, WR_NOTE, "performer-count", worst_place,
                      "task '%s' does not name one performer for each of its lanes", task->id);
    cell_people_write(&people, task, cell_of(j, work));
    lane_votes_add(&j->votes, &people, j->net->n_lane);
}

static enum wr_cell_state state_of(struct measuring *j, const struct wr_log_step *step, size_t n, size_t work)
{
    size_t n_done = 0, n_skipped = 0;

    for (size_t i = 0; i < n; i++) {
        n_done += step[i].outcome == WR_DONE;
        n_skipped += step[i].outcome == WR_SKIPPED;
    }
    if (n_skipped == n) return WR_CELL_SKIPPED;
    if (n_done == n) return WR_CELL_DONE;
    return n_done && !n_skipped && stopped_then_done(j, step, n, work) ? WR_CELL_DONE : WR_CELL_STOPPED;
}

static const struct wr_log_step *overlapping_step(const struct wr_log_step *step, size_t n)
{
    const struct wr_log_step *overlap = NULL;
    double end = 0;
    bool begun = false;

    for (size_t i = 0; i < n; i++) {
        if (step[i].outcome == WR_SKIPPED) continue;
        if (begun && step[i].start_min < end - SAME_MOMENT_MIN) overlap = &step[i];
        if (!begun || step[i].end_min > end) end = step[i].end_min;
        begun = true;
    }
    return overlap;
}

static void report_overlap(struct measuring *j, const struct wr_log_step *step, size_t n, size_t work)
{
    const struct wr_log_step *overlap = overlapping_step(step, n);

    if (!overlap || work >= j->known.n_plan) return;
    timing_differs(j, "steps of '%s' overlap", rehearsed_id(&j->known, work));
    timing_report(j, WR_WARNING, "steps-overlap", timing_place_of_step(j, overlap),
                  "task '%s': step '%s' began before an earlier step had ended; the time of both counts once",
                  rehearsed_id(&j->known, work), overlap->step);
}

/* Two rows of one task at the same time, of two lanes or of two people with a log, are work once. */
static double time_again(const struct wr_log_step *step, bool begun, double end_min)
{
    return begun ? fmax(0, fmin(step->end_min, end_min) - step->start_min) : 0;
}

/* Of its hold what counts beside the holds before it: where the same stretch is told of again, that may be one of them,
 * and no hold is longer than what is left of the step. Work and hold never exceed the time that they stand for. */
static double hold_beyond(const struct wr_log_step *step, double again_min, double held_min)
{
    double told = fmin(step->hold_min, fmin(again_min, held_min));

    return fmax(0, fmin(step->hold_min - told, step->active_min + step->hold_min - again_min));
}

/* What no row of a step covers, where several rows were added up to one. */
static double inner_gap(const struct wr_log_step *step)
{
    double inside = step->end_min - step->start_min - step->active_min - step->hold_min;

    return step->n_row > 1 && inside > SAME_MOMENT_MIN ? inside : 0.0;
}

/* A row that names nobody, beside others that do, means the crew of the plan. */
static uint32_t crew_of(struct measuring *j, const struct wr_log_step *step, size_t n, size_t work)
{
    uint32_t lanes = 0;
    bool nameless = false;

    for (size_t i = 0; i < n; i++) {
        if (is_said(step, i)) continue;
        if (step[i].crew[0]) lanes |= rehearsed_crew(&j->known, step[i].crew)->lanes;
        else nameless = true;
    }
    return lanes && nameless ? lanes | j->known.lanes[work] : lanes;
}

static void fill_cell(struct measuring *j, const struct wr_log_step *step, size_t n, size_t work)
{
    struct wr_cell *cell = cell_of(j, work);
    double *hold_min = &j->hold_min[step - j->log->step];
    bool begun = false;

    cell->line = step[0].line;
    cell->state = state_of(j, step, n, work);
    if (!took_time(cell)) return;
    for (size_t i = 0; i < n; i++) {
        if (step[i].outcome == WR_SKIPPED) continue;
        double again = j->has_clock ? time_again(&step[i], begun, cell->end_min) : 0;
        hold_min[i] = hold_beyond(&step[i], again, cell->hold_min);
        cell->active_min += fmax(0, step[i].active_min + (step[i].hold_min - hold_min[i]) - again);
        cell->hold_min += hold_min[i];
        if (!j->has_clock) continue;
        cell->gap_min += inner_gap(&step[i]);
        if (!begun) cell->start_min = step[i].start_min; /* they stand in the order of their starts */
        if (!begun || step[i].end_min > cell->end_min) cell->end_min = step[i].end_min;
        begun = true;
    }
    if (j->has_clock) report_overlap(j, step, n, work);
    j->lanes[cell_index(j, work, j->r)] = crew_of(j, step, n, work);
    if (work < j->known.n_plan) read_people(j, step, n, &j->plan->task[work], work);
    else read_people(j, step, n, &(struct wr_plan_task){.id = rehearsed_id(&j->known, work)}, work);
}

static void fill_cells(struct measuring *j, const struct wr_log_step *step, size_t n)
{
    for (size_t i = 0, next; i < n; i = next) {
        for (next = i + 1; next < n && step[next].task == step[i].task; next++) {}
        size_t work = j->known.of_log_task[step[i].task];
        if (work >= j->known.n_plan) {
            timing_differs(j, "'%s' is not in the plan", j->log->task[step[i].task]);
            timing_report(j, WR_NOTE, "off-plan-work", timing_place_of_step(j, &step[i]),
                          "work outside the plan: task '%s'", j->log->task[step[i].task]);
        }
        fill_cell(j, step + i, next - i, work);
    }
}

/* ---- the run ---- */

static void name_line_up(struct measuring *j)
{
    int *line_up = &j->timing->line_up[j->r * j->timing->n_lane];

    for (size_t l = 0; l < j->timing->n_lane; l++) {
        size_t n_person;
        line_up[l] = lane_votes_winner(&j->votes, l, &n_person);
        if (n_person > 1)
            timing_report(j, WR_NOTE, "line-up-changed", timing_place_of_run(j),
                          "%zu people worked in lane '%s'; most of it was done by '%s'", n_person, j->plan->lane[l],
                          j->people.name[line_up[l]].text);
        for (size_t other = 0; other < l; other++)
            if (line_up[l] >= 0 && line_up[other] == line_up[l])
                timing_report(j, WR_WARNING, "person-twice", timing_place_of_run(j),
                              "'%s' stands in lanes '%s' and '%s'", j->people.name[line_up[l]].text,
                              j->plan->lane[other], j->plan->lane[l]);
    }
}

void cells_name_people(struct measuring *j)
{
    const int *line_up = &j->timing->line_up[j->r * j->timing->n_lane];

    for (size_t w = 0; w < j->known.n_work; w++) {
        if (!took_time(cell_of(j, w)) || cell_of(j, w)->n_performer) continue;
        struct wr_plan_task done_by = {0};
        struct cell_people people;
        bool known = true;
        cell_people_clear(&people);
        if (w < j->known.n_plan && j->plan->task[w].lanes == j->lanes[cell_index(j, w, j->r)])
            done_by = j->plan->task[w];
        for (uint8_t l = 0; l < j->timing->n_lane && !done_by.lanes; l++)
            if (j->lanes[cell_index(j, w, j->r)] >> l & 1) done_by.lane_order[done_by.n_lane++] = l;
        for (size_t i = 0; i < done_by.n_lane; i++) {
            people.in_lane[done_by.lane_order[i]] = line_up[done_by.lane_order[i]];
            known &= line_up[done_by.lane_order[i]] >= 0;
        }
        if (known) cell_people_write(&people, &done_by, cell_of(j, w));
    }
}

void cells_lose(struct measuring *j, size_t work)
{
    struct wr_cell *cell = cell_of(j, work);

    *cell = (struct wr_cell){.state = WR_CELL_LOST, .line = cell->line};
}

/* Many tasks of a run that others do in other lanes: renumbered tasks, or lanes exchanged. */
static void report_other_crews(const struct measuring *j, size_t run)
{
    const struct wr_log_run *of = &j->log->run[run];
    size_t n = 0, n_done = 0;

    for (size_t w = 0; w < j->known.n_plan; w++) {
        n += j->stranger[cell_index(j, w, run)] != NULL;
        n_done += took_time(&j->timing->cell[cell_index(j, w, run)]);
    }
    if (n < 3 || 5 * n < 2 * n_done) return;
    wr_findings_add(j->findings, WR_WARNING, "run-other-crews", j->log->file[of->file], of->line, 0,
                    "run '%.60s': %zu of its %zu tasks were logged for other lanes than %s: are its tasks or lanes "
                    "named in another way? names.csv translates names",
                    of->id, n, n_done, j->plan->file ? "the plan's" : "in most runs");
}

void cells_report_crews(const struct measuring *j)
{
    for (size_t r = 0; r < j->timing->n_run; r++) report_other_crews(j, r);
    for (size_t w = 0; w < j->known.n_plan; w++) {
        const struct wr_log_step *first = NULL;
        size_t n = 0, n_run = j->timing->n_run;
        for (size_t r = 0; r < n_run; r++) {
            const struct wr_log_step *s = j->stranger[cell_index(j, w, r)];
            n += s != NULL;
            if (!first) first = s;
        }
        if (n >= 2 && 2 * n > j->n_done[w]) {
            wr_findings_add(
                j->findings, WR_WARNING, "other-crew", j->log->file[first->file], first->line, 0,
                "task '%s' was logged for another crew than that of the plan ('%s') in %zu of %zu runs: its "
                "times are measured where it was done",
                rehearsed_id(&j->known, w), first->crew, n, j->n_done[w]);
            continue;
        }
        for (size_t r = 0; r < n_run && n; r++) {
            const struct wr_log_step *s = j->stranger[cell_index(j, w, r)];
            if (s)
                wr_findings_add(j->findings, WR_WARNING, "other-crew", j->log->file[s->file], s->line, 0,
                                "run '%s': task '%s' was logged for crew '%s', not for that of the plan",
                                j->log->run[r].id, rehearsed_id(&j->known, w), s->crew);
        }
    }
}

/* A run has clock times when every step that was begun has them. Where none has, minutes may be said to be all. */
static void look_at_clock(struct measuring *j, const struct wr_log_step *step, size_t n)
{
    bool begun = false, clocked = false;
    double last = 0;

    j->has_clock = true;
    for (size_t i = 0; i < n; i++) {
        if (step[i].outcome == WR_SKIPPED) continue;
        begun = true;
        j->has_clock &= step[i].has_clock;
        clocked |= step[i].has_clock;
        if (step[i].has_clock && step[i].end_min > last) last = step[i].end_min;
    }
    j->has_clock &= begun;
    j->run->by_minutes = begun && !j->has_clock && (clocked || !j->log->minutes_whole);
    j->run->finish_min = j->has_clock ? wr_known(last) : WR_UNKNOWN;
}

void cells_fill(struct measuring *j)
{
    const struct wr_log_step *step = j->log->step + j->first_step[j->r];
    size_t n = j->first_step[j->r + 1] - j->first_step[j->r];

    look_at_clock(j, step, n);
    fill_cells(j, step, n);
    name_line_up(j);
    lane_votes_release(&j->votes);
}
