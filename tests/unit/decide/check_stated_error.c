/* The stated Monte Carlo errors against repetition: a small campaign fitted and forecast with many seeds. */
#include <check.h>
#include <gsl/gsl_cdf.h>
#include <math.h>
#include "small_campaign.h"
#include "wetrun/decide/pad.h"
#include "wetrun/decide/update.h"
#include "wetrun/decide/whatif.h"
#include "wetrun/sim/forecast.h"

enum { SEEDS = 24, OF_FORECAST = 10, OF_DAY = 16, MEASURES = 22 };
static const char *const measure_name[MEASURES] = {
    "probability",           "lower end",           "upper end",           "mean",
    "q 0.1",                 "q 0.5",               "q 0.95",              "reserve",
    "checkpoint",            "pad",                 "probability, by day", "lower end, by day",
    "upper end, by day",     "probability, clock",  "lower end, clock",    "upper end, clock",
    "fewer",                 "fewer, lower end",    "fewer, upper end",    "fewer over any",
    "saved",                 "saved by half"};

struct repetition { double value[MEASURES][SEEDS], stated[MEASURES][SEEDS]; };

/* The first task is done after 12 minutes; a limit of the day, and a clock. */
static void update(const struct wr_basis *basis, const struct wr_scenarios *before, double minutes, uint64_t seed,
                   struct wr_update *u)
{
    struct wr_now_event event = {.end_min = wr_known(12)};
    struct wr_now now = {.event = &event, .n_event = 1, .now_min = 12};
    const struct wr_cutoff_limit limit[] = {
        {{.lanes = 3, .minutes = minutes}, 0.9}, {{.is_clock = true, .from = 1, .to = 3, .minutes = 27}, 0.9}};
    struct wr_cutoff_options card = {.n_thread = 1};
    struct wr_update_options options = {.n_trial = 4000, .seed = seed, .n_thread = 1};
    struct wr_findings unused = {0};

    ck_assert_int_eq(wr_update_make(u, basis, before, &now, limit, 2, &card, &options, &unused, NULL), WR_OK);
    wr_findings_release(&unused);
}

/* Two tasks made shorter. */
static void what_if(const struct small_campaign *c, const struct wr_durations *d, const struct wr_sim_limit *limit,
                    uint64_t seed, struct wr_whatif *w)
{
    static const double scale[SMALL_TASKS] = {1, 0.6, 0.6, 1, 1, 1, 1};
    const struct wr_sim_limit both[] = {*limit, {.is_clock = true, .from = 1, .to = 3, .minutes = 27}};
    const struct wr_variant base = {.name = "as it is", .net = &c->net, .durations = d, .limit = both, .n_limit = 2};
    const struct wr_variant shorter = {.name = "shorter", .scale = scale};
    const struct wr_whatif_options options = {.n_trial = 16000, .seed = seed, .n_thread = 1};

    ck_assert_int_eq(wr_whatif_run(w, &base, &shorter, 1, &options, NULL), WR_OK);
}

static void forecast(const struct small_campaign *c, uint64_t seed, struct wr_forecast *f, struct wr_pad *pad,
                     struct wr_update *u, struct wr_whatif *w)
{
    struct wr_scenarios days = {0};
    struct wr_sim_limit limit = {.lanes = 3, .minutes = 60};
    struct wr_sim_options options = {.n_trial = 30000, .seed = seed, .n_thread = 1, .limit = &limit, .n_limit = 1};
    struct wr_durations d = {0};
    struct wr_findings unused = {0};

    ck_assert_int_eq(wr_durations_build(&d, &c->plan, &c->net, &c->timing, &c->fit, NULL, &c->options, &unused, NULL),
                     WR_OK);
    ck_assert_int_eq(wr_forecast_run(f, &c->net, &d, &options, NULL), WR_OK);
    struct wr_basis basis = small_campaign_basis(c);
    basis.durations = &d;
    wr_scenarios_make(&days, &d, 8000, seed, 1);
    ck_assert_int_eq(wr_pad_make(pad, &basis, &days, 0.9, 1, NULL), WR_OK);
    if (u) update(&basis, &days, 62, seed, u);
    if (w) what_if(c, &d, &limit, seed, w);
    wr_scenarios_release(&days);
    wr_findings_release(&unused);
    wr_durations_release(&d);
}

static void keep(struct repetition *r, size_t at, const struct wr_forecast *f, const struct wr_pad *pad,
                 const struct wr_update *u, const struct wr_whatif *w)
{
    const struct wr_probability *p = &f->limit[0].over;
    const struct wr_pad_task *last = &pad->task[SMALL_TASKS - 1];
    const double value[OF_FORECAST] = {p->mean, p->lo, p->hi, f->mean_min, f->quantile_min[2], f->quantile_min[4],
                                    f->quantile_min[8], pad->reserve_min, pad->checkpoint[0].time_min, last->pad_min};
    const double stated[OF_FORECAST] = {p->mc_error, p->lo_mc_error, p->hi_mc_error, f->mean_mc_error_min,
                                     f->quantile_mc_error_min[2], f->quantile_mc_error_min[4],
                                     f->quantile_mc_error_min[8], pad->reserve_mc_error_min,
                                     pad->checkpoint[0].time_mc_error_min, last->pad_mc_error_min};

    for (size_t m = 0; m < OF_FORECAST; m++) {
        r->value[m][at] = value[m];
        r->stated[m][at] = stated[m];
    }
    for (size_t m = OF_FORECAST; m < OF_DAY; m++) {
        const struct wr_probability *of = &u->over[(m - OF_FORECAST) / 3];
        const double by_day[] = {of->mean, of->lo, of->hi}, error[] = {of->mc_error, of->lo_mc_error, of->hi_mc_error};
        r->value[m][at] = by_day[(m - OF_FORECAST) % 3];
        r->stated[m][at] = error[(m - OF_FORECAST) % 3];
    }
    const struct wr_whatif_row *row = &w->row[0];
    const struct wr_paired *gain = &row->limit[0].gain;
    const double differs[] = {gain->mean, gain->lo, gain->hi, w->base_any_over - row->any_over, row->saved_min.mean,
                              row->median_saved_min},
                 by[] = {gain->se, gain->lo_se, gain->hi_se, row->any_gain_se, row->saved_min.se,
                         row->median_saved_se_min};
    for (size_t m = OF_DAY; m < MEASURES; m++) {
        r->value[m][at] = differs[m - OF_DAY];
        r->stated[m][at] = by[m - OF_DAY];
    }
}

static double variance(const double *v)
{
    double mean = 0, squares = 0;

    for (size_t i = 0; i < SEEDS; i++) mean += v[i] / SEEDS;
    for (size_t i = 0; i < SEEDS; i++) squares += (v[i] - mean) * (v[i] - mean);
    return squares / (SEEDS - 1);
}

static double mean_square(const double *v)
{
    double sum = 0;

    for (size_t i = 0; i < SEEDS; i++) sum += v[i] * v[i] / SEEDS;
    return sum;
}

/* The variance over seeds, over the mean of the stated variances, is chi-squared with SEEDS - 1 degrees of freedom over
 * that number, if the stated error is true: 1 in 10,000 to either side for each of these numbers, and a fifth of the
 * error to either side for what batches of a short chain leave out (over 200 seeds: 0.57 for the lower end, 0.80 to
 * 0.97 for the rest of the forecast's). Leaving out the draws' part of the error makes the ratio 50 to 1,000. */
START_TEST(stated_errors_are_true)
{
    static const struct made_truth truth = {.tau = 0.1, .sigma = 0.2};
    static struct repetition r;
    struct small_campaign c = {0};
    double df = SEEDS - 1, least = gsl_cdf_chisq_Pinv(1e-4, df) / df * 0.64,
           most = gsl_cdf_chisq_Qinv(1e-4, df) / df * 1.44;

    small_campaign_make(&c, 6, &truth, 7);
    for (size_t s = 0; s < SEEDS; s++) {
        struct wr_forecast f = {0};
        struct wr_pad pad = {0};
        c.options.sampler = (struct wr_sampler_options){
            .n_chain = 2, .n_burn = 150, .n_keep = 400, .thin = 3, .seed = 100 + s, .n_thread = 1};
        small_campaign_refit(&c);
        struct wr_update u = {0};
        struct wr_whatif w = {0};
        forecast(&c, 100 + s, &f, &pad, &u, &w);
        keep(&r, s, &f, &pad, &u, &w);
        wr_whatif_release(&w);
        wr_update_release(&u);
        wr_pad_release(&pad);
        wr_forecast_release(&f);
    }
    for (size_t m = 0; m < MEASURES; m++) {
        double ratio = variance(r.value[m]) / mean_square(r.stated[m]);
        ck_assert_msg(ratio > least && ratio < most, "%s: variance over seeds %g times what is stated", measure_name[m],
                      ratio);
    }
    small_campaign_release(&c);
}
END_TEST

/* The few days that all draws meet for an interval (overrun.h) have their part in the error of its ends: many draws of
 * one posterior, whose own part is small, and other days with every seed. Without that
 * part the upper end has 2.8 times the variance that is stated, with it 1.0. */
START_TEST(days_that_draws_share_are_in_the_error)
{
    static const struct made_truth truth = {.tau = 0.02, .sigma = 0.3};
    static double value[2][SEEDS], stated[2][SEEDS];
    struct small_campaign c = {0};
    struct wr_scenarios days = {0};
    struct wr_durations d = {0};
    struct wr_findings unused = {0};

    small_campaign_make(&c, 12, &truth, 7);
    c.options.sampler =
        (struct wr_sampler_options){.n_chain = 4, .n_burn = 150, .n_keep = 400, .thin = 3, .seed = 1, .n_thread = 1};
    small_campaign_refit(&c);
    ck_assert_int_eq(wr_durations_build(&d, &c.plan, &c.net, &c.timing, &c.fit, NULL, &c.options, &unused, NULL),
                     WR_OK);
    struct wr_basis basis = small_campaign_basis(&c);
    basis.durations = &d;
    wr_scenarios_make(&days, &d, 2000, 1, 1);
    for (size_t s = 0; s < SEEDS; s++) {
        struct wr_update u = {0};
        update(&basis, &days, 67, 100 + s, &u);
        value[0][s] = u.over[0].lo;
        value[1][s] = u.over[0].hi;
        stated[0][s] = u.over[0].lo_mc_error;
        stated[1][s] = u.over[0].hi_mc_error;
        wr_update_release(&u);
    }
    for (size_t e = 0; e < 2; e++) {
        double ratio = variance(value[e]) / mean_square(stated[e]);
        ck_assert_msg(ratio < gsl_cdf_chisq_Qinv(1e-4, SEEDS - 1) / (SEEDS - 1),
                      "end %zu: variance over seeds %g times what is stated", e, ratio);
    }
    wr_scenarios_release(&days);
    wr_findings_release(&unused);
    wr_durations_release(&d);
    small_campaign_release(&c);
}
END_TEST

/* Judgement alone with a run effect that is given: one law, whatever the seed. */
START_TEST(what_is_known_has_no_interval)
{
    struct small_campaign c = {0};
    static const struct made_truth truth = {.tau = 0.1, .sigma = 0.2};

    small_campaign_make(&c, 2, &truth, 7);
    c.timing.n_run = 0;
    for (size_t k = 0; k < c.plan.n_task; k++) {
        c.plan.task[k].low_min = wr_known(8);
        c.plan.task[k].likely_min = wr_known(11);
        c.plan.task[k].high_min = wr_known(19);
    }
    c.options.priors.tau_fixed = 0.1;
    for (uint64_t seed = 1; seed <= 3; seed++) {
        struct wr_forecast f = {0};
        struct wr_pad pad = {0};
        c.options.sampler.seed = seed;
        small_campaign_refit(&c);
        forecast(&c, seed, &f, &pad, NULL, NULL);
        const struct wr_probability *p = &f.limit[0].over;
        ck_assert(p->no_interval && f.nothing_unknown);
        ck_assert(p->lo == p->mean && p->hi == p->mean && f.parameter_share == 0 && p->mc_error < 1e-3);
        ck_assert(pad.reserve_mc_error_min > 0 && pad.reserve_mc_error_min < 0.2);
        wr_pad_release(&pad);
        wr_forecast_release(&f);
    }
    c.timing.n_run = 2;
    small_campaign_release(&c);
}
END_TEST

Suite *suite_stated_error(void);
Suite *suite_stated_error(void)
{
    Suite *s = suite_create("stated_error");
    TCase *t = tcase_create("stated_error");

    tcase_set_timeout(t, 120);
    tcase_add_test(t, stated_errors_are_true);
    tcase_add_test(t, days_that_draws_share_are_in_the_error);
    tcase_add_test(t, what_is_known_has_no_interval);
    suite_add_tcase(s, t);
    return s;
}
