/* What holds of pads, alternatives and reports of the day whatever the network: on random ones, and on days that the
 * decision has not seen. */
#include <check.h>
#include <math.h>
#include <string.h>
#include "made_excursion.h"
#include "made_plan.h"
#include "wetrun/base/memory.h"
#include "wetrun/decide/pad.h"
#include "wetrun/decide/update.h"
#include "wetrun/decide/whatif.h"

enum { TASKS = 9, DAYS = 12000 };

static double share_later_than(const struct made_excursion *e, double minutes)
{
    double duration[TASKS], end[TASKS];
    size_t n = 0;

    for (size_t i = 0; i < e->scenarios.n_trial; i++) {
        wr_scenarios_durations(&e->scenarios, i, duration);
        n += wr_network_forward(&e->net, duration, NULL, end, NULL) > minutes;
    }
    return (double)n / (double)e->scenarios.n_trial;
}

/* A plan padded to confidence c is overrun 1 - c of the time, on days of another seed. */
START_TEST(padded_plan_is_overrun_as_promised)
{
    static const double confidence[] = {0.8, 0.9, 0.95};
    unsigned long long state = 700 + (unsigned long long)_i;
    struct made_excursion e = {0};

    made_excursion_random(&e, TASKS, 2, _i % 2 ? 0.12 : 0.0, _i % 3 == 2, &state);
    for (size_t c = 0; c < 3; c++) {
        struct wr_pad pad = {0};
        made_excursion_days(&e, DAYS, 1);
        const struct wr_basis basis = made_excursion_basis(&e);
        ck_assert_int_eq(wr_pad_make(&pad, &basis, &e.scenarios, confidence[c], 2, NULL), WR_OK);
        made_excursion_days(&e, DAYS, 2);
        double over = share_later_than(&e, pad.finish_quantile_min), wanted = 1 - confidence[c];
        /* four standard errors of the difference of two independent shares */
        double tol = 4 * sqrt(2 * wanted * confidence[c] / DAYS);
        ck_assert_double_eq_tol(over, wanted, tol);
        /* its half would fail: the test can tell */
        ck_assert(
            fabs(share_later_than(&e, pad.median_finish_min + 0.5 * (pad.finish_quantile_min - pad.median_finish_min)) -
                 wanted) > tol);
        /* where rules drop work, a timeline padded twice may do without some of it */
        if (_i % 3 != 2) ck_assert_double_ge(pad.twice_min + 1e-9, pad.finish_quantile_min);
        ck_assert_double_eq_tol(pad.reserve_min, pad.finish_quantile_min - pad.median_timeline_min, 1e-9);
        for (size_t k = 0; k < TASKS; k++) ck_assert_double_ge(pad.task[k].pad_min, 0);
        wr_pad_release(&pad);
    }
    made_excursion_release(&e);
}
END_TEST

/* Fixed minutes, so that both timelines are one that is walked by hand: A to 10, B from 10 to 30, C to 60, D from 60 to
 * 65, E to 72. */
START_TEST(clocks_are_read_off_the_timelines)
{
    static const struct made_task task[] = {{.id = "A", .crew = "1+2", .median_min = 10},
                                            {.id = "B", .crew = "1", .median_min = 20},
                                            {.id = "C", .crew = "2", .median_min = 50},
                                            {.id = "D", .crew = "1+2", .median_min = 5},
                                            {.id = "E", .crew = "1", .median_min = 7}};
    static const unsigned char between[] = {0, 1, 0, 1, 0};
    const struct wr_sim_limit limit[] = {{.lanes = 3, .minutes = 90},
                                         {.is_clock = true, .from = 1, .to = 3, .minutes = 50},
                                         {.is_clock = true, .from = 0, .to = 4, .minutes = 50},
                                         {.is_clock = true, .from = 3, .to = 1, .minutes = 50}}; /* ends before */
    struct made_excursion e = {0};
    struct wr_pad pad = {0};

    made_excursion_plan(&e, task, 5, 0, 1);
    made_excursion_days(&e, 1000, 1);
    struct wr_basis basis = made_excursion_basis(&e);
    basis.limit = limit;
    basis.n_limit = 4;
    ck_assert_int_eq(wr_pad_make(&pad, &basis, &e.scenarios, 0.9, 1, NULL), WR_OK);
    ck_assert_uint_eq(pad.n_clock, 2);
    ck_assert_uint_eq(pad.clock[0].limit, 1);
    ck_assert_double_eq_tol(pad.clock[0].median_timeline_min, 55, 1e-9);
    ck_assert_double_eq_tol(pad.clock[0].padded_min, 55, 1e-9);
    ck_assert_mem_eq(pad.clock[0].on_way, between, 5);
    ck_assert_uint_eq(pad.clock[1].limit, 2);
    ck_assert_double_eq_tol(pad.clock[1].padded_min, 72, 1e-9);
    for (size_t k = 0; k < 5; k++) ck_assert_uint_eq(pad.clock[1].on_way[k], 1);
    wr_pad_release(&pad);
    e.net.drop_after_min[4] = 50; /* E comes too late: of a clock without its end there is nothing to read */
    ck_assert_int_eq(wr_pad_make(&pad, &basis, &e.scenarios, 0.9, 1, NULL), WR_OK);
    ck_assert_uint_eq(pad.n_clock, 1);
    ck_assert_uint_eq(pad.clock[0].limit, 1);
    wr_pad_release(&pad);
    made_excursion_release(&e);
}
END_TEST

/* Without drop rules leaving a task out delays no day, and taking longer over it brings none forward. */
START_TEST(dropping_never_delays)
{
    unsigned long long state = 900 + (unsigned long long)_i;
    struct made_excursion e = {0};
    unsigned char drop[TASKS][TASKS] = {{0}};
    double scale[TASKS][TASKS];
    struct wr_variant variant[2 * TASKS] = {{0}};
    struct wr_whatif w = {0};
    const struct wr_whatif_options options = {.n_trial = 2000, .seed = 3, .n_thread = 2};

    made_excursion_random(&e, TASKS, 1 + (size_t)_i % 3, 0.1, false, &state);
    struct wr_sim_limit limit = {.lanes = (1u << e.net.n_lane) - 1, .minutes = 150};
    const struct wr_variant base = {
        .name = "base", .net = &e.net, .durations = &e.durations, .limit = &limit, .n_limit = 1};
    for (size_t k = 0; k < TASKS; k++) {
        for (size_t j = 0; j < TASKS; j++) scale[k][j] = j == k ? 1.3 : 1;
        drop[k][k] = 1;
        variant[k] = (struct wr_variant){.name = "drop", .drop = drop[k]};
        variant[TASKS + k] = (struct wr_variant){.name = "longer", .scale = scale[k]};
    }
    ck_assert_int_eq(wr_whatif_run(&w, &base, variant, 2 * TASKS, &options, NULL), WR_OK);
    double most = 0;
    for (size_t i = 0; i < w.n_row; i++) {
        const struct wr_whatif_row *row = &w.row[i];
        const struct wr_whatif_limit *l = &row->limit[0];
        if (row->variant < TASKS) {
            ck_assert_double_eq(row->share_later, 0);
            ck_assert_double_ge(row->saved_min.mean, 0);
            ck_assert_double_le(l->prob_over, l->prob_over_base);
            most = fmax(most, row->saved_min.mean);
        } else {
            ck_assert_double_le(row->saved_min.mean, 0);
            ck_assert_double_ge(l->prob_over, l->prob_over_base);
        }
        ck_assert_double_eq_tol(l->gain.mean, l->prob_over_base - l->prob_over, 1e-9);
    }
    ck_assert_double_gt(most, 1); /* something was saved: not all of this is empty */
    wr_whatif_release(&w);
    made_excursion_release(&e);
}
END_TEST

static enum wr_status report_of(struct wr_now *now, const char *text, const struct wr_plan *plan, struct wr_maybe start,
                                struct wr_error *err)
{
    enum wr_status status = wr_now_parse(now, text, plan, start, err);

    return status == WR_OK ? wr_now_close(now, plan, err) : status;
}

START_TEST(reports_of_the_day_are_read_or_refused)
{
    static const struct made_task task[] = {
        {"A", "1+2", NULL, 15, 0.1, 0, 0}, {"B", "1", NULL, 30, 0.2, 0, 0}, {"B-2", "2", NULL, 20, 0.2, 0, 0}};
    static const char *const bad[] = {"", "A", "A@", "A@1:99", "X@0:10", "A@0:10-0:05", "A@0:00,A@0:01", "A@0:00,",
                                      "A@0:30,@0:10", "@0:10", "A@-0:10"};
    struct made_excursion e = {0};

    made_excursion_plan(&e, task, 3, 0.1, 1);
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        struct wr_now now = {0};
        struct wr_error err = {0};
        ck_assert_msg(report_of(&now, bad[i], &e.plan, WR_UNKNOWN, &err) == WR_E_USAGE, "took '%s'", bad[i]);
        ck_assert(err.text[0]);
        wr_now_release(&now);
    }
    struct wr_now now = {0};
    ck_assert_int_eq(report_of(&now, "A@0:00-0:16,B-2@0:17,B=0:50,@0:55", &e.plan, WR_UNKNOWN, NULL), WR_OK);
    ck_assert_uint_eq(now.n_event, 3);
    ck_assert_double_eq(now.now_min, 55);
    ck_assert_uint_eq(now.event[1].task, 2); /* the longer of two names that fit */
    ck_assert(now.event[1].begin_min.known && now.event[1].begin_min.value == 17 && !now.event[1].end_min.known);
    ck_assert(!now.event[2].begin_min.known && now.event[2].end_min.value == 50);
    wr_now_release(&now);

    /* a contradiction with the plan is refused, with both names */
    struct wr_now_state state = {0};
    struct wr_error err = {0};
    ck_assert_int_eq(report_of(&now, "A@0:40,B@0:10", &e.plan, WR_UNKNOWN, NULL), WR_OK);
    ck_assert_int_eq(wr_now_resolve(&state, &now, &e.net, &e.plan, &err), WR_E_USAGE);
    ck_assert(strstr(err.text, "A") && strstr(err.text, "B"));
    wr_now_state_release(&state);
    wr_now_release(&now);
    made_excursion_release(&e);
}
END_TEST

/* Times of day: one before the beginning is of the next day. What lasts longer than any excursion is asked about. */
START_TEST(reports_by_the_clock)
{
    static const struct made_task task[] = {{"A", "1+2", NULL, 15, 0.1, 0, 0}, {"B", "1", NULL, 30, 0.2, 0, 0}};
    struct made_excursion e = {0};
    struct wr_now now = {0};
    struct wr_error err = {0};

    made_excursion_plan(&e, task, 2, 0.1, 1);
    ck_assert_int_eq(report_of(&now, "A@23:50-0:06,B@0:07,@0:20", &e.plan, wr_known(23 * 60 + 50), &err), WR_OK);
    ck_assert_double_eq(now.event[0].begin_min.value, 0);
    ck_assert_double_eq(now.event[0].end_min.value, 16);
    ck_assert_double_eq(now.event[1].begin_min.value, 17);
    ck_assert_double_eq(now.now_min, 30);
    ck_assert_int_eq(wr_now_ask_if_late(&now, wr_known(23 * 60 + 50), 60, &err), WR_OK);
    wr_now_release(&now);
    ck_assert_int_eq(report_of(&now, "A@9:00", &e.plan, WR_UNKNOWN, &err), WR_OK);
    ck_assert_int_eq(wr_now_ask_if_late(&now, WR_UNKNOWN, 90, &err), WR_E_USAGE);
    ck_assert(strstr(err.text, "9:00") && strstr(err.text, "1:30") && strstr(err.text, "--start 0:00"));
    ck_assert_int_eq(wr_now_ask_if_late(&now, wr_known(0), 90, &err), WR_OK); /* elapsed, and said so */
    wr_now_release(&now);
    ck_assert_int_eq(report_of(&now, "A@0:16", &e.plan, wr_known(540), &err), WR_OK); /* elapsed where times of day were
                                                                                         meant */
    ck_assert_int_eq(wr_now_ask_if_late(&now, wr_known(540), 90, &err), WR_E_USAGE);
    ck_assert(strstr(err.text, "15:16") && strstr(err.text, "9:00"));
    wr_now_release(&now);
    made_excursion_release(&e);
}
END_TEST

START_TEST(reports_from_a_table)
{
    static const struct made_task task[] = {{"A", "1+2", NULL, 15, 0.1, 0, 0}, {"B", "1", NULL, 30, 0.2, 0, 0}};
    static const struct { const char *table, *code; } bad[] = {
        {"task,start,end\nX,9:00,\n", "unknown-task"}, {"task,start,end\nA,soon,\n", "bad-moment"},
        {"task,start,end\nA,,\n", "no-moment"}, {"task,start,end\n,,9:00\n", "no-moment"},
        {"task,start,end\nA,9:00,\nA,9:05,\n", "reported-twice"},
        {"task,start,end,outcome\nA,9:00,9:10,stopped\n", "report-outcome"}};
    static const char good[] = "task,start,end,hold,outcome\nA,9:00,9:16,0,Done\nB,,9:50,4,\n,9:55,,,\n";
    static const char twice[] = "task,start,end\nA,9:00,9:16\n,9:50,\n,9:55,\n";
    struct made_excursion e = {0};
    struct wr_findings findings = {0};
    struct wr_day_report report = {0};
    struct wr_now now = {0};
    struct wr_error err = {0};

    made_excursion_plan(&e, task, 2, 0.1, 1);
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        struct wr_findings found = {0};
        ck_assert_int_eq(
            wr_day_report_read_bytes(&report, "day.csv", bad[i].table, strlen(bad[i].table), &e.plan, NULL,
                                     wr_known(540), &found, &err),
            WR_E_INPUT);
        ck_assert_str_eq(found.finding[0].code, bad[i].code);
        wr_day_report_release(&report);
        wr_findings_release(&found);
    }
    ck_assert_int_eq(wr_day_report_read_bytes(&report, "day.csv", good, strlen(good), &e.plan, NULL, wr_known(540),
                                              &findings, &err), WR_OK);
    ck_assert_int_eq(wr_now_take(&now, &report, &e.plan, &err), WR_OK);
    ck_assert_int_eq(wr_now_close(&now, &e.plan, &err), WR_OK);
    ck_assert_uint_eq(now.n_event, 2);
    ck_assert_double_eq(now.event[0].end_min.value, 16);
    ck_assert(!now.event[1].begin_min.known && now.event[1].end_min.value == 50);
    ck_assert_double_eq(now.now_min, 55);
    ck_assert_double_eq(now.event[1].hold_min, 4);
    ck_assert_uint_eq(findings.n_finding, 0);
    wr_now_release(&now);
    wr_day_report_release(&report);
    ck_assert_int_eq(wr_day_report_read_bytes(&report, "day.csv", twice, strlen(twice), &e.plan, NULL, wr_known(540),
                                              &findings, &err),
                     WR_OK);
    ck_assert_int_eq(wr_now_take(&now, &report, &e.plan, &err), WR_E_USAGE);
    ck_assert_ptr_nonnull(strstr(err.text, "said twice"));
    wr_day_report_release(&report);
    wr_findings_release(&findings);
    made_excursion_release(&e);
}
END_TEST

START_TEST(alternatives_that_are_refused)
{
    static const double factor[] = {-0.1, INFINITY, NAN};
    unsigned long long state = 77;
    struct made_excursion e = {0}, other = {0};
    struct wr_whatif w = {0};
    const struct wr_whatif_options options = {.n_trial = 200, .seed = 3, .n_thread = 1};
    struct wr_error err = {.text = ""};
    double scale[TASKS];

    made_excursion_random(&e, TASKS, 2, 0.1, false, &state);
    struct wr_sim_limit limit = {.lanes = 3, .minutes = 150};
    const struct wr_variant base = {
        .name = "base", .net = &e.net, .durations = &e.durations, .limit = &limit, .n_limit = 1};
    for (size_t i = 0; i < 3; i++) {
        for (size_t k = 0; k < TASKS; k++) scale[k] = k == 1 ? factor[i] : 1;
        struct wr_variant variant = {.name = "scaled", .scale = scale};
        ck_assert_int_eq(wr_whatif_run(&w, &base, &variant, 1, &options, &err), WR_E_DOMAIN);
        ck_assert_ptr_nonnull(strstr(err.text, "'scaled' scales a task by"));
        wr_whatif_release(&w);
    }
    state = 77;
    made_excursion_random(&other, TASKS, 2, 0.1, false, &state);
    other.durations.n_draw++;
    struct wr_variant variant = {.name = "other", .net = &other.net, .durations = &other.durations};
    ck_assert_int_eq(wr_whatif_run(&w, &base, &variant, 1, &options, &err), WR_E_DOMAIN);
    ck_assert_ptr_nonnull(strstr(err.text, "'other' rests on other posterior draws"));
    other.durations.n_draw--;
    wr_whatif_release(&w);
    made_excursion_release(&e);
    made_excursion_release(&other);
}
END_TEST

Suite *suite_decision_invariants(void);
Suite *suite_decision_invariants(void)
{
    Suite *s = suite_create("decision_invariants");
    TCase *t = tcase_create("decision_invariants");

    tcase_set_timeout(t, 120);
    tcase_add_loop_test(t, padded_plan_is_overrun_as_promised, 0, made_plan_many(6));
    tcase_add_test(t, clocks_are_read_off_the_timelines);
    tcase_add_loop_test(t, dropping_never_delays, 0, made_plan_many(6));
    tcase_add_test(t, reports_of_the_day_are_read_or_refused);
    tcase_add_test(t, reports_by_the_clock);
    tcase_add_test(t, reports_from_a_table);
    tcase_add_test(t, alternatives_that_are_refused);
    suite_add_tcase(s, t);
    return s;
}
