/* Further rehearsals priced on small campaigns with a known truth, and held against really doing it: the same kind of
 * futures, each fitted again from scattered starts with burn-in and many draws. What lies between simulated futures and
 * a row is held against closed forms in tests/reference/check_outlook.c. */
#include <check.h>
#include <math.h>
#include <string.h>
#include "made_rehearsals.h"
#include "wetrun/base/memory.h"
#include "wetrun/decide/runs_needed.h"
#include "wetrun/model/further_day.h"
#include "wetrun/stats/summary.h"

Suite *suite_runs_needed(void);

static const struct made_truth plain = {.n_task = 6, .n_run = 5, .median_min = {20, 25, 30, 22, 15, 18},
                                        .sigma = {0.2, 0.3, 0.15, 0.2, 0.25, 0.2}, .tau = 0.08, .people = true,
                                        .seed = 4};

struct question { /* start as {0} */
    struct made_rehearsals r;
    struct wr_fit_options fit_options;
    struct wr_findings findings;
    struct wr_model_fit fit;
    struct wr_durations d;
    struct wr_sim_limit limit, second;
    struct wr_runs_needed_options options;
    const struct wr_carry_over *carry_over; /* of which it is said alone that it is there */
};

static const size_t one_and_four[] = {1, 4};

static void ask(struct question *q, const struct made_truth *truth, double limit_min, enum wr_target target)
{
    struct wr_error err;

    *q = (struct question){.fit_options = wr_fit_options_default(), .options = wr_runs_needed_default()};
    made_rehearsals_make(&q->r, truth);
    q->fit_options.target = target;
    q->fit_options.sampler = (struct wr_sampler_options){.n_chain = 2, .n_burn = 200, .n_keep = 300, .thin = 3,
                                                         .seed = 5, .n_thread = 2};
    ck_assert_int_eq(wr_model_fit(&q->fit, &q->r.plan, &q->r.timing, &q->fit_options, &q->findings, &err), WR_OK);
    ck_assert_int_eq(wr_durations_build(&q->d, &q->r.plan, &q->r.net, &q->r.timing, &q->fit, NULL, &q->fit_options,
                                        &q->findings, &err), WR_OK);
    q->limit = (struct wr_sim_limit){.lanes = 3, .minutes = limit_min};
    q->second = (struct wr_sim_limit){.lanes = 2, .minutes = 88};
    q->options.further = one_and_four;
    q->options.n_further = 2;
    q->options.n_future = 600;
    q->options.n_refit = 32;
    q->options.n_keep = 60;
    q->options.confidence = 0.8;
    q->options.seed = 3;
    q->options.n_thread = 2;
}

static enum wr_status answer(struct wr_runs_needed *needed, const struct question *q, struct wr_error *err)
{
    const struct wr_sim_limit both[2] = {q->limit, q->second};
    const struct wr_basis basis = {.plan = &q->r.plan,
                                   .net = &q->r.net,
                                   .timing = &q->r.timing,
                                   .fit = &q->fit,
                                   .fit_options = &q->fit_options,
                                   .carry_over = q->carry_over,
                                   .durations = &q->d,
                                   .limit = both,
                                   .n_limit = 2};

    return wr_runs_needed_make(needed, &basis, &q->options, err);
}

static void answer_well(struct wr_runs_needed *needed, const struct question *q)
{
    struct wr_error err = {0};

    ck_assert_msg(answer(needed, q, &err) == WR_OK, "%s", err.text);
}

static void done(struct question *q)
{
    wr_durations_release(&q->d);
    wr_model_fit_release(&q->fit);
    wr_findings_release(&q->findings);
    made_rehearsals_release(&q->r);
}

START_TEST(the_same_numbers_on_any_number_of_threads)
{
    struct question q;
    struct wr_runs_needed one = {0}, three = {0}, other_seed = {0};

    ask(&q, &plain, 95, WR_FOR_REHEARSAL);
    q.options.n_refit = 20; /* more than one batch, the last one not full */
    q.options.n_thread = 1;
    answer_well(&one, &q);
    q.options.n_thread = 3;
    answer_well(&three, &q);
    q.options.seed++;
    answer_well(&other_seed, &q);
    /* EV1 works 65 min before the joint end, EV2 47 min: a session on B or D would move nothing */
    ck_assert_uint_eq(one.sessions.n, 4);
    for (size_t i = 0; i < 4; i++) ck_assert(one.sessions.row[i].task != 1 && one.sessions.row[i].task != 3);
    ck_assert_mem_eq(one.row, three.row, 2 * sizeof *one.row);
    ck_assert_mem_eq(one.sessions.row, three.sessions.row, 4 * sizeof *one.sessions.row);
    ck_assert(one.over.mean == three.over.mean && one.width == three.width);
    ck_assert_mem_ne(one.row, other_seed.row, 2 * sizeof *one.row);
    wr_runs_needed_release(&one);
    wr_runs_needed_release(&three);
    wr_runs_needed_release(&other_seed);
    done(&q);
}
END_TEST

START_TEST(now_is_what_the_forecast_says)
{
    struct question q;
    struct wr_runs_needed needed = {0};
    struct wr_forecast f = {0};

    ask(&q, &plain, 95, WR_FOR_REHEARSAL);
    q.options.n_refit = 16;
    answer_well(&needed, &q);
    const struct wr_sim_options sim = {.seed = q.options.seed, .n_thread = 2, .limit = &q.limit, .n_limit = 1};
    ck_assert_int_eq(wr_forecast_run(&f, &q.r.net, &q.d, &sim, NULL), WR_OK);
    ck_assert(needed.over.mean == f.limit[0].over.mean && needed.over.lo == f.limit[0].over.lo);
    ck_assert(needed.over.hi == f.limit[0].over.hi && needed.width == needed.over.hi - needed.over.lo);
    ck_assert(needed.last_order == 5 && needed.target_order == 6 && needed.n_run == 5);
    wr_forecast_release(&f);
    wr_runs_needed_release(&needed);
    done(&q);
}
END_TEST

/* No answer is "inside" on fewer than four complete rehearsals: one more makes three of two. */
START_TEST(few_complete_rehearsals_are_never_clear_inside)
{
    struct question q;
    struct wr_runs_needed needed = {0};

    ask(&q, &plain, 300, WR_FOR_REHEARSAL);
    q.options.n_refit = 16;
    for (size_t r = 0; r < 3; r++) q.r.timing.run[r].complete = false;
    for (size_t r = 3; r < q.r.timing.n_run; r++) q.r.timing.run[r].complete = true;
    answer_well(&needed, &q);
    ck_assert(needed.row[0].clear_inside.value == 0 && needed.row[0].clear_inside.error == 0);
    ck_assert(needed.row[1].clear_inside.value > 0.9);
    wr_runs_needed_release(&needed);
    done(&q);
}
END_TEST

/* Where hardly a day goes over, the lower end is next to nothing and its regression on what was predicted can have any
 * slope: a control that would bring more doubt than it removes is none. */
START_TEST(ends_near_nought_make_the_width)
{
    struct question q;
    struct wr_runs_needed needed = {0};
    struct made_truth truth = plain;

    truth.seed = 4 + (unsigned)_i;
    truth.n_run = 3;
    ask(&q, &truth, 130 + 15 * (_i % 4), WR_FOR_REHEARSAL);
    answer_well(&needed, &q);
    for (size_t i = 0; i < needed.n_row; i++) {
        const struct wr_runs_needed_row *row = &needed.row[i];
        ck_assert_msg(row->lo.error < 0.1 * row->hi.value, "lower end %g ± %g of %g", row->lo.value, row->lo.error,
                      row->hi.value);
        ck_assert_double_eq_tol(row->hi.value - row->lo.value, row->width.value, row->width.error);
    }
    wr_runs_needed_release(&needed);
    done(&q);
}
END_TEST

/* The numbers of a second limit are those that it has as the first. */
START_TEST(a_limit_beside_the_first_is_told_the_same)
{
    static const struct wr_runs_needed_wish wish = {1, 0.95};
    struct question q, alone;
    struct wr_runs_needed both = {0}, one = {0};

    ask(&q, &plain, 95, WR_FOR_REHEARSAL);
    q.options.n_refit = 16;
    alone = q;
    alone.limit = q.second;
    alone.options.confidence = 0.95;
    q.options.other = &wish;
    q.options.n_other = 1;
    answer_well(&both, &q);
    answer_well(&one, &alone);
    ck_assert_uint_eq(both.n_other, 1);
    ck_assert(both.other[0].limit == 1 && both.other[0].confidence == 0.95);
    ck_assert_mem_eq(&both.other[0].over, &one.over, sizeof one.over);
    ck_assert(both.other[0].width == one.width);
    ck_assert_mem_eq(both.other[0].row, one.row, 2 * sizeof *one.row);
    /* and each has sessions of its own */
    ck_assert(one.sessions.n > 0 && both.other[0].sessions.n == one.sessions.n);
    ck_assert_mem_eq(both.other[0].sessions.row, one.sessions.row, one.sessions.n * sizeof *one.sessions.row);
    ck_assert(both.over.mean != one.over.mean);
    wr_runs_needed_release(&both);
    wr_runs_needed_release(&one);
    done(&q);
}
END_TEST

static void stays(const struct wr_runs_needed *n)
{
    for (size_t i = 0; i < n->n_row; i++)
        ck_assert_msg(fabs(n->row[i].over.value - n->over.mean) < 4 * n->row[i].over.error,
                      "after %zu: %g +- %g, now %g", n->row[i].further, n->row[i].over.value, n->row[i].over.error,
                      n->over.mean);
}

/* Learning is strong and the day matters little here: four rehearsals on, the next run would be a tenth shorter or
 * more. */
START_TEST(the_target_stays_where_it_is)
{
    struct made_truth learning = plain;
    struct question q;
    struct wr_runs_needed needed = {0};

    learning.slope = -0.3;
    learning.tau = 0.02;
    for (size_t k = 0; k < learning.n_task; k++) learning.sigma[k] = 0.1;
    for (int target = 0; target < 2; target++) {
        ask(&q, &learning, 52, target ? WR_FOR_EXCURSION : WR_FOR_REHEARSAL);
        answer_well(&needed, &q);
        ck_assert(needed.target_order == (target ? 5 : 6));
        stays(&needed);
        ck_assert_msg(needed.row[1].over.error < 0.05, "the error leaves room for anything: %g",
                      needed.row[1].over.error);
        wr_runs_needed_release(&needed);
        done(&q);
    }
    ask(&q, &learning, 52, WR_FOR_REHEARSAL);
    q.fit_options.hold_learning = true;
    q.options.n_refit = 16;
    answer_well(&needed, &q);
    ck_assert(needed.target_order == 5);
    wr_runs_needed_release(&needed);
    done(&q);
}
END_TEST

/* Times that no rehearsal tells, a plan of no minutes apart; carried over to flight in a forecast of the excursion
 * alone. */
START_TEST(what_it_rests_on_is_said)
{
    static struct wr_history_row flown[] = {{"X1", "transit", 12, 10.5, 2, false},
                                            {"X1", "fastener", 40, 46, 3, false},
                                            {"X2", "transit", 15, 14, 4, false}};
    const struct wr_history history = {.row = flown, .n_row = 3};
    struct wr_carry_over carry_over = {0};
    struct question q;
    struct wr_runs_needed needed = {0};

    ck_assert_int_eq(wr_carry_over_fit(&carry_over, &history, NULL), WR_OK);
    for (int target = 0; target < 2; target++) {
        ask(&q, &plain, 95, target ? WR_FOR_EXCURSION : WR_FOR_REHEARSAL);
        q.options.n_refit = 16;
        q.carry_over = &carry_over;
        WR_SCOPED unsigned char *restated = WR_NEW_ARRAY(unsigned char, plain.n_task);
        answer_well(&needed, &q);
        ck_assert(needed.carry_over == (target == 1) && needed.n_judged == 0);
        wr_runs_needed_release(&needed);
        q.d.restated = restated;
        q.d.restated[2] = 1;
        answer_well(&needed, &q);
        ck_assert_uint_eq(needed.n_judged, 1);
        wr_runs_needed_release(&needed);
        q.d.restated = NULL;
        done(&q);
    }
    ask(&q, &plain, 95, WR_FOR_REHEARSAL);
    q.options.n_refit = 16;
    for (int minutes = 0; minutes <= 20; minutes += 20) {
        q.d.source[1] = (struct wr_source){.kind = WR_SRC_FIXED, .p = {minutes}};
        answer_well(&needed, &q);
        ck_assert_uint_eq(needed.n_judged, minutes > 0);
        wr_runs_needed_release(&needed);
    }
    done(&q);
    wr_carry_over_release(&carry_over);
}
END_TEST

START_TEST(more_rehearsals_narrow_the_interval)
{
    struct question q;
    struct wr_runs_needed needed = {0};

    ask(&q, &plain, 95, WR_FOR_REHEARSAL);
    answer_well(&needed, &q);
    const struct wr_runs_needed_row *one = &needed.row[0], *four = &needed.row[1];
    ck_assert(four->width.value < needed.width - 3 * four->width.error);
    ck_assert(four->width.value < one->width.value);
    ck_assert(one->width.value < needed.width + 2 * one->width.error);
    ck_assert(four->removed.value > one->removed.value);
    for (size_t i = 0; i < 2; i++) {
        const struct wr_runs_needed_row *row = &needed.row[i];
        ck_assert(row->clear_inside.value >= 0 && row->clear_outside.value >= 0);
        ck_assert(row->clear_inside.value + row->clear_outside.value < 1 + 1e-9 + row->clear_inside.error);
        ck_assert_double_eq_tol(row->hi.value - row->lo.value, row->width.value, 0.02); /* own regressions each */
    }
    wr_runs_needed_release(&needed);
    done(&q);
}
END_TEST

/* One future of m days, fitted again as a user would: from scratch. */
static double width_really(const struct question *q, size_t future, size_t m)
{
    struct wr_fit_options own = q->fit_options;
    struct wr_model_table table = {0}, longer = {0};
    struct wr_model_fit fit = {0};
    struct wr_durations d = {0};
    struct wr_findings unused = {0};
    struct wr_probability over;
    const struct wr_sim_options sim = {.seed = 700 + future, .n_thread = 1, .limit = &q->limit, .n_limit = 1};
    double log_min[MADE_MOST_TASKS];
    size_t draw = future * 37 % q->fit.post.n_draw;

    own.sampler = (struct wr_sampler_options){.n_chain = 2, .n_burn = 200, .n_keep = 250, .thin = 2,
                                              .seed = 900 + future, .n_thread = 2};
    for (size_t j = 0; j < m; j++) {
        size_t line_up = wr_further_day_draw(&q->fit, &q->d, draw, 6 + (double)j, 1, 77, future * 8 + j, log_min);
        wr_further_day_add(&longer, j ? &table.data : &q->fit.data, &q->fit, &q->d, line_up, 6 + (double)j, log_min);
        wr_model_table_release(&table);
        table = longer;
    }
    ck_assert_int_eq(wr_model_refit(&fit, &q->fit, &table, &own, NULL), WR_OK);
    ck_assert_int_eq(wr_durations_build(&d, &q->r.plan, &q->r.net, &q->r.timing, &fit, NULL, &own, &unused, NULL),
                     WR_OK);
    double *by_draw = WR_NEW_ARRAY(double, d.n_draw);
    ck_assert_int_eq(wr_forecast_over(by_draw, &over, &q->r.net, &d, &sim, 8, NULL), WR_OK);
    wr_free(by_draw);
    wr_durations_release(&d);
    wr_model_fit_release(&fit);
    wr_findings_release(&unused);
    return over.hi - over.lo;
}

/* What stands in a forecast is what would be found again from the same points, of either limit. */
/* What two days show holds what the first of them shows, and as much again of the second, so it cannot tell less; far
 * out it hangs on how days differ, of which the first two said less by their sd alone than the first by how far it is
 * off. */
START_TEST(more_rehearsals_remove_more)
{
    static const struct made_truth alone = {.n_task = 6, .n_run = 5, .median_min = {20, 25, 30, 22, 15, 18},
                                            .sigma = {0.2, 0.3, 0.15, 0.2, 0.25, 0.2}, .tau = 0.08, .seed = 4};
    static const size_t one_two_four[] = {1, 2, 4};
    struct question q;
    struct wr_runs_needed needed = {0};

    ask(&q, &alone, 150, WR_FOR_EXCURSION);
    q.options.further = one_two_four;
    q.options.n_further = 3;
    q.options.n_future = 4000;
    q.options.n_refit = 8;
    q.options.n_keep = 16;
    answer_well(&needed, &q);
    ck_assert_double_lt(needed.over.mean, 0.03);
    for (size_t i = 1; i < 3; i++) {
        const struct wr_estimated *more = &needed.row[i].removed, *fewer = &needed.row[i - 1].removed;
        ck_assert_msg(wr_estimated_is_more(more, fewer), "after %zu %g, after %zu %g", one_two_four[i], more->value,
                      one_two_four[i - 1], fewer->value);
    }
    wr_runs_needed_release(&needed);
    done(&q);
}
END_TEST

START_TEST(now_from_the_forecast)
{
    const struct wr_runs_needed_wish second = {1, 0.7};
    struct question q;
    struct wr_runs_needed found = {0}, taken = {0};
    struct wr_forecast f = {0};

    ask(&q, &plain, 95, WR_FOR_REHEARSAL);
    const struct wr_sim_limit both[2] = {q.limit, q.second};
    const struct wr_sim_options sim = {.seed = q.options.seed, .n_thread = 2, .limit = both, .n_limit = 2};
    ck_assert_int_eq(wr_forecast_run(&f, &q.r.net, &q.d, &sim, NULL), WR_OK);
    q.options.other = &second;
    q.options.n_other = 1;
    answer_well(&found, &q);
    q.options.now = &f;
    answer_well(&taken, &q);
    ck_assert(found.over.mean != found.other[0].over.mean); /* else they could be exchanged */
    ck_assert_mem_eq(&taken.over, &found.over, sizeof found.over);
    ck_assert_mem_eq(&taken.other[0].over, &found.other[0].over, sizeof found.over);
    ck_assert_mem_eq(taken.row, found.row, found.n_row * sizeof *found.row);
    ck_assert_mem_eq(taken.other[0].row, found.other[0].row, found.n_row * sizeof *found.row);
    wr_forecast_release(&f);
    wr_runs_needed_release(&found);
    wr_runs_needed_release(&taken);
    done(&q);
}
END_TEST

START_TEST(as_if_it_had_been_done)
{
    enum { N_REALLY = 24 };
    struct question q;
    struct wr_runs_needed needed = {0};
    double width[N_REALLY];

    ask(&q, &plain, 95, WR_FOR_REHEARSAL);
    answer_well(&needed, &q);
    for (size_t i = 0; i < N_REALLY; i++) width[i] = width_really(&q, i, 4);
    struct wr_summary s = wr_summarise(width, N_REALLY);
    double error = hypot(needed.row[1].width.error, s.sd.value / sqrt(N_REALLY));
    ck_assert_msg(fabs(s.mean - needed.row[1].width.value) < 3.5 * error, "really %g, said %g, error %g", s.mean,
                  needed.row[1].width.value, error);
    ck_assert_msg(error < 0.2 * s.mean, "the error leaves room for anything: %g of %g", error, s.mean);
    wr_runs_needed_release(&needed);
    done(&q);
}
END_TEST

/* The longest task was rehearsed once, and goes wrong in its own way; the first takes next to no time. */
START_TEST(the_task_that_is_in_doubt_comes_first)
{
    struct made_truth doubtful = plain;
    struct question q;
    struct wr_runs_needed needed = {0};

    doubtful.median_min[0] = 0.5;
    doubtful.median_min[5] = 60;
    doubtful.n_seen[5] = 1;
    doubtful.tau = 0.02;
    ask(&q, &doubtful, 130, WR_FOR_REHEARSAL);
    q.options.n_refit = 16;
    answer_well(&needed, &q);
    ck_assert_uint_eq(needed.sessions.n, 6);
    ck_assert_uint_eq(needed.sessions.row[0].task, 5);
    ck_assert(needed.sessions.row[0].removed.value > 4 * needed.sessions.row[0].removed.error);
    ck_assert(needed.sessions.row[0].removed.value > 0.1);
    for (size_t i = 0; i < 6; i++) {
        const struct wr_session_row *s = &needed.sessions.row[i];
        ck_assert(i == 0 || s->removed.value <= s[-1].removed.value);
        ck_assert(s->removed.value < 1);
        if (s->task == 0) ck_assert(s->removed.value < 0.05 + 3 * s->removed.error && s->time_min < 10);
    }
    wr_runs_needed_release(&needed);
    done(&q);
}
END_TEST

START_TEST(too_little_to_say)
{
    struct made_truth two = plain;
    struct question q;
    struct wr_runs_needed needed = {0};
    struct wr_error err = {0};

    two.n_run = 2;
    ask(&q, &two, 95, WR_FOR_REHEARSAL);
    ck_assert_int_eq(answer(&needed, &q, &err), WR_E_TOO_FEW);
    ck_assert(strstr(err.text, "2 rehearsals") && !needed.row && !needed.sessions.row);
    q.fit_options.model = WR_MODEL_ALONE;
    ck_assert_int_eq(answer(&needed, &q, &err), WR_E_USAGE);
    q.fit_options.model = WR_MODEL_POOLED;
    ck_assert_int_eq(wr_runs_needed_takes(&(struct wr_model_fit){0}, &q.fit_options, &err), WR_E_TOO_FEW);
    ck_assert_ptr_nonnull(strstr(err.text, "no task rests on rehearsals"));
    done(&q);
    ask(&q, &plain, 95, WR_FOR_REHEARSAL);
    q.options.n_refit = 7;
    ck_assert_int_eq(answer(&needed, &q, &err), WR_E_TOO_FEW);
    ck_assert(!needed.row && !needed.sessions.row); /* nothing half filled comes back */
    done(&q);
}
END_TEST

static void count_calls(void *arg, double share)
{
    double *last = arg;

    ck_assert(share >= last[0] && share <= 1);
    last[0] = share;
    last[1]++;
}

START_TEST(progress_goes_on)
{
    struct question q;
    struct wr_runs_needed needed = {0};
    double last[2] = {0, 0};

    ask(&q, &plain, 95, WR_FOR_REHEARSAL);
    q.options.progress = count_calls;
    q.options.progress_arg = last;
    answer_well(&needed, &q);
    ck_assert(last[1] >= 4 && last[0] > 0.5);
    wr_runs_needed_release(&needed);
    done(&q);
}
END_TEST

Suite *suite_runs_needed(void)
{
    Suite *s = suite_create("runs_needed");
    TCase *t = tcase_create("runs_needed");

    tcase_set_timeout(t, 120);
    tcase_add_test(t, more_rehearsals_remove_more);
    tcase_add_test(t, now_from_the_forecast);
    tcase_add_test(t, the_same_numbers_on_any_number_of_threads);
    tcase_add_test(t, now_is_what_the_forecast_says);
    tcase_add_test(t, few_complete_rehearsals_are_never_clear_inside);
    tcase_add_loop_test(t, ends_near_nought_make_the_width, 0, 8);
    tcase_add_test(t, a_limit_beside_the_first_is_told_the_same);
    tcase_add_test(t, the_target_stays_where_it_is);
    tcase_add_test(t, what_it_rests_on_is_said);
    tcase_add_test(t, more_rehearsals_narrow_the_interval);
    tcase_add_test(t, as_if_it_had_been_done);
    tcase_add_test(t, the_task_that_is_in_doubt_comes_first);
    tcase_add_test(t, too_little_to_say);
    tcase_add_test(t, progress_goes_on);
    suite_add_tcase(s, t);
    return s;
}
