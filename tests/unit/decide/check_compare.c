/* Rehearsals compared: simulated campaigns whose truth is known, differences that are not there, and tables that try to
 * break the comparison. Worked numbers: tests/reference/check_compare_cases.c. */
#include <check.h>
#include <gsl/gsl_cdf.h>
#include <gsl/gsl_randist.h>
#include <math.h>
#include <string.h>
#include "made_timing.h"
#include "read_campaign.h"
#include "wetrun/decide/compare.h"
#include "wetrun/stats/proportion.h"

enum { TASKS = 12, CAMPAIGNS = 200, MOST_RUNS = 24 };

static gsl_rng *seeded(unsigned long seed)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    gsl_rng_set(rng, seed);
    return rng;
}

/* A log with one further column; the timing table says everything else. */
struct made_column { struct wr_run_log log; struct wr_log_run run[MOST_RUNS]; const char *entry[MOST_RUNS], *name; };

static const struct wr_run_log *column_of(struct made_column *m, size_t n_run, const char *const *entry)
{
    *m = (struct made_column){.name = "pool"};
    m->log = (struct wr_run_log){.run = m->run, .n_run = n_run, .attribute = &m->name, .n_attribute = 1};
    for (size_t r = 0; r < n_run; r++) {
        m->entry[r] = entry ? entry[r] : "";
        m->run[r] = (struct wr_log_run){.id = "R", .date = "", .attribute = &m->entry[r]};
    }
    return &m->log;
}

static enum wr_status split(struct wr_comparison *c, const struct wr_timing *t, size_t at)
{
    struct made_column m;
    struct wr_error err;
    return wr_compare(c, column_of(&m, t->n_run, NULL), t,
                      &(struct wr_compare_options){.by = WR_BY_SPLIT, .split = at, .seed = 1}, &err);
}

static enum wr_status by_pool(struct wr_comparison *c, const struct wr_timing *t, const char *const *entry)
{
    struct made_column m;
    struct wr_error err;
    return wr_compare(c, column_of(&m, t->n_run, entry), t,
                      &(struct wr_compare_options){.by = WR_BY_ATTRIBUTE, .column = "pool", .seed = 1}, &err);
}

static enum wr_status by_performer(struct wr_comparison *c, const struct wr_timing *t)
{
    struct made_column m;
    struct wr_error err;
    column_of(&m, t->n_run, NULL);
    m.log.has_performer = true;
    return wr_compare(c, &m.log, t, &(struct wr_compare_options){.by = WR_BY_PERFORMER, .seed = 1}, &err);
}

static void by_nothing(struct wr_comparison *c, const struct wr_timing *t)
{
    struct made_column m;
    struct wr_error err;
    ck_assert_int_eq(wr_compare(c, column_of(&m, t->n_run, NULL), t, &(struct wr_compare_options){0}, &err), WR_OK);
}

/* ---- what was planted is found, what was not is not ---- */

static const char *const interleaved[12] = {"east", "west", "west", "east", "east", "west",
                                            "west", "east", "west", "east", "east", "west"};
static const unsigned char west[12] = {0, 1, 1, 0, 0, 1, 1, 0, 1, 0, 0, 1};

/* How many events in n trials of probability prob are still believable: more happen less than once in a thousand
 * times. */
static size_t believable_most(size_t n, double prob)
{
    size_t most = 0;
    while (1 - wr_binomial_at_most(most, n, prob) > 0.001) most++;
    return most;
}

static size_t believable_least(size_t n, double prob)
{
    return n - believable_most(n, 1 - prob);
}

START_TEST(planted_difference_is_found)
{
    const struct made_truth truth = {.tau = 0.05, .sigma = 0.25, .effect = log(1.2), .missing = 0.05, .slow = west};
    gsl_rng *rng = seeded(11);
    size_t found = 0, covered = 0, n = 60;

    for (size_t i = 0; i < n; i++) {
        struct wr_timing t;
        struct wr_comparison c;
        made_timing_init(&t, 30, 12, 1);
        made_timing_rehearse(&t, &truth, rng);
        ck_assert_int_eq(by_pool(&c, &t, interleaved), WR_OK);
        ck_assert_uint_eq(c.n_group, 1);
        const struct wr_group_comparison *g = &c.group[0];
        ck_assert_str_eq(g->label[0], "east");
        ck_assert_str_eq(g->label[1], "west");
        ck_assert(g->pace.n_run[0] == 6 && g->pace.n_run[1] == 6 && !g->pace.in_order);
        ck_assert_double_eq_tol(g->pace.permutation.smallest_p, 2.0 / 924, 1e-12); /* 12 choose 6, and each grouping's
                                                                                      mirror image */
        found += g->pace.permutation.p_two_sided <= 0.05;
        covered += g->pace.lo <= 1.2 && g->pace.hi >= 1.2;
        wr_comparison_release(&c);
        made_timing_release(&t);
    }
    /* 0.18 is 4.3 standard errors of sqrt((0.05^2 + 0.29^2/30) / 3): the power of the t test with 10 df is 0.97 */
    ck_assert_uint_ge(found, believable_least(n, 0.97));
    ck_assert_uint_ge(covered, believable_least(n, 0.9));
    ck_assert_uint_lt(covered, n);
    gsl_rng_free(rng);
}
END_TEST

/* The wrong way: every cell an independent piece of evidence. Pooled two-sample t over all cells less their task
 * means. */
static bool cells_say_different(const struct wr_timing *t, const unsigned char *group)
{
    double sum[2] = {0, 0}, n[2] = {0, 0}, ss = 0;

    for (size_t k = 0; k < t->n_task; k++) {
        double mean = 0;
        for (size_t r = 0; r < t->n_run; r++) mean += log(made_cell((struct wr_timing *)t, k, r)->active_min);
        mean /= (double)t->n_run;
        for (size_t r = 0; r < t->n_run; r++) {
            double v = log(made_cell((struct wr_timing *)t, k, r)->active_min) - mean;
            sum[group[r]] += v;
            n[group[r]]++;
            ss += v * v;
        }
    }
    ss -= sum[0] * sum[0] / n[0] + sum[1] * sum[1] / n[1];
    double df = n[0] + n[1] - (double)t->n_task - 1, se = sqrt(ss / df * (1 / n[0] + 1 / n[1]));
    return 2 * gsl_cdf_tdist_Q(fabs(sum[1] / n[1] - sum[0] / n[0]) / se, df) <= 0.05;
}

START_TEST(false_alarms_have_their_stated_rate)
{
    const struct made_truth truth = {.tau = 0.15, .sigma = 0.25};
    gsl_rng *rng = seeded(12);
    size_t alarms = 0, named = 0, named_alone = 0, by_cells = 0, covered = 0;
    size_t most = believable_most(CAMPAIGNS, 0.05);

    for (size_t i = 0; i < CAMPAIGNS; i++) {
        struct wr_timing t;
        struct wr_comparison c;
        bool any = false, any_alone = false;
        made_timing_init(&t, TASKS, 10, 1);
        made_timing_rehearse(&t, &truth, rng);
        ck_assert_int_eq(by_pool(&c, &t, interleaved), WR_OK);
        const struct wr_group_comparison *g = &c.group[0];
        ck_assert(g->pace.n_run[0] == 5 && g->pace.n_run[1] == 5 && !g->pace.in_order);
        alarms += g->pace.permutation.p_two_sided <= 0.05;
        covered += g->pace.lo <= 1 && g->pace.hi >= 1;
        for (size_t k = 0; k < TASKS; k++) {
            any |= g->task[k].told;
            any_alone |= g->task[k].test.raw_p.value <= 0.05;
        }
        named += any;
        named_alone += any_alone;
        by_cells += cells_say_different(&t, west);
        wr_comparison_release(&c);
        made_timing_release(&t);
    }
    ck_assert_uint_le(alarms, most);
    ck_assert_uint_ge(alarms, 1); /* nor is the test asleep */
    ck_assert_uint_le(named, most);
    ck_assert_uint_ge(covered, believable_least(CAMPAIGNS, 0.9));
    ck_assert_uint_gt(by_cells, most);    /* the same test turns the wrong methods down */
    ck_assert_uint_gt(named_alone, most);
    gsl_rng_free(rng);
}
END_TEST

START_TEST(learning_is_not_taken_for_a_difference)
{
    const struct made_truth truth = {.tau = 0.08, .gamma = -0.15, .sigma = 0.25};
    gsl_rng *rng = seeded(13);
    size_t plain = 0, detrended = 0, alarms = 0, alarms_detrended = 0, named = 0;

    for (size_t i = 0; i < CAMPAIGNS; i++) {
        struct wr_timing t;
        struct wr_comparison c;
        bool any = false;
        made_timing_init(&t, TASKS, 10, 1);
        made_timing_rehearse(&t, &truth, rng);
        ck_assert_int_eq(split(&c, &t, 5), WR_OK);
        const struct wr_group_comparison *g = &c.group[0];
        ck_assert(g->pace.in_order && g->pace.has_detrended);
        plain += g->pace.lo <= 1 && g->pace.hi >= 1;
        detrended += g->pace.detrended_lo <= 1 && g->pace.detrended_hi >= 1;
        alarms += g->pace.permutation.p_two_sided <= 0.05;
        alarms_detrended += g->pace.detrended_p.value <= 0.05;
        for (size_t k = 0; k < TASKS; k++) any |= g->task[k].told;
        named += any;
        wr_comparison_release(&c);
        made_timing_release(&t);
    }
    ck_assert_uint_ge(detrended, believable_least(CAMPAIGNS, 0.9));
    ck_assert_uint_lt(plain, believable_least(CAMPAIGNS, 0.9));
    ck_assert_uint_le(alarms_detrended, believable_most(CAMPAIGNS, 0.05));
    ck_assert_uint_gt(alarms, believable_most(CAMPAIGNS, 0.05));
    ck_assert_uint_le(named, believable_most(CAMPAIGNS, 0.05));
    gsl_rng_free(rng);
}
END_TEST

START_TEST(trends_are_told_from_chance)
{
    const struct made_truth truth = {.tau = 0.08, .sigma = 0.25, .missing = 0.1};
    gsl_rng *rng = seeded(14);
    size_t named = 0, named_alone = 0, covered = 0, spread_covered = 0;

    for (size_t i = 0; i < CAMPAIGNS; i++) {
        struct wr_timing t;
        struct wr_comparison c;
        bool alone = false;
        made_timing_init(&t, TASKS, 8, 1);
        made_timing_rehearse(&t, &truth, rng);
        by_nothing(&c, &t);
        for (size_t k = 0; k < TASKS; k++) alone |= c.task_trend[k].p.known && c.task_trend[k].p.value <= 0.05;
        named += c.n_task_told > 0;
        named_alone += alone;
        covered += c.trend.lo <= 0 && c.trend.hi >= 0;
        spread_covered += c.spread_trend.lo <= 0 && c.spread_trend.hi >= 0;
        wr_comparison_release(&c);
        made_timing_release(&t);
    }
    ck_assert_uint_le(named, believable_most(CAMPAIGNS, 0.05));
    ck_assert_uint_gt(named_alone, believable_most(CAMPAIGNS, 0.05));
    ck_assert_uint_ge(covered, believable_least(CAMPAIGNS, 0.9));
    ck_assert_uint_ge(spread_covered, believable_least(CAMPAIGNS, 0.9));
    ck_assert_uint_le(spread_covered, believable_most(CAMPAIGNS, 0.9));
    gsl_rng_free(rng);
}
END_TEST

/* The wild tasks were done in the first half only: that the second half scatters less in minutes is no settling. */
START_TEST(spread_is_in_units_of_each_task)
{
    const struct made_truth truth = {.tau = 0.05, .sigma = 0.1};
    gsl_rng *rng = seeded(22);
    size_t n = 100, settling = 0;

    for (size_t i = 0; i < n; i++) {
        struct wr_timing t;
        struct wr_comparison c;
        made_timing_init(&t, TASKS, 10, 1);
        made_timing_rehearse(&t, &truth, rng);
        for (size_t k = 0; k < 4; k++)
            for (size_t r = 0; r < 10; r++) {
                made_cell(&t, k, r)->active_min *= exp(gsl_ran_gaussian(rng, 0.8));
                if (r >= 5) made_cell_state(&t, k, r, WR_CELL_SKIPPED);
            }
        by_nothing(&c, &t);
        ck_assert(c.spread_trend.known && c.spread_trend.n_run == 10);
        settling += c.spread_trend.hi < 0;
        wr_comparison_release(&c);
        made_timing_release(&t);
    }
    ck_assert_uint_le(settling, believable_most(n, 0.05));
    gsl_rng_free(rng);
}
END_TEST

START_TEST(planted_trends_are_found)
{
    const struct made_truth truth = {.tau = 0.03, .gamma = -0.1, .sigma = 0.3, .settle = -0.5};
    gsl_rng *rng = seeded(15);
    size_t falling = 0, settling = 0, told = 0, n = 40;

    for (size_t i = 0; i < n; i++) {
        struct wr_timing t;
        struct wr_comparison c;
        made_timing_init(&t, 25, 10, 1);
        made_timing_rehearse(&t, &truth, rng);
        for (size_t r = 0; r < 10; r++) { /* task 3 keeps halving, and hardly scatters */
            double noise = gsl_ran_gaussian(rng, 0.1);
            made_cell(&t, 3, r)->active_min = 60 * exp(-log(r + 1.0) + noise);
        }
        by_nothing(&c, &t);
        falling += c.trend.hi < 0;
        settling += c.spread_trend.hi < 0;
        told += c.task_trend[3].told && c.task_trend[3].line.slope_log < 0;
        ck_assert_double_lt(fabs(c.task_trend[3].line.per_doubling + 0.5), 0.15);
        ck_assert_double_lt(fabs(c.task_trend[3].line.level_log - log(60)), 0.3);
        wr_comparison_release(&c);
        made_timing_release(&t);
    }
    ck_assert_uint_ge(falling, 30);
    ck_assert_uint_ge(settling, 30);
    ck_assert_uint_eq(told, n);
    gsl_rng_free(rng);
}
END_TEST

START_TEST(what_stood_out_is_named)
{
    const struct made_truth truth = {.tau = 0.1, .sigma = 0.1};
    gsl_rng *rng = seeded(16);
    struct wr_timing t;
    struct wr_comparison before, after;

    made_timing_init(&t, TASKS, 8, 1);
    made_timing_rehearse(&t, &truth, rng);
    by_nothing(&before, &t);
    double was = made_cell(&t, 4, 6)->active_min;
    made_cell(&t, 4, 6)->active_min = 3 * was;
    by_nothing(&after, &t);
    const struct wr_compared_run *run = &after.run[6];
    ck_assert_uint_ge(run->n_out, 1);
    ck_assert_uint_eq(run->out[0].task, 4);
    ck_assert_double_gt(run->out[0].sd, 4);
    ck_assert_double_lt(fabs(log(run->out[0].ratio / 3)), 0.3);
    ck_assert_double_eq_tol(run->out[0].minutes, 3 * was * (1 - 1 / run->out[0].ratio), 1e-9 * was);
    for (size_t r = 0; r < 8; r++)
        for (size_t i = 0; i < after.run[r].n_out; i++) {
            const struct wr_standing_out *o = &after.run[r].out[i];
            ck_assert_double_ge(fabs(o->sd), WR_STANDS_OUT_SD);
            ck_assert(i == 0 || fabs(o->minutes) <= fabs(after.run[r].out[i - 1].minutes));
            ck_assert(o->task != 4 || r == 6); /* the slow one makes no other run of the task look fast */
        }
    wr_comparison_release(&before);
    wr_comparison_release(&after);
    made_timing_release(&t);
    gsl_rng_free(rng);
}
END_TEST

START_TEST(a_slow_cell_among_few_tasks_does_not_hide_behind_the_day)
{
    struct wr_timing t;
    struct wr_comparison c;

    made_timing_init(&t, 3, 6, 1);
    for (size_t k = 0; k < 3; k++)
        for (size_t r = 0; r < 6; r++) made_cell(&t, k, r)->active_min = 10 * exp(0.02 * sin((double)(5 * k + 3 * r)));
    made_cell(&t, 0, 5)->active_min = 20;
    by_nothing(&c, &t);
    ck_assert_uint_eq(c.run[5].out[0].task, 0);
    ck_assert_double_eq_tol(c.run[5].out[0].ratio, 2, 0.1); /* against the other two tasks: not 2^(2/3), its share of
                                                               the day */
    wr_comparison_release(&c);
    made_timing_release(&t);
}
END_TEST

START_TEST(only_what_was_done_speaks)
{
    const struct made_truth truth = {.tau = 0.1, .sigma = 0.2};
    gsl_rng *rng = seeded(17);
    struct wr_timing t;
    struct wr_comparison a, b;

    made_timing_init(&t, TASKS, 6, 2);
    made_timing_rehearse(&t, &truth, rng);
    made_cell_state(&t, 2, 1, WR_CELL_STOPPED);
    made_cell_state(&t, 5, 3, WR_CELL_SKIPPED);
    by_nothing(&a, &t);
    made_cell(&t, 2, 1)->active_min = 500;
    made_cell(&t, 7, 2)->hold_min = 90;
    by_nothing(&b, &t);
    for (size_t r = 0; r < 6; r++) ck_assert(a.run[r].effect.value == b.run[r].effect.value);
    ck_assert_double_eq_tol(b.run[1].active_min, a.run[1].active_min + 500, 1e-9);
    ck_assert_double_eq_tol(b.run[2].hold_min, 90, 1e-12);
    wr_comparison_release(&b);

    /* lead-in and gap count as the active minutes do; all times tripled changes no effect and no trend */
    for (size_t i = 0; i < TASKS * 6; i++) {
        t.cell[i].lead_in_min = 0.5 * t.cell[i].active_min;
        t.cell[i].gap_min = 1.5 * t.cell[i].active_min;
    }
    by_nothing(&b, &t);
    for (size_t r = 0; r < 6; r++) ck_assert_double_eq_tol(a.run[r].effect.value, b.run[r].effect.value, 1e-12);
    ck_assert_double_eq_tol(a.trend.slope_log, b.trend.slope_log, 1e-12);
    ck_assert_double_eq_tol(a.task_trend[0].line.hi, b.task_trend[0].line.hi, 1e-12);
    ck_assert_double_eq_tol(a.task_trend[0].line.level_log + log(3), b.task_trend[0].line.level_log, 1e-12);
    wr_comparison_release(&a);
    wr_comparison_release(&b);
    made_timing_release(&t);
    gsl_rng_free(rng);
}
END_TEST

/* Six short tasks take a tenth less with each doubling, two long ones, two thirds of the day, do not change. Every
 * eighth short task, and every eighth long one, is left out. */
static void short_tasks_learn(struct wr_timing *t, const gsl_rng *rng)
{
    static const double usual[8] = {12, 14, 15, 16, 18, 20, 100, 90};

    for (size_t k = 0; k < 8; k++)
        for (size_t r = 0; r < t->n_run; r++) {
            bool is_long = k >= 6;
            double rate = is_long ? 0 : log(0.9) / log(2), sigma = is_long ? 0.04 : 0.1;
            *made_cell(t, k, r) = (struct wr_cell){.state = WR_CELL_DONE,
                .active_min = usual[k] * exp(rate * log(t->run[r].order) + gsl_ran_gaussian(rng, sigma))};
            if (gsl_rng_uniform(rng) < 0.125) made_cell_state(t, k, r, WR_CELL_SKIPPED);
        }
}

/* By least squares, of the log of what the eight take without luck; the scatter's own share in the minutes cancels. */
static double true_length_slope(size_t n_run)
{
    double sx = 0, sy = 0, sxx = 0, sxy = 0, n = (double)n_run;

    for (size_t r = 0; r < n_run; r++) {
        double x = log((double)r + 1), y = log(95 * pow(0.9, x / log(2)) + 190);
        sx += x, sy += y, sxx += x * x, sxy += x * y;
    }
    return (sxy - sx * sy / n) / (sxx - sx * sx / n);
}

START_TEST(length_is_not_carried_by_short_tasks)
{
    gsl_rng *rng = seeded(23);
    double slope = true_length_slope(8);
    size_t by_length = 0, by_pace = 0, left_out = 0;

    for (size_t i = 0; i < CAMPAIGNS; i++) {
        struct wr_timing t;
        struct wr_comparison c;
        made_timing_init(&t, 8, 8, 1);
        short_tasks_learn(&t, rng);
        by_nothing(&c, &t);
        by_length += c.length_trend.known && c.length_trend.lo <= slope && slope <= c.length_trend.hi;
        by_pace += c.trend.lo <= slope && slope <= c.trend.hi;
        left_out += c.n_length_unseen;
        ck_assert_uint_eq(c.length_trend.n_run, 8 - c.n_length_unseen);
        double sum = 0; /* longer and shorter ones make up for each other, however much the tasks scatter */
        for (size_t r = 0; r < c.n_run; r++) sum += c.run[r].length.known ? c.run[r].length.value : 0;
        ck_assert_double_eq_tol(sum, 0, 1e-9);
        wr_comparison_release(&c);
        made_timing_release(&t);
    }
    ck_assert_uint_ge(by_length, believable_least(CAMPAIGNS, 0.9));
    ck_assert_uint_le(by_length, believable_most(CAMPAIGNS, 0.9));
    ck_assert_uint_lt(by_pace, believable_least(CAMPAIGNS, 0.9)); /* equal weights are turned down */
    ck_assert_uint_gt(left_out, 0);
    gsl_rng_free(rng);
}
END_TEST

/* ---- attempts to break it ---- */

START_TEST(few_runs)
{
    for (size_t n_run = 0; n_run <= 3; n_run++) {
        struct wr_timing t;
        struct wr_comparison c;
        made_timing_init(&t, 3, n_run, 2);
        for (size_t r = 0; r < n_run; r++) /* on a line, as near as minutes come to one */
            made_cell(&t, 0, r)->active_min = round(100 * pow((double)r + 1, -0.3)) / 10;
        by_nothing(&c, &t);
        ck_assert_uint_eq(c.n_run, n_run);
        ck_assert(!c.trend.known && !c.length_trend.known && !c.spread_trend.known && !c.apart_p.known);
        ck_assert(wr_trend_shown(&c.trend) == 0 && wr_trend_shown(&c.length_trend) == 0);
        ck_assert(!c.task_trend[0].line.known && c.n_task_trend == 0 && c.n_group == 0);
        for (size_t r = 0; r < n_run; r++) ck_assert(c.run[r].effect.known && c.run[r].n_out == 0);
        wr_comparison_release(&c);
        for (size_t at = 0; at <= n_run; at++) {
            enum wr_status status = split(&c, &t, at);
            ck_assert_int_eq(status, at == 0 || at >= n_run ? WR_E_USAGE : WR_OK);
            if (status) continue;
            ck_assert(c.group[0].pace.reason == (n_run < 3 ? WR_COMPARE_TOO_FEW_RUNS : WR_COMPARE_DONE));
            ck_assert(!c.group[0].pace.has_detrended); /* three runs leave nothing beside trend and groups */
            wr_comparison_release(&c);
        }
        made_timing_release(&t);
    }
}
END_TEST

/* Of three runs one campaign in ten without a trend would tell of one. */
START_TEST(a_trend_takes_four_runs)
{
    const struct made_truth truth = {.tau = 0.1, .sigma = 0.2};
    gsl_rng *rng = seeded(31);

    for (size_t n_run = 3; n_run <= 5; n_run++)
        for (size_t i = 0; i < 40; i++) {
            struct wr_timing t;
            struct wr_comparison c;
            made_timing_init(&t, TASKS, n_run, 1);
            made_timing_rehearse(&t, &truth, rng);
            by_nothing(&c, &t);
            ck_assert(c.trend.known == (n_run > 3) && c.length_trend.known == (n_run > 3));
            ck_assert(c.spread_trend.known == (n_run > 3) && c.apart_p.known == (n_run > 3));
            ck_assert(n_run == 3 || (c.trend.lo < c.trend.hi && c.length_trend.lo < c.length_trend.hi));
            ck_assert(c.trend.n_run == n_run && c.length_trend.n_run == n_run);
            wr_comparison_release(&c);
            made_timing_release(&t);
        }
    gsl_rng_free(rng);
}
END_TEST

START_TEST(first_and_last_split)
{
    const struct made_truth truth = {.tau = 0.1, .sigma = 0.2};
    gsl_rng *rng = seeded(18);
    struct wr_timing t;
    struct wr_comparison c;

    made_timing_init(&t, TASKS, 7, 1);
    made_timing_rehearse(&t, &truth, rng);
    for (size_t at = 1; at < 7; at += 5) {
        ck_assert_int_eq(split(&c, &t, at), WR_OK);
        const struct wr_group_comparison *g = &c.group[0];
        ck_assert_int_eq(g->pace.reason, WR_COMPARE_DONE);
        ck_assert(g->pace.n_run[0] == at && g->pace.n_run[1] == 7 - at && g->pace.in_order && g->pace.has_detrended);
        ck_assert_double_eq_tol(g->pace.permutation.smallest_p, 1.0 / 7, 1e-12);
        ck_assert(g->pace.lo < g->pace.ratio && g->pace.ratio < g->pace.hi);
        ck_assert(g->pace.detrended_lo < g->pace.detrended_hi);
        wr_comparison_release(&c);
    }
    made_timing_release(&t);
    gsl_rng_free(rng);
}
END_TEST

START_TEST(runs_without_common_tasks)
{
    struct wr_timing t;
    struct wr_comparison c;

    made_timing_init(&t, 4, 8, 1);
    for (size_t r = 0; r < 8; r++) made_cell(&t, 0, r)->active_min = made_cell(&t, 1, r)->active_min = 10 + (double)r;
    for (size_t k = 0; k < 4; k++) made_cell_state(&t, k, 7, WR_CELL_STOPPED); /* run 7 finished nothing */
    for (size_t r = 4; r < 7; r++) /* runs 4 to 6 did other tasks than 0 to 3 */
        for (size_t k = 0; k < 2; k++) made_cell_state(&t, k, r, WR_CELL_SKIPPED);
    for (size_t r = 0; r < 4; r++)
        for (size_t k = 2; k < 4; k++) made_cell_state(&t, k, r, WR_CELL_SKIPPED);
    ck_assert_int_eq(split(&c, &t, 4), WR_OK);
    for (size_t r = 0; r < 8; r++) ck_assert(c.run[r].effect.known == (r < 4));
    ck_assert(c.trend.known && c.trend.n_run == 4);
    ck_assert_double_eq_tol(c.run[3].effect.value - c.run[0].effect.value, log(1.3), 1e-12);
    ck_assert_int_eq(c.group[0].pace.reason, WR_COMPARE_NOT_CONNECTED);
    wr_comparison_release(&c);

    /* one common task connects them again */
    *made_cell(&t, 0, 5) = (struct wr_cell){.state = WR_CELL_DONE, .active_min = 12};
    ck_assert_int_eq(split(&c, &t, 4), WR_OK);
    for (size_t r = 0; r < 8; r++) ck_assert(c.run[r].effect.known == (r < 7));
    ck_assert_int_eq(c.group[0].pace.reason, WR_COMPARE_DONE);
    ck_assert(c.group[0].pace.n_run[0] == 4 && c.group[0].pace.n_run[1] == 3);
    wr_comparison_release(&c);

    /* runs 0 and 6 did task 3 alone, runs 3, 4, 5 and 7 task 0: the larger set counts, though it begins later */
    for (size_t r = 0; r < 8; r++)
        for (size_t k = 0; k < 4; k++) made_cell_state(&t, k, r, WR_CELL_SKIPPED);
    for (size_t i = 0; i < 6; i++)
        *made_cell(&t, i < 2 ? 3 : 0, ((size_t[]){0, 6, 3, 4, 5, 7})[i]) =
            (struct wr_cell){.state = WR_CELL_DONE, .active_min = 12};
    by_nothing(&c, &t);
    for (size_t r = 0; r < 8; r++) ck_assert(c.run[r].effect.known == (r == 3 || r == 4 || r == 5 || r == 7));
    wr_comparison_release(&c);

    for (size_t k = 0; k < 4; k++) /* nothing done at all */
        for (size_t r = 0; r < 8; r++) made_cell_state(&t, k, r, WR_CELL_ABSENT);
    ck_assert_int_eq(split(&c, &t, 4), WR_OK);
    for (size_t r = 0; r < 8; r++) ck_assert(!c.run[r].effect.known);
    ck_assert(!c.trend.known && !c.spread_trend.known && c.group[0].pace.reason == WR_COMPARE_NOT_CONNECTED);
    wr_comparison_release(&c);
    made_timing_release(&t);
}
END_TEST

START_TEST(equal_times_have_no_trend_and_no_difference)
{
    struct wr_timing t;
    struct wr_comparison c;

    made_timing_init(&t, 5, 9, 1);
    for (size_t k = 0; k < 5; k++)
        for (size_t r = 0; r < 9; r++) made_cell(&t, k, r)->active_min = 7.1 * (double)(k + 1) / 3;
    ck_assert_int_eq(split(&c, &t, 4), WR_OK);
    ck_assert(c.trend.known && c.trend.slope_log == 0 && c.trend.lo == 0 && c.trend.hi == 0);
    ck_assert(!c.spread_trend.known && !c.run[0].spread.known);
    for (size_t k = 0; k < 5; k++) {
        ck_assert(c.task_trend[k].line.known && c.task_trend[k].line.slope_log == 0);
        ck_assert(c.task_trend[k].p.value == 1 && !c.task_trend[k].told);
    }
    for (size_t r = 0; r < 9; r++) ck_assert(c.run[r].effect.value == 0 && c.run[r].n_out == 0);
    ck_assert(c.group[0].pace.ratio == 1 && c.group[0].pace.permutation.p_two_sided == 1 && !c.group[0].has_tasks);
    wr_comparison_release(&c);

    for (size_t r = 0; r < 9; r++)
        made_cell(&t, 2, r)->active_min = 30 * pow((double)r + 1, -0.3); /* a line without scatter */
    by_nothing(&c, &t);
    ck_assert(c.task_trend[2].told && c.n_task_told == 1);
    ck_assert_double_eq_tol(c.task_trend[2].line.slope_log, -0.3, 1e-12);
    ck_assert_double_eq_tol(c.task_trend[2].line.per_doubling, pow(2, -0.3) - 1, 1e-12);
    wr_comparison_release(&c);
    made_timing_release(&t);
}
END_TEST

START_TEST(entries_that_are_empty_or_hostile)
{
    static const char *const nothing[6] = {"", "", "", "", "", ""}, *const one[6] = {"east", "", "east",
                                                                                     "",     "", "east"};
    static const char *const hostile[6] = {"all others", "<b>", "$(id)", "all others", "<b>", ""};
    const struct made_truth truth = {.tau = 0.1, .sigma = 0.2};
    gsl_rng *rng = seeded(19);
    struct wr_timing t;
    struct wr_comparison c;
    struct made_column m;
    struct wr_error err;

    made_timing_init(&t, TASKS, 6, 1);
    made_timing_rehearse(&t, &truth, rng);
    ck_assert_int_eq(by_pool(&c, &t, nothing), WR_E_TOO_FEW);
    ck_assert_int_eq(wr_compare(&c, column_of(&m, 6, NULL), &t,
                                &(struct wr_compare_options){.by = WR_BY_ATTRIBUTE, .column = "%s%n"}, &err),
                     WR_E_USAGE);
    ck_assert_ptr_nonnull(strstr(err.text, "%s%n"));
    ck_assert_int_eq(by_pool(&c, &t, one), WR_OK);
    ck_assert(c.n_group == 1 && c.group[0].pace.reason == WR_COMPARE_ONE_GROUP && c.n_without_group == 3);
    ck_assert_uint_eq(c.group[0].pace.n_run[1], 3);
    wr_comparison_release(&c);

    ck_assert_int_eq(by_pool(&c, &t, hostile), WR_OK);
    ck_assert(c.n_group == 3 && c.n_without_group == 1);
    double p[3], most = 0;
    for (size_t i = 0; i < 3; i++) {
        ck_assert_str_eq(c.group[i].label[1], hostile[i]);
        ck_assert_str_eq(c.group[i].label[0], "all others");
        ck_assert_uint_eq(c.group[i].pace.n_run[0] + c.group[i].pace.n_run[1], 5);
        ck_assert_int_eq(c.group[i].pace.reason, WR_COMPARE_DONE);
        p[i] = c.group[i].pace.permutation.p_two_sided;
        ck_assert_double_ge(c.group[i].pace.holm_p.value, p[i]);
        most = fmax(most, c.group[i].pace.holm_p.value);
    }
    ck_assert_double_ge(most, fmin(1, 3 * fmin(p[0], fmin(p[1], p[2])))); /* Holm: the smallest counts three times */
    wr_comparison_release(&c);
    made_timing_release(&t);
    gsl_rng_free(rng);
}
END_TEST

START_TEST(line_ups)
{
    static char long_a[400], long_b[400];
    const char *const name[4] = {long_a, long_b, "Ida", "Ole"};
    static const int pairs[18] = {0, -1, -1, 1, -1, -1, 0, -1, -1, 1, -1, -1, -1, -1, -1, 0, -1, -1};
    static const int lanes[18] = {2, 3, -1, 3, 2, -1, 2, 3, -1, 3, 2, -1, 2, -1, -1, 2, 3, -1};
    const struct made_truth truth = {.tau = 0.1, .sigma = 0.2};
    gsl_rng *rng = seeded(20);
    struct wr_timing t;
    struct wr_comparison c;

    memset(long_a, 'x', sizeof long_a - 1);
    memcpy(long_b, long_a, sizeof long_b);
    long_b[sizeof long_b - 2] = 'y'; /* they differ in their last letter only */
    made_timing_init(&t, TASKS, 6, 3);
    made_timing_rehearse(&t, &truth, rng);
    ck_assert_int_eq(by_performer(&c, &t), WR_E_TOO_FEW); /* nobody named */
    made_timing_people(&t, name, 4, pairs);
    ck_assert_int_eq(by_performer(&c, &t), WR_OK);
    ck_assert(c.n_group == 1 && c.n_without_group == 1);
    ck_assert(c.group[0].pace.n_run[0] == 3 && c.group[0].pace.n_run[1] == 2);
    ck_assert_str_eq(c.group[0].label[0], long_a);
    ck_assert_str_eq(c.group[0].label[1], long_b);
    wr_comparison_release(&c);

    memcpy(t.line_up, lanes, sizeof lanes);
    ck_assert_int_eq(by_performer(&c, &t), WR_OK);
    ck_assert_str_eq(c.group[0].label[0], "Ida+Ole");
    ck_assert_str_eq(c.group[0].label[1], "Ole+Ida");
    ck_assert(c.group[0].pace.n_run[0] == 3 && c.group[0].pace.n_run[1] == 2 &&
              c.n_without_group == 1); /* "Ida+?" is nobody's pair */
    wr_comparison_release(&c);
    made_timing_release(&t);
    gsl_rng_free(rng);
}
END_TEST

START_TEST(many_groups_multiply_the_chances)
{
    static const char *const pairs[8] = {"a", "b", "c", "d", "d", "a", "b", "c"}, *const two[8] = {"a", "b", "b", "b",
                                                                                                   "b", "a", "b", "b"};
    struct wr_timing t;
    struct wr_comparison c;

    made_timing_init(&t, 2, 8, 1);
    for (size_t r = 0; r < 8; r++) {
        made_cell(&t, 0, r)->active_min = (two[r][0] == 'a' ? 20 : 10) * exp(0.01 * sin((double)(7 * r)));
        made_cell(&t, 1, r)->active_min = 10 * exp(0.01 * sin((double)(3 * r + 1)));
    }
    for (int four = 0; four < 2; four++) {
        ck_assert_int_eq(by_pool(&c, &t, four ? pairs : two), WR_OK);
        const struct wr_group_comparison *g = &c.group[0];
        const struct wr_group_task *task = &g->task[0];
        ck_assert_double_eq_tol(task->test.max_t_p.value, 1.0 / 28, 1e-12); /* 8 choose 2: the least there is */
        ck_assert_uint_eq(c.n_group, four ? 4 : 1);
        ck_assert(task->told == !four); /* 4 in 28 is no rarity */
        ck_assert_double_eq_tol(g->pace.permutation.smallest_p, 1.0 / 28, 1e-12);
        ck_assert_double_eq_tol(g->pace.smallest_p, (four ? 4.0 : 1.0) / 28, 1e-12);
        wr_comparison_release(&c);
    }
    made_timing_release(&t);
}
END_TEST

START_TEST(random_groupings_repeat)
{
    const struct made_truth truth = {.tau = 0.1, .sigma = 0.2};
    gsl_rng *rng = seeded(21);
    struct wr_timing t;
    struct wr_comparison a, b;

    made_timing_init(&t, 3, 24, 1);
    made_timing_rehearse(&t, &truth, rng);
    ck_assert_int_eq(split(&a, &t, 12), WR_OK);
    ck_assert_int_eq(split(&b, &t, 12), WR_OK);
    ck_assert(!a.group[0].pace.permutation.exact);
    ck_assert(a.group[0].pace.permutation.p_two_sided == b.group[0].pace.permutation.p_two_sided);
    ck_assert(a.group[0].task[1].test.max_t_p.value == b.group[0].task[1].test.max_t_p.value);
    wr_comparison_release(&a);
    wr_comparison_release(&b);
    made_timing_release(&t);
    gsl_rng_free(rng);
}
END_TEST

START_TEST(groups_that_the_log_cannot_give)
{
    struct wr_timing t = {0};
    struct wr_comparison c = {0};
    struct made_column m;
    struct wr_error err = {.text = ""};

    made_timing_init(&t, 3, 6, 1);
    column_of(&m, 6, NULL);
    ck_assert_int_eq(wr_compare(&c, &m.log, &t, &(struct wr_compare_options){.by = WR_BY_PERFORMER}, &err), WR_E_USAGE);
    ck_assert_ptr_nonnull(strstr(err.text, "the log has no performer column"));
    wr_comparison_release(&c);
    struct wr_compare_options by_basin = {.by = WR_BY_ATTRIBUTE, .column = "basin"};
    ck_assert_int_eq(wr_compare(&c, &m.log, &t, &by_basin, &err), WR_E_USAGE);
    ck_assert_ptr_nonnull(strstr(err.text, "no further column 'basin'"));
    ck_assert_ptr_null(strstr(err.text, "add one, as basin"));
    wr_comparison_release(&c);
    m.log.n_attribute = 0;
    ck_assert_int_eq(wr_compare(&c, &m.log, &t, &by_basin, &err), WR_E_USAGE);
    ck_assert_ptr_nonnull(strstr(err.text, "add one, as basin or date, or leave --by out"));
    wr_comparison_release(&c);
    made_timing_release(&t);
}
END_TEST

/* Task 0 took 21 and 17.5 min, was stopped at 30, 28 and 12, and then took `last`. */
static void compare_stopped(struct wr_comparison *c, double last, enum wr_cell_state state)
{
    static const double first[5] = {21, 17.5, 30, 28, 12};
    struct wr_timing t;

    made_timing_init(&t, 4, 6, 1);
    for (size_t k = 0; k < 4; k++)
        for (size_t r = 0; r < 6; r++)
            made_cell(&t, k, r)->active_min = 20 * exp(0.06 * sin((double)(5 * k + 3 * r + k * r)));
    for (size_t r = 0; r < 5; r++) {
        if (r > 1) made_cell_state(&t, 0, r, state);
        made_cell(&t, 0, r)->active_min = state == WR_CELL_STOPPED || r < 2 ? first[r] : 0;
    }
    made_cell(&t, 0, 5)->active_min = last;
    by_nothing(c, &t);
    made_timing_release(&t);
}

/* Times at which it was stopped are at least so long: what a day beside them took is held against them too. The numbers
 * are from a program in Python: task + run by turns, then the largest of (s^2)^-3/2 exp(-2 q / s^2) times the
 * likelihood of the times and bounds, q the pooled mean square, by steps along mean and log s. */
START_TEST(stopped_times_count_in_what_stands_out)
{
    static const struct { double last; enum wr_cell_state state; bool out; double ratio, sd; } seen[] = {
        {36, WR_CELL_SKIPPED, true, 1.78945799775, 3.12402554164},
        {36, WR_CELL_STOPPED, false, 0, 0},
        {80, WR_CELL_STOPPED, true, 2.8463254355, 2.58222399727},
    };
    struct wr_comparison c;

    for (size_t i = 0; i < sizeof seen / sizeof *seen; i++) {
        compare_stopped(&c, seen[i].last, seen[i].state);
        const struct wr_compared_run *run = &c.run[5];
        ck_assert_uint_eq(run->n_out > 0 && run->out[0].task == 0, seen[i].out);
        if (seen[i].out) ck_assert_double_eq_tol(run->out[0].ratio, seen[i].ratio, 1e-6);
        if (seen[i].out) ck_assert_double_eq_tol(run->out[0].sd, seen[i].sd, 1e-6);
        wr_comparison_release(&c);
    }
}
END_TEST

/* A stopped task went on for at least so long: it stands out if that was long already, and never for being short. The
 * numbers are from a program in Python: task + run by turns over what was done, the stopped cell in neither. */
START_TEST(a_stopped_task_stands_out_when_it_was_long)
{
    struct wr_timing t;
    struct wr_comparison c;

    made_timing_init(&t, 4, 6, 1);
    for (size_t k = 0; k < 4; k++)
        for (size_t r = 0; r < 6; r++)
            made_cell(&t, k, r)->active_min = 20 * exp(0.06 * sin((double)(5 * k + 3 * r + k * r)));
    made_cell_state(&t, 0, 5, WR_CELL_STOPPED);
    made_cell(&t, 0, 5)->active_min = 45;
    by_nothing(&c, &t);
    ck_assert_uint_eq(c.run[5].n_out, 1);
    const struct wr_standing_out *out = &c.run[5].out[0];
    ck_assert(out->task == 0 && out->at_least);
    ck_assert_double_eq_tol(out->ratio, 2.2807258140568933, 1e-9);
    ck_assert_double_eq_tol(out->sd, 20.476157705779, 1e-8);
    ck_assert_double_eq_tol(out->minutes, 25.26943891166154, 1e-8);
    wr_comparison_release(&c);
    made_cell(&t, 0, 5)->active_min = 4;
    by_nothing(&c, &t);
    ck_assert_uint_eq(c.run[5].n_out, 0);
    wr_comparison_release(&c);
    made_cell_state(&t, 0, 5, WR_CELL_DONE);
    made_cell(&t, 0, 5)->active_min = 4;
    by_nothing(&c, &t);
    ck_assert(c.run[5].n_out > 0 && c.run[5].out[0].task == 0 && !c.run[5].out[0].at_least);
    wr_comparison_release(&c);
    made_timing_release(&t);
}
END_TEST

/* A day on which one task was done has no pace of its own to hold it against, however long it took. */
START_TEST(one_task_of_a_day_never_stands_out)
{
    struct wr_timing t;
    struct wr_comparison c;

    made_timing_init(&t, 3, 6, 1);
    for (size_t k = 0; k < 3; k++)
        for (size_t r = 0; r < 6; r++) made_cell(&t, k, r)->active_min = 10 * exp(0.02 * sin((double)(5 * k + 3 * r)));
    made_cell(&t, 0, 5)->active_min = 40;
    made_cell_state(&t, 1, 5, WR_CELL_SKIPPED);
    made_cell_state(&t, 2, 5, WR_CELL_SKIPPED);
    by_nothing(&c, &t);
    ck_assert_uint_eq(c.run[5].n_out, 0);
    ck_assert_double_gt(c.run[5].effect.value - c.run[0].effect.value, log(3)); /* it is a slow day instead */
    wr_comparison_release(&c);
    made_timing_release(&t);
}
END_TEST

/* Three groups, of which one has no task in common with the others: the two are compared, and corrected for two. */
START_TEST(a_group_that_is_not_connected)
{
    static const char *const pools[9] = {"east", "west", "east", "west", "east", "west", "north", "north", "north"};
    struct wr_timing t;
    struct wr_comparison c;
    double p[2];

    made_timing_init(&t, 4, 9, 1);
    for (size_t k = 0; k < 4; k++)
        for (size_t r = 0; r < 9; r++) {
            made_cell(&t, k, r)->active_min = 10 * exp(0.05 * sin((double)(5 * k + 3 * r)) + (r % 2 ? 0.2 : 0));
            if ((r < 6) == (k > 1)) made_cell_state(&t, k, r, WR_CELL_SKIPPED);
        }
    ck_assert_int_eq(by_pool(&c, &t, pools), WR_OK);
    ck_assert_uint_eq(c.n_group, 3);
    ck_assert_int_eq(c.group[2].pace.reason, WR_COMPARE_NOT_CONNECTED);
    ck_assert(!c.group[2].pace.holm_p.known && c.group[2].pace.n_run[1] == 0);
    for (size_t i = 0; i < 2; i++) {
        ck_assert_int_eq(c.group[i].pace.reason, WR_COMPARE_DONE);
        ck_assert_uint_eq(c.group[i].pace.n_run[0] + c.group[i].pace.n_run[1], 6);
        p[i] = c.group[i].pace.permutation.p_two_sided;
    }
    ck_assert_double_eq_tol(fmin(c.group[0].pace.holm_p.value, c.group[1].pace.holm_p.value),
                            fmin(1, 2 * fmin(p[0], p[1])),
                            1e-12);
    wr_comparison_release(&c);
    made_timing_release(&t);
}
END_TEST

/* Minutes of the run by hand: EV1 does A 20, X 2 + 15 + 3 held, J 5 + 15, L 10; EV2 does D 30, waits 10 for EV1,
 * J 5 + 15. X is in no plan, and each lane's minutes make up the 70 and 60 until it is done all the same: after its
 * last task no lane waits. */
START_TEST(parts_of_a_run_add_up_to_the_ends_of_its_lanes)
{
    static const char plan[] = "task,crew,planned\nA,EV1,20\nD,EV2,30\nJ,EV1+EV2,15\nL,EV1,10\n";
    static const char log[] = "run,task,crew,start,end,hold,outcome\n"
                              "R1,A,EV1,09:00,09:20,,done\nR1,D,EV2,09:00,09:30,,done\n"
                              "R1,X,EV1,09:22,09:40,3,done\nR1,J,EV1+EV2,09:45,10:00,,done\n"
                              "R1,L,EV1,10:00,10:10,,done\n"
                              "R2,A,EV1,09:00,09:20,,done\nR2,D,EV2,09:00,09:30,,done\n"
                              "R2,J,EV1+EV2,09:30,09:45,,done\nR2,L,EV1,09:45,09:55,,done\n";
    struct read_campaign r = {0};
    struct wr_comparison c = {0};

    read_campaign(&r, plan, NULL, log);
    ck_assert_uint_eq(r.timing.n_other, 1);
    by_nothing(&c, &r.timing);
    const struct wr_compared_run *run = &c.run[0];
    ck_assert_double_eq_tol(run->active_min, 75, 1e-9);
    ck_assert_double_eq_tol(run->lead_in_min, 5, 1e-9);
    ck_assert_double_eq_tol(run->gap_min + run->hold_min, 0, 1e-9);
    ck_assert_double_eq_tol(run->off_plan_min, 20, 1e-9);
    ck_assert_double_eq_tol(run->waiting_min[0], 0, 1e-9);
    ck_assert_double_eq_tol(run->waiting_min[1], 10, 1e-9);
    ck_assert_double_eq_tol(r.timing.run[0].finish_min.value, 70, 1e-9);
    /* all lanes together: what is joint, J with its lead-in, passes in both */
    double joint = 15 + 5, parts = run->active_min + run->lead_in_min + run->gap_min + run->hold_min;
    ck_assert_double_eq_tol(parts + run->off_plan_min + joint + run->waiting_min[0] + run->waiting_min[1],
                            70 + 60, 1e-9);
    ck_assert_double_eq_tol(c.run[1].off_plan_min, 0, 1e-9);
    wr_comparison_release(&c);
    read_release(&r);
}
END_TEST

Suite *suite_compare(void);
Suite *suite_compare(void)
{
    Suite *s = suite_create("compare");
    TCase *truth = tcase_create("against a known truth"), *broken = tcase_create("attempts to break it");

    tcase_set_timeout(truth, 60);
    tcase_add_test(truth, planted_difference_is_found);
    tcase_add_test(truth, false_alarms_have_their_stated_rate);
    tcase_add_test(truth, learning_is_not_taken_for_a_difference);
    tcase_add_test(truth, trends_are_told_from_chance);
    tcase_add_test(truth, spread_is_in_units_of_each_task);
    tcase_add_test(truth, planted_trends_are_found);
    tcase_add_test(truth, length_is_not_carried_by_short_tasks);
    tcase_add_test(truth, what_stood_out_is_named);
    tcase_add_test(truth, a_slow_cell_among_few_tasks_does_not_hide_behind_the_day);
    tcase_add_test(truth, only_what_was_done_speaks);
    tcase_add_test(truth, parts_of_a_run_add_up_to_the_ends_of_its_lanes);
    tcase_add_test(broken, one_task_of_a_day_never_stands_out);
    tcase_add_test(broken, stopped_times_count_in_what_stands_out);
    tcase_add_test(broken, a_stopped_task_stands_out_when_it_was_long);
    tcase_add_test(broken, a_group_that_is_not_connected);
    tcase_add_test(broken, few_runs);
    tcase_add_test(broken, a_trend_takes_four_runs);
    tcase_add_test(broken, first_and_last_split);
    tcase_add_test(broken, runs_without_common_tasks);
    tcase_add_test(broken, equal_times_have_no_trend_and_no_difference);
    tcase_add_test(broken, entries_that_are_empty_or_hostile);
    tcase_add_test(broken, line_ups);
    tcase_add_test(broken, many_groups_multiply_the_chances);
    tcase_add_test(broken, random_groupings_repeat);
    tcase_add_test(broken, groups_that_the_log_cannot_give);
    suite_add_tcase(s, truth);
    suite_add_tcase(s, broken);
    return s;
}
