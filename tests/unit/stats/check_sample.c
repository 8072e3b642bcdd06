/* Quantiles, summaries, proportions, scores and judgements where a slow way or a limit gives the answer. Worked cases:
 * tests/reference/check_samples.c. */
#include <check.h>
#include <gsl/gsl_cdf.h>
#include <gsl/gsl_randist.h>
#include <gsl/gsl_sort.h>
#include <math.h>
#include <string.h>
#include "wetrun/stats/goodness.h"
#include "wetrun/stats/log_sample.h"
#include "wetrun/stats/proportion.h"
#include "wetrun/stats/quantile.h"
#include "wetrun/stats/score.h"
#include "wetrun/stats/summary.h"
#include "wetrun/stats/three_point.h"

START_TEST(quantile_ends)
{
    static const enum wr_quantile_type type[] = {1, 6, 7, 8};
    const double v[] = {9, 3, 7}, one[] = {4};

    for (int i = 0; i < 4; i++) {
        ck_assert(wr_quantile(v, 3, 0, type[i]) == 3 && wr_quantile(v, 3, 1, type[i]) == 9);
        ck_assert(wr_quantile(one, 1, 0.3, type[i]) == 4);
    }
    ck_assert(wr_median(v, 3) == 7 && v[0] == 9); /* the input stays as it was */
    /* 30 values 1..30: the inverse distribution function at 0.1 is 3, although 0.1 * 30 > 3 in doubles */
    double many[30];
    for (int i = 0; i < 30; i++) many[i] = i + 1;
    ck_assert(wr_quantile_of_sorted(many, 30, 0.1, WR_QUANTILE_TYPE_1) == 3);
    for (size_t i = 0; i < 30; i++) many[i] = (double)(i * 7 % 30); /* in another order */
    ck_assert(wr_quantile_in_place(many, 30, 0.1) == wr_quantile(many, 30, 0.1, WR_QUANTILE_TYPE_7));
    ck_assert(wr_quantile_in_place(many, 30, 0) == 0 && wr_quantile_in_place(many, 30, 1) == 29);
}
END_TEST

/* Beside GSL's, of few and of many, with equal ones, both signs and all magnitudes; bit by bit. */
START_TEST(sorted_as_gsl_sorts)
{
    static const size_t n[] = {1, 2, 199, 200, 201, 5000};
    double a[5000], b[5000];
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);

    for (size_t i = 0; i < n[_i]; i++) {
        a[i] = i % 7 == 0 ? 3 : gsl_ran_gaussian(rng, 1) * pow(10, 40 * gsl_ran_flat(rng, -1, 1));
        if (i == 150) a[i] = INFINITY;
        b[i] = a[i];
    }
    wr_sort_ascending(a, n[_i]);
    gsl_sort(b, 1, n[_i]);
    ck_assert_mem_eq(a, b, n[_i] * sizeof *a);
    for (size_t i = 0; i < n[_i]; i++) a[i] = 2.5; /* all alike */
    wr_sort_ascending(a, n[_i]);
    ck_assert(a[0] == 2.5 && a[n[_i] - 1] == 2.5);
    gsl_rng_free(rng);
}
END_TEST

START_TEST(sums_keep_small_parts)
{
    const double v[] = {1e16, 1, -1e16, 1}; /* a plain sum gives 1 */
    ck_assert(wr_sum(v, 4) == 2);
    ck_assert(wr_sum(NULL, 0) == 0);
}
END_TEST

START_TEST(one_value_has_no_spread)
{
    const double v[] = {42}, equal[] = {5, 5, 5}, bad[] = {5, 0};
    struct wr_summary s = wr_summarise(v, 1);
    struct wr_log_sample l;
    struct wr_error err;

    ck_assert(s.mean == 42 && !s.sd.known);
    ck_assert_int_eq(wr_log_sample_of(v, 1, &l, NULL), WR_OK);
    ck_assert(!wr_log_predictive_quantile(&l, 0.9).known);
    ck_assert_int_eq(wr_log_sample_of(equal, 3, &l, NULL), WR_OK);
    ck_assert(!wr_log_predictive_quantile(&l, 0.9).known); /* no spread seen is no certainty */
    ck_assert_int_eq(wr_log_sample_of(bad, 2, &l, &err), WR_E_DOMAIN);
    ck_assert_ptr_nonnull(strstr(err.text, "value 2"));
    ck_assert_int_eq(wr_log_sample_of(bad, 0, &l, &err), WR_E_TOO_FEW);
}
END_TEST

START_TEST(binomial_sums)
{
    for (size_t n = 1; n <= 12; n++) {
        double sum = 0;
        for (size_t k = 0; k <= n; k++) {
            sum += gsl_ran_binomial_pdf((unsigned)k, 0.8, (unsigned)n);
            ck_assert_double_eq_tol(wr_binomial_at_most(k, n, 0.8), sum, 1e-12);
        }
    }
    ck_assert(wr_binomial_at_most(3, 5, 0) == 1 && wr_binomial_at_most(3, 5, 1) == 0);
}
END_TEST

START_TEST(crps_by_its_definition)
{
    const double v[] = {3, 8, 8, 11, 20};
    double off = 0, apart = 0;
    for (int i = 0; i < 5; i++) {
        off += fabs(v[i] - 10);
        for (int j = 0; j < 5; j++) apart += fabs(v[i] - v[j]);
    }
    ck_assert_double_eq_tol(wr_crps_draws(v, 5, 10, WR_CRPS_OF_DRAWS), off / 5 - apart / 50, 1e-12);
    ck_assert_double_eq_tol(wr_crps_draws(v, 5, 10, WR_CRPS_FAIR), off / 5 - apart / 40, 1e-12);
    ck_assert(wr_crps_draws(v, 1, 10, WR_CRPS_OF_DRAWS) == 7); /* one number: the absolute error */
    ck_assert_double_eq_tol(wr_share_below(v, 5, 8), 0.2, 1e-15); /* strictly below */
    ck_assert(wr_share_below(v, 5, 3) == 0 && wr_share_below(v, 5, 21) == 1);
}
END_TEST

START_TEST(judgements_at_the_ends)
{
    struct wr_three_point p = {WR_THREE_POINT_PERT, 5, 9, 30}, t = {WR_THREE_POINT_TRIANGULAR, 5, 5, 30};
    struct wr_three_point constant = {WR_THREE_POINT_PERT, 7, 7, 7};
    static const struct wr_three_point bad[] = {
        {0, 5, 4, 9}, {0, 5, 10, 9}, {0, -1, 4, 9}, {0, 5, NAN, 9}, {0, 5, 6, INFINITY}};

    ck_assert(wr_three_point_quantile_min(&p, 0) == 5 && wr_three_point_quantile_min(&p, 1) == 30);
    ck_assert(wr_three_point_cdf(&p, 5) == 0 && wr_three_point_cdf(&p, 30) == 1 && wr_three_point_cdf(&p, 4) == 0);
    ck_assert(wr_three_point_quantile_min(&t, 0) == 5 && wr_three_point_quantile_min(&t, 1) == 30);
    ck_assert(wr_three_point_cdf(&t, 5) == 0); /* likely = low */
    ck_assert(wr_three_point_cdf(&constant, 7) == 1 && wr_three_point_cdf(&constant, 6.9) == 0);
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++)
        ck_assert_int_eq(wr_three_point_check(&bad[i], NULL), WR_E_DOMAIN);
}
END_TEST

/* Whatever a reading is, what it answers is one distribution: moments are those of its quantiles (20,000 midpoints of
 * equal probability: off by less than 0.001 min), and the others are inverses of each other. */
START_TEST(every_reading_is_one_distribution)
{
    enum { N = 20000, STEPS = 64, SCORES = 4 * STEPS }; /* as the engine asks for them */
    struct wr_three_point p = {(enum wr_three_point_reading)_i, 5, 9, 30};
    double sum = 0, squares = 0, minutes[2 * SCORES + 1];

    for (int i = 0; i < N; i++) {
        double prob = (i + 0.5) / N, t = wr_three_point_quantile_min(&p, prob);
        ck_assert_double_eq_tol(wr_three_point_cdf(&p, t), prob, 1e-9);
        sum += t;
        squares += t * t;
    }
    ck_assert_double_eq_tol(wr_three_point_mean_min(&p), sum / N, 0.001);
    ck_assert_double_eq_tol(wr_three_point_sd_min(&p), sqrt(squares / N - sum / N * sum / N), 0.001);
    wr_three_point_at_scores(&p, SCORES, 1.0 / STEPS, minutes);
    for (int i = -SCORES; i <= SCORES; i++)
        ck_assert_double_eq_tol(minutes[SCORES + i],
                                wr_three_point_quantile_min(&p, gsl_cdf_ugaussian_P((double)i / STEPS)), 1e-6);
}
END_TEST

/* Under the null the bootstrap p-value is uniform: 60 samples, mean 0.5 within 3 standard errors (0.037 each). */
START_TEST(goodness_p_is_uniform)
{
    enum { ROUNDS = 60, N = 7 };
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    double t[N], ad = 0, ks = 0;
    struct wr_fit fit;
    struct wr_goodness g, again;

    gsl_rng_set(rng, 4);
    for (int i = 0; i < ROUNDS; i++) {
        for (int k = 0; k < N; k++) t[k] = gsl_ran_weibull(rng, 20, 2);
        ck_assert_int_eq(wr_censored_fit(WR_WEIBULL, t, NULL, N, &fit, NULL), WR_OK);
        ck_assert_int_eq(wr_goodness_of_fit(&fit, t, N, 200, (uint64_t)i, &g, NULL), WR_OK);
        ad += g.anderson_darling_p.value / ROUNDS;
        ks += g.ks_p.value / ROUNDS;
    }
    gsl_rng_free(rng);
    ck_assert_double_eq_tol(ad, 0.5, 0.112);
    ck_assert_double_eq_tol(ks, 0.5, 0.112);
    ck_assert_int_eq(wr_goodness_of_fit(&fit, t, N, 200, ROUNDS - 1, &again, NULL), WR_OK);
    ck_assert(memcmp(&again.anderson_darling_p.value, &g.anderson_darling_p.value, sizeof(double)) == 0);
    ck_assert_uint_eq(again.n_resample, 200);
}
END_TEST

START_TEST(goodness_of_a_censored_fit_is_refused)
{
    const double t[] = {4, 6, 9, 11};
    const enum wr_seen seen[] = {0, 0, 1, 0};
    struct wr_fit fit;
    struct wr_goodness g;
    struct wr_error err;

    ck_assert_int_eq(wr_censored_fit(WR_GAMMA, t, seen, 4, &fit, NULL), WR_OK);
    ck_assert_int_eq(wr_goodness_of_fit(&fit, t, 4, 100, 1, &g, &err), WR_E_DOMAIN);
    ck_assert_ptr_nonnull(strstr(err.text, "stopped"));
}
END_TEST

Suite *suite_sample(void);
Suite *suite_sample(void)
{
    Suite *s = suite_create("sample");
    TCase *t = tcase_create("sample");

    tcase_set_timeout(t, 60);
    tcase_add_test(t, quantile_ends);
    tcase_add_loop_test(t, sorted_as_gsl_sorts, 0, 6);
    tcase_add_test(t, sums_keep_small_parts);
    tcase_add_test(t, one_value_has_no_spread);
    tcase_add_test(t, binomial_sums);
    tcase_add_test(t, crps_by_its_definition);
    tcase_add_test(t, judgements_at_the_ends);
    tcase_add_loop_test(t, every_reading_is_one_distribution, 0, WR_N_READING);
    tcase_add_test(t, goodness_p_is_uniform);
    tcase_add_test(t, goodness_of_a_censored_fit_is_refused);
    suite_add_tcase(s, t);
    return s;
}
