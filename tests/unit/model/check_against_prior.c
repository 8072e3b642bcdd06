/* The sampler against the model itself: calibration over worlds drawn from the prior, and posterior means by weighting
 * draws from the prior with the likelihood, which shares no algebra with the sampler. */
#include <check.h>
#include <gsl/gsl_statistics_double.h>
#include <math.h>
#include "sbc.h"
#include "wetrun/base/memory.h"
#include "../../../src/model/chain_check.h"

/* Priors under which a handful of cells says something about everything, so that weighting works. */
static struct wr_priors telling_priors(void)
{
    struct wr_priors p = wr_priors_default();

    p.a_sd = 0.2;
    p.omega_scale = 0.2;
    p.gamma_sd = 0.4;
    p.tau_scale = 0.2;
    p.kappa_scale = 0.2;
    p.log_s0_mean = log(0.35);
    return p;
}

static const unsigned char small_obs[6] = {WR_OBS_DONE, WR_OBS_STOPPED, WR_OBS_DONE,
                                           WR_OBS_DONE, WR_OBS_NONE,    WR_OBS_DONE};

static void small_table(struct wr_model_table *t)
{
    static const double minutes[6] = {9, 14, 21, 30, 1, 4};
    static const unsigned people[2] = {0, 1};

    wr_model_table_init(t, 3, 2, 2, WR_HAS_PLAN_TIMES);
    for (size_t k = 0; k < 3; k++) t->log_planned[k] = log(8.0 + 8.0 * (double)(k == 1) - 2.0 * (double)(k == 2));
    for (size_t i = 0; i < 6; i++)
        wr_model_table_set_cell(t, i / 2, i % 2, small_obs[i], minutes[i], i < 2 ? people : &people[i % 2],
                                i < 2 ? 2 : 1);
}

struct weighted { double sum, mean[WORLD_VIEWS], error[WORLD_VIEWS], effective; };

static void weigh_prior(const struct wr_model_data *data, const struct wr_priors *priors, struct weighted *out)
{
    enum { N = 150000 };
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    double *w = WR_NEW_ARRAY(double, N), (*view)[WORLD_VIEWS] = wr_alloc(N, sizeof *view), squares = 0.0;

    *out = (struct weighted){0};
    for (size_t i = 0; i < N; i++) {
        struct prior_world world = {0};
        prior_world_draw(&world, rng, data, priors);
        prior_world_view(&world, view[i]);
        w[i] = exp(prior_world_loglik(&world, data));
        out->sum += w[i];
        squares += w[i] * w[i];
        for (size_t v = 0; v < WORLD_VIEWS; v++) out->mean[v] += w[i] * view[i][v];
    }
    for (size_t v = 0; v < WORLD_VIEWS; v++) {
        out->mean[v] /= out->sum;
        for (size_t i = 0; i < N; i++) out->error[v] += pow(w[i] * (view[i][v] - out->mean[v]), 2);
        out->error[v] = sqrt(out->error[v]) / out->sum;
    }
    out->effective = out->sum * out->sum / squares;
    wr_free(w);
    wr_free(view);
    gsl_rng_free(rng);
}

static void agree_with_weighted_prior(bool skew)
{
    struct wr_model_table table;
    struct wr_priors priors = telling_priors();
    struct wr_sampler_options options = {.n_chain = 4, .n_burn = 300, .n_keep = 1500, .thin = 3, .seed = 21};
    struct wr_posterior post = {0};
    struct weighted want;

    priors.skew = skew;
    small_table(&table);
    weigh_prior(&table.data, &priors, &want);
    ck_assert_double_gt(want.effective, 2000);
    ck_assert_int_eq(wr_posterior_sample(&post, &table.data, &priors, &options, NULL), WR_OK);
    double *value = WR_NEW_ARRAY(double, post.n_draw);
    for (size_t v = 0; v < WORLD_VIEWS; v++) {
        for (size_t i = 0; i < post.n_draw; i++) {
            double view[WORLD_VIEWS];
            posterior_view(&post, i, view);
            value[i] = view[v];
        }
        double mean = gsl_stats_mean(value, 1, post.n_draw);
        struct wr_chain_check check = wr_chain_check_of("", value, post.n_chain, options.n_keep);
        double error = hypot(gsl_stats_sd(value, 1, post.n_draw) / sqrt(check.ess), want.error[v]);
        if (!skew && v == 3) continue; /* rho is 0 in both */
        ck_assert_msg(fabs(mean - want.mean[v]) < 4.0 * error, "%s: %g, weighted prior %g, %.1f errors apart",
                      world_view_name[v], mean, want.mean[v], (mean - want.mean[v]) / error);
    }
    wr_free(value);
    wr_posterior_release(&post);
    wr_model_table_release(&table);
}

START_TEST(means_by_weighting_the_prior)
{
    agree_with_weighted_prior(_i == 1);
}
END_TEST

static struct sbc_setup brief_setup(void)
{
    struct sbc_setup s = {.n_task = 5, .n_run = 3, .n_person = 3, .prior_of_worlds = wr_priors_default(),
                          .prior_of_sampler = wr_priors_default(), .n_world = 160, .seed = 5,
                          .sampler = {.n_chain = 3, .n_burn = 100, .n_keep = 5, .thin = 12}};
    /* 3 x 5 draws leave ranks 0 to 15: eight classes of two */
    return s;
}

/* Second time: with priors that earlier campaigns have taught. */
START_TEST(ranks_are_uniform)
{
    struct sbc_setup s = brief_setup();
    double p[WORLD_VIEWS];

    for (int c = 0; _i == 1 && c < WR_N_COMMON; c++) {
        const struct wr_score_law law = {c % 2 ? 0.6 : -0.5, 0.5};
        wr_prior_learn(&s.prior_of_worlds, (enum wr_common)c, &law);
    }
    s.prior_of_sampler = s.prior_of_worlds;
    sbc_run(&s, 8, p);
    for (size_t v = 0; v < WORLD_VIEWS; v++) ck_assert_msg(p[v] > 1e-3, "%s: p %g", world_view_name[v], p[v]);
}
END_TEST

/* The same test finds worlds that the sampler's prior does not describe. */
START_TEST(a_wrong_prior_is_found)
{
    struct sbc_setup s = brief_setup();
    double p[WORLD_VIEWS];

    s.n_world = 80;
    s.prior_of_worlds.log_s0_mean = log(0.25) + 0.7;
    sbc_run(&s, 8, p);
    ck_assert_double_lt(p[4], 1e-5);
}
END_TEST

Suite *suite_against_prior(void);
Suite *suite_against_prior(void)
{
    Suite *s = suite_create("against_prior");
    TCase *t = tcase_create("against_prior");

    tcase_set_timeout(t, 120);
    tcase_add_loop_test(t, means_by_weighting_the_prior, 0, 2);
    tcase_add_loop_test(t, ranks_are_uniform, 0, 2);
    tcase_add_test(t, a_wrong_prior_is_found);
    suite_add_tcase(s, t);
    return s;
}
