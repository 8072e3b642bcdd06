/* The forecast against worked networks, sums and maxima: every task independent, no run effect unless the case has
 * one. The sources are named in each tests/reference/cases/S-*.json. Tolerances of the network cases are four standard
 * errors of 20,000 trials: scaled to ours, plus three times the error of the stored value. */
#include <check.h>
#include <math.h>
#include <string.h>
#include "made_durations.h"
#include "made_plan.h"
#include "refcase.h"
#include "wetrun/base/memory.h"
#include "wetrun/sim/forecast.h"

enum { TRIALS = 100000, MOST_LIMITS = 8 };

struct worked {
    json_t *c;
    struct wr_plan plan;
    struct wr_network net;
    struct wr_durations d;
    struct wr_sim_limit limit[MOST_LIMITS];
    size_t n_limit;
    struct wr_forecast f;
};

static const json_t *expectation(const json_t *c, const char *name)
{
    size_t i;
    const json_t *e;

    json_array_foreach(json_object_get(c, "expected"), i, e)
        if (strcmp(json_string_value(json_object_get(e, "name")), name) == 0) return e;
    ck_abort_msg("no expected value %s", name);
    return NULL;
}

/* The case's tolerance for our number of trials: sampling tolerances shrink with it, relative ones stay. */
static void near(const struct worked *w, const char *name, double got)
{
    const json_t *e = expectation(w->c, name);
    double value = json_number_value(json_object_get(e, "value")), err = json_number_value(json_object_get(e, "err"));
    double tol = json_number_value(json_object_get(e, "tol_abs")) * sqrt(20000.0 / TRIALS) + 3 * err;

    tol = fmax(tol, json_number_value(json_object_get(e, "tol_rel")) * value);
    ck_assert_msg(fabs(got - value) <= tol, "%s: %.8g, expected %.8g within %.2g", name, got, value, tol);
}

/* A number without a tolerance for sampling: four of its standard errors. */
static void near_sampled(const struct worked *w, const char *name, double got, double standard_error)
{
    double value = refcase_value(w->c, name);

    ck_assert_msg(fabs(got - value) <= 4 * standard_error, "%s: %.8g, expected %.8g within %.2g", name, got, value,
                  4 * standard_error);
}

static size_t task_named(const struct wr_plan *plan, const char *id)
{
    for (size_t k = 0; k < plan->n_task; k++)
        if (strcmp(plan->task[k].id, id) == 0) return k;
    ck_abort_msg("no task %s", id);
    return 0;
}

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

    json_array_foreach(json_object_get(json_object_get(w->c, "input"), key), i, m) {
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
    json_decref(w->c);
}

static const double probs[] = {0.05, 0.1, 0.25, 0.5, 0.75, 0.8, 0.9, 0.95, 0.99};
enum { N_PROB = sizeof probs / sizeof *probs };

/* sqrt(p (1 - p) / N) / density, the density from two neighbouring hundredths. (The cases' own tolerances for
 * quantiles are not used: that of S-NET-07 at 0.99 is 1.4 standard errors by repeated simulation, not 4.) */
static double quantile_error(const struct wr_forecast *f, double p)
{
    size_t i = (size_t)(fmin(100 * p - 0.5, 98));

    return sqrt(p * (1 - p) / TRIALS) * (f->hundredth_min[i + 1] - f->hundredth_min[i]) / 0.01;
}

static void check_quantiles(const struct worked *w, const char *prefix)
{
    char name[64];

    for (size_t i = 0; i < N_PROB; i++) {
        size_t q = 0;
        while (wr_quantile_prob[q] != probs[i]) q++;
        snprintf(name, sizeof name, "%sq%g", prefix, probs[i]);
        near_sampled(w, name, w->f.quantile_min[q], quantile_error(&w->f, probs[i]));
    }
}

static const char *const network_cases[] = {"S-NET-01", "S-NET-02", "S-NET-03", "S-NET-04",
                                            "S-NET-05", "S-NET-06", "S-NET-07"};

START_TEST(worked_network)
{
    struct worked w = {.c = refcase_load(network_cases[_i])};
    const json_t *input = json_object_get(w.c, "input");
    char path[256], name[64];
    size_t at;
    const json_t *e;

    snprintf(path, sizeof path, "tests/reference/%s", json_string_value(json_object_get(input, "plan")));
    made_plan_load(&w.plan, path);
    made_durations_plain(&w.d, w.plan.n_task, 1);
    w.d.tau[0] = 0;
    for (size_t k = 0; k < w.plan.n_task; k++) {
        const struct wr_plan_task *t = &w.plan.task[k];
        const char *shape = json_string_value(json_object_get(input, "three_point"));
        w.d.source[k] = (struct wr_source){strcmp(shape, "pert") == 0 ? WR_SRC_PERT : WR_SRC_TRIANGULAR,
                                           {t->low_min.value, t->likely_min.value, t->high_min.value}};
    }
    add_limits(&w, "limits_min");
    forecast(&w);
    near(&w, "finish.mean", w.f.mean_min);
    near(&w, "finish.sd", w.f.sd_min);
    check_quantiles(&w, "finish.");
    for (size_t i = 0; i < w.n_limit; i++) {
        snprintf(name, sizeof name, "overrun.%g", w.limit[i].minutes);
        near(&w, name, w.f.limit[i].over.mean);
    }
    for (size_t l = 0; l < w.plan.n_lane; l++) {
        snprintf(name, sizeof name, "lane.%s.p50", w.plan.lane[l]);
        near(&w, name, w.f.lane[l].finish_p50_min);
    }
    json_array_foreach(json_object_get(w.c, "expected"), at, e) {
        const char *what = json_string_value(json_object_get(e, "name"));
        if (strncmp(what, "on_longest_path.", 16) == 0)
            near(&w, what, w.f.task[task_named(&w.plan, what + 16)].on_longest_path);
        if (strncmp(what, "dropped.", 8) == 0) near(&w, what, w.f.task[task_named(&w.plan, what + 8)].dropped);
    }
    done(&w);
}
END_TEST

/* Lognormal tasks in a row; with and without one run effect shared by all. */
START_TEST(sum_of_lognormals)
{
    struct worked w = {.c = refcase_load(_i == 0 ? "S-SUM-02" : "S-SUM-03")};
    const json_t *input = json_object_get(w.c, "input"), *tasks = json_object_get(input, "tasks");
    size_t n = json_array_size(tasks);
    char id[64];

    made_durations_plain(&w.d, n, 1);
    w.d.tau[0] = json_number_value(json_object_get(input, _i == 0 ? "none" : "run_effect_sd_log"));
    for (size_t k = 0; k < n; k++) {
        const json_t *t = json_array_get(tasks, k);
        snprintf(id, sizeof id, "T%zu", k);
        made_plan_add(&w.plan, id, "EV1", "");
        w.d.centre_log[k] = log(json_number_value(json_object_get(t, "median")));
        w.d.spread_log[k] = json_number_value(json_object_get(t, "sdlog"));
    }
    made_plan_finish(&w.plan);
    add_limits(&w, "limits");
    forecast(&w);
    /* sd: the kurtosis of these sums is below 4 */
    near_sampled(&w, "mean", w.f.mean_min, w.f.sd_min / sqrt(TRIALS));
    near_sampled(&w, "sd", w.f.sd_min, w.f.sd_min * sqrt(0.75 / TRIALS));
    check_quantiles(&w, "");
    for (size_t i = 0; i < w.n_limit; i++) {
        double p = w.f.limit[i].over.mean;
        snprintf(id, sizeof id, "over.%g", w.limit[i].minutes);
        near_sampled(&w, id, p, sqrt(p * (1 - p) / TRIALS));
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
