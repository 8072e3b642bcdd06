/* Expected values: R 4.2.2, the expression beside each. */
#include <check.h>
#include <gsl/gsl_cdf.h>
#include <math.h>
#include "wetrun/stats/special.h"

#define AGREE(value, expected, relative) \
    ck_assert_double_eq_tol((value), (expected), (relative) * fabs(expected))

START_TEST(normal_tails)
{
    static const double x[][2] = {/* pnorm(x, log.p = TRUE) */
                                  {-40, -804.6084420137538},     {-8.5, -39.19739642821767},
                                  {-1, -1.841021645009264},      {0.3, -0.4814101615884812},
                                  {6, -9.865876455243756e-10}, {37, -5.725571222524577e-300}};

    for (size_t i = 0; i < sizeof x / sizeof *x; i++) AGREE(wr_log_normal_cdf(x[i][0]), x[i][1], 1e-13);
    ck_assert(isfinite(wr_log_normal_cdf(-1e150)));
    ck_assert(wr_normal_hazard(-40) == 0 && isfinite(wr_normal_hazard(1e8)));
    /* dnorm(2) / pnorm(2, lower = FALSE) */
    AGREE(wr_normal_hazard(2), exp(-0.5 * 4) / sqrt(2 * M_PI) / 0.022750131948179207, 1e-13);
}
END_TEST

START_TEST(gamma_tail)
{
    static const double q[][3] = {/* pgamma(x, shape, lower = FALSE, log.p = TRUE) */
                                  {0.3, 2, -3.815532575704346},      {2.5, 1, -0.1635252755946503},
                                  {2.5, 900, -890.0794245222952},    {50, 20, -1.245892615733175e-08},
                                  {50, 60, -2.472108720635338},      {50, 2000, -1772.096731169327},
                                  {400, 380, -0.1726295283486286}, {1e4, 1.02e4, -3.759846180932282}};

    for (size_t i = 0; i < sizeof q / sizeof *q; i++) AGREE(wr_log_gamma_q(q[i][0], q[i][1]), q[i][2], 1e-11);
    ck_assert(wr_log_gamma_q(3, 0) == 0);
    ck_assert(wr_log_gamma_q(1e3, 1e-3) == 0);
}
END_TEST

START_TEST(beta_quantile_inverts)
{
    static const double shapes[][2] = {{4, 99997}, {1, 5}, {1.5, 4.5}, {0.2, 3}, {500, 9501}};
    static const double prob[] = {1e-10, 0.025, 0.5, 0.8, 0.975, 0.999999};

    for (size_t i = 0; i < sizeof shapes / sizeof *shapes; i++)
        for (size_t k = 0; k < sizeof prob / sizeof *prob; k++)
            AGREE(gsl_cdf_beta_P(wr_beta_quantile(prob[k], shapes[i][0], shapes[i][1]), shapes[i][0], shapes[i][1]),
                  prob[k], 1e-11);
    ck_assert_double_eq_tol(wr_beta_quantile(0.3, 1, 1), 0.3, 1e-15);
}
END_TEST

Suite *suite_special(void);
Suite *suite_special(void)
{
    Suite *s = suite_create("special");
    TCase *t = tcase_create("special");

    tcase_add_test(t, normal_tails);
    tcase_add_test(t, gamma_tail);
    tcase_add_test(t, beta_quantile_inverts);
    suite_add_tcase(s, t);
    return s;
}
