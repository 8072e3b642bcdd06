/* The hour after a rehearsal: what was planted in a run is named, what happened is held against a forecast that had not
 * seen it, and complete is what all of its own plan was done in. (Before and after: tests/cli/cases/debriefed.sh.) */
#include <check.h>
#include <math.h>
#include <string.h>
#include "small_campaign.h"
#include "wetrun/decide/debrief.h"
#include "wetrun/decide/held_out.h"

enum { RUNS = 6, LAST = RUNS - 1 };
static const struct made_truth steady = {.tau = 0.03, .sigma = 0.08};

struct after {
    struct wr_durations durations;
    struct wr_forecast forecast;
    struct wr_sim_limit limit;
    struct wr_sim_options sim;
};

static void forecast_all(struct after *a, const struct small_campaign *c, double limit_min)
{
    struct wr_findings unused = {0};
    struct wr_error err;

    *a = (struct after){.limit = {.lanes = 3, .minutes = limit_min}};
    a->sim = (struct wr_sim_options){
        .n_trial = 2000, .seed = 1, .n_thread = 1, .limit = &a->limit, .n_limit = limit_min > 0};
    ck_assert_int_eq(
        wr_durations_build(&a->durations, &c->plan, &c->net, &c->timing, &c->fit, NULL, &c->options, &unused, &err),
        WR_OK);
    ck_assert_int_eq(wr_forecast_run(&a->forecast, &c->net, &a->durations, &a->sim, &err), WR_OK);
    wr_findings_release(&unused);
}

static enum wr_status debrief_beside(struct wr_debrief *d, const struct small_campaign *c, size_t run,
                                     double limit_min, const struct wr_timing *followed,
                                     const struct wr_plan *rehearsed)
{
    struct after a;
    struct wr_error err;

    forecast_all(&a, c, limit_min);
    if (limit_min > 0) a.forecast.limit[0].second = (struct wr_second){.known = true, .over = {.mean = 0.4}};
    const struct wr_debrief_options o = {.followed = followed, .rehearsed = rehearsed, .after = &a.forecast,
                                         .before = limit_min > 0 ? &a.forecast : NULL};
    const struct wr_basis basis = small_campaign_basis(c);
    enum wr_status status = wr_debrief_make(d, run, &basis, &o, &err);
    if (!status) {
        ck_assert(d->has_limit == (limit_min > 0) && d->has_before == (limit_min > 0));
        ck_assert(d->p50_after_min == a.forecast.lens_min[WR_N_LENS / 2]);
        ck_assert(d->p50_before_min == (limit_min > 0 ? d->p50_after_min : 0));
        if (limit_min > 0) ck_assert(d->over_after.mean == a.forecast.limit[0].over.mean && d->second.over.mean == 0.4);
    }
    wr_forecast_release(&a.forecast);
    wr_durations_release(&a.durations);
    return status;
}

static enum wr_status debrief(struct wr_debrief *d, const struct small_campaign *c, size_t run, double limit_min)
{
    return debrief_beside(d, c, run, limit_min, NULL, NULL);
}

START_TEST(what_was_planted_is_named)
{
    struct small_campaign c = {0};
    struct wr_debrief d = {0};

    small_campaign_make(&c, RUNS, &steady, 51);
    for (size_t k = 0; k < SMALL_TASKS; k++) /* an ordinary day, but for what follows */
        *made_cell(&c.timing, k, LAST) = *made_cell(&c.timing, k, LAST - 1);
    made_cell(&c.timing, 1, LAST)->active_min *= 2;
    made_cell(&c.timing, 3, LAST)->active_min *= 0.5;
    struct wr_cell *cell = made_cell(&c.timing, 2, LAST);
    cell->hold_min = 11;
    cell->active_min -= 1;
    cell->lead_in_min = 0.6;
    cell->gap_min = 0.4;
    cell->began_early = true;
    c.timing.waiting_min[LAST * SMALL_LANES + 1] = 7.5;
    made_timing_replay(&c.timing, &c.net);
    made_cell(&c.timing, 4, LAST)->state = WR_CELL_STOPPED;
    made_cell(&c.timing, 4, LAST)->active_min *= 3; /* far beyond its band when it was stopped */
    made_cell(&c.timing, 5, LAST)->state = WR_CELL_STOPPED;
    made_cell(&c.timing, 5, LAST)->active_min *= 0.1;
    made_cell(&c.timing, 5, LAST)->hole_min = 4;
    c.timing.run[LAST].nobodys_min = 27; /* as `compare` counts them */
    c.timing.run[LAST].complete = false;
    small_campaign_refit(&c);
    ck_assert_int_eq(debrief(&d, &c, LAST, 0), WR_OK);

    ck_assert(d.task[1].slow && !d.task[1].fast && d.task[1].rank > 0.99);
    ck_assert(d.task[3].fast && !d.task[3].slow && d.task[3].rank < 0.01);
    ck_assert(d.task[4].slow && d.task[4].rank > 0.99);
    ck_assert(!d.task[5].slow && !d.task[5].fast); /* stopped early is not fast */
    ck_assert(!d.task[2].slow && !d.task[2].fast && d.task[2].began_early); /* a hold is not the task's own time */
    ck_assert(d.task[2].hold_min == 11 && d.task[2].lead_in_min == 0.6 && d.task[2].gap_min == 0.4);
    ck_assert_double_eq_tol(d.hold_min, 11, 1e-12);
    ck_assert_double_eq_tol(d.unlogged_min, 1, 1e-12);
    ck_assert_double_eq_tol(d.unknown_min, 31, 1e-12);
    ck_assert(d.waiting_min[0] == 0 && d.waiting_min[1] == 7.5 && !d.complete);
    ck_assert(d.n_slow >= 2 && d.n_fast >= 1 && d.n_judged == SMALL_TASKS - 1); /* of task 5 nothing can be said yet */
    for (size_t k = 0; k < SMALL_TASKS; k++) {
        const struct wr_debrief_task *t = &d.task[k];
        ck_assert(t->task == k && t->lo_min <= t->expected_min && t->expected_min <= t->hi_min);
        ck_assert_double_eq_tol(t->actual_min, wr_cell_modelled_min(made_cell(&c.timing, k, LAST)), 1e-12);
    }
    wr_debrief_release(&d);
    small_campaign_release(&c);
}
END_TEST

START_TEST(the_forecast_had_not_seen_the_run)
{
    struct small_campaign c = {0};
    struct wr_debrief a = {0}, b = {0};

    small_campaign_make(&c, RUNS, &steady, 52);
    ck_assert_int_eq(debrief(&a, &c, 2, 200), WR_OK);
    for (size_t k = 0; k < SMALL_TASKS; k++) made_cell(&c.timing, k, 2)->active_min *= 1.5;
    made_timing_replay(&c.timing, &c.net);
    small_campaign_refit(&c);
    ck_assert_int_eq(debrief(&b, &c, 2, 200), WR_OK);
    ck_assert(!memcmp(a.lens_min, b.lens_min, sizeof a.lens_min));
    ck_assert(b.p50_after_min > a.p50_after_min); /* what it changes, it changes afterwards */
    ck_assert_double_eq_tol(b.finish_min, 1.5 * a.finish_min, 1e-9);
    ck_assert(b.rank > 0.99 && b.rank > a.rank);
    for (size_t k = 0; k < SMALL_TASKS; k++) ck_assert(a.task[k].hi_min == b.task[k].hi_min && b.task[k].slow);
    wr_debrief_release(&a);
    wr_debrief_release(&b);
    small_campaign_release(&c);
}
END_TEST

/* What happened is of the plan that the run followed; what is ranked is of the plan that is forecast. */
START_TEST(the_plan_may_have_changed_since)
{
    struct small_campaign c = {0};
    struct wr_debrief d = {0};

    small_campaign_make(&c, RUNS, &steady, 53);
    struct wr_plan rehearsed = c.plan;
    struct wr_timing followed = c.timing;
    followed.run = WR_COPY(c.timing.run, c.timing.n_run);
    for (size_t r = 0; r < RUNS; r++) followed.run[r].complete = true;
    followed.run[LAST].finish_without_holds_min = 77;
    c.timing.run[LAST].by_plan_min = 66;
    c.timing.run[LAST].complete = false;
    c.timing.run[LAST].n_absent = 1;
    made_cell_state(&c.timing, SMALL_TASKS - 1, LAST, WR_CELL_ABSENT); /* the plan's last task */
    small_campaign_refit(&c);
    ck_assert_int_eq(debrief_beside(&d, &c, LAST, 0, &followed, &rehearsed), WR_OK);
    ck_assert(d.complete && d.did_its_work && d.finish_min == 77 && d.by_plan_min == 66 && !d.by_plan_complete);
    ck_assert(d.n_new == 0 && !d.task[SMALL_TASKS - 1].is_new); /* it was in the plan then: it is not logged */
    wr_debrief_release(&d);
    rehearsed.n_task--;
    ck_assert_int_eq(debrief_beside(&d, &c, LAST, 0, &followed, &rehearsed), WR_OK);
    ck_assert(d.n_new == 1 && d.task[SMALL_TASKS - 1].is_new && !d.task[0].is_new);
    wr_debrief_release(&d);
    wr_free(followed.run);
    small_campaign_release(&c);
}
END_TEST

/* An ordinary day but for work that the plan may drop, which it skipped: fast beside days that do it, ordinary beside
 * days without it. */
START_TEST(it_is_held_against_days_with_its_work)
{
    enum { JOINT = SMALL_TASKS - 1 };
    struct small_campaign c = {0};
    struct wr_debrief with = {0}, without = {0};

    small_campaign_make(&c, RUNS, &steady, 55);
    for (int drops = 0; drops < 2; drops++) {
        struct wr_debrief *d = drops ? &without : &with;
        made_cell_state(&c.timing, JOINT, LAST, WR_CELL_SKIPPED);
        made_timing_replay(&c.timing, &c.net);
        c.timing.run[LAST].complete = false;
        c.timing.run[LAST].n_skipped = 1;
        c.timing.run[LAST].n_left_out = (size_t)drops;
        c.net.drop_after_min[JOINT] = drops ? 300 : INFINITY;
        small_campaign_refit(&c);
        ck_assert_int_eq(debrief(d, &c, LAST, 0), WR_OK);
        ck_assert(d->did_its_work == drops && d->by_plan_complete == drops && !d->complete);
        ck_assert_uint_eq(d->n_left_out, (size_t)drops);
    }
    double took = with.task[JOINT].expected_min; /* joint, and last: the finish is later by all of it */
    ck_assert_double_eq_tol(without.lens_min[WR_LENS50], with.lens_min[WR_LENS50] - took, 0.02 * took);
    ck_assert(with.rank < 0.05 && without.rank > 0.1 && without.rank < 0.9);
    ck_assert(without.task[JOINT].expected_min == took);
    wr_debrief_release(&with);
    wr_debrief_release(&without);
    small_campaign_release(&c);
}
END_TEST

START_TEST(ordinary_runs_have_ordinary_ranks)
{
    const struct made_truth ordinary = {.tau = 0.1, .sigma = 0.25};
    size_t slow = 0, fast = 0, judged = 0;

    for (unsigned long i = 0; i < 30; i++) {
        struct small_campaign c = {0};
        struct wr_debrief d = {0};
        small_campaign_make(&c, RUNS, &ordinary, 540 + i);
        ck_assert_int_eq(debrief(&d, &c, i % RUNS, 0), WR_OK);
        slow += d.n_slow;
        fast += d.n_fast;
        judged += d.n_judged;
        wr_debrief_release(&d);
        small_campaign_release(&c);
    }
    /* a tenth each; tasks of one day move together, so the 210 count as about 100: three standard errors are 0.09 */
    ck_assert_uint_eq(judged, 30 * SMALL_TASKS);
    ck_assert_double_eq_tol((double)slow / (double)judged, 0.1, 0.09);
    ck_assert_double_eq_tol((double)fast / (double)judged, 0.1, 0.09);
}
END_TEST

/* ---- attempts to break it ---- */

START_TEST(too_few_others)
{
    struct small_campaign c = {0};
    struct wr_debrief d = {0};

    small_campaign_make(&c, 2, &steady, 55);
    ck_assert_int_eq(debrief(&d, &c, 1, 0), WR_E_TOO_FEW);
    small_campaign_release(&c);
}
END_TEST

START_TEST(a_run_in_which_nothing_was_done)
{
    struct small_campaign c = {0};
    struct wr_debrief d = {0};

    small_campaign_make(&c, 4, &steady, 56);
    for (size_t k = 0; k < SMALL_TASKS; k++) made_cell_state(&c.timing, k, 3, k % 2 ? WR_CELL_SKIPPED : WR_CELL_ABSENT);
    c.timing.run[3].finish_without_holds_min = c.timing.run[3].by_plan_min = 0;
    small_campaign_refit(&c);
    ck_assert_int_eq(debrief(&d, &c, 3, 100), WR_OK);
    ck_assert(d.n_judged == 0 && d.n_slow == 0 && d.n_fast == 0 && d.rank == 0 && !d.complete);
    ck_assert(d.task[1].state == WR_CELL_SKIPPED && d.task[0].state == WR_CELL_ABSENT && d.task[0].actual_min == 0);
    wr_debrief_release(&d);

    *made_cell(&c.timing, 0, 3) = (struct wr_cell){.state = WR_CELL_DONE}; /* done in no time: nothing to call fast */
    small_campaign_refit(&c);
    ck_assert_int_eq(debrief(&d, &c, 3, 100), WR_OK);
    ck_assert(!d.task[0].fast && d.n_judged == 0);
    wr_debrief_release(&d);
    small_campaign_release(&c);
}
END_TEST

START_TEST(all_other_runs_incomplete)
{
    struct small_campaign c = {0};
    struct wr_debrief d = {0};

    small_campaign_make(&c, 4, &steady, 57);
    for (size_t r = 0; r < 3; r++) made_cell_state(&c.timing, 6, r, WR_CELL_SKIPPED);
    c.plan.task[6].planned_min = wr_known(15);
    small_campaign_refit(&c);
    ck_assert_int_eq(debrief(&d, &c, 3, 0), WR_OK);
    ck_assert(d.task[6].lo_min > 0 && d.task[6].lo_min < d.task[6].hi_min && d.complete); /* known from the plan
                                                                                             alone */
    wr_debrief_release(&d);
    small_campaign_release(&c);
}
END_TEST

/* All of it was done, but how long one task took nobody knows: not complete. */
START_TEST(a_run_with_a_task_of_unknown_time)
{
    struct small_campaign c = {0};
    struct wr_debrief d = {0};

    small_campaign_make(&c, 4, &steady, 58);
    c.timing.run[3].complete = true;
    ck_assert_int_eq(debrief(&d, &c, 3, 0), WR_OK);
    ck_assert(d.complete);
    wr_debrief_release(&d);
    c.timing.run[3].n_unknown = 1;
    ck_assert_int_eq(debrief(&d, &c, 3, 0), WR_OK);
    ck_assert(!d.complete);
    wr_debrief_release(&d);
    small_campaign_release(&c);
}
END_TEST

static struct wr_held_out without_run(const struct small_campaign *c, size_t run)
{
    struct wr_held_out h = {0};
    const struct wr_basis basis = small_campaign_basis(c);

    ck_assert_int_eq(wr_held_out_make(&h, run, WR_FROM_ALL_OTHERS, &basis, WR_HELD_OUT_FINISH, 4000, NULL), WR_OK);
    return h;
}

static double point_of(const struct wr_held_out *h, double prob)
{
    return h->finish_min[(size_t)(prob * (double)h->n_trial)];
}

/* Of many rehearsals one is left out by weights, if the draws are many, else by fitting again: the same question. Each
 * way rests on 150 effective draws at least (held_out.c), so a median is known to sd / sqrt(150), and no parameter is
 * less sure than a day. */
START_TEST(a_run_is_left_out_by_weights_as_by_a_refit)
{
    static const struct made_truth truth = {.tau = 0.1, .sigma = 0.2};
    struct small_campaign c = {0};

    small_campaign_make(&c, 30, &truth, 59);
    for (size_t k = 0; k < SMALL_TASKS; k++) c.plan.task[k].planned_min = wr_known(10 + (double)k); /* of all tasks */
    small_campaign_refit(&c);
    struct wr_held_out few = without_run(&c, 3); /* 80 draws: too few to weigh */
    c.options.sampler = (struct wr_sampler_options){.n_chain = 2, .n_burn = 100, .n_keep = 2500, .thin = 1, .seed = 2,
                                                    .n_thread = 2};
    small_campaign_refit(&c);
    struct wr_held_out many = without_run(&c, 3);
    double sd = (point_of(&few, 0.84) - point_of(&few, 0.16)) / 2, error = sd * sqrt(2 / 150.0);
    ck_assert_msg(fabs(point_of(&few, 0.5) - point_of(&many, 0.5)) < 4 * error, "%g by a refit, %g by weights",
                  point_of(&few, 0.5), point_of(&many, 0.5));
    ck_assert_double_ne(point_of(&few, 0.5), point_of(&many, 0.5)); /* they are two ways */
    wr_held_out_release(&few);
    wr_held_out_release(&many);
    small_campaign_release(&c);
}
END_TEST

Suite *suite_debrief(void);
Suite *suite_debrief(void)
{
    Suite *s = suite_create("debrief");
    TCase *t = tcase_create("debrief"), *broken = tcase_create("attempts to break it");

    tcase_set_timeout(t, 60);
    tcase_add_test(t, what_was_planted_is_named);
    tcase_add_test(t, the_forecast_had_not_seen_the_run);
    tcase_add_test(t, the_plan_may_have_changed_since);
    tcase_add_test(t, it_is_held_against_days_with_its_work);
    tcase_add_test(t, ordinary_runs_have_ordinary_ranks);
    tcase_add_test(broken, too_few_others);
    tcase_add_test(broken, a_run_in_which_nothing_was_done);
    tcase_add_test(broken, all_other_runs_incomplete);
    tcase_add_test(t, a_run_is_left_out_by_weights_as_by_a_refit);
    tcase_add_test(broken, a_run_with_a_task_of_unknown_time);
    suite_add_tcase(s, t);
    suite_add_tcase(s, broken);
    return s;
}
