/* Pads, cut-offs, clocks, what-if and updates against cases with closed forms, quadrature, enumeration and brute force:
 * cases CUT-*, CLK-*, PAD-*, WIF-*, UPD-*, each with its way of computing in "source" and what known mistakes would say
 * in "wrong". A cut-off may be off by four times its own stated Monte Carlo error besides what the case's value may be
 * off. */
#include <check.h>
#include <math.h>
#include <stdio.h>
#include <string.h>
#include "made_durations.h"
#include "made_excursion.h"
#include "made_plan.h"
#include "refcase.h"
#include "wetrun/base/memory.h"
#include "wetrun/decide/cutoff.h"
#include "wetrun/decide/pad.h"
#include "wetrun/decide/update.h"
#include "wetrun/decide/whatif.h"

enum { N_TRIAL = 16000, MOST = 10 };

static double number_in(const json_t *array, size_t i)
{
    return json_number_value(json_array_get(array, i));
}

/* Tasks in a row, from "medians" and "sigma" (number or list). */
static size_t row_of_tasks(const struct refcase *c, struct made_task task[MOST])
{
    static const char *const id[MOST] = {"1", "2", "3", "4", "5", "6", "7", "8", "9", "10"};
    const json_t *medians = refcase_input(c, "medians"), *sigma = refcase_input(c, "sigma");
    size_t n = json_array_size(medians);

    for (size_t k = 0; k < n; k++)
        task[k] = (struct made_task){.id = id[k], .median_min = number_in(medians, k),
                                     .sigma = json_is_array(sigma) ? number_in(sigma, k) : json_number_value(sigma)};
    return n;
}

static struct wr_cutoff_row row_for(struct made_excursion *e, const struct wr_cutoff_limit *limit, size_t task)
{
    struct wr_cutoff_card card = {0};
    struct wr_cutoff_options options = {.task = &task, .n_task = 1, .n_thread = 1};
    struct wr_error err;

    const struct wr_basis basis = made_excursion_basis(e);
    ck_assert_int_eq(wr_cutoff_make(&card, &basis, &e->scenarios, limit, 1, &options, &err), WR_OK);
    struct wr_cutoff_row row = card.list[0].row[0];
    ck_assert_int_eq(row.reason, WR_CUTOFF_FOUND);
    wr_cutoff_release(&card);
    return row;
}

static struct wr_cutoff_limit whole_limit(const struct refcase *c, const struct made_excursion *e)
{
    return (struct wr_cutoff_limit){{.lanes = (1u << e->net.n_lane) - 1, .minutes = refcase_input_number(c, "limit")},
                                    refcase_input_number(c, "confidence")};
}

/* A Monte Carlo error that is no use would let anything pass. */
static void is_estimated(struct refcase *c, const struct wr_cutoff_row *row, double most_error, const char *name)
{
    ck_assert_msg(row->mc_error_min < most_error, "%s: error of %g min stated, %g allowed", name, row->mc_error_min,
                  most_error);
    refcase_is_estimated(c, row->latest_start_min, row->mc_error_min, "%s", name);
}

START_TEST(second_of_two_tasks)
{
    static const struct { const char *id; double most_error; bool beyond; } cases[] = {
        {"CUT-03", 1.0, false}, {"CUT-05", 1.0, true}};
    struct refcase *c = refcase_open(cases[_i].id);
    struct made_excursion e = {0};
    struct made_task task[MOST];

    made_excursion_plan(&e, task, row_of_tasks(c, task), refcase_input_number(c, "tau"), 1);
    made_excursion_days(&e, N_TRIAL, 1);
    struct wr_cutoff_limit limit = whole_limit(c, &e);
    struct wr_cutoff_row row = row_for(&e, &limit, 1);
    is_estimated(c, &row, cases[_i].most_error, "latest_start_min");
    ck_assert_int_eq(row.beyond_range, cases[_i].beyond);
    made_excursion_release(&e);
    refcase_close(c);
}
END_TEST

/* Two correlated normals per posterior draw: Box-Muller on a generator of the test's own. */
static void uncertain_medians(struct wr_durations *d, const double sd[2], double correlation)
{
    unsigned long long state = 77;

    for (size_t j = 0; j < d->n_draw; j++) {
        double r = sqrt(-2 * log(1 - made_uniform(&state))), angle = 2 * M_PI * made_uniform(&state);
        double x = r * cos(angle), y = correlation * x + sqrt(1 - correlation * correlation) * r * sin(angle);
        d->centre_log[j] += sd[0] * x;
        d->centre_log[d->n_draw + j] += sd[1] * y;
    }
}

START_TEST(medians_known_up_to_an_error)
{
    struct refcase *c = refcase_open("CUT-06");
    struct made_excursion e = {0};
    struct made_task task[MOST];
    const json_t *sd = refcase_input(c, "sd_of_log_medians");

    made_excursion_plan(&e, task, row_of_tasks(c, task), refcase_input_number(c, "tau"), N_TRIAL);
    uncertain_medians(&e.durations, (double[2]){number_in(sd, 0), number_in(sd, 1)},
                      refcase_input_number(c, "correlation"));
    made_excursion_days(&e, N_TRIAL, 1);
    struct wr_cutoff_limit limit = whole_limit(c, &e);
    struct wr_cutoff_row row = row_for(&e, &limit, 1);
    is_estimated(c, &row, 1.0, "latest_start_min");
    made_excursion_release(&e);
    refcase_close(c);
}
END_TEST

static double by_name(const struct refcase *c, const char *key, const char *name)
{
    return json_number_value(json_object_get(refcase_input(c, key), name));
}

START_TEST(a_task_beside_another_lane)
{
    struct refcase *c = refcase_open("CUT-07");
    struct made_excursion e = {0};
    const char *const id[] = {"A", "B", "C"}, *const crew[] = {"1", "1", "2"};
    struct made_task task[3];

    for (int k = 0; k < 3; k++)
        task[k] = (struct made_task){.id = id[k], .crew = crew[k], .median_min = by_name(c, "medians", id[k]),
                                     .sigma = by_name(c, "sigma", id[k])};
    made_excursion_plan(&e, task, 3, refcase_input_number(c, "tau"), 1);
    made_excursion_days(&e, N_TRIAL, 1);
    struct wr_cutoff_limit limit = whole_limit(c, &e);
    struct wr_cutoff_row row = row_for(&e, &limit, 1);
    is_estimated(c, &row, 1.0, "latest_start_min");
    made_excursion_release(&e);
    refcase_close(c);
}
END_TEST

/* "plan": list of {task, lanes, minutes or median and sigma}. */
static size_t plan_of_tasks(const struct refcase *c, struct made_task task[MOST])
{
    const json_t *plan = refcase_input(c, "plan");
    size_t n = json_array_size(plan);

    for (size_t k = 0; k < n; k++) {
        const json_t *t = json_array_get(plan, k), *fixed = json_object_get(t, "minutes");
        task[k] = (struct made_task){.id = json_string_value(json_object_get(t, "task")),
                                     .crew = json_string_value(json_object_get(t, "lanes"))};
        task[k].median_min = json_number_value(fixed ? fixed : json_object_get(t, "median"));
        task[k].sigma = json_number_value(json_object_get(t, "sigma"));
    }
    return n;
}

START_TEST(fixed_durations_are_a_backward_pass)
{
    struct refcase *c = refcase_open("CUT-10");
    struct made_excursion e = {0};
    struct made_task task[MOST];
    size_t n = plan_of_tasks(c, task);

    made_excursion_plan(&e, task, n, 0.1, 1);
    made_excursion_days(&e, 100, 1);
    struct wr_cutoff_limit limit = whole_limit(c, &e);
    for (size_t k = 0; k < n; k++) {
        struct wr_cutoff_row row = row_for(&e, &limit, k);
        refcase_is(c, row.latest_start_min, "latest_start_min.%s", task[k].id);
        ck_assert_int_eq(row.method, WR_CUTOFF_IMPOSED);
        ck_assert(row.prob_inside_at_typical == 1);
        limit.confidence = 0.5;
        ck_assert(row_for(&e, &limit, k).latest_start_min == row.latest_start_min);
        limit.confidence = refcase_input_number(c, "confidence");
    }
    made_excursion_release(&e);
    refcase_close(c);
}
END_TEST

START_TEST(two_lanes_with_joint_tasks)
{
    struct refcase *c = refcase_open("CUT-14");
    struct made_excursion e = {0};
    struct made_task task[MOST];
    size_t n = plan_of_tasks(c, task);

    made_excursion_plan(&e, task, n, refcase_input_number(c, "tau"), 1);
    made_excursion_days(&e, N_TRIAL, 1);
    struct wr_cutoff_limit limit = whole_limit(c, &e);
    struct wr_cutoff_row t3 = row_for(&e, &limit, 3), t6 = row_for(&e, &limit, 6);
    is_estimated(c, &t3, 0.7, "latest_start_min.T3");
    is_estimated(c, &t6, 0.7, "latest_start_min.T6");
    made_excursion_release(&e);
    refcase_close(c);
}
END_TEST

/* The case says what holds if G could begin and is dropped then; what it says of starts after the drop holds of a task
 * of no time before it. G itself does not begin then. */
START_TEST(two_windows)
{
    struct refcase *c = refcase_open("CUT-12");
    struct made_excursion e = {0};
    double sigma = refcase_input_number(c, "sigma");
    struct made_task task[] = {
        {.id = "A", .median_min = by_name(c, "medians", "A"), .sigma = sigma},
        {.id = "to G", .median_min = 1e-9},
        {.id = "G", .median_min = by_name(c, "medians", "G"), .sigma = sigma, .drop_after_min = 140},
        {.id = "B", .median_min = by_name(c, "medians", "B"), .sigma = sigma}};
    double inside[2], counted[2], at[] = {139, 141};
    struct wr_cutoff_options options = {.n_thread = 1};
    struct wr_error err;

    made_excursion_plan(&e, task, 4, refcase_input_number(c, "tau"), 1);
    made_excursion_days(&e, N_TRIAL, 1);
    struct wr_cutoff_limit limit = whole_limit(c, &e);
    struct wr_cutoff_row row = row_for(&e, &limit, 2);
    is_estimated(c, &row, 0.7, "first_crossing_min");
    ck_assert(!row.has_second_window);
    refcase_put_aside(c, "window_opens_again_min", "G does not begin after its drop_after");
    refcase_put_aside(c, "last_crossing_min", "G does not begin after its drop_after");
    ck_assert_int_eq(
        wr_cutoff_curve(inside, counted, at, 2, 1, &e.net, &e.durations, &e.scenarios, &limit, &options, &err), WR_OK);
    refcase_is_estimated(c, inside[0], sqrt(inside[0] * (1 - inside[0]) / counted[0]), "p_at_139");
    refcase_is_estimated(c, inside[1], sqrt(inside[1] * (1 - inside[1]) / counted[1]), "p_at_141");
    ck_assert(counted[0] > 1000 && counted[1] > 1000);
    made_excursion_release(&e);
    refcase_close(c);
}
END_TEST

/* The clock runs from A to the end of B; what lies before A must not matter. */
START_TEST(a_clock_between_two_tasks)
{
    struct refcase *c = refcase_open("CLK-01");
    struct made_excursion e = {0};
    struct made_task task[] = {
        {.id = "before", .median_min = 70, .sigma = 0.3, .not_before_min = _i ? 20 : 0},
        {.id = "A", .median_min = by_name(c, "medians", "A"), .sigma = by_name(c, "sigma", "A")},
        {.id = "B", .median_min = by_name(c, "medians", "B"), .sigma = by_name(c, "sigma", "B")}};
    struct wr_cutoff_card card = {0};
    struct wr_cutoff_options options = {.n_thread = 1};
    struct wr_error err;

    made_excursion_plan(&e, task, 3, refcase_input_number(c, "tau"), 1);
    made_excursion_days(&e, N_TRIAL, 1);
    struct wr_cutoff_limit limit = {
        {.lanes = 1, .is_clock = true, .from = 1, .to = 2, .minutes = refcase_input_number(c, "clock_min")},
        refcase_input_number(c, "confidence")};
    const struct wr_basis basis = made_excursion_basis(&e);
    ck_assert_int_eq(wr_cutoff_make(&card, &basis, &e.scenarios, &limit, 1, &options, &err), WR_OK);
    double over = card.list[0].prob_over;
    refcase_is_estimated(c, over, sqrt(over * (1 - over) / N_TRIAL), "p_over");
    ck_assert_int_eq(card.list[0].row[0].reason, WR_CUTOFF_NOT_BEFORE_LIMIT);
    ck_assert_int_eq(card.list[0].row[1].reason, WR_CUTOFF_NOT_BEFORE_LIMIT); /* the clock's own start */
    ck_assert_int_eq(card.list[0].row[2].reason, WR_CUTOFF_FOUND);
    is_estimated(c, &card.list[0].row[2], 0.7, "latest_start_of_B_on_the_clock_min");
    ck_assert_int_eq(card.list[0].row[2].method, _i ? WR_CUTOFF_BY_DIRECTION : WR_CUTOFF_BY_RUN_EFFECT);
    wr_cutoff_release(&card);
    made_excursion_release(&e);
    refcase_close(c);
}
END_TEST

/* Judgements by three points, independent of one another: a late start then tells nothing, and the latest start is the
 * limit less the quantile of what is left. */
START_TEST(three_point_tasks_in_a_row)
{
    struct refcase *c = refcase_open("S-NET-02");
    struct made_excursion e = {0};
    char path[200];
    struct wr_error err;

    snprintf(path, sizeof path, "tests/reference/%s", json_string_value(refcase_input(c, "plan")));
    made_plan_load(&e.plan, path);
    ck_assert_int_eq(wr_network_build(&e.net, &e.plan, &err), WR_OK);
    made_durations_plain(&e.durations, e.net.n_task, 1);
    e.durations.tau[0] = 0; /* the published case knows no common day */
    for (size_t k = 0; k < e.net.n_task; k++) {
        const struct wr_plan_task *t = &e.plan.task[k];
        e.durations.source[k] = (struct wr_source){
            WR_SRC_JUDGED, {t->low_min.value, t->likely_min.value, t->high_min.value}, WR_THREE_POINT_PERT};
    }
    made_excursion_days(&e, N_TRIAL, 1);
    struct wr_cutoff_limit limit = {{.lanes = 1, .minutes = 110}, 0.9};
    for (size_t k = 0; k < e.net.n_task; k++) {
        struct wr_cutoff_row row = row_for(&e, &limit, k);
        ck_assert(row.mc_error_min < 0.5);
        /* a start that nothing leads to is imposed: the error of an order statistic, 0.9 quantile, density 0.02 a
         * minute */
        double error = k == 0 ? 0.3 / sqrt(N_TRIAL) / 0.015 : row.mc_error_min;
        refcase_is_estimated(c, row.latest_start_min, error, "latest_start.%s", e.plan.task[k].id);
    }
    refcase_put_aside(c, "", "compared with the forecast, and by the test of pads in a row");
    made_excursion_release(&e);
    refcase_close(c);
}
END_TEST

START_TEST(pads_of_three_tasks_in_a_row)
{
    struct refcase *c = refcase_open("PAD-01");
    struct made_excursion e = {0};
    struct made_task task[MOST];
    struct wr_pad pad = {0};
    struct wr_error err;
    enum { MANY = 100000 };

    made_excursion_plan(&e, task, row_of_tasks(c, task), refcase_input_number(c, "tau"), 1);
    made_excursion_days(&e, MANY, 1);
    double confidence = refcase_input_number(c, "confidence");
    const struct wr_sim_limit clock[] = {{.is_clock = true, .from = 0, .to = 2, .minutes = 60},
                                         {.is_clock = true, .from = 1, .to = 2, .minutes = 60}};
    struct wr_basis basis = made_excursion_basis(&e);
    basis.limit = clock;
    basis.n_limit = 2;
    ck_assert_int_eq(wr_pad_make(&pad, &basis, &e.scenarios, confidence, 1, &err), WR_OK);
    double error = pad.finish_mc_error_min;
    ck_assert(error > 0 && error < 0.2);
    refcase_is_estimated(c, pad.finish_quantile_min, error, "finish_quantile_min");
    refcase_is_estimated(c, pad.reserve_min, error, "reserve_min");
    refcase_is_estimated(c, pad.factor, error / pad.median_timeline_min, "factor");
    /* by the density of a sum of the tasks' quantiles: about 190 min per unit of percentile here */
    refcase_is_estimated(c, pad.equal_percentile, error / 190, "equal_percentile");
    refcase_is_estimated(c, pad.task[0].pad_min, 0.05, "pad_min.1");
    /* three quantiles at 0.9, standard error sqrt(p (1 - p) / n) over the density each */
    refcase_is_estimated(c, pad.twice_min, 0.08, "sum_of_task_quantiles_min");
    refcase_is_estimated(c, pad.prob_inside_twice, sqrt(0.977 * 0.023 / MANY), "p_inside_at_that_sum");
    /* on a clock over the whole row the padded timeline takes what it takes to its end, and pads add up */
    ck_assert_double_eq_tol(pad.clock[0].padded_min, pad.finish_quantile_min, 1e-6);
    ck_assert_double_eq_tol(pad.clock[0].median_timeline_min, pad.median_timeline_min, 1e-9);
    ck_assert_double_eq_tol(pad.clock[1].padded_min,
                            pad.task[1].median_min + pad.task[1].pad_min + pad.task[2].median_min + pad.task[2].pad_min,
                            1e-6);
    wr_pad_release(&pad);
    made_excursion_release(&e);
    refcase_close(c);
}
END_TEST

START_TEST(dropping_work_can_delay)
{
    struct refcase *c = refcase_open("WIF-01");
    struct made_excursion e = {0};
    struct made_task task[] = {{.id = "A", .median_min = 60}, {.id = "B", .median_min = 45},
                               {.id = "G", .median_min = 70, .drop_after_min = 100}, {.id = "C", .median_min = 30}};
    const unsigned char drop_b[] = {0, 1, 0, 0};
    struct wr_variant alternative = {.name = "without B", .drop = drop_b};
    struct wr_whatif_options options = {.n_trial = 100, .n_thread = 1};
    struct wr_whatif w = {0};
    struct wr_error err;

    made_excursion_plan(&e, task, 4, 0.1, 1);
    struct wr_variant base = {.name = "base", .net = &e.net, .durations = &e.durations};
    ck_assert_int_eq(wr_whatif_run(&w, &base, &alternative, 1, &options, &err), WR_OK);
    refcase_is(c, w.base_median_min, "finish_min");
    refcase_is(c, w.row[0].median_min, "finish_without_B_min");
    ck_assert(w.row[0].share_later == 1 && w.row[0].saved_min.mean < -24.9);
    wr_whatif_release(&w);
    made_excursion_release(&e);
    refcase_close(c);
}
END_TEST

START_TEST(a_task_made_shorter_on_the_same_days)
{
    struct refcase *c = refcase_open("WIF-02");
    struct made_excursion e = {0};
    struct made_task task[MOST];
    const double scale[] = {1, 0.9};
    struct wr_variant alternative = {.name = "task 2 at 90 %", .scale = scale};
    struct wr_whatif w = {0};
    struct wr_error err;

    made_excursion_plan(&e, task, row_of_tasks(c, task), refcase_input_number(c, "tau"), 1);
    double n = refcase_input_number(c, "trials");
    struct wr_whatif_options options = {.n_trial = (size_t)n, .seed = 7, .n_thread = 2};
    struct wr_sim_limit limit = {.lanes = 1, .minutes = refcase_input_number(c, "limit")};
    struct wr_variant base = {.name = "base", .net = &e.net, .durations = &e.durations, .limit = &limit, .n_limit = 1};
    ck_assert_int_eq(wr_whatif_run(&w, &base, &alternative, 1, &options, &err), WR_OK);
    const struct wr_whatif_limit *l = &w.row[0].limit[0];
    refcase_is_estimated(c, l->prob_over_base, sqrt(0.118 * 0.882 / n), "p_over");
    refcase_is_estimated(c, l->prob_over, sqrt(0.071 * 0.929 / n), "p_over_changed");
    refcase_is_estimated(c, l->gain.mean, l->gain.se, "difference");
    refcase_put_aside(c, "paired_standard_error", "of paired days that are counted: points err less");
    ck_assert(l->gain.se > 0 && l->gain.se < 1e-4);
    ck_assert(l->gain.no_interval && l->gain.lo == l->gain.mean && l->gain.hi == l->gain.mean);
    wr_whatif_release(&w);
    made_excursion_release(&e);
    refcase_close(c);
}
END_TEST

START_TEST(pace_after_three_tasks)
{
    struct refcase *c = refcase_open("UPD-01");
    const json_t *medians = refcase_input(c, "medians"), *sigma = refcase_input(c, "sigma");
    const json_t *took = refcase_input(c, "observed_min");
    double tau = refcase_input_number(c, "tau");
    struct wr_pace_seen seen[3];

    for (size_t k = 0; k < 3; k++)
        seen[k] = (struct wr_pace_seen){
            WR_PACE_DONE, log(number_in(took, k) / number_in(medians, k)), number_in(sigma, k), 1, 0, NULL};
    struct wr_pace pace = wr_pace_given(tau, seen, 3);
    refcase_is(c, pace.mean, "b_mean");
    refcase_is(c, pace.sd, "b_sd");
    refcase_is(c, exp(tau * pace.mean), "median_factor_of_the_rest");
    refcase_close(c);
}
END_TEST

START_TEST(one_done_one_running_one_to_come)
{
    struct refcase *c = refcase_open("UPD-02");
    struct made_excursion e = {0};
    struct made_task task[MOST];
    double done = number_in(refcase_input(c, "done_min"), 0), now_min = refcase_input_number(c, "now_min");
    double elapsed = refcase_input_number(c, "in_progress_elapsed_min"), tau = refcase_input_number(c, "tau");
    struct wr_now_event event[] = {{.task = 0, .begin_min = wr_known(0), .end_min = wr_known(done)},
                                   {.task = 1, .begin_min = wr_known(now_min - elapsed)}};
    struct wr_now now = {.event = event, .n_event = 2, .now_min = now_min};
    struct wr_update u = {0};
    struct wr_update_options options = {.n_trial = 8000, .seed = 5, .n_thread = 2};
    struct wr_cutoff_options card = {.n_thread = 2};
    struct wr_error err;

    made_excursion_plan(&e, task, row_of_tasks(c, task), tau, 1);
    const struct wr_pace_seen seen[] = {
        {WR_PACE_DONE, log(done / task[0].median_min), task[0].sigma, 1, 0, NULL},
        {WR_PACE_RUNNING, log(elapsed / task[1].median_min), task[1].sigma, 1, 0, NULL}};
    struct wr_pace pace = wr_pace_given(tau, seen, 2);
    refcase_is(c, pace.mean, "b_mean");
    refcase_is(c, pace.sd, "b_sd");

    struct wr_cutoff_limit limit = {{.lanes = 1, .minutes = refcase_input_number(c, "limit")}, 0.5};
    ck_assert_int_eq(wr_now_resolve(&u.state, &now, &e.net, &e.plan, &err), WR_OK);
    u.durations = e.durations;
    e.durations = (struct wr_durations){0};
    ck_assert_int_eq(wr_update_answer(&u, &e.net, &limit, 1, &card, &options, &err), WR_OK);
    ck_assert(u.over[0].mc_error < 0.01);
    refcase_is_estimated(c, 1 - u.over[0].mean, u.over[0].mc_error, "p_inside");
    ck_assert_double_eq_tol(u.card.list[0].prob_over, u.over[0].mean, 0.02);
    ck_assert(u.effective > 4000);
    wr_update_release(&u);
    made_excursion_release(&e);
    refcase_close(c);
}
END_TEST

Suite *suite_decisions(void);
Suite *suite_decisions(void)
{
    Suite *s = suite_create("decisions");
    TCase *t = tcase_create("cutoff");

    tcase_add_loop_test(t, second_of_two_tasks, 0, 2);
    tcase_add_test(t, medians_known_up_to_an_error);
    tcase_add_test(t, a_task_beside_another_lane);
    tcase_add_test(t, fixed_durations_are_a_backward_pass);
    tcase_add_test(t, two_lanes_with_joint_tasks);
    tcase_add_test(t, two_windows);
    tcase_add_test(t, three_point_tasks_in_a_row);
    tcase_add_loop_test(t, a_clock_between_two_tasks, 0, 2);
    suite_add_tcase(s, t);
    t = tcase_create("pad");
    tcase_add_test(t, pads_of_three_tasks_in_a_row);
    suite_add_tcase(s, t);
    t = tcase_create("whatif");
    tcase_add_test(t, dropping_work_can_delay);
    tcase_add_test(t, a_task_made_shorter_on_the_same_days);
    suite_add_tcase(s, t);
    t = tcase_create("update");
    tcase_add_test(t, pace_after_three_tasks);
    tcase_add_test(t, one_done_one_running_one_to_come);
    suite_add_tcase(s, t);
    return s;
}
