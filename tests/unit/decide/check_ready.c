/* Readiness: every criterion driven to met, not met and not enough evidence from a review in which all is met, one
 * thing changed at a time, so that nothing else may move with it. */
#include <check.h>
#include <math.h>
#include <string.h>
#include "made_timing.h"
#include "wetrun/decide/ready.h"
#include "wetrun/decide/verdict.h"

enum { TASKS = 10, RUNS = 6, DRAWS = 101, N_LIMIT = 4, N_JUDGED = WR_N_CRITERION - 1 /* no other limit is judged */ };

struct review {
    struct wr_timing timing;
    struct wr_forecast forecast;
    struct wr_pad pad;
    struct wr_backtest backtest;
    struct wr_criteria criteria;
    struct wr_ready_input input;
    struct wr_limit_outlook limit[N_LIMIT];
    struct wr_task_outlook outlook[TASKS];
    struct wr_pad_task padded[TASKS];
    double draw_over[N_LIMIT * DRAWS];
};

static void set_draws(struct review *v, double most, double mean, double lo)
{
    for (size_t i = 0; i < DRAWS; i++) v->draw_over[i] = most * (double)i / (DRAWS - 1);
    v->limit[0].over = (struct wr_probability){.mean = mean, .lo = lo, .hi = 0.95 * most};
}

static double binomial_at_most(size_t hits, size_t n, double prob) /* term by term */
{
    double sum = 0;
    for (size_t i = 0; i <= hits; i++) {
        double term = 1;
        for (size_t j = 0; j < i; j++) term *= (double)(n - j) / (double)(i - j);
        sum += term * pow(prob, (double)i) * pow(1 - prob, (double)(n - i));
    }
    return sum;
}

static void set_record(struct review *v, size_t hits, size_t n)
{
    v->backtest.leave_one_out.n_forecast = n;
    v->backtest.leave_one_out.n_inside80 = hits;
    v->backtest.leave_one_out.prob_so_few80 = n ? binomial_at_most(hits, n, 0.8) : 0;
}

static void set_up(struct review *v, size_t n_run)
{
    memset(v, 0, sizeof *v);
    made_timing_init(&v->timing, TASKS, n_run, 1);
    for (size_t r = 0; r < n_run; r++) v->timing.run[r].finish_min = wr_known(100); /* begins and ends were logged */
    v->criteria = wr_criteria_default();
    v->forecast = (struct wr_forecast){.n_task = TASKS, .n_limit = 2, .limit = v->limit, .n_draw = DRAWS,
                                       .draw_over = v->draw_over, .task = v->outlook};
    v->limit[1].over = (struct wr_probability){.mean = 0.9, .lo = 0.8, .hi = 1}; /* another limit, not the
                                                                                    excursion's */
    set_draws(v, 0.05, 0.02, 0.001);
    v->pad = (struct wr_pad){.n_task = TASKS, .task = v->padded};
    for (size_t k = 0; k < TASKS; k++) {
        v->padded[k].prob_planned_enough = wr_known(0.7);
        v->outlook[k].on_longest_path = 0.05 * (double)k;
    }
    set_record(v, n_run, n_run);
    v->input = (struct wr_ready_input){.criteria = &v->criteria, .timing = &v->timing, .forecast = &v->forecast,
                                       .pad = &v->pad, .backtest = &v->backtest, .confidence = 0.9,
                                       .chains_agree = true};
}

static struct wr_ready judge(struct review *v)
{
    struct wr_ready ready;
    size_t n[WR_EVIDENCE_NOT_ENOUGH + 1] = {0};

    wr_ready_judge(&ready, &v->input);
    for (int i = 0; i < WR_N_CRITERION; i++)
        if (ready.result[i].on) n[ready.result[i].evidence]++;
    ck_assert(ready.n_met == n[WR_EVIDENCE_MET] && ready.n_not_met == n[WR_EVIDENCE_NOT_MET]);
    ck_assert_uint_eq(ready.n_not_enough, n[WR_EVIDENCE_NOT_ENOUGH]);
    return ready;
}

/* What the cases below have brought each criterion to say, one thing changed; met it is as they begin. */
static bool brought[WR_N_CRITERION][WR_EVIDENCE_NOT_ENOUGH + 1];

static struct wr_ready says(struct review *v, enum wr_criterion_id id, enum wr_evidence evidence)
{
    struct wr_ready ready = judge(v);

    ck_assert_msg(ready.result[id].evidence == evidence, "%s: %d", wr_criterion_name(id), ready.result[id].evidence);
    brought[id][evidence] = true;
    return ready;
}

/* The one criterion says this, and no other has moved from met. */
static struct wr_criterion_result only(struct review *v, enum wr_criterion_id id, enum wr_evidence evidence)
{
    struct wr_ready ready = says(v, id, evidence);

    for (int i = 0; i < WR_N_CRITERION; i++)
        ck_assert_msg(i == (int)id || ready.result[i].evidence == WR_EVIDENCE_MET, "%s: %d",
                      wr_criterion_name((enum wr_criterion_id)i), ready.result[i].evidence);
    return ready.result[id];
}

START_TEST(everything_is_met)
{
    struct review v;

    set_up(&v, RUNS);
    struct wr_ready ready = judge(&v);
    ck_assert(ready.n_met == N_JUDGED && ready.n_rare == 0 && ready.chains_agree);
    ck_assert_double_eq_tol(ready.over_upper, 0.95 * 0.05, 1e-12);
    made_timing_release(&v.timing);
}
END_TEST

START_TEST(complete_runs)
{
    struct review v;

    set_up(&v, RUNS);
    made_cell_state(&v.timing, 4, 0, WR_CELL_STOPPED);
    struct wr_criterion_result c = only(&v, WR_CRIT_COMPLETE_RUNS, WR_EVIDENCE_MET);
    ck_assert(c.n == 5 && c.of == 6 && c.found.value == 5);
    made_cell_state(&v.timing, 4, 1, WR_CELL_STOPPED);
    only(&v, WR_CRIT_COMPLETE_RUNS, WR_EVIDENCE_NOT_MET);
    v.criteria.threshold[WR_CRIT_COMPLETE_RUNS] = 4;
    only(&v, WR_CRIT_COMPLETE_RUNS, WR_EVIDENCE_MET);
    made_cell_state(&v.timing, 4, 2, WR_CELL_STOPPED);
    says(&v, WR_CRIT_COMPLETE_RUNS, WR_EVIDENCE_NOT_MET); /* three of the four asked for: no matter of evidence */
    v.criteria.threshold[WR_CRIT_COMPLETE_RUNS] = 1; /* what is asked does not make three runs enough */
    v.criteria.threshold[WR_CRIT_TASK_DONE] = 3;
    says(&v, WR_CRIT_COMPLETE_RUNS, WR_EVIDENCE_NOT_ENOUGH);
    made_timing_release(&v.timing);
}
END_TEST

START_TEST(times_done)
{
    struct review v;
    static const enum wr_evidence at[4] = {WR_EVIDENCE_MET, WR_EVIDENCE_NOT_ENOUGH, WR_EVIDENCE_NOT_MET,
                                           WR_EVIDENCE_NOT_MET};

    for (size_t missing = 3; missing <= 6; missing++) { /* done 3, 2, 1, 0 times; the runs count as complete all the
                                                           same */
        set_up(&v, RUNS);
        for (size_t r = 0; r < missing; r++)
            made_cell(&v.timing, 7, r)->state = r % 2 ? WR_CELL_SKIPPED : WR_CELL_STOPPED;
        struct wr_criterion_result c = only(&v, WR_CRIT_TASK_DONE, at[missing - 3]);
        ck_assert(c.has_worst && c.worst == 7 && c.found.value == 6 - (double)missing);
        ck_assert(c.of == TASKS && c.n == TASKS - (missing > 3));
        made_timing_release(&v.timing);
    }
    set_up(&v, RUNS);
    v.criteria.threshold[WR_CRIT_TASK_DONE] = 10; /* six times is four short: one more rehearsal settles nothing */
    only(&v, WR_CRIT_TASK_DONE, WR_EVIDENCE_NOT_MET);
    v.criteria.threshold[WR_CRIT_TASK_DONE] = 7;
    only(&v, WR_CRIT_TASK_DONE, WR_EVIDENCE_NOT_ENOUGH);
    v.criteria.threshold[WR_CRIT_TASK_DONE] = 3;
    made_cell(&v.timing, 2, 4)->state = made_cell(&v.timing, 2, 5)->state = WR_CELL_SKIPPED;
    made_cell(&v.timing, 3, 0)->state = made_cell(&v.timing, 3, 1)->state = WR_CELL_SKIPPED; /* long ago: no note */
    ck_assert_uint_eq(judge(&v).n_rare, 1);
    ck_assert_uint_eq(judge(&v).n_fewer_timed, 0);
    for (size_t r = 0; r < 4; r++) made_cell(&v.timing, 5, r)->lead_in_unknown = true; /* done six times, timed twice */
    ck_assert(judge(&v).n_fewer_timed == 1 && judge(&v).result[WR_CRIT_TASK_DONE].n == TASKS);
    made_timing_release(&v.timing);
}
END_TEST

START_TEST(last_runs)
{
    struct review v;

    set_up(&v, RUNS);
    v.timing.run[3].complete = false; /* before the last two */
    only(&v, WR_CRIT_LAST_COMPLETE, WR_EVIDENCE_MET);
    v.timing.run[4].complete = false;
    v.criteria.threshold[WR_CRIT_COMPLETE_RUNS] = 4;
    struct wr_criterion_result c = only(&v, WR_CRIT_LAST_COMPLETE, WR_EVIDENCE_NOT_MET);
    ck_assert(c.has_worst && c.worst == 4 && c.n == 1 && c.of == 2);
    v.timing.run[3].complete = v.timing.run[4].complete = true;
    v.criteria.threshold[WR_CRIT_LAST_COMPLETE] = 7; /* more than there are */
    c = only(&v, WR_CRIT_LAST_COMPLETE, WR_EVIDENCE_NOT_ENOUGH);
    ck_assert(c.n == 6 && c.of == 6);
    v.timing.run[0].complete = false;
    only(&v, WR_CRIT_LAST_COMPLETE, WR_EVIDENCE_NOT_MET);
    v.timing.run[0].complete = true;
    v.criteria.threshold[WR_CRIT_LAST_COMPLETE] = 2;

    v.timing.run[2].kept_to_plan = false; /* work outside the plan, or begun too early: timing says which */
    only(&v, WR_CRIT_KEPT, WR_EVIDENCE_MET);
    v.timing.run[3].kept_to_plan = false;
    c = only(&v, WR_CRIT_KEPT, WR_EVIDENCE_NOT_MET);
    ck_assert(c.worst == 3 && c.n == 2 && c.of == 3);
    v.timing.run[2].kept_to_plan = v.timing.run[3].kept_to_plan = true;
    v.timing.run[RUNS - 1].kept_to_plan = true;
    v.timing.run[RUNS - 1].n_done = TASKS / 2 - 1; /* of most of its order nothing is known */
    v.timing.run[RUNS - 1].n_stopped = 0;
    says(&v, WR_CRIT_KEPT, WR_EVIDENCE_NOT_ENOUGH);
    v.timing.run[RUNS - 1].n_stopped = 1;
    says(&v, WR_CRIT_KEPT, WR_EVIDENCE_MET);
    v.timing.run[RUNS - 2].finish_min = WR_UNKNOWN; /* minutes alone: in what order is not known */
    ck_assert(says(&v, WR_CRIT_KEPT, WR_EVIDENCE_NOT_ENOUGH).result[WR_CRIT_KEPT].worst == RUNS - 2);
    v.timing.run[RUNS - 2].finish_min = wr_known(100);
    v.criteria.threshold[WR_CRIT_KEPT] = 7; /* more than there are */
    only(&v, WR_CRIT_KEPT, WR_EVIDENCE_NOT_ENOUGH);
    made_timing_release(&v.timing);
}
END_TEST

START_TEST(overrun)
{
    struct review v;

    set_up(&v, RUNS);
    set_draws(&v, 0.2, 0.06, 0.001);
    only(&v, WR_CRIT_OVERRUN, WR_EVIDENCE_NOT_ENOUGH); /* upper point 0.19, stated 0.06 */
    set_draws(&v, 0.2, 0.11, 0.001);
    only(&v, WR_CRIT_OVERRUN, WR_EVIDENCE_NOT_MET);
    set_draws(&v, 0.12, 0.06, 0.001);
    only(&v, WR_CRIT_OVERRUN, WR_EVIDENCE_NOT_ENOUGH); /* 0.114 */
    v.criteria.threshold[WR_CRIT_OVERRUN] = 0.8;
    struct wr_criterion_result c = only(&v, WR_CRIT_OVERRUN, WR_EVIDENCE_MET); /* 0.096 */
    ck_assert_double_eq_tol(c.found.value, 0.096, 1e-12);
    for (size_t i = 0; i < DRAWS; i++) v.draw_over[i] = 0.1; /* just what is allowed, though 1 - 0.9 is a hair less */
    v.limit[0].over = (struct wr_probability){.mean = 0.1, .lo = 0.1, .hi = 0.1};
    only(&v, WR_CRIT_OVERRUN, WR_EVIDENCE_MET);
    ck_assert_int_eq(wr_verdict_on(&v.limit[0].over, 0.9), WR_VERDICT_INSIDE); /* the same rule as elsewhere */
    v.input.confidence = 0.95;
    only(&v, WR_CRIT_OVERRUN, WR_EVIDENCE_NOT_MET);
    made_timing_release(&v.timing);
}
END_TEST

/* Met is what both answers bear; the worse one brings it to "not enough", whatever it says, for the better may be
 * right. */
START_TEST(met_is_what_both_answers_bear)
{
    struct review v;
    double draws[N_LIMIT * DRAWS];
    struct wr_limit_outlook limit[N_LIMIT] = {{{0}, {0}}};
    struct wr_beside beside = {.kind = WR_BESIDE_GAP_ALLOWED, .percent = 10,
                               .forecast = {.n_limit = 2, .limit = limit, .n_draw = DRAWS, .draw_over = draws}};

    set_up(&v, RUNS);
    v.input.beside = &beside;
    v.input.n_beside = 1;
    for (size_t i = 0; i < N_LIMIT * DRAWS; i++) draws[i] = 0.1 * (double)(i % DRAWS) / (DRAWS - 1);
    limit[0].over = (struct wr_probability){.mean = 0.05, .lo = 0.005, .hi = 0.095};
    only(&v, WR_CRIT_OVERRUN, WR_EVIDENCE_MET); /* upper point 0.095 of 0.1 allowed */
    limit[0].over.hi_mc_error = 0.01;
    only(&v, WR_CRIT_OVERRUN, WR_EVIDENCE_NOT_ENOUGH);
    limit[0].over.hi_mc_error = 0;
    for (size_t i = 0; i < N_LIMIT * DRAWS; i++) draws[i] *= 8;
    limit[0].over.mean = 0.4;
    only(&v, WR_CRIT_OVERRUN, WR_EVIDENCE_NOT_ENOUGH);
    beside.kind = WR_BESIDE_NOTHING_FORGOTTEN; /* an allowance was asked for: the answer without it decides nothing */
    only(&v, WR_CRIT_OVERRUN, WR_EVIDENCE_MET);
    beside.kind = WR_BESIDE_JUDGED_SHORT;
    only(&v, WR_CRIT_OVERRUN, WR_EVIDENCE_NOT_ENOUGH);
    struct wr_ready ready;
    wr_ready_judge(&ready, &v.input);
    ck_assert(ready.second.is.known && !ready.worst_second.is.known);
    ck_assert_double_eq_tol(ready.second.upper, 0.95 * 0.8, 1e-12);
    made_timing_release(&v.timing);
}
END_TEST

/* Everything was done, and nobody knows how long the days were. */
START_TEST(minutes_alone_are_no_evidence)
{
    static const enum wr_criterion_id open[] = {WR_CRIT_COMPLETE_RUNS, WR_CRIT_LAST_COMPLETE, WR_CRIT_OVERRUN,
                                                WR_CRIT_PLANNED, WR_CRIT_PLANNED_PATH, WR_CRIT_UNLOGGED};
    struct review v;

    set_up(&v, RUNS);
    for (size_t r = 0; r < RUNS; r++) {
        v.timing.run[r].finish_min = WR_UNKNOWN;
        v.timing.run[r].by_minutes = true;
    }
    for (size_t i = 0; i < sizeof open / sizeof *open; i++) says(&v, open[i], WR_EVIDENCE_NOT_ENOUGH);
    v.timing.run[RUNS - 1].complete = false; /* a task was left: that is known */
    says(&v, WR_CRIT_LAST_COMPLETE, WR_EVIDENCE_NOT_MET);
    made_timing_release(&v.timing);
}
END_TEST

START_TEST(overrun_is_never_met_on_shaky_ground)
{
    struct review v;

    for (int bad = 0; bad < 2; bad++) {
        set_up(&v, RUNS);
        set_draws(&v, bad ? 1 : 0.01, bad ? 0.5 : 0.004, bad ? 0.4 : 0);
        v.input.chains_agree = false;
        only(&v, WR_CRIT_OVERRUN, WR_EVIDENCE_NOT_ENOUGH);
        v.input.chains_agree = true;
        v.input.not_firm = true;
        only(&v, WR_CRIT_OVERRUN, WR_EVIDENCE_NOT_ENOUGH);
        v.input.not_firm = false;
        v.input.people_untold = true;
        says(&v, WR_CRIT_OVERRUN, WR_EVIDENCE_NOT_ENOUGH);
        says(&v, WR_CRIT_PLANNED, WR_EVIDENCE_NOT_ENOUGH);
        says(&v, WR_CRIT_PLANNED_PATH, WR_EVIDENCE_NOT_ENOUGH);
        says(&v, WR_CRIT_RECORD, WR_EVIDENCE_MET); /* that of the rehearsals stays theirs */
        v.input.people_untold = false;
        v.input.history_thin = true;
        says(&v, WR_CRIT_OVERRUN, WR_EVIDENCE_NOT_ENOUGH);
        says(&v, WR_CRIT_PLANNED, WR_EVIDENCE_NOT_ENOUGH);
        says(&v, WR_CRIT_PLANNED_PATH, WR_EVIDENCE_NOT_ENOUGH);
        v.input.history_thin = false;
        v.input.runs_reversed = true;
        says(&v, WR_CRIT_OVERRUN, WR_EVIDENCE_NOT_ENOUGH);
        says(&v, WR_CRIT_PLANNED, WR_EVIDENCE_NOT_ENOUGH);
        v.input.runs_reversed = false;
        v.forecast.n_draw = 1; /* parameters taken as known: there is no upper point */
        only(&v, WR_CRIT_OVERRUN, WR_EVIDENCE_NOT_ENOUGH);
        v.forecast.n_draw = DRAWS;
        for (size_t r = 0; r < 3; r++) v.timing.run[r].complete = false; /* three complete ones */
        says(&v, WR_CRIT_OVERRUN, bad ? WR_EVIDENCE_NOT_MET : WR_EVIDENCE_NOT_ENOUGH);
        v.limit[0].over.lo = 0.05; /* its interval reaches into what is allowed: three runs do not refute it */
        says(&v, WR_CRIT_OVERRUN, WR_EVIDENCE_NOT_ENOUGH);
        made_timing_release(&v.timing);
    }
}
END_TEST

static void set_limit(struct review *v, struct wr_limit *limit, size_t l, struct wr_maybe confidence, double most,
                      double mean)
{
    limit[l].confidence = confidence;
    for (size_t i = 0; i < DRAWS; i++) v->draw_over[l * DRAWS + i] = most * (double)i / (DRAWS - 1);
    v->limit[l].over = (struct wr_probability){.mean = mean, .lo = 0, .hi = 0.95 * most};
}

/* Each by its own confidence; the worst decides, and one without a confidence is not judged. */
START_TEST(other_limits)
{
    struct review v;
    struct wr_limit limit[N_LIMIT] = {{0}};
    struct wr_limits limits = {.limit = limit, .n_limit = N_LIMIT};

    set_up(&v, RUNS);
    v.forecast.n_limit = N_LIMIT;
    v.input.limits = &limits;
    limit[0].confidence = wr_known(0.9);
    set_limit(&v, limit, 1, wr_known(0.8), 0.2, 0.1);   /* upper point 0.19 of 0.2 allowed */
    set_limit(&v, limit, 2, WR_UNKNOWN, 1, 0.9);
    set_limit(&v, limit, 3, wr_known(0.95), 0.05, 0.02); /* 0.0475 of 0.05: as close, but for less */
    struct wr_criterion_result c = only(&v, WR_CRIT_OTHER_LIMITS, WR_EVIDENCE_MET);
    ck_assert(c.on && c.n == 2 && c.of == 2 && c.has_worst);
    set_limit(&v, limit, 3, wr_known(0.95), 0.051, 0.02); /* 0.04845 */
    c = only(&v, WR_CRIT_OTHER_LIMITS, WR_EVIDENCE_MET);
    ck_assert(c.worst == 3);
    ck_assert_double_eq_tol(c.found.value, 0.95 * 0.051, 1e-12);
    set_limit(&v, limit, 1, wr_known(0.8), 0.3, 0.15); /* 0.285: beyond, though the stated one is inside */
    c = only(&v, WR_CRIT_OTHER_LIMITS, WR_EVIDENCE_NOT_ENOUGH);
    ck_assert(c.worst == 1 && c.n == 1 && c.of == 2);
    set_limit(&v, limit, 3, wr_known(0.95), 0.07, 0.06); /* less far beyond, but refuted */
    c = only(&v, WR_CRIT_OTHER_LIMITS, WR_EVIDENCE_NOT_MET);
    ck_assert(c.worst == 3 && c.n == 0);
    limit[1].confidence = limit[3].confidence = WR_UNKNOWN;
    ck_assert(!judge(&v).result[WR_CRIT_OTHER_LIMITS].on);
    made_timing_release(&v.timing);
}
END_TEST

START_TEST(planned_times)
{
    struct review v;

    set_up(&v, RUNS);
    v.padded[2].prob_planned_enough = wr_known(0.49); /* on the longest path in 10 %; one in ten is not fewer than 10
                                                         % */
    struct wr_criterion_result c = only(&v, WR_CRIT_PLANNED, WR_EVIDENCE_NOT_MET);
    ck_assert(c.n == 1 && c.of == TASKS && c.worst == 2 && c.found.value == 0.1);
    v.criteria.threshold[WR_CRIT_PLANNED] = 0.11;
    only(&v, WR_CRIT_PLANNED, WR_EVIDENCE_MET);
    v.padded[2].prob_planned_enough = wr_known(0.5); /* as likely kept as missed */
    v.criteria.threshold[WR_CRIT_PLANNED] = 0;       /* none may be missed */
    only(&v, WR_CRIT_PLANNED, WR_EVIDENCE_MET);
    v.padded[2].prob_planned_enough = wr_known(0.497); /* missed more often than kept, if by less than 1 in 100 */
    only(&v, WR_CRIT_PLANNED, WR_EVIDENCE_NOT_MET);
    v.padded[2].prob_planned_enough = wr_known(0.5);
    v.criteria.threshold[WR_CRIT_PLANNED] = 0.11;
    v.padded[5].prob_planned_enough = wr_known(0.4); /* on it in 25 % */
    c = only(&v, WR_CRIT_PLANNED_PATH, WR_EVIDENCE_NOT_MET);
    ck_assert(c.n == 1 && c.of == 1 && c.worst == 5 && c.found.value == 0.25);

    /* the median lies above the planned 20 min, but perhaps as low as that: a miss that is not shown refutes nothing */
    struct wr_task_summary task[TASKS] = {0};
    v.input.summary = &(struct wr_fit_summary){.n_task = TASKS, .task = task};
    v.padded[5].planned_min = wr_known(20);
    task[5].median_min = (struct wr_estimate){21, 20, 25};
    c = only(&v, WR_CRIT_PLANNED_PATH, WR_EVIDENCE_NOT_ENOUGH);
    ck_assert(c.n == 1 && c.n_open == 1);
    v.criteria.threshold[WR_CRIT_PLANNED] = 0.1;
    c = says(&v, WR_CRIT_PLANNED, WR_EVIDENCE_NOT_ENOUGH).result[WR_CRIT_PLANNED];
    ck_assert(c.n == 1 && c.n_open == 1);
    task[5].median_min.lo = 20.1;
    c = says(&v, WR_CRIT_PLANNED, WR_EVIDENCE_NOT_MET).result[WR_CRIT_PLANNED];
    ck_assert(c.n == 1 && c.n_open == 0);
    says(&v, WR_CRIT_PLANNED_PATH, WR_EVIDENCE_NOT_MET);

    for (size_t k = 0; k < TASKS; k++) v.padded[k].prob_planned_enough = WR_UNKNOWN;
    says(&v, WR_CRIT_PLANNED, WR_EVIDENCE_NOT_ENOUGH);
    says(&v, WR_CRIT_PLANNED_PATH, WR_EVIDENCE_NOT_ENOUGH);
    v.input.pad = NULL;
    struct wr_ready ready = judge(&v);
    ck_assert(ready.n_not_enough == 2 && !ready.result[WR_CRIT_PLANNED].found.known);
    made_timing_release(&v.timing);
}
END_TEST

START_TEST(unlogged)
{
    struct review v;

    set_up(&v, RUNS);
    for (size_t r = 0; r < RUNS; r++) { /* 10 tasks of 10 minutes: 3 + 3 + 3 of 109 */
        made_cell(&v.timing, 0, r)->hold_min = 3;
        made_cell(&v.timing, 1, r)->lead_in_min = 3;
        made_cell(&v.timing, 2, r)->gap_min = 3;
    }
    struct wr_criterion_result c = only(&v, WR_CRIT_UNLOGGED, WR_EVIDENCE_MET);
    ck_assert_double_eq_tol(c.found.value, 9.0 / 109, 1e-12);
    for (size_t r = 0; r < RUNS; r++) made_cell(&v.timing, 3, r)->hold_min = 3;
    c = only(&v, WR_CRIT_UNLOGGED, WR_EVIDENCE_NOT_MET);
    ck_assert_double_eq_tol(c.found.value, 12.0 / 112, 1e-12);
    for (size_t r = WR_FEWEST_COMPLETE; r < RUNS; r++) v.timing.run[r].complete = false;
    says(&v, WR_CRIT_UNLOGGED, WR_EVIDENCE_NOT_MET);
    for (size_t r = 0; r < RUNS; r++) made_cell(&v.timing, 3, r)->hold_min = 0;
    says(&v, WR_CRIT_UNLOGGED, WR_EVIDENCE_MET);
    v.timing.run[WR_FEWEST_COMPLETE - 1].complete = false; /* so few may be without holds by chance */
    says(&v, WR_CRIT_UNLOGGED, WR_EVIDENCE_NOT_ENOUGH);
    for (size_t r = 0; r < RUNS; r++) made_cell(&v.timing, 3, r)->hold_min = 3;
    says(&v, WR_CRIT_UNLOGGED, WR_EVIDENCE_NOT_MET);
    for (size_t r = 1; r < RUNS; r++) v.timing.run[r].complete = false;
    ck_assert_uint_eq(judge(&v).result[WR_CRIT_UNLOGGED].of, 1); /* complete runs only */
    ck_assert_uint_eq(judge(&v).result[WR_CRIT_UNLOGGED].n, 0);
    v.timing.run[1].n_lost = 2; /* holes of the log are counted beside it, wherever they are */
    ck_assert_uint_eq(judge(&v).result[WR_CRIT_UNLOGGED].n, 2);
    v.timing.run[1].n_lost = 0;
    for (size_t k = 0; k < TASKS; k++) { /* "below 0 %" asks for none */
        made_cell(&v.timing, k, 0)->hold_min = made_cell(&v.timing, k, 0)->lead_in_min = 0;
        made_cell(&v.timing, k, 0)->gap_min = 0;
    }
    v.criteria.threshold[WR_CRIT_UNLOGGED] = 0;
    says(&v, WR_CRIT_UNLOGGED, WR_EVIDENCE_NOT_ENOUGH);
    made_cell(&v.timing, 0, 0)->hold_min = 0.1;
    says(&v, WR_CRIT_UNLOGGED, WR_EVIDENCE_NOT_MET);
    v.timing.run[0].complete = false;
    ck_assert(!says(&v, WR_CRIT_UNLOGGED, WR_EVIDENCE_NOT_ENOUGH).result[WR_CRIT_UNLOGGED].found.known);
    made_timing_release(&v.timing);
}
END_TEST

/* How many hits of n are too few: those that a sound forecast's 80 % band has less than once in twenty times. */
START_TEST(record)
{
    static const struct { size_t n, too_few; } rule[] = {{5, 1}, {6, 2}, {8, 3}, {10, 5}};
    struct review v;

    set_up(&v, RUNS);
    for (size_t i = 0; i < sizeof rule / sizeof *rule; i++)
        for (size_t hits = 0; hits <= rule[i].n; hits++) {
            set_record(&v, hits, rule[i].n);
            struct wr_criterion_result c =
                only(&v, WR_CRIT_RECORD, hits <= rule[i].too_few ? WR_EVIDENCE_NOT_MET : WR_EVIDENCE_MET);
            ck_assert(c.n == hits && c.of == rule[i].n);
        }
    for (size_t n = 0; n < 5; n++) {
        set_record(&v, 0, n);
        only(&v, WR_CRIT_RECORD, WR_EVIDENCE_NOT_ENOUGH);
    }
    /* 6 of 10 from the others, and from those before: 3 of 7, which a sound forecast has in 3.3 of 100 records; four
     * forecasts are too few to speak, however they fared */
    for (size_t n = 4; n <= 7; n += 3)
        for (size_t hits = 0; hits <= n; hits++) {
            set_record(&v, 6, 10);
            v.backtest.predecessors = (struct wr_backtest_record){
                .n_forecast = n, .n_inside80 = hits, .prob_so_few80 = binomial_at_most(hits, n, 0.8)};
            bool against = n == 7 && hits <= 3;
            struct wr_ready ready = says(&v, WR_CRIT_RECORD, against ? WR_EVIDENCE_NOT_MET : WR_EVIDENCE_MET);
            ck_assert(ready.n_earlier_forecast == (n == 7 ? 7 : 0) && (!against || ready.earlier_decides));
        }
    v.backtest.predecessors = (struct wr_backtest_record){0};
    v.input.backtest = NULL;
    only(&v, WR_CRIT_RECORD, WR_EVIDENCE_NOT_ENOUGH);
    made_timing_release(&v.timing);
}
END_TEST

START_TEST(a_criterion_that_is_off_does_not_count)
{
    struct review v;

    set_up(&v, RUNS);
    set_draws(&v, 1, 0.5, 0.3);
    v.criteria.on[WR_CRIT_OVERRUN] = false;
    struct wr_ready ready = judge(&v);
    ck_assert(ready.n_met == N_JUDGED - 1 && ready.n_not_met == 0 && !ready.result[WR_CRIT_OVERRUN].on);
    made_timing_release(&v.timing);
}
END_TEST

START_TEST(next_to_nothing)
{
    for (size_t n_run = 0; n_run <= 2; n_run++)
        for (int complete = 0; complete < 2; complete++) {
            struct review v;
            set_up(&v, n_run);
            for (size_t r = 0; r < n_run && !complete; r++)
                for (size_t k = 0; k < TASKS; k++) made_cell_state(&v.timing, k, r, WR_CELL_SKIPPED);
            set_record(&v, 0, 0);
            v.input.backtest = NULL;
            struct wr_ready ready = judge(&v);
            ck_assert_int_eq(ready.result[WR_CRIT_COMPLETE_RUNS].evidence, WR_EVIDENCE_NOT_MET);
            ck_assert_int_eq(ready.result[WR_CRIT_OVERRUN].evidence, WR_EVIDENCE_NOT_ENOUGH);
            ck_assert_int_eq(ready.result[WR_CRIT_RECORD].evidence, WR_EVIDENCE_NOT_ENOUGH);
            ck_assert_int_ne(ready.result[WR_CRIT_KEPT].evidence, WR_EVIDENCE_MET);
            ck_assert_int_eq(ready.result[WR_CRIT_TASK_DONE].evidence,
                             n_run == 2 && complete ? WR_EVIDENCE_NOT_ENOUGH : WR_EVIDENCE_NOT_MET);
            ck_assert_int_eq(ready.result[WR_CRIT_LAST_COMPLETE].evidence,
                             n_run == 0                ? WR_EVIDENCE_NOT_ENOUGH
                             : !complete               ? WR_EVIDENCE_NOT_MET
                             : n_run < 2               ? WR_EVIDENCE_NOT_ENOUGH
                                                       : WR_EVIDENCE_MET);
            if (n_run == 0) ck_assert_int_eq(ready.result[WR_CRIT_PLANNED].evidence, WR_EVIDENCE_NOT_ENOUGH);
            set_draws(&v, 1, 0.9, 0.8); /* and far outside: still nobody has tried */
            if (n_run == 0) ck_assert_int_eq(judge(&v).result[WR_CRIT_OVERRUN].evidence, WR_EVIDENCE_NOT_ENOUGH);
            made_timing_release(&v.timing);
        }
}
END_TEST

START_TEST(every_criterion_has_its_case)
{
    const TTest *const cases[] = {complete_runs, times_done,    last_runs, overrun,
                                  other_limits,  planned_times, unlogged,  record};

    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) cases[i]->fn(0);
    for (int i = 0; i < WR_N_CRITERION; i++) {
        const char *name = wr_criterion_name((enum wr_criterion_id)i);
        ck_assert_msg(brought[i][WR_EVIDENCE_NOT_MET], "no case listed above brings %s to not met", name);
        ck_assert_msg(brought[i][WR_EVIDENCE_NOT_ENOUGH], "no case listed above brings %s to not enough", name);
    }
}
END_TEST

Suite *suite_ready(void);
Suite *suite_ready(void)
{
    Suite *s = suite_create("ready");
    TCase *t = tcase_create("ready");

    tcase_add_test(t, everything_is_met);
    tcase_add_test(t, complete_runs);
    tcase_add_test(t, times_done);
    tcase_add_test(t, last_runs);
    tcase_add_test(t, overrun);
    tcase_add_test(t, met_is_what_both_answers_bear);
    tcase_add_test(t, minutes_alone_are_no_evidence);
    tcase_add_test(t, overrun_is_never_met_on_shaky_ground);
    tcase_add_test(t, other_limits);
    tcase_add_test(t, planned_times);
    tcase_add_test(t, unlogged);
    tcase_add_test(t, record);
    tcase_add_test(t, a_criterion_that_is_off_does_not_count);
    tcase_add_test(t, next_to_nothing);
    tcase_add_test(t, every_criterion_has_its_case);
    suite_add_tcase(s, t);
    return s;
}
