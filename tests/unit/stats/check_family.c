/* Expected values: R 4.2.2 and scipy 1.10.1, the expression beside each; integrals of the density by quadrature. */
#include <check.h>
#include <gsl/gsl_integration.h>
#include <gsl/gsl_rng.h>
#include <math.h>
#include "law_quantile.h"
#include "wetrun/stats/family.h"
#include "wetrun/stats/goodness.h"
#include "wetrun/stats/quantile.h"

static const struct wr_law laws[] = {
    {WR_LOGNORMAL, {3, 0.4}},     {WR_LOGNORMAL, {-2.3, 1.7}}, {WR_GAMMA, {3, 0.1}},    {WR_GAMMA, {0.6, 2}},
    {WR_GAMMA, {700, 35}},        {WR_WEIBULL, {1.7, 30}},     {WR_WEIBULL, {0.7, 9}},  {WR_LOGLOGISTIC, {2.5, 30}},
    {WR_LOGLOGISTIC, {9, 0.2}}, {WR_INVGAUSS, {20, 60}},     {WR_INVGAUSS, {20, 3}}, {WR_INVGAUSS, {20, 2e5}},
};
enum { LAWS = sizeof laws / sizeof *laws };

START_TEST(every_family_has_laws)
{
    size_t n[WR_N_FAMILY] = {0};

    for (size_t i = 0; i < LAWS; i++) n[laws[i].family]++;
    for (size_t f = 0; f < WR_N_FAMILY; f++)
        ck_assert_msg(n[f] >= 2, "family %zu has %zu laws above: at least two", f, n[f]);
}
END_TEST

START_TEST(far_tails)
{
    static const struct {
        struct wr_law law;
        double t, log_cdf, log_sf, log_pdf; /* 0: not given */
    } row[] = {
        /* plnorm, pweibull, pgamma with log.p = TRUE; plogis(2.5 * log(t / 30)); densities at 17 with log = TRUE */
        {{WR_LOGNORMAL, {3, 0.4}}, 900, 0, -48.363529614499, 0},
        {{WR_WEIBULL, {1.7, 30}}, 900, 0, -324.418889253904, 0},
        {{WR_LOGLOGISTIC, {2.5, 30}}, 900, 0, -8.50319629378852, 0},
        {{WR_GAMMA, {3, 0.1}}, 900, 0, -81.6713074164544, 0},
        {{WR_LOGNORMAL, {3, 0.4}}, 0.01, -184.612472379765, 0, 0},
        {{WR_WEIBULL, {1.7, 30}}, 0.01, -13.610825478575, 0, 0},
        {{WR_LOGLOGISTIC, {2.5, 30}}, 0.01, -20.0159189211542, 0, 0},
        {{WR_GAMMA, {30, 0.1}}, 1e-4, -420.046009975356, 0, 0},
        {{WR_GAMMA, {3, 0.1}}, 0.01, -22.5157752874234, 0, 0},
        {{WR_LOGNORMAL, {3, 0.4}}, 17, 0, 0, -2.92279173476458},
        {{WR_GAMMA, {3, 0.1}}, 17, 0, 0, -3.63447577142965},
        {{WR_WEIBULL, {1.7, 30}}, 17, 0, 0, -3.64892296763266},
        {{WR_LOGLOGISTIC, {2.5, 30}}, 17, 0, 0, -3.76988363647116},
        /* scipy.stats.invgauss(mean / shape, scale=shape): logcdf, logsf, logpdf */
        {{WR_INVGAUSS, {20, 60}}, 5, -4.8673924729890174, -0.00772314677316599, -4.660923120744773},
        {{WR_INVGAUSS, {20, 60}}, 200, -7.09674463121327e-08, -16.461044603179317, -18.969242301915678},
        {{WR_INVGAUSS, {20, 60}}, 2000, 0, -154.70764084464128, -157.28811994140673},
        {{WR_INVGAUSS, {20, 60}}, 0.2, -150.09589021384656, 0, -143.47260938344243},
        {{WR_INVGAUSS, {20, 2e5}}, 30, 0, -838.185448799594, -833.2510316162655},
        {{WR_INVGAUSS, {20, 0.5}}, 25, -0.09595554952892771, -2.3914643802023785, -6.094450860786947},
    };

    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        if (row[i].log_cdf != 0)
            ck_assert_double_eq_tol(wr_law_log_cdf(&row[i].law, row[i].t), row[i].log_cdf, 1e-9 * fabs(row[i].log_cdf));
        if (row[i].log_sf != 0)
            ck_assert_double_eq_tol(wr_law_log_sf(&row[i].law, row[i].t), row[i].log_sf, 1e-9 * fabs(row[i].log_sf));
        if (row[i].log_pdf != 0)
            ck_assert_double_eq_tol(wr_law_log_pdf(&row[i].law, row[i].t), row[i].log_pdf, 1e-9 * fabs(row[i].log_pdf));
    }
}
END_TEST

static double density_of_log(double y, void *law)
{
    return exp(wr_law_log_pdf(law, exp(y)) + y);
}

static double integral(gsl_function *f, double lo, double hi)
{
    double value, error;
    gsl_integration_workspace *w = gsl_integration_workspace_alloc(500);
    ck_assert_int_eq(gsl_integration_qag(f, lo, hi, 1e-12, 1e-10, 500, GSL_INTEG_GAUSS31, w, &value, &error), 0);
    gsl_integration_workspace_free(w);
    return value;
}

START_TEST(distribution_is_the_integral_of_the_density)
{
    struct wr_law law = laws[_i];
    gsl_function f = {density_of_log, &law};
    static const double prob[] = {0.001, 0.2, 0.5, 0.83, 0.999};
    double median = law_quantile_min(&law, 0.5), low = log(law_quantile_min(&law, 1e-14));

    for (size_t i = 0; i < sizeof prob / sizeof *prob; i++) {
        double q = law_quantile_min(&law, prob[i]);
        ck_assert_double_eq_tol(exp(wr_law_log_cdf(&law, q)) + exp(wr_law_log_sf(&law, q)), 1, 1e-12);
        ck_assert_double_eq_tol(integral(&f, low, log(q)), prob[i], 1e-8);
    }
    ck_assert(isfinite(wr_law_log_sf(&law, median * 3)) && isfinite(wr_law_log_cdf(&law, median / 3)));
}
END_TEST

START_TEST(draws_follow_the_law)
{
    enum { N = 20000 };
    static double t[N], cdf[N];
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);

    gsl_rng_set(rng, 77);
    for (size_t i = 0; i < N; i++) t[i] = wr_law_draw_min(&laws[_i], rng);
    gsl_rng_free(rng);
    wr_sort_ascending(t, N);
    for (size_t i = 0; i < N; i++) cdf[i] = exp(wr_law_log_cdf(&laws[_i], t[i]));
    /* Kolmogorov: 1.95 / sqrt(n) is passed once in a thousand */
    ck_assert_double_lt(wr_kolmogorov_smirnov(cdf, N), 1.95 / sqrt(N));
}
END_TEST

Suite *suite_family(void);
Suite *suite_family(void)
{
    Suite *s = suite_create("family");
    TCase *t = tcase_create("family");

    tcase_add_test(t, every_family_has_laws);
    tcase_add_test(t, far_tails);
    tcase_add_loop_test(t, distribution_is_the_integral_of_the_density, 0, LAWS);
    tcase_add_loop_test(t, draws_follow_the_law, 0, LAWS);
    suite_add_tcase(s, t);
    return s;
}
