/* Judged and known times share the day: forecast, cut-offs, and what their times say during an excursion. Expected
 * numbers are integrals over the day on a grid, done outside the program (scipy 1.10), but where a formula stands
 * beside them. */
#include <check.h>
#include <gsl/gsl_randist.h>
#include <gsl/gsl_cdf.h>
#include <math.h>
#include <string.h>
#include "../../../src/decide/days.h"
#include "../../../src/decide/judged_law.h"
#include "made_excursion.h"
#include "wetrun/base/memory.h"
#include "wetrun/decide/cutoff.h"
#include "wetrun/sim/forecast.h"

enum { N_TRIAL = 16000 };
static const double tau = 0.15, limit_min = 120;

/* One after the other: 20, 25, 40 minutes judged; 30 minutes known, sd of the log 0.15; 30, 40, 70 judged. */
static void make(struct made_excursion *e)
{
    static const struct made_task task[] = {
        {"A", NULL, NULL, 25, 0.1, 0, 0}, {"B", NULL, "A", 30, 0.15, 0, 0}, {"C", NULL, "B", 40, 0.1, 0, 0}};

    *e = (struct made_excursion){0};
    made_excursion_plan(e, task, 3, tau, 1);
    e->durations.source[0] = (struct wr_source){WR_SRC_JUDGED, {20, 25, 40}, WR_THREE_POINT_PERT};
    e->durations.source[1] = (struct wr_source){.kind = WR_SRC_LOGNORMAL, .p = {log(30), 0.15}};
    e->durations.source[2] = (struct wr_source){WR_SRC_JUDGED, {30, 40, 70}, WR_THREE_POINT_PERT};
    made_excursion_days(e, N_TRIAL, 1);
}

START_TEST(forecast_of_judgement)
{
    struct made_excursion e;
    struct wr_forecast f;
    struct wr_sim_limit limit = {.lanes = 1, .minutes = limit_min};
    struct wr_sim_options options = {.seed = 1, .n_thread = 1, .limit = &limit, .n_limit = 1};

    make(&e);
    ck_assert_int_eq(wr_forecast_run(&f, &e.net, &e.durations, &options, NULL), WR_OK);
    ck_assert_double_eq_tol(f.limit[0].over.mean, 0.14885, 3e-4); /* the grid's own error: 2e-4 */
    ck_assert(f.limit[0].over.no_interval && f.run_effect_share > 0.6);
    wr_forecast_release(&f);
    made_excursion_release(&e);
}
END_TEST

START_TEST(cutoffs_of_judgement)
{
    static const double expected[] = {0, 27.758, 61.989};
    struct made_excursion e;
    struct wr_cutoff_card card = {0};
    struct wr_cutoff_limit limit = {{.lanes = 1, .minutes = limit_min}, 0.9};
    struct wr_cutoff_options options = {.n_thread = 1};

    make(&e);
    struct wr_basis basis = made_excursion_basis(&e);
    ck_assert_int_eq(wr_cutoff_make(&card, &basis, &e.scenarios, &limit, 1, &options, NULL), WR_OK);
    for (size_t k = 1; k < 3; k++) {
        const struct wr_cutoff_row *row = &card.list[0].row[k];
        ck_assert_int_eq(row->reason, WR_CUTOFF_FOUND);
        ck_assert_double_lt(row->mc_error_min, 0.2);
        ck_assert_double_eq_tol(row->latest_start_min, expected[k], 4 * row->mc_error_min);
    }
    wr_cutoff_release(&card);
    made_excursion_release(&e);
}
END_TEST

/* Density and tail against the beta distribution itself; one judgement in ten is off by 0.2 in the log. */
START_TEST(law_of_a_judgement)
{
    struct wr_judged_law law;
    const struct wr_source source = {WR_SRC_JUDGED, {20, 25, 40}, WR_THREE_POINT_PERT};

    wr_judged_law_make(&law, &source);
    for (double t = 20.5; t < 40; t += 0.5) {
        double y = log(t) - law.centre, off = gsl_ran_gaussian_pdf(y, hypot(law.spread, 0.2));
        double density = 0.9 * gsl_ran_beta_pdf((t - 20) / 20, 2, 4) / 20 * t + 0.1 * off;
        ck_assert_double_eq_tol(exp(wr_judged_log_density(&law, y)), density, 2e-3 * density + 1e-4);
        ck_assert_double_eq_tol(exp(wr_judged_log_tail(&law, y)), gsl_cdf_beta_Q((t - 20) / 20, 2, 4), 2e-5);
    }
    ck_assert_double_eq_tol(wr_judged_log_density(&law, 2), log(0.1 * gsl_ran_gaussian_pdf(2, hypot(law.spread, 0.2))),
                            1e-6);
    ck_assert_double_eq_tol(wr_judged_log_tail(&law, -2), 0, 1e-5);
}
END_TEST

/* The run effect's posterior mean and sd when A took so long. Far beyond what was judged it was the judgement that was
 * off more than the day: had the bounds been believed, 60 minutes would give 0.539 and 0.060. */
START_TEST(a_judged_time_tells_of_the_day)
{
    static const struct { double took_min, mean, sd; } asked[] = {
        {34, 0.12761, 0.10511}, {44, 0.25400, 0.11811}, {60, 0.26244, 0.15352}};
    struct wr_judged_law law;
    const struct wr_source source = {WR_SRC_JUDGED, {20, 25, 40}, WR_THREE_POINT_PERT};

    wr_judged_law_make(&law, &source);
    for (size_t i = 0; i < 3; i++) {
        struct wr_pace_seen seen = {WR_PACE_DONE, log(asked[i].took_min) - law.centre, law.spread, 1, 0, &law};
        struct wr_pace pace = wr_pace_given(tau, &seen, 1);
        ck_assert_double_eq_tol(tau * pace.mean, asked[i].mean, 1e-3);
        ck_assert_double_eq_tol(tau * pace.sd, asked[i].sd, 1e-3);
    }
}
END_TEST

/* Derivatives of a running judged task by its own score and by the run effect's, against finite differences. */
START_TEST(a_running_judged_task_answers_to_a_push)
{
    unsigned char state[3] = {WR_NOW_RUNNING, WR_NOW_AHEAD, WR_NOW_AHEAD};
    double begin[3] = {0}, end[3] = {0};
    const struct wr_now_state now = {.n_task = 3, .now_min = 26, .state = state, .begin_min = begin, .end_min = end,
                                     .hold_min = (double[3]){0}, .rule = (unsigned char[3]){0}};
    struct made_excursion e;
    struct wr_days days;
    struct wr_way way;
    struct wr_taken low, high, here;
    const double h = 1e-3;

    make(&e);
    wr_days_make(&days, &e.net, &e.durations, &e.scenarios, &now);
    wr_way_init(&way, &days);
    way.run = 0.8, way.task[0] = 0.6;
    ck_assert(wr_way_normalise(&way, &days));
    for (size_t i = 0; i < 200; i++) {
        ck_assert(wr_days_begun(&days, &way, i, 0, -h, &low) && wr_days_begun(&days, &way, i, 0, h, &high));
        ck_assert(wr_days_begun(&days, &way, i, 0, 0, &here) && here.minutes >= 26);
        double rate = (high.minutes - low.minutes) / (2 * h), said = here.by_z * way.task[0] + here.by_run * way.run;
        /* the tables' own kinks: a few hundredths of the rate */
        ck_assert_double_eq_tol(said, rate, 0.04 * fabs(rate) + 0.02);
    }
    wr_way_release(&way);
    wr_days_release(&days);
    made_excursion_release(&e);
}
END_TEST

/* Without days that differ what judges say has bounds: A and B end by 40 + 45. Against a limit that C keeps after the
 * latest of these, only a hold from outside could make C late: its cut-off is the imposed one, where C's own time alone
 * decides, by the beta distribution. */
START_TEST(a_start_that_cannot_be_too_late)
{
    struct made_excursion e;
    struct wr_cutoff_card card = {0};
    const struct wr_cutoff_limit limit = {{.lanes = 1, .minutes = 200}, 0.9};
    const struct wr_cutoff_options options = {.n_thread = 1};

    make(&e);
    e.durations.tau[0] = 0;
    e.durations.source[1] = (struct wr_source){WR_SRC_JUDGED, {25, 30, 45}, WR_THREE_POINT_PERT};
    made_excursion_days(&e, N_TRIAL, 1);
    const struct wr_basis basis = made_excursion_basis(&e);
    ck_assert_int_eq(wr_cutoff_make(&card, &basis, &e.scenarios, &limit, 1, &options, NULL), WR_OK);
    const struct wr_cutoff_row *row = &card.list[0].row[2];
    double quantile = 30 + 40 * gsl_cdf_beta_Pinv(0.9, 2, 4); /* mode at a quarter: shapes 1 + 4/4 and 1 + 4 * 3/4 */
    double density = gsl_ran_beta_pdf((quantile - 30) / 40, 2, 4) / 40;
    ck_assert_int_eq(row->reason, WR_CUTOFF_FOUND);
    ck_assert(row->beyond_range && row->method == WR_CUTOFF_IMPOSED);
    ck_assert_double_eq_tol(row->latest_start_min, 200 - quantile, 4 * sqrt(0.09 / N_TRIAL) / density);
    wr_cutoff_release(&card);
    made_excursion_release(&e);
}
END_TEST

Suite *suite_judged_day(void);
Suite *suite_judged_day(void)
{
    Suite *s = suite_create("judged_day");
    TCase *t = tcase_create("judged_day");

    tcase_add_test(t, forecast_of_judgement);
    tcase_add_test(t, cutoffs_of_judgement);
    tcase_add_test(t, law_of_a_judgement);
    tcase_add_test(t, a_judged_time_tells_of_the_day);
    tcase_add_test(t, a_running_judged_task_answers_to_a_push);
    tcase_add_test(t, a_start_that_cannot_be_too_late);
    suite_add_tcase(s, t);
    return s;
}
