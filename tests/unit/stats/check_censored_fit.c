/* The fit against an independent search: log-likelihoods written a second time from the library's densities, climbed by
 * a simplex from other starting points, on random censored samples. Published fits: tests/reference/check_fit.c. */
#include <check.h>
#include <gsl/gsl_cdf.h>
#include <gsl/gsl_multimin.h>
#include <gsl/gsl_randist.h>
#include <gsl/gsl_sf_erf.h>
#include <math.h>
#include <string.h>
#include "law_quantile.h"
#include "wetrun/stats/censored_fit.h"

enum { MOST = 24, SAMPLES = 60 };

struct sample {
    enum wr_family family;
    size_t n;
    double t[MOST];
    enum wr_seen seen[MOST];
};

static double log_density(enum wr_family family, const double *p, double t)
{
    double u = p[0] * log(t / p[1]);
    switch (family) {
    case WR_LOGNORMAL: return log(gsl_ran_gaussian_pdf(log(t) - p[0], p[1]) / t);
    case WR_GAMMA: return log(gsl_ran_gamma_pdf(t, p[0], 1 / p[1]));
    case WR_WEIBULL: return log(gsl_ran_weibull_pdf(t, p[1], p[0]));
    case WR_LOGLOGISTIC: return log(p[0] / t) - u - 2 * log(1 + exp(-u));
    case WR_INVGAUSS: return 0.5 * log(p[1] / (2 * M_PI * t * t * t)) - p[1] * pow(t - p[0], 2) / (2 * p[0] * p[0] * t);
    case WR_N_FAMILY: break;
    }
    ck_abort_msg("no such family");
}

static double log_survival(enum wr_family family, const double *p, double t)
{
    double root = sqrt(p[1] / t);
    switch (family) {
    case WR_LOGNORMAL: return log(gsl_cdf_lognormal_Q(t, p[0], p[1]));
    case WR_GAMMA: return log(gsl_cdf_gamma_Q(t, p[0], 1 / p[1]));
    case WR_WEIBULL: return log(gsl_cdf_weibull_Q(t, p[1], p[0]));
    case WR_LOGLOGISTIC: return -log(1 + pow(t / p[1], p[0]));
    case WR_INVGAUSS:
        return log(gsl_cdf_ugaussian_Q(root * (t / p[0] - 1)) -
                   exp(2 * p[1] / p[0] + gsl_sf_log_erfc(root * (t / p[0] + 1) * M_SQRT1_2) - M_LN2));
    case WR_N_FAMILY: break;
    }
    ck_abort_msg("no such family");
}

static double loglik(const struct sample *s, const double *p)
{
    double sum = 0;
    for (size_t i = 0; i < s->n; i++)
        sum += s->seen[i] == WR_SEEN_DONE ? log_density(s->family, p, s->t[i]) : log_survival(s->family, p, s->t[i]);
    return sum;
}

/* The simplex works on log parameters, and on the lognormal's meanlog as it is. */
static void parameters(const struct sample *s, const gsl_vector *v, double *p)
{
    for (size_t i = 0; i < v->size; i++)
        p[i] = s->family == WR_LOGNORMAL && i == 0 ? gsl_vector_get(v, i) : exp(gsl_vector_get(v, i));
}

static double cost(const gsl_vector *v, void *sample)
{
    double p[WR_MOST_PARAMETERS];
    parameters(sample, v, p);
    double l = loglik(sample, p);
    return isfinite(l) ? -l : 1e10;
}

static double climb(struct sample *s, const double *start, double further, double *p)
{
    size_t n = (size_t)wr_family_n_parameter(s->family);
    gsl_multimin_function f = {cost, n, s};
    gsl_vector *at = gsl_vector_alloc(n), *step = gsl_vector_alloc(n);
    gsl_multimin_fminimizer *m = gsl_multimin_fminimizer_alloc(gsl_multimin_fminimizer_nmsimplex2, n);

    for (size_t i = 0; i < n; i++) gsl_vector_set(at, i, start[i] + further);
    gsl_vector_set_all(step, 0.5);
    gsl_multimin_fminimizer_set(m, &f, at, step);
    for (int i = 0; i < 400 && gsl_multimin_fminimizer_size(m) > 1e-7; i++)
        if (gsl_multimin_fminimizer_iterate(m)) break;
    parameters(s, m->x, p);
    double best = -m->fval;
    gsl_multimin_fminimizer_free(m);
    gsl_vector_free(at);
    gsl_vector_free(step);
    return best;
}

/* Best of two climbs from rough starts by the completed times. */
static double search(struct sample *s, double *p)
{
    double mean = 0, n = 0, other[WR_MOST_PARAMETERS];

    for (size_t i = 0; i < s->n; i++) {
        if (s->seen[i] != WR_SEEN_DONE) continue;
        mean += log(s->t[i]);
        n++;
    }
    mean /= n;
    double start[][WR_MOST_PARAMETERS] = {
        {mean, -1}, {log(4), log(4) - mean}, {log(2), mean}, {log(2), mean}, {mean + 0.5, mean + 1}};
    _Static_assert(sizeof start / sizeof *start == WR_N_FAMILY, "a start per family");
    double a = climb(s, start[s->family], 0, p), b = climb(s, start[s->family], 1, other);
    if (b <= a) return a;
    memcpy(p, other, sizeof other);
    return b;
}

static struct sample random_sample(gsl_rng *rng, enum wr_family truth)
{
    struct sample s = {.n = 3 + gsl_rng_uniform_int(rng, MOST - 3)};
    double share = gsl_rng_uniform(rng), scale = exp(gsl_ran_gaussian(rng, 3)), spread = 0.1 + gsl_rng_uniform(rng);

    for (size_t i = 0; i < s.n; i++) {
        double t = truth == WR_GAMMA ? gsl_ran_gamma(rng, 1 / (spread * spread), 1) : gsl_ran_lognormal(rng, 0, spread);
        double stop = share * gsl_ran_lognormal(rng, 1, 0.5);
        s.seen[i] = gsl_rng_uniform(rng) < 0.6 && stop < t ? WR_SEEN_STOPPED : WR_SEEN_DONE;
        s.t[i] = scale * (s.seen[i] == WR_SEEN_DONE ? t : stop);
    }
    return s;
}

static size_t done_in(const struct sample *s)
{
    size_t n = 0;
    for (size_t i = 0; i < s->n; i++) n += s->seen[i] == WR_SEEN_DONE;
    return n;
}

static void compare_with_search(struct sample *s, int number)
{
    struct wr_fit fit;
    struct wr_error err = {0};
    double p[WR_MOST_PARAMETERS], best = search(s, p), longest = 0;
    enum wr_status status = wr_censored_fit(s->family, s->t, s->seen, s->n, &fit, &err);

    for (size_t i = 0; i < s->n; i++) longest = fmax(longest, s->t[i]);
    if (status == WR_E_NO_MAXIMUM && s->family == WR_INVGAUSS) { /* the simplex, too, ran away with the mean */
        ck_assert_msg(p[0] > 1e3 * longest, "sample %d: %s, yet a maximum at mean %g", number, err.text, p[0]);
        return;
    }
    ck_assert_msg(status == WR_OK, "sample %d, %s: %s", number, wr_family_name(s->family), err.text);
    ck_assert_double_eq_tol(fit.loglik, loglik(s, fit.law.par), 1e-8 * (1 + fabs(fit.loglik)));
    ck_assert_double_eq_tol(fit.loglik, best, 1e-6);
    for (int i = 0; i < wr_family_n_parameter(s->family); i++) /* the simplex stops where the top is flat to 1e-7 */
        ck_assert_msg(fabs(fit.law.par[i] - p[i]) < 2e-3 * (fabs(p[i]) + (s->family == WR_LOGNORMAL && i == 0)),
                      "sample %d, %s: %s %g, simplex %g", number, wr_family_name(s->family),
                      wr_family_parameter(s->family, i), fit.law.par[i], p[i]);
}

START_TEST(agrees_with_a_simplex)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    int censored = 0;

    gsl_rng_set(rng, 11);
    for (int i = 0; i < SAMPLES; i++) {
        struct sample s = random_sample(rng, i % 2 ? WR_GAMMA : WR_LOGNORMAL);
        if (done_in(&s) < 2) continue;
        censored += done_in(&s) < s.n;
        for (s.family = 0; s.family < WR_N_FAMILY; s.family++) compare_with_search(&s, i);
    }
    ck_assert_int_gt(censored, SAMPLES / 2);
    gsl_rng_free(rng);
}
END_TEST

static void expect_top(const struct wr_fit *fit, const double *t, const enum wr_seen *seen, size_t n, int number)
{
    for (int i = 0; i < wr_family_n_parameter(fit->law.family); i++)
        for (int side = -1; side <= 1; side += 2) {
            struct wr_law beside = fit->law;
            beside.par[i] +=
                side * 1e-3 * (fit->law.family == WR_LOGNORMAL && i == 0 ? fit->law.par[1] : beside.par[i]);
            double less = wr_censored_loglik(&beside, t, seen, n);
            ck_assert_msg(!(less > fit->loglik + 1e-9 * (1 + fabs(fit->loglik))),
                          "sample %d, %s: %.12g, beside it %.12g", number, wr_family_name(fit->law.family), fit->loglik,
                          less);
        }
}

/* Times over many powers of ten with outliers among them, where a whole step of the search overshoots. */
START_TEST(wild_samples_end_on_a_top)
{
    enum { N = 8 };
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    int found = 0;

    gsl_rng_set(rng, 5);
    for (int i = 0; i < 400; i++) {
        double t[N], spread = exp(8 * gsl_rng_uniform(rng) - 4);
        enum wr_seen seen[N];
        size_t n = 2 + gsl_rng_uniform_int(rng, N - 1);
        for (size_t j = 0; j < n; j++) {
            double z = gsl_rng_uniform(rng) + gsl_rng_uniform(rng) - 1;
            if (gsl_rng_uniform(rng) < 0.1) z *= 30;
            t[j] = fmin(fmax(exp(3 + spread * z), 1e-3 * (1 + gsl_rng_uniform(rng))),
                        1e7 * (1 - 0.1 * gsl_rng_uniform(rng)));
            seen[j] = gsl_rng_uniform(rng) < 0.1 * (i % 10) ? WR_SEEN_STOPPED : WR_SEEN_DONE;
        }
        for (enum wr_family f = 0; f < WR_N_FAMILY; f++) {
            struct wr_fit fit;
            if (wr_censored_fit(f, t, seen, n, &fit, NULL) != WR_OK) continue;
            expect_top(&fit, t, seen, n, i);
            found++;
        }
    }
    ck_assert_int_gt(found, 1000);
    gsl_rng_free(rng);
}
END_TEST

/* In another unit: location and scale follow, shapes stay, the log-likelihood moves by n_done log(unit). */
START_TEST(knows_no_unit)
{
    static const double unit[] = {1.0 / 60, 1440, 1e-6, 1e6};
    static const enum wr_seen seen[] = {WR_SEEN_DONE, WR_SEEN_STOPPED, WR_SEEN_DONE,
                                        WR_SEEN_DONE, WR_SEEN_STOPPED, WR_SEEN_DONE};
    static const double t[] = {12.4, 9.1, 17.7, 14.2, 16.0, 11.9};

    for (int f = 0; f < WR_N_FAMILY; f++) {
        struct wr_fit a, b;
        ck_assert_int_eq(wr_censored_fit(f, t, seen, 6, &a, NULL), WR_OK);
        for (size_t u = 0; u < sizeof unit / sizeof *unit; u++) {
            double scaled[6], ratio;
            for (int i = 0; i < 6; i++) scaled[i] = t[i] * unit[u];
            ck_assert_int_eq(wr_censored_fit(f, scaled, seen, 6, &b, NULL), WR_OK);
            ck_assert_double_eq_tol(b.loglik + 4 * log(unit[u]), a.loglik, 1e-8);
            for (int prob = 1; prob < 10; prob += 4) {
                ratio = law_quantile_min(&b.law, prob / 10.0) / law_quantile_min(&a.law, prob / 10.0);
                ck_assert_double_eq_tol(ratio / unit[u], 1, 1e-7);
            }
        }
    }
}
END_TEST

START_TEST(order_does_not_matter)
{
    static const double t[] = {12.4, 9.1, 17.7, 14.2, 16.0, 11.9}, r[] = {11.9, 16.0, 14.2, 17.7, 9.1, 12.4};
    static const enum wr_seen st[] = {0, 1, 0, 0, 1, 0}, sr[] = {0, 1, 0, 0, 1, 0};

    for (int f = 0; f < WR_N_FAMILY; f++) {
        struct wr_fit a, b;
        ck_assert_int_eq(wr_censored_fit(f, t, st, 6, &a, NULL), WR_OK);
        ck_assert_int_eq(wr_censored_fit(f, r, sr, 6, &b, NULL), WR_OK);
        for (int i = 0; i < wr_family_n_parameter(f); i++)
            ck_assert_double_eq_tol(a.law.par[i], b.law.par[i], 1e-8 * fabs(a.law.par[i]));
        ck_assert(a.n_done == 4 && a.n_stopped == 2);
    }
}
END_TEST

/* Completed times so close that only logs of ratios keep their digits; sd of log minutes 1e-5. */
START_TEST(narrow_samples)
{
    static const double t[] = {100, 100.001, 99.999, 100.0005, 99.9995};

    for (int f = 0; f < WR_N_FAMILY; f++) {
        struct wr_fit fit;
        struct wr_error err;
        ck_assert_msg(wr_censored_fit(f, t, NULL, 5, &fit, &err) == WR_OK, "%s: %s", wr_family_name(f), err.text);
        double middle = law_quantile_min(&fit.law, 0.5);
        double half = (law_quantile_min(&fit.law, 0.84) - law_quantile_min(&fit.law, 0.16)) / 2;
        ck_assert_double_eq_tol(middle, 100, 1e-3);
        ck_assert(half > 0.5e-3 && half < 1.5e-3);
    }
}
END_TEST

START_TEST(one_completed_below_a_stopped_one)
{
    static const double t[] = {10, 14};
    static const enum wr_seen seen[] = {WR_SEEN_DONE, WR_SEEN_STOPPED};
    struct sample s = {.n = 2, .t = {10, 14}, .seen = {WR_SEEN_DONE, WR_SEEN_STOPPED}};

    for (s.family = 0; s.family < WR_N_FAMILY; s.family++) {
        struct wr_fit fit;
        double p[WR_MOST_PARAMETERS], best = search(&s, p);
        enum wr_status status = wr_censored_fit(s.family, t, seen, 2, &fit, NULL);
        if (s.family == WR_INVGAUSS && status == WR_E_NO_MAXIMUM) {
            ck_assert_double_gt(p[0], 1e4);
            continue;
        }
        ck_assert_int_eq(status, WR_OK);
        ck_assert_double_eq_tol(fit.loglik, best, 1e-6);
        ck_assert(!fit.aicc.known);
    }
}
END_TEST

START_TEST(refuses)
{
    static const struct {
        double t[4];
        enum wr_seen seen[4];
        size_t n;
        enum wr_status status;
        const char *says;
    } bad[] = {
        {{0}, {0}, 0, WR_E_TOO_FEW, "0 times"},
        {{5}, {0}, 1, WR_E_TOO_FEW, "1 time:"},
        {{5, 0}, {0}, 2, WR_E_DOMAIN, "time 2"},
        {{5, -1, 3}, {0}, 3, WR_E_DOMAIN, "time 2"},
        {{5, 6, INFINITY}, {0}, 3, WR_E_DOMAIN, "time 3"},
        {{5, NAN}, {0}, 2, WR_E_DOMAIN, "time 2"},
        {{7, 7}, {0}, 2, WR_E_NO_MAXIMUM, "equal"},
        {{7, 7 + 1e-12, 7}, {0}, 3, WR_E_NO_MAXIMUM, "equal"},  /* dust of clock arithmetic */
        {{7, 7, 7}, {0, 0, 1}, 3, WR_E_NO_MAXIMUM, "equal"},    /* stopped at the same time, not above */
        {{7, 7, 5}, {0, 0, 1}, 3, WR_E_NO_MAXIMUM, "equal"},
        {{7, 6}, {0, 1}, 2, WR_E_NO_MAXIMUM, "one completed"},
        {{7, 6}, {1, 1}, 2, WR_E_NO_MAXIMUM, "stopped"},
    };

    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        for (int f = 0; f < WR_N_FAMILY; f++) {
            struct wr_fit fit = {.loglik = 7};
            struct wr_error err = {0};
            ck_assert_int_eq(wr_censored_fit(f, bad[i].t, bad[i].seen, bad[i].n, &fit, &err), bad[i].status);
            ck_assert_msg(strstr(err.text, bad[i].says) != NULL, "row %zu: %s", i, err.text);
            ck_assert(fit.loglik == 7);
        }
    }
}
END_TEST

/* Mostly stopped times: the inverse Gaussian has its supremum at an infinite mean, the others a maximum. */
START_TEST(infinite_mean)
{
    static const double t[] = {4, 5, 40, 50, 60, 70, 80};
    static const enum wr_seen seen[] = {0, 0, 1, 1, 1, 1, 1};
    struct wr_fit fit;
    struct wr_error err;

    for (int f = 0; f < WR_N_FAMILY; f++)
        if (f != WR_INVGAUSS) ck_assert_int_eq(wr_censored_fit(f, t, seen, 7, &fit, NULL), WR_OK);
    ck_assert_int_eq(wr_censored_fit(WR_INVGAUSS, t, seen, 7, &fit, &err), WR_E_NO_MAXIMUM);
    ck_assert_ptr_nonnull(strstr(err.text, "mean"));
}
END_TEST

Suite *suite_censored_fit(void);
Suite *suite_censored_fit(void)
{
    Suite *s = suite_create("censored_fit");
    TCase *t = tcase_create("censored_fit");

    tcase_set_timeout(t, 60);
    tcase_add_test(t, agrees_with_a_simplex);
    tcase_add_test(t, wild_samples_end_on_a_top);
    tcase_add_test(t, knows_no_unit);
    tcase_add_test(t, order_does_not_matter);
    tcase_add_test(t, narrow_samples);
    tcase_add_test(t, one_completed_below_a_stopped_one);
    tcase_add_test(t, refuses);
    tcase_add_test(t, infinite_mean);
    suite_add_tcase(s, t);
    return s;
}
