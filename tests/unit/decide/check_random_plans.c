/* Random small plans against slow twins written otherwise: the walk by pushing tasks back until nothing moves, without
 * a network (slow_walk.h), draws one at a time by the C library (slow_days.h), cut-offs by trying starts on the same
 * days. Seeds are fixed; RANDOM_PLANS=20 tries twenty times as many plans. */
#include <check.h>
#include <math.h>
#include <string.h>
#include "../../../src/sim/kernel.h"
#include "../../../src/sim/points.h"
#include "made_durations.h"
#include "made_excursion.h"
#include "made_plan.h"
#include "slow_days.h"
#include "slow_walk.h"
#include "wetrun/base/memory.h"
#include "wetrun/decide/cutoff.h"
#include "wetrun/sim/forecast.h"

enum { MOST = 8, LANES = 4, TRIALS = 512, SEED = 5, N_LIMIT = 3, POINTS = 8 };

/* ---- the engine ---- */

struct world { /* start as {0} */
    struct wr_plan plan;
    struct wr_network net;
    struct wr_durations d;
    struct wr_sim_limit limit[N_LIMIT];
    unsigned long long state;
};

static double within(struct world *w, double from, double to)
{
    return from + (to - from) * made_uniform(&w->state);
}

static size_t below(struct world *w, size_t n)
{
    return (size_t)within(w, 0, (double)n);
}

static void draw_rules(struct world *w)
{
    for (size_t k = 0; k < w->plan.n_task; k++) {
        struct wr_plan_task *t = &w->plan.task[k];
        double place = 25.0 * (double)k / (double)w->plan.n_lane;
        if (within(w, 0, 1) < 0.15) t->not_before_min = wr_known(within(w, 0, 1) * (place + 20));
        if (within(w, 0, 1) < 0.15) t->drop_after_min = wr_known(10 + within(w, 0.5, 1.5) * place);
    }
}

static void draw_people(struct world *w)
{
    enum { PEOPLE = 3 };
    size_t n_line_up = 1 + below(w, 3);
    int line_up[3 * LANES];

    for (size_t i = 0; i < n_line_up * w->plan.n_lane; i++)
        line_up[i] = within(w, 0, 1) < 0.2 ? WR_PERSON_NEW : (int)below(w, PEOPLE);
    made_durations_people(&w->d, w->plan.n_lane, PEOPLE, n_line_up, line_up);
    for (size_t j = 0; j < w->d.n_draw; j++) {
        w->d.kappa[j] = within(w, 0.02, 0.15);
        for (size_t p = 0; p < PEOPLE; p++) w->d.q[p * w->d.n_draw + j] = within(w, -0.1, 0.1);
    }
}

static struct wr_source draw_source(struct world *w)
{
    double low = within(w, 3, 20), likely = low + within(w, 0, 10), high = likely + within(w, 0.5, 20);
    struct wr_source judged = {WR_SRC_JUDGED, {low, likely, high}, WR_THREE_POINT_PERT};

    if (within(w, 0, 1) < 0.5) judged.reading = WR_THREE_POINT_TRIANGULAR;
    switch (below(w, 6)) {
    case 0: return judged;
    case 1: return (struct wr_source){.kind = WR_SRC_LOGNORMAL, .p = {log(low), within(w, 0.05, 0.5)}};
    case 2: return (struct wr_source){.kind = WR_SRC_FIXED, .p = {within(w, 0, 1) < 0.2 ? 0 : low}};
    default: return (struct wr_source){.kind = WR_SRC_MODEL};
    }
}

static void draw_durations(struct world *w)
{
    bool skewed = within(w, 0, 1) < 0.4, known = within(w, 0, 1) < 0.1, same_tau = within(w, 0, 1) < 0.1;

    made_durations_plain(&w->d, w->plan.n_task, known ? 1 : 2 + below(w, 5));
    for (size_t k = 0; k < w->plan.n_task; k++) {
        w->d.lanes[k] = w->plan.task[k].lanes;
        w->d.source[k] = draw_source(w);
        w->d.stream[k] = 0x9e3779b97f4a7c15ULL * (k + 1 + below(w, 1000) * MOST);
    }
    draw_people(w);
    for (size_t j = 0; j < w->d.n_draw; j++) {
        if (skewed) w->d.rho[j] = within(w, -0.9, 0.9);
        if (same_tau) w->d.tau[j] = 0;
    }
}

static void draw_world(struct world *w, unsigned long long seed)
{
    struct wr_error err = {0};

    *w = (struct world){.state = seed};
    made_plan_random(&w->plan, 1 + below(w, MOST), 1 + below(w, LANES), &w->state);
    if (within(w, 0, 1) < 0.6) draw_rules(w);
    ck_assert_msg(wr_network_build(&w->net, &w->plan, &err) == WR_OK, "%s", err.text);
    draw_durations(w);
}

static void end_world(struct world *w)
{
    made_durations_release(&w->d);
    wr_network_release(&w->net);
    made_plan_release(&w->plan);
}

/* One trial, its minutes from the engine's numbers, walked by the twin. */
struct days {
    double finish[TRIALS], minutes[TRIALS][MOST], start[TRIALS][MOST], end[TRIALS][MOST], mean, sd;
    unsigned char dropped[TRIALS][MOST], path[TRIALS][MOST];
};

static void walk_days(const struct world *w, struct days *days)
{
    double score[MOST], start[MOST], end[MOST], person[LANES];
    unsigned char dropped[MOST], path[MOST];

    days->mean = days->sd = 0;
    for (size_t t = 0; t < TRIALS; t++) {
        struct slow_day day = {.minutes = days->minutes[t], .score = score, .start = start, .end = end,
                               .dropped = dropped, .path = path, .person = person};
        slow_day_trial(&w->net, &w->d, SEED, t, &day);
        days->finish[t] =
            slow_walk(&w->plan, day.minutes, NULL, days->start[t], days->end[t], days->dropped[t]);
        slow_longest_path(&w->plan, WR_FINISH, day.minutes, days->dropped[t], 1e-6, days->path[t]);
        days->mean += days->finish[t] / TRIALS;
    }
    for (size_t t = 0; t < TRIALS; t++) days->sd += pow(days->finish[t] - days->mean, 2) / TRIALS;
    days->sd = sqrt(days->sd);
}

/* Of the days on which the task took place: rows is start or end. Returns how many. */
static size_t taken_place(const struct days *days, double (*row)[MOST], size_t k, double *value)
{
    size_t n = 0;

    for (size_t t = 0; t < TRIALS; t++)
        if (!days->dropped[t][k]) value[n++] = row[t][k];
    return n;
}

/* Shares of days: rounding may turn a comparison of equals the other way in two of them. Minutes are of single
 * precision, those of a judgement read off a table that is good to 2e-4 of their sd (check_engine.c). */
static void compare_task(const struct world *w, const struct wr_task_outlook *o, struct days *days, size_t k)
{
    const double bin = 1 / 64.0, flip = 2.01 / TRIALS;
    double value[TRIALS], dropped = 0, path = 0, mean = 0;
    size_t n = taken_place(days, days->start, k, value);

    for (size_t t = 0; t < TRIALS; t++) {
        mean += days->minutes[t][k] / TRIALS; /* whether it took place or not */
        dropped += (double)days->dropped[t][k] / TRIALS;
        path += (double)days->path[t][k] / TRIALS;
    }
    ck_assert_double_eq_tol(o->dropped, dropped, flip);
    ck_assert_msg(fabs(o->on_longest_path - path) <= flip, "task %zu on the longest path: %g, slowly %g", k,
                  o->on_longest_path, path);
    if (n < 50) return;
    double table = w->d.source[k].kind == WR_SRC_JUDGED ? 2e-4 * wr_source_sd_min(&w->d.source[k]) : 0;
    ck_assert_msg(fabs(o->mean_min - mean) <= 2e-6 * mean + table, "task %zu: mean %.9g, slowly %.9g", k,
                  o->mean_min, mean);
    for (size_t i = 0; i < WR_N_LENS; i++) {
        for (size_t t = 0; t < TRIALS; t++) value[t] = days->minutes[t][k];
        slow_quantile(o->lens_min[i], value, TRIALS, wr_lens_prob[i], bin, "minutes");
        taken_place(days, days->start, k, value);
        slow_quantile(o->start_min[i], value, n, wr_lens_prob[i], bin, "start");
        taken_place(days, days->end, k, value);
        slow_quantile(o->end_min[i], value, n, wr_lens_prob[i], bin, "end");
    }
}

/* Of the days that pass the limit half are done by then: by the points' share of them exactly, by the days' own within
 * five standard errors of it. */
static void compare_half_over(const struct wr_forecast *f, struct days *days, double limit)
{
    double over = 0, beyond = 0;

    for (size_t t = 0; t < TRIALS; t++) {
        over += (double)(days->finish[t] > limit) / TRIALS;
        beyond += (double)(days->finish[t] > (1 + 1e-6) * f->half_over_min) / TRIALS; /* single precision */
    }
    slow_quantile(f->half_over_min, days->finish, TRIALS, 1 - f->limit[0].over.mean / 2, 1e-3, "half of those over");
    ck_assert_double_eq_tol(beyond, over / 2, 2.5 * sqrt(over * (1 - over) / TRIALS) + 2.01 / TRIALS);
}

START_TEST(forecasts_agree_with_the_slow_twin)
{
    static struct days days;
    struct world w;
    struct wr_forecast f = {0};
    struct wr_error err = {0};
    struct wr_sim_options o = {.n_trial = TRIALS, .seed = SEED, .n_thread = 1};

    draw_world(&w, 4100 + (unsigned long long)_i);
    walk_days(&w, &days);
    struct wr_sim_limit limit = {.lanes = (1u << w.plan.n_lane) - 1, .minutes = days.finish[below(&w, TRIALS)]};
    o.limit = &limit;
    o.n_limit = 1;
    ck_assert_msg(wr_forecast_run(&f, &w.net, &w.d, &o, &err) == WR_OK, "%s", err.text);
    compare_half_over(&f, &days, limit.minutes);
    for (size_t k = 0; k < w.plan.n_task; k++) compare_task(&w, &f.task[k], &days, k);
    ck_assert_msg(fabs(f.mean_min - days.mean) <= 1e-5 * days.mean, "mean %.9g, slowly %.9g", f.mean_min, days.mean);
    ck_assert_msg(fabs(f.sd_min - days.sd) <= 1e-4 * days.sd + 1e-6 * days.mean, "sd %.9g, slowly %.9g", f.sd_min,
                  days.sd);
    for (size_t i = 0; i < WR_N_QUANTILE; i++)
        slow_quantile(f.quantile_min[i], days.finish, TRIALS, wr_quantile_prob[i], 1e-3, "finish");
    wr_forecast_release(&f);
    end_world(&w);
}
END_TEST

/* ---- the probability of passing a limit ---- */

/* The whole plan, one lane, and from the beginning of one task to the end of another, around what days take. */
static void draw_limits(struct world *w, const struct days *days)
{
    size_t from = below(w, w->plan.n_task), to = below(w, w->plan.n_task), t = below(w, TRIALS);
    uint32_t all = (1u << w->plan.n_lane) - 1;

    w->limit[0] = (struct wr_sim_limit){.lanes = all, .minutes = days->finish[t]};
    w->limit[1] = (struct wr_sim_limit){.lanes = 1u << below(w, w->plan.n_lane), .minutes = 1};
    w->limit[2] = w->limit[1];
    if (within(w, 0, 1) < 0.5)
        w->limit[2] = (struct wr_sim_limit){.is_clock = true, .lanes = all, .from = from, .to = to};
    for (size_t q = 0; q < N_LIMIT; q++) {
        double got = slow_measure(&w->net, &w->limit[q], days->start[t], days->end[t]);
        w->limit[q].minutes = fmax(1, got * within(w, 0.95, 1.05));
    }
}

static bool has_judged(const struct world *w)
{
    for (size_t k = 0; k < w->plan.n_task; k++)
        if (w->d.source[k].kind == WR_SRC_JUDGED) return true;
    return false;
}

/* As in check_engine.c: rounding in single precision where the run effect is integrated; points counted the other way
 * where it is not. Two points may be on the edge there. The table of a judgement moves a limit by up to 2e-4 of its sd,
 * and so the probability by 2e-4 times the height of a normal density at its middle, 0.4. */
START_TEST(probabilities_agree_with_the_slow_twin)
{
    static struct days days;
    struct world w;
    struct wr_setup setup;
    struct wr_points p = {0};
    struct wr_error err;
    double grid[2] = {3, 7}, over[N_LIMIT + 1];

    draw_world(&w, 8300 + (unsigned long long)_i);
    walk_days(&w, &days);
    draw_limits(&w, &days);
    ck_assert(wr_setup_build(&setup, wr_kernel_best(), &w.net, &w.d, w.limit, N_LIMIT, SEED, &err) == WR_OK);
    enum wr_points_way way = wr_points_way(&setup);
    int n_counted = POINTS * WR_REPLICATES * (setup.run_effect ? WR_STRATA : 1);
    double tolerance = way == WR_BY_STRATA ? 2.01 / n_counted : has_judged(&w) ? 1e-4 : 2e-5;
    wr_points_run(&p, &setup, POINTS, grid, 2, 1, NULL, NULL);
    size_t j = below(&w, w.d.n_draw);
    slow_draw_over(&w.net, &w.d, SEED, j, POINTS, (int)way, w.limit, N_LIMIT, over);
    for (size_t q = 0; q <= N_LIMIT; q++) {
        double mean = 0;
        for (size_t r = 0; r < WR_REPLICATES; r++)
            mean += p.over[(q * p.n_draw + j) * WR_REPLICATES + r] / WR_REPLICATES;
        ck_assert_msg(fabs(mean - over[q]) <= tolerance, "way %d, draw %zu, limit %zu: %.7f, slowly %.7f", (int)way, j,
                      q, mean, over[q]);
    }
    wr_points_release(&p);
    wr_setup_release(&setup);
    end_world(&w);
}
END_TEST

/* ---- cut-offs ---- */

enum { DAYS = 1200 }; /* more than are looked at first for a second window */

/* Share of the days that stay inside with the task held until s. */
static double share_inside(const struct made_excursion *e, const struct wr_sim_limit *limit, size_t task, double s)
{
    double minutes[MOST], held[MOST] = {0}, start[MOST], end[MOST], inside = 0;
    unsigned char dropped[MOST];

    held[task] = s;
    for (size_t t = 0; t < e->scenarios.n_trial; t++) {
        wr_scenarios_durations(&e->scenarios, t, minutes);
        slow_walk(&e->plan, minutes, held, start, end, dropped);
        double measured = 0;
        for (size_t k = 0; k < e->plan.n_task; k++)
            if (e->plan.task[k].lanes & limit->lanes) measured = fmax(measured, end[k]);
        inside += measured <= limit->minutes;
    }
    return inside / (double)e->scenarios.n_trial;
}

static double earliest_start(const struct made_excursion *e, size_t task)
{
    double minutes[MOST], start[MOST], end[MOST], earliest = INFINITY;
    unsigned char dropped[MOST];

    for (size_t t = 0; t < e->scenarios.n_trial; t++) {
        wr_scenarios_durations(&e->scenarios, t, minutes);
        slow_walk(&e->plan, minutes, NULL, start, end, dropped);
        earliest = fmin(earliest, start[task]);
    }
    return earliest;
}

/* Minute by minute: every start up to the stated one keeps enough days inside, and the next does not. */
static void expect_latest(const struct made_excursion *e, const struct wr_cutoff_limit *limit,
                          const struct wr_cutoff_row *row)
{
    const struct wr_sim_limit *l = &limit->limit;
    double c = limit->confidence - 1e-9, earliest = earliest_start(e, row->task), latest = row->latest_start_min;

    if (row->reason == WR_CUTOFF_NEVER) {
        ck_assert_double_lt(share_inside(e, l, row->task, earliest), c);
        return;
    }
    ck_assert_int_eq(row->reason, WR_CUTOFF_FOUND);
    ck_assert_double_ge(share_inside(e, l, row->task, fmax(0, latest - 1e-6)), c);
    for (double s = earliest; s < latest; s += 1)
        ck_assert_msg(share_inside(e, l, row->task, s) >= c, "task %zu: %g of days inside from %.6g, latest %.6g",
                      row->task, share_inside(e, l, row->task, s), s, latest);
    if (!row->drop_rule_first && latest < l->minutes - 1e-3)
        ck_assert_msg(share_inside(e, l, row->task, latest + 1e-3) < c, "task %zu: still inside after %.6g", row->task,
                      latest);
}

/* A later window is inside in its middle, and between it and the latest start is not. */
static void expect_window(const struct made_excursion *e, const struct wr_cutoff_limit *limit,
                          const struct wr_cutoff_row *row)
{
    double c = limit->confidence - 1e-9, from = row->second_from_min, to = row->second_to_min;

    ck_assert_msg(row->latest_start_min < from && from <= to && to <= limit->limit.minutes, "%g, again %g to %g",
                  row->latest_start_min, from, to);
    ck_assert_double_ge(share_inside(e, &limit->limit, row->task, (from + to) / 2), c);
    ck_assert_double_lt(share_inside(e, &limit->limit, row->task, (row->latest_start_min + from) / 2), c);
}

/* The start imposed, which has one meaning on given days. */
START_TEST(cutoffs_agree_with_every_start)
{
    unsigned long long state = 12700 + (unsigned long long)_i;
    struct made_excursion e = {0};
    struct wr_cutoff_options options = {.imposed = true, .n_thread = 1};
    struct wr_cutoff_card card = {0};
    struct wr_error err = {0};
    size_t n_task = 2 + (size_t)(made_uniform(&state) * (MOST - 2)), n_lane = 1 + (size_t)(made_uniform(&state) * 3);
    double median[MOST], end[MOST];

    made_excursion_random(&e, n_task, n_lane, 0.1, _i % 2, &state);
    made_excursion_days(&e, DAYS, 1);
    for (size_t k = 0; k < n_task; k++) median[k] = exp(e.durations.centre_log[k * e.durations.n_draw]);
    double middle = wr_network_forward(&e.net, median, NULL, end, NULL);
    uint32_t all = (1u << e.net.n_lane) - 1;
    uint32_t lanes = made_uniform(&state) < 0.7 ? all : 1u << (size_t)(made_uniform(&state) * (double)e.net.n_lane);
    struct wr_cutoff_limit limit = {{.lanes = lanes, .minutes = middle * (0.9 + 0.5 * made_uniform(&state))},
                                    0.5 + 0.45 * made_uniform(&state)};
    const struct wr_basis basis = made_excursion_basis(&e);
    ck_assert_msg(wr_cutoff_make(&card, &basis, &e.scenarios, &limit, 1, &options, &err) == WR_OK, "%s", err.text);
    for (size_t k = 0; k < n_task; k++) {
        const struct wr_cutoff_row *row = &card.list[0].row[k];
        if (row->reason != WR_CUTOFF_NOT_BEFORE_LIMIT) expect_latest(&e, &limit, row);
        if (row->has_second_window) expect_window(&e, &limit, row);
    }
    wr_cutoff_release(&card);
    made_excursion_release(&e);
}
END_TEST

Suite *suite_random_plans(void);
Suite *suite_random_plans(void)
{
    Suite *s = suite_create("random_plans");
    TCase *t = tcase_create("random plans");

    tcase_set_timeout(t, 60);
    tcase_add_loop_test(t, forecasts_agree_with_the_slow_twin, 0, made_plan_many(100));
    tcase_add_loop_test(t, probabilities_agree_with_the_slow_twin, 0, made_plan_many(100));
    tcase_add_loop_test(t, cutoffs_agree_with_every_start, 0, made_plan_many(60));
    suite_add_tcase(s, t);
    return s;
}
