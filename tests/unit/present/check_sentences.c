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
    const struct wr_backtest_record r = {.n_forecast = 20, .n_inside80 = 16, .prob_so_few80 = 0.6};

    wr_record_words(&r, &out);
    ck_assert_str_eq(wr_str_text(&out), "no sign against the forecast");
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
    } c[] = {{3, {0, 0}, 0, false, false, "from 3 totals alone: the next finish by 0:51", "stands in"},
             {3, {1, 0}, 0, true, false, "(in one of them the usual time stands in", "no rehearsal timed"},
             {3, {1, 2}, 1, true, true, "; one task that no rehearsal timed counts as planned or judged)",
              "does not disagree"},
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
        const struct wr_total_disagreement disagreement = {.known = c[i].known, .beyond_chance = c[i].beyond};
        const struct wr_fit_result fit = {.total = &check, .disagreement = i ? &disagreement : NULL};
        if (c[i].n > 0) ck_assert_int_eq(wr_log_sample_of(total, c[i].n, &check.sample, NULL), WR_OK);
        wr_str_clear(&out);
        wr_total_sentence(&fit, &out);
        says(c[i].says);
        if (c[i].never) is_silent_of(c[i].never);
        if (c[i].known)
            says(c[i].beyond ? " The forecast disagrees with this beyond what chance explains."
                             : " The forecast does not disagree beyond what chance explains.");
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
        const struct wr_total_disagreement disagreement = {.known = true, .beyond_chance = i == 2};
        const struct wr_fit_result fit = {.total = &check, .disagreement = &disagreement};
        least[3] = i == 0 ? 50 : 75;
        ck_assert_int_eq(wr_log_sample_of(total, 3, &check.sample, NULL), WR_OK);
        wr_str_clear(&out);
        wr_total_sentence(&fit, &out);
        if (i == 0) {
            is_silent_of("left out of the totals");
            says(" The forecast does not disagree beyond what chance explains.");
            continue;
        }
        says(" One rehearsal left out of the totals, too much of which is missing, took longer than that all the same, "
             "up to 1:15: the totals are of the shorter rehearsals");
        is_silent_of("does not disagree");
        if (i == 2) says(" The forecast disagrees with this beyond what chance explains.");
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
        struct wr_group_comparison *g = &e.comparison.group[0];
        const struct wr_compare_result compare = {&s.plan, &s.log, &s.timing, &e.comparison};
        e.comparison.n_group = 1;
        g->reason = WR_COMPARE_DONE;
        g->in_order = c[i].in_order;
        g->has_detrended = c[i].detrended;
        g->ratio = g->detrended_ratio = 1.3;
        g->holm_p = WR_UNKNOWN;
        g->permutation.p_two_sided = 0.01;
        g->detrended_p = wr_known(0.01);
        wr_str_clear(&out);
        wr_group_sentence(g, &out);
        says(c[i].sentence);
        wr_str_clear(&out);
        wr_compare_answer(&compare, &out);
        says(c[i].answer);
    }
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
        unmake();
    }
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
        &s.plan, 390, &e.needed, &s.limits, {s.context.n_run, s.context.n_complete_run}, &s.forecast, NULL};

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
        {{0.03, 0.02, 0.04, 0.001}, "take 3.0 of 100 off those over the limit"},
        {{0.0003, 0.0001, 0.0005, 0.0001}, "nothing that can be told apart"},
        {{0.03, -0.01, 0.07, 0.001}, "nothing that can be told apart"}};

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
    tcase_add_test(t, trials_that_a_precision_takes);
    tcase_add_test(t, the_only_complete_rehearsal);
    tcase_add_test(t, an_upper_point_too_near_to_tell);
    tcase_add_test(t, findings_of_one_kind);
    tcase_add_test(t, runs_that_differ_from_the_plan);
    tcase_add_test(t, a_series_with_and_without_intervals);
    tcase_add_test(t, people_of_a_series);
    tcase_add_test(t, two_more_rehearsals);
    tcase_add_test(t, what_drop_times_buy);
    suite_add_tcase(suite, t);
    return suite;
}
