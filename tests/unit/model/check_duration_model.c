#include <check.h>
#include <gsl/gsl_randist.h>
#include <gsl/gsl_statistics_double.h>
#include <math.h>
#include <string.h>
#include "wetrun/base/memory.h"
#include "wetrun/model/duration_model.h"
#include "wetrun/model/model_table.h"
#include "../../../src/model/chain_check.h"

enum { K = 6, R = 4, P = 2 };

/* A small campaign: some cells stopped, some absent, two people who take turns. */
struct small {
    unsigned char obs[K * R];
    double log_min[K * R], log_planned[K], weight[K * R * P], order[R];
    struct wr_model_data data;
};

static void small_init(struct small *s)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);

    memset(s, 0, sizeof *s);
    for (size_t k = 0; k < K; k++) {
        s->log_planned[k] = log(5.0 + 4.0 * (double)k);
        for (size_t r = 0; r < R; r++) {
            size_t i = k * R + r;
            s->obs[i] = i % 7 == 3 ? WR_OBS_NONE : i % 5 == 4 ? WR_OBS_STOPPED : WR_OBS_DONE;
            s->log_min[i] = s->log_planned[k] + gsl_ran_gaussian(rng, 0.25);
            s->weight[i * P + (k + r) % 2] = 1.0;
        }
    }
    for (size_t r = 0; r < R; r++) s->order[r] = (double)r + 1;
    s->data = (struct wr_model_data){K, R, P, s->obs, s->log_min, s->log_planned, s->weight, s->order, R + 1};
    gsl_rng_free(rng);
}

static const struct wr_sampler_options brief = {.n_chain = 3, .n_burn = 50, .n_keep = 60, .thin = 2, .seed = 7};

static void sample(struct wr_posterior *post, const struct small *s, unsigned n_thread, uint64_t seed)
{
    struct wr_priors priors = wr_priors_default();
    struct wr_sampler_options options = brief;
    struct wr_error err;

    options.n_thread = n_thread;
    options.seed = seed;
    ck_assert_int_eq(wr_posterior_sample(post, &s->data, &priors, &options, &err), WR_OK);
}

static bool same(const struct wr_posterior *a, const struct wr_posterior *b)
{
    size_t n = a->n_draw * sizeof(double);

    return memcmp(a->mu, b->mu, n * K) == 0 && memcmp(a->sigma, b->sigma, n * K) == 0 && memcmp(a->q, b->q, n * P) == 0
           && memcmp(a->b, b->b, n * R) == 0 && memcmp(a->tau, b->tau, n) == 0 && memcmp(a->rho, b->rho, n) == 0;
}

START_TEST(same_bytes_for_any_threads)
{
    struct small s;
    struct wr_posterior one = {0}, many = {0}, other = {0};

    small_init(&s);
    sample(&one, &s, 1, 7);
    sample(&many, &s, 3, 7);
    sample(&other, &s, 1, 8);
    ck_assert(same(&one, &many));
    ck_assert(!same(&one, &other));
    ck_assert(memcmp(one.tau, one.tau + brief.n_keep, brief.n_keep * sizeof(double)) != 0); /* chains differ */
    wr_posterior_release(&one);
    wr_posterior_release(&many);
    wr_posterior_release(&other);
}
END_TEST

/* --run-effect: the sd is taken as given; what is switched off stays off and is not checked for mixing. */
START_TEST(given_run_effect_is_kept)
{
    struct small s;
    struct wr_posterior post = {0};
    struct wr_priors priors = wr_priors_default();
    struct wr_error err;

    small_init(&s);
    priors.tau_fixed = 0.3;
    priors.learning = priors.skew = false;
    ck_assert_int_eq(wr_posterior_sample(&post, &s.data, &priors, &brief, &err), WR_OK);
    for (size_t i = 0; i < post.n_draw; i++)
        ck_assert(post.tau[i] == 0.3 && post.gamma[i] == 0.0 && post.rho[i] == 0.0);
    for (size_t i = 0; i < post.n_check; i++) {
        ck_assert_str_ne(post.check[i].name, "tau");
        ck_assert_str_ne(post.check[i].name, "gamma");
    }
    wr_posterior_release(&post);
}
END_TEST

/* A run without cells changes nothing about the others, and its own effect is what the prior of a day is. */
START_TEST(a_run_without_cells)
{
    struct small s, more;
    unsigned char obs[K * (R + 1)] = {0};
    double log_min[K * (R + 1)] = {0}, weight[K * (R + 1) * P] = {0}, order[R + 1] = {1, 9, 2, 3, 4}, z = 0.0;
    struct wr_posterior post = {0}, with = {0};
    struct wr_priors priors = wr_priors_default();
    struct wr_error err;

    small_init(&s);
    small_init(&more);
    for (size_t k = 0; k < K; k++)
        for (size_t r = 0; r < R; r++) { /* the empty run is the second */
            size_t from = k * R + r, to = k * (R + 1) + r + (r > 0);
            obs[to] = s.obs[from];
            log_min[to] = s.log_min[from];
            memcpy(weight + to * P, s.weight + from * P, P * sizeof *weight);
        }
    more.data.n_run = R + 1;
    more.data.obs = obs;
    more.data.log_min = log_min;
    more.data.person_weight = weight;
    more.data.order = order;
    priors.tau_fixed = 0.2;
    struct wr_sampler_options options = {.n_chain = 1, .n_burn = 0, .n_keep = 1, .thin = 30, .seed = 7};
    ck_assert_int_eq(wr_posterior_sample(&post, &s.data, &priors, &options, &err), WR_OK);
    ck_assert_int_eq(wr_posterior_sample(&with, &more.data, &priors, &options, &err), WR_OK);
    for (size_t k = 0; k < K; k++) ck_assert(post.mu[k] == with.mu[k] && post.sigma[k] == with.sigma[k]);
    for (size_t r = 0; r < R; r++) ck_assert(post.b[r] == with.b[r + (r > 0)]);
    wr_posterior_release(&post);
    wr_posterior_release(&with);
    options.n_keep = 2000;
    options.thin = 1;
    ck_assert_int_eq(wr_posterior_sample(&with, &more.data, &priors, &options, &err), WR_OK);
    for (size_t i = 0; i < 2000; i++) z += pow(with.b[2000 + i] / 0.2, 2) / 2000;
    ck_assert_double_eq_tol(z, 1.0, 4.0 * sqrt(2.0 / 2000)); /* mean of squared standard normals */
    wr_posterior_release(&with);
}
END_TEST

/* Nothing rehearsed: the posterior is the prior, whose means are known. E[log s0] = log 0.25, E[gamma] = 0,
 * E[omega^2] = df scale^2/(df - 2) does exist but has no variance for df = 3, so its median is taken:
 * df scale^2 over the median of chi-square(3), 2.365974 (handbook table). */
START_TEST(no_runs_gives_the_prior)
{
    double planned[K], below = 0.0, s0 = 0.0, gamma = 0.0, shallow = 0.0, d = 0.0, omega_s = 0.0, mean_mu = 0.0;
    struct wr_model_data data = {.n_task = K, .log_planned = planned, .target_order = 1.0};
    struct wr_priors priors = wr_priors_default();
    struct wr_sampler_options options = {.n_chain = 4, .n_burn = 200, .n_keep = 1000, .thin = 8, .seed = 3};
    struct wr_posterior post = {0};
    struct wr_error err;

    for (size_t k = 0; k < K; k++) planned[k] = log(8.0 + (double)k);
    ck_assert_int_eq(wr_posterior_sample(&post, &data, &priors, &options, &err), WR_OK);
    ck_assert(post.chains_agree);
    double n = (double)post.n_draw;
    for (size_t i = 0; i < post.n_draw; i++) {
        below += (post.omega[i] < 0.4 * sqrt(3.0 / 2.365974)) / n;
        s0 += log(post.s0[i]) / n;
        gamma += post.gamma[i] / n;
        mean_mu += post.mu[2 * post.n_draw + i] / n;
        d += post.d[i] / n;
        omega_s += post.omega_s[i] / n;
        shallow += (fabs(post.gamma[i]) < 0.10 * M_LN2 / M_SQRT2) / n; /* median of a double exponential's size */
    }
    double ess = n;
    for (size_t i = 0; i < post.n_check; i++) ess = fmin(ess, post.check[i].ess);
    ck_assert_double_gt(ess, 200);
    double slack = 4.0 / sqrt(ess);
    ck_assert_double_eq_tol(below, 0.5, 0.5 * slack);
    ck_assert_double_eq_tol(s0, log(0.25), 0.5 * slack);
    ck_assert_double_eq_tol(gamma, 0.0, 0.10 * slack);
    ck_assert_double_eq_tol(shallow, 0.5, 0.5 * slack);
    ck_assert_double_eq_tol(d, -0.2, 0.25 * slack);
    ck_assert_double_eq_tol(omega_s, 0.5 * sqrt(2.0 / M_PI), 0.3 * slack); /* half-normal: sd 0.5 sqrt(1 - 2/pi) */
    ck_assert_double_eq_tol(mean_mu, planned[2] + 0.1, 0.7 * slack); /* sd of mu: sqrt(a_sd^2 + omega^2), about 0.6 */
    wr_posterior_release(&post);
}
END_TEST

/* Logged alike to the minute in every run: two such tasks pin the runs' effects to 0 and their spreads with them. */
START_TEST(tasks_alike_in_every_run_do_not_break_it)
{
    struct wr_model_table t;
    struct wr_posterior post = {0};
    struct wr_priors priors = wr_priors_default();
    struct wr_sampler_options options = {.n_chain = 4, .n_burn = 200, .n_keep = 300, .thin = 4, .seed = 12};

    wr_model_table_init(&t, 4, 5, 0, WR_NO_PLAN_TIMES);
    for (size_t i = 0; i < 20; i++)
        wr_model_table_set_cell(&t, i / 5, i % 5, WR_OBS_DONE, i < 15 ? 10.0 : 12.0 + (double)(i % 5), NULL, 0);
    ck_assert_int_eq(wr_posterior_sample(&post, &t.data, &priors, &options, NULL), WR_OK);
    ck_assert(post.chains_agree);
    for (size_t i = 0; i < post.n_draw; i++) ck_assert_double_ge(post.sigma[i], 0.01);
    wr_posterior_release(&post);
    wr_model_table_release(&t);
}
END_TEST

START_TEST(a_time_that_is_no_number_is_refused)
{
    struct small s;
    struct wr_posterior post = {0};
    struct wr_priors priors = wr_priors_default();
    struct wr_error err = {0};

    small_init(&s);
    s.log_min[5] = -INFINITY; /* log of no time at all */
    ck_assert_int_eq(wr_posterior_sample(&post, &s.data, &priors, &brief, &err), WR_E_DOMAIN);
    ck_assert_ptr_nonnull(strstr(err.text, "task 2, run 2"));
    ck_assert_ptr_null(post.mu);
    s.log_min[5] = 2.0;
    s.order[1] = 0.0;
    ck_assert_int_eq(wr_posterior_sample(&post, &s.data, &priors, &brief, &err), WR_E_DOMAIN);
    ck_assert_ptr_nonnull(strstr(err.text, "run 2"));
}
END_TEST

/* Times spread over a hundred orders of magnitude: an answer that is finite, or an error, never a NaN. */
START_TEST(absurd_times)
{
    struct small s;
    struct wr_posterior post = {0};
    struct wr_priors priors = wr_priors_default();
    struct wr_error err = {0};

    small_init(&s);
    s.log_min[0] = -230.0;
    s.log_min[1] = 230.0;
    if (wr_posterior_sample(&post, &s.data, &priors, &brief, &err) != WR_OK) {
        ck_assert_int_eq(err.status, WR_E_NO_CONVERGE);
        ck_assert_ptr_null(post.mu);
        return;
    }
    for (size_t i = 0; i < post.n_draw * K; i++)
        ck_assert(isfinite(post.mu[i]) && post.sigma[i] > 0 && isfinite(post.sigma[i]));
    wr_posterior_release(&post);
}
END_TEST

/* A warm start at a draw leaves the posterior alone: without burn-in the means agree with the long run. */
START_TEST(warm_start_stays_in_the_posterior)
{
    enum { STARTS = 60 };
    struct small s;
    struct wr_posterior post = {0}, warm = {0};
    struct wr_priors priors = wr_priors_default();
    struct wr_sampler_options longer = {.n_chain = 4, .n_burn = 300, .n_keep = 500, .thin = 8, .seed = 5};
    struct wr_sampler_options one = {.n_chain = 1, .n_keep = 1, .thin = 3};
    struct wr_error err;
    double mu[STARTS], log_sigma[STARTS];

    small_init(&s);
    ck_assert_int_eq(wr_posterior_sample(&post, &s.data, &priors, &longer, &err), WR_OK);
    for (size_t j = 0; j < STARTS; j++) {
        one.seed = j;
        ck_assert_int_eq(wr_posterior_sample_from(&warm, &s.data, &priors, &one, &post, j * 33, &err), WR_OK);
        mu[j] = warm.mu[0];
        log_sigma[j] = log(warm.sigma[0]);
        wr_posterior_release(&warm);
    }
    double mean = gsl_stats_mean(post.mu, 1, post.n_draw), sd = gsl_stats_sd(post.mu, 1, post.n_draw);
    ck_assert_double_eq_tol(gsl_stats_mean(mu, 1, STARTS), mean, 4.0 * sd / sqrt(STARTS));
    for (size_t i = 0; i < post.n_draw; i++) post.sigma[i] = log(post.sigma[i]);
    mean = gsl_stats_mean(post.sigma, 1, post.n_draw);
    sd = gsl_stats_sd(post.sigma, 1, post.n_draw);
    ck_assert_double_eq_tol(gsl_stats_mean(log_sigma, 1, STARTS), mean, 4.0 * sd / sqrt(STARTS));
    wr_posterior_release(&post);
}
END_TEST

/* The warm start moves centres to the new target: mu[k] - gamma log(target) is what the data know. */
START_TEST(warm_start_moves_with_the_target)
{
    struct small s;
    struct wr_posterior post = {0}, warm = {0};
    struct wr_priors priors = wr_priors_default();
    struct wr_sampler_options longer = {.n_chain = 2, .n_burn = 300, .n_keep = 400, .thin = 4, .seed = 5};
    struct wr_sampler_options one = {.n_chain = 1, .n_keep = 1, .thin = 1};
    struct wr_error err;
    double moved = 0.0, expected = 0.0;

    small_init(&s);
    priors.gamma_sd = 3.0; /* so that the slope, and with it the move, is large */
    ck_assert_int_eq(wr_posterior_sample(&post, &s.data, &priors, &longer, &err), WR_OK);
    s.data.target_order = 50.0;
    for (size_t j = 0; j < 40; j++) {
        one.seed = j;
        ck_assert_int_eq(wr_posterior_sample_from(&warm, &s.data, &priors, &one, &post, j * 20, &err), WR_OK);
        moved += (warm.mu[0] - warm.gamma[0] * log(50.0)) / 40;
        wr_posterior_release(&warm);
    }
    for (size_t i = 0; i < post.n_draw; i++)
        expected += (post.mu[i] - post.gamma[i] * log(R + 1.0)) / (double)post.n_draw;
    ck_assert_double_eq_tol(moved, expected, 0.5);
    wr_posterior_release(&post);
}
END_TEST

/* First-order autoregression with coefficient phi: effective size n (1 - phi)/(1 + phi). Textbook result, e.g.
 * Priestley (1981), Spectral Analysis and Time Series, ch. 5 (from memory). */
START_TEST(effective_size_of_an_autoregression)
{
    enum { CHAINS = 4, KEPT = 5000 };
    static double value[CHAINS * KEPT];
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);

    for (int c = 0; c < CHAINS; c++) {
        double x = gsl_ran_gaussian(rng, 1.0) / sqrt(1 - 0.36);
        for (int i = 0; i < KEPT; i++) value[c * KEPT + i] = x = 0.6 * x + gsl_ran_gaussian(rng, 1.0);
    }
    struct wr_chain_check check = wr_chain_check_of("x", value, CHAINS, KEPT);
    ck_assert_double_eq_tol(check.ess / (CHAINS * KEPT), 0.4 / 1.6, 0.03);
    ck_assert_double_lt(check.rhat, 1.01);
    for (int i = 0; i < KEPT; i++) value[i] += 1.0; /* one chain elsewhere */
    check = wr_chain_check_of("x", value, CHAINS, KEPT);
    ck_assert_double_gt(check.rhat, 1.05);
    ck_assert_double_lt(check.ess, 100);
    gsl_rng_free(rng);
}
END_TEST

/* Same place, different spread: only the folded half of the check sees it. A trend within chains: only the split. */
START_TEST(chains_of_other_shapes_are_seen)
{
    enum { CHAINS = 2, KEPT = 1000 };
    static double value[CHAINS * KEPT];
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);

    for (int i = 0; i < CHAINS * KEPT; i++) value[i] = gsl_ran_gaussian(rng, i < KEPT ? 1.0 : 3.0);
    ck_assert_double_gt(wr_chain_check_of("x", value, CHAINS, KEPT).rhat, 1.1);
    for (int i = 0; i < CHAINS * KEPT; i++) value[i] = gsl_ran_gaussian(rng, 1.0) + 2.0 * (i % KEPT) / KEPT;
    ck_assert_double_gt(wr_chain_check_of("x", value, CHAINS, KEPT).rhat, 1.05);
    for (int i = 0; i < CHAINS * KEPT; i++) value[i] = 3.0;
    struct wr_chain_check still = wr_chain_check_of("x", value, CHAINS, KEPT);
    ck_assert(still.rhat == 1.0 && still.ess == CHAINS * KEPT);
    gsl_rng_free(rng);
}
END_TEST

Suite *suite_duration_model(void);
Suite *suite_duration_model(void)
{
    Suite *s = suite_create("duration_model");
    TCase *t = tcase_create("duration_model");

    tcase_set_timeout(t, 60);
    tcase_add_test(t, same_bytes_for_any_threads);
    tcase_add_test(t, given_run_effect_is_kept);
    tcase_add_test(t, a_run_without_cells);
    tcase_add_test(t, no_runs_gives_the_prior);
    tcase_add_test(t, tasks_alike_in_every_run_do_not_break_it);
    tcase_add_test(t, a_time_that_is_no_number_is_refused);
    tcase_add_test(t, absurd_times);
    tcase_add_test(t, warm_start_stays_in_the_posterior);
    tcase_add_test(t, warm_start_moves_with_the_target);
    tcase_add_test(t, effective_size_of_an_autoregression);
    tcase_add_test(t, chains_of_other_shapes_are_seen);
    suite_add_tcase(s, t);
    return s;
}
