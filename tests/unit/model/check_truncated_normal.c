#include <check.h>
#include <gsl/gsl_cdf.h>
#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>
#include <math.h>
#include "../../../src/model/truncated_normal.h"

/* Q(x)/Q(low) of a variate above low is uniform: 20 equal classes, chi-square with 19 degrees of freedom. */
static void check_uniform(gsl_rng *rng, double low)
{
    enum { CLASSES = 20, DRAWS = 20000 };
    int count[CLASSES] = {0};
    double chi2 = 0.0;

    for (int i = 0; i < DRAWS; i++) {
        double x = wr_normal_above(rng, low);
        ck_assert_msg(x > low, "%g is not above %g", x, low);
        int class = (int)(CLASSES * gsl_cdf_ugaussian_Q(x) / gsl_cdf_ugaussian_Q(low));
        count[class < CLASSES ? class : CLASSES - 1]++;
    }
    for (int i = 0; i < CLASSES; i++) chi2 += pow(count[i] - DRAWS / CLASSES, 2) / (DRAWS / CLASSES);
    ck_assert_msg(gsl_cdf_chisq_Q(chi2, CLASSES - 1) > 1e-4, "low %g: chi-square %g", low, chi2);
}

START_TEST(right_law_wherever_it_is_cut)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    const double low[] = {-40, -3, -0.5, 0, 0.4, 0.99, 1.01, 2.5, 7, 20, 37};

    for (size_t i = 0; i < sizeof low / sizeof *low; i++) check_uniform(rng, low[i]);
    gsl_rng_free(rng);
}
END_TEST

/* Beyond the range of Q: x - low is nearly exponential with rate low. */
START_TEST(extreme_tail)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    double sum = 0.0;

    for (int i = 0; i < 20000; i++) {
        double x = wr_normal_above(rng, 1000.0);
        ck_assert(x >= 1000.0 && isfinite(x));
        sum += (x - 1000.0) * 1000.0;
    }
    ck_assert_double_eq_tol(sum / 20000, 1.0, 4.0 / sqrt(20000.0));
    gsl_rng_free(rng);
}
END_TEST

Suite *suite_truncated_normal(void);
Suite *suite_truncated_normal(void)
{
    Suite *s = suite_create("truncated_normal");
    TCase *t = tcase_create("truncated_normal");

    tcase_add_test(t, right_law_wherever_it_is_cut);
    tcase_add_test(t, extreme_tail);
    suite_add_tcase(s, t);
    return s;
}
