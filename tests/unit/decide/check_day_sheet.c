/* What the page for the day is told, and the forecast beside it after a long gap: on a small rehearsed campaign. */
#include <check.h>
#include <math.h>
#include <stdint.h>
#include "small_campaign.h"
#include "wetrun/decide/beside.h"
#include "wetrun/decide/day_sheet.h"

static const struct made_truth learning = {.tau = 0.05, .gamma = -0.2, .sigma = 0.1};

struct sheet { /* a campaign, and durations built with its options */
    struct small_campaign c;
    struct wr_durations d;
    struct wr_findings findings;
    struct wr_day_sheet sheet;
};

static void make(struct sheet *s, const struct wr_carry_over *carry_over, const struct wr_fit_options *options)
{
    struct wr_error err = {.text = ""};

    ck_assert_msg(wr_durations_build(&s->d, &s->c.plan, &s->c.net, &s->c.timing, &s->c.fit, carry_over, options,
                                     &s->findings, &err) == WR_OK, "%s", err.text);
    wr_day_sheet_make(&s->sheet, &s->c.plan, &s->c.fit, carry_over, &s->d, options);
}

static void unmake(struct sheet *s)
{
    wr_day_sheet_release(&s->sheet);
    wr_durations_release(&s->d);
    wr_findings_release(&s->findings);
}

/* Pool part and shift add up to what the forecast rests on; the pool part is the posterior's, as learning is credited;
 * what is seen on the day is taken back by the mean of its kind, or by that of kinds in general, and in a forecast of a
 * rehearsal by nothing. */
START_TEST(what_a_report_teaches_and_what_is_added)
{
    static struct wr_history_row flown[] = {{"X1", "transit", 12, 10.5, 2, false},
                                            {"X1", "fastener", 40, 46, 3, false},
                                            {"X2", "transit", 15, 14, 4, false},
                                            {"X2", "fastener", 32, 35, 5, false}};
    const struct wr_history history = {.row = flown, .n_row = 4};
    struct wr_carry_over carry_over = {0};
    struct sheet s = {0};

    small_campaign_make(&s.c, 5, &learning, 61);
    ck_assert_int_eq(wr_carry_over_fit(&carry_over, &history, NULL), WR_OK);
    s.c.plan.task[1].kind = "transit";
    for (int way = 0; way < 3; way++) { /* the next rehearsal; held where it ended; the excursion */
        struct wr_fit_options options = s.c.options;
        options.hold_learning = way == 1;
        options.target = way == 2 ? WR_FOR_EXCURSION : WR_FOR_REHEARSAL;
        make(&s, way == 1 ? NULL : &carry_over, &options);
        double step = way == 0 ? 0 : log(s.c.fit.last_order) - log(s.c.fit.target_order);
        size_t n = s.d.n_draw;
        for (size_t k = 0; k < SMALL_TASKS; k++) {
            ck_assert(s.sheet.learned[k]);
            double seen = way < 2 ? 0 : k == 1 ? carry_over.mean_log[0] : carry_over.common_mean_log;
            ck_assert_double_eq_tol(s.sheet.seen_shift_log[k], seen, 1e-12);
            for (size_t j = 0; j < n; j++) {
                double pool = s.c.fit.post.mu[s.c.fit.model_task[k] * n + j] + s.c.fit.post.gamma[j] * step;
                double shift = s.sheet.shift_of[k] == SIZE_MAX ? 0 : s.sheet.shift_log[s.sheet.shift_of[k] * n + j];
                ck_assert_double_eq_tol(s.sheet.pool_log[k * n + j], pool, 1e-9);
                ck_assert_double_eq_tol(pool + shift, s.d.centre_log[k * n + j], 1e-9);
            }
        }
        ck_assert_uint_eq(s.sheet.n_shift, way == 2 ? 2 : 0); /* of the two kinds */
        unmake(&s);
    }
    ck_assert(carry_over.n_kind == 2 && carry_over.mean_log[0] != carry_over.common_mean_log);
    wr_carry_over_release(&carry_over);
    small_campaign_release(&s.c);
}
END_TEST

/* Where something was allowed for a long gap, the forecast beside it allows nothing: it is earlier on every point. */
START_TEST(the_forecast_beside_an_allowance)
{
    struct sheet s = {0};
    struct wr_beside beside[WR_BESIDE_MOST] = {{0}};
    struct wr_forecast with = {0};
    const struct wr_gap none = {0};
    const struct wr_sim_options sim = {.seed = 1, .n_thread = 2};
    size_t n;

    small_campaign_make(&s.c, 5, &learning, 62);
    s.c.options.gap_allowance = 20;
    make(&s, NULL, &s.c.options);
    struct wr_basis basis = small_campaign_basis(&s.c);
    basis.durations = &s.d;
    ck_assert_int_eq(wr_forecast_run(&with, &s.c.net, &s.d, &sim, NULL), WR_OK);
    ck_assert_int_eq(wr_beside_make(beside, &n, &basis, &none, &sim, NULL), WR_OK);
    ck_assert_uint_eq(n, 1);
    ck_assert_int_eq(beside[0].kind, WR_BESIDE_NOTHING_FORGOTTEN);
    ck_assert_double_eq(beside[0].percent, 0);
    ck_assert_uint_eq(beside[0].forecast.n_trial, 65536); /* percentiles alone are read off them */
    for (size_t q = 0; q < WR_N_LENS; q++) ck_assert_double_lt(beside[0].forecast.lens_min[q], with.lens_min[q]);
    wr_beside_release(&beside[0]);
    s.c.options.gap_allowance = 0;
    ck_assert_int_eq(wr_beside_make(beside, &n, &basis, &none, &sim, NULL), WR_OK);
    ck_assert_uint_eq(n, 0);
    wr_forecast_release(&with);
    unmake(&s);
    small_campaign_release(&s.c);
}
END_TEST

/* BOLTS rests on judgement, and REEL does not wait for it: of the clock that REEL ends, judges who are short say
 * nothing, and what was forgotten over a long gap does. */
START_TEST(only_what_reaches_a_limit_is_a_second_answer_on_it)
{
    enum { OUT = 0, BOLTS = 3, REEL = 5, IN = 6 };
    const struct wr_sim_limit limit[] = {
        {.lanes = 3, .minutes = 300}, {0, true, OUT, REEL, 100}, {0, true, BOLTS, IN, 100}};
    struct sheet s = {0};
    struct wr_beside beside[WR_BESIDE_MOST] = {{0}};
    struct wr_forecast with = {0};
    const struct wr_sim_options sim = {.seed = 1, .n_thread = 2, .limit = limit, .n_limit = 3};
    const struct { struct wr_gap gap; size_t n; bool known[3]; enum wr_beside_kind kind[3]; } asked[] = {
        {{.is_long = false}, 1, {true, false, true}, {WR_BESIDE_JUDGED_SHORT, 0, WR_BESIDE_JUDGED_SHORT}},
        {{.is_long = true}, 3, {true, true, true}, {WR_BESIDE_TOGETHER, WR_BESIDE_GAP_ALLOWED, WR_BESIDE_TOGETHER}}};

    small_campaign_make(&s.c, 5, &learning, 63);
    for (size_t r = 0; r < 5; r++) made_cell_state(&s.c.timing, BOLTS, r, WR_CELL_ABSENT);
    s.c.plan.task[BOLTS].low_min = wr_known(60);
    s.c.plan.task[BOLTS].likely_min = wr_known(80);
    s.c.plan.task[BOLTS].high_min = wr_known(110);
    small_campaign_refit(&s.c);
    make(&s, NULL, &s.c.options);
    struct wr_basis basis = small_campaign_basis(&s.c);
    basis.durations = &s.d;
    ck_assert_int_eq(wr_forecast_run(&with, &s.c.net, &s.d, &sim, NULL), WR_OK);
    for (size_t a = 0; a < 2; a++) {
        size_t n;
        ck_assert_int_eq(wr_beside_make(beside, &n, &basis, &asked[a].gap, &sim, NULL), WR_OK);
        ck_assert_uint_eq(n, asked[a].n);
        wr_beside_to_limits(beside, n, &with);
        for (size_t l = 0; l < 3; l++) {
            ck_assert_int_eq(with.limit[l].second.known, asked[a].known[l]);
            if (asked[a].known[l]) ck_assert_int_eq(with.limit[l].second.kind, asked[a].kind[l]);
        }
        for (size_t i = 0; i < n; i++) {
            wr_beside_release(&beside[i]);
            beside[i] = (struct wr_beside){0};
        }
    }
    wr_forecast_release(&with);
    unmake(&s);
    small_campaign_release(&s.c);
}
END_TEST

Suite *suite_day_sheet(void);
Suite *suite_day_sheet(void)
{
    Suite *s = suite_create("day_sheet");
    TCase *t = tcase_create("day_sheet");

    tcase_set_timeout(t, 60);
    tcase_add_test(t, what_a_report_teaches_and_what_is_added);
    tcase_add_test(t, the_forecast_beside_an_allowance);
    tcase_add_test(t, only_what_reaches_a_limit_is_a_second_answer_on_it);
    suite_add_tcase(s, t);
    return s;
}
