#include <check.h>
#include <gsl/gsl_randist.h>
#include <math.h>
#include "made_durations.h"
#include "wetrun/model/summary.h"
#include "wetrun/stats/quantile.h"

static struct wr_timing no_timing(size_t n_task)
{
    return (struct wr_timing){.n_task = n_task};
}

static void summarise(struct wr_fit_summary *s, const struct wr_durations *d, unsigned n_thread)
{
    struct wr_model_fit fit = {0};
    struct wr_timing timing = no_timing(d->n_task);
    struct wr_fit_options options = wr_fit_options_default();

    options.sampler.n_thread = n_thread;
    wr_fit_summarise(s, &fit, d, &timing, &options);
}

/* One simulated time of a task, written from the model's definition: line-up, people, run effect, skew error. */
static double simulate(const gsl_rng *rng, const struct wr_durations *d, size_t task, size_t draw)
{
    size_t n = d->n_draw, line_up = gsl_rng_uniform_int(rng, d->n_line_up);
    double y = d->centre_log[task * n + draw] + gsl_ran_gaussian(rng, d->tau[draw]), people = 0.0, lanes = 0.0;
    double rho = d->rho[draw], c0 = sqrt(2.0 / M_PI);

    for (size_t l = 0; l < d->n_lane; l++) {
        int who = d->line_up[line_up * d->n_lane + l];
        if (!(d->lanes[task] >> l & 1)) continue;
        lanes++;
        if (who == WR_PERSON_NEW) people += gsl_ran_gaussian(rng, d->kappa[draw]);
        if (who >= 0) people += d->q[(size_t)who * n + draw];
    }
    double e = rho * (fabs(gsl_ran_gaussian(rng, 1.0)) - c0) + sqrt(1.0 - rho * rho) * gsl_ran_gaussian(rng, 1.0);
    return exp(y + people / lanes + d->spread_log[task * n + draw] * e / sqrt(1.0 - c0 * c0 * rho * rho));
}

static void make_days(struct wr_durations *d)
{
    static const int line_up[] = {0, 1, 1, 0, 0, WR_PERSON_NEW};

    made_durations_plain(d, 3, 40);
    made_durations_people(d, 2, 2, 3, line_up);
    d->lanes[1] = 2;
    d->lanes[2] = 3;
    for (size_t i = 0; i < d->n_draw; i++) {
        d->rho[i] = 0.9 * sin((double)i);
        d->kappa[i] = 0.15;
        d->q[i] = 0.1;
        d->q[d->n_draw + i] = -0.2;
    }
}

/* The predictive law against simulation from the definition. */
START_TEST(predictive_against_simulation)
{
    enum { PER_DRAW = 5000 };
    struct wr_durations d;
    struct wr_fit_summary s = {0};
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);

    make_days(&d);
    summarise(&s, &d, 1);
    size_t n = d.n_draw * PER_DRAW;
    double *t = WR_NEW_ARRAY(double, n);
    for (size_t k = 0; k < 3; k++) {
        const struct wr_task_summary *row = &s.task[k];
        for (size_t i = 0; i < n; i++) t[i] = simulate(rng, &d, k, i % d.n_draw);
        double mean = 0.0, square = 0.0;
        for (size_t i = 0; i < n; i++) mean += t[i] / (double)n;
        for (size_t i = 0; i < n; i++) square += (t[i] - mean) * (t[i] - mean) / (double)n;
        wr_sort_ascending(t, n);
        /* standard errors with n = 200 000: about 0.001 sd for the mean, 0.002 for sd and middle, 0.005 for p95;
         * fourfold */
        double sd = sqrt(square);
        ck_assert_double_eq_tol(row->mean_min.value, mean, 0.01 * sd);
        ck_assert_double_eq_tol(row->sd_min.value / sd, 1.0, 0.015);
        ck_assert_double_eq_tol(row->median_min.value, wr_quantile_of_sorted(t, n, 0.5, WR_QUANTILE_TYPE_7),
                                0.012 * sd);
        ck_assert_double_eq_tol(row->p80_min.value, wr_quantile_of_sorted(t, n, 0.8, WR_QUANTILE_TYPE_7), 0.015 * sd);
        ck_assert_double_eq_tol(row->p95_min.value, wr_quantile_of_sorted(t, n, 0.95, WR_QUANTILE_TYPE_7), 0.03 * sd);
        ck_assert(row->median_min.lo < row->median_min.value && row->median_min.value < row->median_min.hi);
    }
    wr_free(t);
    gsl_rng_free(rng);
    wr_fit_summary_release(&s);
    made_durations_release(&d);
}
END_TEST

/* Known parameters and no skew: a lognormal, in closed form; all of the interval on one point. */
START_TEST(one_draw_is_a_lognormal)
{
    struct wr_durations d;
    struct wr_fit_summary s = {0};

    made_durations_plain(&d, 2, 1);
    summarise(&s, &d, 1);
    for (size_t k = 0; k < 2; k++) {
        double sd = hypot(d.spread_log[k], d.tau[0]), m = d.centre_log[k];
        ck_assert_double_eq_tol(s.task[k].median_min.value, exp(m), 1e-7 * exp(m));
        ck_assert_double_eq_tol(s.task[k].mean_min.value, exp(m + sd * sd / 2), 1e-9 * exp(m));
        ck_assert_double_eq_tol(s.task[k].sd_min.value, exp(m + sd * sd / 2) * sqrt(expm1(sd * sd)), 1e-7 * exp(m));
        ck_assert_double_eq_tol(s.task[k].p95_min.value, exp(m + 1.6448536269514722 * sd), 1e-7 * exp(m));
        ck_assert(s.task[k].p80_min.lo == s.task[k].p80_min.hi);
        ck_assert(!s.task[k].own_median_min.known && !s.task[k].moved.known);
    }
    ck_assert(!s.has_model && s.n_person == 0);
    wr_fit_summary_release(&s);
    made_durations_release(&d);
}
END_TEST

/* Judged times and known lognormals on slow and fast days, against simulation from the definition: beta by GSL's
 * generator. */
START_TEST(judged_tasks_share_the_day)
{
    enum { PER_DRAW = 20000, DRAWS = 20, N = PER_DRAW * DRAWS };
    const double a = 1 + 4 * 3.0 / 20, b = 1 + 4 * 17.0 / 20; /* PERT of 5, 8, 25 */
    struct wr_durations d;
    struct wr_fit_summary s = {0};
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    double *t = WR_NEW_ARRAY(double, N);

    made_durations_plain(&d, 4, DRAWS);
    for (size_t i = 0; i < DRAWS; i++) d.tau[i] = 0.02 + 0.02 * (double)i;
    d.source[0] = (struct wr_source){WR_SRC_JUDGED, {5, 8, 25}, WR_THREE_POINT_PERT};
    d.source[1] = (struct wr_source){.kind = WR_SRC_LOGNORMAL, .p = {log(15.0), 0.2, 0}};
    d.source[2] = (struct wr_source){WR_SRC_JUDGED, {9, 9, 9}, WR_THREE_POINT_PERT}; /* a wait */
    d.source[3] = (struct wr_source){WR_SRC_JUDGED, {0, 4, 10}, WR_THREE_POINT_TRIANGULAR};
    summarise(&s, &d, 1);
    for (size_t k = 0; k < 2; k++) {
        double mean = 0, square = 0;
        for (size_t i = 0; i < N; i++) {
            t[i] = (k == 0 ? 5 + 20 * gsl_ran_beta(rng, a, b) : 15 * exp(gsl_ran_gaussian(rng, 0.2)))
                   * exp(gsl_ran_gaussian(rng, d.tau[i % DRAWS]));
            mean += t[i] / N;
        }
        for (size_t i = 0; i < N; i++) square += (t[i] - mean) * (t[i] - mean) / N;
        wr_sort_ascending(t, N);
        double sd = sqrt(square); /* standard errors as above, less by the square root of two; fourfold, and 0.003 for
                                     the slices */
        ck_assert_double_eq_tol(s.task[k].mean_min.value, mean, 0.008 * sd);
        ck_assert_double_eq_tol(s.task[k].sd_min.value / sd, 1, 0.015);
        ck_assert_double_eq_tol(s.task[k].median_min.value, wr_quantile_of_sorted(t, N, 0.5, WR_QUANTILE_TYPE_7),
                                0.012 * sd);
        ck_assert_double_eq_tol(s.task[k].p80_min.value, wr_quantile_of_sorted(t, N, 0.8, WR_QUANTILE_TYPE_7),
                                0.014 * sd);
        ck_assert_double_eq_tol(s.task[k].p95_min.value, wr_quantile_of_sorted(t, N, 0.95, WR_QUANTILE_TYPE_7),
                                0.028 * sd);
        ck_assert(s.task[k].p95_min.lo < s.task[k].p95_min.value && s.task[k].p95_min.value < s.task[k].p95_min.hi);
    }
    ck_assert(s.task[2].sd_min.value == 0 && s.task[2].p95_min.hi == 9);
    ck_assert(s.task[3].median_min.value > 4 && s.task[3].median_min.value < 5 && s.task[3].p95_min.value > 8.5);
    wr_free(t);
    gsl_rng_free(rng);
    wr_fit_summary_release(&s);
    made_durations_release(&d);
}
END_TEST

/* A few draws of very uneven days carry the far points of a judged task; all of them count, not one in ten. */
START_TEST(judged_tasks_take_every_draw)
{
    enum { DRAWS = 2000, PER_DRAW = 200, N = PER_DRAW * DRAWS };
    struct wr_durations d;
    struct wr_fit_summary s = {0};
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    double *t = WR_NEW_ARRAY(double, N), square = 0, mean = 0;

    made_durations_plain(&d, 1, DRAWS);
    for (size_t i = 0; i < DRAWS; i++) d.tau[i] = i % 10 != 0 && 7919 * i % DRAWS < 200 ? 0.8 : 0.05;
    d.source[0] = (struct wr_source){WR_SRC_JUDGED, {5, 8, 25}, WR_THREE_POINT_PERT};
    summarise(&s, &d, 1);
    for (size_t i = 0; i < N; i++) {
        t[i] = 5 + 20 * gsl_ran_beta(rng, 1 + 4 * 3.0 / 20, 1 + 4 * 17.0 / 20);
        t[i] *= exp(gsl_ran_gaussian(rng, d.tau[i % DRAWS]));
        mean += t[i] / N;
    }
    for (size_t i = 0; i < N; i++) square += (t[i] - mean) * (t[i] - mean) / N;
    wr_sort_ascending(t, N);
    ck_assert_double_eq_tol(s.task[0].mean_min.value, mean, 0.008 * sqrt(square));
    ck_assert_double_eq_tol(s.task[0].p95_min.value, wr_quantile_of_sorted(t, N, 0.95, WR_QUANTILE_TYPE_7),
                            0.028 * sqrt(square));
    wr_free(t);
    gsl_rng_free(rng);
    wr_fit_summary_release(&s);
    made_durations_release(&d);
}
END_TEST

/* Days that are all alike. Three points 10, 20, 30: PERT mean 20, sd from beta(3, 3) = 20 sqrt(1/28). Triangular 12,
 * 15, 40: reference case S-TPT-01, "right". A lognormal as above, a fixed time. */
START_TEST(tasks_outside_the_model)
{
    struct wr_durations d;
    struct wr_fit_summary s = {0};

    made_durations_plain(&d, 4, 3);
    for (size_t i = 0; i < d.n_draw; i++) d.tau[i] = 0;
    d.source[0] = (struct wr_source){WR_SRC_JUDGED, {10, 20, 30}, WR_THREE_POINT_PERT};
    d.source[1] = (struct wr_source){WR_SRC_JUDGED, {12, 15, 40}, WR_THREE_POINT_TRIANGULAR};
    d.source[2] = (struct wr_source){.kind = WR_SRC_LOGNORMAL, .p = {log(15.0), 0.2, 0}};
    d.source[3] = (struct wr_source){.kind = WR_SRC_FIXED, .p = {7, 0, 0}};
    summarise(&s, &d, 1);
    ck_assert_double_eq_tol(s.task[0].mean_min.value, 20.0, 1e-12);
    ck_assert_double_eq_tol(s.task[0].median_min.value, 20.0, 1e-9);
    ck_assert_double_eq_tol(s.task[0].sd_min.value, 20.0 * sqrt(1.0 / 28.0), 1e-9);
    ck_assert_double_eq_tol(s.task[1].mean_min.value, 67.0 / 3.0, 1e-12);
    ck_assert_double_eq_tol(s.task[1].p80_min.value, 28.16784043, 1e-7);
    ck_assert_double_eq_tol(s.task[2].p95_min.value, 15.0 * exp(0.2 * 1.6448536269514722), 1e-9);
    ck_assert_double_eq_tol(s.task[2].mean_min.value, 15.0 * exp(0.02), 1e-9);
    ck_assert(s.task[3].median_min.value == 7.0 && s.task[3].sd_min.value == 0.0 && s.task[3].p95_min.hi == 7.0);
    wr_fit_summary_release(&s);
    made_durations_release(&d);
}
END_TEST

START_TEST(same_for_any_threads)
{
    struct wr_durations d;
    struct wr_fit_summary one = {0}, many = {0};

    make_days(&d);
    summarise(&one, &d, 1);
    summarise(&many, &d, 4);
    for (size_t k = 0; k < 3; k++)
        ck_assert(one.task[k].p95_min.value == many.task[k].p95_min.value
                  && one.task[k].sd_min.lo == many.task[k].sd_min.lo);
    wr_fit_summary_release(&one);
    wr_fit_summary_release(&many);
    made_durations_release(&d);
}
END_TEST

/* Parameters: medians and 5 and 95 % points over draws; the own median from the done cells alone. The first of the two
 * runs has no cell in the model, and no effect to be shown. */
START_TEST(parameters_and_own_data)
{
    enum { N = 101 };
    struct wr_durations d;
    struct wr_fit_summary s = {0};
    double ramp[N], run[2 * N];
    struct wr_cell cell[4] = {{.state = WR_CELL_DONE, .active_min = 9, .lead_in_min = 1},
                              {.state = WR_CELL_STOPPED, .active_min = 3},
                              {.state = WR_CELL_DONE, .active_min = 20},
                              {.state = WR_CELL_SKIPPED}};
    struct wr_timing timing = {.n_task = 1, .n_run = 4, .cell = cell};
    const char *person[] = {"Ada", ""};
    const unsigned char obs[] = {WR_OBS_NONE, WR_OBS_STOPPED};
    struct wr_fit_options options = wr_fit_options_default();

    for (size_t i = 0; i < N; i++) run[i] = ramp[i] = (double)((i * 37) % N) / 100.0;
    for (size_t i = 0; i < N; i++) run[N + i] = -ramp[i];
    made_durations_plain(&d, 1, N);
    struct wr_model_fit fit = {.n_model_task = 1,
                               .n_person = 2,
                               .n_named_person = 1,
                               .person = person,
                               .data = {.n_task = 1, .n_run = 2, .obs = obs},
                               .post = {.n_draw = N,
                                        .n_run = 2,
                                        .n_person = 2,
                                        .b = run,
                                        .q = run,
                                        .tau = ramp,
                                        .kappa = ramp,
                                        .gamma = ramp,
                                        .rho = ramp,
                                        .s0 = ramp,
                                        .d = ramp,
                                        .omega_s = ramp,
                                        .a = ramp,
                                        .c = ramp,
                                        .omega = ramp}};
    wr_fit_summarise(&s, &fit, &d, &timing, &options);
    ck_assert(s.has_model && s.has_learning && s.has_skew);
    ck_assert_double_eq_tol(s.tau_log.value, 0.50, 1e-12);
    ck_assert_double_eq_tol(s.tau_log.lo, 0.05, 1e-12);
    ck_assert_double_eq_tol(s.tau_log.hi, 0.95, 1e-12);
    ck_assert_uint_eq(s.n_run, 1);
    ck_assert_uint_eq(s.run[0], 1);
    ck_assert_double_eq_tol(s.run_effect_log[0].lo, -0.95, 1e-12);
    ck_assert_uint_eq(s.n_person, 1);
    ck_assert_str_eq(s.person[0].name, "Ada");
    const struct wr_task_summary *t = &s.task[0];
    ck_assert(t->n_done == 2 && t->n_stopped == 1 && t->n_skipped == 1 && t->n_absent == 0);
    ck_assert_double_eq_tol(t->own_median_min.value, 15.0, 1e-12);
    ck_assert_double_eq_tol(t->moved.value, t->median_min.value / 15.0, 1e-12);
    wr_fit_summary_release(&s);
    made_durations_release(&d);
}
END_TEST

Suite *suite_fit_summary(void);
Suite *suite_fit_summary(void)
{
    Suite *s = suite_create("fit_summary");
    TCase *t = tcase_create("fit_summary");

    tcase_set_timeout(t, 30);
    tcase_add_test(t, predictive_against_simulation);
    tcase_add_test(t, one_draw_is_a_lognormal);
    tcase_add_test(t, judged_tasks_share_the_day);
    tcase_add_test(t, judged_tasks_take_every_draw);
    tcase_add_test(t, tasks_outside_the_model);
    tcase_add_test(t, same_for_any_threads);
    tcase_add_test(t, parameters_and_own_data);
    suite_add_tcase(s, t);
    return s;
}
