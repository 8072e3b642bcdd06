/* Summaries, quantiles, Student forecasts, proportions, scores and judgements against published and independently
 * computed values: cases S-UNI, S-PCT, S-PRE, S-CAR, S-INT, S-SCO, S-TPT; sources in each file. */
#include <check.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include "refcase.h"
#include "wetrun/stats/log_sample.h"
#include "wetrun/stats/proportion.h"
#include "wetrun/stats/quantile.h"
#include "wetrun/stats/score.h"
#include "wetrun/stats/special.h"
#include "wetrun/stats/summary.h"
#include "wetrun/stats/three_point.h"

static const char *const univariate[] = {"S-UNI-01", "S-UNI-02", "S-UNI-03"};

START_TEST(mean_and_sd)
{
    struct refcase *c = refcase_open(univariate[_i]);
    struct reftable *t = refcase_table(c, "file");
    double *v = reftable_numbers(t, "value");
    struct wr_summary s = wr_summarise(v, t->n_row);

    refcase_is(c, (double)s.n, "n");
    refcase_is(c, s.mean, "mean");
    refcase_is(c, s.mean, "mean.exact");
    refcase_is(c, s.sd.value, "sd");
    refcase_is(c, s.sd.value, "sd.exact");
    free(v);
    reftable_free(t);
    refcase_close(c);
}
END_TEST

START_TEST(percentiles_by_type)
{
    static const char *const prob[] = {"0.05", "0.1", "0.25", "0.5", "0.75", "0.8", "0.9", "0.95", "0.99"};
    static const enum wr_quantile_type type[] = {1, 6, 7, 8};
    struct refcase *c = refcase_open("S-PCT-01");
    struct reftable *t = refcase_table(c, "file");
    double *v = reftable_numbers(t, "value");

    for (size_t i = 0; i < sizeof prob / sizeof *prob; i++)
        for (size_t k = 0; k < sizeof type / sizeof *type; k++)
            refcase_is(c, wr_quantile(v, t->n_row, strtod(prob[i], NULL), type[k]), "type%d.p%s", (int)type[k],
                       prob[i]);
    free(v);
    reftable_free(t);
    refcase_close(c);
}
END_TEST

static const char *const predictive[] = {"S-PRE-01", "S-PRE-02"};

START_TEST(next_run)
{
    static const char *const prob[] = {"0.05", "0.1", "0.5", "0.8", "0.9", "0.95", "0.99"};
    struct refcase *c = refcase_open(predictive[_i]);
    struct reftable *t = refcase_table(c, "file");
    double *v = reftable_numbers(t, "value"), limit = refcase_input_number(c, "limit");
    struct wr_log_sample s;

    ck_assert_int_eq(wr_log_sample_of(v, t->n_row, &s, NULL), WR_OK);
    refcase_is(c, (double)s.log.n, "n");
    refcase_is(c, s.log.mean, "meanlog");
    refcase_is(c, s.log.sd.value, "sdlog_n_minus_1");
    for (size_t i = 0; i < sizeof prob / sizeof *prob; i++)
        refcase_is(c, wr_log_predictive_quantile(&s, strtod(prob[i], NULL)).value, "predictive.q%s", prob[i]);
    refcase_is(c, wr_log_predictive_over(&s, limit).value, "predictive.over");
    struct wr_interval over = wr_log_over_interval(&s, limit, 0.9);
    refcase_is(c, over.lo, "over90.lo");
    refcase_is(c, over.hi, "over90.hi");
    refcase_is(c, wr_tolerance_factor(s.log.n, 0.9, 0.9), "tolerance_factor.0.9.0.9");
    refcase_is(c, wr_log_tolerance_limit(&s, 0.9, 0.9).value, "tolerance_limit.0.9.0.9");
    refcase_is(c, wr_tolerance_factor(s.log.n, 0.95, 0.95), "tolerance_factor.0.95.0.95");
    refcase_is(c, wr_log_tolerance_limit(&s, 0.95, 0.95).value, "tolerance_limit.0.95.0.95");
    refcase_put_aside(c, "sdlog_mle", "compared as lognormal.sdlog of the fits");
    refcase_put_aside(c, "plug_in.", "for contrast only: the program forecasts no next value from point estimates");
    refcase_put_aside(c, "predictive.mean", "null: does not exist, and no function offers one");
    free(v);
    reftable_free(t);
    refcase_close(c);
}
END_TEST

START_TEST(tolerance_factor)
{
    struct refcase *c = refcase_open("S-PRE-03");
    size_t n = (size_t)refcase_input_number(c, "n");

    refcase_is(c, wr_tolerance_factor(n, refcase_input_number(c, "content"), refcase_input_number(c, "confidence")),
               "factor");
    refcase_put_aside(c, "approximate_factor", "an approximation by normal quantiles; the exact factor is used");
    refcase_put_aside(c, "published.approximate_factor", "the same");
    refcase_close(c);
}
END_TEST

/* Pairs of pool and flight minutes, by kind: the ratio is a log sample. */
static size_t ratios_of_kind(const struct reftable *t, const char *kind, double *ratio)
{
    size_t n = 0;
    for (size_t i = 0; i < t->n_row; i++)
        if (!strcmp(reftable_text(t, i, "kind"), kind))
            ratio[n++] = reftable_number(t, i, "flight") / reftable_number(t, i, "pool");
    return n;
}

START_TEST(carry_over_ratio)
{
    static const char *const kind[] = {"transit", "fastener", "connector"};
    struct refcase *c = refcase_open("S-CAR-01");
    struct reftable *t = refcase_table(c, "file");
    double *ratio = calloc(t->n_row, sizeof *ratio);

    for (int k = 0; k < 3; k++) {
        struct wr_log_sample s;
        size_t n = ratios_of_kind(t, kind[k], ratio);
        ck_assert_int_eq(wr_log_sample_of(ratio, n, &s, NULL), WR_OK);
        struct wr_interval mean = wr_geometric_mean_interval(&s, 0.9), next = wr_log_next_interval(&s, 0.9);
        refcase_is(c, (double)n, "%s.n", kind[k]);
        refcase_is(c, wr_geometric_mean(&s), "%s.geometric_mean_ratio", kind[k]);
        refcase_is_maybe(c, mean.known, mean.lo, "%s.ratio90.lo", kind[k]);
        ck_assert(next.known == mean.known);
        if (n == 1) continue; /* the case has no further ends then */
        refcase_is(c, mean.hi, "%s.ratio90.hi", kind[k]);
        refcase_is(c, next.lo, "%s.next90.lo", kind[k]);
        refcase_is(c, next.hi, "%s.next90.hi", kind[k]);
    }
    for (int k = 0; k < 3; k++) {
        char name[80];
        snprintf(name, sizeof name, "%s.ratio_of_sums", kind[k]);
        refcase_put_aside(c, name, "another estimator, not used");
    }
    free(ratio);
    reftable_free(t);
    refcase_close(c);
}
END_TEST

START_TEST(proportions)
{
    struct refcase *c = refcase_open("S-INT-01");
    struct reftable *t = refcase_table(c, "file");

    for (size_t i = 0; i < t->n_row; i++) {
        size_t x = (size_t)reftable_number(t, i, "x"), n = (size_t)reftable_number(t, i, "n");
        double level = reftable_number(t, i, "confidence");
        const char *method[] = {"wilson", "clopper_pearson"};
        struct wr_interval iv[] = {wr_wilson_interval(x, n, level), wr_clopper_pearson_interval(x, n, level)};
        for (int m = 0; m < 2; m++) {
            char printed[80];
            refcase_is(c, iv[m].lo, "%zu/%zu@%g.%s.lo", x, n, level, method[m]);
            refcase_is(c, iv[m].hi, "%zu/%zu@%g.%s.hi", x, n, level, method[m]);
            snprintf(printed, sizeof printed, "published.%zu/%zu.%s.lo", x, n, method[m]);
            if (!refcase_has(c, printed)) continue;
            refcase_is(c, iv[m].lo, "published.%zu/%zu.%s.lo", x, n, method[m]);
            refcase_is(c, iv[m].hi, "published.%zu/%zu.%s.hi", x, n, method[m]);
        }
    }
    reftable_free(t);
    refcase_close(c);
}
END_TEST

static double member(const json_t *item, const char *key)
{
    ck_assert(json_is_number(json_object_get(item, key)));
    return json_number_value(json_object_get(item, key));
}

START_TEST(scores)
{
    struct refcase *c = refcase_open("S-SCO-01");
    const json_t *items = refcase_input(c, "items"), *normal = json_array_get(items, 0);
    const json_t *lognormal = json_array_get(items, 1), *sample = json_array_get(items, 2), *draws;
    double v[100], actual;
    size_t n;

    actual = member(normal, "actual");
    refcase_is(c, wr_crps_normal(member(normal, "mean"), member(normal, "sd"), actual), "1.crps");
    actual = member(lognormal, "actual");
    refcase_is(c, wr_crps_lognormal(member(lognormal, "meanlog"), member(lognormal, "sdlog"), actual), "2.crps");
    draws = json_object_get(sample, "draws");
    n = json_array_size(draws);
    ck_assert(n <= 100);
    for (size_t i = 0; i < n; i++) v[i] = json_number_value(json_array_get(draws, i));
    wr_sort_ascending(v, n);
    actual = member(sample, "actual");
    refcase_is(c, wr_crps_draws(v, n, actual, WR_CRPS_OF_DRAWS), "3.crps");
    refcase_is(c, wr_crps_draws(v, n, actual, WR_CRPS_FAIR), "3.crps_fair");
    refcase_is(c, wr_share_below(v, n, actual), "3.rank");
    refcase_put_aside(c, "1.rank", "the normal distribution function of the library");
    refcase_put_aside(c, "2.rank", "the same");
    refcase_close(c);
}
END_TEST

static void compare_judgement(struct refcase *c, const struct wr_three_point *p, const char *who)
{
    static const int percent[] = {5, 50, 80, 90, 95};
    const char *reading = p->reading == WR_THREE_POINT_PERT ? "pert" : "triangular";
    double alpha, beta;

    ck_assert_int_eq(wr_three_point_check(p, NULL), WR_OK);
    refcase_is(c, wr_three_point_mean_min(p), "%s.%s.mean", who, reading);
    refcase_is(c, wr_three_point_sd_min(p), "%s.%s.sd", who, reading);
    for (size_t i = 0; i < sizeof percent / sizeof *percent; i++) {
        double q = wr_three_point_quantile_min(p, percent[i] / 100.0);
        refcase_is(c, q, "%s.%s.p%02d", who, reading, percent[i]);
        if (p->low_min < p->high_min) ck_assert_double_eq_tol(wr_three_point_cdf(p, q), percent[i] / 100.0, 1e-9);
    }
    if (p->low_min == p->high_min || p->reading != WR_THREE_POINT_PERT) return;
    wr_three_point_beta_shapes(p, &alpha, &beta);
    refcase_is(c, alpha, "%s.pert.alpha", who);
    refcase_is(c, beta, "%s.pert.beta", who);
}

START_TEST(three_point_judgements)
{
    struct refcase *c = refcase_open("S-TPT-01");
    struct reftable *t = refcase_table(c, "file");

    for (size_t i = 0; i < t->n_row; i++) {
        for (int reading = WR_THREE_POINT_PERT; reading <= WR_THREE_POINT_TRIANGULAR; reading++) {
            struct wr_three_point p = {reading, reftable_number(t, i, "low"), reftable_number(t, i, "likely"),
                                       reftable_number(t, i, "high")};
            compare_judgement(c, &p, reftable_text(t, i, "task"));
        }
    }
    reftable_free(t);
    refcase_close(c);
}
END_TEST

Suite *suite_samples(void);
Suite *suite_samples(void)
{
    Suite *s = suite_create("samples");
    TCase *t = tcase_create("published");

    tcase_add_loop_test(t, mean_and_sd, 0, 3);
    tcase_add_test(t, percentiles_by_type);
    tcase_add_loop_test(t, next_run, 0, 2);
    tcase_add_test(t, tolerance_factor);
    tcase_add_test(t, carry_over_ratio);
    tcase_add_test(t, proportions);
    tcase_add_test(t, scores);
    tcase_add_test(t, three_point_judgements);
    suite_add_tcase(s, t);
    return s;
}
