/* Forecasts made without the run that they are held against: nothing of the run, nor of what came after it where only
 * its predecessors may speak, gets in; hits, ranks and scores against slow twins; and bands that cover as often as they
 * say. */
#include <check.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include "made_plan.h"
#include "small_campaign.h"
#include "wetrun/decide/backtest.h"
#include "wetrun/decide/held_out.h"
#include "wetrun/stats/proportion.h"

enum { RUNS = 6, DAYS = 600 };
static const struct made_truth ordinary = {.tau = 0.1, .gamma = -0.1, .sigma = 0.25}; /* in the middle of the prior */

static void hold_out(struct wr_held_out *h, const struct small_campaign *c, size_t run, enum wr_held_out_from from)
{
    struct wr_error err;
    const struct wr_basis basis = small_campaign_basis(c);
    ck_assert_msg(wr_held_out_make(h, run, from, &basis, WR_HELD_OUT_FINISH_AND_TASKS, DAYS, &err) == WR_OK, "%s",
                  err.text);
}

static bool same_forecast(const struct wr_held_out *a, const struct wr_held_out *b)
{
    ck_assert(a->n_trial == b->n_trial && a->n_task_trial == b->n_task_trial && a->n_task == b->n_task);
    return !memcmp(a->finish_min, b->finish_min, a->n_trial * sizeof(double)) &&
           !memcmp(a->task_min, b->task_min, a->n_task * a->n_task_trial * sizeof(double));
}

/* Everything that happened in the run becomes something else. */
static void rewrite_run(struct small_campaign *c, size_t run)
{
    for (size_t k = 0; k < SMALL_TASKS; k++) {
        struct wr_cell *cell = made_cell(&c->timing, k, run);
        cell->active_min = 100 + 7 * (double)k;
        cell->lead_in_min = 9;
        cell->hold_min = 4;
        cell->began_early = true;
    }
    made_cell(&c->timing, 2, run)->state = WR_CELL_STOPPED;
    made_cell_state(&c->timing, 4, run, WR_CELL_SKIPPED);
    c->timing.run[run].kept_to_plan = false;
    c->timing.run[run].finish_without_holds_min = c->timing.run[run].by_plan_min = 999;
    small_campaign_refit(c);
}

START_TEST(the_run_itself_does_not_get_in)
{
    for (size_t run = 0; run < RUNS; run += 5) { /* the first and the last */
        struct small_campaign c = {0};
        struct wr_held_out before, after, other;
        small_campaign_make(&c, RUNS, &ordinary, 31);
        hold_out(&before, &c, run, WR_FROM_ALL_OTHERS);
        rewrite_run(&c, run);
        hold_out(&after, &c, run, WR_FROM_ALL_OTHERS);
        ck_assert(same_forecast(&before, &after));
        wr_held_out_release(&after);
        rewrite_run(&c, 2); /* while another run does tell */
        hold_out(&other, &c, run, WR_FROM_ALL_OTHERS);
        ck_assert(!same_forecast(&before, &other));
        wr_held_out_release(&before);
        wr_held_out_release(&other);
        small_campaign_release(&c);
    }
}
END_TEST

START_TEST(a_task_known_from_this_run_alone_is_as_never_rehearsed)
{
    struct small_campaign c = {0};
    struct wr_held_out h;

    small_campaign_make(&c, RUNS, &ordinary, 32);
    for (size_t r = 0; r < RUNS; r++)
        if (r != 4) made_cell_state(&c.timing, 3, r, WR_CELL_ABSENT);
    made_cell(&c.timing, 3, 4)->active_min = 60;
    c.plan.task[3].low_min = wr_known(20), c.plan.task[3].likely_min = wr_known(24),
    c.plan.task[3].high_min = wr_known(30);
    small_campaign_refit(&c);
    hold_out(&h, &c, 4, WR_FROM_ALL_OTHERS);
    const double *t = h.task_min + 3 * h.n_task_trial;
    /* the judgement speaks: within its own bounds but for the day that it shares, far from the 60 minutes of run 4 */
    ck_assert(t[h.n_task_trial / 4] > 20 && t[3 * h.n_task_trial / 4] < 30);
    ck_assert_double_eq_tol(t[h.n_task_trial / 2], 24.3, 0.7);
    wr_held_out_release(&h);
    hold_out(&h, &c, 2, WR_FROM_ALL_OTHERS);
    ck_assert_double_gt(h.task_min[3 * h.n_task_trial + h.n_task_trial / 2], 34); /* here its time does */
    wr_held_out_release(&h);
    small_campaign_release(&c);
}
END_TEST

START_TEST(only_predecessors_speak)
{
    struct small_campaign c = {0};
    struct wr_held_out before, after;

    small_campaign_make(&c, RUNS, &ordinary, 33);
    hold_out(&before, &c, 3, WR_FROM_PREDECESSORS);
    rewrite_run(&c, 5);
    rewrite_run(&c, 4);
    rewrite_run(&c, 3);
    hold_out(&after, &c, 3, WR_FROM_PREDECESSORS);
    ck_assert(same_forecast(&before, &after));
    wr_held_out_release(&after);
    rewrite_run(&c, 2);
    hold_out(&after, &c, 3, WR_FROM_PREDECESSORS);
    ck_assert(!same_forecast(&before, &after));
    wr_held_out_release(&before);
    wr_held_out_release(&after);
    small_campaign_release(&c);
}
END_TEST

START_TEST(options_of_the_campaign_do_not_colour_it)
{
    struct small_campaign c = {0};
    struct wr_held_out plain, coloured;

    small_campaign_make(&c, RUNS, &ordinary, 34);
    hold_out(&plain, &c, 2, WR_FROM_ALL_OTHERS);
    c.options.target = WR_FOR_EXCURSION; /* what is forecast is a rehearsal, with its step of learning, as it was
                                            manned */
    c.options.gap_allowance = 30;
    c.options.hold_learning = true;
    c.options.people = "EV1=nobody";
    hold_out(&coloured, &c, 2, WR_FROM_ALL_OTHERS);
    ck_assert(same_forecast(&plain, &coloured));
    wr_held_out_release(&plain);
    wr_held_out_release(&coloured);

    for (size_t k = 0; k < SMALL_TASKS; k++) c.plan.task[k].drop_after_min = wr_known(1); /* nor what the excursion
                                                                                             would drop */
    struct wr_network dropping = {0};
    ck_assert_int_eq(wr_network_build(&dropping, &c.plan, NULL), WR_OK);
    wr_network_release(&c.net);
    c.net = dropping;
    c.options = (struct wr_fit_options){.priors = c.options.priors, .sampler = c.options.sampler};
    hold_out(&coloured, &c, 2, WR_FROM_ALL_OTHERS);
    ck_assert_double_gt(coloured.finish_min[0], 20);
    wr_held_out_release(&coloured);
    small_campaign_release(&c);
}
END_TEST

START_TEST(its_own_people_do_it)
{
    static const char *const name[4] = {"Ada", "Bruno", "Cleo", "Dario"};
    static const int line_up[2 * RUNS] = {0, 1, 2, 3, 0, 1, 2, 3, 0, 1, 2, 3};
    struct small_campaign c = {0};
    struct wr_held_out slow, fast;

    small_campaign_make(&c, RUNS, &(struct made_truth){.tau = 0.02, .sigma = 0.1}, 35);
    made_timing_people(&c.timing, name, 4, line_up);
    for (size_t r = 0; r < RUNS; r++)
        for (size_t k = 0; k < SMALL_TASKS; k++) {
            struct wr_cell *cell = made_cell(&c.timing, k, r);
            for (size_t l = 0; l < SMALL_LANES; l++)
                if (c.plan.task[k].lanes >> l & 1) cell->person[cell->n_performer++] = (unsigned)line_up[2 * r + l];
            if (r % 2) cell->active_min *= 1.4; /* Cleo and Dario take their time */
        }
    made_timing_replay(&c.timing, &c.net);
    small_campaign_refit(&c);
    ck_assert_uint_eq(c.fit.n_person, 4);
    hold_out(&slow, &c, 3, WR_FROM_ALL_OTHERS);
    hold_out(&fast, &c, 2, WR_FROM_ALL_OTHERS);
    ck_assert_double_gt(slow.finish_min[DAYS / 2], 1.1 * fast.finish_min[DAYS / 2]);
    wr_held_out_release(&slow);
    wr_held_out_release(&fast);
    small_campaign_release(&c);
}
END_TEST

/* ---- the record ---- */

static void run_all(struct wr_backtest *b, const struct small_campaign *c, unsigned n_thread)
{
    const struct wr_backtest_options o = {.n_trial = DAYS, .n_thread = n_thread};
    struct wr_error err;
    const struct wr_basis basis = small_campaign_basis(c);
    ck_assert_msg(wr_backtest_run_all(b, &basis, &o, &err) == WR_OK, "%s", err.text);
}

static double share_below(const double *value, size_t n, double x)
{
    size_t below = 0;
    for (size_t i = 0; i < n; i++) below += value[i] < x;
    return (double)below / (double)n;
}

/* E|X - x| - E|X - X'|/2 over all pairs of days. */
static double crps(const double *value, size_t n, double x)
{
    double to_actual = 0, between = 0;

    for (size_t i = 0; i < n; i++) {
        to_actual += fabs(value[i] - x);
        for (size_t j = 0; j < n; j++) between += fabs(value[i] - value[j]);
    }
    return to_actual / (double)n - between / (2 * (double)n * (double)n);
}

/* Linear between order statistics. */
static double point(const double *ascending, size_t n, double prob)
{
    double at = (double)(n - 1) * prob;
    size_t i = (size_t)at;
    return i + 1 < n ? ascending[i] + (at - (double)i) * (ascending[i + 1] - ascending[i]) : ascending[n - 1];
}

static void check_finish(const struct wr_backtest_run *run, const struct small_campaign *c, enum wr_held_out_from from)
{
    struct wr_held_out h;
    double actual = c->timing.run[run->run].finish_without_holds_min;

    hold_out(&h, c, run->run, from);
    ck_assert(run->forecast_made && run->actual_min == actual);
    for (size_t i = 0; i < WR_N_LENS; i++)
        ck_assert_double_eq_tol(run->lens_min[i], point(h.finish_min, DAYS, wr_lens_prob[i]), 1e-9);
    ck_assert_double_eq_tol(run->rank, share_below(h.finish_min, DAYS, actual), 1e-12);
    ck_assert_double_eq_tol(run->crps_min, crps(h.finish_min, DAYS, actual), 1e-6);
    ck_assert(run->inside80 == (actual >= point(h.finish_min, DAYS, 0.1) && actual <= point(h.finish_min, DAYS, 0.9)));
    ck_assert(run->inside95 ==
              (actual >= point(h.finish_min, DAYS, 0.025) && actual <= point(h.finish_min, DAYS, 0.975)));
    wr_held_out_release(&h);
}

static void check_task(const struct wr_backtest_task *t, const struct small_campaign *c, size_t task)
{
    double rank = 0, score = 0;
    size_t n = 0, inside80 = 0;

    for (size_t r = 0; r < c->timing.n_run; r++) {
        const struct wr_cell *cell = wr_timing_cell(&c->timing, task, r);
        double actual = wr_cell_modelled_min(cell);
        struct wr_held_out h;
        if (cell->state != WR_CELL_DONE) continue;
        hold_out(&h, c, r, WR_FROM_ALL_OTHERS);
        const double *days = h.task_min + task * h.n_task_trial;
        rank += share_below(days, h.n_task_trial, actual);
        score += crps(days, h.n_task_trial, actual);
        inside80 += actual >= point(days, h.n_task_trial, 0.1) && actual <= point(days, h.n_task_trial, 0.9);
        n++;
        wr_held_out_release(&h);
    }
    ck_assert(t->n == n && t->n_inside80 == inside80);
    ck_assert_double_eq_tol(t->mean_rank, rank / (double)n, 1e-12);
    ck_assert_double_eq_tol(t->crps_min, score / (double)n, 1e-6);
}

static void check_sums(const struct wr_backtest_record *record)
{
    size_t n = 0, n80 = 0, n95 = 0;
    double score = 0;

    for (size_t i = 0; i < record->n_run; i++) {
        if (!record->run[i].forecast_made) continue;
        n++;
        n80 += record->run[i].inside80;
        n95 += record->run[i].inside95;
        score += record->run[i].crps_min;
    }
    ck_assert(record->n_forecast == n && record->n_inside80 == n80 && record->n_inside95 == n95);
    ck_assert_double_eq_tol(record->coverage80, (double)n80 / (double)n, 1e-12);
    ck_assert_double_eq_tol(record->coverage95, (double)n95 / (double)n, 1e-12);
    ck_assert_double_eq_tol(record->crps_min, score / (double)n, 1e-9);
    ck_assert_double_eq_tol(record->prob_so_few80, wr_binomial_at_most(n80, n, 0.8), 1e-12);
}

START_TEST(hits_ranks_and_scores)
{
    struct small_campaign c = {0};
    struct wr_backtest b = {0};

    small_campaign_make(&c, RUNS, &ordinary, 36);
    for (size_t k = 0; k < SMALL_TASKS; k++) made_cell(&c.timing, k, 1)->active_min *= 3; /* a day that nobody
                                                                                             foresaw */
    made_timing_replay(&c.timing, &c.net);
    made_cell_state(&c.timing, 5, 4, WR_CELL_STOPPED); /* run 4 is not complete */
    small_campaign_refit(&c);
    run_all(&b, &c, 1);
    ck_assert(b.leave_one_out.n_run == 5 && b.predecessors.n_run == 5 && b.n_task == SMALL_TASKS);
    for (size_t i = 0; i < 5; i++) {
        const struct wr_backtest_run *before = &b.predecessors.run[i];
        check_finish(&b.leave_one_out.run[i], &c, WR_FROM_ALL_OTHERS);
        ck_assert(before->run == b.leave_one_out.run[i].run &&
                  before->forecast_made == (before->run >= WR_BACKTEST_LEAST_BEFORE));
        if (before->forecast_made) check_finish(before, &c, WR_FROM_PREDECESSORS);
    }
    ck_assert_uint_eq(b.leave_one_out.run[1].run, 1);
    ck_assert(b.leave_one_out.run[1].rank == 1 && !b.leave_one_out.run[1].inside95);
    check_sums(&b.leave_one_out);
    check_sums(&b.predecessors);
    ck_assert_uint_eq(b.predecessors.n_forecast, 2); /* runs 3 and 5 */
    check_task(&b.task[5], &c, 5);
    check_task(&b.task[0], &c, 0);
    ck_assert(b.task[5].n == 5 && b.task[0].n == 6 && b.n_task_cell == 6 * SMALL_TASKS - 1);
    wr_backtest_release(&b);
    small_campaign_release(&c);
}
END_TEST

START_TEST(expected_hits_are_binomial)
{
    /* largest m that a sound forecast reaches in 9 of 10 records: qbinom(0.1, n, 0.8) of R */
    static const size_t least[11] = {0, 0, 1, 1, 2, 3, 4, 4, 5, 6, 6};

    for (size_t n_run = 3; n_run <= 10; n_run++) {
        struct small_campaign c = {0};
        struct wr_backtest b = {0};
        small_campaign_make(&c, n_run, &ordinary, 37);
        c.options.sampler.n_burn = c.options.sampler.n_keep = 20; /* the forecasts themselves do not matter here */
        run_all(&b, &c, 1);
        ck_assert_uint_eq(b.leave_one_out.n_forecast, n_run);
        ck_assert_uint_eq(b.leave_one_out.expected_least80, least[n_run]);
        wr_backtest_release(&b);
        small_campaign_release(&c);
    }
}
END_TEST

static void note_progress(void *arg, double share)
{
    double *last = arg;
    ck_assert(share > *last && share <= 1);
    *last = share;
}

START_TEST(threads_change_nothing)
{
    struct small_campaign c = {0};
    struct wr_backtest one = {0}, three = {0};
    struct wr_error err;
    double last = 0;

    small_campaign_make(&c, RUNS, &ordinary, 38);
    run_all(&one, &c, 1);
    const struct wr_backtest_options o = {
        .n_trial = DAYS, .n_thread = 3, .progress = note_progress, .progress_arg = &last};
    const struct wr_basis basis = small_campaign_basis(&c);
    ck_assert_int_eq(wr_backtest_run_all(&three, &basis, &o, &err), WR_OK);
    ck_assert(last == 1);
    for (size_t i = 0; i < RUNS; i++) {
        const struct wr_backtest_run *a = &one.leave_one_out.run[i], *b = &three.leave_one_out.run[i];
        ck_assert(a->rank == b->rank && a->crps_min == b->crps_min &&
                  !memcmp(a->lens_min, b->lens_min, sizeof a->lens_min));
        a = &one.predecessors.run[i], b = &three.predecessors.run[i];
        ck_assert(a->rank == b->rank && a->crps_min == b->crps_min &&
                  !memcmp(a->lens_min, b->lens_min, sizeof a->lens_min));
    }
    ck_assert(!memcmp(one.task, three.task, SMALL_TASKS * sizeof *one.task));
    wr_backtest_release(&one);
    wr_backtest_release(&three);
    small_campaign_release(&c);
}
END_TEST

/* Share of runs inside, campaign by campaign: runs of one campaign share their forecasts' data, campaigns do not. */
struct tally { double sum, square; size_t n; };

static void add(struct tally *t, double share)
{
    t->sum += share;
    t->square += share * share;
    t->n++;
}

static bool believable(const struct tally *t, double wanted)
{
    double mean = t->sum / (double)t->n, variance = (t->square / (double)t->n - mean * mean) / (double)(t->n - 1);
    return fabs(mean - wanted) < 3.3 * sqrt(variance);
}

/* Calibrated on average over the prior; held here against worlds from its middle. */
START_TEST(bands_cover_as_often_as_they_say)
{
    struct tally in80 = {0}, in95 = {0}, tasks = {0}, in_half = {0};

    for (unsigned long i = 0; i < 40; i++) {
        struct small_campaign c = {0};
        struct wr_backtest b = {0};
        double half = 0;
        small_campaign_make(&c, RUNS, &ordinary, 400 + i);
        run_all(&b, &c, 2);
        for (size_t r = 0; r < RUNS; r++) { /* the same band, half as wide */
            const struct wr_backtest_run *run = &b.leave_one_out.run[r];
            double mid = run->lens_min[3];
            half += run->actual_min >= mid + 0.5 * (run->lens_min[1] - mid) &&
                    run->actual_min <= mid + 0.5 * (run->lens_min[5] - mid);
        }
        add(&in80, b.leave_one_out.coverage80);
        add(&in95, b.leave_one_out.coverage95);
        add(&tasks, (double)b.n_task_inside80 / (double)b.n_task_cell);
        add(&in_half, half / RUNS);
        wr_backtest_release(&b);
        small_campaign_release(&c);
    }
    ck_assert_msg(believable(&in80, 0.8), "%.3f", in80.sum / (double)in80.n);
    ck_assert_msg(believable(&in95, 0.95), "%.3f", in95.sum / (double)in95.n);
    ck_assert_msg(believable(&tasks, 0.8), "%.3f", tasks.sum / (double)tasks.n);
    ck_assert(!believable(&in_half, 0.8)); /* a forecast too sure of itself is found out */
}
END_TEST

/* ---- attempts to break it ---- */

START_TEST(too_few_or_incomplete_runs)
{
    struct small_campaign c = {0};
    struct wr_backtest b = {0};
    struct wr_error err;

    for (size_t n_run = 0; n_run <= 2; n_run++) {
        struct wr_timing t = {.n_run = n_run};
        const struct wr_backtest_options o = {.n_trial = DAYS};
        const struct wr_basis basis = {.timing = &t};
        ck_assert_int_eq(wr_backtest_run_all(&b, &basis, &o, &err), WR_E_TOO_FEW);
    }
    small_campaign_make(&c, 3, &ordinary, 39);
    run_all(&b, &c, 1);
    ck_assert(b.leave_one_out.n_forecast == 3 && b.predecessors.n_forecast == 0 && b.predecessors.n_run == 3);
    wr_backtest_release(&b);
    for (size_t r = 0; r < 3; r++) made_cell_state(&c.timing, r, r, WR_CELL_SKIPPED); /* every run misses something */
    small_campaign_refit(&c);
    run_all(&b, &c, 1);
    ck_assert(b.leave_one_out.n_run == 0 && b.leave_one_out.n_forecast == 0 && b.n_task_cell == 3 * SMALL_TASKS - 3);
    wr_backtest_release(&b);
    for (size_t r = 0; r < 3; r++)
        for (size_t k = 0; k < SMALL_TASKS; k++) {
            made_cell_state(&c.timing, k, r, WR_CELL_ABSENT);
            c.plan.task[k].planned_min = wr_known(10);
        }
    small_campaign_refit(&c); /* the plan alone */
    run_all(&b, &c, 1);
    ck_assert(b.n_task_cell == 0 && b.task[0].n == 0);
    wr_backtest_release(&b);
    small_campaign_release(&c);
}
END_TEST

/* The first two of so many are not modelled. */
START_TEST(runs_left_out_are_not_forecast)
{
    struct small_campaign c = {0};
    struct wr_backtest b = {0};

    small_campaign_make(&c, WR_MOST_RUNS + 2, &ordinary, 41);
    c.options.sampler.n_burn = c.options.sampler.n_keep = 5; /* the forecasts themselves do not matter here */
    run_all(&b, &c, 2);
    ck_assert(b.leave_one_out.n_run == WR_MOST_RUNS && b.leave_one_out.n_forecast == WR_MOST_RUNS);
    ck_assert(b.leave_one_out.run[0].run == 2 && b.predecessors.run[0].run == 2);
    ck_assert_uint_eq(b.predecessors.n_forecast, WR_MOST_RUNS - WR_BACKTEST_LEAST_BEFORE);
    ck_assert(!b.predecessors.run[2].forecast_made && b.predecessors.run[3].forecast_made);
    ck_assert(b.task[1].n == WR_MOST_RUNS && b.n_task_cell == WR_MOST_RUNS * SMALL_TASKS);
    wr_backtest_release(&b);
    small_campaign_release(&c);
}
END_TEST

START_TEST(tasks_fitted_alone)
{
    struct small_campaign c = {0};
    struct wr_backtest b = {0};

    small_campaign_make(&c, 4, &ordinary, 40);
    c.options.model = WR_MODEL_ALONE;
    small_campaign_refit(&c);
    run_all(&b, &c, 1);
    ck_assert_uint_eq(b.leave_one_out.n_forecast, 4);
    double width = b.leave_one_out.run[2].lens_min[5] - b.leave_one_out.run[2].lens_min[1];
    made_cell(&c.timing, 3, 2)->active_min *= 50; /* its own time is not among those that it is fitted to */
    small_campaign_refit(&c);
    wr_backtest_release(&b);
    run_all(&b, &c, 1);
    ck_assert(b.leave_one_out.run[2].lens_min[5] - b.leave_one_out.run[2].lens_min[1] == width);
    wr_backtest_release(&b);
    small_campaign_release(&c);
}
END_TEST

Suite *suite_backtest(void);
Suite *suite_backtest(void)
{
    Suite *s = suite_create("backtest");
    TCase *leak = tcase_create("what may not get in"), *record = tcase_create("record"),
          *broken = tcase_create("attempts");

    tcase_add_test(leak, the_run_itself_does_not_get_in);
    tcase_add_test(leak, a_task_known_from_this_run_alone_is_as_never_rehearsed);
    tcase_add_test(leak, only_predecessors_speak);
    tcase_add_test(leak, options_of_the_campaign_do_not_colour_it);
    tcase_add_test(leak, its_own_people_do_it);
    tcase_set_timeout(record, 120);
    tcase_add_test(record, hits_ranks_and_scores);
    tcase_add_test(record, expected_hits_are_binomial);
    tcase_add_test(record, threads_change_nothing);
    tcase_add_test(record, bands_cover_as_often_as_they_say);
    tcase_add_test(broken, too_few_or_incomplete_runs);
    tcase_add_test(broken, runs_left_out_are_not_forecast);
    tcase_add_test(broken, tasks_fitted_alone);
    suite_add_tcase(s, leak);
    suite_add_tcase(s, record);
    suite_add_tcase(s, broken);
    return s;
}
