#include "wetrun/decide/ready.h"

#include "wetrun/base/memory.h"
#include "wetrun/decide/verdict.h"
#include "wetrun/stats/quantile.h"

enum { FEWEST_COMPLETE = 4, FEWEST_FORECASTS = 5, RECENT = 3 };

static size_t complete_runs(const struct wr_timing *t)
{
    size_t n = 0;

    for (size_t r = 0; r < t->n_run; r++) n += t->run[r].complete;
    return n;
}

static void judge_complete_runs(struct wr_criterion_result *c, const struct wr_timing *t)
{
    c->n = complete_runs(t);
    c->of = t->n_run;
    c->found = wr_known((double)c->n);
    c->evidence = c->n < FEWEST_COMPLETE            ? WR_EVIDENCE_NOT_ENOUGH
                  : (double)c->n >= c->threshold    ? WR_EVIDENCE_MET
                                                    : WR_EVIDENCE_NOT_MET;
}

static size_t times_done(const struct wr_timing *t, size_t task, size_t first_run)
{
    size_t n = 0;

    for (size_t r = first_run; r < t->n_run; r++) n += wr_timing_cell(t, task, r)->state == WR_CELL_DONE;
    return n;
}

static void judge_task_done(struct wr_criterion_result *c, const struct wr_timing *t)
{
    size_t least = t->n_run;

    for (size_t k = 0; k < t->n_task; k++) {
        size_t n = times_done(t, k, 0);
        c->n += (double)n >= c->threshold;
        if (n < least || !c->has_worst) {
            least = n;
            c->worst = k;
            c->has_worst = true;
        }
    }
    c->of = t->n_task;
    c->found = wr_known((double)least);
    /* once short of what is asked, but at least twice: the next rehearsal can settle it */
    c->evidence = (double)least >= c->threshold                      ? WR_EVIDENCE_MET
                  : (double)least + 1 >= c->threshold && least >= 2 ? WR_EVIDENCE_NOT_ENOUGH
                                                                     : WR_EVIDENCE_NOT_MET;
}

static bool is_complete(const struct wr_timing_run *run)
{
    return run->complete;
}

static bool kept_to_plan(const struct wr_timing_run *run)
{
    return run->kept_to_plan;
}

static void judge_last(struct wr_criterion_result *c, const struct wr_timing *t, bool (*good)(const struct wr_timing_run *))
{
    size_t asked = (size_t)c->threshold, have = asked < t->n_run ? asked : t->n_run;

    for (size_t r = t->n_run - have; r < t->n_run; r++) {
        if (good(&t->run[r])) {
            c->n++;
        } else {
            c->worst = r;
            c->has_worst = true;
        }
    }
    c->of = have;
    c->found = wr_known((double)c->n);
    c->evidence = c->n < have    ? WR_EVIDENCE_NOT_MET
                  : have < asked ? WR_EVIDENCE_NOT_ENOUGH
                                 : WR_EVIDENCE_MET;
}

/* What the forecast's own interval is worth: nothing where no rehearsal stands behind it, where the chains that it comes
 * from disagree, or where there is one set of parameters taken as known. */
static bool interval_means_something(const struct wr_ready_input *in)
{
    return in->timing->n_run > 0 && in->chains_agree && in->forecast->n_draw > 1;
}

static void judge_overrun(struct wr_ready *ready, const struct wr_ready_input *in)
{
    struct wr_criterion_result *c = &ready->result[WR_CRIT_OVERRUN];

    ready->over = in->forecast->limit[0].over;
    ready->over_upper =
        wr_quantile(in->forecast->draw_over, in->forecast->n_draw, c->threshold, WR_QUANTILE_TYPE_7);
    c->found = wr_known(ready->over_upper);
    c->evidence = WR_EVIDENCE_NOT_ENOUGH;
    if (!interval_means_something(in)) return;
    if (complete_runs(in->timing) < FEWEST_COMPLETE) {
        if (wr_beyond_allowed(ready->over.lo, in->confidence)) c->evidence = WR_EVIDENCE_NOT_MET;
    } else if (!wr_beyond_allowed(ready->over_upper, in->confidence)) {
        c->evidence = WR_EVIDENCE_MET;
    } else if (wr_beyond_allowed(ready->over.mean, in->confidence)) {
        c->evidence = WR_EVIDENCE_NOT_MET;
    }
}

static void judge_planned(struct wr_ready *ready, const struct wr_ready_input *in)
{
    struct wr_criterion_result *share = &ready->result[WR_CRIT_PLANNED], *path = &ready->result[WR_CRIT_PLANNED_PATH];
    double least = 2;

    share->evidence = path->evidence = WR_EVIDENCE_NOT_ENOUGH;
    for (size_t k = 0; in->pad && k < in->pad->n_task; k++) {
        const struct wr_pad_task *t = &in->pad->task[k];
        if (!t->prob_planned_enough.known) continue;
        share->of++;
        if (t->prob_planned_enough.value >= 0.5) continue;
        share->n++;
        if (t->prob_planned_enough.value < least) {
            least = t->prob_planned_enough.value;
            share->worst = k;
            share->has_worst = true;
        }
        double on_path = in->forecast->task[k].on_longest_path;
        if (!path->has_worst || on_path > path->found.value) {
            path->found = wr_known(on_path);
            path->worst = k;
            path->has_worst = true;
        }
        path->n += on_path > path->threshold;
    }
    if (share->of == 0 || in->timing->n_run == 0) return; /* no planned time, or nothing but the plan to hold it against */
    share->found = wr_known((double)share->n / (double)share->of);
    share->evidence = share->found.value < share->threshold || share->n == 0 ? WR_EVIDENCE_MET : WR_EVIDENCE_NOT_MET;
    path->of = share->n;
    path->evidence = path->n == 0 ? WR_EVIDENCE_MET : WR_EVIDENCE_NOT_MET;
}

static void judge_unlogged(struct wr_criterion_result *c, const struct wr_timing *t)
{
    double all = 0, lost = 0;

    for (size_t r = 0; r < t->n_run; r++) {
        if (!t->run[r].complete) continue;
        for (size_t k = 0; k < t->n_task; k++) {
            const struct wr_cell *cell = wr_timing_cell(t, k, r);
            all += wr_cell_modelled_min(cell) + cell->hold_min;
            lost += cell->lead_in_min + cell->gap_min + cell->hold_min;
        }
        c->of++;
    }
    if (!(all > 0)) {
        c->evidence = WR_EVIDENCE_NOT_ENOUGH;
        return;
    }
    c->found = wr_known(lost / all);
    c->evidence = c->found.value < c->threshold ? WR_EVIDENCE_MET : WR_EVIDENCE_NOT_MET;
}

static void judge_record(struct wr_criterion_result *c, const struct wr_backtest *b)
{
    c->evidence = WR_EVIDENCE_NOT_ENOUGH;
    if (!b || b->leave_one_out.n_forecast == 0) return;
    c->n = b->leave_one_out.n_inside80;
    c->of = b->leave_one_out.n_forecast;
    c->found = wr_known(b->leave_one_out.prob_so_few80);
    if (c->of < FEWEST_FORECASTS) return;
    c->evidence = c->found.value >= c->threshold ? WR_EVIDENCE_MET : WR_EVIDENCE_NOT_MET;
}

void wr_ready_judge(struct wr_ready *ready, const struct wr_ready_input *in)
{
    const struct wr_timing *t = in->timing;

    WR_BUG_IF(in->forecast->n_limit == 0 || !(in->confidence > 0 && in->confidence < 1));
    *ready = (struct wr_ready){.confidence = in->confidence, .chains_agree = in->chains_agree};
    for (int i = 0; i < WR_N_CRITERION; i++) {
        ready->result[i].on = in->criteria->on[i];
        ready->result[i].threshold = in->criteria->threshold[i];
    }
    judge_complete_runs(&ready->result[WR_CRIT_COMPLETE_RUNS], t);
    judge_task_done(&ready->result[WR_CRIT_TASK_DONE], t);
    judge_last(&ready->result[WR_CRIT_LAST_COMPLETE], t, is_complete);
    judge_overrun(ready, in);
    judge_planned(ready, in);
    judge_unlogged(&ready->result[WR_CRIT_UNLOGGED], t);
    judge_record(&ready->result[WR_CRIT_RECORD], in->backtest);
    judge_last(&ready->result[WR_CRIT_KEPT], t, kept_to_plan);
    for (size_t k = 0; k < t->n_task && t->n_run >= RECENT; k++) ready->n_rare += times_done(t, k, t->n_run - RECENT) < 2;
    for (int i = 0; i < WR_N_CRITERION; i++) {
        if (!ready->result[i].on) continue;
        ready->n_met += ready->result[i].evidence == WR_EVIDENCE_MET;
        ready->n_not_met += ready->result[i].evidence == WR_EVIDENCE_NOT_MET;
        ready->n_not_enough += ready->result[i].evidence == WR_EVIDENCE_NOT_ENOUGH;
    }
}
