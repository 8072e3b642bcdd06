#include "wetrun/decide/debrief.h"

#include "wetrun/base/memory.h"
#include "wetrun/decide/held_out.h"
#include "wetrun/stats/quantile.h"
#include "wetrun/stats/score.h"

static double point(const double *ascending, size_t n, double prob)
{
    return wr_quantile_of_sorted(ascending, n, prob, WR_QUANTILE_TYPE_7);
}

static void judge_task(struct wr_debrief *d, size_t k, const struct wr_cell *cell, const struct wr_held_out *h)
{
    struct wr_debrief_task *t = &d->task[k];
    const double *forecast = h->task_min + k * h->n_task_trial;

    *t = (struct wr_debrief_task){
        .task = k,
        .state = cell->state,
        .actual_min = wr_cell_modelled_min(cell),
        .expected_min = point(forecast, h->n_task_trial, 0.5),
        .lo_min = point(forecast, h->n_task_trial, 0.1),
        .hi_min = point(forecast, h->n_task_trial, 0.9),
        .hold_min = cell->hold_min,
        .lead_in_min = cell->lead_in_min,
        .gap_min = cell->gap_min,
        .began_early = cell->began_early,
    };
    d->hold_min += t->hold_min;
    d->unlogged_min += t->lead_in_min + t->gap_min;
    d->unknown_min += cell->hole_min;
    t->lead_in_unknown = cell->lead_in_unknown;
    if ((!wr_cell_is_timed(cell) && t->state != WR_CELL_STOPPED) || !(t->actual_min > 0)) return;
    t->rank = wr_share_below(forecast, h->n_task_trial, t->actual_min);
    t->slow = t->actual_min > t->hi_min;
    t->fast = t->state == WR_CELL_DONE && t->actual_min < t->lo_min;
    d->n_slow += t->slow;
    d->n_fast += t->fast;
    d->n_judged += t->state == WR_CELL_DONE || t->slow;
}

static void judge_run(struct wr_debrief *d, const struct wr_basis *basis, const struct wr_debrief_options *options,
                      const struct wr_held_out *h)
{
    const struct wr_timing *timing = basis->timing, *followed = options->followed ? options->followed : timing;
    const struct wr_timing_run *run = &followed->run[d->run], *by_plan = &timing->run[d->run];

    d->finish_min = run->finish_without_holds_min;
    d->complete = wr_run_is_whole(run) && run->n_unknown == 0;
    d->by_minutes = run->by_minutes;
    d->finish_stands = run->finish_stands;
    d->by_plan_min = by_plan->by_plan_min;
    d->did_its_work = !run->by_minutes && wr_run_did_its_work(run) && run->n_unknown == 0;
    d->n_left_out = by_plan->n_left_out;
    d->by_plan_complete = !by_plan->by_minutes && wr_run_did_its_work(by_plan) && by_plan->n_unknown == 0;
    for (size_t i = 0; i < WR_N_LENS; i++) d->lens_min[i] = point(h->finish_min, h->n_trial, wr_lens_prob[i]);
    d->rank = wr_share_below(h->finish_min, h->n_trial, d->by_plan_min);
    d->unknown_min = by_plan->nobodys_min;
    for (size_t k = 0; k < d->n_task; k++) {
        judge_task(d, k, wr_timing_cell(timing, k, d->run), h);
        d->task[k].is_new = d->task[k].state == WR_CELL_ABSENT && options->rehearsed &&
                            wr_plan_find(options->rehearsed, basis->plan->task[k].id) == SIZE_MAX;
        d->n_new += d->task[k].is_new;
    }
    for (size_t lane = 0; lane < d->n_lane; lane++)
        d->waiting_min[lane] = timing->waiting_min[d->run * timing->n_lane + lane];
}

static void say_change(struct wr_debrief *d, const struct wr_forecast *before, const struct wr_forecast *after)
{
    d->has_before = before;
    d->has_limit = after->n_limit > 0;
    d->p50_after_min = after->lens_min[WR_N_LENS / 2];
    if (d->has_limit) {
        d->over_after = after->limit[0].over;
        d->second = after->limit[0].second;
    }
    if (!before) return;
    d->p50_before_min = before->lens_min[WR_N_LENS / 2];
    if (d->has_limit) d->over_before = before->limit[0].over;
}

enum wr_status wr_debrief_takes(const struct wr_timing *timing, struct wr_error *err)
{
    if (timing->n_run >= 3) return WR_OK;
    return wr_fail(err, WR_E_TOO_FEW,
                   "%zu rehearsal%s, and what stands out needs at least two others to be seen against: log more first",
                   timing->n_run, timing->n_run == 1 ? "" : "s");
}

enum wr_status wr_debrief_make(struct wr_debrief *d, size_t run, const struct wr_basis *basis,
                               const struct wr_debrief_options *options, struct wr_error *err)
{
    enum { DAYS = 8000 };
    WR_RELEASED_BY(wr_held_out_release) struct wr_held_out h = {0};
    enum wr_status status = wr_debrief_takes(basis->timing, err);

    if (!status) status = wr_held_out_make(&h, run, WR_FROM_ALL_OTHERS, basis, WR_HELD_OUT_FINISH_AND_TASKS, DAYS, err);
    if (status) return status;
    *d = (struct wr_debrief){.run = run, .n_task = basis->net->n_task, .n_lane = basis->net->n_lane};
    d->task = WR_NEW_ARRAY(struct wr_debrief_task, d->n_task);
    d->waiting_min = WR_NEW_ARRAY(double, d->n_lane);
    judge_run(d, basis, options, &h);
    say_change(d, options->before, options->after);
    return WR_OK;
}

void wr_debrief_release(struct wr_debrief *d)
{
    WR_FREE(d->task, d->waiting_min);
    *d = (struct wr_debrief){0};
}
