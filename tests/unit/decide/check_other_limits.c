/* Limits and confidences to be tried out: which there are, and that the given ones stand among them as they are. */
#include <check.h>
#include <math.h>
#include <stdio.h>
#include "made_excursion.h"
#include "wetrun/base/memory.h"
#include "wetrun/decide/other_limits.h"

enum { DAYS = 4000 };

struct asked {
    struct made_excursion e;
    struct wr_forecast forecast;
    struct wr_other_limits other;
};

/* One lane of n like tasks, their sum held against limit_min. */
static void ask(struct asked *a, size_t n_task, double task_min, double limit_min, double confidence)
{
    struct made_task task[64];
    char id[64][8];
    struct wr_error err;

    *a = (struct asked){0};
    for (size_t k = 0; k < n_task; k++) {
        snprintf(id[k], sizeof id[k], "T%zu", k);
        task[k] = (struct made_task){.id = id[k], .median_min = task_min, .sigma = 0.2};
    }
    made_excursion_plan(&a->e, task, n_task, 0.1, 1);
    const struct wr_cutoff_limit first = {{.lanes = 1, .minutes = limit_min}, confidence};
    const struct wr_sim_options sim = {.n_trial = DAYS, .seed = 1, .n_thread = 1, .limit = &first.limit, .n_limit = 1};
    const struct wr_basis basis = made_excursion_basis(&a->e);
    ck_assert_int_eq(wr_forecast_run(&a->forecast, &a->e.net, &a->e.durations, &sim, &err), WR_OK);
    ck_assert_int_eq(wr_other_limits_make(&a->other, &basis, &a->forecast, &sim, &first, &err), WR_OK);
}

static void done(struct asked *a)
{
    wr_other_limits_release(&a->other); /* without cut-offs, which nobody worked out */
    wr_forecast_release(&a->forecast);
    made_excursion_release(&a->e);
}

static const struct {
    double confidence, all[WR_OTHER_CONFIDENCES];
    size_t n, given;
} wanted[] = {{0.6, {0.6, 0.8, 0.9, 0.95}, 4, 0},
              {0.8, {0.8, 0.9, 0.95}, 3, 0},
              {0.85, {0.8, 0.85, 0.9, 0.95}, 4, 1},
              {0.9, {0.8, 0.9, 0.95}, 3, 1},
              {0.9 - 1e-12, {0.8, 0.9 - 1e-12, 0.95}, 3, 1}, /* rounding makes no other confidence */
              {0.93, {0.8, 0.9, 0.93, 0.95}, 4, 2},
              {0.95, {0.8, 0.9, 0.95}, 3, 2},
              {0.99, {0.8, 0.9, 0.95, 0.99}, 4, 3}};

START_TEST(the_wanted_confidence_is_among_the_usual_ones)
{
    struct asked a;

    ask(&a, 3, 60, 200.5, wanted[_i].confidence);
    ck_assert_uint_eq(a.other.n_confidence, wanted[_i].n);
    ck_assert_uint_eq(a.other.given_confidence, wanted[_i].given);
    for (size_t i = 0; i < wanted[_i].n; i++)
        ck_assert_double_eq_tol(a.other.confidence[i], wanted[_i].all[i], 1e-12);
    done(&a);
}
END_TEST

/* Whole minutes with the limit as it is among them, half an hour to either side at least; its number is the
 * forecast's. */
START_TEST(the_limit_is_among_the_others)
{
    struct asked a;
    struct wr_cutoff_limit wish[WR_OTHER_CUTOFFS * WR_OTHER_CONFIDENCES];

    ask(&a, 3, 60, 200.5, 0.9);
    const struct wr_other_limits *o = &a.other;
    ck_assert_double_eq(o->limit_min[o->given_limit], 200.5);
    ck_assert_double_eq(o->over[o->given_limit].mean, a.forecast.limit[0].over.mean);
    ck_assert(o->limit_min[0] <= 170.5 && o->limit_min[o->n_limit - 1] >= 230);
    for (size_t i = 1; i < o->n_limit; i++) {
        ck_assert_double_lt(o->limit_min[i - 1], o->limit_min[i]);
        ck_assert_double_ge(o->over[i - 1].mean, o->over[i].mean);
        if (i != o->given_limit) ck_assert_double_eq(o->limit_min[i], floor(o->limit_min[i]));
    }
    ck_assert_uint_eq(o->n_cut, 3); /* 20 min to either side */
    double step = o->limit_min[1] - o->limit_min[0]; /* whole minutes: the given one is half of one off */
    ck_assert_double_eq_tol(o->limit_min[o->cut_limit[0]], 180.5, step / 2 + 0.5);
    ck_assert_double_eq_tol(o->limit_min[o->cut_limit[2]], 220.5, step / 2 + 0.5);
    ck_assert_uint_eq(wr_other_limits_wish(o, &(struct wr_sim_limit){.lanes = 1}, wish), 9);
    ck_assert(wish[4].limit.minutes == 200.5 && wish[4].confidence == 0.9);
    done(&a);
}
END_TEST

/* One lane whose tasks all take longer by one factor: over a limit go as many as went over the limit less that factor,
 * whatever other limits stand beside. By a factor of 1 nothing moves. */
START_TEST(limits_with_tasks_that_take_longer)
{
    struct asked a;
    const struct wr_whatif_options options = {.n_trial = DAYS, .seed = 1, .n_thread = 1, .means_alone = true};
    const struct wr_sim_limit limit[] = {{.lanes = 1, .minutes = 200.5},
                                         {.is_clock = true, .from = 1, .to = 2, .minutes = 90}};
    struct wr_error err;
    double scale[3] = {1, 1, 1};

    ask(&a, 3, 60, 200.5, 0.9);
    struct wr_other_limits *o = &a.other;
    const struct wr_variant base = {
        .name = "as it is", .net = &a.e.net, .durations = &a.e.durations, .limit = limit, .n_limit = 2};
    ck_assert_int_eq(wr_other_limits_longer(o, &base, scale, &options, &err), WR_OK);
    for (size_t i = 0; i < o->n_limit; i++) ck_assert_double_eq_tol(o->longer_over[i], o->over[i].mean, 1e-12);
    for (size_t from = 20; from < o->given_limit; from += 15) {
        const size_t to = o->given_limit + 5;
        for (size_t k = 0; k < 3; k++) scale[k] = o->limit_min[to] / o->limit_min[from];
        WR_FREE(o->longer_over);
        ck_assert_int_eq(wr_other_limits_longer(o, &base, scale, &options, &err), WR_OK);
        ck_assert(o->over[from].mean > o->over[to].mean + 0.1);
        ck_assert_double_eq_tol(o->longer_over[to], o->over[from].mean,
                                4 * hypot(o->over[from].mc_error, 2 * o->over[to].mc_error));
    }
    done(&a);
}
END_TEST

/* Of each limit that is tried what is said of it where it is the only one. */
START_TEST(limits_with_tasks_that_get_stuck)
{
    struct asked a;
    unsigned char was[3] = {0, 1, 0};
    const struct wr_stuck stuck = {.was = was, .usual = 1.5, .chance = 0.2, .chance_hi = 0.3, .told = true};

    ask(&a, 3, 60, 200.5, 0.9);
    struct wr_other_limits *o = &a.other;
    struct wr_basis basis = made_excursion_basis(&a.e);
    struct wr_sim_limit limit = {.lanes = 1, .minutes = 200.5};
    basis.limit = &limit;
    basis.n_limit = 1;
    wr_other_limits_stuck(o, &basis, &stuck, 1, 1);
    for (size_t i = 0; i < o->n_limit; i += 7) {
        double more;
        limit.minutes = o->limit_min[i];
        wr_stuck_cost(&more, &stuck, &basis, 1, 1);
        const struct wr_stuck_over then = wr_stuck_over(&stuck, &o->over[i], more);
        ck_assert(then.mean == o->stuck[i].mean && then.hi == o->stuck[i].hi);
    }
    ck_assert_double_gt(o->stuck[o->given_limit].mean, o->over[o->given_limit].mean + 0.05);
    done(&a);
}
END_TEST

/* Of days rather than hours no limit lies 20 min beside the given one: cut-offs of that alone. Of many tasks none. */
START_TEST(where_fewer_cutoffs_are_worked_out)
{
    struct asked a;

    ask(&a, 3, 9000, 30000, 0.9);
    ck_assert_double_eq(a.other.limit_min[a.other.given_limit], 30000);
    ck_assert_uint_le(a.other.n_limit, 152);
    ck_assert(a.other.n_cut == 1 && a.other.cut_limit[0] == a.other.given_limit);
    done(&a);
    ask(&a, 41, 5, 220, 0.9);
    ck_assert_uint_eq(a.other.n_cut, 0);
    done(&a);
}
END_TEST

Suite *suite_other_limits(void);
Suite *suite_other_limits(void)
{
    Suite *s = suite_create("other_limits");
    TCase *t = tcase_create("other_limits");

    tcase_set_timeout(t, 60);
    tcase_add_loop_test(t, the_wanted_confidence_is_among_the_usual_ones, 0, (int)(sizeof wanted / sizeof *wanted));
    tcase_add_test(t, the_limit_is_among_the_others);
    tcase_add_test(t, limits_with_tasks_that_take_longer);
    tcase_add_test(t, limits_with_tasks_that_get_stuck);
    tcase_add_test(t, where_fewer_cutoffs_are_worked_out);
    suite_add_tcase(s, t);
    return s;
}
