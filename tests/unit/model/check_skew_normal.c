#include <check.h>
#include <gsl/gsl_cdf.h>
#include <gsl/gsl_integration.h>
#include <gsl/gsl_math.h>
#include <math.h>
#include "wetrun/model/skew_normal.h"

/* Patefield and Tandy (2000), Journal of Statistical Software 5(5): their test values (from memory; the same to all
 * digits by owens_t of scipy). The last by 40 Gauss-Legendre points in 40 digits. */
START_TEST(owen_published_values)
{
    static const double row[][3] = {{0.0625, 0.25, 0.03891193023470137},      {6.5, 0.4375, 2.0005773048508315e-11},
                                    {7.0, 0.96875, 6.3990627193898685e-13},   {4.78125, 0.0625, 1.0632974804687463e-07},
                                    {2.0, 0.5, 8.6250779855215071e-03},       {1.0, 0.9999975, 6.6741808978228592e-02},
                                    {2.84375, 0.6875, 1.0772695301497868e-03}};

    for (size_t i = 0; i < sizeof row / sizeof *row; i++)
        ck_assert_msg(fabs(wr_owen_t(row[i][0], row[i][1]) / row[i][2] - 1.0) < 1e-12, "T(%g, %g)", row[i][0],
                      row[i][1]);
}
END_TEST

/* Closed forms: T(0, a) = atan(a)/(2 pi), T(h, 1) = Phi(h) Phi(-h)/2, T(h, inf) = Phi(-|h|)/2; odd in a, even in h. */
START_TEST(owen_closed_forms)
{
    for (double x = 0.0; x < 9.0; x += 0.37) {
        ck_assert_double_eq_tol(wr_owen_t(0.0, x), atan(x) / (2.0 * M_PI), 1e-14);
        ck_assert_double_eq_tol(wr_owen_t(x, 1.0), 0.5 * gsl_cdf_ugaussian_P(x) * gsl_cdf_ugaussian_Q(x), 1e-14);
        ck_assert_double_eq_tol(wr_owen_t(-x, 1e9), 0.5 * gsl_cdf_ugaussian_Q(x), 1e-9);
        ck_assert(wr_owen_t(-x, -2.0) == -wr_owen_t(x, 2.0));
    }
}
END_TEST

static double density(double y, void *law)
{
    return wr_skew_normal_pdf(law, y);
}

struct weighted { const struct wr_skew_normal *law; double power; };

static double weighted_density(double y, void *arg)
{
    const struct weighted *w = arg;

    return exp(w->power * y) * wr_skew_normal_pdf(w->law, y);
}

static double first_moment(double y, void *law)
{
    return y * wr_skew_normal_pdf(law, y);
}

/* Mean, sd, distribution and moments of minutes against numeric integration of the density. */
START_TEST(agrees_with_integration)
{
    gsl_integration_workspace *space = gsl_integration_workspace_alloc(200);
    static const double rho[] = {-0.98, -0.6, 0.0, 0.3, 0.98};
    double got, error;

    for (size_t i = 0; i < sizeof rho / sizeof *rho; i++) {
        struct wr_skew_normal law = wr_skew_normal_of(2.0, 0.4, rho[i], 0.01);
        gsl_function f = {density, &law}, mean = {first_moment, &law};
        gsl_integration_qag(&mean, -3.0, 8.0, 1e-13, 1e-12, 200, GSL_INTEG_GAUSS31, space, &got, &error);
        ck_assert_double_eq_tol(got, 2.0, 1e-11);
        for (double y = 0.9; y < 3.6; y += 0.3) {
            gsl_integration_qag(&f, -3.0, y, 1e-13, 1e-12, 200, GSL_INTEG_GAUSS31, space, &got, &error);
            ck_assert_double_eq_tol(wr_skew_normal_cdf(&law, y), got, 1e-11);
        }
        for (double power = 1.0; power < 3.0; power++) {
            struct weighted w = {&law, power};
            gsl_function g = {weighted_density, &w};
            gsl_integration_qag(&g, -3.0, 9.0, 1e-12, 1e-12, 200, GSL_INTEG_GAUSS31, space, &got, &error);
            ck_assert_double_eq_tol(wr_skew_normal_moment(&law, power) / got, 1.0, 1e-10);
        }
        /* variance: the task's own 0.4^2 whatever rho, and 0.01 more */
        ck_assert_double_eq_tol(law.a * law.a * (1.0 - 2.0 / M_PI) + law.b * law.b, 0.17, 1e-12);
    }
    gsl_integration_workspace_free(space);
}
END_TEST

Suite *suite_skew_normal(void);
Suite *suite_skew_normal(void)
{
    Suite *s = suite_create("skew_normal");
    TCase *t = tcase_create("skew_normal");

    tcase_add_test(t, owen_published_values);
    tcase_add_test(t, owen_closed_forms);
    tcase_add_test(t, agrees_with_integration);
    suite_add_tcase(s, t);
    return s;
}
