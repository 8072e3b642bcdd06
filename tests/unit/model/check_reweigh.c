/* Draws weighted in place of a refit: the density of a run by a finer integral of another density, and the posterior
 * without a run beside one that was sampled without it. */
#include <check.h>
#include <gsl/gsl_randist.h>
#include <gsl/gsl_statistics_double.h>
#include <math.h>
#include <string.h>
#include "../../../src/model/chain_check.h"
#include "wetrun/base/memory.h"
#include "wetrun/model/reweigh.h"
#include "wetrun/model/skew_normal.h"

enum { K = 6, R = 30, P = 2, WILD = 11 };

/* Thirty rehearsals of six tasks, some cells stopped or absent, two people who take turns. wild: one run in which every
 * task took three times as long. */
static void make_table(struct wr_model_table *t, bool wild)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);

    *t = (struct wr_model_table){0};
    wr_model_table_init(t, K, R, P, WR_HAS_PLAN_TIMES);
    for (size_t r = 0; r < R; r++) {
        double day = gsl_ran_gaussian(rng, 0.1);
        for (size_t k = 0; k < K; k++) {
            unsigned who = (unsigned)(k + r) % P;
            t->log_planned[k] = log(5.0 + 4.0 * (double)k);
            double skewed = gsl_ran_gamma(rng, 4, 0.5) - 2, log_min = t->log_planned[k] + day + 0.2 * skewed;
            if (wild && r == WILD) log_min += log(3);
            size_t i = k * R + r;
            enum wr_obs obs = i % 17 == 3 ? WR_OBS_NONE : i % 19 == 4 ? WR_OBS_STOPPED : WR_OBS_DONE;
            wr_model_table_set_cell(t, k, r, obs, exp(log_min), &who, 1);
        }
    }
    gsl_rng_free(rng);
}

static struct wr_fit_options options_of(uint64_t seed, size_t n_keep)
{
    struct wr_fit_options o = wr_fit_options_default();

    o.sampler = (struct wr_sampler_options){.n_chain = 4, .n_burn = 100, .n_keep = n_keep, .thin = 2, .seed = seed};
    return o;
}

/* Every task of the model is one of a plan; it owns what wr_model_fit_release releases. */
static void fit_table(struct wr_model_fit *fit, struct wr_model_table *table, const struct wr_fit_options *o)
{
    *fit = (struct wr_model_fit){.n_model_task = K, .n_plan_task = K, .n_person = P, .table = *table,
                                 .data = table->data, .target_order = table->data.target_order};
    fit->plan_task = WR_NEW_ARRAY(size_t, K);
    fit->model_task = WR_NEW_ARRAY(size_t, K);
    fit->person = WR_NEW_ARRAY(const char *, P);
    for (size_t k = 0; k < K; k++) fit->plan_task[k] = fit->model_task[k] = k;
    *table = (struct wr_model_table){0};
    ck_assert_int_eq(wr_posterior_sample(&fit->post, &fit->data, &o->priors, &o->sampler, NULL), WR_OK);
}

/* Cells given a run effect: by the law's own density and distribution (Owen's T), in place of the error's. */
static double log_cells(const struct wr_model_fit *fit, size_t run, size_t draw, double b)
{
    const struct wr_posterior *p = &fit->post;
    double sum = 0, x = log(fit->data.order[run] / p->target_order);

    for (size_t k = 0; k < K; k++) {
        size_t at = k * R + run;
        if (fit->data.obs[at] == WR_OBS_NONE) continue;
        double centre = p->mu[k * p->n_draw + draw] + p->gamma[draw] * x + b;
        for (size_t q = 0; q < P; q++) centre += fit->data.person_weight[at * P + q] * p->q[q * p->n_draw + draw];
        struct wr_skew_normal law = wr_skew_normal_of(centre, p->sigma[k * p->n_draw + draw], p->rho[draw], 0);
        sum += log(fit->data.obs[at] == WR_OBS_DONE ? wr_skew_normal_pdf(&law, fit->data.log_min[at])
                                                    : 1 - wr_skew_normal_cdf(&law, fit->data.log_min[at]));
    }
    return sum;
}

/* Over 8 sd of the run effect either way, in 4000 steps. */
static double log_density_finely(const struct wr_model_fit *fit, size_t run, size_t draw)
{
    enum { STEPS = 4000 };
    double tau = fit->post.tau[draw], most = -INFINITY, sum = 0, log_at[STEPS + 1];

    for (int i = 0; i <= STEPS; i++) {
        double score = 16.0 * i / STEPS - 8;
        log_at[i] = log_cells(fit, run, draw, tau * score) - 0.5 * score * score;
        most = fmax(most, log_at[i]);
    }
    for (int i = 0; i <= STEPS; i++) sum += exp(log_at[i] - most);
    return most + log(sum * 16.0 / STEPS / sqrt(2 * M_PI));
}

START_TEST(density_of_a_run)
{
    struct wr_model_table table;
    struct wr_model_fit fit;
    struct wr_fit_options o = options_of(3, 50);
    double density[200];

    make_table(&table, false);
    fit_table(&fit, &table, &o);
    for (size_t run = 0; run < R; run += 4) {
        wr_run_log_density(density, &fit.post, &fit.data, run);
        for (size_t i = 0; i < 200; i += 20) {
            /* what 13 points over the run effect leave: a thousandth of a weight */
            ck_assert_double_eq_tol(density[i], log_density_finely(&fit, run, i), 2e-3);
        }
    }
    wr_model_fit_release(&fit);
}
END_TEST

enum { VIEWS = 8 };

static double view_of(const struct wr_posterior *p, size_t draw, int which)
{
    switch (which) {
    case 0: return p->mu[draw];
    case 1: return p->mu[5 * p->n_draw + draw];
    case 2: return log(p->sigma[2 * p->n_draw + draw]);
    case 3: return p->tau[draw];
    case 4: return p->gamma[draw];
    case 5: return p->rho[draw];
    case 6: return p->q[draw];
    default: return p->a[draw];
    }
}

struct moments { double mean, sd, ess; };

static struct moments moments_of(const struct wr_posterior *p, int which)
{
    double *value = WR_NEW_ARRAY(double, p->n_draw);

    for (size_t i = 0; i < p->n_draw; i++) value[i] = view_of(p, i, which);
    struct wr_chain_check check = wr_chain_check_of("", value, p->n_chain, p->n_draw / p->n_chain);
    struct moments m = {gsl_stats_mean(value, 1, p->n_draw), gsl_stats_sd(value, 1, p->n_draw), check.ess};
    wr_free(value);
    return m;
}

/* Both are known to 1/sqrt(draws): of the 24 means and 24 sd's none is 4 such errors off. */
START_TEST(without_a_run_as_if_sampled_without_it)
{
    struct wr_model_table table, rest = {0}, same = {0};
    struct wr_model_fit fit, weighed = {0}, sampled = {0};
    struct wr_fit_options o = options_of(5 + (uint64_t)_i, 1500), other = options_of(91 + (uint64_t)_i, 1500);
    unsigned char keep[R];
    size_t run = (size_t)_i * 9;

    make_table(&table, false);
    fit_table(&fit, &table, &o);
    double *log_weight = WR_NEW_ARRAY(double, fit.post.n_draw), order = fit.data.order[run];
    double effective = wr_weigh_without_run(log_weight, &fit, run, order, &o);
    ck_assert_double_gt(effective, 400);
    ck_assert_double_lt(effective, (double)fit.post.n_draw);
    for (size_t r = 0; r < R; r++) keep[r] = r != run;
    wr_model_table_keep_runs(&rest, &fit.data, keep, order);
    wr_model_table_keep_runs(&same, &fit.data, keep, order);
    wr_model_reweighed(&weighed, &fit, &rest, log_weight, 4000);
    ck_assert_int_eq(wr_model_refit(&sampled, &fit, &same, &other, NULL), WR_OK);
    ck_assert_uint_eq(weighed.data.n_run, R - 1);
    for (int v = 0; v < VIEWS; v++) {
        struct moments w = moments_of(&weighed.post, v), s = moments_of(&sampled.post, v);
        double error = s.sd * sqrt(1 / effective + 1 / s.ess);
        ck_assert_msg(fabs(w.mean - s.mean) < 4 * error, "%d: mean %g, sampled %g, error %g", v, w.mean, s.mean, error);
        /* of an sd: 1/sqrt(2 n) of it for a normal law, and half as much again for longer tails */
        ck_assert_msg(fabs(w.sd / s.sd - 1) < 4 * 1.5 * sqrt(0.5 / effective + 0.5 / s.ess), "%d: sd %g, sampled %g",
                      v, w.sd, s.sd);
    }
    wr_free(log_weight);
    wr_model_fit_release(&fit);
    wr_model_fit_release(&weighed);
    wr_model_fit_release(&sampled);
}
END_TEST

/* What no draw foresees is not to be told from weights, and says so; nor without planned times, on which the priors
 * stand then. */
START_TEST(weights_that_cannot_tell)
{
    struct wr_model_table table;
    struct wr_model_fit fit;
    struct wr_fit_options o = options_of(8, 500);
    double *log_weight = WR_NEW_ARRAY(double, 2000);

    make_table(&table, true);
    fit_table(&fit, &table, &o);
    double wild = wr_weigh_without_run(log_weight, &fit, WILD, fit.data.order[WILD], &o);
    double usual = wr_weigh_without_run(log_weight, &fit, 3, fit.data.order[3], &o);
    ck_assert_msg(wild < 0.1 * usual && usual > 400, "wild %g, usual %g", wild, usual);
    fit.data.log_planned = NULL;
    ck_assert(wr_weigh_without_run(log_weight, &fit, 3, fit.data.order[3], &o) == 0);
    o.model = WR_MODEL_ALONE;
    ck_assert(wr_weigh_without_run(log_weight, &fit, 3, fit.data.order[3], &o) == 0);
    wr_free(log_weight);
    wr_model_fit_release(&fit);
}
END_TEST

/* Weights of 1, 3 and 0, to eight draws: 2, 6 and none. */
START_TEST(draws_as_often_as_their_weights_ask)
{
    double mu[3] = {1, 2, 3}, one[3] = {0.5, 0.6, 0.7}, zero[3] = {0}, log_weight[3] = {0, log(3), -INFINITY};
    struct wr_model_fit from = {.n_model_task = 1, .n_plan_task = 1}, to = {0};
    struct wr_model_table table = {0};
    size_t only = 0;

    from.plan_task = from.model_task = &only;
    from.post = (struct wr_posterior){.n_draw = 3, .n_chain = 1, .n_task = 1, .target_order = 2, .mu = mu, .sigma = one,
                                      .tau = one, .kappa = zero, .gamma = one, .rho = zero, .s0 = one, .d = zero,
                                      .omega_s = one, .a = zero, .c = one, .omega = one};
    wr_model_table_init(&table, 1, 1, 0, WR_HAS_PLAN_TIMES);
    table.data.target_order = 4;
    wr_model_reweighed(&to, &from, &table, log_weight, 8);
    for (size_t j = 0; j < 8; j++) {
        size_t draw = j < 2 ? 0 : 1; /* centres are moved by gamma log(4/2) */
        ck_assert_double_eq_tol(to.post.mu[j], mu[draw] + one[draw] * log(2), 1e-14);
        ck_assert_double_eq_tol(to.post.a[j], one[draw] * log(2), 1e-14);
        ck_assert(to.post.tau[j] == one[draw]);
    }
    ck_assert(to.target_order == 4);
    wr_model_fit_release(&to);
}
END_TEST

Suite *suite_reweigh(void);
Suite *suite_reweigh(void)
{
    Suite *s = suite_create("reweigh");
    TCase *t = tcase_create("reweigh");

    tcase_set_timeout(t, 120);
    tcase_add_test(t, density_of_a_run);
    tcase_add_loop_test(t, without_a_run_as_if_sampled_without_it, 0, 3);
    tcase_add_test(t, weights_that_cannot_tell);
    tcase_add_test(t, draws_as_often_as_their_weights_ask);
    suite_add_tcase(s, t);
    return s;
}
