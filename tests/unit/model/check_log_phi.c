#include <check.h>
#include <gsl/gsl_cdf.h>
#include <gsl/gsl_math.h>
#include <gsl/gsl_sf_erf.h>
#include <math.h>
#include "../../../src/model/log_phi.h"

/* GSL itself is the other side: log erfc in the lower tail, log1p of the upper tail area above 0. */
static double reference(double z)
{
    return z < 0 ? gsl_sf_log_erfc(-z / M_SQRT2) - M_LN2 : log1p(-gsl_cdf_ugaussian_Q(z));
}

START_TEST(agrees_with_gsl_everywhere)
{
    static struct wr_log_phi table;
    unsigned n = 0;

    wr_log_phi_build(&table);
    for (double z = -45.0; z < 12.0; z += 0.000977, n++) { /* no multiple of the pieces' width */
        double want = reference(z), got = wr_log_phi(&table, z), room = 1e-12 * fmax(1.0, fabs(want));
        ck_assert_msg(fabs(got - want) <= room, "log Phi(%.6f): %.17g, expected %.17g", z, got, want);
    }
    ck_assert_uint_gt(n, 50000);
}
END_TEST

/* Abramowitz and Stegun (1964), table 26.1: Phi(1) = 0.841344746068543, and table 26.2: -log10 Q(x) (from memory). */
START_TEST(handbook_values)
{
    static struct wr_log_phi table;

    wr_log_phi_build(&table);
    ck_assert_double_eq_tol(exp(wr_log_phi(&table, 1.0)), 0.841344746068543, 1e-14);
    ck_assert_double_eq_tol(-wr_log_phi(&table, -5.0) / M_LN10, 6.54265, 5e-6);
    ck_assert_double_eq_tol(-wr_log_phi(&table, -10.0) / M_LN10, 23.11805, 5e-6);
    ck_assert_double_eq_tol(-wr_log_phi(&table, -20.0) / M_LN10, 88.56010, 5e-6);
}
END_TEST

START_TEST(far_out_and_not_a_number)
{
    static struct wr_log_phi table;

    wr_log_phi_build(&table);
    ck_assert(wr_log_phi(&table, 1e6) == 0.0 && wr_log_phi(&table, INFINITY) == 0.0);
    /* the leading terms of Mills' ratio */
    ck_assert_double_eq_tol(wr_log_phi(&table, -1e6), -0.5e12 - log(1e6) - 0.5 * log(2 * M_PI), 1e-3);
    ck_assert(isnan(wr_log_phi(&table, NAN)));
}
END_TEST

Suite *suite_log_phi(void);
Suite *suite_log_phi(void)
{
    Suite *s = suite_create("log_phi");
    TCase *t = tcase_create("log_phi");

    tcase_add_test(t, agrees_with_gsl_everywhere);
    tcase_add_test(t, handbook_values);
    tcase_add_test(t, far_out_and_not_a_number);
    suite_add_tcase(s, t);
    return s;
}
