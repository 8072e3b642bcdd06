/* Simulated days: the moments they should have, and that a task's luck is its own. */
#include <check.h>
#include <gsl/gsl_cdf.h>
#include <math.h>
#include <string.h>
#include "made_durations.h"
#include "wetrun/base/memory.h"
#include "wetrun/sim/scenarios.h"

enum { N = 200000 };

static void make(struct wr_scenarios *s, const struct wr_durations *d, uint64_t seed, bool even)
{
    if (even) wr_scenarios_make_even(s, d, N, seed, 2);
    else wr_scenarios_make(s, d, N, seed, 2);
}

static void moments(const float *x, size_t n, double *mean, double *var, double *skew)
{
    double s = 0, s2 = 0, s3 = 0;

    for (size_t i = 0; i < n; i++) s += x[i];
    *mean = s / (double)n;
    for (size_t i = 0; i < n; i++) {
        double d = x[i] - *mean;
        s2 += d * d;
        s3 += d * d * d;
    }
    *var = s2 / (double)n;
    *skew = s3 / (double)n / pow(*var, 1.5);
}

/* Azzalini 1985: the skewness of a skew-normal variable, rho = delta. Five standard errors of the sample moments. */
START_TEST(errors_have_mean_0_sd_1_and_the_skewness_of_rho)
{
    const double rhos[] = {0, 0.6, 0.95, -0.9};
    double rho = rhos[_i / 2], mean, var, skew, m = rho * sqrt(2 / M_PI);
    double expected = (4 - M_PI) / 2 * pow(m, 3) / pow(1 - m * m, 1.5);
    struct wr_durations d = {0};
    struct wr_scenarios s = {0};

    made_durations_plain(&d, 3, 1);
    d.rho[0] = rho;
    make(&s, &d, 42, _i % 2);
    for (size_t k = 0; k < 3; k++) {
        moments(s.score + k * N, N, &mean, &var, &skew);
        ck_assert_double_eq_tol(mean, 0, 5 / sqrt(N));
        ck_assert_double_eq_tol(var, 1, 5 * sqrt(2.9 / N)); /* kurtosis at most 3.87 */
        ck_assert_double_eq_tol(skew, expected, 5 * sqrt(15.0 / N));
        moments(s.own + k * N, N, &mean, &var, &skew);
        ck_assert_double_eq_tol(mean, d.centre_log[k], 5 * d.spread_log[k] / sqrt(N));
        ck_assert_double_eq_tol(sqrt(var), d.spread_log[k], 5 * d.spread_log[k] * sqrt(0.75 / N));
    }
    wr_scenarios_release(&s);
    made_durations_release(&d);
}
END_TEST

START_TEST(a_task_keeps_its_luck_when_others_go_and_rows_move)
{
    struct wr_durations all = {0}, some = {0};
    struct wr_scenarios a = {0}, b = {0};
    enum { FEW = 20000, MORE = 40000 };

    made_durations_plain(&all, 5, 7);
    made_durations_plain(&some, 2, 7);
    some.stream[0] = all.stream[3]; /* moved to the front */
    some.stream[1] = all.stream[1];
    wr_scenarios_make(&a, &all, MORE, 9, 1);
    wr_scenarios_make(&b, &some, FEW, 9, 2);
    ck_assert(memcmp(b.score, a.score + 3 * MORE, FEW * sizeof(float)) == 0);
    ck_assert(memcmp(b.score + FEW, a.score + 1 * MORE, FEW * sizeof(float)) == 0);
    ck_assert(memcmp(b.run_score, a.run_score, FEW * sizeof(float)) == 0);
    ck_assert(memcmp(a.score, a.score + MORE, FEW * sizeof(float)) != 0);
    for (size_t i = 0; i < FEW; i++) ck_assert_uint_eq(b.draw[i], i % 7);
    wr_scenarios_release(&a);
    wr_scenarios_release(&b);
    made_durations_release(&all);
    made_durations_release(&some);
}
END_TEST

/* 2000 trials in each of 100 cells of equal probability, for each task: chi-square with 99 degrees of freedom. */
START_TEST(scores_are_normal_and_independent)
{
    struct wr_durations d = {0};
    struct wr_scenarios s = {0};
    double correlation = 0;

    made_durations_plain(&d, 2, 1);
    wr_scenarios_make(&s, &d, N, 4711, 2);
    for (size_t k = 0; k < 2; k++) {
        double count[100] = {0}, chi2 = 0;
        for (size_t i = 0; i < N; i++) count[(int)(100 * gsl_cdf_ugaussian_P(s.score[k * N + i]))]++;
        for (size_t c = 0; c < 100; c++) chi2 += pow(count[c] - N / 100.0, 2) / (N / 100.0);
        ck_assert_double_ge(gsl_cdf_chisq_Q(chi2, 99), 1e-4);
        ck_assert_double_ge(gsl_cdf_chisq_P(chi2, 99), 1e-4);
    }
    for (size_t i = 0; i < N; i++) correlation += (double)s.score[i] * s.score[N + i] / N;
    ck_assert_double_eq_tol(correlation, 0, 4.5 / sqrt(N));
    correlation = 0; /* both normals of one pair of numbers, and neighbours in a lane */
    for (size_t i = 0; i + 16 < N; i++) correlation += (double)s.score[i] * s.score[i + 16] / N;
    ck_assert_double_eq_tol(correlation, 0, 4.5 / sqrt(N));
    wr_scenarios_release(&s);
    made_durations_release(&d);
}
END_TEST

enum { SEEDS = 40, FEW_DAYS = 4000, EVEN_TASKS = 4 };

/* Share of days on which the scores of all tasks and the run effect's come to more than 2, which is a tail of the
 * normal; by parts too. */
static double share_beyond(const struct wr_scenarios *s, double part[WR_SCENARIO_PARTS])
{
    double n[WR_SCENARIO_PARTS] = {0}, beyond = 0;

    memset(part, 0, WR_SCENARIO_PARTS * sizeof *part);
    for (size_t i = 0; i < FEW_DAYS; i++) {
        size_t p = wr_scenarios_part(s->draw[i], 1000, i);
        double sum = s->run_score[i];
        for (size_t k = 0; k < EVEN_TASKS; k++) sum += s->score[k * FEW_DAYS + i];
        n[p]++;
        part[p] += sum > 2;
        beyond += sum > 2;
    }
    for (size_t p = 0; p < WR_SCENARIO_PARTS; p++) part[p] /= n[p];
    return beyond / FEW_DAYS;
}

/* Even luck is right on average, errs less than chance, and by as much as its parts say. The sum over seeds of squared
 * errors over what is expected is chi-squared: 1 in 1,000 to either side. Random numbers are there to show that the
 * measure can tell. */
START_TEST(even_luck_errs_less_and_says_by_how_much)
{
    const double right = gsl_cdf_ugaussian_Q(2 / sqrt(1 + EVEN_TASKS)), chance = right * (1 - right) / FEW_DAYS;
    double part[WR_SCENARIO_PARTS], sum = 0, squares = 0, stated = 0;
    struct wr_durations d = {0};
    struct wr_scenarios s = {0};

    made_durations_plain(&d, EVEN_TASKS, 1000);
    for (uint64_t seed = 1; seed <= SEEDS; seed++) {
        if (_i) wr_scenarios_make_even(&s, &d, FEW_DAYS, seed, 1);
        else wr_scenarios_make(&s, &d, FEW_DAYS, seed, 1);
        double share = share_beyond(&s, part);
        sum += share - right;
        squares += (share - right) * (share - right);
        for (size_t p = 0; p < WR_SCENARIO_PARTS; p++)
            stated += (part[p] - share) * (part[p] - share) / WR_SCENARIO_PARTS / (WR_SCENARIO_PARTS - 1);
        wr_scenarios_release(&s);
    }
    ck_assert_double_eq_tol(sum / SEEDS, 0, 3.5 * sqrt(stated) / SEEDS);
    ck_assert_double_ge(squares / stated, gsl_cdf_chisq_Pinv(1e-3, SEEDS) / SEEDS);
    ck_assert_double_le(squares / stated, gsl_cdf_chisq_Qinv(1e-3, SEEDS) / SEEDS);
    if (_i) ck_assert_double_le(squares / SEEDS, 0.4 * chance);
    else ck_assert_double_ge(squares / SEEDS, 0.4 * chance);
    made_durations_release(&d);
}
END_TEST

/* Two line-ups of known people, a third of somebody new: what each lane and a joint task are given. */
START_TEST(people_reach_the_tasks_of_their_lanes)
{
    struct wr_durations d = {0};
    struct wr_scenarios s = {0};
    const int line_up[] = {0, 1, 1, 0, WR_PERSON_NONE, WR_PERSON_NEW};
    double sum[3] = {0}, squares[3] = {0};
    size_t n[3] = {0};

    made_durations_plain(&d, 3, 1);
    made_durations_people(&d, 2, 2, 3, line_up);
    d.q[0] = 0.10;
    d.q[1] = -0.30;
    d.kappa[0] = 0.2;
    d.lanes[0] = 1, d.lanes[1] = 2, d.lanes[2] = 3;
    for (size_t k = 0; k < 3; k++) d.spread_log[k] = 0;
    make(&s, &d, 5, _i);
    for (size_t i = 0; i < N; i++) {
        double q1 = s.own[i] - d.centre_log[0], q2 = s.own[N + i] - d.centre_log[1];
        double both = s.own[2 * N + i] - d.centre_log[2];
        size_t up = fabs(q1 - 0.1) < 1e-6 ? 0 : fabs(q1 + 0.3) < 1e-6 ? 1 : 2;
        n[up]++;
        sum[up] += q2;
        squares[up] += q2 * q2;
        ck_assert_double_eq_tol(both, (q1 + q2) / 2, 1e-6);
    }
    for (size_t up = 0; up < 3; up++) ck_assert_double_eq_tol((double)n[up] / N, 1 / 3.0, 5 * sqrt(2 / 9.0 / N));
    ck_assert_double_eq_tol(sum[0] / (double)n[0], -0.3, 1e-6);
    ck_assert_double_eq_tol(sum[1] / (double)n[1], 0.1, 1e-6);
    ck_assert_double_eq_tol(squares[2] / (double)n[2], 0.04, 5 * 0.04 * sqrt(2.0 / (double)n[2]));
    wr_scenarios_release(&s);
    made_durations_release(&d);
}
END_TEST

Suite *suite_scenarios(void);
Suite *suite_scenarios(void)
{
    Suite *s = suite_create("scenarios");
    TCase *t = tcase_create("scenarios");

    tcase_add_loop_test(t, errors_have_mean_0_sd_1_and_the_skewness_of_rho, 0, 8);
    tcase_add_test(t, a_task_keeps_its_luck_when_others_go_and_rows_move);
    tcase_add_test(t, scores_are_normal_and_independent);
    tcase_add_loop_test(t, even_luck_errs_less_and_says_by_how_much, 0, 2);
    tcase_add_loop_test(t, people_reach_the_tasks_of_their_lanes, 0, 2);
    suite_add_tcase(s, t);
    return s;
}
