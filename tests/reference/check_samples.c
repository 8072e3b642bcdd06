/* Summaries, quantiles, Student forecasts, proportions, scores and judgements against published and independently
 * computed values: cases S-UNI, S-PCT, S-PRE, S-INT, S-SCO, S-TPT; sources in each file. */
#include <check.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include "refcase.h"
#include "wetrun/stats/halve.h"
#include "wetrun/stats/log_sample.h"
#include "wetrun/stats/proportion.h"
#include "wetrun/stats/quantile.h"
#include "wetrun/stats/score.h"
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
    double *v = reftable_numbers(t, "value");
    struct wr_log_sample s;

    ck_assert_int_eq(wr_log_sample_of(v, t->n_row, &s, NULL), WR_OK);
    refcase_is(c, (double)s.log.n, "n");
    refcase_is(c, s.log.mean, "meanlog");
    refcase_is(c, s.log.sd.value, "sdlog_n_minus_1");
    for (size_t i = 0; i < sizeof prob / sizeof *prob; i++)
        refcase_is(c, wr_log_predictive_quantile(&s, strtod(prob[i], NULL)).value, "predictive.q%s", prob[i]);
    refcase_put_aside(c, "predictive.over", "the program states the probability of the model alone");
    refcase_put_aside(c, "over90.", "the same");
    refcase_put_aside(c, "tolerance_", "no tolerance limits: intervals are the model's");
    refcase_put_aside(c, "sdlog_mle", "compared as lognormal.sdlog of the fits");
    refcase_put_aside(c, "plug_in.", "for contrast only: the program forecasts no next value from point estimates");
    refcase_put_aside(c, "predictive.mean", "null: does not exist, and no function offers one");
    free(v);
    reftable_free(t);
    refcase_close(c);
}
END_TEST

struct tail {
    size_t hits, n;
    double share;
};

static bool is_within_tail(void *arg, double prob)
{
    const struct tail *t = arg;

    return wr_binomial_at_most(t->hits, t->n, prob) > t->share;
}

/* The probability at which hits or fewer have the given share. */
static double where_tail_is(size_t hits, size_t n, double share)
{
    double from = 0, to = 1;

    wr_halve(is_within_tail, &(struct tail){hits, n, share}, 0, 60, &from, &to);
    return from;
}

/* The exact interval (Clopper and Pearson 1934) ends where a binomial tail is half of what the level leaves. */
START_TEST(binomial_tails_at_the_exact_interval)
{
    struct refcase *c = refcase_open("S-INT-01");
    struct reftable *t = refcase_table(c, "file");

    for (size_t i = 0; i < t->n_row; i++) {
        size_t x = (size_t)reftable_number(t, i, "x"), n = (size_t)reftable_number(t, i, "n");
        double level = reftable_number(t, i, "confidence"), tail = 0.5 - 0.5 * level;
        double end[2] = {x ? where_tail_is(x - 1, n, 1 - tail) : 0, x < n ? where_tail_is(x, n, tail) : 1};
        for (int e = 0; e < 2; e++) {
            char name[80];
            snprintf(name, sizeof name, "%zu/%zu@%g.wilson.%s", x, n, level, e ? "hi" : "lo");
            refcase_put_aside(c, name, "not used: the program asks for a binomial tail, not for an interval");
            refcase_is(c, end[e], "%zu/%zu@%g.clopper_pearson.%s", x, n, level, e ? "hi" : "lo");
            snprintf(name, sizeof name, "published.%zu/%zu.clopper_pearson.%s", x, n, e ? "hi" : "lo");
            if (refcase_has(c, name)) refcase_is(c, end[e], "%s", name);
            snprintf(name, sizeof name, "published.%zu/%zu.wilson.%s", x, n, e ? "hi" : "lo");
            if (refcase_has(c, name)) refcase_put_aside(c, name, "the same");
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
    const json_t *sample = json_array_get(refcase_input(c, "items"), 2), *draws;
    double v[100], actual;
    size_t n;

    draws = json_object_get(sample, "draws");
    n = json_array_size(draws);
    ck_assert(n <= 100);
    for (size_t i = 0; i < n; i++) v[i] = json_number_value(json_array_get(draws, i));
    wr_sort_ascending(v, n);
    actual = member(sample, "actual");
    refcase_is(c, wr_crps_draws(v, n, actual, WR_CRPS_OF_DRAWS), "3.crps");
    refcase_is(c, wr_crps_draws(v, n, actual, WR_CRPS_FAIR), "3.crps_fair");
    refcase_is(c, wr_share_below(v, n, actual), "3.rank");
    refcase_put_aside(c, "1.", "of a normal forecast; the program's are draws");
    refcase_put_aside(c, "2.", "of a lognormal one, likewise");
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
    tcase_add_test(t, binomial_tails_at_the_exact_interval);
    tcase_add_test(t, scores);
    tcase_add_test(t, three_point_judgements);
    suite_add_tcase(s, t);
    return s;
}
