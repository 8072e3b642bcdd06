#include <check.h>
#include <math.h>
#include <string.h>
#include "sample_evidence.h"
#include "shown.h"
#include "shown_json.h"
#include "wetrun/present/backtest_view.h"
#include "wetrun/present/compare_view.h"
#include "wetrun/present/debrief_view.h"
#include "wetrun/present/earlier_view.h"
#include "wetrun/present/fit_view.h"
#include "wetrun/present/ready_view.h"

static struct sample s;
static struct sample_decisions d;
static struct sample_evidence e;
static struct wr_str out;

static void make(enum sample_flavour flavour)
{
    sample_make(&s, 28, flavour);
    sample_decide(&d, &s);
    sample_learn(&e, &s, &d);
}

static void done(void)
{
    sample_evidence_release(&e);
    sample_release(&s);
    wr_str_release(&out);
}

enum about { ABOUT_FIT, ABOUT_COMPARE, ABOUT_READY, ABOUT_BACKTEST, ABOUT_DEBRIEF, N_ABOUT };

static enum wr_status show(enum about about, enum wr_format format, struct wr_error *err)
{
    struct wr_fit_result fit = {&s.plan, &s.log, &e.summary, &e.posterior, &e.candidates, NULL, NULL, {0}};
    struct wr_compare_result compare = {&s.plan, &s.log, &s.timing, &e.comparison};
    struct wr_ready_result ready = {&s.log, &s.plan, &s.limits, &e.ready, NULL, NULL};
    struct wr_backtest_result backtest = {&s.log, &s.plan, &e.backtest, NULL};
    struct wr_debrief_result debrief = {&s.plan, &s.log, &e.debrief, &s.limits, NULL};

    wr_str_clear(&out);
    switch (about) {
    case ABOUT_FIT: return wr_show_fit(format, &s.context, &fit, &out, err);
    case ABOUT_COMPARE: return wr_show_compare(format, &s.context, &compare, &out, err);
    case ABOUT_READY: return wr_show_ready(format, &s.context, &ready, &out, err);
    case ABOUT_BACKTEST: return wr_show_backtest(format, &s.context, &backtest, &out, err);
    default: return wr_show_debrief(format, &s.context, &debrief, &out, err);
    }
}

static const char *shown_as(enum about about, enum wr_format format)
{
    struct wr_error err = {0};

    ck_assert_msg(show(about, format, &err) == WR_OK, "%s", err.text);
    return out.text;
}

START_TEST(tables_fit_a_terminal_and_are_calm)
{
    for (int flavour = SAMPLE_TAME; flavour <= SAMPLE_HOSTILE; flavour++) {
        make((enum sample_flavour)flavour);
        for (int about = 0; about < N_ABOUT; about++) {
            ck_assert_msg(shown_width(shown_as((enum about)about, WR_FORMAT_TABLE)) <= 80, "%s", out.text);
            shown_is_calm(out.text);
        }
        done();
    }
}
END_TEST

/* Work that the plan does not have stands in no other column: it has one of its own, on a terminal a sentence. */
START_TEST(work_off_the_plan_is_counted)
{
    make(SAMPLE_TAME);
    ck_assert_ptr_null(strstr(shown_as(ABOUT_COMPARE, WR_FORMAT_TABLE), "Work that the plan does not have"));
    e.comparison.run[2].off_plan_min = 13;
    e.comparison.run[4].off_plan_min = 61.4;
    struct wr_str said = {0};
    wr_str_addf(&said, "Work that the plan does not have is in none of these columns: %s, 0:13; %s,", s.log.run[2].id,
                s.log.run[4].id);
    ck_assert_ptr_nonnull(strstr(shown_as(ABOUT_COMPARE, WR_FORMAT_TABLE), said.text));
    json_t *root = shown_json(shown_as(ABOUT_COMPARE, WR_FORMAT_JSON));
    ck_assert_double_eq_tol(shown_number(shown_at(root, "runs", 4), "off_plan_min"), 61.4, 1e-9);
    json_decref(root);
    wr_str_release(&said);
    done();
}
END_TEST

START_TEST(how_far_a_stopped_task_stood_out_is_a_bound)
{
    make(SAMPLE_TAME);
    struct wr_compared_run *run = &e.comparison.run[2];
    run->n_out = 1;
    run->out[0] = (struct wr_standing_out){.task = 3, .ratio = 2.33, .minutes = 43.2, .sd = 4.1};
    shown_as(ABOUT_COMPARE, WR_FORMAT_TABLE);
    ck_assert_ptr_nonnull(strstr(out.text, " +43 min "));
    ck_assert_ptr_null(strstr(out.text, "at least +43 min"));
    run->out[0].at_least = true;
    ck_assert_ptr_nonnull(strstr(shown_as(ABOUT_COMPARE, WR_FORMAT_TABLE), " at least +43 min "));
    done();
}
END_TEST

START_TEST(csv_is_whole)
{
    static const struct { enum about about; size_t fields, records;
    } csv[] = {{ABOUT_FIT, 22, 29},
               {ABOUT_COMPARE, 18, 10},
               {ABOUT_READY, 6, WR_N_CRITERION + 1},
               {ABOUT_BACKTEST, 10, 7},
               {ABOUT_DEBRIEF, 13, 29}};

    make(SAMPLE_HOSTILE);
    for (size_t i = 0; i < sizeof csv / sizeof *csv; i++)
        ck_assert_uint_eq(shown_csv_records(shown_as(csv[i].about, WR_FORMAT_CSV), csv[i].fields), csv[i].records);
}
END_TEST

START_TEST(fit_has_the_keys_of_the_contract)
{
    make(SAMPLE_TAME);
    json_t *root = shown_json(shown_as(ABOUT_FIT, WR_FORMAT_JSON));
    shown_has_keys(root, "command version tasks run_effect learning chains");
    shown_has_keys(shown_at(root, "tasks", 1),
                   "task done stopped skipped family median_min mean_min sd_min p80_min p95_min candidates");
    shown_has_keys(json_object_get(root, "run_effect"), "sd_log interval");
    shown_has_keys(json_object_get(root, "learning"), "slope_log interval");
    ck_assert_str_eq(shown_text(shown_at(root, "tasks", 0), "family"), "pert");
    const json_t *first = shown_at(shown_at(root, "tasks", 1), "candidates", 0);
    shown_has_keys(first, "family parameters loglik aicc anderson_darling p_value");
    const json_t *stopped = shown_at(root, "tasks", 8); /* one of its times is a lower bound */
    for (size_t i = 0; i < json_array_size(json_object_get(stopped, "candidates")); i++)
        ck_assert(json_is_null(json_object_get(shown_at(stopped, "candidates", i), "anderson_darling")));
    double before = -INFINITY;
    for (size_t i = 0; i < json_array_size(json_object_get(shown_at(root, "tasks", 1), "candidates")); i++) {
        double aicc = shown_number(shown_at(shown_at(root, "tasks", 1), "candidates", i), "aicc");
        ck_assert(aicc >= before);
        before = aicc;
    }
    json_decref(root);
}
END_TEST

/* Rehearsals that the model did not see have no effect to be shown; the others keep their names. */
START_TEST(effects_are_of_the_runs_that_the_model_saw)
{
    make(SAMPLE_TAME);
    e.summary.n_run = 2;
    e.summary.run[0] = 3;
    e.summary.run[1] = 7;
    json_t *root = shown_json(shown_as(ABOUT_FIT, WR_FORMAT_JSON));
    ck_assert_uint_eq(json_array_size(json_object_get(root, "runs")), 2);
    for (size_t i = 0; i < 2; i++)
        ck_assert_str_eq(shown_text(shown_at(root, "runs", i), "name"), s.log.run[e.summary.run[i]].id);
    json_decref(root);
    done();
}
END_TEST

/* Of two or three times no family has the criterion: then none is lowest. */
START_TEST(without_a_criterion_no_family_is_lowest)
{
    make(SAMPLE_TAME);
    ck_assert_ptr_nonnull(strstr(shown_as(ABOUT_FIT, WR_FORMAT_TABLE), "lowest AICc"));
    for (size_t i = 0; i < e.candidates.n_task * WR_N_FAMILY; i++) e.candidates.candidate[i].fit.aicc = WR_UNKNOWN;
    ck_assert_ptr_null(strstr(shown_as(ABOUT_FIT, WR_FORMAT_TABLE), "AICc"));
    struct wr_candidate *one = &e.candidates.candidate[3 * WR_N_FAMILY];
    one->fitted = true;
    one->family = WR_GAMMA;
    one->fit.aicc = wr_known(12);
    shown_as(ABOUT_FIT, WR_FORMAT_TABLE);
    for (char *at = out.text; *at; at++) if (*at == '\n') *at = ' ';
    ck_assert_ptr_nonnull(strstr(out.text, "lowest AICc gamma 1; none for 27."));
}
END_TEST

/* Parameters that are one value in all draws say nothing of how sure they are. */
START_TEST(what_does_not_vary_between_draws_has_no_interval)
{
    make(SAMPLE_TAME);
    struct wr_task_summary *t = &e.summary.task[1];
    struct wr_estimate *const all[] = {&t->median_min, &t->sd_min, &t->p80_min, &t->p95_min};
    for (size_t i = 0; i < sizeof all / sizeof *all; i++) all[i]->lo = all[i]->hi = all[i]->value;
    t->median_min = (struct wr_estimate){6.4, 6.4, 6.4};
    ck_assert_ptr_null(strstr(shown_as(ABOUT_FIT, WR_FORMAT_TABLE), "6.4 to 6.4"));
    json_t *root = shown_json(shown_as(ABOUT_FIT, WR_FORMAT_JSON));
    for (size_t k = 1; k < 3; k++)
        for (size_t i = 0; i < 3; i++) {
            static const char *const key[] = {"median_lo_min", "sd_hi_min", "p95_lo_min"};
            ck_assert_int_eq(json_is_null(json_object_get(shown_at(root, "tasks", k), key[i])), k == 1);
        }
    json_decref(root);
}
END_TEST

/* More lanes than a column has room for wait in lines of their own, each with its name, none cut. */
START_TEST(every_lane_that_waits_is_shown)
{
    static const double waiting_min[4] = {34, 18, 62, 67};
    static const char *lane[4] = {"EV1", "EV2", "IV", "ARM"}, **had;
    make(SAMPLE_TAME);
    ck_assert_ptr_nonnull(strstr(shown_as(ABOUT_COMPARE, WR_FORMAT_TABLE), "lane by lane  "));
    ck_assert_ptr_null(strstr(out.text, "Waiting, lane by lane:"));
    for (size_t i = 0; i < e.comparison.n_run; i++) e.comparison.run[i].waiting_min = waiting_min;
    e.comparison.n_lane = 4;
    had = s.plan.lane;
    s.plan.lane = lane;
    shown_as(ABOUT_COMPARE, WR_FORMAT_TABLE);
    ck_assert_uint_le(shown_width(out.text), 80);
    ck_assert_ptr_nonnull(strstr(out.text, "Waiting, lane by lane:\n  "));
    ck_assert_ptr_nonnull(strstr(out.text, ": EV1 0:34, EV2 0:18, IV 1:02, ARM 1:07\n"));
    s.plan.lane = had;
}
END_TEST

/* No candidates looked for, as for the report, is not none found. */
START_TEST(candidates_that_nobody_looked_for_are_not_an_empty_list)
{
    make(SAMPLE_TAME);
    const struct wr_fit_result fit = {&s.plan, &s.log, &e.summary, &e.posterior, NULL, NULL, NULL, {0}};
    wr_str_clear(&out);
    ck_assert_int_eq(wr_show_fit(WR_FORMAT_JSON, &s.context, &fit, &out, NULL), WR_OK);
    json_t *root = shown_json(out.text);
    ck_assert_ptr_null(json_object_get(root, "candidates_are"));
    ck_assert_ptr_null(json_object_get(shown_at(root, "tasks", 1), "candidates"));
    ck_assert_ptr_null(json_object_get(shown_at(root, "tasks", 1), "no_candidate"));
    json_decref(root);
    done();
}
END_TEST

START_TEST(a_likelihood_without_a_maximum_is_no_candidate)
{
    make(SAMPLE_TAME);
    wr_candidates_release(&e.candidates);
    for (size_t r = 0; r < s.timing.n_run; r++) s.timing.cell[4 * s.timing.n_run + r].active_min = 12.5; /* no spread */
    wr_candidates_fit(&e.candidates, &s.timing, &(struct wr_candidate_options){.n_thread = 1});
    json_t *root = shown_json(shown_as(ABOUT_FIT, WR_FORMAT_JSON));
    const json_t *task = shown_at(root, "tasks", 4);
    ck_assert_uint_eq(json_array_size(json_object_get(task, "candidates")), 0);
    ck_assert_uint_eq(json_array_size(json_object_get(task, "no_candidate")), WR_N_FAMILY);
    ck_assert_str_ne(shown_text(shown_at(task, "no_candidate", 0), "why"), "");
    json_decref(root);
}
END_TEST

START_TEST(chains_that_disagree_come_first)
{
    make(SAMPLE_TAME);
    e.posterior.chains_agree = false;
    const char *warning = strstr(shown_as(ABOUT_FIT, WR_FORMAT_TABLE), "The chains do not agree");
    ck_assert_ptr_nonnull(warning);
    ck_assert(warning < strstr(out.text, "----")); /* the first table */
}
END_TEST

/* The verdict is exact; where the clocks beside it show the same it says on which side. */
START_TEST(a_record_does_not_contradict_its_clocks)
{
    static const struct { double actual_min; bool inside; const char *says; } c[] = {
        {199.0, false, "no, just before"}, {198.4, false, "no"}, {199.12, true, "yes"}, {260.0, true, "yes"},
        {260.3, false, "no, just after"}, {260.6, false, "no"},
    };
    make(SAMPLE_TAME);
    struct wr_backtest_record *record = &e.backtest.leave_one_out;
    struct wr_backtest_run *last = &record->run[record->n_run - 1];

    ck_assert(last->forecast_made);
    last->lens_min[WR_LENS10] = 199.12;
    last->lens_min[WR_LENS90] = 260.2;
    for (size_t i = 0; i < sizeof c / sizeof *c; i++) {
        struct wr_grid grid;
        last->actual_min = c[i].actual_min;
        last->inside80 = c[i].inside;
        const struct wr_backtest_result of = {.plan = &s.plan, .log = &s.log, .backtest = &e.backtest};
        wr_grid_of_backtest(&of, record, &grid);
        wr_str_clear(&out);
        wr_grid_add_terminal(&grid, 200, &out);
        while (out.len && (out.text[out.len - 1] == '\n' || out.text[out.len - 1] == ' ')) out.text[--out.len] = 0;
        const char *cell = strrchr(out.text, '\n');
        while (strstr(cell, "  ")) cell = strstr(cell, "  ") + 2;
        ck_assert_str_eq(cell + strspn(cell, " "), c[i].says);
        wr_str_clear(&out);
        wr_grid_add_csv(&grid, &out);
        ck_assert_str_eq(strrchr(out.text, ',') + 1, c[i].inside ? "yes\n" : "no\n");
        wr_grid_release(&grid);
    }
    done();
}
END_TEST

START_TEST(comparison_says_what_it_cannot_say)
{
    make(SAMPLE_TAME);
    shown_as(ABOUT_COMPARE, WR_FORMAT_TABLE);
    ck_assert_ptr_nonnull(strstr(out.text, "they follow each"));
    struct wr_group_comparison *g = &e.comparison.group[0];
    g->length.permutation.smallest_p = g->length.smallest_p = 0.1;
    g->length.n_run[0] = g->length.n_run[1] = 3;
    struct wr_str text = {0};
    wr_group_sentence(g, &text);
    ck_assert_ptr_nonnull(strstr(text.text, "With 3 and 3 runs no difference, however large, can reach 5 %."));
    g->pace.reason = WR_COMPARE_ONE_GROUP;
    wr_str_clear(&text);
    wr_group_sentence(g, &text);
    ck_assert_ptr_nonnull(strstr(text.text, "there is one group only."));
    wr_str_release(&text);
    json_t *root = shown_json(shown_as(ABOUT_COMPARE, WR_FORMAT_JSON));
    shown_has_keys(root, "command version runs trend length_trend spread_trend task_trends stood_out "
                         "runs_without_group groups");
    ck_assert_ptr_null(json_object_get(shown_at(root, "groups", 0), "ratio")); /* no number without an answer */
    ck_assert_uint_eq(json_array_size(json_object_get(shown_at(root, "runs", 0), "waiting")), 2);
    json_decref(root);
}
END_TEST

static const char *shown_unwrapped(void)
{
    for (char *c = out.text; *c; c++)
        if (*c == '\n') *c = ' ';
    return out.text;
}

START_TEST(trends_of_tasks_are_shown_where_they_are_told)
{
    make(SAMPLE_TAME);
    struct wr_task_trend *told = &e.comparison.task_trend[3], *unknown = &e.comparison.task_trend[5];
    for (size_t k = 0; k < e.comparison.n_task; k++) e.comparison.task_trend[k].told = false;
    e.comparison.n_task_told = 0;
    shown_as(ABOUT_COMPARE, WR_FORMAT_TABLE);
    ck_assert_ptr_nonnull(strstr(out.text, "are steady."));
    ck_assert_ptr_null(strstr(out.text, "doubling\n"));
    *told = (struct wr_task_trend){
        {true, 8, -0.4, -0.5, -0.3, -0.24, -0.29, -0.19, 3.1}, {true, 0.0002}, {true, 0.005}, true};
    *unknown = (struct wr_task_trend){.line = {.n_run = 3}};
    e.comparison.n_task_told = 1;
    shown_as(ABOUT_COMPARE, WR_FORMAT_TABLE);
    ck_assert_ptr_nonnull(strstr(shown_unwrapped(), "with each doubling of rehearsals one gets shorter: "));
    ck_assert_ptr_null(strstr(out.text, "longer: "));
    shown_as(ABOUT_COMPARE, WR_FORMAT_TABLE);
    ck_assert_ptr_nonnull(strstr(out.text, "\u221229 to \u221219 %"));
    json_t *root = shown_json(shown_as(ABOUT_COMPARE, WR_FORMAT_JSON));
    ck_assert_uint_eq(json_array_size(json_object_get(root, "task_trends")), e.comparison.n_task);
    const json_t *row = shown_at(root, "task_trends", 3);
    ck_assert(shown_number(row, "slope_log") == -0.4 && shown_number(row, "holm_p") == 0.005);
    ck_assert(json_is_true(json_object_get(row, "told")));
    ck_assert(json_is_null(json_object_get(shown_at(root, "task_trends", 5), "slope_log")));
    json_decref(root);
    e.comparison.task_trend[4] = (struct wr_task_trend){
        {true, 8, 0.4, 0.3, 0.5, 0.32, 0.23, 0.41, 3.1}, {true, 0.0002}, {true, 0.005}, true};
    e.comparison.n_task_told = 2;
    e.comparison.length_trend.per_doubling = -0.1;
    shown_as(ABOUT_COMPARE, WR_FORMAT_TABLE);
    shown_unwrapped();
    ck_assert_ptr_nonnull(strstr(out.text, "Not every task does: with each doubling of rehearsals one gets longer: "));
    ck_assert_ptr_nonnull(strstr(out.text, " (+32 %). Of the others no trend is shown. The forecast gives all tasks "
                                           "one common trend, this one too."));

    e.comparison.spread_trend = (struct wr_trend){true, 8, -0.2, -0.3, -0.1, -0.13, -0.19, -0.07, 0.1};
    shown_as(ABOUT_COMPARE, WR_FORMAT_TABLE);
    ck_assert_ptr_nonnull(strstr(out.text, "the tasks settle."));
    e.comparison.spread_trend = (struct wr_trend){0};
    e.comparison.n_task_trend = 0;
    shown_as(ABOUT_COMPARE, WR_FORMAT_TABLE);
    ck_assert_ptr_null(strstr(out.text, "settle"));
    root = shown_json(shown_as(ABOUT_COMPARE, WR_FORMAT_JSON));
    ck_assert(json_is_null(json_object_get(root, "spread_trend")));
    json_decref(root);
}
END_TEST

START_TEST(evidence_is_counted_and_never_says_go)
{
    make(SAMPLE_TAME);
    json_t *root = shown_json(shown_as(ABOUT_READY, WR_FORMAT_JSON));
    shown_has_keys(root, "command version met not_met not_enough_evidence criteria overrun");
    ck_assert_uint_eq(json_array_size(json_object_get(root, "criteria")), WR_N_CRITERION);
    ck_assert(shown_number(root, "met") + shown_number(root, "not_met") + shown_number(root, "not_enough_evidence") ==
              WR_N_CRITERION);
    for (size_t i = 0; i < WR_N_CRITERION; i++) {
        const char *words = shown_text(shown_at(root, "criteria", i), "evidence");
        ck_assert(strcmp(words, "met") == 0 || strcmp(words, "not met") == 0 ||
                  strcmp(words, "not enough evidence") == 0);
    }
    json_decref(root);
    shown_as(ABOUT_READY, WR_FORMAT_TABLE);
    ck_assert_ptr_nonnull(strstr(out.text, "whether it is"));
    ck_assert(strstr(out.text, "\nNot met: ") < strstr(out.text, "\nMet: "));
}
END_TEST

/* "Not met" beside a forecast that cannot tell is no contradiction, and the line says why. */
START_TEST(not_met_where_the_forecast_cannot_tell_says_why)
{
    static const char why[] = "not met because the number itself is beyond what is allowed; the forecast says "
                              "\xe2\x80\x9cnot enough rehearsals to tell\xe2\x80\x9d because the interval reaches "
                              "within it too";
    struct wr_ready_result ready = {&s.log, &s.plan, &s.limits, &e.ready, NULL, NULL};
    struct wr_str found = {0};

    make(SAMPLE_TAME);
    e.ready.result[WR_CRIT_OVERRUN].evidence = WR_EVIDENCE_NOT_MET;
    e.ready.over = (struct wr_probability){.mean = .17, .lo = .04, .hi = .38};
    wr_criterion_found(&ready, WR_CRIT_OVERRUN, &found);
    ck_assert_ptr_nonnull(strstr(found.text, why));
    wr_str_clear(&found);
    e.ready.over.lo = .12; /* then the forecast says "not inside" as well */
    wr_criterion_found(&ready, WR_CRIT_OVERRUN, &found);
    ck_assert_ptr_null(strstr(found.text, "because"));
    wr_str_release(&found);
}
END_TEST

/* A plan with times of which nothing was rehearsed is not one without times. */
START_TEST(planned_times_without_a_rehearsal_are_not_denied)
{
    struct wr_ready_result ready = {&s.log, &s.plan, &s.limits, &e.ready, NULL, NULL};
    struct wr_str found = {0};

    make(SAMPLE_TAME);
    e.ready.result[WR_CRIT_PLANNED].found = WR_UNKNOWN;
    e.ready.result[WR_CRIT_PLANNED].of = 11;
    wr_criterion_found(&ready, WR_CRIT_PLANNED, &found);
    ck_assert_str_eq(wr_str_text(&found), "nothing was rehearsed to hold the planned times against");
    wr_str_clear(&found);
    wr_criterion_found(&ready, WR_CRIT_PLANNED_PATH, &found);
    ck_assert_str_eq(wr_str_text(&found), "nothing was rehearsed to hold the planned times against");
    wr_str_release(&found);
    done();
}
END_TEST

/* What was completed may have no known time: then the criterion counts more than the table of times does. */
START_TEST(completed_is_told_from_timed)
{
    make(SAMPLE_TAME);
    ck_assert_ptr_null(strstr(shown_as(ABOUT_READY, WR_FORMAT_TABLE), "fewer times are known"));
    e.ready.n_fewer_timed = 3;
    ck_assert_ptr_nonnull(strstr(shown_as(ABOUT_READY, WR_FORMAT_TABLE), "(of 3 of these fewer times are known)"));
    ck_assert_ptr_nonnull(strstr(shown_as(ABOUT_FIT, WR_FORMAT_TABLE), "done,  stop-"));
    done();
}
END_TEST

START_TEST(criteria_that_are_off_are_not_shown)
{
    make(SAMPLE_TAME);
    e.ready.result[WR_CRIT_RECORD].on = false;
    json_t *root = shown_json(shown_as(ABOUT_READY, WR_FORMAT_JSON));
    ck_assert_uint_eq(json_array_size(json_object_get(root, "criteria")), WR_N_CRITERION - 1);
    json_decref(root);
}
END_TEST

START_TEST(backtest_has_the_keys_of_the_contract)
{
    make(SAMPLE_TAME);
    json_t *root = shown_json(shown_as(ABOUT_BACKTEST, WR_FORMAT_JSON));
    shown_has_keys(root, "command version runs coverage80 coverage95 crps_min predecessors_only tasks");
    shown_has_keys(shown_at(root, "runs", 0), "run actual_min predicted_p50_min interval80_min interval95_min rank");
    const json_t *early = shown_at(json_object_get(root, "predecessors_only"), "runs", 0);
    ck_assert(json_is_null(json_object_get(early, "interval80_min")));
    ck_assert(json_is_null(json_object_get(shown_at(root, "tasks", 0), "mean_rank")));
    json_decref(root);
}
END_TEST

START_TEST(the_record_is_judged_by_its_numbers)
{
    static const struct {
        size_t n, hits;
        double prob;
        const char *words;
    } record[] = {{0, 0, 1, "not enough evidence"},
                  {6, 5, .7, "no sign against the forecast, though 6 cannot show much"},
                  {6, 3, .099, "no sign against the forecast"},
                  {6, 2, .017, "the forecast was too sure of itself"},
                  {4, 1, .027, "fewer than a sound forecast has, though 4 cannot show much"}};

    for (size_t i = 0; i < sizeof record / sizeof *record; i++) {
        struct wr_backtest_record r = {.n_forecast = record[i].n,
                                       .n_inside80 = record[i].hits,
                                       .n_inside95 = record[i].n,
                                       .prob_so_few80 = record[i].prob,
                                       .crps_min = 7,
                                       .expected_least80 = 4};
        wr_str_clear(&out);
        wr_backtest_sentence(&(struct wr_backtest){.leave_one_out = r}, NULL, &out);
        ck_assert_msg(strstr(out.text, record[i].words) != NULL, "%s", out.text);
    }
}
END_TEST

START_TEST(debrief_is_one_screen)
{
    make(SAMPLE_TAME);
    shown_as(ABOUT_DEBRIEF, WR_FORMAT_TABLE);
    size_t lines = 0;
    for (const char *p = out.text; *p; p++) lines += *p == '\n';
    ck_assert_uint_le(lines, 40);
    ck_assert_int_eq(strncmp(out.text, "R03: not complete, at least ", 28), 0);
    e.debrief.finish_stands = true;
    ck_assert_int_eq(strncmp(shown_as(ABOUT_DEBRIEF, WR_FORMAT_TABLE), "R03: all done at ", 17), 0);
    e.debrief.finish_stands = false;
    ck_assert_ptr_nonnull(strstr(out.text, "; with nothing dropped the other")); /* the plan has rules */
    e.debrief.n_left_out = 2;
    e.debrief.did_its_work = e.debrief.by_plan_complete = true;
    shown_as(ABOUT_DEBRIEF, WR_FORMAT_TABLE);
    ck_assert_int_eq(strncmp(out.text, "R03: done at ", 13), 0);
    for (char *p = out.text; *p; p++) *p = *p == '\n' ? ' ' : *p;
    ck_assert_ptr_nonnull(strstr(out.text, "; without two tasks that it skipped and the plan may drop the other "));
    ck_assert_ptr_null(strstr(out.text, "than that, at least"));
    e.debrief.n_left_out = 0;
    e.debrief.did_its_work = e.debrief.by_plan_complete = false;
    shown_as(ABOUT_DEBRIEF, WR_FORMAT_TABLE);
    ck_assert_ptr_nonnull(strstr(out.text, "hold 12 min"));
    ck_assert_ptr_nonnull(strstr(out.text, "not logged"));
    json_t *root = shown_json(shown_as(ABOUT_DEBRIEF, WR_FORMAT_JSON));
    shown_has_keys(root, "command version run finish_without_holds_min rank tasks change");
    ck_assert(json_is_null(json_object_get(shown_at(root, "tasks", 9), "actual_min"))); /* skipped is not zero */
    ck_assert_str_eq(shown_text(shown_at(root, "tasks", 9), "remark"), "skipped");
    json_decref(root);
}
END_TEST

START_TEST(numbers_that_are_none_are_errors)
{
    struct wr_error err = {0};

    make(SAMPLE_TAME);
    e.summary.task[3].p80_min.value = NAN;
    e.comparison.run[2].active_min = INFINITY;
    e.ready.result[WR_CRIT_UNLOGGED].threshold = NAN;
    e.backtest.leave_one_out.run[1].crps_min = NAN;
    e.debrief.task[2].hi_min = NAN;
    for (int about = 0; about < N_ABOUT; about++) {
        for (int format = WR_FORMAT_TABLE; format <= WR_FORMAT_JSON; format++) {
            ck_assert_int_eq(show((enum about)about, (enum wr_format)format, &err), WR_E_DOMAIN);
            ck_assert_uint_eq(out.len, 0);
        }
    }
}
END_TEST

START_TEST(one_rehearsal_is_no_plural)
{
    const char *name[] = {"p1", "p2"};
    size_t n_run[] = {3, 1};
    const struct wr_earlier earlier = {.n_campaign = 2, .name = name, .n_run = n_run};
    const struct wr_earlier_result result = {.earlier = &earlier};

    wr_str_clear(&out);
    wr_earlier_sentence(&result, NULL, &out);
    ck_assert_str_eq(out.text, "The priors rest on 2 earlier campaigns (p1: 3 rehearsals, p2: 1 rehearsal).");
}
END_TEST

Suite *suite_evidence_views(void);
Suite *suite_evidence_views(void)
{
    Suite *suite = suite_create("evidence_views");
    TCase *t = tcase_create("evidence_views");

    tcase_add_checked_fixture(t, NULL, done);
    tcase_add_test(t, tables_fit_a_terminal_and_are_calm);
    tcase_add_test(t, csv_is_whole);
    tcase_add_test(t, completed_is_told_from_timed);
    tcase_add_test(t, planned_times_without_a_rehearsal_are_not_denied);
    tcase_add_test(t, how_far_a_stopped_task_stood_out_is_a_bound);
    tcase_add_test(t, work_off_the_plan_is_counted);
    tcase_add_test(t, fit_has_the_keys_of_the_contract);
    tcase_add_test(t, effects_are_of_the_runs_that_the_model_saw);
    tcase_add_test(t, candidates_that_nobody_looked_for_are_not_an_empty_list);
    tcase_add_test(t, without_a_criterion_no_family_is_lowest);
    tcase_add_test(t, what_does_not_vary_between_draws_has_no_interval);
    tcase_add_test(t, every_lane_that_waits_is_shown);
    tcase_add_test(t, a_likelihood_without_a_maximum_is_no_candidate);
    tcase_add_test(t, chains_that_disagree_come_first);
    tcase_add_test(t, a_record_does_not_contradict_its_clocks);
    tcase_add_test(t, comparison_says_what_it_cannot_say);
    tcase_add_test(t, trends_of_tasks_are_shown_where_they_are_told);
    tcase_add_test(t, evidence_is_counted_and_never_says_go);
    tcase_add_test(t, not_met_where_the_forecast_cannot_tell_says_why);
    tcase_add_test(t, criteria_that_are_off_are_not_shown);
    tcase_add_test(t, backtest_has_the_keys_of_the_contract);
    tcase_add_test(t, the_record_is_judged_by_its_numbers);
    tcase_add_test(t, one_rehearsal_is_no_plural);
    tcase_add_test(t, debrief_is_one_screen);
    tcase_add_test(t, numbers_that_are_none_are_errors);
    suite_add_tcase(suite, t);
    return suite;
}
