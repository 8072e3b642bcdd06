#include <check.h>
#include <gsl/gsl_sort.h>
#include <gsl/gsl_statistics_double.h>
#include <math.h>
#include <string.h>
#include "made_durations.h"
#include "made_plan.h"
#include "wetrun/base/memory.h"
#include "wetrun/model/durations.h"

enum { RUNS = 4 };

/* Three rehearsed tasks, one with three points, one known, one planned only; two people who changed their two lanes. */
struct campaign {
    struct wr_plan plan;
    struct wr_network net;
    struct wr_timing timing;
    struct wr_findings findings;
    struct wr_model_fit fit;
    struct wr_durations d;
    struct wr_fit_options options;
};

static const char *names[] = {"Ada", "Bruno", "Cleo"};
static const double minutes[3][RUNS] = {{10, 12, 9, 11}, {20, 26, 23, 21}, {6, 5, 8, 7}};

static struct wr_cell *cell(struct campaign *c, size_t task, size_t run)
{
    return &c->timing.cell[task * RUNS + run];
}

static void campaign_init(struct campaign *c)
{
    struct wr_error err;
    static const struct { const char *id, *crew; } task[] = {{"out", "EV1+EV2"}, {"bolt", "EV1"}, {"hose", "EV2"},
                                                             {"guess", "EV1"}, {"known", "EV2"}, {"later", "EV1"}};

    *c = (struct campaign){.options = wr_fit_options_default()};
    for (size_t k = 0; k < 6; k++) made_plan_add(&c->plan, task[k].id, task[k].crew, "");
    made_plan_finish(&c->plan);
    for (size_t k = 0; k < 6; k++)
        c->plan.task[k].planned_min = k == 3 || k == 4 ? WR_UNKNOWN : wr_known(10.0 + (double)k);
    c->plan.task[3].low_min = wr_known(4);
    c->plan.task[3].likely_min = wr_known(5);
    c->plan.task[3].high_min = wr_known(9);
    c->plan.task[4].median_min = wr_known(15);
    c->plan.task[4].sdlog = wr_known(0.2);
    ck_assert_int_eq(wr_network_build(&c->net, &c->plan, &err), WR_OK);
    c->timing = (struct wr_timing){.n_task = 6, .n_run = RUNS, .n_person = 3, .n_lane = 2, .person = names};
    c->timing.cell = WR_NEW_ARRAY(struct wr_cell, 6 * RUNS);
    c->timing.run = WR_NEW_ARRAY(struct wr_timing_run, RUNS);
    c->timing.line_up = WR_NEW_ARRAY(int, RUNS * 2);
    for (size_t r = 0; r < RUNS; r++) {
        c->timing.run[r].order = (double)r + 1;
        c->timing.line_up[r * 2] = r % 2 ? 1 : 0;
        c->timing.line_up[r * 2 + 1] = r % 2 ? 0 : 1;
        for (size_t k = 0; k < 3; k++) {
            unsigned first = (unsigned)c->timing.line_up[r * 2 + (k == 2)],
                     second = (unsigned)c->timing.line_up[r * 2 + 1];
            *cell(c, k, r) = (struct wr_cell){.state = WR_CELL_DONE, .active_min = minutes[k][r] - 1, .lead_in_min = 1,
                                              .n_performer = k == 0 ? 2 : 1, .person = {first, second}};
        }
    }
    c->options.sampler = (struct wr_sampler_options){.n_chain = 2, .n_burn = 100, .n_keep = 100, .thin = 2, .seed = 11};
}

static void campaign_release(struct campaign *c)
{
    wr_durations_release(&c->d);
    wr_model_fit_release(&c->fit);
    wr_findings_release(&c->findings);
    wr_free(c->timing.cell);
    wr_free(c->timing.run);
    wr_free(c->timing.line_up);
    wr_network_release(&c->net);
    made_plan_release(&c->plan);
}

static enum wr_status fit(struct campaign *c, struct wr_error *err)
{
    return wr_model_fit(&c->fit, &c->plan, &c->timing, &c->options, &c->findings, err);
}

static enum wr_status build(struct campaign *c, const struct wr_carry_over *carry_over, struct wr_error *err)
{
    wr_durations_release(&c->d);
    return wr_durations_build(&c->d, &c->plan, &c->net, &c->timing, &c->fit, carry_over, &c->options, &c->findings,
                              err);
}

static void fit_and_build(struct campaign *c)
{
    struct wr_error err = {0};

    ck_assert_msg(fit(c, &err) == WR_OK, "%s", err.text);
    ck_assert_msg(build(c, NULL, &err) == WR_OK, "%s", err.text);
}

static size_t count_code(const struct campaign *c, const char *code)
{
    size_t n = 0;

    for (size_t i = 0; i < c->findings.n_finding; i++) n += strcmp(c->findings.finding[i].code, code) == 0;
    return n;
}

START_TEST(each_task_has_its_source)
{
    struct campaign c;

    campaign_init(&c);
    fit_and_build(&c);
    static const enum wr_source_kind want[] = {WR_SRC_MODEL,  WR_SRC_MODEL,     WR_SRC_MODEL,
                                               WR_SRC_JUDGED, WR_SRC_LOGNORMAL, WR_SRC_MODEL};
    for (size_t k = 0; k < 6; k++) ck_assert_int_eq(c.d.source[k].kind, want[k]);
    ck_assert(c.d.source[3].p[0] == 4 && c.d.source[3].p[1] == 5 && c.d.source[3].p[2] == 9);
    ck_assert(c.d.source[4].p[0] == log(15.0) && c.d.source[4].p[1] == 0.2);
    ck_assert_uint_eq(c.fit.n_model_task, 4);
    ck_assert_uint_eq(c.d.n_draw, 200);
    ck_assert_uint_eq(c.d.n_person, 3);
    ck_assert(c.fit.target_order == 5.0 && c.fit.last_order == 4.0);
    for (size_t i = 0; i < c.d.n_draw; i++) {
        ck_assert(c.d.centre_log[2 * c.d.n_draw + i] == c.fit.post.mu[2 * c.d.n_draw + i]);
        ck_assert(c.d.centre_log[3 * c.d.n_draw + i] == 0.0);
    }
    ck_assert_int_eq(c.d.source[3].reading, WR_THREE_POINT_PERT);
    c.options.reading = WR_THREE_POINT_TRIANGULAR;
    struct wr_error err;
    ck_assert_int_eq(build(&c, NULL, &err), WR_OK);
    ck_assert_int_eq(c.d.source[3].reading, WR_THREE_POINT_TRIANGULAR);
    struct wr_plan_task *judged = &c.plan.task[3]; /* three points that are one leave nothing to judge */
    judged->low_min = judged->likely_min = judged->high_min = wr_known(7);
    ck_assert_int_eq(build(&c, NULL, &err), WR_OK);
    ck_assert(c.d.source[3].kind == WR_SRC_FIXED && c.d.source[3].p[0] == 7);
    campaign_release(&c);
}
END_TEST

START_TEST(rehearsing_beats_judging)
{
    struct campaign c;

    campaign_init(&c);
    *cell(&c, 3, 2) = *cell(&c, 1, 2); /* the task with three points was rehearsed once */
    *cell(&c, 4, 1) = (struct wr_cell){.state = WR_CELL_STOPPED, .active_min = 0}; /* cut off at once: says nothing */
    *cell(&c, 4, 2) = (struct wr_cell){.state = WR_CELL_SKIPPED};
    fit_and_build(&c);
    ck_assert_int_eq(c.d.source[3].kind, WR_SRC_MODEL);
    ck_assert_int_eq(c.d.source[4].kind, WR_SRC_LOGNORMAL);
    campaign_release(&c);
}
END_TEST

START_TEST(the_table_holds_what_was_seen)
{
    struct campaign c;

    campaign_init(&c);
    *cell(&c, 1, 3) = (struct wr_cell){.state = WR_CELL_STOPPED,
                                       .active_min = 7,
                                       .gap_min = 2,
                                       .lead_in_min = 1,
                                       .hold_min = 50,
                                       .n_performer = 1,
                                       .person = {1}};
    fit_and_build(&c);
    const struct wr_model_data *data = &c.fit.data;
    ck_assert_int_eq(data->obs[1 * RUNS + 3], WR_OBS_STOPPED);
    ck_assert(data->log_min[1 * RUNS + 3] == log(10.0)); /* lead-in, gap and active; never the hold */
    ck_assert(data->log_min[2 * RUNS] == log(6.0));
    ck_assert_int_eq(data->obs[3 * RUNS], WR_OBS_NONE);
    const double *joint = data->person_weight, *single = data->person_weight + (2 * RUNS + 1) * 3;
    ck_assert(joint[0] == 0.5 && joint[1] == 0.5 && joint[2] == 0.0);
    ck_assert(single[0] == 1.0 && single[1] == 0.0);
    ck_assert(data->log_planned[3] == log(15.0));
    campaign_release(&c);
}
END_TEST

/* A modelled task without planned time counts as planned at the geometric mean of the others. */
START_TEST(a_missing_planned_time_is_the_mean)
{
    struct campaign c;

    campaign_init(&c);
    c.plan.task[1].planned_min = WR_UNKNOWN;
    fit_and_build(&c);
    ck_assert_double_eq_tol(c.fit.data.log_planned[1], (log(10) + log(12) + log(15)) / 3, 1e-12);
    campaign_release(&c);
}
END_TEST

START_TEST(a_task_that_nothing_is_known_of)
{
    struct campaign c;
    struct wr_error err = {0};

    campaign_init(&c);
    c.plan.task[5].planned_min = WR_UNKNOWN;
    c.plan.task[5].line = 7;
    ck_assert_int_eq(fit(&c, &err), WR_E_INPUT); /* of a plan from the log */
    ck_assert_ptr_nonnull(strstr(err.text, "'later' was never rehearsed, and there is no plan that says"));
    c.plan.file = "plan.csv";
    ck_assert_int_eq(fit(&c, &err), WR_E_INPUT);
    ck_assert_ptr_nonnull(strstr(err.text, "'later'"));
    ck_assert_ptr_nonnull(strstr(err.text, ":7:"));
    ck_assert_ptr_null(c.fit.plan_task);
    campaign_release(&c);
}
END_TEST

START_TEST(done_in_no_time)
{
    struct campaign c;

    campaign_init(&c);
    for (size_t r = 0; r < RUNS; r++) cell(&c, 2, r)->active_min = cell(&c, 2, r)->lead_in_min = 0;
    cell(&c, 1, 0)->active_min = -2; /* begun before it could */
    fit_and_build(&c);
    ck_assert_int_eq(c.d.source[2].kind, WR_SRC_FIXED);
    ck_assert(c.d.source[2].p[0] == 0.0);
    ck_assert_int_eq(c.fit.data.obs[1 * RUNS], WR_OBS_NONE);
    campaign_release(&c);
}
END_TEST

/* The excursion is not credited the step of learning: its centre is gamma (log R - log(R + 1)) off the next run's. */
START_TEST(learning_is_held_for_the_excursion)
{
    struct campaign c;
    struct wr_error err;

    campaign_init(&c);
    fit_and_build(&c);
    size_t n = c.d.n_draw;
    c.options.target = WR_FOR_EXCURSION;
    ck_assert_int_eq(build(&c, NULL, &err), WR_OK);
    ck_assert_uint_eq(count_code(&c, "face-value"), 1);
    for (size_t i = 0; i < n; i++)
        ck_assert_double_eq_tol(c.d.centre_log[n + i] - c.fit.post.mu[n + i], -c.fit.post.gamma[i] * 0.22314355131421,
                                1e-12);
    campaign_release(&c);
}
END_TEST

START_TEST(carry_over_shifts_modelled_tasks_by_kind)
{
    struct campaign c;
    struct wr_error err;
    struct wr_history_row row[] = {{"X1", "turn", 10, 14, 2, false},
                                   {"X2", "Turn", 12, 15, 3, false},
                                   {"X1", "W alk", 10, 9, 4, false},
                                   {"X1", "hoist", 10, 9, 5, false}};
    struct wr_history history = {.row = row, .n_row = 4};
    struct wr_carry_over carry = {0};

    campaign_init(&c);
    c.plan.task[0].kind = c.plan.task[5].kind = "walk";
    c.plan.task[1].kind = "turn";
    c.plan.task[2].kind = "lift";
    fit_and_build(&c);
    ck_assert_int_eq(wr_carry_over_fit(&carry, &history, &err), WR_OK);
    c.options.target = WR_FOR_EXCURSION;
    ck_assert_int_eq(build(&c, &carry, &err), WR_OK);
    ck_assert_uint_eq(count_code(&c, "face-value"), 0);
    ck_assert_uint_eq(count_code(&c, "kind-without-history"), 1);
    ck_assert_uint_eq(carry.n_kind, 3); /* spelt in two ways, it is one */
    ck_assert_uint_eq(carry.n_row[0], 2);
    ck_assert(!c.d.history_thin && count_code(&c, "history-thin") == 0);
    size_t n = c.d.n_draw;
    double *want = WR_NEW_ARRAY(double, n);
    wr_carry_over_draw(&carry, "turn", c.options.sampler.seed, n, want);
    double sum_walk = 0.0, sum_turn = 0.0;
    for (size_t i = 0; i < n; i++) {
        double held = c.fit.post.gamma[i] * log(0.8), turn = c.d.centre_log[n + i] - c.fit.post.mu[n + i] - held;
        double out = c.d.centre_log[i] - c.fit.post.mu[i] - held,
               later = c.d.centre_log[5 * n + i] - c.fit.post.mu[3 * n + i] - held;
        ck_assert_double_eq_tol(turn, want[i], 1e-12);
        ck_assert_double_eq_tol(out, later, 1e-12); /* one kind, one factor */
        sum_turn += turn / (double)n;
        sum_walk += out / (double)n;
    }
    ck_assert_double_gt(sum_turn, sum_walk);
    ck_assert(c.d.source[4].p[0] == log(15.0)); /* known elsewhere: as it is */
    wr_free(want);
    wr_carry_over_release(&carry);
    campaign_release(&c);
}
END_TEST

/* The cap is on the forecast, not on the posterior. */
START_TEST(spread_is_capped)
{
    struct campaign c;
    size_t n_capped = 0;

    campaign_init(&c);
    for (size_t r = 0; r < RUNS; r++) cell(&c, 1, r)->active_min = exp(4.0 * ((double)r - 1.5));
    fit_and_build(&c);
    for (size_t i = 0; i < c.d.n_draw; i++) {
        double sigma = c.fit.post.sigma[c.d.n_draw + i], spread = c.d.spread_log[c.d.n_draw + i];
        ck_assert(spread == fmin(sigma, 1.0));
        n_capped += sigma > 1.0;
    }
    ck_assert_uint_gt(n_capped, 0);
    campaign_release(&c);
}
END_TEST

/* |N(0, s^2)| has median 0.6745 s (handbook); one factor for all modelled tasks, none below 1. */
START_TEST(gap_allowance_slows_all_modelled_tasks_alike)
{
    struct campaign c;
    struct wr_error err;

    campaign_init(&c);
    c.options.sampler.n_keep = 2000;
    fit_and_build(&c);
    size_t n = c.d.n_draw;
    c.options.gap_allowance = 20;
    ck_assert_int_eq(build(&c, NULL, &err), WR_OK);
    double *factor = WR_NEW_ARRAY(double, n);
    for (size_t i = 0; i < n; i++) {
        factor[i] = c.d.centre_log[i] - c.fit.post.mu[i];
        ck_assert(factor[i] >= 0.0);
        ck_assert_double_eq_tol(c.d.centre_log[5 * n + i] - c.fit.post.mu[3 * n + i], factor[i], 1e-12);
    }
    gsl_sort(factor, 1, n);
    /* standard error of the median of 4000: 1.25 sd/sqrt(n), sd = 0.6 s */
    ck_assert_double_eq_tol(gsl_stats_median_from_sorted_data(factor, 1, n) / log(1.2), 0.6745,
                            4 * 1.25 * 0.6 / sqrt(4000.0));
    ck_assert(c.d.source[4].p[0] == log(15.0));
    wr_free(factor);
    campaign_release(&c);
}
END_TEST

START_TEST(line_ups_of_the_rehearsals_unless_named)
{
    struct campaign c;
    struct wr_error err;

    campaign_init(&c);
    c.timing.line_up[3] = -1; /* lane 2 of the second run: nobody knows */
    fit_and_build(&c);
    ck_assert_uint_eq(c.d.n_line_up, RUNS);
    ck_assert(c.d.line_up[0] == 0 && c.d.line_up[1] == 1 && c.d.line_up[2] == 1 && c.d.line_up[3] == WR_PERSON_NEW);
    ck_assert_uint_eq(wr_durations_count_line_ups(&c.d), 3); /* (0, 1) twice, (1, new), (1, 0) */
    c.options.people = " EV2 = Cleo ";
    ck_assert_int_eq(build(&c, NULL, &err), WR_OK);
    ck_assert_uint_eq(c.d.n_line_up, RUNS);
    for (size_t r = 0; r < RUNS; r++) ck_assert(c.d.line_up[2 * r + 1] == 2 && c.d.line_up[2 * r] == (int)(r % 2));
    ck_assert_uint_eq(wr_durations_count_line_ups(&c.d), 2);
    c.options.people = "EV1=Bruno,EV2=Nobody Yet";
    ck_assert_int_eq(build(&c, NULL, &err), WR_OK);
    ck_assert(c.d.line_up[0] == 1 && c.d.line_up[1] == WR_PERSON_NEW);
    ck_assert_uint_eq(count_code(&c, "person-new"), 1);
    c.options.people = "EV1=Bruno"; /* who is in EV2 in the runs of even number, and nobody is in both */
    ck_assert_int_eq(build(&c, NULL, &err), WR_OK);
    ck_assert_uint_eq(c.d.n_line_up, 2);
    ck_assert(c.d.line_up[0] == 1 && c.d.line_up[1] == WR_PERSON_NEW);
    ck_assert(c.d.line_up[2] == 1 && c.d.line_up[3] == 0);
    c.options.people = "EV1=Cleo"; /* in no run's line-up: beside whoever was in EV2 */
    ck_assert_int_eq(build(&c, NULL, &err), WR_OK);
    ck_assert_uint_eq(c.d.n_line_up, RUNS);
    for (size_t r = 0; r < RUNS; r++) c.timing.line_up[2 * r + 1] = 1; /* now Bruno is in EV2 always */
    c.options.people = "EV1=Bruno";
    ck_assert_int_eq(build(&c, NULL, &err), WR_E_USAGE);
    ck_assert_msg(strstr(err.text, "name who is in the other lanes too, as in EV2=NAME") != NULL, "%s", err.text);
    ck_assert_ptr_null(c.d.line_up);
    c.options.people = "EV1=Bruno,EV2=Ada";
    ck_assert_int_eq(build(&c, NULL, &err), WR_OK);
    int pair[] = {0, 2};
    wr_durations_set_line_up(&c.d, pair);
    ck_assert(c.d.n_line_up == 1 && c.d.line_up[0] == 0 && c.d.line_up[1] == 2);
    ck_assert_uint_eq(wr_durations_count_line_ups(&c.d), 1);
    campaign_release(&c);
}
END_TEST

START_TEST(malformed_people)
{
    struct campaign c;
    struct wr_error err;
    static const struct { const char *people, *says; } bad[] = {
        {"", "LANE=NAME"}, {"EV1", "'EV1'"}, {"EV1=", "LANE=NAME"}, {"=Ada", "LANE=NAME"}, {"EV1=Ada,", "LANE=NAME"},
        {"EV3=Ada", "'EV3'"}, {"ev1=Ada", "'ev1'"}, {"EV1=Ada,EV1=Bruno", "twice"}, {"EV1=Ada,EV2=Ada", "two lanes"},
        {",EV1=Ada", "LANE=NAME"}, {"EV1=Ada;EV2=Bruno,EV2", "'EV2'"}};

    campaign_init(&c);
    fit_and_build(&c);
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        c.options.people = bad[i].people;
        ck_assert_msg(build(&c, NULL, &err) == WR_E_USAGE, "took '%s'", bad[i].people);
        ck_assert_msg(strstr(err.text, bad[i].says) != NULL, "'%s': %s", bad[i].people, err.text);
        ck_assert_ptr_null(c.d.line_up);
    }
    campaign_release(&c);
}
END_TEST

/* Ada in EV1 and Bruno in EV2, in every run. */
static void alike_init(struct campaign *c)
{
    campaign_init(c);
    for (size_t r = 0; r < RUNS; r++) {
        c->timing.line_up[2 * r] = 0;
        c->timing.line_up[2 * r + 1] = 1;
        for (unsigned k = 0; k < 3; k++) {
            cell(c, k, r)->person[0] = k == 2;
            cell(c, k, r)->person[1] = 1;
        }
    }
}

START_TEST(people_off_when_they_cannot_be_told_apart)
{
    struct campaign c;

    alike_init(&c);
    c.timing.line_up[2] = -1; /* not knowing is no difference */
    cell(&c, 0, 1)->n_performer = 1; /* nor is it to name one of two */
    cell(&c, 1, 1)->n_performer = 0;
    c.options.people = "EV1=Ada";
    fit_and_build(&c);
    ck_assert_uint_eq(c.fit.n_person, 0);
    ck_assert_uint_eq(count_code(&c, "people-alike"), 1);
    ck_assert_uint_eq(count_code(&c, "people-in-part"), 0);
    ck_assert_uint_eq(count_code(&c, "people-unused"), 1);
    ck_assert(c.d.n_line_up == 1 && c.d.line_up[0] == WR_PERSON_NONE && c.d.line_up[1] == WR_PERSON_NONE);
    campaign_release(&c);
    campaign_init(&c);
    c.options.no_people = true;
    fit_and_build(&c);
    ck_assert_uint_eq(c.fit.n_person, 0);
    ck_assert_uint_eq(count_code(&c, "people-alike"), 0); /* asked for: nothing to report */
    campaign_release(&c);
}
END_TEST

/* Somebody else did one task once: most of every lane is still the same people's, but it is not so throughout. */
START_TEST(another_hand_is_named)
{
    struct campaign c;

    alike_init(&c);
    cell(&c, 2, 3)->person[0] = 2;
    c.options.people = "EV2=Bruno";
    fit_and_build(&c);
    ck_assert_uint_eq(c.fit.n_person, 0);
    ck_assert_uint_eq(count_code(&c, "people-alike"), 0);
    ck_assert_uint_eq(count_code(&c, "people-in-part"), 1);
    ck_assert_int_eq(c.findings.finding[0].severity, WR_WARNING);
    ck_assert_ptr_nonnull(strstr(c.findings.finding[0].message, "'Cleo' did task 'hose' in 1 of 4 rehearsals"));
    ck_assert(c.d.people_untold); /* the numbers are Cleo's too */
    campaign_release(&c);
}
END_TEST

/* Where people are not modelled, only the one who always had the lane may be named for it. */
START_TEST(people_of_whom_rehearsals_tell_nothing)
{
    static const struct { const char *people; bool no_people, nameless, untold; const char *says; } asked[] = {
        {"EV1=Ada,EV2=Bruno", false, false, false, NULL},
        {"EV2= bruno", false, false, false, NULL},
        {"EV1=Nobody Yet", false, false, true, "cannot tell people apart"},
        {"EV1=Bruno,EV2=Ada", false, false, true, "whoever rehearsed (Ada in EV1, Bruno in EV2)"},
        {"EV1=Cleo", false, false, true, "--people EV1=Cleo"},
        {"EV1=Ada", false, true, true, "the log does not say who rehearsed"},
        {"EV1=Ada", true, false, true, "people are not in this model"}, /* of changing line-ups */
    };
    struct campaign c;

    for (size_t i = 0; i < sizeof asked / sizeof *asked; i++) {
        if (asked[i].no_people) campaign_init(&c);
        else alike_init(&c);
        c.options.no_people = asked[i].no_people;
        c.options.people = asked[i].people;
        for (size_t l = 0; asked[i].nameless && l < 2 * RUNS; l++) c.timing.line_up[l] = -1;
        for (size_t k = 0; asked[i].nameless && k < 3 * RUNS; k++) c.timing.cell[k].n_performer = 0;
        if (asked[i].nameless) c.timing.n_person = 0;
        fit_and_build(&c);
        ck_assert_uint_eq(c.fit.n_person, 0);
        ck_assert_msg(c.d.people_untold == asked[i].untold, "%s", asked[i].people);
        ck_assert_uint_eq(count_code(&c, "people-untold"), asked[i].untold);
        ck_assert_uint_eq(count_code(&c, "people-unused"), !asked[i].untold);
        ck_assert_uint_eq(count_code(&c, "person-new"), 0); /* nothing is forecast for somebody new */
        const struct wr_finding *last = &c.findings.finding[c.findings.n_finding - 1];
        if (asked[i].says) ck_assert_msg(strstr(last->message, asked[i].says) != NULL, "%s", last->message);
        campaign_release(&c);
    }
    campaign_init(&c); /* two line-ups: each has an effect, and a new one may be anybody */
    c.options.people = "EV1=Nobody Yet,EV2=Ada";
    fit_and_build(&c);
    ck_assert(c.fit.n_person > 0 && !c.d.people_untold);
    campaign_release(&c);
}
END_TEST

/* A cell that names nobody goes to the lane's person of that run if known, else to somebody of its own. */
START_TEST(cells_without_performer)
{
    struct campaign c;

    campaign_init(&c);
    cell(&c, 1, 1)->n_performer = 0; /* EV1 in run 2 is Bruno */
    cell(&c, 0, 2)->n_performer = 0; /* joint in run 3: Ada known, EV2 not */
    cell(&c, 2, 2)->n_performer = 0;
    c.timing.line_up[2 * 2 + 1] = -1;
    fit_and_build(&c);
    ck_assert_uint_eq(c.fit.n_person, 4);
    ck_assert_uint_eq(c.fit.n_named_person, 3);
    ck_assert_str_eq(c.fit.person[3], "");
    const double *w = c.fit.data.person_weight;
    ck_assert(w[(1 * RUNS + 1) * 4 + 1] == 1.0);
    ck_assert(w[(0 * RUNS + 2) * 4 + 0] == 0.5 && w[(0 * RUNS + 2) * 4 + 3] == 0.5);
    ck_assert(w[(2 * RUNS + 2) * 4 + 3] == 1.0); /* the same stranger all through that run */
    campaign_release(&c);
}
END_TEST

/* By hand from 10, 12, 9, 11 and 20, 26, 23, 21 minutes: mean and sd (divisor n) of the logs, in R:
 *   y <- log(c(10,12,9,11)); c(mean(y), sqrt(mean((y-mean(y))^2))) */
START_TEST(alone_is_the_usual_practice)
{
    struct campaign c;

    campaign_init(&c);
    cell(&c, 2, 0)->state = WR_CELL_STOPPED;
    cell(&c, 2, 1)->state = WR_CELL_STOPPED;
    cell(&c, 2, 2)->state = WR_CELL_STOPPED; /* one done cell is left: 7 minutes */
    c.options.model = WR_MODEL_ALONE;
    fit_and_build(&c);
    ck_assert_uint_eq(c.d.n_draw, 1);
    ck_assert_uint_eq(c.fit.post.n_draw, 0);
    ck_assert(c.d.tau[0] == 0.0);
    for (size_t k = 0; k < 3; k++) ck_assert_int_eq(c.d.source[k].kind, WR_SRC_LOGNORMAL);
    ck_assert_double_eq_tol(c.d.source[0].p[0], 2.3456528982, 1e-9);
    ck_assert_double_eq_tol(c.d.source[0].p[1], 0.1072458336, 1e-9);
    ck_assert_double_eq_tol(c.d.source[1].p[0], 3.10846136631, 1e-9);
    ck_assert_double_eq_tol(c.d.source[1].p[1], 0.09989681491, 1e-9);
    ck_assert_double_eq_tol(c.d.source[2].p[0], log(7.0), 1e-12);
    ck_assert_double_eq_tol(c.d.source[2].p[1], (0.1072458336 + 0.09989681491) / 2, 1e-9); /* middle of the others */
    ck_assert_double_eq_tol(c.d.source[5].p[0], log(15.0), 1e-12);
    campaign_release(&c);
}
END_TEST

/* Leaving a run out and refitting is the same as never having had it. */
START_TEST(refit_without_a_run)
{
    struct campaign c, less;
    struct wr_model_table table = {0};
    struct wr_model_fit again = {0};
    struct wr_error err;
    unsigned char keep[RUNS] = {1, 1, 1, 0};

    campaign_init(&c);
    campaign_init(&less);
    ck_assert_int_eq(fit(&c, &err), WR_OK);
    for (size_t k = 0; k < 3; k++)
        memmove(less.timing.cell + k * 3, less.timing.cell + k * RUNS, 3 * sizeof(struct wr_cell));
    memset(less.timing.cell + 9, 0, 9 * sizeof(struct wr_cell));
    less.timing.n_run = 3;
    ck_assert_int_eq(fit(&less, &err), WR_OK);
    wr_model_table_keep_runs(&table, &c.fit.data, keep, 4.0);
    ck_assert_int_eq(wr_model_refit(&again, &c.fit, &table, &c.options, &err), WR_OK);
    ck_assert_ptr_null(table.obs);
    ck_assert_uint_eq(again.post.n_draw, less.fit.post.n_draw);
    ck_assert(memcmp(again.post.mu, less.fit.post.mu, again.post.n_draw * 4 * sizeof(double)) == 0);
    ck_assert(memcmp(again.post.tau, less.fit.post.tau, again.post.n_draw * sizeof(double)) == 0);
    ck_assert(again.last_order == 3.0 && again.target_order == 4.0);
    wr_model_fit_release(&again);
    campaign_release(&c);
    campaign_release(&less);
}
END_TEST

/* The excursion under way as one more run: its cells, and nothing else, are new. */
START_TEST(add_a_run)
{
    struct campaign c;
    struct wr_model_table table = {0};
    struct wr_error err;
    unsigned who[] = {0, 1};

    campaign_init(&c);
    ck_assert_int_eq(fit(&c, &err), WR_OK);
    wr_model_table_add_run(&table, &c.fit.data, 5.0, 5.0);
    wr_model_table_set_cell(&table, 0, RUNS, WR_OBS_DONE, 14.0, who, 2);
    wr_model_table_set_cell(&table, 2, RUNS, WR_OBS_STOPPED, 3.0, who + 1, 1);
    size_t R = RUNS + 1;
    ck_assert_uint_eq(table.data.n_run, R);
    ck_assert(table.order[RUNS] == 5.0 && table.data.target_order == 5.0);
    ck_assert(table.log_min[RUNS] == log(14.0) && table.obs[2 * R + RUNS] == WR_OBS_STOPPED
              && table.obs[R + RUNS] == WR_OBS_NONE);
    ck_assert(table.person_weight[RUNS * 3] == 0.5 && table.person_weight[(2 * R + RUNS) * 3 + 1] == 1.0);
    for (size_t k = 0; k < 4; k++)
        for (size_t r = 0; r < RUNS; r++) ck_assert(table.log_min[k * R + r] == c.fit.data.log_min[k * RUNS + r]);
    wr_model_table_release(&table);
    campaign_release(&c);
}
END_TEST

/* 64 runs: the first four are kept in the table, without cells. */
START_TEST(only_the_last_sixty_runs)
{
    enum { MANY = 64 };
    struct campaign c;
    struct wr_cell *few;
    size_t n_seen = 0;

    campaign_init(&c);
    few = c.timing.cell;
    c.timing.n_run = MANY;
    c.timing.cell = WR_NEW_ARRAY(struct wr_cell, 6 * MANY);
    c.timing.run = wr_realloc(c.timing.run, MANY, sizeof *c.timing.run);
    c.timing.line_up = wr_realloc(c.timing.line_up, MANY * 2, sizeof *c.timing.line_up);
    for (size_t r = 0; r < MANY; r++) {
        c.timing.run[r] =
            (struct wr_timing_run){.order = (double)((r + 10) % MANY) + 1.0}; /* the 55th is the earliest */
        for (size_t l = 0; l < 2; l++) c.timing.line_up[2 * r + l] = c.timing.line_up[2 * (r % RUNS) + l];
        for (size_t k = 0; k < 3; k++) c.timing.cell[k * MANY + r] = few[k * RUNS + r % RUNS];
    }
    wr_free(few);
    c.options.sampler = (struct wr_sampler_options){.n_chain = 1, .n_burn = 5, .n_keep = 20, .thin = 1, .seed = 1};
    fit_and_build(&c);
    ck_assert_uint_eq(count_code(&c, "runs-left-out"), 1);
    for (size_t r = 0; r < MANY; r++) {
        bool seen = c.fit.data.obs[r] == WR_OBS_DONE;
        n_seen += seen;
        ck_assert(seen == !(r >= 54 && r < 58));
    }
    ck_assert_uint_eq(n_seen, WR_MOST_RUNS);
    ck_assert(c.fit.target_order == 65.0);
    ck_assert(c.fit.post.b[54 * c.fit.post.n_draw] != 0.0); /* of its own law */
    campaign_release(&c);
}
END_TEST

START_TEST(before_the_first_rehearsal)
{
    struct campaign c;

    campaign_init(&c);
    c.timing.n_run = c.timing.n_person = 0;
    for (size_t k = 0; k < 3; k++) c.plan.task[k].planned_min = wr_known(20);
    fit_and_build(&c);
    ck_assert(!c.fit.has_runs);
    ck_assert_uint_eq(count_code(&c, "nothing-rehearsed"), 1);
    ck_assert(c.fit.target_order == 1.0 && c.d.n_line_up == 1);
    for (size_t i = 0; i < c.d.n_draw; i++) ck_assert(isfinite(c.d.centre_log[i]) && c.d.spread_log[i] > 0);
    campaign_release(&c);
}
END_TEST

START_TEST(nothing_for_the_model)
{
    struct campaign c;

    campaign_init(&c);
    c.timing.n_run = c.timing.n_person = 0;
    for (size_t k = 0; k < 6; k++) {
        c.plan.task[k].median_min = wr_known(5);
        c.plan.task[k].sdlog = wr_known(0);
    }
    fit_and_build(&c);
    ck_assert_uint_eq(c.fit.n_model_task, 0);
    ck_assert_uint_ge(c.d.n_draw, 1);
    ck_assert_uint_eq(count_code(&c, "nothing-rehearsed"), 0);
    campaign_release(&c);
}
END_TEST

START_TEST(chains_that_disagree_are_reported)
{
    struct campaign c;

    campaign_init(&c);
    c.options.sampler = (struct wr_sampler_options){.n_chain = 4, .n_burn = 0, .n_keep = 20, .thin = 1, .seed = 1};
    fit_and_build(&c);
    ck_assert(!c.fit.post.chains_agree);
    ck_assert_uint_gt(count_code(&c, "chains-disagree"), 0);
    campaign_release(&c);
}
END_TEST

/* Draws that differ in one thing, whichever it is, leave something to be known. */
START_TEST(nothing_is_unknown_if_no_draw_differs)
{
    enum { TASKS = 2, DRAWS = 3 };
    static const int line_up[] = {0, WR_PERSON_NEW};
    struct wr_durations d;

    made_durations_plain(&d, TASKS, DRAWS);
    made_durations_people(&d, 2, 1, 1, line_up);
    d.run_effect_shift = WR_NEW_ARRAY(double, DRAWS);
    d.run_effect_sd = WR_NEW_ARRAY(double, DRAWS);
    double *const value[] = {d.centre_log + DRAWS, d.spread_log,       d.rho,          d.kappa,
                             d.q,                  d.run_effect_shift, d.run_effect_sd};
    for (size_t j = 0; j < TASKS * DRAWS; j++) d.centre_log[j] = 3, d.spread_log[j] = 0.2;
    ck_assert(wr_durations_are_known(&d)); /* tau differs, but the day's own law takes its place */
    for (size_t i = 0; i < sizeof value / sizeof *value; i++) {
        value[i][DRAWS - 1] += 0.01;
        ck_assert_msg(!wr_durations_are_known(&d), "array %zu", i);
        value[i][DRAWS - 1] = value[i][0];
        ck_assert(wr_durations_are_known(&d));
    }
    WR_FREE(d.run_effect_shift, d.run_effect_sd);
    d.run_effect_shift = d.run_effect_sd = NULL;
    ck_assert(!wr_durations_are_known(&d));
    for (size_t k = 0; k < TASKS; k++) d.source[k] = (struct wr_source){.kind = WR_SRC_FIXED, .p = {5}};
    ck_assert(wr_durations_are_known(&d)); /* no task has a pace */
    made_durations_release(&d);
}
END_TEST

/* Each task fitted by itself is shifted by the mean of its kind, a kind without history by that of kinds in general;
 * which those are is said. */
START_TEST(carry_over_of_tasks_fitted_alone)
{
    struct campaign c;
    struct wr_error err = {.text = ""};
    struct wr_history_row row[] = {{"X1", "turn", 10, 14, 2, false},
                                   {"X2", "turn", 12, 15, 3, false},
                                   {"X1", "walk", 10, 9, 4, false},
                                   {"X1", "Lift", 10, 9, 5, false},
                                   {"X1", "Spin", 10, 9, 6, false}};
    struct wr_history history = {.row = row, .n_row = 5};
    struct wr_carry_over carry = {0};
    double before[3];

    campaign_init(&c);
    c.plan.task[0].kind = "walk";
    c.plan.task[1].kind = "turn";
    c.plan.task[2].kind = "hose";
    c.options.model = WR_MODEL_ALONE;
    fit_and_build(&c);
    for (size_t k = 0; k < 3; k++) before[k] = c.d.source[k].p[0];
    ck_assert_int_eq(wr_carry_over_fit(&carry, &history, &err), WR_OK);
    c.options.target = WR_FOR_EXCURSION;
    ck_assert_msg(build(&c, &carry, &err) == WR_OK, "%s", err.text);
    size_t walk = 0, turn = 0;
    while (strcmp(carry.kind[walk], "walk") != 0) walk++;
    while (strcmp(carry.kind[turn], "turn") != 0) turn++;
    ck_assert_double_eq_tol(c.d.source[0].p[0] - before[0], carry.mean_log[walk], 1e-12);
    ck_assert_double_eq_tol(c.d.source[1].p[0] - before[1], carry.mean_log[turn], 1e-12);
    ck_assert_double_eq_tol(c.d.source[2].p[0] - before[2], carry.common_mean_log, 1e-12);
    const char *said = NULL;
    for (size_t i = 0; i < c.findings.n_finding; i++)
        if (strcmp(c.findings.finding[i].code, "kind-without-history") == 0) said = c.findings.finding[i].message;
    ck_assert_ptr_nonnull(said);
    ck_assert_msg(strstr(said, "(hose"), "%s", said);
    wr_carry_over_release(&carry);
    campaign_release(&c);
}
END_TEST

/* Kinds that make up half of the rehearsed minutes; tasks known otherwise do not count. */
START_TEST(history_of_little_of_the_work)
{
    static const struct { enum wr_model_kind model; const char *kind[3]; bool thin; } cases[] = {
        {WR_MODEL_POOLED, {"turn", "turn", "turn"}, false}, {WR_MODEL_POOLED, {"Turn", "hose", "hose"}, true},
        {WR_MODEL_POOLED, {"hose", "hose", "hose"}, true},  {WR_MODEL_POOLED, {"", "", ""}, true},
        {WR_MODEL_POOLED, {"turn", "turn", "hose"}, false}, {WR_MODEL_ALONE, {"hose", "turn", "hose"}, true},
        {WR_MODEL_ALONE, {"turn", "turn", "hose"}, false},
    };
    struct wr_history_row row[] = {{"X1", "turn", 10, 14, 2, false}, {"X2", "turn", 12, 15, 3, false}};
    struct wr_history history = {.row = row, .n_row = 2};
    struct wr_error err = {.text = ""};

    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct campaign c;
        struct wr_carry_over carry = {0};
        campaign_init(&c);
        for (size_t k = 0; k < c.plan.n_task; k++) c.plan.task[k].kind = cases[i].kind[k < 3 ? k : 2];
        c.options.model = cases[i].model;
        fit_and_build(&c);
        ck_assert_int_eq(wr_carry_over_fit(&carry, &history, &err), WR_OK);
        ck_assert_int_eq(build(&c, &carry, &err), WR_OK);
        ck_assert(!c.d.history_thin); /* the next rehearsal is in the pool */
        c.options.target = WR_FOR_EXCURSION;
        ck_assert_msg(build(&c, &carry, &err) == WR_OK, "%s", err.text);
        ck_assert_msg(c.d.history_thin == cases[i].thin, "case %zu", i);
        ck_assert_uint_eq(count_code(&c, "history-thin"), cases[i].thin);
        wr_carry_over_release(&carry);
        campaign_release(&c);
    }
}
END_TEST

Suite *suite_durations(void);
Suite *suite_durations(void)
{
    Suite *s = suite_create("durations");
    TCase *t = tcase_create("durations");

    tcase_set_timeout(t, 30);
    tcase_add_test(t, each_task_has_its_source);
    tcase_add_test(t, rehearsing_beats_judging);
    tcase_add_test(t, the_table_holds_what_was_seen);
    tcase_add_test(t, a_missing_planned_time_is_the_mean);
    tcase_add_test(t, a_task_that_nothing_is_known_of);
    tcase_add_test(t, done_in_no_time);
    tcase_add_test(t, learning_is_held_for_the_excursion);
    tcase_add_test(t, carry_over_shifts_modelled_tasks_by_kind);
    tcase_add_test(t, history_of_little_of_the_work);
    tcase_add_test(t, spread_is_capped);
    tcase_add_test(t, gap_allowance_slows_all_modelled_tasks_alike);
    tcase_add_test(t, line_ups_of_the_rehearsals_unless_named);
    tcase_add_test(t, malformed_people);
    tcase_add_test(t, people_off_when_they_cannot_be_told_apart);
    tcase_add_test(t, another_hand_is_named);
    tcase_add_test(t, people_of_whom_rehearsals_tell_nothing);
    tcase_add_test(t, cells_without_performer);
    tcase_add_test(t, alone_is_the_usual_practice);
    tcase_add_test(t, refit_without_a_run);
    tcase_add_test(t, add_a_run);
    tcase_add_test(t, only_the_last_sixty_runs);
    tcase_add_test(t, before_the_first_rehearsal);
    tcase_add_test(t, nothing_for_the_model);
    tcase_add_test(t, chains_that_disagree_are_reported);
    tcase_add_test(t, nothing_is_unknown_if_no_draw_differs);
    tcase_add_test(t, carry_over_of_tasks_fitted_alone);
    suite_add_tcase(s, t);
    return s;
}
