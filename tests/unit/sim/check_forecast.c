/* The forecast against closed forms: one lognormal task whose parameters differ from draw to draw, so that the
 * probability given the parameters, its interval, quantiles and shares of variance can be written down. */
#include <check.h>
#include <gsl/gsl_cdf.h>
#include <math.h>
#include <stdio.h>
#include "../../../src/sim/kernel.h"
#include "../../../src/sim/points.h"
#include "made_durations.h"
#include "made_plan.h"
#include "wetrun/base/memory.h"
#include "wetrun/sim/forecast.h"
#include "wetrun/stats/quantile.h"
#include "wetrun/stats/summary.h"

enum { DRAWS = 400 };

struct made {
    struct wr_plan plan;
    struct wr_network net;
    struct wr_durations d;
};

static void make(struct made *m, size_t n_task, size_t n_draw)
{
    struct wr_error err = {0};
    char id[32];

    *m = (struct made){0};
    for (size_t k = 0; k < n_task; k++) {
        snprintf(id, sizeof id, "T%u", (unsigned)k);
        made_plan_add(&m->plan, id, "EV1", "");
    }
    made_plan_finish(&m->plan);
    ck_assert_msg(wr_network_build(&m->net, &m->plan, &err) == WR_OK, "%s", err.text);
    made_durations_plain(&m->d, n_task, n_draw);
}

static void unmake(struct made *m)
{
    made_durations_release(&m->d);
    wr_network_release(&m->net);
    made_plan_release(&m->plan);
}

static struct wr_forecast run(const struct made *m, const struct wr_sim_options *o)
{
    struct wr_forecast f = {0};
    struct wr_error err = {0};

    ck_assert_msg(wr_forecast_run(&f, &m->net, &m->d, o, &err) == WR_OK, "%s", err.text);
    return f;
}

/* sd of log minutes given the parameters of a draw */
static double spread(const struct wr_durations *d, size_t j)
{
    return hypot(d->spread_log[j], d->tau[j]);
}

static double over_exactly(const struct wr_durations *d, size_t j, double minutes)
{
    return gsl_cdf_ugaussian_Q((log(minutes) - d->centre_log[j]) / spread(d, j));
}

/* by scale; by root: a wait that is over long before; counted in strata: a drop rule that never bites */
static void steer(struct made *m, int way)
{
    if (way == WR_BY_ROOT) m->net.not_before_min[0] = 1e-6;
    if (way == WR_BY_STRATA) m->net.drop_after_min[0] = 1e6;
}

START_TEST(probability_and_interval_are_those_of_the_closed_form)
{
    struct made m;
    double p[DRAWS], mean = 0, width;

    make(&m, 1, DRAWS);
    steer(&m, _i);
    double limit = 1.35 * exp(m.d.centre_log[0]);
    struct wr_sim_limit limits[] = {{.lanes = 1, .minutes = limit}};
    struct wr_forecast f = run(&m, &(struct wr_sim_options){.seed = 3, .n_thread = 2, .limit = limits, .n_limit = 1});
    for (size_t j = 0; j < DRAWS; j++) mean += (p[j] = over_exactly(&m.d, j, limit)) / DRAWS;
    width = wr_quantile(p, DRAWS, 0.95, WR_QUANTILE_TYPE_7) - wr_quantile(p, DRAWS, 0.05, WR_QUANTILE_TYPE_7);
    ck_assert_double_gt(width, 0.15);
    ck_assert_double_eq_tol(f.limit[0].over.mean, mean, 4 * f.limit[0].over.mc_error + 1e-6);
    ck_assert_double_le(f.limit[0].over.mc_error, 0.1 * width); /* what the default number of trials promises */
    ck_assert_double_eq_tol(f.limit[0].over.lo, wr_quantile(p, DRAWS, 0.05, WR_QUANTILE_TYPE_7), 0.03 * width);
    ck_assert_double_eq_tol(f.limit[0].over.hi, wr_quantile(p, DRAWS, 0.95, WR_QUANTILE_TYPE_7), 0.03 * width);
    ck_assert_double_eq(f.any_over.mean, f.limit[0].over.mean);
    for (size_t j = 0; j < DRAWS; j++) ck_assert_double_eq_tol(f.draw_over[j], p[j], _i == WR_BY_STRATA ? 0.05 : 0.02);
    for (size_t i = 0; i < f.n_curve; i++) {
        double exact = 0;
        for (size_t j = 0; j < DRAWS; j++) exact += over_exactly(&m.d, j, f.curve_limit_min[i]) / DRAWS;
        ck_assert_double_eq_tol(f.curve_over[i], exact, 0.003);
        ck_assert(f.curve_lo[i] <= f.curve_over[i] && f.curve_over[i] <= f.curve_hi[i]);
    }
    ck_assert_double_le(f.curve_limit_min[0], 0.99 * limit);
    ck_assert_double_ge(f.curve_limit_min[f.n_curve - 1], 1.01 * limit);
    wr_forecast_release(&f);
    unmake(&m);
}
END_TEST

START_TEST(quantiles_of_the_finish_and_their_intervals)
{
    struct made m;
    double q[DRAWS];

    make(&m, 1, DRAWS);
    for (size_t j = 0; j < DRAWS; j++) m.d.spread_log[j] *= 0.4; /* as of a day of many tasks, the run effect leading */
    struct wr_forecast f = run(&m, &(struct wr_sim_options){.seed = 4, .n_thread = 2});
    for (size_t i = 0; i < WR_N_QUANTILE; i++) {
        double over = 0, lo, hi;
        for (size_t j = 0; j < DRAWS; j++) {
            q[j] = exp(m.d.centre_log[j] + spread(&m.d, j) * gsl_cdf_ugaussian_Pinv(wr_quantile_prob[i]));
            over += over_exactly(&m.d, j, f.quantile_min[i]) / DRAWS;
        }
        /* five standard errors of the trials */
        double p = wr_quantile_prob[i];
        ck_assert_double_eq_tol(over, 1 - p, 5 * sqrt(p * (1 - p) / (double)f.n_trial));
        lo = wr_quantile(q, DRAWS, 0.05, WR_QUANTILE_TYPE_7);
        hi = wr_quantile(q, DRAWS, 0.95, WR_QUANTILE_TYPE_7);
        ck_assert_double_eq_tol(f.quantile_lo_min[i], lo, 0.05 * (hi - lo));
        ck_assert_double_eq_tol(f.quantile_hi_min[i], hi, 0.05 * (hi - lo));
    }
    wr_forecast_release(&f);
    unmake(&m);
}
END_TEST

/* One draw in fifty lets the day take e^10 times as long: the 99 % point of all days is one of its days, beyond what
 * nine draws in ten span, and the largest finishes are years. */
static double over_by_all(const struct made *m, double minutes)
{
    double over = 0;

    for (size_t j = 0; j < DRAWS; j++) over += over_exactly(&m->d, j, minutes) / DRAWS;
    return over;
}

static void check_long_quantile(const struct made *m, const struct wr_forecast *f, size_t i)
{
    double q[DRAWS], p = wr_quantile_prob[i];

    for (size_t j = 0; j < DRAWS; j++)
        q[j] = exp(m->d.centre_log[j] + spread(&m->d, j) * gsl_cdf_ugaussian_Pinv(p));
    double lo = wr_quantile(q, DRAWS, 0.05, WR_QUANTILE_TYPE_7), hi = wr_quantile(q, DRAWS, 0.95, WR_QUANTILE_TYPE_7);
    ck_assert_double_eq_tol(over_by_all(m, f->quantile_min[i]), 1 - p, 5 * sqrt(p * (1 - p) / (double)f->n_trial));
    ck_assert_double_eq_tol(f->quantile_lo_min[i], fmin(lo, f->quantile_min[i]), 0.05 * (hi - lo));
    if (i == WR_Q99) ck_assert_double_eq(f->quantile_hi_min[i], f->quantile_min[i]); /* and hi is far below */
    else ck_assert_double_eq_tol(f->quantile_hi_min[i], fmax(hi, f->quantile_min[i]), 0.05 * (hi - lo));
}

START_TEST(a_long_tail_hides_nothing)
{
    static const double at[] = {0.5, 1, 1.3};
    struct made m;

    make(&m, 1, DRAWS);
    steer(&m, _i % 3);
    for (size_t j = 0; j < DRAWS; j++) m.d.spread_log[j] *= 0.4; /* as above */
    for (size_t j = 0; j < DRAWS; j += 50) m.d.centre_log[j] += 10;
    double half = exp(m.d.centre_log[1]), limit = at[_i % 3] * half;
    struct wr_sim_limit limits[] = {{.lanes = 1, .minutes = limit}};
    struct wr_forecast f = run(&m, &(struct wr_sim_options){.seed = 20 + (unsigned)_i, .n_thread = 2,
                                                            .limit = limits, .n_limit = 1});
    double over = over_by_all(&m, limit), beyond = over_by_all(&m, f.half_over_min);
    /* the limit's own error, and five standard errors of the trials beyond it */
    ck_assert_double_eq_tol(beyond, over / 2,
                            2 * f.limit[0].over.mc_error + 5 * sqrt(beyond * (1 - beyond) / (double)f.n_trial));
    for (size_t i = 0; i < WR_N_QUANTILE; i++) {
        check_long_quantile(&m, &f, i);
        if (f.half_over_min < f.quantile_min[i]) ck_assert_double_ge(wr_quantile_prob[i], 1 - f.limit[0].over.mean / 2);
    }
    /* of a hundred limits that the curve shows the middle half of the finishes has more than a few */
    size_t n_between = 0;
    for (size_t i = 0; i < f.n_curve; i++) {
        double minutes = f.curve_limit_min[i];
        ck_assert(f.curve_lo[i] <= f.curve_over[i] && f.curve_over[i] <= f.curve_hi[i]);
        ck_assert_double_eq_tol(f.curve_over[i], over_by_all(&m, minutes), 0.004);
        n_between += minutes > f.quantile_min[WR_Q25] && minutes < f.quantile_min[WR_Q75];
    }
    ck_assert_uint_ge(n_between, 8);
    ck_assert_double_le(f.curve_limit_min[f.n_curve - 1], 20 * f.quantile_min[WR_Q50]);
    ck_assert_double_gt(f.quantile_min[WR_Q99], 1000 * f.quantile_min[WR_Q50]);
    wr_forecast_release(&f);
    unmake(&m);
}
END_TEST

/* F = exp(mu + sigma z + tau t): the squared correlations of z and t with F are sigma^2 and tau^2 over
 * exp(sigma^2 + tau^2) - 1, and the variance of E(F | mu) over that of F is what the parameters leave. */
/* Whoever moves the limit on the page must read what the command says of that limit. */
START_TEST(limits_moved_about_are_those_of_forecasts_of_their_own)
{
    enum { N = 31 };
    struct made m;
    struct wr_error err = {0};
    struct wr_probability over[N];
    double minutes[N];

    make(&m, 2, DRAWS);
    steer(&m, _i);
    double middle = exp(m.d.centre_log[0]) + exp(m.d.centre_log[DRAWS]);
    struct wr_sim_limit limits[] = {{.lanes = 1, .minutes = 1.2 * middle}, {.lanes = 1, .minutes = 1.5 * middle}};
    struct wr_sim_options o = {.seed = 5, .limit = limits, .n_limit = 2};
    for (size_t i = 0; i < N; i++) minutes[i] = middle * (0.7 + 0.05 * (double)i);
    ck_assert_msg(wr_forecast_limits(over, minutes, N, &m.net, &m.d, &o, &err) == WR_OK, "%s", err.text);
    for (size_t i = 0; i < N; i += 6) {
        limits[0].minutes = minutes[i];
        struct wr_forecast f = run(&m, &o);
        ck_assert_double_eq(over[i].mean, f.limit[0].over.mean);
        ck_assert_double_eq(over[i].lo, f.limit[0].over.lo);
        ck_assert_double_eq(over[i].hi, f.limit[0].over.hi);
        wr_forecast_release(&f);
    }
    for (size_t i = 1; i < N; i++) ck_assert(over[i].mean <= over[i - 1].mean + 1e-9); /* the later, the rarer */
    unmake(&m);
}
END_TEST

START_TEST(shares_of_the_variance)
{
    struct made m;
    double sigma2 = 0.09, tau2 = 0.04, total = sigma2 + tau2, mean = 0, square = 0;

    make(&m, 1, 2);
    m.d.centre_log[0] = 4.0;
    m.d.centre_log[1] = 4.2;
    for (size_t j = 0; j < 2; j++) {
        m.d.spread_log[j] = 0.3;
        m.d.tau[j] = 0.2;
        mean += exp(m.d.centre_log[j] + total / 2) / 2;
        square += exp(2 * m.d.centre_log[j]) / 2;
    }
    double variance = square * exp(2 * total) - mean * mean, among = square * exp(total) - mean * mean;
    struct wr_forecast f = run(&m, &(struct wr_sim_options){.seed = 5, .n_thread = 2});
    ck_assert_double_eq_tol(f.mean_min, mean, 5 * sqrt(variance / (double)f.n_trial));
    ck_assert_double_eq_tol(f.sd_min, sqrt(variance), 0.01 * sqrt(variance));
    ck_assert_double_eq_tol(f.task[0].variance_share, sigma2 * mean * mean / variance, 0.006);
    ck_assert_double_eq_tol(f.run_effect_share, tau2 * mean * mean / variance, 0.006);
    ck_assert_double_eq_tol(f.parameter_share, among / variance, 0.003);
    ck_assert_double_eq(f.people_share, 0);
    wr_forecast_release(&f);
    unmake(&m);
}
END_TEST

/* Two line-ups, 20 % apart either way: between them lies (cosh 2q - cosh^2 q) of exp(s2) cosh 2q - cosh^2 q. A second
 * person who never works changes nothing; what is known of a line-up that is fixed is a parameter, not a share. */
START_TEST(share_of_the_people)
{
    const int line_up[] = {0, 1, 1, 0};
    struct made m;
    const double q = 0.2, s2 = 0.01;

    make(&m, 1, 1);
    made_durations_people(&m.d, 2, 2, 2, line_up);
    m.d.q[0] = q;
    m.d.q[1] = -q;
    m.d.tau[0] = 0;
    m.d.spread_log[0] = sqrt(s2);
    struct wr_forecast f = run(&m, &(struct wr_sim_options){.seed = 6, .n_thread = 2});
    double between = cosh(2 * q) - cosh(q) * cosh(q), total = exp(s2) * cosh(2 * q) - cosh(q) * cosh(q);
    ck_assert_double_eq_tol(f.people_share, between / total, 0.01);
    wr_forecast_release(&f);
    m.d.n_line_up = 1;
    f = run(&m, &(struct wr_sim_options){.seed = 6, .n_thread = 2});
    ck_assert_double_eq(f.people_share, 0);
    ck_assert_double_eq_tol(f.task[0].median_min, exp(m.d.centre_log[0] + q), 0.003 * f.task[0].median_min);
    wr_forecast_release(&f);
    unmake(&m);
}
END_TEST

/* Somebody new has an effect of sd kappa, which adds to the spread of the day. */
START_TEST(somebody_new_widens_the_day)
{
    const int line_up[] = {WR_PERSON_NEW};
    struct made m;

    make(&m, 1, 1);
    made_durations_people(&m.d, 1, 0, 1, line_up);
    m.d.kappa[0] = 0.3;
    m.d.tau[0] = 0.1;
    m.d.spread_log[0] = 0.2;
    double sd = sqrt(0.09 + 0.01 + 0.04), limit = exp(m.d.centre_log[0] + sd);
    struct wr_sim_limit limits[] = {{.lanes = 1, .minutes = limit}};
    struct wr_forecast f = run(&m, &(struct wr_sim_options){.seed = 7, .n_thread = 2, .limit = limits, .n_limit = 1});
    ck_assert_double_eq_tol(f.limit[0].over.mean, gsl_cdf_ugaussian_Q(1), 4 * f.limit[0].over.mc_error + 1e-6);
    ck_assert_double_eq_tol(f.people_share, 0.09 / expm1(sd * sd), 0.01);
    wr_forecast_release(&f);
    unmake(&m);
}
END_TEST

/* A day whose pace is partly known: b ~ N(shift, sd) in place of N(0, tau). */
START_TEST(a_known_pace_moves_the_forecast)
{
    struct made m;

    make(&m, 1, 1);
    m.d.run_effect_shift = WR_NEW_ARRAY(double, 1);
    m.d.run_effect_sd = WR_NEW_ARRAY(double, 1);
    m.d.run_effect_shift[0] = 0.25;
    m.d.run_effect_sd[0] = 0.05;
    m.d.spread_log[0] = 0.2;
    double limit = exp(m.d.centre_log[0] + 0.5);
    struct wr_sim_limit limits[] = {{.lanes = 1, .minutes = limit}};
    struct wr_forecast f = run(&m, &(struct wr_sim_options){.seed = 8, .n_thread = 1, .limit = limits, .n_limit = 1});
    ck_assert_double_eq_tol(f.limit[0].over.mean, gsl_cdf_ugaussian_Q(0.25 / hypot(0.2, 0.05)),
                            4 * f.limit[0].over.mc_error + 1e-6);
    ck_assert_double_eq_tol(f.quantile_min[4], exp(m.d.centre_log[0] + 0.25), 0.003 * f.quantile_min[4]);
    wr_forecast_release(&f);
    unmake(&m);
}
END_TEST

/* ---- the stated error ---- */

static struct wr_probability over_of(const struct made *m, const struct wr_sim_limit *limit, uint64_t seed,
                                     size_t per_draw)
{
    struct wr_setup setup;
    struct wr_points p = {0};
    struct wr_error err;
    double grid[2] = {1, 2}, copies[WR_REPLICATES] = {0};
    struct wr_probability over = {0};

    ck_assert(wr_setup_build(&setup, wr_kernel_best(), &m->net, &m->d, limit, 1, seed, &err) == WR_OK);
    wr_points_run(&p, &setup, per_draw, grid, 2, 1, NULL, NULL);
    for (size_t j = 0; j < p.n_draw; j++)
        for (size_t r = 0; r < WR_REPLICATES; r++) copies[r] += p.over[j * WR_REPLICATES + r] / (double)p.n_draw;
    for (size_t r = 0; r < WR_REPLICATES; r++) over.mean += copies[r] / WR_REPLICATES;
    for (size_t r = 0; r < WR_REPLICATES; r++) over.mc_error += pow(copies[r] - over.mean, 2);
    over.mc_error = sqrt(over.mc_error / (WR_REPLICATES - 1) / WR_REPLICATES);
    wr_points_release(&p);
    wr_setup_release(&setup);
    return over;
}

/* 120 seeds: the spread of the estimates is the error that they state, within four standard errors of a standard
 * deviation from so many (1 / sqrt(240) each), and the estimates centre on one of many more points. */
START_TEST(the_stated_error_is_the_spread_over_seeds)
{
    enum { SEEDS = 120 };
    struct made m;
    double sum = 0, squares = 0, stated = 0;

    make(&m, 12, 3);
    steer(&m, _i);
    struct wr_sim_limit limit = {.lanes = 1, .minutes = 320};
    struct wr_probability fine = over_of(&m, &limit, 1, 2048);
    ck_assert_double_gt(fine.mean, 0.01);
    ck_assert_double_lt(fine.mean, 0.3);
    for (uint64_t seed = 1000; seed < 1000 + SEEDS; seed++) {
        struct wr_probability one = over_of(&m, &limit, seed, 16);
        sum += one.mean - fine.mean;
        squares += pow(one.mean - fine.mean, 2);
        stated += one.mc_error * one.mc_error;
    }
    double actual = sqrt(squares / SEEDS), said = sqrt(stated / SEEDS);
    ck_assert_msg(fabs(log(actual / said)) < 4 / sqrt(2 * SEEDS), "spread %.3g, stated %.3g", actual, said);
    ck_assert_double_lt(fabs(sum / SEEDS), 4 * hypot(actual / sqrt(SEEDS), fine.mc_error));
    unmake(&m);
}
END_TEST

/* What points and the integrated run effect are for: plain trials have variance P(1 - P)/n. */
START_TEST(points_need_far_fewer_than_plain_trials)
{
    struct made m;
    const size_t per_draw = 2048;

    make(&m, 20, 1);
    struct wr_sim_limit limit = {.lanes = 1, .minutes = 520};
    struct wr_probability p = over_of(&m, &limit, 11, per_draw);
    ck_assert_double_gt(p.mean, 0.01);
    ck_assert_double_lt(p.mean, 0.2);
    ck_assert_double_gt(p.mean * (1 - p.mean) / (double)(per_draw * WR_REPLICATES), 200 * p.mc_error * p.mc_error);
    unmake(&m);
}
END_TEST

/* ---- edges ---- */

START_TEST(numbers_that_cannot_be_simulated_are_refused)
{
    struct made m;
    struct wr_forecast f = {0};
    struct wr_error err = {0};
    struct wr_sim_options o = {.n_trial = 100};

    make(&m, 2, 1);
    m.d.centre_log[1] = NAN;
    ck_assert(wr_forecast_run(&f, &m.net, &m.d, &o, &err) == WR_E_DOMAIN);
    m.d.centre_log[1] = 2;
    m.d.rho[0] = 1;
    ck_assert(wr_forecast_run(&f, &m.net, &m.d, &o, &err) == WR_E_DOMAIN);
    m.d.rho[0] = 0;
#if SIZE_MAX > UINT32_MAX
    o.n_trial = (size_t)UINT32_MAX + 1;
    ck_assert(wr_forecast_run(&f, &m.net, &m.d, &o, &err) == WR_E_USAGE);
#endif
    m.net.n_task = 0;
    o.n_trial = 100;
    ck_assert(wr_forecast_run(&f, &m.net, &m.d, &o, &err) == WR_E_DOMAIN);
    m.net.n_task = 2;
    unmake(&m);
}
END_TEST

/* EV2 comes when A has ended, and waits for C alone. */
START_TEST(no_lane_waits_before_its_first_task)
{
    static const char *const plan[][3] = {{"A", "EV1", ""}, {"B", "EV2", "A"}, {"C", "EV1", ""}, {"D", "EV1+EV2", ""}};
    static const double minutes[] = {40, 10, 30, 10};
    struct made m = {0};
    struct wr_error err = {0};
    struct wr_sim_options o = {.n_trial = 1, .seed = 1};

    for (size_t k = 0; k < 4; k++) made_plan_add(&m.plan, plan[k][0], plan[k][1], plan[k][2]);
    made_plan_finish(&m.plan);
    ck_assert_int_eq(wr_network_build(&m.net, &m.plan, &err), WR_OK);
    made_durations_plain(&m.d, 4, 1);
    for (size_t k = 0; k < 4; k++) m.d.source[k] = (struct wr_source){.kind = WR_SRC_FIXED, .p = {minutes[k]}};
    struct wr_forecast f = run(&m, &o);
    ck_assert(f.lane[0].busy_min == 80 && f.lane[0].waiting_min == 0);
    ck_assert(f.lane[1].busy_min == 20 && f.lane[1].waiting_min == 20 && f.lane[1].finish_p50_min == 80);
    wr_forecast_release(&f);
    unmake(&m);
}
END_TEST

/* Nothing varies: everything is exact, no share of no variance. One trial only; a spread beyond all reason. */
START_TEST(degenerate_plans)
{
    struct made m;

    make(&m, 2, 1);
    for (size_t k = 0; k < 2; k++) m.d.source[k] = (struct wr_source){.kind = WR_SRC_FIXED, .p = {12.5}};
    struct wr_sim_limit limits[] = {{.lanes = 1, .minutes = 24}, {.lanes = 1, .minutes = 26}};
    struct wr_sim_options o = {.n_trial = 1, .seed = 1, .limit = limits, .n_limit = 2};
    struct wr_forecast f = run(&m, &o);
    ck_assert(f.mean_min == 25 && f.sd_min == 0 && f.quantile_min[0] == 25 && f.quantile_hi_min[10] == 25);
    ck_assert(f.limit[0].over.mean == 1 && f.limit[1].over.mean == 0 && f.any_over.mean == 1);
    ck_assert(f.task[0].median_min == 12.5 && f.task[1].start_min[3] == 12.5 && f.task[0].on_longest_path == 1);
    ck_assert(f.task[0].variance_share == 0 && f.lane[0].busy_min == 25 && f.lane[0].waiting_min == 0);
    wr_forecast_release(&f);
    m.d.source[0].kind = m.d.source[1].kind = WR_SRC_MODEL;
    m.d.centre_log[0] = 300;
    f = run(&m, &o);
    ck_assert(isfinite(f.mean_min) && isfinite(f.sd_min) && f.limit[1].over.mean == 1);
    wr_forecast_release(&f);
    unmake(&m);
}
END_TEST

static void note_progress(void *arg, double share)
{
    double *last = arg;

    ck_assert_double_ge(share, *last);
    ck_assert_double_le(share, 1);
    *last = share;
}

START_TEST(progress_rises_to_one)
{
    struct made m;
    double last = 0;

    make(&m, 3, 20);
    struct wr_forecast f = run(&m, &(struct wr_sim_options){.n_trial = 100000, .n_thread = 2, .progress = note_progress,
                                                            .progress_arg = &last});
    ck_assert_double_eq(last, 1);
    wr_forecast_release(&f);
    unmake(&m);
}
END_TEST

/* A task added at the end, in a stream of its own, leaves what was before it alone to the last bit. */
START_TEST(a_further_task_leaves_the_others_alone)
{
    struct made few, more;

    make(&few, 3, 5);
    make(&more, 4, 5);
    for (size_t k = 0; k < 3; k++)
        for (size_t j = 0; j < 5; j++) {
            few.d.centre_log[k * 5 + j] = more.d.centre_log[k * 5 + j];
            few.d.spread_log[k * 5 + j] = more.d.spread_log[k * 5 + j];
        }
    struct wr_sim_options o = {.n_trial = 40000, .seed = 2, .n_thread = 2};
    for (size_t j = 0; j < 5; j++) few.d.tau[j] = more.d.tau[j];
    struct wr_forecast f = run(&few, &o), g = run(&more, &o);
    for (size_t k = 0; k < 3; k++) {
        ck_assert_double_eq(f.task[k].mean_min, g.task[k].mean_min);
        for (size_t i = 0; i < WR_N_LENS; i++) {
            ck_assert_double_eq(f.task[k].lens_min[i], g.task[k].lens_min[i]);
            ck_assert_double_eq(f.task[k].end_min[i], g.task[k].end_min[i]);
        }
    }
    ck_assert_double_lt(f.mean_min, g.mean_min);
    wr_forecast_release(&f);
    wr_forecast_release(&g);
    unmake(&few);
    unmake(&more);
}
END_TEST

/* Points that all draws meet: what they say is off in common, from seed to seed, and right on average; what draws
 * differ by is kept, and not added to by the points. */
START_TEST(points_that_all_draws_meet)
{
    enum { SEEDS = 60 };
    struct made m;
    double p[DRAWS], by_draw[DRAWS], mean[DRAWS] = {0}, width[SEEDS], over[SEEDS];

    make(&m, 1, DRAWS);
    steer(&m, _i);
    double limit = 1.35 * exp(m.d.centre_log[0]);
    struct wr_sim_limit limits[] = {{.lanes = 1, .minutes = limit}};
    for (size_t j = 0; j < DRAWS; j++) p[j] = over_exactly(&m.d, j, limit);
    for (size_t s = 0; s < SEEDS; s++) {
        struct wr_probability one;
        const struct wr_sim_options o = {.seed = s, .n_thread = 1, .limit = limits, .n_limit = 1, .same_points = true};
        ck_assert_int_eq(wr_forecast_over(by_draw, &one, &m.net, &m.d, &o, 8, NULL), WR_OK);
        for (size_t j = 0; j < DRAWS; j++) mean[j] += by_draw[j] / SEEDS;
        width[s] = one.hi - one.lo;
        over[s] = one.mean;
    }
    struct wr_summary of_width = wr_summarise(width, SEEDS), of_over = wr_summarise(over, SEEDS);
    double exactly = wr_quantile(p, DRAWS, 0.95, WR_QUANTILE_TYPE_7) - wr_quantile(p, DRAWS, 0.05, WR_QUANTILE_TYPE_7);
    ck_assert_double_eq_tol(of_over.mean, wr_sum(p, DRAWS) / DRAWS, 4 * of_over.sd.value / sqrt(SEEDS) + 1e-6);
    ck_assert_double_eq_tol(of_width.mean, exactly, 0.02 * exactly);
    for (size_t j = 0; j < DRAWS; j++) ck_assert_double_eq_tol(mean[j], p[j], 0.02);
    unmake(&m);
}
END_TEST

Suite *suite_forecast(void);
Suite *suite_forecast(void)
{
    Suite *s = suite_create("forecast");
    TCase *t = tcase_create("forecast");

    tcase_set_timeout(t, 60);
    tcase_add_loop_test(t, probability_and_interval_are_those_of_the_closed_form, 0, 3);
    tcase_add_test(t, quantiles_of_the_finish_and_their_intervals);
    tcase_add_loop_test(t, a_long_tail_hides_nothing, 0, 6);
    tcase_add_loop_test(t, limits_moved_about_are_those_of_forecasts_of_their_own, 0, 3);
    tcase_add_loop_test(t, points_that_all_draws_meet, 0, 3);
    tcase_add_test(t, shares_of_the_variance);
    tcase_add_test(t, share_of_the_people);
    tcase_add_test(t, somebody_new_widens_the_day);
    tcase_add_test(t, a_known_pace_moves_the_forecast);
    tcase_add_loop_test(t, the_stated_error_is_the_spread_over_seeds, 0, 3);
    tcase_add_test(t, points_need_far_fewer_than_plain_trials);
    tcase_add_test(t, numbers_that_cannot_be_simulated_are_refused);
    tcase_add_test(t, no_lane_waits_before_its_first_task);
    tcase_add_test(t, degenerate_plans);
    tcase_add_test(t, progress_rises_to_one);
    tcase_add_test(t, a_further_task_leaves_the_others_alone);
    suite_add_tcase(s, t);
    return s;
}
