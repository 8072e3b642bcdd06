/* Results at their edges, one edge at a time, through every view and every chart's words: whatever is missing, is one,
 * or is beyond doubt, what is said keeps what is promised of all answers: no number that is none, one of a thing in the
 * singular, 80 columns, whole CSV and JSON. */
#include <check.h>
#include <math.h>
#include <regex.h>
#include <string.h>
#include "chart_script.h"
#include "sample_evidence.h"
#include "shown.h"
#include "shown_json.h"
#include "wetrun/present/backtest_view.h"
#include "wetrun/present/chart.h"
#include "wetrun/present/compare_view.h"
#include "wetrun/present/cutoff_view.h"
#include "wetrun/present/debrief_view.h"
#include "wetrun/present/fit_view.h"
#include "wetrun/present/forecast_view.h"
#include "wetrun/present/pad_view.h"
#include "wetrun/present/ready_view.h"
#include "wetrun/present/runs_needed_view.h"
#include "wetrun/present/whatif_view.h"

static struct sample s;
static struct sample_decisions d;
static struct sample_evidence e;
static struct wr_str out;
static bool no_log, no_posterior;

/* ---- edges ---- */

static void leave_limits(size_t n)
{
    s.limits.n_limit = s.forecast.n_limit = d.card.n_limit = d.whatif.n_limit = n;
    d.update.n_limit = d.update.card.n_limit = n;
    if (n == 0) {
        e.debrief.has_limit = false;
        d.n_price = 0;
    }
}

static void no_limit(void)
{
    leave_limits(0);
}
static void one_limit(void)
{
    leave_limits(1);
}

static void no_confidence(void)
{
    for (size_t l = 0; l < s.limits.n_limit; l++) s.limits.limit[l].confidence = WR_UNKNOWN;
    s.context.confidence = WR_UNKNOWN;
}

static void set_over(double mean, double lo, double hi, bool no_interval)
{
    struct wr_probability over = {.mean = mean, .lo = lo, .hi = hi, .mc_error = 0.001, .no_interval = no_interval};

    for (size_t l = 0; l < s.forecast.n_limit; l++) {
        s.forecast.limit[l].over = d.update.over[l] = over;
        d.card.list[l].prob_over = mean;
        d.update.over_before[l] = wr_known(mean);
    }
    s.forecast.any_over = d.update.any_over = e.needed.over = e.ready.over = e.debrief.over_after = over;
    e.ready.worst_over = e.debrief.over_before = over;
    e.ready.over_upper = e.ready.worst_upper = hi;
}

static void never_over(void)
{
    set_over(0, 0, 0, false);
}
static void always_over(void)
{
    set_over(1, 1, 1, false);
}
static void one_over(void)
{
    set_over(0.01, 0.01, 0.014, false);
}
static void nearly_over(void)
{
    set_over(0.994, 0.98, 1, false);
}
static void as_wanted(void)
{
    set_over(0.1, 0.099, 0.101, false);
}
static void wide_open(void)
{
    set_over(0.4, 0, 1, false);
}
static void clearly_over(void)
{
    set_over(0.4, 0.3, 0.5, false);
}

static void nothing_unknown(void)
{
    set_over(0.2, 0.2, 0.2, true);
    s.forecast.nothing_unknown = true;
    s.forecast.n_draw = 1;
    for (size_t q = 0; q < WR_N_QUANTILE; q++)
        s.forecast.quantile_lo_min[q] = s.forecast.quantile_hi_min[q] = s.forecast.quantile_min[q];
}

static void excursion(void)
{
    s.context.target = WR_FOR_EXCURSION;
    s.context.has_carry_over = true;
    e.debrief.complete = !e.debrief.complete;
}

static void set_dropped(size_t from, size_t step, double share)
{
    for (size_t k = from; k < s.plan.n_task; k += step) s.forecast.task[k].dropped = d.pad.task[k].dropped = share;
}

static void all_dropped(void)
{
    set_dropped(0, 1, 1);
}
static void one_dropped(void)
{
    set_dropped(5, s.plan.n_task, 1);
}
static void some_dropped(void)
{
    set_dropped(1, 3, 0.4);
}

static void no_spread(void)
{
    s.forecast.sd_min = 0;
    for (size_t q = 0; q < WR_N_QUANTILE; q++) s.forecast.quantile_min[q] = 300;
    for (size_t q = 0; q < WR_N_LENS; q++) s.forecast.lens_min[q] = 300;
    for (size_t i = 0; i < 100; i++) s.forecast.hundredth_min[i] = 300;
    for (size_t k = 0; k < s.plan.n_task; k++) s.forecast.task[k].variance_share = 0;
    s.forecast.run_effect_share = s.forecast.people_share = s.forecast.parameter_share = 0;
}

static void other_shares(void)
{
    s.forecast.run_effect_share = 0.02;
    s.forecast.people_share = 0.3;
    s.forecast.parameter_share = 0.9;
}

static void set_record(struct wr_backtest_record *r, size_t n_forecast, size_t n_inside, size_t expected, double so_few)
{
    r->n_forecast = n_forecast;
    r->n_inside80 = r->n_inside95 = n_inside;
    r->expected_least80 = expected;
    r->prob_so_few80 = so_few;
    for (size_t i = 0; i < r->n_run; i++) r->run[i].forecast_made = i < n_forecast;
}

static void no_record(void)
{
    set_record(&e.backtest.predecessors, 0, 0, 0, 1);
    e.backtest.leave_one_out.n_run = e.backtest.n_task_cell = 0;
    set_record(&e.backtest.leave_one_out, 0, 0, 0, 1);
}
static void short_record(void)
{
    set_record(&e.backtest.leave_one_out, 1, 1, 0, 1);
}
static void one_inside(void)
{
    set_record(&e.backtest.leave_one_out, 5, 1, 3, 0.007);
}
static void none_inside(void)
{
    set_record(&e.backtest.leave_one_out, 6, 0, 3, 0.0001);
}
static void poor_record(void)
{
    set_record(&e.backtest.predecessors, 2, 0, 1, 0.04);
}

static void dull_debrief(void)
{
    e.debrief.n_slow = e.debrief.n_fast = 0;
    e.debrief.n_judged = 1;
    e.debrief.hold_min = e.debrief.unlogged_min = 0;
    e.debrief.has_before = false;
    e.debrief.by_plan_complete = !e.debrief.complete;
    for (size_t k = 0; k < e.debrief.n_task; k++) e.debrief.task[k].slow = e.debrief.task[k].fast = false;
}

static void lively_debrief(void)
{
    e.debrief.n_slow = e.debrief.n_fast = 1;
    e.debrief.rank = 0.995;
    e.debrief.complete = true;
    e.debrief.by_plan_complete = false;
    e.debrief.n_new = 5;
    for (size_t k = 10; k < 15; k++) e.debrief.task[k].is_new = true;
    e.debrief.waiting_min[0] = e.debrief.waiting_min[1] = 0;
    for (size_t k = 0; k < e.debrief.n_task; k++) {
        e.debrief.task[k].slow = k == 3, e.debrief.task[k].fast = k == 8;
        e.debrief.task[k].state = k == 3 ? WR_CELL_STOPPED : WR_CELL_DONE;
        e.debrief.task[k].lead_in_unknown = k == 4;
        e.debrief.task[k].lead_in_min = k == 5 ? 20 : 0;
    }
}

static void no_model(void)
{
    e.summary.has_model = e.summary.has_learning = e.summary.has_skew = false;
    no_posterior = true;
}
static void no_learning(void)
{
    e.summary.has_learning = false;
}
static void no_trend(void)
{
    e.summary.slope_log = (struct wr_estimate){0.01, -0.05, 0.06};
}
static void slower(void)
{
    e.summary.slope_log = (struct wr_estimate){0.05, 0.02, 0.09};
}
static void nobody(void)
{
    e.summary.n_person = 0;
}

static void chains_apart(void)
{
    e.posterior.chains_agree = e.ready.chains_agree = false;
    e.posterior.check[0].rhat = INFINITY;
    e.posterior.check[1].rhat = 1.3;
    s.context.open_by = WR_OPEN_BY_FORECAST;
}

static void other_sources(void)
{
    static const enum wr_source_kind kind[] = {WR_SRC_MODEL, WR_SRC_LOGNORMAL, WR_SRC_JUDGED, WR_SRC_FIXED};

    for (size_t k = 0; k < s.plan.n_task; k++) {
        struct wr_task_summary *t = &e.summary.task[k];
        t->source = (struct wr_source){.kind = kind[k % 4]};
        t->restated = k % 8 == 2;
        t->n_done = k % 3;
        t->n_stopped = 0;
        t->own_median_min = t->moved = WR_UNKNOWN;
        if (k % 5 == 0) s.plan.task[k].planned_min = WR_UNKNOWN;
    }
}

static void nothing_fitted(void)
{
    for (size_t i = 0; i < e.candidates.n_task * WR_N_FAMILY; i++) {
        struct wr_candidate *c = &e.candidates.candidate[i];
        c->fitted = i / WR_N_FAMILY % 2 == 0 && c->fitted && e.candidates.n_task > 3;
        c->fit.aicc = i % 3 ? c->fit.aicc : WR_UNKNOWN;
        c->p_value = i % 2 ? c->p_value : WR_UNKNOWN;
    }
}

static void no_trends(void)
{
    e.comparison.trend.known = e.comparison.spread_trend.known = false;
    for (size_t k = 0; k < e.comparison.n_task; k++)
        e.comparison.task_trend[k] = (struct wr_task_trend){.line.n_run = 2};
    e.comparison.n_task_trend = e.comparison.n_task_told = 0;
}

static void set_trend(double slope, double lo, double hi)
{
    struct wr_trend *t[] = {&e.comparison.trend, &e.comparison.length_trend, &e.comparison.spread_trend};

    for (int i = 0; i < 3; i++) {
        t[i]->known = true;
        t[i]->slope_log = slope, t[i]->lo = lo, t[i]->hi = hi;
        t[i]->per_doubling = expm1(slope * log(2));
        t[i]->per_doubling_lo = expm1(lo * log(2)), t[i]->per_doubling_hi = expm1(hi * log(2));
    }
    e.comparison.n_task_told = 1;
    e.comparison.task_trend[2].told = true;
    e.comparison.task_trend[2].line = *t[0];
    e.comparison.task_trend[2].p = e.comparison.task_trend[2].holm_p = wr_known(0.001);
}
static void faster_runs(void)
{
    set_trend(-0.2, -0.3, -0.1);
}
static void slower_runs(void)
{
    set_trend(0.2, 0.1, 0.3);
}
static void level_runs(void)
{
    set_trend(0.01, -0.2, 0.2);
}

static void set_groups(enum wr_compare_reason reason, size_t n)
{
    for (size_t g = 0; g < e.comparison.n_group; g++) {
        struct wr_group_ratio *of[] = {&e.comparison.group[g].pace, &e.comparison.group[g].length};
        for (size_t i = 0; i < 2; i++) {
            of[i]->reason = reason;
            of[i]->n_run[0] = of[i]->n_run[1] = n;
            of[i]->smallest_p = 1.0 / (double)n;
            of[i]->has_detrended = n > 1;
        }
    }
    e.comparison.n_without_group = n;
}
static void one_group(void)
{
    set_groups(WR_COMPARE_ONE_GROUP, 1);
}
static void few_runs(void)
{
    set_groups(WR_COMPARE_TOO_FEW_RUNS, 1);
}
static void apart(void)
{
    set_groups(WR_COMPARE_NOT_CONNECTED, 2);
}
static void single_runs(void)
{
    set_groups(WR_COMPARE_DONE, 1);
}

static void all_stand_out(void)
{
    for (size_t g = 0; g < e.comparison.n_group; g++) {
        struct wr_group_comparison *c = &e.comparison.group[g];
        c->length.permutation.p_two_sided = 0.01;
        c->length.holm_p = wr_known(0.02);
        for (size_t k = 0; c->has_tasks && k < e.comparison.n_task; k++) c->task[k].told = true;
    }
    for (size_t r = 0; r < e.comparison.n_run; r++) {
        e.comparison.run[r].length = r % 4 ? e.comparison.run[r].length : WR_UNKNOWN;
        e.comparison.run[r].effect = r % 3 ? e.comparison.run[r].effect : WR_UNKNOWN;
        e.comparison.run[r].spread = r % 2 ? e.comparison.run[r].spread : WR_UNKNOWN;
    }
}

static void set_evidence(enum wr_evidence evidence, struct wr_maybe found)
{
    e.ready.n_met = e.ready.n_not_met = e.ready.n_not_enough = 0;
    for (int i = 0; i < WR_N_CRITERION; i++) {
        struct wr_criterion_result *r = &e.ready.result[i];
        r->on = true;
        r->evidence = evidence;
        r->found = found;
        r->n = 1, r->of = 1;
        r->threshold = evidence == WR_EVIDENCE_NOT_MET ? 1 : r->threshold;
        r->has_worst = false;
    }
    *(evidence == WR_EVIDENCE_MET       ? &e.ready.n_met
      : evidence == WR_EVIDENCE_NOT_MET ? &e.ready.n_not_met
                                        : &e.ready.n_not_enough) = WR_N_CRITERION;
    e.ready.n_rare = 1;
}
static void all_met(void)
{
    set_evidence(WR_EVIDENCE_MET, wr_known(1));
}
static void none_met(void)
{
    set_evidence(WR_EVIDENCE_NOT_MET, wr_known(0));
}
static void no_evidence(void)
{
    set_evidence(WR_EVIDENCE_NOT_ENOUGH, WR_UNKNOWN);
}

static void one_off(void)
{
    for (int i = 1; i < WR_N_CRITERION; i++) e.ready.result[i].on = false;
    e.ready.n_met = e.ready.n_not_enough = 0, e.ready.n_not_met = 1;
    e.ready.result[0].evidence = WR_EVIDENCE_NOT_MET;
}

static void one_further(void)
{
    e.needed.n_row = 1;
    e.needed.sessions.n = 1;
    e.needed.n_run = 1;
}

static void told_by_rehearsals(void)
{
    for (size_t i = 0; i < e.needed.n_row; i++) {
        e.needed.row[i].clear_inside.value = 0.98;
        e.needed.row[i].clear_outside.value = 0;
    }
    e.needed.sessions.n = 0;
}

static void gains(double mean, size_t n_row, double share)
{
    d.whatif.n_row = n_row;
    for (size_t i = 0; i < n_row; i++) {
        struct wr_whatif_row *r = &d.whatif.row[i];
        r->share_better_than_base = share;
        r->told_apart = share > 0.9;
        r->saved_min = (struct wr_paired){100 * mean, 90 * mean, 110 * mean, 0.1, 0, 0, false};
        for (size_t l = 0; l < d.whatif.n_limit; l++)
            r->limit[l].gain = (struct wr_paired){mean, mean - 0.01, mean + 0.01, 0.0004, 0, 0, false};
    }
}
static void one_gain(void)
{
    gains(0.05, 1, 0.99);
}
static void all_worse(void)
{
    gains(-0.05, 3, 0.01);
}
static void no_gain(void)
{
    gains(0, 3, 0.5);
}

static void set_plan_times(struct wr_maybe planned, double enough)
{
    for (size_t k = 0; k < s.plan.n_task; k++) {
        s.plan.task[k].planned_min = d.pad.task[k].planned_min = planned;
        d.pad.task[k].prob_planned_enough = planned.known ? wr_known(enough) : WR_UNKNOWN;
    }
}
static void not_planned(void)
{
    set_plan_times(WR_UNKNOWN, 0);
}
static void planned_amply(void)
{
    set_plan_times(wr_known(500), 1);
}
static void planned_short(void)
{
    set_plan_times(wr_known(1), 0);
}

static void one_short(void)
{
    planned_amply();
    d.pad.task[3].planned_min = s.plan.task[3].planned_min = wr_known(1);
    d.pad.task[3].prob_planned_enough = wr_known(0);
}

static void set_cutoffs(enum wr_cutoff_reason reason, double slack)
{
    for (size_t l = 0; l < d.card.n_limit; l++)
        for (size_t k = 0; k < d.card.n_row; k++) {
            struct wr_cutoff_row *r = &d.card.list[l].row[k];
            r->reason = reason;
            r->latest_start_min = reason == WR_CUTOFF_FOUND ? fmax(0, r->typical_start_min + slack) : 0;
            r->slack_min = reason == WR_CUTOFF_FOUND ? r->latest_start_min - r->typical_start_min : 0;
            r->beyond_range = r->has_second_window = r->drop_rule_first = false;
            r->is_start = k == 0;
        }
}
static void all_too_late(void)
{
    set_cutoffs(WR_CUTOFF_NEVER, 0);
}
static void all_early(void)
{
    set_cutoffs(WR_CUTOFF_FOUND, -20);
}
static void ample_time(void)
{
    set_cutoffs(WR_CUTOFF_FOUND, 45);
}
static void all_begun(void)
{
    set_cutoffs(WR_CUTOFF_BEGUN, 0);
}

static void one_cutoff(void)
{
    set_cutoffs(WR_CUTOFF_NOT_BEFORE_LIMIT, 0);
    for (size_t l = 0; l < d.card.n_limit; l++) {
        struct wr_cutoff_row *r = &d.card.list[l].row[6];
        r->reason = WR_CUTOFF_FOUND;
        r->latest_start_min = r->typical_start_min + 5, r->slack_min = 5;
    }
}

static void one_report(void)
{
    d.update.n_done = 1, d.update.n_timed = 0, d.update.n_running = 1;
    d.update.effective = 300;
}

static void odd_day(void)
{
    d.update.n_beyond = 1, d.update.beyond_task = 4;
    d.update.n_brief = 1, d.update.brief_task = 5;
    d.update.n_running = 0;
    d.update.state.begin_min = wr_arena_alloc(&s.text, s.plan.n_task, sizeof(double));
    d.update.state.end_min = wr_arena_alloc(&s.text, s.plan.n_task, sizeof(double));
    d.update.state.begin_known = wr_arena_alloc(&s.text, s.plan.n_task, sizeof *d.update.state.begin_known);
    d.update.state.end_known = wr_arena_alloc(&s.text, s.plan.n_task, sizeof *d.update.state.end_known);
    d.update.state.begin_known[4] = d.update.state.end_known[4] = WR_NOW_REPORTED;
    d.update.state.end_min[4] = 200, d.update.state.end_min[5] = 1;
}

static void no_rehearsals(void)
{
    no_log = true;
    s.context.n_run = s.context.n_complete_run = 0;
}

static void no_name(void)
{
    s.context.campaign = NULL;
    s.context.has_seed = false;
    s.context.n_trial = 0;
}

static void as_it_is_said(void)
{
    set_over(0.3, 0.3, 0.3, false);
}
static void only_one_complete(void)
{
    for (size_t r = 0; r < s.timing.n_run; r++) s.timing.run[r].complete = r == 2;
    s.timing.run[2].finish_min = wr_known(s.limits.limit[0].minutes - 30);
    s.context.n_complete_run = 1;
}
static void a_clock_first(void)
{
    s.limits.limit[0].is_clock = true;
    s.limits.limit[0].from = 0, s.limits.limit[0].to = s.plan.n_task - 1;
}
static void large_seed(void)
{
    s.context.has_seed = true;
    s.context.seed = UINT64_MAX; /* no integer of JSON's for every reader */
}
static void one_lane(void)
{
    e.debrief.n_lane = 1;
    e.comparison.n_lane = 0;
}
static void rows_lost(void)
{
    for (size_t k = 2; k < 5; k++) e.debrief.task[k].state = WR_CELL_LOST;
}
static void groups_told(void)
{
    for (size_t g = 0; g < e.comparison.n_group; g++) {
        struct wr_group_ratio *c = &e.comparison.group[g].length;
        c->reason = WR_COMPARE_DONE;
        c->holm_p = wr_known(0.01);
        c->detrended_p = wr_known(0.01);
        c->ratio = c->detrended_ratio = 1.3;
    }
}
static void groups_faster(void)
{
    groups_told();
    for (size_t g = 0; g < e.comparison.n_group; g++)
        e.comparison.group[g].length.ratio = e.comparison.group[g].length.detrended_ratio = 0.8;
}
static void limit_beyond_the_curve(void)
{
    for (size_t i = 0; i < s.forecast.n_curve; i++)
        s.forecast.curve_over[i] = s.forecast.curve_lo[i] = s.forecast.curve_hi[i] = 0.9;
}

static void nothing(void)
{
}

static void (*const edge[])(void) = {
    nothing,        no_limit,      one_limit,      no_confidence, never_over,    always_over,
    one_over,       nearly_over,   as_wanted,      wide_open,     clearly_over,  nothing_unknown,
    excursion,      all_dropped,   one_dropped,    some_dropped,  no_spread,     other_shares,
    no_record,      short_record,  one_inside,     none_inside,   poor_record,   dull_debrief,
    lively_debrief, no_model,      no_learning,    no_trend,      slower,        nobody,
    chains_apart,   other_sources, nothing_fitted, no_trends,     faster_runs,   slower_runs,
    level_runs,     one_group,     few_runs,       apart,         single_runs,   all_stand_out,
    all_met,        none_met,      no_evidence,    one_off,       one_further,   told_by_rehearsals,
    one_gain,       all_worse,     no_gain,        not_planned,   planned_amply, planned_short,
    one_short,      all_too_late,  all_early,      ample_time,    all_begun,     one_cutoff,
    one_report,     odd_day,       no_rehearsals,  no_name,       as_it_is_said, only_one_complete,
    a_clock_first,  one_lane,      rows_lost,      groups_told,   groups_faster, limit_beyond_the_curve,
    large_seed};

/* ---- what is promised ---- */

#define THINGS                                                                                                         \
    "(rehearsals|runs|tasks|rows|limits|lanes|days|trials|criteria|excursions|minutes|draws|steps|starts|changes|"     \
    "times|chains)"

static int which;

static void lacks(const char *text, const char *pattern, const char *what)
{
    regex_t rule;
    regmatch_t at;

    ck_assert_int_eq(regcomp(&rule, pattern, REG_EXTENDED), 0);
    if (regexec(&rule, text, 1, &at, 0) == 0 && !(at.rm_so >= 3 && strncmp(text + at.rm_so - 3, "and", 3) == 0))
        ck_abort_msg("edge %d: %s: …%.200s", which, what, text + (at.rm_so > 60 ? at.rm_so - 60 : 0));
    regfree(&rule);
}

static void is_sound(const char *text)
{
    lacks(text, "(^|[^a-zA-Z])-?(nan|inf|NaN|Infinity|infinity)([^a-zA-Z]|$)", "a number that is none");
    lacks(text, "(^|[^0-9.])(0|100) of 100", "a certainty that nobody has");
}

static void has_no_plural_of_one(const char *text)
{
    lacks(text, "(^|[^-a-zA-Z0-9.,:/+%] ?)(1|one|One) ((more|further|complete|other|planned) )?" THINGS "([^a-z]|$)",
          "one of a thing in the plural");
}

/* What is no row of a table, in one line: rows have their numbers under heads. */
static void prose_of(const char *text, struct wr_str *prose)
{
    wr_str_clear(prose);
    while (*text) {
        size_t n = strcspn(text, "\n"), blanks = strspn(text, " ");
        const char *gap = memmem(text + blanks, n > blanks ? n - blanks : 0, "  ", 2);
        if (!gap) {
            wr_str_add_bytes(prose, text, n);
            wr_str_add_char(prose, ' ');
        }
        text += n + (text[n] == '\n');
    }
}

/* ---- views ---- */

enum { N_VIEW = 11 };

static enum wr_status show(int view, enum wr_format format, struct wr_error *err)
{
    const struct wr_run_log *log = no_log ? NULL : &s.log;
    const struct wr_posterior *posterior = no_posterior ? NULL : &e.posterior;
    const struct wr_forecast_result forecast = {.plan = &s.plan,
                                                .limits = &s.limits,
                                                .forecast = &s.forecast,
                                                .price = d.price,
                                                .n_price = d.n_price,
                                                .timing = no_log ? NULL : &s.timing};
    const struct wr_pad_result pad = {&s.plan, &d.pad, &s.limits, &d.card, d.limit_name, false, &s.forecast};
    const struct wr_cutoff_result card = {
        .plan = &s.plan, .limit_name = d.limit_name, .card = &d.card, .over = d.over};
    const struct wr_cutoff_result now = {.plan = &s.plan,
                                         .limit_name = d.limit_name,
                                         .card = &d.card,
                                         .over = d.over,
                                         .update = &d.update,
                                         .start_min = which % 2 ? wr_known(570) : WR_UNKNOWN,
                                         .imposed = which % 3 == 0};
    const struct wr_whatif_result whatif = {
        .whatif = &d.whatif, .variant_name = d.variant_name, .limit_name = d.limit_name};
    const struct wr_fit_result fit = {&s.plan, log, &e.summary, posterior, &e.candidates, NULL, NULL, {0}};
    const struct wr_compare_result compare = {&s.plan, &s.log, &s.timing, &e.comparison};
    const struct wr_ready_result ready = {&s.log, &s.plan, &s.limits, &e.ready, NULL, NULL};
    const struct wr_backtest_result backtest = {&s.log, &s.plan, &e.backtest, NULL};
    const struct wr_debrief_result debrief = {&s.plan, &s.log, &e.debrief, &s.limits, which % 2 ? &e.comparison : NULL};
    const struct wr_runs_needed_result needed = {
        &s.plan, 390, &e.needed, &s.limits, {.n_rehearsal = s.context.n_run, .n_complete = s.context.n_complete_run},
        &s.forecast, NULL, false,
        false};

    wr_str_clear(&out);
    switch (view) {
    case 0: return wr_show_forecast(format, &s.context, &forecast, &out, err);
    case 1: return wr_show_pad(format, &s.context, &pad, &out, err);
    case 2: return wr_show_cutoff(format, &s.context, &card, &out, err);
    case 3: return wr_show_cutoff(format, &s.context, &now, &out, err);
    case 4: return wr_show_whatif(format, &s.context, &whatif, &out, err);
    case 5: return wr_show_fit(format, &s.context, &fit, &out, err);
    case 6: return wr_show_compare(format, &s.context, &compare, &out, err);
    case 7: return wr_show_ready(format, &s.context, &ready, &out, err);
    case 8: return wr_show_backtest(format, &s.context, &backtest, &out, err);
    case 9: return wr_show_debrief(format, &s.context, &debrief, &out, err);
    default: return wr_show_runs_needed(format, &s.context, &needed, &out, err);
    }
}

/* What a study never hands to a view: without a limit there is nothing to begin by, or to rehearse more for. */
static bool is_asked(int view)
{
    bool of_a_limit = view == 2 || view == 3 || view == 10 || view == 7;

    return !(of_a_limit && s.limits.n_limit == 0) && !(no_log && view >= 6);
}

/* ---- what is said just there ---- */

static const struct { void (*edge)(void); int view; const char *says, *never; } said[] = {
    {nothing, 0, "To be inside with", NULL},
    {a_clock_first, 0, NULL, "To be inside with"},
    {nothing, 9, "Waiting for others or for a set time", "not known: a"},
    {one_lane, 9, NULL, "Waiting for others"},
    {rows_lost, 9, "not known: a", NULL},
};

START_TEST(what_is_said_just_there)
{
    struct wr_str prose = {0};
    struct wr_error err = {.text = ""};

    which = 0;
    sample_make(&s, 28, SAMPLE_TAME);
    sample_decide(&d, &s);
    sample_learn(&e, &s, &d);
    said[_i].edge();
    ck_assert_msg(show(said[_i].view, WR_FORMAT_TABLE, &err) == WR_OK, "%s", err.text);
    for (const char *at = out.text; *at; at++) /* lines joined */
        if (*at != '\n') wr_str_add_char(&prose, *at);
        else if (prose.len && prose.text[prose.len - 1] != ' ') wr_str_add_char(&prose, ' ');
    if (said[_i].says) ck_assert_msg(strstr(prose.text, said[_i].says) != NULL, "%s", out.text);
    if (said[_i].never) ck_assert_msg(strstr(prose.text, said[_i].never) == NULL, "%s", out.text);
    wr_str_release(&prose);
    sample_evidence_release(&e);
    sample_release(&s);
    wr_str_release(&out);
}
END_TEST

static size_t fields_of(const char *line)
{
    bool quoted = false;
    size_t n = 1;

    for (; *line && (quoted || *line != '\n'); line++) {
        quoted ^= *line == '"';
        n += !quoted && *line == ',';
    }
    return n;
}

static void view_is_sound(int view)
{
    struct wr_error err = {0};
    struct wr_str prose = {0};

    ck_assert_msg(show(view, WR_FORMAT_TABLE, &err) == WR_OK, "%s", err.text);
    ck_assert_msg(shown_width(out.text) <= 80, "edge %d: %s", which, out.text);
    shown_is_calm(out.text);
    is_sound(out.text);
    prose_of(out.text, &prose);
    has_no_plural_of_one(wr_str_text(&prose));
    ck_assert_msg(show(view, WR_FORMAT_JSON, &err) == WR_OK, "%s", err.text);
    json_decref(shown_json(out.text)); /* which knows no NaN */
    ck_assert_msg(show(view, WR_FORMAT_CSV, &err) == WR_OK, "%s", err.text);
    if (out.len) shown_csv_records(out.text, fields_of(out.text));
    wr_str_release(&prose);
}

/* ---- charts ---- */

static void charts_are_sound(void)
{
    const struct wr_chart_input in = {.plan = &s.plan,
                                      .forecast = &s.forecast,
                                      .timing = no_log ? NULL : &s.timing,
                                      .log = no_log ? NULL : &s.log,
                                      .limits = &s.limits,
                                      .confidence = s.context.confidence,
                                      .target = s.context.target,
                                      .comparison = &e.comparison,
                                      .pad = &d.pad,
                                      .cutoff = {.plan = &s.plan, .card = &d.card, .limit_name = d.limit_name},
                                      .backtest = &e.backtest};

    for (int chart = 0; chart < WR_N_CHART; chart++) {
        struct wr_chart_words words = {0};
        struct wr_chart_options options = {.width = which % 2 ? WR_CHART_NARROW : 0};
        const char *missing = wr_chart_missing((enum wr_chart)chart, &in);
        if (missing) {
            ck_assert_uint_gt(strlen(missing), 8);
            continue;
        }
        wr_chart_words((enum wr_chart)chart, &in, &words);
        const char *text[] = {wr_str_text(&words.title), wr_str_text(&words.subtitle), wr_str_text(&words.alt)};
        for (int i = 0; i < 3; i++) {
            is_sound(text[i]);
            has_no_plural_of_one(text[i]);
        }
        wr_str_clear(&out);
        wr_chart_script((enum wr_chart)chart, &in, &options, &out);
        ck_assert_ptr_null(strstr(out.text, "inf\t"));
        wr_chart_words_release(&words);
    }
}

/* ---- charts that lack something ---- */

enum { N_LACK = 13 };

static void leave_out(int lack, struct wr_chart_input *in)
{
    switch (lack) {
    case 0: in->forecast = NULL; break;
    case 1: in->timing = NULL; break;
    case 2: in->log = NULL; break;
    case 3: in->limits = NULL; break;
    case 4: in->comparison = NULL; break;
    case 5: in->pad = NULL; break;
    case 6: in->cutoff.card = NULL; break;
    case 7: in->backtest = NULL; break;
    case 8: in->cutoff.limit_name = NULL; break;
    case 9: s.forecast.n_task--; break; /* of another timeline */
    case 10: d.pad.n_task--; break;
    case 11: d.card.n_row = 0; break;
    case 12: s.forecast.n_limit = 0; break;
    }
}

/* A chart says what it is missing, as the end of a sentence, or is drawn without it. */
START_TEST(what_a_chart_can_be_without)
{
    static const char *const needs[N_LACK] = {"forecast", NULL, NULL,       NULL,  "comparison", "pad", "cut-off",
                                              "backtest", NULL, "forecast", "pad", "cut-off",    NULL};
    sample_make(&s, 28, SAMPLE_TAME);
    sample_decide(&d, &s);
    sample_learn(&e, &s, &d);
    struct wr_chart_input in = {.plan = &s.plan,
                                .forecast = &s.forecast,
                                .timing = &s.timing,
                                .log = &s.log,
                                .limits = &s.limits,
                                .confidence = s.context.confidence,
                                .comparison = &e.comparison,
                                .pad = &d.pad,
                                .cutoff = {.plan = &s.plan, .card = &d.card, .limit_name = d.limit_name},
                                .backtest = &e.backtest};
    size_t n_missing = 0, n_named = 0;

    leave_out(_i, &in);
    for (int chart = 0; chart < WR_N_CHART; chart++) {
        const char *missing = wr_chart_missing((enum wr_chart)chart, &in);
        if (chart == WR_CHART_SERIES) continue;
        if (missing) {
            n_missing++;
            n_named += needs[_i] && strstr(missing, needs[_i]) != NULL;
            continue;
        }
        struct wr_chart_words words = {0};
        struct wr_chart_options options = {.width = 0};
        wr_chart_words((enum wr_chart)chart, &in, &words);
        is_sound(wr_str_text(&words.title));
        is_sound(wr_str_text(&words.alt));
        wr_str_clear(&out);
        wr_chart_script((enum wr_chart)chart, &in, &options, &out);
        wr_chart_words_release(&words);
    }
    if (needs[_i]) ck_assert_uint_ge(n_named, 1);
    ck_assert_uint_lt(n_missing, WR_N_CHART - 1);
    sample_evidence_release(&e);
    sample_release(&s);
    wr_str_release(&out);
}
END_TEST

START_TEST(what_is_said_at_an_edge)
{
    which = _i;
    sample_make(&s, which % 4 == 3 ? 9 : 28, SAMPLE_TAME);
    sample_decide(&d, &s);
    sample_learn(&e, &s, &d);
    edge[_i]();
    for (int view = 0; view < N_VIEW; view++)
        if (is_asked(view)) view_is_sound(view);
    charts_are_sound();
    sample_evidence_release(&e);
    sample_release(&s);
    wr_str_release(&out);
}
END_TEST

Suite *suite_view_edges(void);
Suite *suite_view_edges(void)
{
    Suite *suite = suite_create("view_edges");
    TCase *t = tcase_create("view_edges");

    tcase_add_loop_test(t, what_is_said_at_an_edge, 0, (int)(sizeof edge / sizeof *edge));
    tcase_add_loop_test(t, what_a_chart_can_be_without, 0, N_LACK);
    tcase_add_loop_test(t, what_is_said_just_there, 0, (int)(sizeof said / sizeof *said));
    suite_add_tcase(suite, t);
    return suite;
}
