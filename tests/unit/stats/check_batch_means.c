/* Errors of means and quantiles of draws that resemble their neighbours, against closed forms for the autoregression of
 * first order and against repetition. */
#include <check.h>
#include <gsl/gsl_cdf.h>
#include <gsl/gsl_randist.h>
#include <math.h>
#include <string.h>
#include "wetrun/stats/batch_means.h"
#include "wetrun/stats/quantile.h"

enum { N = 2000, CHAINS = 4, REPEATS = 300 };

/* Chains of x[i] = phi x[i - 1] + noise with variance 1, begun in equilibrium, one after the other. */
static void draw_chains(const gsl_rng *rng, double phi, double *x)
{
    double noise = sqrt(1 - phi * phi);

    for (size_t i = 0; i < N; i++) {
        double z = gsl_ran_gaussian_ziggurat(rng, 1);
        x[i] = i % (N / CHAINS) == 0 ? z : phi * x[i - 1] + noise * z;
    }
}

/* Variance of the mean of one chain of n: (1 + 2 sum (1 - k/n) phi^k)/n (Priestley 1981, 5.3.5, from memory). */
static double exact_error(double phi)
{
    double n = (double)N / CHAINS, sum = 1;

    for (int k = 1; k < (int)n; k++) sum += 2 * (1 - k / n) * pow(phi, k);
    return sqrt(sum / n / CHAINS);
}

static gsl_rng *seeded(unsigned long seed)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);

    gsl_rng_set(rng, seed);
    return rng;
}

START_TEST(error_of_a_mean)
{
    static const double phi[] = {0, 0.5, 0.8};
    static double x[N];
    double squares = 0;
    gsl_rng *rng = seeded(5);

    for (int i = 0; i < REPEATS; i++) {
        draw_chains(rng, phi[_i], x);
        double error = wr_batch_mean_error(x, N);
        squares += error * error / REPEATS;
    }
    /* A batch of 62 draws misses what reaches over its ends: 2 phi/(1 - phi^2)/62 of the variance, 7 % at 0.8. The mean
     * of 300 squares with 31 degrees of freedom is off by 1.5 % (1 sd). */
    double missed = 1 - 2 * phi[_i] / (1 - phi[_i] * phi[_i]) / ((double)N / WR_MOST_BATCHES);
    ck_assert_double_eq_tol(squares / (exact_error(phi[_i]) * exact_error(phi[_i])), missed, 0.06);
    gsl_rng_free(rng);
}
END_TEST

/* Stated over repeated: the squared ratio varies as chi-squared with REPEATS - 1 degrees of freedom. */
START_TEST(error_of_a_quantile)
{
    static const double prob[] = {0.05, 0.5, 0.9};
    static double x[N], ascending[N];
    double stated = 0, sum = 0, squares = 0;
    gsl_rng *rng = seeded(6);

    for (int i = 0; i < REPEATS; i++) {
        draw_chains(rng, 0.6, x);
        memcpy(ascending, x, sizeof x);
        wr_sort_ascending(ascending, N);
        double error = wr_batch_quantile_error(x, ascending, N, prob[_i]);
        double q = wr_quantile_of_sorted(ascending, N, prob[_i], WR_QUANTILE_TYPE_7);
        stated += error * error / REPEATS;
        sum += q;
        squares += q * q;
    }
    double seen = (squares - sum * sum / REPEATS) / (REPEATS - 1), df = REPEATS - 1;
    /* 1 in 1000 to either side, and 10 % for short batches and the slope over a finite step */
    ck_assert_double_gt(seen / stated, 0.9 * gsl_cdf_chisq_Pinv(0.001, df) / df);
    ck_assert_double_lt(seen / stated, 1.1 * gsl_cdf_chisq_Qinv(0.001, df) / df);
    gsl_rng_free(rng);
}
END_TEST

START_TEST(ratio_of_weighted_sums)
{
    struct wr_batch_sums sums;
    gsl_rng *rng = seeded(7);
    double stated = 0, sum = 0, squares = 0;

    for (int i = 0; i < REPEATS; i++) { /* two trials a draw; weights of mean 1, and values that go with them */
        wr_batch_begin(&sums, 800);
        for (size_t j = 0; j < 1600; j++) {
            double w = gsl_ran_exponential(rng, 1);
            wr_batch_add(&sums, j % 800, w, w + gsl_ran_gaussian_ziggurat(rng, 1));
        }
        double error = wr_batch_error(&sums), mean = wr_batch_mean(&sums);
        stated += error * error / REPEATS;
        sum += mean;
        squares += mean * mean;
    }
    /* E w^2 / E w = 2, approached with a bias of order 1/n */
    ck_assert_double_eq_tol(sum / REPEATS, 2, 5 * sqrt(stated / REPEATS) + 2e-3);
    double seen = (squares - sum * sum / REPEATS) / (REPEATS - 1), df = REPEATS - 1;
    ck_assert_double_gt(seen / stated, 0.93 * gsl_cdf_chisq_Pinv(0.001, df) / df);
    ck_assert_double_lt(seen / stated, 1.07 * gsl_cdf_chisq_Qinv(0.001, df) / df);
    gsl_rng_free(rng);
}
END_TEST

START_TEST(few_draws)
{
    const double one = 3, two[] = {1, 3};
    struct wr_batch_sums none;

    ck_assert(wr_batch_mean_error(&one, 1) == 0);
    ck_assert(wr_batch_quantile_error(&one, &one, 1, 0.5) == 0);
    ck_assert_double_eq_tol(wr_batch_mean_error(two, 2), 1, 1e-12); /* sd sqrt(2), over sqrt(2) */
    wr_batch_begin(&none, 10);
    ck_assert(wr_batch_mean(&none) == 0 && wr_batch_error(&none) == 0);
    ck_assert_uint_eq(wr_batches_for(100000), WR_MOST_BATCHES);
    ck_assert_uint_eq(wr_batches_for(160), 10);
    ck_assert_uint_eq(wr_batches_for(20), WR_LEAST_BATCHES);
    size_t seen[WR_MOST_BATCHES] = {0};
    for (size_t i = 0; i < 2000; i++) seen[wr_batch_of(i, 2000, 32)]++;
    for (int b = 0; b < 32; b++) ck_assert(seen[b] == 62 || seen[b] == 63);
}
END_TEST

Suite *suite_batch_means(void);
Suite *suite_batch_means(void)
{
    Suite *suite = suite_create("batch_means");
    TCase *tcase = tcase_create("batch_means");

    tcase_add_loop_test(tcase, error_of_a_mean, 0, 3);
    tcase_add_loop_test(tcase, error_of_a_quantile, 0, 3);
    tcase_add_test(tcase, ratio_of_weighted_sums);
    tcase_add_test(tcase, few_draws);
    suite_add_tcase(suite, tcase);
    return suite;
}
