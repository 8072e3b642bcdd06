/* Tests of fit against independently computed values: cases S-GOF-*, sources in each file. */
#include <check.h>
#include <gsl/gsl_cdf.h>
#include <math.h>
#include <stdlib.h>
#include "refcase.h"
#include "wetrun/stats/goodness.h"
#include "wetrun/stats/quantile.h"

enum { RESAMPLES = 4000 };

static struct wr_goodness fitted(enum wr_family family, const double *time, size_t n)
{
    struct wr_fit fit;
    struct wr_goodness g = {0};

    ck_assert_int_eq(wr_censored_fit(family, time, NULL, n, &fit, NULL), WR_OK);
    ck_assert_int_eq(wr_goodness_of_fit(&fit, time, n, RESAMPLES, 7, &g, NULL), WR_OK);
    return g;
}

static void compare(struct refcase *c, const char *name, const struct wr_goodness *g)
{
    refcase_is(c, g->anderson_darling, "fitted.%s.anderson_darling", name);
    refcase_is(c, g->ks, "fitted.%s.ks", name);
    refcase_is(c, g->anderson_darling_p.value, "fitted.%s.ad_p", name);
    refcase_is(c, g->ks_p.value, "fitted.%s.ks_p", name);
}

/* The statistics for a law given in advance, from the distribution function of the library. */
START_TEST(chick_weights)
{
    struct refcase *c = refcase_open("S-GOF-01");
    struct reftable *t = refcase_table(c, "file");
    const json_t *null = refcase_input(c, "null");
    double mean = json_number_value(json_object_get(null, "mean")), sd = json_number_value(json_object_get(null, "sd"));
    double *v = reftable_numbers(t, "value"), cdf[100], log_cdf[100], log_sf[100];
    size_t n = t->n_row;

    ck_assert(n <= 100);
    wr_sort_ascending(v, n);
    for (size_t i = 0; i < n; i++) {
        cdf[i] = gsl_cdf_gaussian_P(v[i] - mean, sd);
        log_cdf[i] = log(cdf[i]);
        log_sf[i] = log(gsl_cdf_gaussian_Q(v[i] - mean, sd));
    }
    refcase_is(c, wr_anderson_darling(log_cdf, log_sf, n), "known.anderson_darling");
    refcase_is(c, wr_kolmogorov_smirnov(cdf, n), "known.ks");
    struct wr_goodness g = fitted(WR_LOGNORMAL, v, n);
    compare(c, "lognormal", &g);
    for (size_t i = 0; i < n; i++) v[i] = exp(v[i] / 10); /* a normal fit to x is a lognormal fit to exp(x / 10) */
    g = fitted(WR_LOGNORMAL, v, n);
    compare(c, "normal", &g);
    refcase_put_aside(c, "known.", "p-values of a law given in advance: the program tests fitted laws only");
    refcase_put_aside(c, "fitted.normal.anderson_darling_sd_n_minus_1", "variant by sd with divisor n - 1, not used");
    free(v);
    reftable_free(t);
    refcase_close(c);
}
END_TEST

START_TEST(ball_bearings)
{
    static const enum wr_family family[] = {WR_WEIBULL, WR_GAMMA, WR_LOGNORMAL};
    struct refcase *c = refcase_open("S-GOF-02");
    struct reftable *t = refcase_table(c, "file");
    const json_t *null = refcase_input(c, "null");
    double *v = reftable_numbers(t, "value");
    struct wr_fit given = {.law = {WR_WEIBULL, {json_number_value(json_object_get(null, "shape")),
                                                json_number_value(json_object_get(null, "scale"))}},
                           .n_done = t->n_row};
    struct wr_goodness g;

    ck_assert_int_eq(wr_goodness_of_fit(&given, v, t->n_row, 0, 1, &g, NULL), WR_OK);
    ck_assert(!g.anderson_darling_p.known && !g.ks_p.known);
    refcase_is(c, g.anderson_darling, "known.anderson_darling");
    refcase_is(c, g.ks, "known.ks");
    for (int i = 0; i < 3; i++) {
        g = fitted(family[i], v, t->n_row);
        compare(c, wr_family_name(family[i]), &g);
    }
    refcase_put_aside(c, "known.", "p-values of a law given in advance: the program tests fitted laws only");
    free(v);
    reftable_free(t);
    refcase_close(c);
}
END_TEST

Suite *suite_goodness_cases(void);
Suite *suite_goodness_cases(void)
{
    Suite *s = suite_create("goodness_cases");
    TCase *t = tcase_create("published");

    tcase_set_timeout(t, 60);
    tcase_add_test(t, chick_weights);
    tcase_add_test(t, ball_bearings);
    suite_add_tcase(s, t);
    return s;
}
