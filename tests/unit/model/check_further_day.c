/* Simulated further days against the moments that the model gives them. */
#include <check.h>
#include <math.h>
#include "made_rehearsals.h"
#include "wetrun/base/memory.h"
#include "wetrun/model/further_day.h"

Suite *suite_further_day(void);

enum { N_TASK = 3, N_DAY = 20000 };

/* One draw with known parameters, set by hand; three people of whom two are in the line-up. */
struct world {
    struct made_rehearsals r;
    struct wr_model_fit fit;
    struct wr_durations d;
};

static void set_world(struct world *w)
{
    static const struct made_truth truth = {.n_task = N_TASK, .n_run = 2, .median_min = {10, 20, 30}, .seed = 1};
    static double mu[N_TASK] = {2, 3, 3.5}, sigma[N_TASK] = {0.1, 0.2, 0.4}, q[3] = {0.3, -0.1, 9}, tau = 0.15,
                  gamma = -0.2, rho = 0.9;
    static size_t plan_task[N_TASK] = {0, 1, 2};
    static int line_up[4] = {0, 1, WR_PERSON_NEW, 0};
    static uint32_t lanes[N_TASK];

    *w = (struct world){0};
    made_rehearsals_make(&w->r, &truth);
    for (size_t k = 0; k < N_TASK; k++) lanes[k] = w->r.plan.task[k].lanes; /* EV1, EV2, both */
    w->fit = (struct wr_model_fit){.n_model_task = N_TASK, .plan_task = plan_task, .n_person = 3,
                                   .n_plan_task = N_TASK};
    w->fit.post = (struct wr_posterior){.n_draw = 1, .n_task = N_TASK, .n_person = 3, .target_order = 3, .mu = mu,
                                        .sigma = sigma, .q = q, .tau = &tau, .gamma = &gamma, .rho = &rho};
    w->d = (struct wr_durations){.n_task = N_TASK, .n_draw = 1, .n_lane = 2, .n_line_up = 1, .line_up = line_up,
                                 .lanes = lanes};
}

/* Means, covariances and third moments over many days, each with its own standard error. */
START_TEST(moments)
{
    struct world w;
    double *day = WR_NEW_ARRAY(double, N_DAY * N_TASK), learnt = -0.2 * log(5.0 / 3), mean[N_TASK] = {0};
    const double expected[N_TASK] = {2 + learnt + 0.3, 3 + learnt - 0.1, 3.5 + learnt + 0.1}; /* a pair: their mean */
    const double sigma[N_TASK] = {0.1, 0.2, 0.4}, tau = 0.15;

    set_world(&w);
    for (size_t i = 0; i < N_DAY; i++)
        ck_assert_uint_eq(wr_further_day_draw(&w.fit, &w.d, 0, 5, 1, 11, i, day + i * N_TASK), 0);
    for (size_t i = 0; i < N_DAY * N_TASK; i++) mean[i % N_TASK] += day[i] / N_DAY;
    for (size_t a = 0; a < N_TASK; a++) {
        double sd = hypot(sigma[a], tau), third = 0;
        ck_assert_double_eq_tol(mean[a], expected[a], 4.5 * sd / sqrt(N_DAY));
        for (size_t b = 0; b <= a; b++) {
            double together = 0, truth = tau * tau + (a == b ? sigma[a] * sigma[a] : 0);
            for (size_t i = 0; i < N_DAY; i++)
                together += (day[i * N_TASK + a] - expected[a]) * (day[i * N_TASK + b] - expected[b]) / N_DAY;
            /* the kurtosis of the skew-normal adds less than a third to the normal's 2 sd^4/n */
            ck_assert_double_eq_tol(together, truth, 4.5 * 1.2 * sd * hypot(sigma[b], tau) * sqrt(2.0 / N_DAY));
        }
        for (size_t i = 0; i < N_DAY; i++) third += pow(day[i * N_TASK + a] - expected[a], 3) / N_DAY;
        /* Azzalini (1985): third central moment (4 - pi)/2 (delta sqrt(2/pi))^3 omega^3; errors of sd sigma */
        double d = 0.9 * sqrt(2 / M_PI), omega = sigma[a] / sqrt(1 - d * d);
        ck_assert_double_eq_tol(third, (4 - M_PI) / 2 * pow(d * omega, 3), 4.5 * 4.5 * pow(sd, 3) / sqrt(N_DAY));
    }
    wr_free(day);
    made_rehearsals_release(&w.r);
}
END_TEST

START_TEST(repeats_share_their_day)
{
    struct world w;
    double one[N_TASK], four[4 * N_TASK], other[N_TASK], between = 0;

    set_world(&w);
    for (size_t i = 0; i < 4000; i++) {
        wr_further_day_draw(&w.fit, &w.d, 0, 5, 1, 11, i, one);
        wr_further_day_draw(&w.fit, &w.d, 0, 5, 4, 11, i, four);
        ck_assert_mem_eq(one, four, sizeof one);
        ck_assert(four[0] != four[N_TASK]);
        double a = four[0] + four[N_TASK], b = four[2 * N_TASK] + four[3 * N_TASK];
        double m = 2 * (2 - 0.2 * log(5.0 / 3) + 0.3);
        between += (a - m) * (b - m) / 4 / 4000;
    }
    ck_assert_double_eq_tol(between, 0.15 * 0.15, 4.5 * (0.15 * 0.15 + 0.1 * 0.1 / 2) * sqrt(2.0 / 4000));
    wr_further_day_draw(&w.fit, &w.d, 0, 5, 1, 12, 3999, other);
    ck_assert_mem_ne(one, other, sizeof one); /* another seed */
    made_rehearsals_release(&w.r);
}
END_TEST

START_TEST(line_ups_take_turns_by_chance)
{
    struct world w;
    double day[N_TASK];
    size_t n_second = 0;

    set_world(&w);
    w.d.n_line_up = 2;
    for (size_t i = 0; i < 2000; i++) n_second += wr_further_day_draw(&w.fit, &w.d, 0, 5, 1, 11, i, day);
    ck_assert(n_second > 1000 - 4.5 * sqrt(500) && n_second < 1000 + 4.5 * sqrt(500));
    made_rehearsals_release(&w.r);
}
END_TEST

START_TEST(a_day_joins_the_table)
{
    struct world w;
    struct wr_model_table old = {0}, new = {0};
    const double log_min[N_TASK] = {1, 2, 3};
    const double weight[2][N_TASK][3] = {{{1, 0, 0}, {0, 1, 0}, {0.5, 0.5, 0}}, {{0, 0, 0}, {1, 0, 0}, {1, 0, 0}}};

    set_world(&w);
    for (size_t line_up = 0; line_up < 2; line_up++) {
        wr_model_table_init(&old, N_TASK, 2, 3, WR_NO_PLAN_TIMES);
        wr_model_table_set_cell(&old, 1, 0, WR_OBS_STOPPED, 7, NULL, 0);
        wr_further_day_add(&new, &old.data, &w.fit, &w.d, line_up, 9, log_min);
        ck_assert(new.data.n_run == 3 && new.order[2] == 9 && new.data.target_order == old.data.target_order);
        ck_assert(new.obs[3] == WR_OBS_STOPPED && new.log_min[3] == log(7));
        for (size_t k = 0; k < N_TASK; k++) {
            ck_assert_int_eq(new.obs[k * 3 + 2], WR_OBS_DONE);
            ck_assert_double_eq_tol(new.log_min[k * 3 + 2], log_min[k], 1e-12);
            /* somebody who never rehearsed is not in the model: the other one's cell, or nobody's */
            ck_assert_mem_eq(new.person_weight + (k * 3 + 2) * 3, weight[line_up][k], sizeof weight[line_up][k]);
        }
        wr_model_table_release(&old);
        wr_model_table_release(&new);
    }
    made_rehearsals_release(&w.r);
}
END_TEST

Suite *suite_further_day(void)
{
    Suite *s = suite_create("further_day");
    TCase *t = tcase_create("further_day");

    tcase_add_test(t, moments);
    tcase_add_test(t, repeats_share_their_day);
    tcase_add_test(t, line_ups_take_turns_by_chance);
    tcase_add_test(t, a_day_joins_the_table);
    suite_add_tcase(s, t);
    return s;
}
