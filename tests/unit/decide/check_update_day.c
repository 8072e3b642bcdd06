/* What a report of the day teaches, on a small rehearsed campaign. */
#include <check.h>
#include <math.h>
#include <string.h>
#include "small_campaign.h"
#include "wetrun/base/memory.h"
#include "wetrun/decide/update.h"

static const struct made_truth truth = {.tau = 0.1, .sigma = 0.15};
enum { OUT, REACH, DAYS = 2000 };

/* The update of a forecast of the excursion, by what is reported; carry_over NULL: at pool pace. */
static struct wr_update update_of(struct small_campaign *c, const struct wr_carry_over *carry_over,
                                  const struct wr_now *now)
{
    struct wr_durations d = {0};
    struct wr_scenarios before = {0};
    struct wr_findings unused = {0};
    struct wr_update u = {0};
    struct wr_error err = {.text = ""};
    const struct wr_cutoff_limit limit = {{.lanes = 3, .minutes = 100000}, 0.9};
    const struct wr_update_options options = {.n_trial = DAYS, .seed = 3, .n_thread = 1};
    const struct wr_cutoff_options card = {.n_thread = 1};

    c->options.target = WR_FOR_EXCURSION;
    ck_assert_int_eq(wr_durations_build(&d, &c->plan, &c->net, &c->timing, &c->fit, carry_over, &c->options, &unused,
                                        &err), WR_OK);
    wr_scenarios_make(&before, &d, DAYS, 2, 1);
    struct wr_basis basis = small_campaign_basis(c);
    basis.durations = &d;
    basis.carry_over = carry_over;
    ck_assert_msg(wr_update_make(&u, &basis, &before, now, &limit, 1, &card, &options, &unused, &err) == WR_OK, "%s",
                  err.text);
    wr_scenarios_release(&before);
    wr_durations_release(&d);
    wr_findings_release(&unused);
    return u;
}

/* OUT takes in flight what it takes in the pool by the factor of its kind, REACH, whose kind has no history, by that of
 * kinds in general: that teaches of the pool what the pool's own times would have taught, so that the two updates
 * differ by the factors that are drawn, and by nothing else. */
START_TEST(a_time_in_flight_teaches_pool_pace)
{
    static struct wr_history_row flown[] = {{"X1", "transit", 12, 18, 2, false},
                                            {"X1", "fastener", 40, 38, 3, false},
                                            {"X2", "transit", 15, 23, 4, false},
                                            {"X2", "fastener", 32, 33, 5, false}};
    const struct wr_history history = {.row = flown, .n_row = 4};
    struct wr_carry_over carry_over = {0};
    struct small_campaign c = {0};

    small_campaign_make(&c, 6, &truth, 71);
    c.plan.task[OUT].kind = "transit";
    ck_assert_int_eq(wr_carry_over_fit(&carry_over, &history, NULL), WR_OK);
    size_t transit = 0;
    while (strcmp(carry_over.kind[transit], "transit") != 0) transit++;
    ck_assert_double_gt(carry_over.mean_log[transit], carry_over.common_mean_log + 0.05);
    const double out_min = 1.3 * made_cell(&c.timing, OUT, 0)->active_min,
                 reach_min = 1.3 * made_cell(&c.timing, REACH, 0)->active_min,
                 out_flown = out_min * exp(carry_over.mean_log[transit]),
                 reach_flown = reach_min * exp(carry_over.common_mean_log);
    struct wr_now_event in_pool[] = {{OUT, {true, 0}, {true, out_min}, 0},
                                     {REACH, {true, out_min}, {true, out_min + reach_min}, 0}};
    struct wr_now_event in_flight[] = {{OUT, {true, 0}, {true, out_flown}, 0},
                                       {REACH, {true, out_flown}, {true, out_flown + reach_flown}, 0}};
    const struct wr_now pool = {.event = in_pool, .n_event = 2, .now_min = out_min + reach_min};
    const struct wr_now flight = {.event = in_flight, .n_event = 2, .now_min = out_flown + reach_flown};
    struct wr_update a = update_of(&c, &carry_over, &flight), b = update_of(&c, NULL, &pool);
    size_t n = a.durations.n_draw;
    WR_SCOPED double *factor = WR_NEW_ARRAY(double, n);
    ck_assert_uint_eq(n, b.durations.n_draw);
    for (size_t k = 0; k < SMALL_TASKS; k++) {
        wr_carry_over_draw(&carry_over, c.plan.task[k].kind, c.options.sampler.seed, n, factor);
        for (size_t j = 0; j < n; j++)
            ck_assert_double_eq_tol(a.durations.centre_log[k * n + j] - b.durations.centre_log[k * n + j], factor[j],
                                    1e-9);
    }
    ck_assert(a.n_brief == 0 && a.n_beyond == 0);
    wr_update_release(&a);
    wr_update_release(&b);
    wr_carry_over_release(&carry_over);
    small_campaign_release(&c);
}
END_TEST

/* Two tasks done in six seconds each: shorter than on 999 of 1000 days; the first of them is named. */
START_TEST(times_that_no_day_has)
{
    struct wr_now_event event[] = {{OUT, {true, 0}, {true, 0.1}, 0}, {REACH, {true, 0.1}, {true, 0.2}, 0}};
    const struct wr_now now = {.event = event, .n_event = 2, .now_min = 0.2};
    struct small_campaign c = {0};

    small_campaign_make(&c, 6, &truth, 72);
    struct wr_update u = update_of(&c, NULL, &now);
    ck_assert(u.n_brief == 2 && u.brief_task == OUT && u.n_beyond == 0);
    ck_assert_double_lt(u.seen_factor, 0.1);
    wr_update_release(&u);
    small_campaign_release(&c);
}
END_TEST

Suite *suite_update_day(void);
Suite *suite_update_day(void)
{
    Suite *s = suite_create("update_day");
    TCase *t = tcase_create("update_day");

    tcase_set_timeout(t, 60);
    tcase_add_test(t, a_time_in_flight_teaches_pool_pace);
    tcase_add_test(t, times_that_no_day_has);
    suite_add_tcase(s, t);
    return s;
}
