/* Timelines on the same points: against runs of their own, and against closed forms over posterior draws. */
#include <check.h>
#include <gsl/gsl_cdf.h>
#include <math.h>
#include "../../../src/sim/points.h"
#include "made_excursion.h"
#include "wetrun/base/memory.h"
#include "wetrun/sim/pairing.h"
#include "wetrun/stats/quantile.h"

/* ---- walked together ---- */

enum { DRAWS = 12, PER_DRAW = 16 };

/* Rows of rules and factors for a line of the excursion. */
struct changed {
    struct wr_network net;
    double not_before[8], drop_after[8], factor[8];
    struct wr_setup setup;
};

static void change(struct changed *c, const struct made_excursion *e, size_t drop, size_t lift, size_t shorten)
{
    c->net = e->net;
    for (size_t k = 0; k < e->net.n_task; k++) {
        c->not_before[k] = k == drop ? 0 : e->net.not_before_min[k];
        c->drop_after[k] = k == drop || k == lift ? INFINITY : e->net.drop_after_min[k];
        c->factor[k] = k == drop ? 0 : k == shorten ? 0.7 : 1;
    }
    c->net.not_before_min = c->not_before;
    c->net.drop_after_min = c->drop_after;
}

static void spread_draws(struct made_excursion *e)
{
    struct wr_durations *d = &e->durations;

    for (size_t k = 0; k < d->n_task; k++)
        for (size_t j = 0; j < d->n_draw; j++)
            d->centre_log[k * d->n_draw + j] += 0.1 * cos(3.0 * (double)j + (double)k);
}

/* Whichever tasks differ from the line before, each line is to the bit what it is by itself. rules: some task may be
 * dropped, so that all are counted; else the run effect is integrated. */
START_TEST(lines_are_what_they_are_alone)
{
    const bool rules = _i;
    enum { LINES = 5, TASKS = 6, NONE = 99 };
    static const size_t what[LINES][3] = {
        {NONE, NONE, NONE}, {NONE, 3, NONE}, {2, NONE, NONE}, {NONE, NONE, 4}, {5, 3, 0}};
    const struct made_task task[TASKS] = {
        {.id = "A", .crew = "1+2", .median_min = 20, .sigma = 0.2},
        {.id = "B", .median_min = 30, .sigma = 0.3, .not_before_min = 25},
        {.id = "C", .crew = "2", .median_min = 35, .sigma = 0.2},
        {.id = "D", .crew = "2", .median_min = 25, .sigma = 0.2, .drop_after_min = rules ? 60 : 0},
        {.id = "E", .median_min = 12, .sigma = 0.1},
        {.id = "F", .crew = "1+2", .median_min = 15}};
    const struct wr_sim_limit limit[] = {{.lanes = 3, .minutes = 110}, {.lanes = 1, .minutes = 80},
                                         {.is_clock = rules, .lanes = 3, .from = 1, .to = 5, .minutes = 95}};
    struct made_excursion e = {0};
    struct changed c[LINES];
    struct wr_points together[LINES], alone[1];
    struct wr_points_line line[LINES];
    struct wr_error err;

    made_excursion_plan(&e, task, TASKS, 0.1, DRAWS);
    spread_draws(&e);
    for (size_t m = 0; m < LINES; m++) {
        change(&c[m], &e, what[m][0], what[m][1], what[m][2]);
        ck_assert_int_eq(
            wr_setup_build(&c[m].setup, wr_kernel_best(), &c[m].net, &e.durations, limit, 3, 5, &err), WR_OK);
        line[m] = (struct wr_points_line){&c[m].setup, c[m].factor};
    }
    wr_points_lines_run(together, line, LINES, PER_DRAW, 1, 2);
    for (size_t m = 0; m < LINES; m++) {
        struct wr_points_line twice[2] = {line[m], line[0]}; /* with the first beside it: reckoned in the same way */
        struct wr_points own[2];
        double moved = 0;
        wr_points_lines_run(own, twice, 2, PER_DRAW, 1, 1);
        for (size_t i = 0; i < 4 * DRAWS * WR_REPLICATES; i++) {
            ck_assert_double_eq(together[m].over[i], own[0].over[i]);
            moved += fabs(together[m].over[i] - together[0].over[i]);
        }
        for (size_t i = 0; i < DRAWS * WR_REPLICATES; i++)
            ck_assert_double_eq(together[m].finish[i], own[0].finish[i]);
        ck_assert_msg((moved > 0) == (m > 0 && (rules || m > 1)), "line %zu moved by %g", m, moved);
        for (size_t i = 0; i < 2; i++) wr_points_release(&own[i]);
    }
    wr_points_run(alone, &c[0].setup, PER_DRAW, NULL, 0, 1, NULL, NULL);
    for (size_t i = 0; i < 4 * DRAWS * WR_REPLICATES; i++)
        ck_assert_double_eq(together[0].over[i], alone->over[i]);
    wr_points_release(alone);
    for (size_t m = 0; m < LINES; m++) {
        wr_points_release(&together[m]);
        wr_setup_release(&c[m].setup);
    }
    made_excursion_release(&e);
}
END_TEST

/* ---- against closed forms ---- */

/* ln of the minutes is N(centre of the draw, 0.2^2 + 0.1^2): A takes them, or 0.9 of them, and what may not go over is
 * reached by few days of a fast draw and by half of a slow one. In the second round a rule that never drops anything
 * has the days counted. */
static double over(double centre, double minutes)
{
    return gsl_cdf_ugaussian_Q((log(minutes) - centre) / hypot(0.2, 0.1));
}

enum { MANY = 2000 };

static double centre_of(size_t draw)
{
    return log(40) + 0.13 * gsl_cdf_ugaussian_Pinv(fmod(((double)draw + 0.5) * 0.6180339887498949, 1));
}

struct pair {
    struct made_excursion e;
    struct changed c;
    struct wr_sim_limit limit;
    struct wr_pairing p;
};

static void open_pair(struct pair *q, bool counted, size_t n_draw, double minutes, double factor, uint64_t seed)
{
    const struct made_task task[] = {{.id = "A", .median_min = 40, .sigma = 0.2},
                                     {.id = "B", .drop_after_min = counted ? 5000 : 0}};

    *q = (struct pair){.limit = {.lanes = 1, .minutes = minutes}};
    made_excursion_plan(&q->e, task, 2, 0.1, n_draw);
    for (size_t j = 0; j < n_draw && n_draw > 1; j++) q->e.durations.centre_log[j] = centre_of(j);
    change(&q->c, &q->e, 99, 99, 99);
    q->c.factor[0] = factor;
    const struct wr_pairing_line line[] = {{&q->e.net, &q->e.durations, NULL, &q->limit},
                                           {&q->c.net, &q->e.durations, q->c.factor, &q->limit}};
    ck_assert_int_eq(wr_pairing_run(&q->p, line, 2, 1, false, seed, 1, NULL), WR_OK);
}

static void close_pair(struct pair *q)
{
    wr_pairing_release(&q->p);
    made_excursion_release(&q->e);
}

struct truth { double mean, lo, hi, lo_over; };

static struct truth truth_of(double minutes, double factor)
{
    static double gain[MANY], all[MANY];
    struct truth t = {0};

    for (size_t j = 0; j < MANY; j++) {
        all[j] = over(centre_of(j), minutes);
        gain[j] = all[j] - over(centre_of(j), minutes / factor);
        t.mean += gain[j] / MANY;
    }
    t.lo = wr_quantile(gain, MANY, 0.05, WR_QUANTILE_TYPE_7);
    t.hi = wr_quantile(gain, MANY, 0.95, WR_QUANTILE_TYPE_7);
    t.lo_over = wr_quantile(all, MANY, 0.05, WR_QUANTILE_TYPE_7);
    return t;
}

START_TEST(ends_are_those_of_the_draws)
{
    const double UNSEEN = 5e-5; /* a tenth of what reads as 0.1 of 100 */
    static const struct { double minutes, factor; } c[] = {{75, 0.9}, {65, 0.9}, {55, 0.8}, {75, 1.1}};

    for (size_t i = 0; i < sizeof c / sizeof *c; i++)
        for (uint64_t seed = 1; seed <= 3; seed++) {
            struct truth t = truth_of(c[i].minutes, c[i].factor);
            struct pair q;
            open_pair(&q, _i, MANY, c[i].minutes, c[i].factor, seed);
            struct wr_paired d = wr_pairing_fewer(&q.p, 0, 1, 0);
            double sign = t.mean < 0 ? -1 : 1, near = sign * (t.mean < 0 ? d.hi : d.lo),
                   near_se = t.mean < 0 ? d.hi_se : d.lo_se, wanted = sign * (t.mean < 0 ? t.hi : t.lo),
                   far = sign * (t.mean < 0 ? d.lo : d.hi), furthest = sign * (t.mean < 0 ? t.lo : t.hi);
            ck_assert_double_eq_tol(d.mean, t.mean, 0.02 * fabs(t.mean));
            ck_assert_msg(near <= 1.1 * wanted + UNSEEN && near >= 0.9 * wanted - 3 * near_se - UNSEEN,
                          "case %zu, seed %zu: %g +- %g, wanted %g", i, (size_t)seed, near, near_se, wanted);
            ck_assert_double_eq_tol(far, furthest, 0.05 * furthest);
            ck_assert(near_se < fmax(5e-4, 0.4 * wanted));
            ck_assert(sign < 0 || d.lo <= t.lo_over + UNSEEN);
            close_pair(&q);
        }
}
END_TEST

/* Eight tasks in a row, whose sum has no closed form: what thirty-two times the points say. Of fast draws hardly a day
 * goes over, and next to nothing is gained. All draws pulled alike towards the mean had half as much again. */
START_TEST(an_end_near_none_is_no_gain_that_no_draw_has)
{
    enum { TASKS = 8, FEW = 400, MORE = 1024 };
    static const char *const id[TASKS + 1] = {"A", "B", "C", "D", "E", "F", "G", "H", "I"};
    struct made_task task[TASKS + 1] = {[TASKS] = {.id = "I", .drop_after_min = 5000}};
    double factor[TASKS + 1], gain[FEW] = {0};
    const struct wr_sim_limit limit = {.lanes = 1, .minutes = 250};
    struct made_excursion e = {0};
    struct wr_setup setup;
    struct wr_points points[2];
    struct wr_pairing p = {0};
    struct wr_error err;

    for (size_t k = 0; k < TASKS; k++) task[k] = (struct made_task){.id = id[k], .median_min = 20, .sigma = 0.3};
    made_excursion_plan(&e, task, TASKS + 1, 0.1, FEW);
    for (size_t k = 0; k < TASKS; k++)
        for (size_t j = 0; j < FEW; j++)
            e.durations.centre_log[k * FEW + j] += 0.1 * (centre_of(j) - log(40)) / 0.13;
    for (size_t k = 0; k <= TASKS; k++) factor[k] = k == 1 ? 0.8 : 1;
    ck_assert_int_eq(wr_setup_build(&setup, wr_kernel_best(), &e.net, &e.durations, &limit, 1, 77, &err), WR_OK);
    const struct wr_points_line line[] = {{&setup, NULL}, {&setup, factor}};
    wr_points_lines_run(points, line, 2, MORE, 1, 2);
    for (size_t i = 0; i < FEW * WR_REPLICATES; i++)
        gain[i / WR_REPLICATES] += (points[0].over[i] - points[1].over[i]) / WR_REPLICATES;
    double wanted = wr_quantile(gain, FEW, 0.05, WR_QUANTILE_TYPE_7);
    const struct wr_pairing_line pair[] = {{&e.net, &e.durations, NULL, &limit},
                                           {&e.net, &e.durations, factor, &limit}};
    for (uint64_t seed = 1; seed <= 4; seed++) {
        ck_assert_int_eq(wr_pairing_run(&p, pair, 2, 1, false, seed, 2, &err), WR_OK);
        struct wr_paired d = wr_pairing_fewer(&p, 0, 1, 0);
        ck_assert_msg(d.lo > 0 && d.lo <= 1.1 * wanted && d.lo >= wanted - 2 * d.lo_se,
                      "seed %d: %g +- %g, wanted %g", (int)seed, d.lo, d.lo_se, wanted);
        wr_pairing_release(&p);
    }
    for (size_t m = 0; m < 2; m++) wr_points_release(&points[m]);
    wr_setup_release(&setup);
    made_excursion_release(&e);
}
END_TEST

START_TEST(nothing_unknown_has_no_interval)
{
    struct pair q;
    double wanted = over(log(40), 55) - over(log(40), 55 / 0.9);

    open_pair(&q, _i, 1, 55, 0.9, 1);
    struct wr_paired d = wr_pairing_fewer(&q.p, 0, 1, 0), none = wr_pairing_fewer(&q.p, 0, 0, 0);
    ck_assert(d.no_interval && d.lo == d.mean && d.hi == d.mean && d.lo_se == d.se && d.hi_se == d.se);
    ck_assert_double_eq_tol(d.mean, wanted, 4 * d.se + 1e-5);
    ck_assert(d.se < 1e-3);
    ck_assert_double_eq(wr_pairing_share_fewer(&q.p, 0, 1, 0), 1);
    ck_assert_double_eq(wr_pairing_share_fewer(&q.p, 1, 0, 0), 0);
    ck_assert_double_eq(wr_pairing_share_fewer(&q.p, 0, 0, 0), 0.5);
    ck_assert(none.mean == 0 && none.lo == 0 && none.hi == 0);
    close_pair(&q);
}
END_TEST

/* The finish is A's minutes: a tenth off its mean, exp(centre + (0.2^2 + 0.1^2) / 2), in each draw. */
START_TEST(finishes_differ_as_the_means_do)
{
    static double saved[MANY];
    double mean = 0;
    struct pair q;

    open_pair(&q, _i, MANY, 55, 0.9, 1);
    for (size_t j = 0; j < MANY; j++) {
        saved[j] = 0.1 * exp(centre_of(j) + 0.5 * (0.2 * 0.2 + 0.1 * 0.1));
        mean += saved[j] / MANY;
    }
    struct wr_paired d = wr_pairing_earlier(&q.p, 0, 1);
    ck_assert_double_eq_tol(d.mean, mean, 0.01 * mean);
    ck_assert_double_eq_tol(d.lo, wr_quantile(saved, MANY, 0.05, WR_QUANTILE_TYPE_7), 0.02 * mean);
    ck_assert_double_eq_tol(d.hi, wr_quantile(saved, MANY, 0.95, WR_QUANTILE_TYPE_7), 0.02 * mean);
    ck_assert_double_eq_tol(wr_pairing_finish(&q.p, 0) - wr_pairing_finish(&q.p, 1), d.mean, 1e-9);
    ck_assert_double_eq(wr_pairing_share_earlier(&q.p, 0, 1), 1);
    close_pair(&q);
}
END_TEST

Suite *suite_pairing(void);
Suite *suite_pairing(void)
{
    Suite *s = suite_create("pairing");
    TCase *t = tcase_create("pairing");

    tcase_set_timeout(t, 60);
    tcase_add_loop_test(t, lines_are_what_they_are_alone, 0, 2);
    tcase_add_loop_test(t, ends_are_those_of_the_draws, 0, 2);
    tcase_add_test(t, an_end_near_none_is_no_gain_that_no_draw_has);
    tcase_add_loop_test(t, nothing_unknown_has_no_interval, 0, 2);
    tcase_add_loop_test(t, finishes_differ_as_the_means_do, 0, 2);
    suite_add_tcase(s, t);
    return s;
}
