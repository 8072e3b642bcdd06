/* --precision: over seeds the probability scatters by no more than what was asked for, and by what is stated. */
#include <check.h>
#include <gsl/gsl_cdf.h>
#include <gsl/gsl_statistics_double.h>
#include <math.h>
#include <stdio.h>
#include <string.h>
#include "wetrun/study/study.h"

enum { SEEDS = 16, USUAL_DRAWS = 2000 };
static const double asked = 0.0026; /* what the usual draws miss by a little: few more are drawn */

/* Four invented rehearsals; tests run at the top of the source tree. */
static struct wr_study_options shed_options(void)
{
    struct wr_study_options o = wr_study_default();

    o.folder = "datasets/petrel-shed";
    o.log.columns = "run=Session,task=Work,crew=Team,start=Began,end=Ended";
    o.limit_min = wr_known(120);
    o.precision = wr_known(asked);
    return o;
}

static enum wr_status forecast(struct wr_study *study, const struct wr_study_options *options, struct wr_error *err)
{
    enum wr_status status = wr_study_open(study, options, err);

    return status ? status : wr_study_make(study, WR_RESULT_FORECAST, err);
}

/* A standard deviation over n seeds lies between the 0.1 and 99.9 % points of chi over the root of n - 1. */
START_TEST(scatter_over_seeds_is_within_what_was_asked)
{
    const double n = SEEDS - 1, low = sqrt(gsl_cdf_chisq_Pinv(0.001, n) / n),
                 high = sqrt(gsl_cdf_chisq_Pinv(0.999, n) / n);
    double mean[SEEDS], stated = 0;

    for (size_t i = 0; i < SEEDS; i++) {
        struct wr_study study = {0};
        struct wr_study_options options = shed_options();
        struct wr_error err;
        options.seed = i + 1;
        ck_assert_msg(forecast(&study, &options, &err) == WR_OK, "%s", err.text);
        const struct wr_probability *over = &study.forecast.limit[0].over;
        ck_assert_double_le(over->mc_error, asked);
        ck_assert_double_le(study.forecast.any_over.mc_error, asked);
        ck_assert_uint_gt(study.forecast.n_draw, USUAL_DRAWS); /* or nothing was tested */
        mean[i] = over->mean;
        stated += over->mc_error * over->mc_error / SEEDS;
        wr_study_release(&study);
    }
    double sd = gsl_stats_sd(mean, 1, SEEDS);
    ck_assert_double_gt(sd, low * sqrt(stated));
    ck_assert_double_lt(sd, high * sqrt(stated));
    ck_assert_double_lt(sd, high * asked);
}
END_TEST

START_TEST(a_coarse_precision_changes_nothing)
{
    struct wr_study plain = {0}, coarse = {0};
    struct wr_study_options options = shed_options();
    struct wr_error err;

    options.precision = wr_known(0.02);
    ck_assert_msg(forecast(&coarse, &options, &err) == WR_OK, "%s", err.text);
    options.precision = (struct wr_maybe){0};
    ck_assert_msg(forecast(&plain, &options, &err) == WR_OK, "%s", err.text);
    ck_assert_double_eq(coarse.forecast.limit[0].over.mean, plain.forecast.limit[0].over.mean);
    ck_assert_uint_eq(coarse.forecast.n_draw, USUAL_DRAWS);
    ck_assert_uint_eq(coarse.findings.n_finding, plain.findings.n_finding);
    wr_study_release(&plain);
    wr_study_release(&coarse);
}
END_TEST

/* What it refuses it says before it has taken the most, with a precision that then works. */
START_TEST(what_the_draws_do_not_allow_is_refused)
{
    struct wr_study study = {0};
    struct wr_study_options options = shed_options();
    struct wr_error err;

    options.precision = wr_known(1e-5);
    ck_assert_int_eq(forecast(&study, &options, &err), WR_E_USAGE);
    wr_study_release(&study);
    const char *way_out = strstr(err.text, "write --precision ");
    ck_assert_ptr_nonnull(way_out);
    double offered;
    ck_assert_int_eq(sscanf(way_out, "write --precision %lf", &offered), 1);
    options.precision = wr_known(offered);
    ck_assert_msg(forecast(&study, &options, &err) == WR_OK, "%s", err.text);
    ck_assert_double_le(wr_forecast_worst_error(&study.forecast, &(double){0}), offered);
    wr_study_release(&study);
    options.n_trial = 1000;
    ck_assert_int_eq(forecast(&study, &options, &err), WR_E_USAGE);
    wr_study_release(&study);
}
END_TEST

/* So does what keeps all its days: too many for memory are refused before anything is fitted. */
START_TEST(days_beyond_memory_are_refused_first)
{
    const enum wr_result keeps[] = {WR_RESULT_PAD, WR_RESULT_CUTOFFS, WR_RESULT_WHATIF};
    struct wr_study_options options = shed_options();
    struct wr_study study = {0};
    struct wr_error err;

    options.n_trial = 1000000000;
    options.precision = (struct wr_maybe){0};
    options.confidence = wr_known(0.9);
    options.search = true;
    ck_assert_msg(wr_study_open(&study, &options, &err) == WR_OK, "%s", err.text);
    for (size_t i = 0; i < sizeof keeps / sizeof *keeps; i++) {
        ck_assert_int_eq(wr_study_make(&study, keeps[i], &err), WR_E_USAGE);
        ck_assert_ptr_nonnull(strstr(err.text, "keeps its trials in memory"));
        ck_assert(!wr_study_has(&study, WR_RESULT_MODEL));
    }
    wr_study_release(&study);
}
END_TEST

Suite *suite_precision(void);
Suite *suite_precision(void)
{
    Suite *s = suite_create("precision");
    TCase *c = tcase_create("precision");

    tcase_set_timeout(c, 240);
    tcase_add_test(c, scatter_over_seeds_is_within_what_was_asked);
    tcase_add_test(c, a_coarse_precision_changes_nothing);
    tcase_add_test(c, what_the_draws_do_not_allow_is_refused);
    tcase_add_test(c, days_beyond_memory_are_refused_first);
    suite_add_tcase(s, c);
    return s;
}
