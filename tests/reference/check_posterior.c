/* The sampler against posteriors computed elsewhere: every reported value within four combined Monte Carlo errors. */
#include <check.h>
#include <gsl/gsl_sort.h>
#include <gsl/gsl_statistics_double.h>
#include <jansson.h>
#include <math.h>
#include <string.h>
#include "wetrun/base/memory.h"
#include "wetrun/model/duration_model.h"
#include "../../src/model/chain_check.h"

struct posterior_case {
    json_t *root;
    struct wr_model_data data;
    unsigned char *obs;
    double *log_min, *log_planned, *weight, *order;
};

static size_t person_index(const struct posterior_case *c, const char *name)
{
    json_t *people = json_object_get(c->root, "people");

    for (size_t p = 0; p < json_array_size(people); p++)
        if (strcmp(json_string_value(json_array_get(people, p)), name) == 0) return p;
    ck_abort_msg("unknown person %s", name);
    return 0;
}

static void take_cell(struct posterior_case *c, json_t *cell, size_t at)
{
    const char *state = json_string_value(json_object_get(cell, "state"));
    json_t *performers = json_object_get(cell, "performers");
    size_t n = json_array_size(performers);

    if (strcmp(state, "skipped") == 0) return;
    c->obs[at] = strcmp(state, "done") == 0 ? WR_OBS_DONE : WR_OBS_STOPPED;
    c->log_min[at] = log(json_number_value(json_object_get(cell, "minutes")));
    for (size_t p = 0; p < n; p++) {
        size_t who = person_index(c, json_string_value(json_array_get(performers, p)));
        c->weight[at * c->data.n_person + who] = 1.0 / (double)n;
    }
}

static void case_read(struct posterior_case *c, const char *path)
{
    json_error_t trouble;

    *c = (struct posterior_case){.root = json_load_file(path, 0, &trouble)};
    ck_assert_msg(c->root != NULL, "%s: %s", path, trouble.text);
    json_t *tasks = json_object_get(c->root, "tasks");
    size_t K = json_array_size(tasks), R = json_array_size(json_object_get(json_array_get(tasks, 0), "cells"));
    size_t P = json_array_size(json_object_get(c->root, "people"));
    c->obs = WR_NEW_ARRAY(unsigned char, K * R);
    c->log_min = WR_NEW_ARRAY(double, K * R);
    c->log_planned = WR_NEW_ARRAY(double, K);
    c->weight = WR_NEW_ARRAY(double, K * R * P);
    c->order = WR_NEW_ARRAY(double, R);
    c->data = (struct wr_model_data){K, R, P, c->obs, c->log_min, c->log_planned, P ? c->weight : NULL, c->order,
                                     (double)R + 1.0};
    for (size_t r = 0; r < R; r++) c->order[r] = (double)r + 1.0;
    for (size_t k = 0; k < K; k++) {
        json_t *task = json_array_get(tasks, k), *cells = json_object_get(task, "cells");
        json_t *planned = json_object_get(task, "planned_min");
        if (json_is_null(planned)) c->data.log_planned = NULL;
        else c->log_planned[k] = log(json_number_value(planned));
        ck_assert_uint_eq(json_array_size(cells), R);
        for (size_t r = 0; r < R; r++) take_cell(c, json_array_get(cells, r), k * R + r);
    }
}

static void case_release(struct posterior_case *c)
{
    wr_free(c->obs);
    wr_free(c->log_min);
    wr_free(c->log_planned);
    wr_free(c->weight);
    wr_free(c->order);
    json_decref(c->root);
}

static void agree(const char *what, double ours, double our_error, json_t *theirs)
{
    double value = json_number_value(json_object_get(theirs, "value"));
    double error = json_number_value(json_object_get(theirs, "mc_sd"));

    ck_assert_msg(json_is_object(theirs), "%s is missing", what);
    double combined = hypot(our_error, error);
    ck_assert_msg(fabs(ours - value) < 4.0 * combined, "%s: %g, expected %g, %.1f Monte Carlo errors apart", what, ours,
                  value, (ours - value) / combined);
}

static double error_of_mean(const struct wr_posterior *post, const double *value)
{
    struct wr_chain_check check = wr_chain_check_of("", value, post->n_chain, post->n_draw / post->n_chain);

    return gsl_stats_sd(value, 1, post->n_draw) / sqrt(check.ess);
}

static void agree_mean(const char *what, const struct wr_posterior *post, const double *value, json_t *theirs)
{
    agree(what, gsl_stats_mean(value, 1, post->n_draw), error_of_mean(post, value), theirs);
}

/* Error of a median: that of a mean times sqrt(pi/2), as for a normal sample. */
static void agree_median(const char *what, const struct wr_posterior *post, const double *value, json_t *theirs)
{
    double *sorted = WR_NEW_ARRAY(double, post->n_draw), error = 1.2533 * error_of_mean(post, value);

    memcpy(sorted, value, post->n_draw * sizeof *sorted);
    gsl_sort(sorted, 1, post->n_draw);
    agree(what, gsl_stats_median_from_sorted_data(sorted, 1, post->n_draw), error, theirs);
    wr_free(sorted);
}

static void agree_tasks(const struct posterior_case *c, const struct wr_posterior *post)
{
    double *minutes = WR_NEW_ARRAY(double, post->n_draw);

    for (size_t k = 0; k < post->n_task; k++) {
        json_t *task = json_array_get(json_object_get(c->root, "tasks"), k),
               *expected = json_object_get(task, "expected");
        const char *id = json_string_value(json_object_get(task, "task"));
        for (size_t i = 0; i < post->n_draw; i++) minutes[i] = exp(post->mu[k * post->n_draw + i]);
        agree_median(id, post, minutes, json_object_get(expected, "centre_min_p50"));
        agree_median(id, post, post->sigma + k * post->n_draw, json_object_get(expected, "sigma_p50"));
    }
    wr_free(minutes);
}

static void check_case(const char *path, bool skew)
{
    struct posterior_case c;
    struct wr_posterior post = {0};
    struct wr_priors priors = wr_priors_default();
    struct wr_sampler_options options = {.n_chain = 4, .n_burn = 500, .n_keep = 2500, .thin = 4, .seed = 20310304};
    struct wr_error err = {0};

    case_read(&c, path);
    priors.skew = skew;
    ck_assert_int_eq(wr_posterior_sample(&post, &c.data, &priors, &options, &err), WR_OK);
    ck_assert(post.chains_agree);
    const struct { const char *name; const double *value; bool wanted; } row[] = {
        {"tau", post.tau, true}, {"gamma", post.gamma, true}, {"s0", post.s0, true}, {"d", post.d, true},
        {"omega_s", post.omega_s, true}, {"a", post.a, true}, {"c", post.c, c.data.log_planned != NULL},
        {"omega", post.omega, true},
        {"kappa", post.kappa, c.data.n_person > 0}, {"rho", post.rho, skew}};
    json_t *means = json_object_get(c.root, "expected_means"),
           *people = json_object_get(c.root, "expected_person_means");
    for (size_t i = 0; i < sizeof row / sizeof *row; i++)
        if (row[i].wanted) agree_mean(row[i].name, &post, row[i].value, json_object_get(means, row[i].name));
    for (size_t p = 0; p < c.data.n_person; p++) {
        const char *name = json_string_value(json_array_get(json_object_get(c.root, "people"), p));
        agree_mean(name, &post, post.q + p * post.n_draw, json_object_get(people, name));
    }
    agree_tasks(&c, &post);
    wr_posterior_release(&post);
    case_release(&c);
}

START_TEST(plain)
{
    check_case("tests/reference/cases/posterior-plain.json", false);
}
END_TEST

START_TEST(people_and_skew)
{
    check_case("tests/reference/cases/posterior-people.json", true);
}
END_TEST

START_TEST(lengths_without_a_plan)
{
    check_case("tests/reference/cases/posterior-lengths.json", true);
}
END_TEST

Suite *suite_posterior(void);
Suite *suite_posterior(void)
{
    Suite *s = suite_create("posterior");
    TCase *t = tcase_create("cases");

    tcase_set_timeout(t, 120);
    tcase_add_test(t, plain);
    tcase_add_test(t, people_and_skew);
    tcase_add_test(t, lengths_without_a_plan);
    suite_add_tcase(s, t);
    return s;
}
