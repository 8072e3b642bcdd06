/* The engine against its slow twin, and against itself on other instruction sets and numbers of threads. */
#include <check.h>
#include <gsl/gsl_cdf.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include "../../../src/sim/forecast_on.h"
#include "../../../src/sim/points.h"
#include "made_durations.h"
#include "made_plan.h"
#include "slow_days.h"
#include "wetrun/base/memory.h"
#include "wetrun/sim/forecast.h"
#include "wetrun/sim/scenarios.h"
#include "wetrun/stats/three_point.h"

enum { SCALE, ROOT, STRATA, KNOWN, N_VARIANT, N_TASK = 9, TRIALS = 2300, SEED = 99 };

struct made {
    struct wr_plan plan;
    struct wr_network net;
    struct wr_durations d;
    struct wr_sim_limit limit[3];
};

/* SCALE: all tasks modelled, skewed, three line-ups of which one has somebody new. ROOT: judged, known and fixed tasks
 * among them and one that waits for a moment. STRATA: one that may be dropped as well, and a clock. KNOWN: no run
 * effect, no skew, one draw. */
static void make(struct made *m, int variant)
{
    const int line_up[] = {0, 1, 1, 2, WR_PERSON_NEW, 0};
    const double minutes[N_VARIANT][3] = {{270, 275, 215}, {220, 225, 170}, {220, 225, 115}, {185, 188, 155}};
    unsigned long long state = 7;
    struct wr_error err = {0};

    *m = (struct made){0};
    made_plan_random(&m->plan, N_TASK, 2, &state);
    ck_assert_msg(wr_network_build(&m->net, &m->plan, &err) == WR_OK, "%s", err.text);
    made_durations_plain(&m->d, N_TASK, variant == KNOWN ? 1 : 11);
    if (variant != KNOWN) {
        for (size_t k = 0; k < N_TASK; k++) m->d.lanes[k] = m->net.lanes[k];
        made_durations_people(&m->d, 2, 3, 3, line_up);
        for (size_t j = 0; j < m->d.n_draw; j++) {
            m->d.rho[j] = 1.6 * made_uniform(&state) - 0.8;
            m->d.kappa[j] = 0.05 + 0.1 * made_uniform(&state);
            for (size_t p = 0; p < 3; p++) m->d.q[p * m->d.n_draw + j] = 0.2 * made_uniform(&state) - 0.1;
        }
    }
    for (size_t i = 0; i < 3; i++)
        m->limit[i] = (struct wr_sim_limit){.lanes = i == 0 ? 3 : 1u << (i - 1), .minutes = minutes[variant][i]};
    if (variant == KNOWN) m->d.tau[0] = 0;
    if (variant == SCALE || variant == KNOWN) return;
    m->d.source[2] = (struct wr_source){WR_SRC_JUDGED, {10, 14, 30}, WR_THREE_POINT_PERT};
    m->d.source[4] = (struct wr_source){WR_SRC_JUDGED, {5, 5, 12}, WR_THREE_POINT_TRIANGULAR};
    m->d.source[5] = (struct wr_source){.kind = WR_SRC_LOGNORMAL, .p = {2.5, 0.4}};
    m->d.source[7] = (struct wr_source){.kind = WR_SRC_FIXED, .p = {6}};
    m->net.not_before_min[6] = 60;
    if (variant == ROOT) return;
    m->net.drop_after_min[5] = 100;
    m->limit[2] =
        (struct wr_sim_limit){.is_clock = true, .lanes = 3, .from = 2, .to = 7, .minutes = minutes[variant][2]};
}

static void unmake(struct made *m)
{
    made_durations_release(&m->d);
    wr_network_release(&m->net);
    made_plan_release(&m->plan);
}

static struct wr_forecast run(const struct made *m, const struct wr_kernel *kernel, size_t n_trial, unsigned n_thread)
{
    struct wr_forecast f = {0};
    struct wr_error err = {0};
    struct wr_sim_options o = {.n_trial = n_trial, .seed = SEED, .n_thread = n_thread, .limit = m->limit, .n_limit = 3};

    ck_assert_msg(wr_forecast_run_on(kernel, &f, &m->net, &m->d, &o, &err) == WR_OK, "%s", err.text);
    return f;
}

/* ---- against the slow twin ---- */

struct seen {
    double *finish, *minutes[N_TASK]; /* minutes: of all trials, as if nothing were dropped */
    double *start[N_TASK], *end[N_TASK]; /* of the trials where the task was not dropped */
    size_t n[N_TASK], on_path[N_TASK], dropped[N_TASK];
    double score_sum[N_TASK], score_finish[N_TASK], score_score[N_TASK];
    double b_sum, b_finish, b_b;
};

static void watch(const struct made *m, struct seen *s)
{
    struct slow_day day = {.minutes = WR_NEW_ARRAY(double, N_TASK), .score = WR_NEW_ARRAY(double, N_TASK),
                           .start = WR_NEW_ARRAY(double, N_TASK), .end = WR_NEW_ARRAY(double, N_TASK),
                           .dropped = WR_NEW_ARRAY(unsigned char, N_TASK), .path = WR_NEW_ARRAY(unsigned char, N_TASK),
                           .person = WR_NEW_ARRAY(double, 2)};

    *s = (struct seen){.finish = WR_NEW_ARRAY(double, TRIALS)};
    for (size_t k = 0; k < N_TASK; k++) {
        s->minutes[k] = WR_NEW_ARRAY(double, TRIALS);
        s->start[k] = WR_NEW_ARRAY(double, TRIALS);
        s->end[k] = WR_NEW_ARRAY(double, TRIALS);
    }
    for (size_t t = 0; t < TRIALS; t++) {
        slow_day_trial(&m->net, &m->d, SEED, t, &day);
        s->finish[t] = day.finish;
        for (size_t k = 0; k < N_TASK; k++) {
            s->on_path[k] += day.path[k];
            s->dropped[k] += day.dropped[k];
            s->score_sum[k] += day.score[k] / TRIALS;
            s->score_finish[k] += day.score[k] * day.finish / TRIALS;
            s->score_score[k] += day.score[k] * day.score[k] / TRIALS;
            s->minutes[k][t] = day.minutes[k];
            if (day.dropped[k]) continue;
            s->start[k][s->n[k]] = day.start[k];
            s->end[k][s->n[k]++] = day.end[k];
        }
        size_t draw = t % m->d.n_draw;
        double b = m->d.tau[draw] * day.run_score;
        s->b_sum += b / TRIALS;
        s->b_finish += b * day.finish / TRIALS;
        s->b_b += b * b / TRIALS;
    }
    wr_free(day.minutes);
    wr_free(day.score);
    wr_free(day.start);
    wr_free(day.end);
    wr_free(day.dropped);
    wr_free(day.path);
    wr_free(day.person);
}

static void forget(struct seen *s)
{
    wr_free(s->finish);
    for (size_t k = 0; k < N_TASK; k++) {
        wr_free(s->minutes[k]);
        wr_free(s->start[k]);
        wr_free(s->end[k]);
    }
}

static void compare_tasks(const struct wr_forecast *f, struct seen *s)
{
    const double detail_bin = 1 / 64.0; /* a window of up to 16 octaves in 1024 bins */

    for (size_t k = 0; k < N_TASK; k++) {
        const struct wr_task_outlook *o = &f->task[k];
        double mean = 0, squares = 0;
        for (size_t i = 0; i < TRIALS; i++) mean += s->minutes[k][i] / TRIALS;
        for (size_t i = 0; i < TRIALS; i++) squares += pow(s->minutes[k][i] - mean, 2) / TRIALS;
        ck_assert_double_eq_tol(o->mean_min, mean, 2e-6 * mean);
        ck_assert_double_eq_tol(o->sd_min, sqrt(squares), 1e-4 * sqrt(squares) + 1e-9);
        /* a comparison of two sums that differ in the last place may fall the other way in one trial */
        ck_assert_double_eq_tol(o->on_longest_path, s->on_path[k] / (double)TRIALS, 1.01 / TRIALS);
        ck_assert_double_eq_tol(o->dropped, s->dropped[k] / (double)TRIALS, 1.01 / TRIALS);
        for (size_t i = 0; i < WR_N_LENS; i++) {
            slow_quantile(o->lens_min[i], s->minutes[k], TRIALS, wr_lens_prob[i], detail_bin, "minutes");
            slow_quantile(o->start_min[i], s->start[k], s->n[k], wr_lens_prob[i], detail_bin, "start");
            slow_quantile(o->end_min[i], s->end[k], s->n[k], wr_lens_prob[i], detail_bin, "end");
        }
        slow_quantile(o->median_min, s->minutes[k], TRIALS, 0.5, detail_bin, "median");
        slow_quantile(o->p95_min, s->minutes[k], TRIALS, 0.95, detail_bin, "p95");
    }
}

static double squared_correlation(double x, double xy, double xx, double y_mean, double y_variance)
{
    double covariance = xy - x * y_mean, variance = xx - x * x;

    return variance > 0 ? covariance * covariance / variance / y_variance : 0;
}

START_TEST(trials_agree_with_the_slow_twin)
{
    struct made m;
    struct seen s;
    /* the engine takes a score's mean and variance as 0 and 1 where the twin takes those of the 2300 trials */
    double mean = 0, variance = 0, own = 0.02;

    make(&m, _i);
    struct wr_forecast f = run(&m, wr_kernel_best(), TRIALS, 2);
    watch(&m, &s);
    for (size_t t = 0; t < TRIALS; t++) mean += s.finish[t] / TRIALS;
    for (size_t t = 0; t < TRIALS; t++) variance += pow(s.finish[t] - mean, 2) / TRIALS;
    ck_assert_uint_eq(f.n_trial, TRIALS);
    ck_assert_double_eq_tol(f.mean_min, mean, 1e-6 * mean);
    ck_assert_double_eq_tol(f.sd_min, sqrt(variance), 1e-5 * sqrt(variance));
    for (size_t i = 0; i < WR_N_QUANTILE; i++)
        slow_quantile(f.quantile_min[i], s.finish, TRIALS, wr_quantile_prob[i], 1e-3, "finish");
    compare_tasks(&f, &s);
    for (size_t k = 0; k < N_TASK; k++)
        ck_assert_double_eq_tol(f.task[k].variance_share, squared_correlation(s.score_sum[k], s.score_finish[k],
                                s.score_score[k], mean, variance), own);
    if (_i == KNOWN) {
        ck_assert(f.run_effect_share == 0 && f.parameter_share == 0 && f.people_share == 0);
    } else {
        ck_assert_double_eq_tol(f.run_effect_share, squared_correlation(s.b_sum, s.b_finish, s.b_b, mean, variance),
                                own);
        ck_assert_double_gt(f.people_share, 0);
        ck_assert_double_gt(f.parameter_share, 0);
    }
    if (_i == STRATA) {
        ck_assert_double_gt(f.task[5].dropped, 0.05);
        ck_assert_double_lt(f.task[5].dropped, 0.95);
    }
    if (_i == ROOT || _i == STRATA) ck_assert_double_eq(f.task[7].median_min, 6);
    forget(&s);
    wr_forecast_release(&f);
    unmake(&m);
}
END_TEST

/* Days far into the streams, over the edge of a chunk: minutes one by one. */
START_TEST(streams_agree_with_the_slow_twin_beyond_a_chunk)
{
    const size_t at[] = {0, 1, 31, 255, 256, 8190, 16383, 16384, 16401, 19999};
    struct made m;
    struct wr_scenarios s = {0};
    double minutes[N_TASK], slow[4][N_TASK], person[2];
    unsigned char marks[2][N_TASK];

    make(&m, _i);
    wr_scenarios_make(&s, &m.d, 20000, SEED, 2);
    for (size_t i = 0; i < sizeof at / sizeof *at; i++) {
        struct slow_day day = {.minutes = slow[0], .score = slow[1], .start = slow[2], .end = slow[3],
                               .dropped = marks[0], .path = marks[1], .person = person};
        slow_day_trial(&m.net, &m.d, SEED, at[i], &day);
        wr_scenarios_durations(&s, at[i], minutes);
        for (size_t k = 0; k < N_TASK; k++) {
            ck_assert_double_eq_tol(minutes[k], slow[0][k], 3e-5 * slow[0][k]); /* judged tasks: from a table */
            ck_assert_double_eq_tol(s.score[k * s.n_trial + at[i]], slow[1][k], 1e-5);
        }
    }
    wr_scenarios_release(&s);
    unmake(&m);
}
END_TEST

/* Rounding in single precision, the nodes of the run effect, and a few false-position steps: 2e-5; counted plans may
 * count one point in 2048 the other way. */
START_TEST(points_agree_with_the_slow_twin)
{
    enum { PER_DRAW = 8 };
    struct made m;
    struct wr_setup setup;
    struct wr_points p = {0};
    struct wr_error err;
    double grid[2] = {3, 7}, over[4], tolerance = _i == STRATA ? 2.01 / (PER_DRAW * WR_REPLICATES * WR_STRATA)
                                                  : _i == KNOWN ? 1.01 / (PER_DRAW * WR_REPLICATES) : 2e-5;

    make(&m, _i);
    ck_assert(wr_setup_build(&setup, wr_kernel_best(), &m.net, &m.d, m.limit, 3, SEED, &err) == WR_OK);
    ck_assert_int_eq(wr_points_way(&setup), _i == SCALE ? WR_BY_SCALE : _i == ROOT ? WR_BY_ROOT : WR_BY_STRATA);
    wr_points_run(&p, &setup, PER_DRAW, grid, 2, 2, NULL, NULL);
    for (size_t j = 0; j < m.d.n_draw; j += 5) {
        slow_draw_over(&m.net, &m.d, SEED, j, PER_DRAW, (int)wr_points_way(&setup), m.limit, 3, over);
        for (size_t q = 0; q <= 3; q++) {
            double mean = 0;
            for (size_t r = 0; r < WR_REPLICATES; r++)
                mean += p.over[(q * p.n_draw + j) * WR_REPLICATES + r] / WR_REPLICATES;
            ck_assert_msg(fabs(mean - over[q]) <= tolerance, "draw %zu limit %zu: %.7f, slowly %.7f", j, q, mean,
                          over[q]);
            ck_assert_double_gt(over[q], 1e-4);
            ck_assert_double_lt(over[q], 1 - 1e-4);
        }
    }
    wr_points_release(&p);
    wr_setup_release(&setup);
    unmake(&m);
}
END_TEST

/* Two ways to one answer: points with the run effect integrated, and counting plain trials. */
START_TEST(points_and_counted_trials_agree)
{
    enum { MANY = 100000 };
    struct made m;
    struct wr_scenarios s = {0};
    double minutes[N_TASK], start[N_TASK], end[N_TASK];
    size_t over[4] = {0};

    make(&m, _i);
    struct wr_forecast f = run(&m, wr_kernel_best(), 0, 2);
    wr_scenarios_make(&s, &m.d, MANY, 4242, 2);
    for (size_t t = 0; t < MANY; t++) {
        bool any = false;
        wr_scenarios_durations(&s, t, minutes);
        wr_network_forward(&m.net, minutes, start, end, NULL);
        for (size_t q = 0; q < 3; q++) {
            bool passed = slow_measure(&m.net, &m.limit[q], start, end) > m.limit[q].minutes;
            over[q] += passed;
            any |= passed;
        }
        over[3] += any;
    }
    for (size_t q = 0; q <= 3; q++) {
        const struct wr_probability *p = q < 3 ? &f.limit[q].over : &f.any_over;
        double error = hypot(sqrt(p->mean * (1 - p->mean) / MANY), p->mc_error);
        ck_assert_double_eq_tol((double)over[q] / MANY, p->mean, 4 * error);
    }
    wr_scenarios_release(&s);
    wr_forecast_release(&f);
    unmake(&m);
}
END_TEST

/* ---- the same bytes ---- */

static void ck_same(const void *a, const void *b, size_t size, const char *what, const char *kernel, unsigned n_thread)
{
    ck_assert_msg(memcmp(a, b, size) == 0, "%s differs with %s, %u threads", what, kernel, n_thread);
}

static void ck_same_forecast(const struct wr_forecast *a, const struct wr_forecast *b, const char *kernel, unsigned n)
{
    ck_assert(a->n_trial == b->n_trial && a->n_point == b->n_point);
    ck_same(&a->mean_min, &b->mean_min, sizeof a->mean_min, "mean", kernel, n);
    ck_same(&a->sd_min, &b->sd_min, sizeof a->sd_min, "sd", kernel, n);
    ck_same(a->quantile_min, b->quantile_min, sizeof a->quantile_min, "quantiles", kernel, n);
    ck_same(a->quantile_lo_min, b->quantile_lo_min, sizeof a->quantile_lo_min, "lower quantiles", kernel, n);
    ck_same(a->quantile_hi_min, b->quantile_hi_min, sizeof a->quantile_hi_min, "upper quantiles", kernel, n);
    ck_same(a->hundredth_min, b->hundredth_min, 100 * sizeof(double), "hundredths", kernel, n);
    ck_same(&a->half_over_min, &b->half_over_min, sizeof a->half_over_min, "half of those over", kernel, n);
    ck_same(a->limit, b->limit, a->n_limit * sizeof *a->limit, "limits", kernel, n);
    ck_same(&a->any_over, &b->any_over, sizeof a->any_over, "any over", kernel, n);
    ck_same(a->task, b->task, a->n_task * sizeof *a->task, "tasks", kernel, n);
    ck_same(a->lane, b->lane, a->n_lane * sizeof *a->lane, "lanes", kernel, n);
    ck_same(&a->run_effect_share, &b->run_effect_share, 3 * sizeof(double), "shares", kernel, n);
    ck_same(a->draw_over, b->draw_over, a->n_draw * sizeof(double), "draws", kernel, n);
    ck_same(a->curve_limit_min, b->curve_limit_min, a->n_curve * sizeof(double), "curve", kernel, n);
    ck_same(a->curve_over, b->curve_over, a->n_curve * sizeof(double), "curve", kernel, n);
    ck_same(a->curve_lo, b->curve_lo, a->n_curve * sizeof(double), "curve", kernel, n);
    ck_same(a->curve_hi, b->curve_hi, a->n_curve * sizeof(double), "curve", kernel, n);
}

START_TEST(same_bytes_for_all_instructions_and_threads)
{
    const unsigned n_thread[] = {1, 2, 3, 7};
    enum { MANY = 3 * 16384 + 77 };
    struct made m;

    make(&m, _i);
    struct wr_forecast first = run(&m, wr_kernel_at(0), MANY, 1);
    for (size_t i = 0; wr_kernel_at(i); i++)
        for (size_t t = 0; t < (i == 1 ? 4 : 1); t++) {
            struct wr_forecast f = run(&m, wr_kernel_at(i), MANY, n_thread[t]);
            ck_same_forecast(&first, &f, wr_kernel_at(i)->name, n_thread[t]);
            wr_forecast_release(&f);
        }
    wr_forecast_release(&first);
    unmake(&m);
}
END_TEST

/* ---- functions of one number ---- */

START_TEST(kernel_functions_are_accurate)
{
    enum { M = 4096 };
    const struct wr_kernel *kernel = wr_kernel_at((size_t)_i);
    static float x[M], y[M];
    static uint32_t u[M];

    if (!kernel) return; /* not on this processor */
    for (size_t i = 0; i < M; i++) x[i] = (float)(-30 + 60.0 * (double)i / M);
    kernel->exp2_row(x, M, y);
    for (size_t i = 0; i < M; i++) ck_assert_double_eq_tol(y[i] / exp2(x[i]), 1, 3e-7);
    for (size_t i = 0; i < M; i++) x[i] = (float)exp(-20 + 40.0 * (double)i / M);
    kernel->ln_row(x, M, y);
    for (size_t i = 0; i < M; i++) ck_assert_double_eq_tol(y[i], log(x[i]), 3e-7 * (1 + fabs(log(x[i]))));
    for (size_t i = 0; i < M; i++) x[i] = (float)(-9 + 18.0 * (double)i / M);
    kernel->below(x, 0, 1, M, y);
    for (size_t i = 0; i < M; i++) {
        double p = gsl_cdf_ugaussian_P(x[i]);
        ck_assert_double_eq_tol(y[i], p, x[i] < 0 ? 1e-5 * p : 2e-7); /* relative where it is small */
    }
    for (size_t i = 0; i < M; i++) u[i] = i < 32 ? 1u << i : i < 64 ? ~(1u << (i - 32)) : (uint32_t)i * 1048583u;
    kernel->scores(u, M, y);
    for (size_t i = 0; i < M; i++)
        ck_assert_double_eq_tol(y[i], gsl_cdf_ugaussian_Pinv((u[i] + 0.5) * 0x1p-32), 4e-6);
    float huge[64], out[64]; /* held to 2^±100: finite whatever comes */
    for (size_t i = 0; i < 64; i++) huge[i] = i % 2 ? 1e30f : -1e30f;
    kernel->exp2_row(huge, 64, out);
    ck_assert(out[1] == 0x1p100f && out[0] == 0x1p-100f);
}
END_TEST

/* Values around every edge of the window, and far outside it. */
START_TEST(kernel_bins_are_those_of_the_window)
{
    enum { N = 1024 };
    const float seen[2] = {_i % 2 ? 0 : 3.7f, _i < 2 ? 11 : 4000}, same[1] = {6};
    const struct wr_window w = _i == 4 ? wr_window_around(same, 1, 512) : wr_window_around(seen, 2, 512);
    static float value[N];
    static uint32_t bin[N];

    for (size_t i = 0; i < N; i++) {
        uint32_t bits = w.low_bits + ((uint32_t)i / 2 << w.shift) - i % 2;
        memcpy(&value[i], &bits, sizeof bits);
    }
    value[0] = 0;
    value[1] = 0x1p-140f;
    for (size_t i = 0; i < N && _i == 4; i++) value[i] = (float)i;
    value[N - 1] = INFINITY;
    value[N - 2] = 1e30f;
    for (size_t i = 0; wr_kernel_at(i); i++) {
        memset(bin, 255, sizeof bin);
        wr_kernel_at(i)->bins(&w, value, N, bin);
        for (size_t j = 0; j < N; j++) ck_assert_uint_eq(bin[j], wr_window_bin(&w, value[j]));
    }
    ck_assert_uint_eq(bin[0], 0);
    ck_assert_uint_eq(bin[N - 1], w.n_bin - 1);
}
END_TEST

/* Against the exact quantile function, in thousandths of the spread. */
START_TEST(score_tables_follow_the_judged_distribution)
{
    const double points[][3] = {{10, 14, 30}, {5, 5, 12}, {2, 9, 9}, {100, 101, 140}, {0.25, 0.5, 3.75}};
    const double *p = points[_i % 5];
    const struct wr_source source = {WR_SRC_JUDGED, {p[0], p[1], p[2]}, (enum wr_three_point_reading)(_i / 5)};
    const struct wr_three_point judged = wr_source_judgement(&source);
    struct wr_score_table table;
    double sd = wr_three_point_sd_min(&judged);

    wr_score_table_of(&table, &source);
    for (double z = -4.99; z < 5; z += 0.0231) {
        double exact = wr_three_point_quantile_min(&judged, gsl_cdf_ugaussian_P(z));
        ck_assert_double_eq_tol(wr_score_table_minutes(&table, z), exact, 2e-4 * sd + 1e-9);
    }
}
END_TEST

Suite *suite_engine(void);
Suite *suite_engine(void)
{
    Suite *s = suite_create("engine");
    TCase *t = tcase_create("engine");

    tcase_set_timeout(t, 60);
    tcase_add_loop_test(t, trials_agree_with_the_slow_twin, 0, N_VARIANT);
    tcase_add_loop_test(t, streams_agree_with_the_slow_twin_beyond_a_chunk, 0, N_VARIANT);
    tcase_add_loop_test(t, points_agree_with_the_slow_twin, 0, N_VARIANT);
    tcase_add_loop_test(t, points_and_counted_trials_agree, 0, N_VARIANT);
    tcase_add_loop_test(t, same_bytes_for_all_instructions_and_threads, 0, N_VARIANT);
    tcase_add_loop_test(t, kernel_functions_are_accurate, 0, 4);
    tcase_add_loop_test(t, kernel_bins_are_those_of_the_window, 0, 5);
    tcase_add_loop_test(t, score_tables_follow_the_judged_distribution, 0, 5 * WR_N_READING);
    suite_add_tcase(s, t);
    return s;
}
