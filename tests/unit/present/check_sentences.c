/* Sentences one at a time, at ends that whole samples do not have: what is told apart by one comparison is said in one
 * word, and each of the two is asked for here. The numbers are made up. */
#include <check.h>
#include <math.h>
#include <stdint.h>
#include <string.h>
#include "sample_evidence.h"
#include "shown.h"
#include "shown_json.h"
#include "wetrun/present/backtest_view.h"
#include "wetrun/present/check_view.h"
#include "wetrun/present/compare_view.h"
#include "wetrun/present/fit_view.h"
#include "wetrun/present/forecast_view.h"
#include "wetrun/present/ready_view.h"
#include "wetrun/present/runs_needed_view.h"
#include "wetrun/present/series_view.h"

static struct sample s;
static struct sample_decisions d;
static struct sample_evidence e;
static struct wr_str out;

static void make(void)
{
    sample_make(&s, 28, SAMPLE_TAME);
    sample_decide(&d, &s);
    sample_learn(&e, &s, &d);
    wr_str_clear(&out);
}

static void unmake(void)
{
    sample_evidence_release(&e);
    sample_release(&s);
    wr_str_release(&out);
}

/* Lines joined, as a reader does. */
static const char *in_one_line(void)
{
    for (char *c = out.text; c && *c; c++)
        if (*c == '\n') *c = ' ';
    return wr_str_text(&out);
}

static void says(const char *wanted)
{
    ck_assert_msg(strstr(in_one_line(), wanted) != NULL, "'%s' is not in: %s", wanted, out.text);
}

static void is_silent_of(const char *unwanted)
{
    ck_assert_msg(strstr(in_one_line(), unwanted) == NULL, "'%s' is in: %s", unwanted, out.text);
}

/* ---- records, totals ---- */

START_TEST(a_long_record_needs_no_excuse)
{
    struct wr_backtest b = {.leave_one_out = {.n_forecast = 20, .n_inside80 = 16, .prob_so_few80 = 0.6}};

    wr_record_words(&b, &out);
    ck_assert_str_eq(wr_str_text(&out), ": no sign against the forecast");
    b.predecessors = (struct wr_backtest_record){.n_forecast = 7, .n_inside80 = 3, .prob_so_few80 = 0.033};
    wr_str_clear(&out);
    wr_record_words(&b, &out);
    ck_assert_str_eq(wr_str_text(&out),
                     ", and 3 of 7 where forecast from earlier rehearsals only: the forecast was too sure of itself");
    wr_str_release(&out);
}
END_TEST

/* Totals of 50, 50.5 and 51.5 min; in one or two of them usual times stand in, some of them for tasks never timed.
 * Of two there is nothing to say. */
START_TEST(totals_without_a_model)
{
    static const struct {
        size_t n, filled[2], n_never;
        bool known, beyond;
        const char *says, *never;
    } c[] = {{3, {0, 0}, 0, false, false, "from 3 totals alone: the next rehearsal's finish, in the pool, by 0:51",
              "stands in"},
             {3, {1, 0}, 0, true, false, "(in one of them the usual time stands in", "no rehearsal timed"},
             {3, {1, 2}, 1, true, true, "; one task that no rehearsal timed counts as planned or judged)", "no more"},
             {3, {1, 2}, 3, true, false, "; three tasks that no rehearsal timed count as planned or judged", NULL},
             {2, {1, 2}, 3, false, false,
              "Without any model: not enough to say. It takes three totals, in each at most a tenth of the "
              "minutes filled in for what was not done or is not known; here two count.", "the next"},
             {1, {0, 0}, 0, false, false, "here one counts.", "the next"},
             {0, {0, 0}, 0, false, false, "here none counts.", "the next"}};
    double total[3] = {50, 51.5, 50.5};
    unsigned char counts[3] = {1, 1, 1};

    for (size_t i = 0; i < sizeof c / sizeof *c; i++) {
        size_t filled[3] = {c[i].filled[0], c[i].filled[1]};
        struct wr_total_check check = {.n_run = 3, .total_min = total, .n_filled = filled, .counts = counts,
                                       .n_never = c[i].n_never, .n_counted = c[i].n};
        const struct wr_total_disagreement disagreement = {
            .known = c[i].known, .beyond_chance = c[i].beyond, .p_centre = c[i].beyond ? 0.001 : 0.4, .p_spread = 0.4,
            .n = 3, .log_ratio = c[i].beyond ? -0.11 : 0.002, .moved = c[i].beyond};
        const struct wr_fit_result fit = {.total = &check, .disagreement = i ? &disagreement : NULL};
        if (c[i].n > 0) ck_assert_int_eq(wr_log_sample_of(total, c[i].n, &check.sample, NULL), WR_OK);
        wr_str_clear(&out);
        wr_total_sentence(&fit, &out);
        says(c[i].says);
        if (c[i].never) is_silent_of(c[i].never);
        if (c[i].known)
            says(c[i].beyond ? " The forecast's middle lies 10 % below that of the 3 replayed totals, moved along the "
                               "learning to the run that is forecast: more than chance explains."
                             : " The forecast's middle lies less than 1 % above that of the 3 replayed totals: no more "
                               "than chance explains.");
        else
            is_silent_of("The forecast");
    }
    wr_str_release(&out);
}
END_TEST

/* A rehearsal that does not count and took longer than nine in ten are said to: agreement is then no comfort. */
START_TEST(totals_of_the_shorter_rehearsals)
{
    double total[4] = {50, 51.5, 50.5, 80}, least[4] = {50, 51.5, 50.5, 75};
    unsigned char counts[4] = {1, 1, 1, 0};
    size_t filled[4] = {0, 0, 0, 3};

    for (int i = 0; i < 3; i++) { /* the 90 % point lies below an hour */
        struct wr_total_check check = {.n_run = 4, .total_min = total, .n_filled = filled, .counts = counts,
                                       .least_min = least, .n_counted = 3};
        const struct wr_total_disagreement disagreement = {
            .known = true, .beyond_chance = i == 2, .n = 3, .p_centre = i == 2 ? 0.001 : 0.4, .p_spread = 0.4};
        const struct wr_fit_result fit = {.total = &check, .disagreement = &disagreement};
        least[3] = i == 0 ? 50 : 75;
        ck_assert_int_eq(wr_log_sample_of(total, 3, &check.sample, NULL), WR_OK);
        wr_str_clear(&out);
        wr_total_sentence(&fit, &out);
        if (i == 0) { /* short, but that it is not among them is said */
            says(" One of the four rehearsals is left out of the totals, too much of which is missing: it took at "
                 "least 0:50.");
            is_silent_of("took longer than that");
            says("replayed totals: no more than chance explains.");
            continue;
        }
        is_silent_of("One of the four");
        says(" One rehearsal left out of the totals, too much of which is missing, took longer than that all the same, "
             "up to 1:15: the totals are of the shorter rehearsals");
        is_silent_of("no more than chance");
        if (i == 2) says("replayed totals: more than chance explains.");
    }
    wr_str_release(&out);
}
END_TEST

/* ---- comparisons ---- */

/* A difference that follows the order of the rehearsals is not told from learning, unless the trend is taken out. */
START_TEST(groups_in_the_order_of_time)
{
    static const struct {
        bool in_order, detrended;
        const char *sentence, *answer;
    } c[] = {{false, false, ". Moving whole runs", "beyond chance"},
             {true, false, "so this cannot be told from learning", "cannot be told from these rehearsals"},
             {true, true, "; they follow each other in time, and with the trend taken out ", "beyond chance"},
             {false, true, "; with the trend taken out ", "beyond chance"}};

    make();
    for (size_t i = 0; i < sizeof c / sizeof *c; i++) {
        struct wr_group_comparison *both = &e.comparison.group[0];
        struct wr_group_ratio *g = &both->length;
        const struct wr_compare_result compare = {&s.plan, &s.log, &s.timing, &e.comparison};
        e.comparison.n_group = 1;
        g->reason = WR_COMPARE_DONE;
        g->in_order = c[i].in_order;
        g->has_detrended = c[i].detrended;
        g->ratio = g->detrended_ratio = 1.3;
        g->lo = g->detrended_lo = 1.1;
        g->hi = g->detrended_hi = 1.5;
        g->holm_p = WR_UNKNOWN;
        g->permutation.p_two_sided = 0.01;
        g->detrended_p = wr_known(0.01);
        both->pace = *g;
        wr_str_clear(&out);
        wr_group_sentence(both, &out);
        says(c[i].sentence);
        wr_str_clear(&out);
        wr_compare_answer(&compare, &out);
        says(c[i].answer);
    }
    unmake();
}
END_TEST

/* Equal weights say little of the time that a group, or a rehearsal, takes: where minutes say something else, both are
 * said, and shorter and slower go by the minutes. */
START_TEST(pace_is_said_beside_the_length_where_they_part)
{
    static const struct {
        double pace, pace_p, length, length_p;
        const char *says, *silent_of;
    } c[] = {{0.88, 0.008, 1.06, 0.008, "is slower than 'before', beyond chance: 1.06 times as long. Each task counted "
                                        "alike they take 0.88 times; their minutes together 1.06 times. ", "faster"},
             {0.88, 0.008, 1.01, 0.6, "cannot be told from these rehearsals. Each task counted alike they take 0.88 "
                                      "times; their minutes together 1.01 times. ", "beyond chance"},
             {0.99, 0.6, 1.01, 0.6, "cannot be told from these rehearsals. ", "counted alike they take"},
             {1.08, 0.008, 1.06, 0.008, "beyond chance: 1.06 times as long. ", "counted alike they take"}};
    static const struct {
        double pace, length; /* of all three numbers */
        const char *says, *silent_of;
    } trend[] = {{-0.053, 0, "Whether the rehearsals get shorter or longer cannot be told yet. With each doubling of "
                             "rehearsals times change by \xe2\x88\x92" "5.3 %, each task counted alike; their minutes "
                             "together by 0 %.", "The rehearsals get"},
                 {-0.053, 0.02, "The rehearsals get longer. With each doubling", "get shorter"},
                 {0, 0.02, "The rehearsals get longer. With each doubling of rehearsals times change by 0 %,",
                  "shorter"},
                 {-0.053, -0.02, "The rehearsals get shorter.", "counted alike"},
                 {0, -0.0004, "Whether the rehearsals get shorter or longer cannot be told yet.", /* reads as 0 % */
                  "The rehearsals get"}};

    make();
    const struct wr_compare_result compare = {&s.plan, &s.log, &s.timing, &e.comparison};
    struct wr_group_comparison *g = &e.comparison.group[0];
    const size_t n_group = e.comparison.n_group; /* all of which are to be released */
    e.comparison.n_group = 1;
    for (size_t i = 0; i < sizeof c / sizeof *c; i++) {
        g->pace = (struct wr_group_ratio){.ratio = c[i].pace, .lo = c[i].pace, .hi = c[i].pace,
                                          .permutation.p_two_sided = c[i].pace_p};
        g->length = (struct wr_group_ratio){.ratio = c[i].length, .lo = c[i].length, .hi = c[i].length,
                                            .permutation.p_two_sided = c[i].length_p};
        wr_str_clear(&out);
        wr_compare_answer(&compare, &out);
        says(c[i].says);
        *strstr(out.text, "rehearsals get") = 0;
        if (strstr(c[i].says, "beyond chance")) is_silent_of(c[i].silent_of);
    }
    g->length.reason = WR_COMPARE_TOO_FEW_RUNS;
    g->pace = (struct wr_group_ratio){.ratio = 0.88, .lo = 0.8, .hi = 0.95, .permutation.p_two_sided = 0.008};
    wr_str_clear(&out);
    wr_compare_answer(&compare, &out);
    says("of their minutes together nothing is known, for too few of them have three quarters of their minutes seen.");
    e.comparison.n_group = 0;
    for (size_t i = 0; i < sizeof trend / sizeof *trend; i++) {
        double pace = trend[i].pace, length = trend[i].length;
        e.comparison.trend = (struct wr_trend){true, 8, pace, pace, pace, pace, pace, pace, 0};
        e.comparison.length_trend = (struct wr_trend){true, 8, length, length, length, length, length, length, 0};
        wr_str_clear(&out);
        wr_compare_answer(&compare, &out);
        says(trend[i].says);
        is_silent_of(trend[i].silent_of);
    }
    e.comparison.length_trend = (struct wr_trend){.n_run = 3};
    e.comparison.n_length_unseen = 6;
    wr_str_clear(&out);
    wr_trend_sentence(&e.comparison, &out);
    says("Fewer than four rehearsals have three quarters of their minutes seen, so there is no trend of their length");
    e.comparison.n_group = n_group;
    unmake();
}
END_TEST

/* What one of two intervals in a sentence allows is not excluded by it; where groups follow each other in time, the one
 * that has all learning in it tells nothing of them. */
START_TEST(what_is_not_excluded)
{
    static const struct {
        bool in_order;
        double lo, hi, detrended_lo, detrended_hi;
        const char *says;
    } c[] = {{false, 0.87, 1.02, 0.93, 1.07, " No difference is shown; from \xe2\x88\x92" "13 % to +7.0 % is not"},
             {true, 0.87, 1.02, 0.93, 1.07, " No difference is shown; from \xe2\x88\x92" "7.0 % to +7.0 % is not"},
             {false, 0.93, 1.10, 1.01, 1.12,
              " The two intervals disagree about whether there is a difference; from \xe2\x88\x92"
              "7.0 % to +12 % is not"},
             {false, 1.003, 1.10, 1.03, 1.12, " The two intervals disagree"}, /* 1.003 reads as 1.00 times */
             {false, 1.03, 1.10, 1.01, 1.12, NULL}};

    make();
    const struct wr_compare_result compare = {&s.plan, &s.log, &s.timing, &e.comparison};
    const size_t n_group = e.comparison.n_group;
    const struct wr_group_comparison given = e.comparison.group[0];
    e.comparison.n_group = 1;
    for (size_t i = 0; i < sizeof c / sizeof *c; i++) {
        struct wr_group_comparison both = e.comparison.group[0];
        struct wr_group_ratio g = both.length;
        g.reason = both.pace.reason = WR_COMPARE_DONE;
        g.in_order = c[i].in_order;
        g.has_detrended = true;
        g.lo = c[i].lo;
        g.hi = c[i].hi;
        g.detrended_lo = c[i].detrended_lo;
        g.detrended_hi = c[i].detrended_hi;
        g.smallest_p = 0.01;
        both.length = g;
        wr_str_clear(&out);
        wr_group_sentence(&both, &out);
        if (c[i].says) says(c[i].says);
        else is_silent_of("excluded");
        /* whatever moving whole runs says, the answer claims nothing that these intervals allow not to be */
        both.length.ratio = both.length.detrended_ratio = 1.06;
        both.length.holm_p = WR_UNKNOWN;
        both.length.permutation.p_two_sided = 0.01;
        both.length.detrended_p = wr_known(0.01);
        both.pace = both.length;
        e.comparison.group[0] = both;
        wr_str_clear(&out);
        wr_compare_answer(&compare, &out);
        says(c[i].says ? "cannot be told from these rehearsals" : ", beyond chance: 1.06 times as long");
        e.comparison.group[0] = given;
    }
    e.comparison.n_group = n_group;
    unmake();
}
END_TEST

/* ---- forecasts ---- */

START_TEST(trials_that_a_precision_takes)
{
    make();
    const struct wr_forecast_result r = {.plan = &s.plan, .limits = &s.limits, .forecast = &s.forecast};

    ck_assert_int_eq(wr_show_forecast(WR_FORMAT_TABLE, &s.context, &r, &out, NULL), WR_OK);
    is_silent_of("--precision");
    s.forecast.precision = 0.002;
    wr_str_clear(&out);
    ck_assert_int_eq(wr_show_forecast(WR_FORMAT_TABLE, &s.context, &r, &out, NULL), WR_OK);
    says(", as many as --precision 0.002 takes");
    wr_str_clear(&out);
    ck_assert_int_eq(wr_show_forecast(WR_FORMAT_JSON, &s.context, &r, &out, NULL), WR_OK);
    json_t *root = shown_json(out.text);
    ck_assert_double_eq(shown_number(root, "precision"), 0.002);
    json_decref(root);
    unmake();
}
END_TEST

START_TEST(the_only_complete_rehearsal)
{
    for (int over = 0; over < 2; over++) {
        make();
        const struct wr_forecast_result r = {.plan = &s.plan, .limits = &s.limits, .forecast = &s.forecast,
                                             .timing = &s.timing};
        for (size_t i = 0; i < s.timing.n_run; i++) s.timing.run[i].complete = i == 2;
        s.timing.run[2].finish_without_holds_min = s.limits.limit[0].minutes + (over ? 30 : -30);
        s.context.n_complete_run = 1;
        ck_assert_int_eq(wr_show_forecast(WR_FORMAT_TABLE, &s.context, &r, &out, NULL), WR_OK);
        says(over ? "the only complete rehearsal was over " : "the only complete rehearsal was within ");
        is_silent_of("with work done that the plan drops");
        s.timing.run[2].n_past_rule = 2; /* the forecast leaves it out */
        s.timing.run[2].by_rules_min = s.limits.limit[0].minutes + (over ? 10 : -40);
        wr_str_clear(&out);
        ck_assert_int_eq(wr_show_forecast(WR_FORMAT_TABLE, &s.context, &r, &out, NULL), WR_OK);
        says(over
                 ? "(7:00, holds left out), with work done that the plan drops on such a day; by its drop rules it was "
                   "over 6:30 (6:40)."
                 : "(6:00, holds left out), with work done that the plan drops on such a day; by its drop rules it was "
                   "within 6:30 (5:50).");
        unmake();
    }
}
END_TEST

START_TEST(rehearsals_with_work_past_its_drop_rule)
{
    make();
    const struct wr_forecast_result r = {
        .plan = &s.plan, .limits = &s.limits, .forecast = &s.forecast, .timing = &s.timing};
    const double limit = s.limits.limit[0].minutes;
    ck_assert(s.timing.n_run >= 3);
    for (size_t i = 0; i < s.timing.n_run; i++) {
        s.timing.run[i].complete = i < 3;
        s.timing.run[i].finish_without_holds_min = limit - 60 + 40 * (double)(i < 3 ? i : 0); /* -60, -20, +20 */
        s.timing.run[i].n_past_rule = i == 1 || i == 2;
        s.timing.run[i].by_rules_min = limit - 10 * (double)(i + 1);
    }
    s.context.n_complete_run = 3;
    ck_assert_int_eq(wr_show_forecast(WR_FORMAT_TABLE, &s.context, &r, &out, NULL), WR_OK);
    says(
        "of the three complete rehearsals one was over 6:30 (5:30 to 6:50, holds left out); two of the three did work "
        "that the plan drops on such a day, and had the drop rules been kept, none of the three would have been over "
        "6:30 (5:30 to 6:10)");
    unmake();
}
END_TEST

/* ---- evidence ---- */

/* 9.95 of 100 is within 10, but by less than four of its own errors; and of no rehearsals none can be too few. */
START_TEST(an_upper_point_too_near_to_tell)
{
    make();
    const struct wr_ready_result r = {&s.log, &s.plan, &s.limits, &e.ready, NULL, NULL};

    e.ready.confidence = 0.9;
    e.ready.over = (struct wr_probability){.mean = 0.05, .lo = 0.03, .hi = 0.0995, .hi_mc_error = 0.01};
    e.ready.over_upper = 0.0995;
    wr_criterion_found(&r, WR_CRIT_OVERRUN, &out);
    says("which is nearer to what is allowed than its own error");
    e.ready.over.hi_mc_error = 1e-6;
    e.ready.over_upper = e.ready.over.hi = 0.06;
    wr_str_clear(&out);
    wr_criterion_found(&r, WR_CRIT_OVERRUN, &out);
    is_silent_of("its own error");
    e.ready.result[WR_CRIT_OVERRUN].evidence = WR_EVIDENCE_NOT_ENOUGH;
    e.ready.result[WR_CRIT_COMPLETE_RUNS].n = e.ready.result[WR_CRIT_COMPLETE_RUNS].of = 2;
    wr_str_clear(&out);
    wr_criterion_found(&r, WR_CRIT_OVERRUN, &out);
    says("complete");
    e.ready.result[WR_CRIT_COMPLETE_RUNS].n = e.ready.result[WR_CRIT_COMPLETE_RUNS].of = 0;
    wr_str_clear(&out);
    wr_criterion_found(&r, WR_CRIT_OVERRUN, &out);
    is_silent_of("complete");
    unmake();
}
END_TEST

/* ---- what was read ---- */

/* Of many of one kind three are shown, the lines of some more, and that there are others still. */
START_TEST(findings_of_one_kind)
{
    make();
    struct wr_findings findings = {.n_suppressed = 5};
    const struct wr_check_result check = {.log = &s.log, .plan = &s.plan, .timing = &s.timing, .findings = &findings};

    for (size_t i = 0; i < 30; i++) {
        wr_findings_add(&findings, WR_WARNING, "zero-step", "runs.csv", 2 + i, 0, "it took no time");
        if (i % 10 == 0) wr_findings_add(&findings, WR_NOTE, "zero-step", "runs.csv", 100 + i, 0, "nor did this");
        if (i % 10 == 5) wr_findings_add(&findings, WR_WARNING, "long-run", "runs.csv", 200 + i, 0, "it took long");
    }
    ck_assert_int_eq(wr_show_check(WR_FORMAT_TABLE, &s.context, &check, &out, NULL), WR_OK);
    says("and 27 more like these [zero-step], in lines 5, 6, 7, 8, 9, 10, 11, 12, 13,");
    says("14, 15, 16 \xe2\x80\xa6");
    says("5 more of a kind were counted and not kept.");
    size_t n = 0;
    for (const char *at = out.text; (at = strstr(at, "nor did this")); at++) n++;
    ck_assert_uint_eq(n, 3);
    wr_findings_release(&findings);
    unmake();
}
END_TEST

/* What all runs did otherwise is said once; what one did, of it. */
START_TEST(runs_that_differ_from_the_plan)
{
    make();
    struct wr_findings findings = {0};
    struct wr_check_result check = {.log = &s.log, .plan = &s.plan, .timing = &s.timing, .findings = &findings};

    for (size_t r = 0; r < s.timing.n_run; r++) s.timing.run[r].differs = "LAMP before REACH";
    ck_assert_int_eq(wr_show_check(WR_FORMAT_TABLE, &s.context, &check, &out, NULL), WR_OK);
    says("Not as the plan has it:   in every run: LAMP before REACH.");
    is_silent_of("R02: LAMP before REACH");
    for (size_t r = 0; r < s.timing.n_run; r++) s.timing.run[r].differs = r == 1 || r == 2 ? "LAMP before REACH" : NULL;
    check.rehearsed = "old.csv";
    wr_str_clear(&out);
    ck_assert_int_eq(wr_show_check(WR_FORMAT_TABLE, &s.context, &check, &out, NULL), WR_OK);
    says("Not as the plan that was rehearsed has it:");
    is_silent_of("in every run");
    unmake();
}
END_TEST

/* ---- a series ---- */

enum { LEGS = 3 };

/* Three excursions of the sample's plan; one of them has no limit; nothing goes on. */
static struct wr_series_view view_of(struct wr_series *series, struct wr_series_leg_result *leg,
                                     struct wr_series_leg_names *names, struct wr_series_over *over)
{
    static const char *const id[LEGS] = {"One", "Two", "Three"};
    static const size_t seat[] = {WR_SEAT_OPEN, WR_SEAT_NEW};
    static const size_t open[] = {WR_SEAT_OPEN, WR_SEAT_OPEN};
    static const struct wr_sim_limit limit = {.lanes = 3, .minutes = 390};
    static const char *const name = "excursion";

    for (size_t l = 0; l < LEGS; l++) {
        over[l] = (struct wr_series_over){.with = 0.2, .with_lo = 0.1, .with_hi = 0.3, .without = 0.2,
                                          .mc_error = 0.004};
        leg[l] = (struct wr_series_leg_result){.over = &over[l], .finish_p50_min = 360, .finish_p90_min = 400,
                                               .without_p50_min = 360, .done_by = 1};
        for (size_t q = 0; q < WR_N_LENS; q++) leg[l].lens_min[q] = 330 + 20 * (double)q;
        names[l] = (struct wr_series_leg_names){.excursion = id[l], .date = "", .plan = &s.plan, .limit_name = &name,
                                                .limit = &limit, .n_limit = l < 2, .seat = l == 1 ? seat : open,
                                                .n_run = 5, .team = l};
    }
    *series = (struct wr_series){.n_trial = 1000, .n_leg = LEGS, .leg = leg, .any_over = 0.36, .any_over_lo = 0.25,
                                 .any_over_hi = 0.5, .any_over_mc_error = 0.005, .expected_excursions = 3};
    return (struct wr_series_view){.series = series, .leg = names, .has_interval = true};
}

START_TEST(a_series_with_and_without_intervals)
{
    struct wr_series series;
    struct wr_series_leg_result leg[LEGS];
    struct wr_series_leg_names names[LEGS];
    struct wr_series_over over[LEGS];
    static const struct wr_series_changes none;

    make();
    struct wr_series_view v = view_of(&series, leg, names, over);
    v.changes = &none;
    for (int known = 0; known < 2; known++) {
        v.has_interval = known;
        wr_str_clear(&out);
        ck_assert_int_eq(wr_show_series(WR_FORMAT_JSON, &s.context, &v, &out, NULL), WR_OK);
        json_t *root = shown_json(out.text);
        const json_t *one = shown_at(shown_at(root, "excursions", 0), "limits", 0);
        if (known) {
            ck_assert_double_eq(json_number_value(json_array_get(json_object_get(root, "interval"), 1)), 0.5);
            ck_assert_double_eq(json_number_value(json_array_get(json_object_get(one, "interval"), 0)), 0.1);
            ck_assert_double_eq(shown_number(root, "mc_error"), 0.005);
            ck_assert_double_eq(shown_number(one, "mc_error"), 0.004);
        } else {
            ck_assert(!json_is_array(json_object_get(root, "interval")));
            ck_assert(!json_is_array(json_object_get(one, "interval")));
            ck_assert(json_is_null(json_object_get(root, "mc_error")));
        }
        ck_assert_uint_eq(json_array_size(json_object_get(shown_at(root, "excursions", 2), "limits")), 0);
        json_decref(root);
        wr_str_clear(&out);
        ck_assert_int_eq(wr_show_series(WR_FORMAT_TABLE, &s.context, &v, &out, NULL), WR_OK);
        ck_assert_int_le((int)shown_width(out.text), 80);
        if (known) says("In 36 (25 to 50) of 100 series");
        else is_silent_of("(25 to 50)");
    }
    unmake();
}
END_TEST

/* The table has the first limit of each: that it is so, and how the others fare, is said. */
START_TEST(other_limits_of_a_series)
{
    static const struct wr_sim_limit limit[] = {{.lanes = 3, .minutes = 390}, {.lanes = 1, .minutes = 300}};
    static const char *const name[] = {"excursion", "air"};
    static const struct wr_series_changes none;
    struct wr_series series, second;
    struct wr_series_leg_result leg[LEGS], worse[LEGS];
    struct wr_series_leg_names names[LEGS];
    struct wr_series_over over[LEGS], two[LEGS];

    make();
    struct wr_series_view v = view_of(&second, worse, names, two);
    two[1] = (struct wr_series_over){.with = 0.4, .with_lo = 0.2, .with_hi = 0.9};
    v = view_of(&series, leg, names, over);
    v.changes = &none;
    wr_series_sentence(&v, &out);
    says("In 36 (25 to 50) of 100 series some excursion goes over its limit.");
    wr_series_other_limits_sentence(&v, &out);
    is_silent_of("Over others");
    names[0].limit = limit;
    names[0].limit_name = name;
    names[0].n_limit = 2;
    over[1] = (struct wr_series_over){.with = 0.03, .with_lo = 0.001, .with_hi = 0.09};
    v.worse = &second;
    wr_str_clear(&out);
    ck_assert_int_eq(wr_show_series(WR_FORMAT_TABLE, &s.context, &v, &out, NULL), WR_OK);
    says("series some excursion goes over one of its limits, by the worse of two answers in 36");
    says("of 100 go over the first limit: One 20 (10 to 30)");
    says("The limit shown is the first of each. Over others go, of 100: One, air 3 (<1 to 9), by the worse answer 40 "
         "(20 to 90).");
    unmake();
}
END_TEST

/* Two who rehearsed for all three, two who did so for one alone, and somebody new in one lane of Two. */
START_TEST(people_of_a_series)
{
    struct wr_series series;
    struct wr_series_leg_result leg[LEGS];
    struct wr_series_leg_names names[LEGS];
    struct wr_series_over over[LEGS];
    const struct wr_series_person person[] = {
        {"Ann", "Ann", {true, true, true}, 3}, {"Bob", "Bob", {true, true, true}, 3}, {"Cy", "Cy", {true}, 1},
        {"Dee", "Dee", {true}, 1}};

    make();
    struct wr_series_view v = view_of(&series, leg, names, over);
    v.person = person;
    v.n_person = 4;
    wr_series_people_sentence(&v, &out);
    says("Ann and Bob rehearsed for One, Two and Three: one pace in all of them.");
    says("Cy and Dee are known from One alone");
    says(" In Two series.csv puts somebody new into EV2; the rest is as in rehearsed line-ups, at random.");
    is_silent_of("In One series.csv");
    wr_str_clear(&out);
    v.n_person = 0;
    wr_series_people_sentence(&v, &out);
    ck_assert_str_eq(wr_str_text(&out),
                     "In Two series.csv puts somebody new into EV2; the rest is as in rehearsed line-ups, at random.");
    unmake();
}
END_TEST

/* The first row need not be one rehearsal. */
START_TEST(two_more_rehearsals)
{
    make();
    const struct wr_runs_needed_result r = {
        &s.plan, 390, &e.needed, &s.limits, {.n_rehearsal = s.context.n_run, .n_complete = s.context.n_complete_run},
        &s.forecast, NULL, false,
        false};

    wr_runs_needed_sentence(&r, &out);
    says("One more rehearsal ");
    e.needed.row[0].further = 2;
    wr_str_clear(&out);
    wr_runs_needed_sentence(&r, &out);
    says("Two more rehearsals ");
    is_silent_of("rehearsal would");
    unmake();
}
END_TEST

/* What the drop times buy is told where it is beyond its own error, and large enough to show. */
START_TEST(what_drop_times_buy)
{
    static const struct { struct wr_paired gain; const char *says; } c[] = {
        {{0.03, 0.02, 0.04, 0.001, 0, 0, false}, "take 3.0 of 100 off those over the limit excursion"},
        {{0.0003, 0.0001, 0.0005, 0.0001, 0, 0, false}, "nothing that can be told apart"},
        {{0.03, -0.01, 0.07, 0.001, 0, 0, false}, "nothing that can be told apart"}};

    for (size_t i = 0; i < sizeof c / sizeof *c; i++) {
        make();
        const struct wr_forecast_result r = {.plan = &s.plan, .limits = &s.limits, .forecast = &s.forecast,
                                             .price = d.price, .n_price = d.n_price};
        for (size_t p = 0; p < d.n_price; p++) d.price[p].all_rules = d.price[p].rule = c[i].gain;
        ck_assert_int_eq(wr_show_forecast(WR_FORMAT_TABLE, &s.context, &r, &out, NULL), WR_OK);
        says(c[i].says);
        unmake();
    }
}
END_TEST

Suite *suite_sentences(void);
Suite *suite_sentences(void)
{
    Suite *suite = suite_create("sentences");
    TCase *t = tcase_create("sentences");

    tcase_add_test(t, a_long_record_needs_no_excuse);
    tcase_add_test(t, totals_without_a_model);
    tcase_add_test(t, totals_of_the_shorter_rehearsals);
    tcase_add_test(t, groups_in_the_order_of_time);
    tcase_add_test(t, pace_is_said_beside_the_length_where_they_part);
    tcase_add_test(t, what_is_not_excluded);
    tcase_add_test(t, trials_that_a_precision_takes);
    tcase_add_test(t, the_only_complete_rehearsal);
    tcase_add_test(t, rehearsals_with_work_past_its_drop_rule);
    tcase_add_test(t, an_upper_point_too_near_to_tell);
    tcase_add_test(t, findings_of_one_kind);
    tcase_add_test(t, runs_that_differ_from_the_plan);
    tcase_add_test(t, a_series_with_and_without_intervals);
    tcase_add_test(t, other_limits_of_a_series);
    tcase_add_test(t, people_of_a_series);
    tcase_add_test(t, two_more_rehearsals);
    tcase_add_test(t, what_drop_times_buy);
    suite_add_tcase(suite, t);
    return suite;
}
