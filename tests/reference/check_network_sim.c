/* The forecast against worked networks and sums: every task independent, no run effect unless the case has one. The
 * sources are named in tests/reference/cases/S-NET-*.json and S-SUM-*.json. Sums and maxima of exponential times and
 * maxima of normal ones (cases S-SUM-01, S-MAX-01, S-MAX-02) are not compared: the engine draws no such times. */
#include <check.h>
#include <jansson.h>
#include <math.h>
#include <string.h>
#include "made_durations.h"
#include "made_plan.h"
#include "refcase.h"
#include "wetrun/base/memory.h"
#include "wetrun/sim/forecast.h"

enum { TRIALS = 400000, MOST_LIMITS = 8 };

struct worked {
    struct refcase *c;
    struct wr_plan plan;
    struct wr_network net;
    struct wr_durations d;
    struct wr_sim_limit limit[MOST_LIMITS];
    size_t n_limit;
    struct wr_forecast f;
};

static void forecast(struct worked *w)
{
    struct wr_error err = {0};
    struct wr_sim_options o = {.n_trial = TRIALS, .seed = 17, .n_thread = 2, .limit = w->limit, .n_limit = w->n_limit};

    ck_assert_msg(wr_network_build(&w->net, &w->plan, &err) == WR_OK, "%s", err.text);
    ck_assert_msg(wr_forecast_run(&w->f, &w->net, &w->d, &o, &err) == WR_OK, "%s", err.text);
}

static void add_limits(struct worked *w, const char *key)
{
    size_t i;
    const json_t *m;

    json_array_foreach(refcase_input(w->c, key), i, m) {
        ck_assert(w->n_limit < MOST_LIMITS);
        w->limit[w->n_limit++] = (struct wr_sim_limit){.lanes = UINT32_MAX, .minutes = json_number_value(m)};
    }
}

static void done(struct worked *w)
{
    wr_forecast_release(&w->f);
    made_durations_release(&w->d);
    wr_network_release(&w->net);
    made_plan_release(&w->plan);
    refcase_close(w->c);
}

/* sqrt(p (1 - p) / N) / density, the density from two neighbouring hundredths. Quantiles are compared by this, not by
 * their own tolerances alone: that of S-NET-07 at 0.99 is 1.4 standard errors by repeated simulation, not 4. */
static double quantile_error(const struct wr_forecast *f, double p)
{
    size_t i = (size_t)fmin(100 * p - 0.5, 98);

    return sqrt(p * (1 - p) / TRIALS) * (f->hundredth_min[i + 1] - f->hundredth_min[i]) / 0.01;
}

static void check_quantiles(const struct worked *w, const char *prefix)
{
    char name[64];

    for (size_t q = 0; q < WR_N_QUANTILE; q++) {
        snprintf(name, sizeof name, "%sq%g", prefix, wr_quantile_prob[q]);
        if (!refcase_has(w->c, name)) continue;
        refcase_is_estimated(w->c, w->f.quantile_min[q], quantile_error(&w->f, wr_quantile_prob[q]), "%s", name);
    }
}

static const char *const network_cases[] = {"S-NET-01", "S-NET-02", "S-NET-03", "S-NET-04",
                                            "S-NET-05", "S-NET-06", "S-NET-07"};

static void put_the_rest_aside(struct refcase *c, int which)
{
    refcase_put_aside(c, "lane.", "means by lane are not shown; medians are compared");
    refcase_put_aside(c, "median_longest_path", "a forward pass: check_network_cases.c");
    refcase_put_aside(c, "pad.", "a pad, not a forecast");
    if (which == 0) refcase_put_aside(c, "textbook.", "check_network_cases.c");
    if (which == 1) refcase_put_aside(c, "latest_start.", "a cut-off, not a forecast");
    if (which == 1) refcase_put_aside(c, "variance_share.", "of minutes; ours are of scores");
    if (which == 6) return;
    refcase_put_aside(c, "mean_start.", "starts are shown as quantiles");
    refcase_put_aside(c, "covariance_share.", "another definition of a share");
}

START_TEST(worked_network)
{
    struct worked w = {.c = refcase_open(network_cases[_i])};
    bool pert = strcmp(json_string_value(refcase_input(w.c, "three_point")), "pert") == 0;
    char path[256];

    snprintf(path, sizeof path, "tests/reference/%s", json_string_value(refcase_input(w.c, "plan")));
    made_plan_load(&w.plan, path);
    made_durations_plain(&w.d, w.plan.n_task, 1);
    w.d.tau[0] = 0;
    for (size_t k = 0; k < w.plan.n_task; k++) {
        const struct wr_plan_task *t = &w.plan.task[k];
        w.d.source[k] = (struct wr_source){WR_SRC_JUDGED,
                                           {t->low_min.value, t->likely_min.value, t->high_min.value},
                                           pert ? WR_THREE_POINT_PERT : WR_THREE_POINT_TRIANGULAR};
    }
    add_limits(&w, "limits_min");
    forecast(&w);
    refcase_is_simulated(w.c, w.f.mean_min, TRIALS, "finish.mean");
    refcase_is_simulated(w.c, w.f.sd_min, TRIALS, "finish.sd");
    check_quantiles(&w, "finish.");
    for (size_t i = 0; i < w.n_limit; i++)
        refcase_is_simulated(w.c, w.f.limit[i].over.mean, TRIALS, "overrun.%g", w.limit[i].minutes);
    for (size_t l = 0; l < w.plan.n_lane; l++)
        refcase_is_simulated(w.c, w.f.lane[l].finish_p50_min, TRIALS, "lane.%s.p50", w.plan.lane[l]);
    for (size_t k = 0; k < w.plan.n_task; k++) {
        char name[64];
        snprintf(name, sizeof name, "on_longest_path.%s", w.plan.task[k].id);
        if (refcase_has(w.c, name)) refcase_is_simulated(w.c, w.f.task[k].on_longest_path, TRIALS, "%s", name);
        snprintf(name, sizeof name, "dropped.%s", w.plan.task[k].id);
        if (refcase_has(w.c, name)) refcase_is_simulated(w.c, w.f.task[k].dropped, TRIALS, "%s", name);
    }
    put_the_rest_aside(w.c, _i);
    done(&w);
}
END_TEST

/* Lognormal tasks in a row; with and without one run effect shared by all. The case's tolerances for the moments are
 * those of a closed form, so the standard errors are given; the kurtosis of these sums is below 4. */
START_TEST(sum_of_lognormals)
{
    struct worked w = {.c = refcase_open(_i == 0 ? "S-SUM-02" : "S-SUM-03")};
    const json_t *tasks = refcase_input(w.c, "tasks");
    size_t n = json_array_size(tasks);

    made_durations_plain(&w.d, n, 1);
    w.d.tau[0] = _i == 0 ? 0 : refcase_input_number(w.c, "run_effect_sd_log");
    for (size_t k = 0; k < n; k++) {
        const json_t *t = json_array_get(tasks, k);
        char id[32];
        snprintf(id, sizeof id, "T%u", (unsigned)k);
        made_plan_add(&w.plan, id, "EV1", "");
        w.d.centre_log[k] = log(json_number_value(json_object_get(t, "median")));
        w.d.spread_log[k] = json_number_value(json_object_get(t, "sdlog"));
    }
    made_plan_finish(&w.plan);
    add_limits(&w, "limits");
    forecast(&w);
    refcase_is_estimated(w.c, w.f.mean_min, w.f.sd_min / sqrt(TRIALS), "mean");
    refcase_is_estimated(w.c, w.f.sd_min, w.f.sd_min * sqrt(0.75 / TRIALS), "sd");
    check_quantiles(&w, "");
    for (size_t i = 0; i < w.n_limit; i++)
        refcase_is_simulated(w.c, w.f.limit[i].over.mean, TRIALS, "over.%g", w.limit[i].minutes);
    if (_i == 0) {
        refcase_put_aside(w.c, "sum_of_medians", "arithmetic on the input");
        refcase_put_aside(w.c, "pad.", "a pad, not a forecast");
        refcase_put_aside(w.c, "variance_share.", "of minutes; ours are of scores");
    }
    done(&w);
}
END_TEST

Suite *suite_network_sim(void);
Suite *suite_network_sim(void)
{
    Suite *s = suite_create("network_sim");
    TCase *t = tcase_create("network_sim");

    tcase_add_loop_test(t, worked_network, 0, 7);
    tcase_add_loop_test(t, sum_of_lognormals, 0, 2);
    suite_add_tcase(s, t);
    return s;
}
