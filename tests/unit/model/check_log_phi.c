#include <check.h>
#include <gsl/gsl_cdf.h>
#include <gsl/gsl_math.h>
#include <gsl/gsl_sf_erf.h>
#include <math.h>
#include <stdint.h>
#include "../../../src/model/log_phi.h"
#include "../../../src/model/log_phi_sum.h"
#include "wetrun/base/mix.h"

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

/* ---- sums of it ---- */

/* What is left out of a value, at most, and twice the table's own error. The two nearest zeros of Phi make the eighth
 * coefficient of log Phi 2 / (8 2.816^8) = 6.3e-5 at most; 1e-4 is for all others, and for what comes after it. */
static double room_of_sum(const double *u, size_t n, double slope, double offset)
{
    double room = 0;

    for (size_t i = 0; i < n; i++) {
        double place = u[i] * WR_SUM_PER_UNIT, off = (place - floor(place) - 0.5) / WR_SUM_PER_UNIT;
        room += fmin(1e-10, 1e-4 * pow(fabs(off * slope), 8)) +
                2e-12 * fmax(1.0, fabs(reference(u[i] * slope + offset)));
    }
    return room;
}

static double reference_sum(const double *u, size_t n, double slope, double offset)
{
    double sum = 0;

    for (size_t i = 0; i < n; i++) sum += reference(u[i] * slope + offset);
    return sum;
}

enum { MOST_SUMMED = 2 * WR_SUM_LEAST };

/* Middles and edges of bins, what lies between them, and what is in none. */
static void fill(double *u, size_t n, uint64_t *seed)
{
    for (size_t i = 0; i < n; i++) {
        double at = (double)(wr_mix(++*seed) % 100000) / 100000;
        u[i] = i % 50 == 0 ? 40 * at - 20 : 7 * (at - 0.5) + (at - 0.5) * (at - 0.5) * (at - 0.5) * 60;
        if (i % 5 == 0) u[i] = floor(u[i] * WR_SUM_PER_UNIT) / WR_SUM_PER_UNIT;
    }
}

static void expect_sums(const double *u, size_t n, const struct wr_log_phi *table, double shift)
{
    static struct wr_log_phi_sum sum;
    static size_t far[MOST_SUMMED];

    wr_log_phi_sum_take(&sum, u, n, far);
    ck_assert((n < WR_SUM_LEAST) == (sum.end_bin == 0));
    for (double slope = -2.5; slope < 2.6; slope += 0.125) { /* 1.5 is one of them */
        double offset = slope * shift, want = reference_sum(u, n, slope, offset);
        double got = wr_log_phi_sum_at(&sum, wr_grid_block_best(), table, slope, offset);
        double room = room_of_sum(u, n, slope, offset);
        ck_assert_msg(fabs(got - want) <= room, "%zu values, slope %g: %.17g, expected %.17g", n, slope, got, want);
    }
}

START_TEST(sums_of_many_agree_with_gsl)
{
    static struct wr_log_phi table;
    static double u[MOST_SUMMED];
    uint64_t seed = 3;

    wr_log_phi_build(&table);
    for (int round = 0; round < 40; round++) {
        const size_t n = round % 4 ? MOST_SUMMED - (size_t)round : WR_SUM_LEAST - 1;
        fill(u, n, &seed);
        expect_sums(u, n, &table, 0.8 * (round % 5 - 1));
    }
    for (double at = -3; at < 3; at += 0.25) { /* where what is left out cannot cancel: all at one edge of a bin */
        for (size_t i = 0; i < WR_SUM_LEAST; i++) u[i] = at;
        expect_sums(u, WR_SUM_LEAST, &table, 0.3);
    }
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
    tcase_add_test(t, sums_of_many_agree_with_gsl);
    suite_add_tcase(s, t);
    return s;
}
