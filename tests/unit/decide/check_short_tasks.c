/* Learning that short tasks drive while all are credited with it. */
#include <check.h>
#include <gsl/gsl_randist.h>
#include <math.h>
#include "made_timing.h"
#include "wetrun/campaign/run_log.h"
#include "wetrun/decide/short_tasks.h"
#include "wetrun/stats/proportion.h"

enum { MOST_RUNS = 8 };

/* What the model would credit, given here: the trend of the run effects. Half of the finishes by 240 min. */
static struct wr_short_task_credit credit_beside(const struct wr_timing *t, double sd_min, struct wr_maybe above_log,
                                                double *length_slope)
{
    static struct wr_log_run run[MOST_RUNS];
    const struct wr_run_log log = {.run = run, .n_run = t->n_run};
    struct wr_comparison c;
    struct wr_error err;

    ck_assert_int_eq(wr_compare(&c, &log, t, &(struct wr_compare_options){.by = WR_BY_NOTHING}, &err), WR_OK);
    double gamma[2] = {c.trend.slope_log - 0.01, c.trend.slope_log + 0.01};
    const struct wr_posterior post = {.n_draw = 2, .gamma = gamma};
    const struct wr_forecast forecast = {.quantile_min[WR_Q50] = 240, .sd_min = sd_min};
    const struct wr_short_task_credit credit =
        wr_find_short_task_credit(&c, t, &forecast, &post, (double)t->n_run + 1, above_log);
    *length_slope = c.length_trend.slope_log;
    wr_comparison_release(&c);
    return credit;
}

static struct wr_short_task_credit credit_of(const struct wr_timing *t, double sd_min, double *length_slope)
{
    return credit_beside(t, sd_min, WR_UNKNOWN, length_slope);
}

/* Six short tasks, two long ones: the change of either with each doubling, and how far days differ. */
static void rehearse(struct wr_timing *t, double short_rate, double long_rate, double tau, const gsl_rng *rng)
{
    static const double usual[8] = {12, 14, 15, 16, 18, 20, 100, 90};

    for (size_t r = 0; r < t->n_run; r++) {
        double day = gsl_ran_gaussian(rng, tau);
        for (size_t k = 0; k < 8; k++) {
            double slope = log(k < 6 ? short_rate : long_rate) / log(2);
            double luck = gsl_ran_gaussian(rng, k < 6 ? 0.1 : 0.04);
            made_cell(t, k, r)->active_min = usual[k] * exp(slope * log((double)r + 1) + day + luck);
        }
    }
}

static size_t told_of(size_t n, double short_rate, double long_rate, double tau, unsigned long seed)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    size_t told = 0;
    double unused;

    gsl_rng_set(rng, seed);
    for (size_t i = 0; i < n; i++) {
        struct wr_timing t;
        made_timing_init(&t, 8, 7, 1);
        rehearse(&t, short_rate, long_rate, tau, rng);
        told += credit_of(&t, 10, &unused).told;
        made_timing_release(&t);
    }
    gsl_rng_free(rng);
    return told;
}

START_TEST(short_tasks_are_told_and_common_learning_is_not)
{
    enum { N = 300 };
    size_t most = 0;

    while (1 - wr_binomial_at_most(most, N, WR_SHORT_TASKS_P / 2) > 0.001) most++; /* one side of two */
    ck_assert_uint_le(told_of(N, 0.93, 0.93, 0.05, 31), most);
    ck_assert_uint_le(told_of(N, 1, 1, 0.05, 32), most);
    ck_assert_uint_le(told_of(N, 0.97, 0.9, 0.05, 33), most); /* long ones learn more: the credit is too small */
    ck_assert_uint_ge(told_of(N, 0.9, 1, 0.05, 34), N / 2);
    ck_assert_uint_ge(told_of(N, 0.9, 1, 0, 35), N / 2);
}
END_TEST

/* By hand: from the mean log order of seven rehearsals to the eighth, by the difference of the slopes. */
START_TEST(minutes_of_the_credit)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    struct wr_timing t;
    double length, far = log(8) - log(5040) / 7;

    made_timing_init(&t, 8, 7, 1);
    rehearse(&t, 0.9, 1, 0, rng);
    const struct wr_short_task_credit credit = credit_of(&t, 10, &length);
    ck_assert(credit.told && credit.slope_log < -0.08);
    ck_assert_double_eq_tol(credit.later_min, 240 * expm1((length - credit.slope_log) * far), 1e-9);
    ck_assert(!credit_of(&t, credit.later_min / WR_SHORT_TASKS_SHARE * 1.01, &length).told); /* lost in the days */
    ck_assert(credit_of(&t, credit.later_min / WR_SHORT_TASKS_SHARE * 0.99, &length).told);
    /* a forecast that lies 5 % above what the totals come to takes so much less of it; one below takes no more */
    const struct wr_short_task_credit above = credit_beside(&t, 10, wr_known(log(1.05)), &length),
                                      below = credit_beside(&t, 10, wr_known(-0.1), &length);
    ck_assert(credit.at_most && !above.at_most);
    ck_assert_double_eq_tol(240 + above.later_min, (240 + credit.later_min) / 1.05, 1e-9);
    ck_assert_double_eq_tol(below.later_min, credit.later_min, 1e-9);
    ck_assert(!credit_beside(&t, credit.later_min / WR_SHORT_TASKS_SHARE * 0.99, wr_known(log(1.05)), &length).told);
    made_timing_release(&t);
    made_timing_init(&t, 8, 2, 1);
    ck_assert(!credit_of(&t, 10, &length).told); /* no line through two */
    made_timing_release(&t);
    gsl_rng_free(rng);
}
END_TEST

Suite *suite_short_tasks(void);
Suite *suite_short_tasks(void)
{
    Suite *s = suite_create("short_tasks");
    TCase *t = tcase_create("short_tasks");

    tcase_add_test(t, short_tasks_are_told_and_common_learning_is_not);
    tcase_add_test(t, minutes_of_the_credit);
    suite_add_tcase(s, t);
    return s;
}
