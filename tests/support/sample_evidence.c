#include "sample_evidence.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static struct wr_estimate around(double value, double share)
{
    return (struct wr_estimate){value, value - share * fabs(value), value + share * fabs(value)};
}

static void make_summary(struct sample_evidence *e, struct sample *s)
{
    struct wr_fit_summary *m = &e->summary;
    static const struct wr_chain_check check[] = {{"tau", 1.004, 812}, {"omega_s", 1.021, 388}};

    *m = (struct wr_fit_summary){.n_task = s->plan.n_task,
                                 .n_run = s->log.n_run,
                                 .n_person = 4,
                                 .has_model = true,
                                 .has_learning = true,
                                 .has_skew = true,
                                 .slope_log = {-.06, -.10, -.02},
                                 .tau_log = {.035, .01, .07},
                                 .kappa_log = {.03, .004, .08},
                                 .rho = {.4, -.3, .8},
                                 .spread_log = around(.25, .2),
                                 .spread_by_length = around(-.2, .3),
                                 .spread_between_log = around(.4, .3)};
    m->task = wr_arena_alloc(&s->text, m->n_task, sizeof *m->task);
    m->run_effect_log = wr_arena_alloc(&s->text, m->n_run, sizeof *m->run_effect_log);
    m->person = wr_arena_alloc(&s->text, 4, sizeof *m->person);
    for (size_t k = 0; k < m->n_task; k++) {
        const struct wr_task_outlook *o = &s->forecast.task[k];
        m->task[k] = (struct wr_task_summary){.source = {.kind = WR_SRC_MODEL},
                                              .n_done = 8,
                                              .n_stopped = k % 5 == 1,
                                              .n_skipped = 0,
                                              .median_min = around(o->median_min, .1),
                                              .mean_min = around(o->mean_min, .1),
                                              .sd_min = around(o->sd_min, .3),
                                              .p80_min = around(o->p80_min, .1),
                                              .p95_min = around(o->p95_min, .2),
                                              .spread_log = around(.25, .2),
                                              .own_median_min = wr_known(o->median_min * 1.03),
                                              .moved = wr_known(1 / 1.03)};
    }
    m->task[0].source = (struct wr_source){.kind = WR_SRC_JUDGED};
    m->task[0].own_median_min = m->task[0].moved = WR_UNKNOWN;
    m->run = wr_arena_alloc(&s->text, m->n_run, sizeof *m->run);
    for (size_t r = 0; r < m->n_run; r++) m->run[r] = r;
    for (size_t r = 0; r < m->n_run; r++) m->run_effect_log[r] = (struct wr_estimate){.01 * ((double)r - 4), -.05, .06};
    for (size_t p = 0; p < 4; p++) m->person[p] = (struct wr_person_summary){s->timing.person[p], {.004, -.04, .05}};
    e->posterior = (struct wr_posterior){.n_draw = 2000, .n_chain = 4, .n_check = 2, .chains_agree = true};
    e->posterior.check = wr_arena_alloc(&s->text, 2, sizeof *check);
    memcpy(e->posterior.check, check, sizeof check);
}

static void make_record(struct wr_backtest_record *record, struct sample *s, size_t first)
{
    record->run = wr_arena_alloc(&s->text, s->log.n_run, sizeof *record->run);
    for (size_t r = 0; r < s->log.n_run; r++) {
        if (!s->timing.run[r].complete) continue;
        struct wr_backtest_run *b = &record->run[record->n_run++];
        *b = (struct wr_backtest_run){.run = r, .forecast_made = r >= first,
                                      .actual_min = s->timing.run[r].finish_without_holds_min};
        if (!b->forecast_made) continue;
        memcpy(b->lens_min, s->forecast.lens_min, sizeof b->lens_min);
        b->rank = .4;
        b->crps_min = 6.5;
        b->inside80 = b->actual_min >= b->lens_min[1] && b->actual_min <= b->lens_min[5];
        b->inside95 = b->actual_min >= b->lens_min[0] && b->actual_min <= b->lens_min[6];
        record->n_forecast++;
        record->n_inside80 += b->inside80;
        record->n_inside95 += b->inside95;
        record->crps_min = 6.5;
    }
    if (record->n_forecast == 0) return;
    record->coverage80 = (double)record->n_inside80 / (double)record->n_forecast;
    record->coverage95 = (double)record->n_inside95 / (double)record->n_forecast;
    record->expected_least80 = 4;
    record->prob_so_few80 = .3;
}

static void make_backtest(struct sample_evidence *e, struct sample *s)
{
    struct wr_backtest *b = &e->backtest;

    make_record(&b->leave_one_out, s, 0);
    make_record(&b->predecessors, s, 3);
    b->n_task = s->plan.n_task;
    b->task = wr_arena_alloc(&s->text, b->n_task, sizeof *b->task);
    for (size_t k = 1; k < b->n_task; k++)
        b->task[k] = (struct wr_backtest_task){8, 6, 8, .48, 2.1}; /* the first has none */
    b->n_task_cell = 8 * (b->n_task - 1);
    b->n_task_inside80 = 6 * (b->n_task - 1);
    b->n_task_inside95 = 8 * (b->n_task - 1);
}

static void make_debrief(struct sample_evidence *e, struct sample *s)
{
    struct wr_debrief *d = &e->debrief;
    size_t run = 2;

    *d = (struct wr_debrief){.run = run,
                             .n_task = s->plan.n_task,
                             .n_lane = 2,
                             .complete = s->timing.run[run].complete,
                             .finish_min = s->timing.run[run].finish_without_holds_min,
                             .rank = .71,
                             .n_slow = 3,
                             .n_fast = 2,
                             .n_judged = 26,
                             .hold_min = 14,
                             .unlogged_min = 31,
                             .has_before = true,
                             .by_plan_complete = s->timing.run[run].complete,
                             .by_plan_min = s->timing.run[run].by_plan_min,
                             .has_limit = true,
                             .over_before = {.mean = .08, .lo = .005, .hi = .24, .mc_error = .001},
                             .over_after = s->forecast.limit[0].over,
                             .p50_before_min = s->forecast.quantile_min[4] - 4,
                             .p50_after_min = s->forecast.quantile_min[4]};
    memcpy(d->lens_min, s->forecast.lens_min, sizeof d->lens_min);
    d->waiting_min = wr_arena_alloc(&s->text, 2, sizeof(double));
    d->waiting_min[0] = 12, d->waiting_min[1] = 47;
    d->task = wr_arena_alloc(&s->text, d->n_task, sizeof *d->task);
    for (size_t k = 0; k < d->n_task; k++) {
        const struct wr_cell *cell = wr_timing_cell(&s->timing, k, run);
        const struct wr_task_outlook *o = &s->forecast.task[k];
        d->task[k] = (struct wr_debrief_task){.task = k,
                                              .state = cell->state,
                                              .actual_min = wr_cell_modelled_min(cell),
                                              .expected_min = o->median_min,
                                              .lo_min = o->lens_min[1],
                                              .hi_min = o->lens_min[5],
                                              .rank = .5,
                                              .slow = k % 9 == 2,
                                              .fast = k % 13 == 5,
                                              .hold_min = cell->hold_min,
                                              .lead_in_min = cell->lead_in_min,
                                              .began_early = k == 7};
    }
    d->task[3].hold_min = 12;
    d->task[4].gap_min = 15;
    d->task[6].state = WR_CELL_ABSENT;
    d->task[9].state = WR_CELL_SKIPPED;
}

static void make_needed(struct sample_evidence *e, struct sample *s)
{
    static const size_t further[] = {1, 2, 4};
    struct wr_runs_needed *n = &e->needed;

    *n = (struct wr_runs_needed){.n_run = s->log.n_run,
                                 .n_draw = 2000,
                                 .n_future = 6000,
                                 .n_refit = 100,
                                 .n_sweep = 200,
                                 .last_order = 9,
                                 .target_order = 10,
                                 .confidence = .9,
                                 .width = .176,
                                 .over = {.mean = .06, .lo = .004, .hi = .18, .mc_error = .001},
                                 .n_row = 3,
                                 .sessions = {.n = s->plan.n_task},
                                 .day_min = 371};
    n->row = wr_arena_alloc(&s->text, 3, sizeof *n->row);
    for (size_t i = 0; i < 3; i++) {
        double left = 1 - .1 * (double)further[i];
        n->row[i] = (struct wr_runs_needed_row){further[i],  {.176 * left, .004},
                                                {.01, .002}, {.01 + .176 * left, .004},
                                                {.06, .002}, {.1 * (double)further[i], .03},
                                                {.02, .01},  {1 - left, .01}, false};
    }
    n->sessions.row = wr_arena_alloc(&s->text, n->sessions.n, sizeof *n->sessions.row);
    for (size_t k = 0; k < n->sessions.n; k++)
        n->sessions.row[k] =
            (struct wr_session_row){k, {.06 / (1 + (double)k), .005}, 4 * s->forecast.task[k].median_min};
}

void sample_learn(struct sample_evidence *e, struct sample *s, const struct sample_decisions *d)
{
    struct wr_criteria criteria = wr_criteria_default();
    struct wr_compare_options options = {.by = WR_BY_SPLIT, .split = 5, .seed = 1};
    struct wr_error err;

    *e = (struct sample_evidence){0};
    make_summary(e, s);
    wr_candidates_fit(&e->candidates, &s->timing,
                      &(struct wr_candidate_options){.n_resample = 9, .seed = 1, .n_thread = 1});
    WR_BUG_IF(wr_compare(&e->comparison, &s->log, &s->timing, &options, &err) != WR_OK);
    make_backtest(e, s);
    wr_ready_judge(&e->ready, &(struct wr_ready_input){.criteria = &criteria,
                                                       .limits = &s->limits,
                                                       .timing = &s->timing,
                                                       .forecast = &s->forecast,
                                                       .pad = &d->pad,
                                                       .backtest = &e->backtest,
                                                       .confidence = .9,
                                                       .chains_agree = true});
    make_needed(e, s);
    make_debrief(e, s);
}

void sample_evidence_release(struct sample_evidence *e)
{
    wr_candidates_release(&e->candidates);
    wr_comparison_release(&e->comparison);
    *e = (struct sample_evidence){0};
}
