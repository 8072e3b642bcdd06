#include <check.h>
#include <math.h>
#include <string.h>
#include "sample_evidence.h"
#include "shown.h"
#include "shown_json.h"
#include "wetrun/base/memory.h"
#include "wetrun/present/runs_needed_view.h"

Suite *suite_runs_needed_view(void);

static struct sample s;
static struct sample_decisions d;
static struct sample_evidence e;
static struct wr_str out;
static const struct wr_limits *limits; /* NULL: the first is the only one */

static void make(enum sample_flavour flavour)
{
    sample_make(&s, 28, flavour);
    sample_decide(&d, &s);
    sample_learn(&e, &s, &d);
}

static struct wr_grounds grounds = {.n_rehearsal = 9, .n_complete = 7};
static const struct wr_forecast *forecast; /* NULL: no second answer */

static void done(void)
{
    sample_evidence_release(&e);
    sample_release(&s);
    wr_str_release(&out);
}

static enum wr_status show(enum wr_format format)
{
    struct wr_runs_needed_result result = {&s.plan, 390, &e.needed, limits, grounds, forecast, NULL, false, false};
    struct wr_error err = {0};

    wr_str_clear(&out);
    return wr_show_runs_needed(format, &s.context, &result, &out, &err);
}

static const char *shown_as(enum wr_format format)
{
    ck_assert_int_eq(show(format), WR_OK);
    return out.text;
}

/* Text without its line breaks, so that a phrase is found wherever the lines were broken. */
static const char *in_one_line(void)
{
    for (char *c = out.text; *c; c++)
        if (*c == '\n') *c = ' ';
    return out.text;
}

static void says(const char *phrase)
{
    shown_as(WR_FORMAT_TABLE);
    ck_assert_msg(strstr(in_one_line(), phrase) != NULL, "'%s' is not in: %s", phrase, out.text);
}

static void does_not_say(const char *phrase)
{
    shown_as(WR_FORMAT_TABLE);
    ck_assert_msg(strstr(in_one_line(), phrase) == NULL, "'%s' is in: %s", phrase, out.text);
}

START_TEST(table_fits_a_terminal_and_is_calm)
{
    for (int flavour = SAMPLE_TAME; flavour <= SAMPLE_HOSTILE; flavour++) {
        make((enum sample_flavour)flavour);
        e.needed.drops = true;
        e.needed.carry_over = true;
        e.needed.n_judged = 3;
        ck_assert_msg(shown_width(shown_as(WR_FORMAT_TABLE)) <= 80, "%s", out.text);
        shown_is_calm(out.text);
        for (size_t i = 0; i < 3; i++) /* the widest that cells can be */
            e.needed.row[i].clear_inside = e.needed.row[i].clear_outside = e.needed.row[i].width =
                (struct wr_estimated){1, 0.25};
        ck_assert_msg(shown_width(shown_as(WR_FORMAT_TABLE)) <= 80, "%s", out.text);
        done();
    }
}
END_TEST

START_TEST(what_is_said)
{
    make(SAMPLE_TAME);
    says("Now 6 of 100 finishes go over the 6:30 limit (90 % interval <1 to 18; wanted: at most 10): not enough "
         "rehearsals to tell.");
    /* width .176, after one .9 of it; clear inside .1 and .4, outside .02 */
    says("One more rehearsal would narrow the interval by about 10 % (\xc2\xb1 2.3 %); the answer would be "
         "\xe2\x80\x9cinside\xe2\x80\x9d after one in 10 of 100 cases, after four in 40; "
         "\xe2\x80\x9cnot inside\xe2\x80\x9d after one in 2 of 100 "
         "cases, after four in 2.");
    says("only what the crew learns can be expected to change the probability itself.");
    says("15.8 \xc2\xb1 0.4");
    says("10 \xc2\xb1 3");
    says("2 \xc2\xb1 1");
    says("one task rarely pays");
    does_not_say("carry over");
    does_not_say("rest on judgement");
    e.needed.carry_over = true;
    says("how pool times carry over to the excursion, which no rehearsal narrows");
    e.needed.n_judged = 1;
    says("rest on judgement");
    done();
}
END_TEST

START_TEST(what_is_not_claimed)
{
    make(SAMPLE_TAME);
    e.needed.row[0].width = (struct wr_estimated){.174, .002}; /* narrower by one standard error */
    says("One more rehearsal would hardly narrow the interval;");
    e.needed.row[0].width.value = .179; /* wider by as little */
    says("One more rehearsal would hardly narrow the interval;");
    says("Rehearsals make the answer surer, not better: only what the crew learns"); /* four do */
    e.needed.row[0].width.value = .19;
    says("One more rehearsal would rather widen the interval, on average;");
    e.needed.row[2].width.value = .19;
    does_not_say("surer, not better");
    says("so the answer need not get surer; and only what the crew learns");
    e.needed.row[2].width.value = .176;
    does_not_say("surer");
    says(" Only what the crew learns");
    for (size_t i = 0; i < 3; i++) e.needed.row[i].clear_inside.value = e.needed.row[i].clear_outside.value = .002;
    says("the answer would be clear in fewer than 1 of 100 cases, even after four.");
    e.needed.width = .003;
    says("so there is little to narrow;");
    for (size_t k = 0; k < e.needed.sessions.n; k++) e.needed.sessions.row[k].removed.error = .04;
    says("No single task stands out");
    e.needed.sessions.row[0].removed = (struct wr_estimated){.4, .02};
    does_not_say("one task rarely pays");
    says("holds much of the doubt, which is rare");
    /* one session's part and the rehearsal's, 2.1 and 1.9 errors of their difference apart, either way */
    const struct wr_estimated rehearsal = e.needed.row[0].removed;
    e.needed.row[0].removed = (struct wr_estimated){.4 - 2.1 * .05, .04};
    e.needed.sessions.row[0].removed.error = .03;
    says("holds much of the doubt, which is rare");
    e.needed.row[0].removed.value = .4 - 1.9 * .05;
    says("Which of the two removes more these simulations do not tell.");
    does_not_say("holds much of the doubt");
    e.needed.row[0].removed.value = .4 + 1.9 * .05;
    says("Which of the two removes more these simulations do not tell.");
    does_not_say("one task rarely pays");
    e.needed.row[0].removed.value = .4 + 2.1 * .05;
    says("one task rarely pays");
    /* another session as good: it is not one task */
    e.needed.row[0].removed.value = .2;
    e.needed.sessions.row[1].removed = (struct wr_estimated){.35, .03};
    says("That is more, and not of this task alone. The next in the table");
    does_not_say("holds much of the doubt");
    /* by luck the first of 28: three errors are not enough for all of them, which hold 3.1 (27 comparisons at 5 %) */
    for (size_t k = 1; k < e.needed.sessions.n; k++) e.needed.sessions.row[k].removed = (struct wr_estimated){.1, .01};
    e.needed.sessions.row[0].removed = (struct wr_estimated){.4, .03};
    e.needed.sessions.row[1].removed = (struct wr_estimated){.4 - 3 * .05, .04};
    says("The next in the table");
    e.needed.sessions.row[1].removed.value = .4 - 3.2 * .05;
    does_not_say("may remove as much");
    e.needed.sessions.row[2].removed = (struct wr_estimated){.2, .07}; /* further behind, and known less well */
    says("Another in the table, ");
    e.needed.row[0].removed = rehearsal;
    /* with too few complete ones no chance, however small */
    e.needed.row[0].clear_inside = (struct wr_estimated){0, 0};
    says("<1 \xc2\xb1 0.1");
    e.needed.row[0].never_inside = true;
    does_not_say("<1 \xc2\xb1 0.1");
    e.needed.row[2].clear_inside.value = .4;
    says("the answer would be \xe2\x80\x9cinside\xe2\x80\x9d not after one, with fewer than four complete rehearsals "
         "then, but after four in 40 of 100 cases. ");
    /* open for want of complete rehearsals alone, which no session on one task supplies */
    const struct wr_probability over = e.needed.over;
    const struct wr_grounds enough = grounds;
    says("A part-task session");
    e.needed.over = (struct wr_probability){.mean = .001, .lo = 0, .hi = .002};
    grounds.n_complete = 3;
    says("for three rehearsals are complete");
    does_not_say("part-task session");
    e.needed.over = over;
    grounds = enough;
    e.needed.sessions.n = 0;
    does_not_say("part-task session");
    done();
}
END_TEST

/* A limit that may be a slip: rehearsals do not answer it, so no chance of an answer after them is said. */
START_TEST(rehearsals_do_not_answer_a_doubt)
{
    const struct wr_grounds known = grounds;

    make(SAMPLE_TAME);
    says("the answer would be \xe2\x80\x9cinside\xe2\x80\x9d after one in");
    grounds = (struct wr_grounds){.open_by = WR_OPEN_BY_FILES};
    says("): cannot be told for a doubt of the files, for the numbers count only once the doubt is answered in the "
         "file, and no number of rehearsals answers it. ");
    says("How often an answer would become clear is not said: none does while the doubt stands.");
    says("Dashes below clear inside and clear outside: a doubt keeps every answer open");
    does_not_say("of 100 cases");
    does_not_say("part-task session");
    does_not_say("Rehearsals make the answer surer");
    json_t *root = shown_json(shown_as(WR_FORMAT_JSON));
    for (size_t i = 1; i < 4; i++) {
        ck_assert(json_is_null(json_object_get(shown_at(root, "further", i), "clear_inside")));
        ck_assert(json_is_null(json_object_get(shown_at(root, "further", i), "clear_outside")));
    }
    ck_assert_str_eq(shown_text(root, "verdict"), "not enough rehearsals to tell");
    json_decref(root);
    grounds = known;
    done();
}
END_TEST

/* A second limit that is kept for sure, a third that is not: each says for itself what further rehearsals would do. */
START_TEST(every_limit_speaks_for_itself)
{
    make(SAMPLE_TAME);
    struct wr_runs_needed_row clear[3], open[3];
    struct wr_session_row for_bay[] = {{5, {.2, .01}, 60}, {6, {.1, .01}, 40}};
    for (size_t i = 0; i < 3; i++) {
        clear[i] = open[i] = e.needed.row[i];
        clear[i].clear_inside.value = .97;
        open[i].clear_outside.value = .3;
    }
    struct wr_runs_needed_other other[] = {
        {1, .95, {.mean = .02, .lo = .01, .hi = .04}, .03, clear, {0}},
        {2, .5, {.mean = .5, .lo = .4, .hi = .6}, .2, open, {2, for_bay}}};
    struct wr_limit three[3] = {s.limits.limit[0], s.limits.limit[0], s.limits.limit[0]};
    three[1].name = "breathing gas";
    three[1].minutes = 405;
    three[2].name = "bay A";
    three[2].minutes = 115;
    struct wr_str best = {0};
    const struct wr_limits with_three = {.limit = three, .n_limit = 3};
    limits = &with_three;
    e.needed.other = other;
    e.needed.n_other = 2;
    says("the answer on this limit would be ");
    says("The other limits now: \xe2\x80\x9c" "breathing gas\xe2\x80\x9d, inside; \xe2\x80\x9c" "bay A\xe2\x80\x9d, "
         "not enough rehearsals to tell.");
    says("further rehearsals: breathing gas, 6:45. Now 2 of 100 finishes go over the 6:45 limit");
    says("the answer on this limit is clear now, and would be \xe2\x80\x9cinside\xe2\x80\x9d after one in 97 of 100");
    says("\xe2\x80\x9cnot inside\xe2\x80\x9d after one in 30 of 100 cases, after four in 30.");
    grounds.n_complete = 3;
    says("wanted: at most 5): not enough rehearsals to tell, for three rehearsals are complete, and with fewer");
    grounds.n_complete = 7;
    ck_assert_uint_eq(shown_csv_records(shown_as(WR_FORMAT_CSV), 18), 13);
    json_t *root = shown_json(shown_as(WR_FORMAT_JSON));
    const json_t *bay = shown_at(root, "other_limits", 1);
    ck_assert_str_eq(json_string_value(json_object_get(bay, "limit")), "bay A");
    ck_assert_double_eq_tol(shown_number(bay, "limit_min"), 115, 1e-12);
    ck_assert_double_eq_tol(shown_number(shown_at(bay, "further", 3), "clear_outside"), .3, 1e-12);
    json_decref(root);
    says("of what is not known about the probability to go over \xe2\x80\x9c" "excursion\xe2\x80\x9d, one more");
    /* a day in the pool is for a limit that is open: where the first is clear, for the next that is not */
    e.needed.over = (struct wr_probability){.mean = .01, .lo = .001, .hi = .02};
    wr_str_clear(&best);
    wr_str_addf(&best,
                "is most worth while for \xe2\x80\x9c%s\xe2\x80\x9d: it would remove about 20 %% (\xc2\xb1 1.0 %%) of "
                "what is not known about the probability to go over \xe2\x80\x9c" "bay A\xe2\x80\x9d, one more",
                s.plan.task[5].title);
    says(best.text);
    root = shown_json(shown_as(WR_FORMAT_JSON));
    ck_assert_uint_eq(json_array_size(json_object_get(root, "sessions")), 2);
    ck_assert_str_eq(json_string_value(json_object_get(root, "sessions_limit")), "bay A");
    json_decref(root);
    other[1].over = other[0].over; /* all are clear */
    does_not_say("part-task session");
    does_not_say("Removed: share");
    root = shown_json(shown_as(WR_FORMAT_JSON));
    ck_assert_uint_eq(json_array_size(json_object_get(root, "sessions")), 0);
    ck_assert(json_is_null(json_object_get(root, "sessions_answer")));
    ck_assert(json_is_null(json_object_get(root, "sessions_limit")));
    json_decref(root);
    /* of a limit behind the first, too, it is said first what keeps it open */
    does_not_say("The first thing is");
    struct wr_limit_outlook outlook[3] = {
        {.over = e.needed.over}, {.over = other[0].over},
        {.over = other[1].over, .second = {true, WR_BESIDE_JUDGED_SHORT, 20, {.mean = .6, .lo = .4, .hi = .8}}}};
    const struct wr_forecast with_second = {.limit = outlook, .n_limit = 3};
    forecast = &with_second;
    says("The first thing is to rehearse the tasks that rest on judgement: until then the second answer stands in the "
         "way of \xe2\x80\x9cinside\xe2\x80\x9d for \xe2\x80\x9c" "bay A\xe2\x80\x9d, whatever other rehearsals "
         "show. Now 1 of 100");
    forecast = NULL;
    wr_str_release(&best);
    limits = NULL;
    e.needed.n_other = 0;
    done();
}
END_TEST

/* Rehearsals drawn as if nothing was forgotten do not tell whether something was. */
START_TEST(what_the_second_answer_holds_back_has_no_chance)
{
    make(SAMPLE_TAME);
    e.needed.over = (struct wr_probability){.mean = .01, .lo = .001, .hi = .02};
    struct wr_limit_outlook outlook = {
        .over = e.needed.over, .second = {true, WR_BESIDE_GAP_ALLOWED, 10, {.mean = .02, .lo = .01, .hi = .04}}};
    const struct wr_forecast with_second = {.limit = &outlook, .n_limit = 1};
    forecast = &with_second;
    for (size_t i = 0; i < 3; i++) {
        e.needed.row[i].clear_inside.value = .93;
        e.needed.row[i].clear_outside.value = 0;
    }
    says("in 93 of 100 cases"); /* the second answer is within as well */
    does_not_say("is not said");
    outlook.second.over.hi = .2;
    does_not_say("in 93 of 100");
    does_not_say("93 \xc2\xb1 3");
    says("would narrow the interval by about 10 % (\xc2\xb1 2.3 %). "
         "How often it would be \xe2\x80\x9cinside\xe2\x80\x9d is not said: "
         "the second answer stands in the way, and the rehearsals simulated here do not settle it. What helps is to "
         "rehearse shortly before the day. Rehearsals");
    says("A dash below clear inside");
    does_not_say("part-task session"); /* which tells of the better answer alone */
    json_t *root = shown_json(shown_as(WR_FORMAT_JSON));
    ck_assert(json_is_null(json_object_get(shown_at(root, "further", 3), "clear_inside")));
    ck_assert(json_is_null(json_object_get(shown_at(root, "further", 3), "clear_inside_error")));
    ck_assert(shown_number(shown_at(root, "further", 0), "clear_inside") == 0);
    json_decref(root);
    for (size_t i = 0; i < 3; i++) e.needed.row[i].clear_outside.value = .3;
    says("; the answer would be \xe2\x80\x9cnot inside\xe2\x80\x9d after one in 30 of 100 cases, after four in 30. "
         "How often it would be");
    outlook.second.kind = WR_BESIDE_JUDGED_SHORT;
    says("What helps is to rehearse the tasks that rest on judgement. ");
    forecast = NULL;
    done();
}
END_TEST

/* A share that may be chance is no number, in the prose nor in the table, and the width now has an error as well. */
START_TEST(no_more_is_said_of_narrowing_than_can_be_told)
{
    make(SAMPLE_TAME);
    e.needed.over.lo_mc_error = .003;
    e.needed.over.hi_mc_error = .004; /* .005 of the width now; with .004 of one's width .0064 */
    for (size_t i = 0; i < 2; i++) {
        double by = i ? .0129 : .0127, share = by / .176; /* of .176; told apart from twice .0064 on */
        e.needed.row[0].width.value = .176 - by;
        says(i ? "One more rehearsal would narrow the interval by about 7.3 % (\xc2\xb1 3.5 %);"
               : "One more rehearsal would narrow the interval by no more than these simulations can tell;");
        json_t *root = shown_json(shown_as(WR_FORMAT_JSON));
        const json_t *one = shown_at(root, "further", 1), *now = shown_at(root, "further", 0);
        if (i) {
            ck_assert_double_eq_tol(shown_number(one, "narrower_by"), share, 1e-12);
            /* of the ratio: .004 / .176 and .9267 of .005 / .176 */
            ck_assert_double_eq_tol(shown_number(one, "narrower_by_error"), hypot(.022727, .9267 * .028409), 1e-5);
        } else {
            ck_assert(json_is_null(json_object_get(one, "narrower_by")));
            ck_assert(json_is_null(json_object_get(one, "narrower_by_error")));
        }
        ck_assert_double_eq_tol(shown_number(now, "width_error"), .005, 1e-12);
        ck_assert_double_eq_tol(shown_number(now, "interval_hi_error"), .004, 1e-12);
        json_decref(root);
    }
    says("17.6 \xc2\xb1 0.5");
    says("7.3 % \xc2\xb1 3.5 %");
    e.needed.row[0].width.value = .2;
    e.needed.row[0].width.error = .013; /* wider by less than twice its error */
    says("by no more than these simulations can tell;");
    e.needed.over.lo_mc_error = e.needed.over.hi_mc_error = 0;
    e.needed.row[0].width = (struct wr_estimated){.174, .002};
    says("One more rehearsal would hardly narrow the interval;");
    done();
}
END_TEST

START_TEST(json_and_csv_are_whole)
{
    make(SAMPLE_HOSTILE);
    ck_assert_uint_eq(shown_csv_records(shown_as(WR_FORMAT_CSV), 18), 5); /* header, now, one, two, four */
    json_t *root = shown_json(shown_as(WR_FORMAT_JSON));
    shown_has_keys(root, "command version seed verdict answer limit_min confidence overrun last_run_order "
                         "target_run_order further other_limits sessions sessions_answer sessions_limit "
                         "session_repeats "
                         "rehearsal_min futures "
                         "futures_fitted_again "
                         "draws sweeps definitions caution");
    ck_assert_uint_eq(json_array_size(json_object_get(root, "further")), 4);
    ck_assert_uint_eq(json_array_size(json_object_get(root, "sessions")), 28);
    const json_t *now = shown_at(root, "further", 0), *four = shown_at(root, "further", 3);
    shown_has_keys(four, "further_runs narrower_by narrower_by_error "
                         "width width_error interval_lo interval_lo_error interval_hi "
                         "interval_hi_error probability_over probability_over_error clear_inside clear_inside_error "
                         "clear_outside clear_outside_error variance_removed variance_removed_error");
    ck_assert(shown_number(now, "further_runs") == 0 && shown_number(four, "further_runs") == 4);
    ck_assert_double_eq_tol(shown_number(now, "width"), .176, 1e-12);
    ck_assert_double_eq_tol(shown_number(four, "width"), .176 * .6, 1e-12);
    ck_assert_double_eq_tol(shown_number(four, "narrower_by"), .4, 1e-12);
    ck_assert_double_eq_tol(shown_number(four, "clear_inside"), .4, 1e-12);
    ck_assert(json_is_null(json_object_get(now, "narrower_by")));
    shown_has_keys(shown_at(root, "sessions", 0), "task title time_min variance_removed variance_removed_error");
    json_decref(root);
    done();
}
END_TEST

START_TEST(a_number_that_is_none_is_refused)
{
    make(SAMPLE_TAME);
    e.needed.row[1].width.error = NAN;
    ck_assert_int_eq(show(WR_FORMAT_TABLE), WR_E_DOMAIN);
    ck_assert_uint_eq(out.len, 0);
    done();
}
END_TEST

Suite *suite_runs_needed_view(void)
{
    Suite *suite = suite_create("runs_needed_view");
    TCase *t = tcase_create("runs_needed_view");

    tcase_add_test(t, table_fits_a_terminal_and_is_calm);
    tcase_add_test(t, what_is_said);
    tcase_add_test(t, what_is_not_claimed);
    tcase_add_test(t, rehearsals_do_not_answer_a_doubt);
    tcase_add_test(t, every_limit_speaks_for_itself);
    tcase_add_test(t, what_the_second_answer_holds_back_has_no_chance);
    tcase_add_test(t, no_more_is_said_of_narrowing_than_can_be_told);
    tcase_add_test(t, json_and_csv_are_whole);
    tcase_add_test(t, a_number_that_is_none_is_refused);
    suite_add_tcase(suite, t);
    return suite;
}
