/* Maximum-likelihood fits against published and independently computed values: cases S-FIT-*, sources in each file. */
#include <check.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include "law_quantile.h"
#include "refcase.h"
#include "wetrun/stats/censored_fit.h"
#include "wetrun/stats/goodness.h"

struct times {
    double *min;
    enum wr_seen *seen;
    size_t n, n_done;
};

static struct times times_of(const struct refcase *c)
{
    struct reftable *t = refcase_table(c, "file");
    struct times s = {reftable_numbers(t, "value"), calloc(t->n_row, sizeof *s.seen), t->n_row, 0};

    for (size_t i = 0; i < s.n; i++) {
        bool done = reftable_number(t, i, "status") == 1;
        s.seen[i] = done ? WR_SEEN_DONE : WR_SEEN_STOPPED;
        s.n_done += done;
    }
    reftable_free(t);
    return s;
}

static void release(struct times *s)
{
    free(s->min);
    free(s->seen);
}

static void compare_goodness(struct refcase *c, const struct wr_fit *fit, const struct times *s)
{
    const char *name = wr_family_name(fit->law.family);
    struct wr_goodness g;
    char key[80];

    snprintf(key, sizeof key, "%s.anderson_darling", name);
    if (!refcase_has(c, key)) {
        ck_assert_int_eq(wr_goodness_of_fit(fit, s->min, s->n, 0, 1, &g, NULL), WR_E_DOMAIN);
        return;
    }
    ck_assert_int_eq(wr_goodness_of_fit(fit, s->min, s->n, 2000, 20310301, &g, NULL), WR_OK);
    refcase_is(c, g.anderson_darling, "%s", key);
    refcase_is(c, g.ks, "%s.ks", name);
    refcase_is(c, g.anderson_darling_p.value, "%s.ad_p_bootstrap", name);
    refcase_is(c, g.ks_p.value, "%s.ks_p_bootstrap", name);
}

static void compare_family(struct refcase *c, const struct wr_fit *fit, const struct times *s)
{
    static const int percent[] = {50, 80, 90, 95};
    const char *name = wr_family_name(fit->law.family);
    char key[80];

    for (int i = 0; i < wr_family_n_parameter(fit->law.family); i++)
        refcase_is(c, fit->law.par[i], "%s.%s", name, wr_family_parameter(fit->law.family, i));
    refcase_is(c, fit->loglik, "%s.loglik", name);
    refcase_is_maybe(c, fit->aicc.known, fit->aicc.value, "%s.aicc", name);
    for (size_t i = 0; i < sizeof percent / sizeof *percent; i++)
        refcase_is(c, law_quantile_min(&fit->law, percent[i] / 100.0), "%s.p%d", name, percent[i]);
    compare_goodness(c, fit, s);
    snprintf(key, sizeof key, "%s.mean", name);
    if (refcase_has(c, key) && strcmp(wr_family_parameter(fit->law.family, 0), "mean") != 0)
        refcase_put_aside(c, key, "the program states no moments of a family");
    snprintf(key, sizeof key, "%s.sd", name);
    if (refcase_has(c, key)) refcase_put_aside(c, key, "the same");
    snprintf(key, sizeof key, "%s.aicc_events", name);
    if (refcase_has(c, key))
        refcase_put_aside(c, key, "variant that counts completed times only; here all times count");
}

static void compare_best(struct refcase *c, const struct wr_fit *fit)
{
    int best = 0;
    char key[80];

    for (int f = 1; f < WR_N_FAMILY; f++)
        if (fit[f].aicc.known && fit[f].aicc.value < fit[best].aicc.value) best = f;
    snprintf(key, sizeof key, "best_aicc_is_%s", wr_family_name(best));
    if (fit[best].aicc.known) refcase_is_bool(c, true, "%s", key);
}

/* Fits every family and compares all of the case but the published values, which differ from case to case. */
static struct refcase *compare_fits(const char *id, struct wr_fit fit[WR_N_FAMILY])
{
    struct refcase *c = refcase_open(id);
    struct times s = times_of(c);
    struct wr_error err;

    refcase_is(c, (double)s.n, "n");
    refcase_is(c, (double)s.n_done, "events");
    for (int f = 0; f < WR_N_FAMILY; f++) {
        enum wr_status status = wr_censored_fit(f, s.min, s.seen, s.n, &fit[f], &err);
        ck_assert_msg(status == WR_OK, "%s %s: %s", id, wr_family_name(f), err.text);
        ck_assert_uint_eq(fit[f].n_done, s.n_done);
        ck_assert_uint_eq(fit[f].n_stopped, s.n - s.n_done);
        compare_family(c, &fit[f], &s);
    }
    refcase_is_bool(c, true, "fit_exists");
    compare_best(c, fit);
    release(&s);
    return c;
}

START_TEST(ball_bearings)
{
    struct wr_fit fit[WR_N_FAMILY];
    struct refcase *c = compare_fits("S-FIT-01", fit);

    refcase_is(c, 1 / fit[WR_WEIBULL].law.par[1], "published.weibull.inverse_scale");
    refcase_close(c);
}
END_TEST

START_TEST(ten_failures_of_twenty)
{
    struct wr_fit fit[WR_N_FAMILY];
    struct refcase *c = compare_fits("S-FIT-02", fit);

    /* Akaike's criterion without the correction for small samples */
    refcase_is(c, 2 * 2 - 2 * fit[WR_WEIBULL].loglik, "published.weibull.aic");
    refcase_is(c, 2 * 2 - 2 * fit[WR_LOGNORMAL].loglik, "published.lognormal.aic");
    refcase_put_aside(c, "published.weibull.mean", "the program states no moments of a family");
    refcase_put_aside(c, "published.weibull.sd", "the same");
    refcase_close(c);
}
END_TEST

START_TEST(remission_times)
{
    struct wr_fit fit[WR_N_FAMILY];
    refcase_close(compare_fits("S-FIT-03", fit));
}
END_TEST

START_TEST(air_conditioning)
{
    struct wr_fit fit[WR_N_FAMILY];
    struct refcase *c = compare_fits("S-FIT-04", fit);

    const double *gamma = fit[WR_GAMMA].law.par;
    refcase_is(c, gamma[0] / gamma[1], "published.mean"); /* shape / rate: the sample mean */
    refcase_close(c);
}
END_TEST

START_TEST(three_runs)
{
    struct wr_fit fit[WR_N_FAMILY];
    refcase_close(compare_fits("S-FIT-05", fit));
}
END_TEST

START_TEST(seconds_and_days)
{
    struct wr_fit fit[WR_N_FAMILY], same[WR_N_FAMILY];

    refcase_close(compare_fits("S-FIT-09", fit));
    refcase_close(compare_fits("S-FIT-10", same));
}
END_TEST

static const struct {
    const char *id, *says;
} without_maximum[] = {
    {"S-FIT-06", "equal"},
    {"S-FIT-07", "stopped"},
    {"S-FIT-08", "one completed"},
};

START_TEST(no_maximum)
{
    struct refcase *c = refcase_open(without_maximum[_i].id);
    struct times s = times_of(c);

    refcase_is(c, (double)s.n, "n");
    refcase_is(c, (double)s.n_done, "events");
    for (int f = 0; f < WR_N_FAMILY; f++) {
        struct wr_fit fit = {.loglik = 7};
        struct wr_error err;
        ck_assert_int_eq(wr_censored_fit(f, s.min, s.seen, s.n, &fit, &err), WR_E_NO_MAXIMUM);
        ck_assert_msg(strstr(err.text, without_maximum[_i].says) != NULL, "reason given: %s", err.text);
        ck_assert(fit.loglik == 7);
    }
    refcase_is_bool(c, false, "fit_exists");
    release(&s);
    refcase_close(c);
}
END_TEST

Suite *suite_fit(void);
Suite *suite_fit(void)
{
    Suite *s = suite_create("fit");
    TCase *t = tcase_create("published");

    tcase_set_timeout(t, 60);
    tcase_add_test(t, ball_bearings);
    tcase_add_test(t, ten_failures_of_twenty);
    tcase_add_test(t, remission_times);
    tcase_add_test(t, air_conditioning);
    tcase_add_test(t, three_runs);
    tcase_add_test(t, seconds_and_days);
    tcase_add_loop_test(t, no_maximum, 0, sizeof without_maximum / sizeof *without_maximum);
    suite_add_tcase(s, t);
    return s;
}
