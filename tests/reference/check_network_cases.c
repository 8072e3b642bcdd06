/* The forward pass against worked networks, every task at one value: means for the textbook's answer, medians for the
 * longest path that the cases give. Sources are named in tests/reference/cases/S-NET-*.json. */
#include <check.h>
#include <gsl/gsl_cdf.h>
#include <math.h>
#include <string.h>
#include "made_plan.h"
#include "refcase.h"
#include "wetrun/network/network.h"

enum { MOST = 16 };

static struct refcase *load(const char *id, struct wr_plan *plan, struct wr_network *net)
{
    char path[256];
    struct wr_error err = {0};
    struct refcase *c = refcase_open(id);

    snprintf(path, sizeof path, "tests/reference/%s",
             json_string_value(refcase_input(c, "plan")));
    made_plan_load(plan, path);
    ck_assert(plan->n_task <= MOST);
    ck_assert_msg(wr_network_build(net, plan, &err) == WR_OK, "%s", err.text);
    return c;
}

/* Median of the beta distribution on [low, high] with mode likely and shape parameters that add up to 6. */
static double pert_median(const struct wr_plan_task *t)
{
    double low = t->low_min.value, range = t->high_min.value - low;
    double a = 1 + 4 * (t->likely_min.value - low) / range;

    return low + range * gsl_cdf_beta_Pinv(0.5, a, 6 - a);
}

/* The textbook's own method: the critical path on the means (low + 4 likely + high) / 6, the variance along it with
 * ((high - low) / 6)², and a normal tail. Its A-B-E-F is the published answer. */
START_TEST(textbook_critical_path)
{
    struct wr_plan plan = {0};
    struct wr_network net = {0};
    double mean[MOST], start[MOST], end[MOST], variance = 0;
    unsigned char path[MOST];
    char named[MOST + 1] = "";
    struct refcase *c = load("S-NET-01", &plan, &net);

    for (size_t k = 0; k < plan.n_task; k++) {
        const struct wr_plan_task *t = &plan.task[k];
        mean[k] = (t->low_min.value + 4 * t->likely_min.value + t->high_min.value) / 6;
    }
    double finish = wr_network_forward(&net, mean, start, end, NULL);
    refcase_is(c, finish, "textbook.critical_path_mean");
    wr_network_longest_path(&net, WR_FINISH, start, end, NULL, path);
    for (size_t k = 0; k < plan.n_task; k++) {
        if (!path[k]) continue;
        named[strlen(named)] = plan.task[k].id[0];
        variance += pow((plan.task[k].high_min.value - plan.task[k].low_min.value) / 6, 2);
    }
    ck_assert_str_eq(named, "ABEF");
    refcase_is(c, variance, "textbook.critical_path_variance");
    refcase_is(c, gsl_cdf_gaussian_P(20 - finish, sqrt(variance)), "textbook.within_20");
    refcase_put_aside(c, "", "no textbook answer: the medians are compared below, the distribution needs a simulation");
    refcase_close(c);
    wr_network_release(&net);
    made_plan_release(&plan);
}
END_TEST

static const char *const median_cases[] = {"S-NET-01", "S-NET-06", "S-NET-07"};

START_TEST(longest_path_at_the_medians)
{
    struct wr_plan plan = {0};
    struct wr_network net = {0};
    double median[MOST], end[MOST];
    struct refcase *c = load(median_cases[_i], &plan, &net);

    for (size_t k = 0; k < plan.n_task; k++) median[k] = pert_median(&plan.task[k]);
    refcase_is(c, wr_network_forward(&net, median, NULL, end, NULL), "median_longest_path");
    refcase_put_aside(c, "", "needs a simulation; the textbook's answer is compared above");
    refcase_close(c);
    wr_network_release(&net);
    made_plan_release(&plan);
}
END_TEST

Suite *suite_network_cases(void);
Suite *suite_network_cases(void)
{
    Suite *s = suite_create("network_cases");
    TCase *t = tcase_create("network_cases");

    tcase_add_test(t, textbook_critical_path);
    tcase_add_loop_test(t, longest_path_at_the_medians, 0, 3);
    suite_add_tcase(s, t);
    return s;
}
