#include "wetrun/decide/ready.h"

#include <math.h>
#include "wetrun/decide/planned_short.h"
#include "wetrun/stats/quantile.h"

enum { RECENT = 3 };

/* Where minutes are all that was logged it may have been as good as any: nobody knows of the day as a whole. */
static size_t times_all_done(const struct wr_timing *t)
{
    size_t n = 0;

    for (size_t r = 0; r < t->n_run; r++) n += t->run[r].complete;
    return n;
}

static void judge_complete_runs(struct wr_criterion_result *c, const struct wr_timing *t)
{
    bool all_done = (double)times_all_done(t) >= c->threshold;

    c->n = wr_timing_complete(t);
    c->of = t->n_run;
    c->found = wr_known((double)c->n);
    c->evidence = all_done ? WR_EVIDENCE_NOT_ENOUGH : WR_EVIDENCE_NOT_MET; /* a count is known */
    if ((double)c->n >= c->threshold && c->n >= WR_FEWEST_COMPLETE) c->evidence = WR_EVIDENCE_MET;
}

static size_t times_done(const struct wr_timing *t, size_t task, size_t first_run)
{
    size_t n = 0;

    for (size_t r = first_run; r < t->n_run; r++) n += wr_timing_cell(t, task, r)->state == WR_CELL_DONE;
    return n;
}

static size_t times_timed(const struct wr_timing *t, size_t task)
{
    size_t n = 0;

    for (size_t r = 0; r < t->n_run; r++) n += wr_cell_is_timed(wr_timing_cell(t, task, r));
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
    return wr_run_is_whole(run);
}

static bool kept_to_plan(const struct wr_timing_run *run)
{
    return run->kept_to_plan;
}

static void judge_last(struct wr_criterion_result *c, const struct wr_timing *t,
                       bool (*good)(const struct wr_timing_run *))
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

static void judge_last_complete(struct wr_criterion_result *c, const struct wr_timing *t)
{
    bool all_done = true;

    judge_last(c, t, is_complete);
    for (size_t r = t->n_run - c->of; r < t->n_run; r++) all_done &= t->run[r].complete;
    if (c->evidence == WR_EVIDENCE_NOT_MET && all_done) c->evidence = WR_EVIDENCE_NOT_ENOUGH;
}

/* Without times of begin and end nothing of the order can be seen, with less than half of the plan's tasks not most
 * of it. */
static void judge_kept(struct wr_criterion_result *c, const struct wr_timing *t)
{
    judge_last(c, t, kept_to_plan);
    for (size_t r = t->n_run - c->of; r < t->n_run && c->evidence == WR_EVIDENCE_MET; r++) {
        if (t->run[r].finish_min.known && 2 * (t->run[r].n_done + t->run[r].n_stopped) >= t->n_task) continue;
        c->evidence = WR_EVIDENCE_NOT_ENOUGH;
        c->worst = r;
        c->has_worst = true;
    }
}

/* What the forecast's own interval is worth: nothing where no rehearsal stands behind it, where a finding keeps every
 * answer open, where it is of other people, or of work without a history, where the chains that it comes from disagree,
 * or where there is one set of parameters taken as known. */
static bool interval_means_something(const struct wr_ready_input *in)
{
    return in->timing->n_run > 0 && !in->not_firm && !in->people_untold && !in->history_thin && !in->runs_reversed &&
           in->chains_agree && in->forecast->n_draw > 1;
}

static double upper_point(const struct wr_forecast *f, size_t limit, double strictness)
{
    double point = wr_quantile(f->draw_over + limit * f->n_draw, f->n_draw, strictness, WR_QUANTILE_TYPE_7);

    return fmax(point, f->limit[limit].over.mean); /* as of wr_probability.hi */
}

/* Of several the one whose upper point is the largest. */
static struct wr_ready_second second_of(const struct wr_ready_input *in, size_t limit, double strictness)
{
    struct wr_ready_second second = {0};

    for (size_t i = 0; i < in->n_beside; i++) {
        const struct wr_beside *b = &in->beside[i];
        if (!wr_beside_is_worse_for(b, limit)) continue;
        double upper = upper_point(&b->forecast, limit, strictness);
        if (second.is.known && second.upper >= upper) continue;
        second = (struct wr_ready_second){.upper = upper};
        wr_second_take(&second.is, b, &b->forecast.limit[limit].over);
    }
    return second;
}

/* Met only if a second answer that may be as right bears it too. */
static enum wr_evidence evidence_of_limit(const struct wr_ready_input *in, const struct wr_probability *over,
                                          double upper, const struct wr_ready_second *second, double confidence)
{
    bool borne = !second->is.known || wr_surely_within(second->upper, second->is.over.hi_mc_error, confidence);

    if (!interval_means_something(in)) return WR_EVIDENCE_NOT_ENOUGH;
    if (wr_timing_complete(in->timing) < WR_FEWEST_COMPLETE)
        return wr_beyond_allowed(over->lo, confidence) ? WR_EVIDENCE_NOT_MET : WR_EVIDENCE_NOT_ENOUGH;
    if (wr_surely_within(upper, over->hi_mc_error, confidence)) return borne ? WR_EVIDENCE_MET : WR_EVIDENCE_NOT_ENOUGH;
    return wr_beyond_allowed(over->mean, confidence) ? WR_EVIDENCE_NOT_MET : WR_EVIDENCE_NOT_ENOUGH;
}

static void judge_overrun(struct wr_ready *ready, const struct wr_ready_input *in)
{
    struct wr_criterion_result *c = &ready->result[WR_CRIT_OVERRUN];

    ready->over = in->forecast->limit[0].over;
    ready->over_upper = upper_point(in->forecast, 0, c->threshold);
    ready->second = second_of(in, 0, c->threshold);
    c->found = wr_known(ready->over_upper);
    c->evidence = evidence_of_limit(in, &ready->over, ready->over_upper, &ready->second, in->confidence);
}

/* From best to worst. */
static int rank(enum wr_evidence evidence)
{
    return evidence == WR_EVIDENCE_MET ? 0 : evidence == WR_EVIDENCE_NOT_ENOUGH ? 1 : 2;
}

/* The worst decides; among equals the one whose upper point is the larger multiple of what is allowed. */
static void judge_other_limits(struct wr_ready *ready, const struct wr_ready_input *in)
{
    struct wr_criterion_result *c = &ready->result[WR_CRIT_OTHER_LIMITS];

    c->evidence = WR_EVIDENCE_MET;
    for (size_t l = 1; in->limits && l < in->forecast->n_limit; l++) {
        struct wr_maybe wanted = in->limits->limit[l].confidence;
        if (!wanted.known) continue;
        const struct wr_probability *over = &in->forecast->limit[l].over;
        double upper = upper_point(in->forecast, l, c->threshold);
        const struct wr_ready_second second = second_of(in, l, c->threshold);
        enum wr_evidence evidence = evidence_of_limit(in, over, upper, &second, wanted.value);
        c->of++;
        c->n += evidence == WR_EVIDENCE_MET;
        bool larger = upper * (1 - ready->worst_confidence) > ready->worst_upper * (1 - wanted.value);
        if (c->has_worst && rank(evidence) <= rank(c->evidence) && !(evidence == c->evidence && larger)) continue;
        c->evidence = evidence;
        c->worst = l;
        c->has_worst = true;
        c->found = wr_known(upper);
        ready->worst_over = *over;
        ready->worst_upper = upper;
        ready->worst_second = second;
        ready->worst_confidence = wanted.value;
    }
    if (c->of == 0) c->on = false;
}

/* Is the planned time of a task that is missed by its median within what the rehearsals leave open about that? */
static bool is_miss_open(const struct wr_ready_input *in, size_t task)
{
    const struct wr_maybe planned = in->pad->task[task].planned_min;

    return in->summary && planned.known && planned.value >= in->summary->task[task].median_min.lo;
}

/* Not met only by misses that are shown. */
static enum wr_evidence evidence_of_misses(bool is_met, bool is_met_by_shown)
{
    return is_met ? WR_EVIDENCE_MET : is_met_by_shown ? WR_EVIDENCE_NOT_ENOUGH : WR_EVIDENCE_NOT_MET;
}

/* Planned times hold the time between tasks as well: where that is in no run, nothing tells whether they are kept. */
static void judge_planned(struct wr_ready *ready, const struct wr_ready_input *in)
{
    struct wr_criterion_result *share = &ready->result[WR_CRIT_PLANNED], *path = &ready->result[WR_CRIT_PLANNED_PATH];
    double least = 2;

    share->evidence = path->evidence = WR_EVIDENCE_NOT_ENOUGH;
    for (size_t k = 0; in->pad && k < in->pad->n_task; k++) {
        const struct wr_pad_task *t = &in->pad->task[k];
        const struct wr_maybe enough = wr_pad_planned_enough(t);
        if (!enough.known) continue;
        share->of++;
        if (!wr_pad_is_missed(t)) continue;
        share->n++;
        const bool is_open = is_miss_open(in, k);
        share->n_open += is_open;
        if (enough.value < least) {
            least = enough.value;
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
        path->n_open += on_path > path->threshold && is_open;
    }
    if (in->pad && share->of == 0) share->on = path->on = false; /* a plan without planned times is asked nothing about
                                                                    them */
    if (share->of == 0 || in->timing->n_run == 0) return; /* nothing but the plan to hold it against */
    share->found = wr_known((double)share->n / (double)share->of);
    const size_t n_shown = share->n - share->n_open;
    share->evidence = evidence_of_misses(share->found.value < share->threshold || share->n == 0,
                                         (double)n_shown < share->threshold * (double)share->of || n_shown == 0);
    path->of = share->n;
    path->evidence = evidence_of_misses(path->n == 0, path->n == path->n_open);
    if (in->people_untold || in->history_thin || in->runs_reversed || !wr_timing_has_clock(in->timing))
        share->evidence = path->evidence = WR_EVIDENCE_NOT_ENOUGH;
}

static void judge_unlogged(struct wr_criterion_result *c, const struct wr_timing *t)
{
    double all = 0, lost = 0;

    for (size_t r = 0; r < t->n_run; r++) {
        c->n += t->run[r].n_lost + (t->run[r].complete ? t->run[r].n_unknown : 0);
        if (!wr_run_is_whole(&t->run[r])) continue;
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
    c->evidence = c->found.value >= c->threshold && lost > 0 ? WR_EVIDENCE_NOT_MET
                  : c->of >= WR_FEWEST_COMPLETE              ? WR_EVIDENCE_MET
                                                             : WR_EVIDENCE_NOT_ENOUGH;
}

static void judge_record(struct wr_ready *ready, const struct wr_backtest *b)
{
    struct wr_criterion_result *c = &ready->result[WR_CRIT_RECORD];

    c->evidence = WR_EVIDENCE_NOT_ENOUGH;
    if (!b || b->leave_one_out.n_forecast == 0) return;
    c->n = b->leave_one_out.n_inside80;
    c->of = b->leave_one_out.n_forecast;
    c->found = wr_known(b->leave_one_out.prob_so_few80);
    bool against = wr_record_speaks_against(&b->leave_one_out, c->threshold);
    if (wr_record_is_judged(&b->predecessors)) {
        ready->n_earlier_inside = b->predecessors.n_inside80;
        ready->n_earlier_forecast = b->predecessors.n_forecast;
        ready->earlier_decides = b->predecessors.prob_so_few80 < c->found.value;
        if (ready->earlier_decides) c->found = wr_known(b->predecessors.prob_so_few80);
        against |= wr_record_speaks_against(&b->predecessors, c->threshold);
    }
    if (wr_record_is_judged(&b->leave_one_out)) c->evidence = against ? WR_EVIDENCE_NOT_MET : WR_EVIDENCE_MET;
}

static void judge(struct wr_ready *ready, const struct wr_ready_input *in, enum wr_criterion_id id)
{
    struct wr_criterion_result *c = &ready->result[id];

    switch (id) {
    case WR_CRIT_COMPLETE_RUNS: judge_complete_runs(c, in->timing); break;
    case WR_CRIT_TASK_DONE: judge_task_done(c, in->timing); break;
    case WR_CRIT_LAST_COMPLETE: judge_last_complete(c, in->timing); break;
    case WR_CRIT_OVERRUN: judge_overrun(ready, in); break;
    case WR_CRIT_OTHER_LIMITS: judge_other_limits(ready, in); break;
    case WR_CRIT_PLANNED: judge_planned(ready, in); break;
    case WR_CRIT_PLANNED_PATH: break; /* judged with the one before */
    case WR_CRIT_UNLOGGED: judge_unlogged(c, in->timing); break;
    case WR_CRIT_RECORD: judge_record(ready, in->backtest); break;
    case WR_CRIT_KEPT: judge_kept(c, in->timing); break;
    case WR_N_CRITERION: break;
    }
}

void wr_ready_judge(struct wr_ready *ready, const struct wr_ready_input *in)
{
    const struct wr_timing *t = in->timing;

    WR_BUG_IF(in->forecast->n_limit == 0 || !(in->confidence > 0 && in->confidence < 1));
    *ready = (struct wr_ready){.confidence = in->confidence, .chains_agree = in->chains_agree,
                               .people_untold = in->people_untold};
    for (int i = 0; i < WR_N_CRITERION; i++) {
        ready->result[i].on = in->criteria->on[i];
        ready->result[i].left_out = !in->criteria->on[i];
        ready->result[i].threshold = in->criteria->threshold[i];
    }
    for (int i = 0; i < WR_N_CRITERION; i++) judge(ready, in, (enum wr_criterion_id)i);
    for (size_t k = 0; k < t->n_task && t->n_run >= RECENT; k++)
        ready->n_rare += times_done(t, k, t->n_run - RECENT) < 2;
    const double often = ready->result[WR_CRIT_TASK_DONE].threshold;
    for (size_t k = 0; k < t->n_task; k++)
        ready->n_fewer_timed += (double)times_done(t, k, 0) >= often && (double)times_timed(t, k) < often;
    for (int i = 0; i < WR_N_CRITERION; i++) {
        if (!ready->result[i].on) continue;
        WR_BUG_IF(ready->result[i].evidence == WR_EVIDENCE_NOT_JUDGED);
        ready->n_met += ready->result[i].evidence == WR_EVIDENCE_MET;
        ready->n_not_met += ready->result[i].evidence == WR_EVIDENCE_NOT_MET;
        ready->n_not_enough += ready->result[i].evidence == WR_EVIDENCE_NOT_ENOUGH;
    }
}
