/* What is odd about a log as a whole: each oddity in a log that has it, and not in the ones that nearly do. */
#include <check.h>
#include <stdio.h>
#include <string.h>
#include "made_plan.h"
#include "read_log.h"
#include "wetrun/base/mix.h"

#define HEAD "run,task,date,crew,performer,start,end,hold,outcome\n"
enum { N_TASK = 10 };

struct rehearsal { /* T0 … T9, by turns of EV1 and EV2, one after the other in each lane */
    const char *id, *date, *who[2];
    int start_min, pace; /* of the day; a task takes 10 minutes, what it is numbered, and this many more */
    int changed;         /* of this task on the row differs, by `how`; -1: none */
    const char *how;     /* "outcome", "hold" */
};

static void add_row(struct wr_str *text, const struct rehearsal *r, int task, int start, int end)
{
    bool changed = task == r->changed;

    wr_str_addf(text, "%s,T%d,%s,EV%d,%s,", r->id, task, r->date ? r->date : "", task % 2 + 1,
                r->who[task % 2] ? r->who[task % 2] : "");
    wr_str_addf(text, "%d:%02d,%d:%02d,%s,%s\n", start / 60, start % 60, end / 60, end % 60,
                changed && strcmp(r->how, "hold") == 0 ? "3" : "",
                changed && strcmp(r->how, "outcome") == 0 ? "stopped" : "");
}

static void add_rehearsal(struct wr_str *text, const struct rehearsal *r)
{
    int at[2] = {r->start_min, r->start_min};

    for (int k = 0; k < N_TASK; k++) {
        int took = 10 + k + r->pace;
        add_row(text, r, k, at[k % 2], at[k % 2] + took);
        at[k % 2] += took;
    }
}

static void add_all(struct wr_str *text, const struct rehearsal *r, size_t n)
{
    wr_str_add(text, HEAD);
    for (size_t i = 0; i < n; i++) add_rehearsal(text, &r[i]);
}

static struct outcome read_all(const struct rehearsal *r, size_t n, const char *further,
                               const struct wr_log_options *options)
{
    struct wr_str text = {0};
    struct outcome o;

    add_all(&text, r, n);
    wr_str_add(&text, further);
    log_read_as(&o, wr_str_text(&text), options);
    ck_assert_msg(o.status == WR_OK, "%s", o.err.text);
    wr_str_release(&text);
    return o;
}

static const struct wr_log_options plain;

/* Names of names.csv given to `options`; release them with wr_aliases_release. */
static struct wr_aliases names(const char *rows)
{
    struct wr_aliases a = {0};
    struct wr_findings findings = {0};

    ck_assert_int_eq(wr_aliases_read_bytes(&a, "names.csv", rows, strlen(rows), &findings, NULL), WR_OK);
    wr_findings_release(&findings);
    return a;
}

#define ANN_BOB                                                                                                        \
    {                                                                                                                  \
        "Ann", "Bob"                                                                                                   \
    }
#define CY_DEE                                                                                                         \
    {                                                                                                                  \
        "Cy", "Dee"                                                                                                    \
    }

/* ---- one run twice ---- */

static const struct {
    struct rehearsal second;
    size_t n_repeats, n_overlap;
} second_runs[] = {
    /* the first is R1 on 2031-03-04 from 9:00, pace 0 */
    {{"R2", "2031-03-11", ANN_BOB, 9 * 60, 3, -1, NULL}, 0, 0},
    {{"R2", "2031-03-11", ANN_BOB, 9 * 60, 0, -1, NULL}, 1, 0},     /* pasted again, another date */
    {{"R2", "2031-03-11", ANN_BOB, 10 * 60, 0, -1, NULL}, 1, 0},    /* and another time of day */
    {{"R2", "2031-03-11", ANN_BOB, 9 * 60, 0, 4, "outcome"}, 1, 0}, /* with one outcome put right */
    {{"R2", "2031-03-11", ANN_BOB, 9 * 60, 0, 4, "hold"}, 1, 0},
    {{"R2", "2031-03-04", ANN_BOB, 9 * 60, 3, -1, NULL}, 0, 1},       /* the same people twice at once */
    {{"R2", "2031-03-04", CY_DEE, 9 * 60, 3, -1, NULL}, 0, 0},        /* another pair, in another pool */
    {{"R2", "2031-03-04", {"Bob", NULL}, 9 * 60, 3, -1, NULL}, 0, 1}, /* one of them, in the other lane */
    {{"R2", "2031-03-04", {NULL, NULL}, 9 * 60, 3, -1, NULL}, 0, 1},  /* nobody is named: it may be */
    {{"R2", "2031-03-04", ANN_BOB, 13 * 60, 3, -1, NULL}, 0, 0},      /* in the afternoon */
    {{"R2", NULL, ANN_BOB, 9 * 60, 3, -1, NULL}, 0, 0},               /* who knows on which day */
};

START_TEST(a_run_that_stands_there_twice)
{
    const struct rehearsal both[] = {{"R1", "2031-03-04", ANN_BOB, 9 * 60, 0, -1, NULL}, second_runs[_i].second};
    struct outcome o = read_all(both, 2, "", &plain);

    ck_assert_uint_eq(outcome_count(&o, "run-repeats"), second_runs[_i].n_repeats);
    ck_assert_uint_eq(outcome_count(&o, "runs-overlap"), second_runs[_i].n_overlap);
    outcome_release(&o);
}
END_TEST

/* ---- a run that is the plan ---- */

START_TEST(a_run_that_takes_what_the_plan_allots)
{
    static const struct {
        int as_planned;
        const char *names;
        size_t n;
    } c[] = {{10, NULL, 1}, {9, NULL, 1}, {8, NULL, 0}, {4, NULL, 0}, {10, "kind,from,to\nrun,R1,R1\n", 0}};
    const struct rehearsal r = {"R1", "2031-03-04", ANN_BOB, 9 * 60, 0, -1, NULL};
    struct wr_plan plan = {0};
    struct wr_aliases a = {0};

    for (int k = 0; k < N_TASK; k++) {
        char id[8];
        snprintf(id, sizeof id, "T%d", k);
        size_t at = made_plan_add(&plan, id, k % 2 ? "EV2" : "EV1", "");
        if (c[_i].as_planned >= 8 || k < c[_i].as_planned) /* else the plan says nothing of how long it takes */
            plan.task[at].planned_min = wr_known(10 + k + (k >= c[_i].as_planned ? 0.5 : 0));
    }
    made_plan_finish(&plan);
    if (c[_i].names) a = names(c[_i].names);
    struct outcome o = read_all(&r, 1, "", &(struct wr_log_options){.plan = &plan, .aliases = &a});
    ck_assert_uint_eq(outcome_count(&o, "run-is-plan"), c[_i].n);
    outcome_release(&o);
    wr_aliases_release(&a);
    made_plan_release(&plan);
}
END_TEST

START_TEST(a_run_that_is_called_the_plan)
{
    const struct rehearsal r = {"As planned", "2031-03-04", ANN_BOB, 9 * 60, 0, -1, NULL};
    struct wr_aliases a = names("kind,from,to\nrun,As planned,As planned\n");
    struct outcome o = read_all(&r, 1, "", &plain);

    outcome_has(&o, "run-is-plan", WR_WARNING, 2, 0);
    outcome_release(&o);
    o = read_all(&r, 1, "", &(struct wr_log_options){.aliases = &a});
    ck_assert_uint_eq(outcome_count(&o, "run-is-plan"), 0);
    outcome_release(&o);
    wr_aliases_release(&a);
}
END_TEST

/* ---- begun again ---- */

START_TEST(a_run_that_was_begun_again)
{
    static const struct {
        const char *further;
        size_t n;
    } c[] = {
        {"R1,T0,2031-03-04,EV1,Ann,12:00,12:10,,\nR1,T2,2031-03-04,EV1,Ann,12:10,12:20,,\n", 1},
        {"R1,T2,2031-03-04,EV1,Ann,12:00,12:10,,\nR1,T4,2031-03-04,EV1,Ann,12:10,12:20,,\n", 0}, /* the first is not */
        {"R1,T0,2031-03-04,EV1,Ann,12:00,12:10,,\n", 0},                                         /* one alone */
        {"R1,T0,2031-03-04,EV1,Ann,12:00,12:10,,\nR1,T2,2031-03-04,EV1,Ann,12:10,12:20,,\n"
         "R2,T0,2031-03-11,EV1,Ann,12:00,12:10,,\nR2,T2,2031-03-11,EV1,Ann,12:10,12:20,,\n",
         0}, /* how they work */
    };
    static const struct rehearsal both[] = {{"R1", "2031-03-04", ANN_BOB, 9 * 60, 0, -1, NULL},
                                            {"R2", "2031-03-11", ANN_BOB, 9 * 60, 3, -1, NULL}};
    struct outcome o = read_all(both, 2, c[_i].further, &plain);

    ck_assert_uint_eq(outcome_count(&o, "run-restarted"), c[_i].n);
    outcome_release(&o);
}
END_TEST

/* ---- dates, lanes, runs that stand alone ---- */

/* The middle day of three is 2031-03-11; 365.25 days are a year, 3 x 366 days are far. */
START_TEST(a_date_far_from_the_others)
{
    static const struct {
        const char *date, *says;
    } c[] = {{"2021-03-11", "10 years before most runs, and stands first in their order: correct"},
             {"2041-03-11", "10 years after most runs, and stands last in their order: correct"},
             {"2030-03-11", "365 days before most runs, and stands first"},
             {"2031-12-11", "274 days after most runs, and stands last"},
             {"2031-09-07", NULL}, /* half a year, 180 days, is a pause */
             {NULL, NULL}};
    const struct rehearsal r[] = {{"R1", "2031-03-11", ANN_BOB, 9 * 60, 0, -1, NULL},
                                  {"R2", "2031-03-12", ANN_BOB, 9 * 60, 3, -1, NULL},
                                  {"R3", "2031-03-10", ANN_BOB, 9 * 60, 5, -1, NULL},
                                  {"R4", c[_i].date, ANN_BOB, 9 * 60, 7, -1, NULL}};
    struct outcome o = read_all(r, 4, "", &plain);

    ck_assert_uint_eq(outcome_count(&o, "date-far"), c[_i].says != NULL);
    if (c[_i].says) ck_assert_ptr_nonnull(strstr(outcome_finding(&o, "date-far")->message, c[_i].says));
    outcome_release(&o);
}
END_TEST

/* Five runs a week apart from 2031-03-04 on, but for the date of one. */
START_TEST(dates_and_names_in_two_orders)
{
    static const struct {
        const char *id[5], *date, *says;
        int which;
    } c[] = {{{"R01", "R02", "R03", "R04", "R05"}, "2031-02-01", "as number 1 of 5; by its name and its place", 4},
             {{"R8", "R9", "R10", "R11", "R12"}, "2031-02-01", "in the log it is number 5: correct its date", 4},
             {{"P7-1 b", "P7-2 b", "P7-3 b", "P7-5 b", "P7-6 b"}, "2031-04-11", "as number 5 of 5; by its name", 1},
             {{"R1", "R2", "R3", "R4", "R5"}, "2031-04-01", NULL, 4},
             {{"R5", "R4", "R3", "R2", "R1"}, "2031-02-01", NULL, 4}, /* not numbered as the log has them */
             {{"R1", "S2", "R3", "R4", "R5"}, "2031-02-01", NULL, 4},
             {{"Ada", "Bea", "Cy", "Dee", "Eli"}, "2031-02-01", NULL, 4},
             {{"R1", "R2", "R3", "R4", "R5"}, "2031-03-25", NULL, 4}}; /* of one day: as the log has them */
    static const char *const date[] = {"2031-03-04", "2031-03-11", "2031-03-18", "2031-03-25", "2031-04-01"};
    struct rehearsal r[5];

    for (int i = 0; i < 5; i++)
        r[i] = (struct rehearsal){.id = c[_i].id[i], .date = i == c[_i].which ? c[_i].date : date[i], .who = ANN_BOB,
                                  .start_min = 9 * 60, .pace = 3 * i, .changed = -1};
    struct outcome o = read_all(r, 5, "", &plain);
    ck_assert_uint_eq(outcome_count(&o, "date-order"), c[_i].says != NULL);
    if (c[_i].says) {
        const char *said = outcome_finding(&o, "date-order")->message;
        ck_assert_msg(strstr(said, c[_i].says) && strstr(said, c[_i].id[c[_i].which]), "%s", said);
    }
    outcome_release(&o);
}
END_TEST

/* 2021 is ten years before the others, and the run has no date but in its times. */
START_TEST(times_far_from_the_others)
{
    struct outcome o;

    read_good(&o, "run,task,start,end\nR1,A,2031-03-04T09:00,2031-03-04T09:10\nR2,A,2031-03-05T09:00,2031-03-05T09:11\n"
                  "R3,A,2021-03-04T09:00,2021-03-04T09:12\n");
    ck_assert_ptr_nonnull(
        strstr(outcome_finding(&o, "date-far")->message, "run 'R3' is dated by its times, 10 years before"));
    outcome_release(&o);
}
END_TEST

START_TEST(names_that_stand_alone)
{
    static const struct {
        const char *further, *names, *says;
    } c[] = {
        {"R1,T3,2031-03-04,EVB,Bob,12:00,12:10,,\n", NULL, "lane 'EVB' stands in this row only"},
        {"R1,T3,2031-03-04,EVB,Bob,12:00,12:10,,\n", "kind,from,to\nlane,EVB,EVB\n", NULL},
        {"R1,T3,2031-03-04,EVB,Bob,12:00,12:10,,\nR1,T5,2031-03-04,EVB,Bob,12:10,12:20,,\n", NULL, NULL},
        {"R01,T3,2031-03-04,EV2,Bob,12:00,12:10,,\n", NULL, "run 'R01' has 1 row where others have 10"},
        {"R01,T3,2031-03-04,EV2,Bob,12:00,12:10,,\nR01,T5,2031-03-04,EV2,Bob,12:10,12:20,,\n", NULL,
         "run 'R01' has 2 rows where others have 10"},
        {"R01,T3,2031-03-04,EV2,Bob,12:00,12:10,,\n", "kind,from,to\nrun,R01,R01\n", NULL},
    };
    static const struct rehearsal both[] = {{"R1", "2031-03-04", ANN_BOB, 9 * 60, 0, -1, NULL},
                                            {"R2", "2031-03-11", ANN_BOB, 9 * 60, 3, -1, NULL}};
    struct wr_aliases a = {0};

    if (c[_i].names) a = names(c[_i].names);
    struct outcome o = read_all(both, 2, c[_i].further, &(struct wr_log_options){.aliases = &a});
    ck_assert_uint_eq(outcome_count(&o, "lone-name"), c[_i].says != NULL);
    if (c[_i].says) ck_assert_ptr_nonnull(strstr(outcome_finding(&o, "lone-name")->message, c[_i].says));
    outcome_release(&o);
    wr_aliases_release(&a);
}
END_TEST

/* ---- somebody under two names ---- */

/* Ann has five rows of EV1 in each run, Bob of EV2, both until past 10:00; what else is in R1 and R2 comes after, or,
 * at 9:00, beside them. */
START_TEST(somebody_who_is_nearly_another)
{
    static const struct { const char *further, *names, *says; } c[] = {
        {"R1,X1,2031-03-04,EV1,Anm,11:00,11:10,,\n", NULL,
         "'Anm' stands in this row only, and 'Ann' in 5 others of run 'R1': one person or two? A row of names.csv says "
         "it: person,Anm,Ann (one), or person,Anm,Anm (two)"},
        {"R1,X1,2031-03-04,EV1+EV2,Nan+Bob,11:00,11:10,,\n", NULL, "'Nan' stands in this row only, and 'Ann' in 5"},
        {"R1,X1,2031-03-04,EV1,Anm,11:00,11:10,,\n", "kind,from,to\nperson,Anm,Anm\n", NULL},
        {"R1,X1,2031-03-04,EV1,Anm,11:00,11:10,,\n", "kind,from,to\nperson,Anm,Ann\n", NULL},
        {"R1,X1,2031-03-04,EV1,Zoe,11:00,11:10,,\n", NULL, NULL},
        /* of two runs, of more than a row to three, beside Ann in one row: another */
        {"R1,X1,2031-03-04,EV1,Anm,11:00,11:10,,\nR2,X1,2031-03-11,EV1,Anm,11:00,11:10,,\n", NULL, NULL},
        {"R1,X1,2031-03-04,EV1,Anm,11:00,11:10,,\nR1,X2,2031-03-04,EV1,Anm,11:10,11:20,,\n", NULL, NULL},
        {"R1,X1,2031-03-04,EV1+EV2,Ann+Anm,11:00,11:10,,\n", NULL, NULL},
        /* three letters: only in Ann's own lane, and not while she works in it; a longer name wherever it stands */
        {"R1,X1,2031-03-04,EV2,Anm,11:00,11:10,,\n", NULL, NULL},
        {"R1,X1,2031-03-04,EV1,Anm,09:00,09:05,,\n", NULL, NULL},
        {"R1,X1,2031-03-04,EV2,Anne,09:00,09:05,,\n", NULL, "'Anne' stands in this row only, and 'Ann' in 5"},
        {"R1,X1,2031-03-04,EV1,Anne+Bob,11:00,11:10,,\n", NULL, NULL}, /* nobody knows whose lane it is */
    };
    static const struct rehearsal both[] = {{"R1", "2031-03-04", ANN_BOB, 9 * 60, 0, -1, NULL},
                                            {"R2", "2031-03-11", ANN_BOB, 9 * 60, 3, -1, NULL}};
    struct wr_aliases a = {0};

    if (c[_i].names) a = names(c[_i].names);
    struct outcome o = read_all(both, 2, c[_i].further, &(struct wr_log_options){.aliases = &a});
    ck_assert_uint_eq(outcome_count(&o, "lone-person"), c[_i].says != NULL);
    if (c[_i].says) ck_assert_ptr_nonnull(strstr(outcome_finding(&o, "lone-person")->message, c[_i].says));
    outcome_release(&o);
    wr_aliases_release(&a);
}
END_TEST

/* A log without lanes: the plan has them. Two rows are few where there are six; no name is in an anonymous finding. */
START_TEST(somebody_in_the_lane_of_the_plan)
{
    struct wr_plan plan = {0};
    struct wr_str text = {0};
    struct outcome o;

    wr_str_add(&text, "run,task,performer,start,end\n");
    for (int k = 0; k < 8; k++) {
        char id[3] = {'T', (char)('0' + k), '\0'};
        made_plan_add(&plan, id, "EV1", "");
        wr_str_addf(&text, "R1,%s,%s,%d:00,%d:08\n", id, k == 2 || k == 4 ? "BA" : "AB", 9 + k, 9 + k);
        wr_str_addf(&text, "R2,%s,CD,%d:00,%d:08\n", id, 9 + k, 9 + k);
    }
    made_plan_finish(&plan);
    for (int anonymous = 0; anonymous < 2; anonymous++) {
        log_read_as(&o, wr_str_text(&text), &(struct wr_log_options){.plan = &plan, .anonymous = anonymous});
        ck_assert_msg(o.status == WR_OK, "%s", o.err.text);
        ck_assert_uint_eq(outcome_count(&o, "lone-person"), 1);
        const char *says = outcome_finding(&o, "lone-person")->message;
        const char *who = anonymous ? "somebody stands in 2 rows only, and somebody of nearly that name in 6 others of "
                                      "run 'R1'"
                                    : "'BA' stands in 2 rows only, and 'AB' in 6 others of run 'R1'";
        ck_assert_ptr_nonnull(strstr(says, who));
        ck_assert(!anonymous || (!strstr(says, "AB") && !strstr(says, "BA")));
        outcome_release(&o);
    }
    made_plan_release(&plan);
    wr_str_release(&text);
}
END_TEST

/* ---- one task under two names ---- */

/* Runs of one task and of "Ladder" or what a row has for it: 9:00 to 9:10, then 9:10 to 9:20. */
static struct outcome read_ladders(const char *const *ladder, size_t n_run, const char *crew,
                                   const struct wr_log_options *options)
{
    struct wr_str text = {0};
    struct outcome o;

    wr_str_add(&text, "run,task,crew,start,end\n");
    for (size_t r = 0; r < n_run; r++) {
        wr_str_addf(&text, "R%zu,Hatch,EV1,9:%02zu,9:2%zu\n", r, r, r);
        if (ladder[r]) wr_str_addf(&text, "R%zu,%s,%s,9:3%zu,9:5%zu\n", r, ladder[r], crew, r, r);
    }
    log_read_as(&o, wr_str_text(&text), options);
    ck_assert_msg(o.status == WR_OK, "%s", o.err.text);
    wr_str_release(&text);
    return o;
}

START_TEST(a_task_that_is_nearly_another)
{
    static const struct {
        const char *ladder[6];
        const char *says;
    } c[] = {
        {{"Ladder", "Ladder", "Ladder", "Ladder", "Ladder", "Lader"},
         "'Lader' stands in run 'R5' only, where 'Ladder' is missing"},
        {{"Ladder", "Ladder", "Ladder", "Ladder", "Lader", "Lader"},
         "'Lader' stands in 2 runs only, where 'Ladder' is missing"},
        {{"Ladder", "Ladder", "Ladder", "Lader", "Lader", "Lader"}, NULL}, /* as often as not */
    };
    struct outcome o = read_ladders(c[_i].ladder, 6, "EV1", &plain);

    ck_assert_uint_eq(outcome_count(&o, "lone-name"), c[_i].says != NULL);
    if (c[_i].says) ck_assert_ptr_nonnull(strstr(outcome_finding(&o, "lone-name")->message, c[_i].says));
    outcome_release(&o);
}
END_TEST

/* Every run has one of the two and none has both; but for a row that says they are two, for lanes that never meet, and
 * for a plan that knows both or neither. */
START_TEST(two_tasks_that_are_never_together)
{
    static const char *const ladder[] = {"Ladder", "Ladder", "Ladder", "Steps", "Steps", "Steps"};
    static const struct {
        const char *names, *planned[2];
        size_t n;
    } c[] = {
        {NULL, {NULL, NULL}, 1},
        {"kind,from,to\ntask,Steps,Steps\n", {NULL, NULL}, 0},
        {"kind,from,to\ntask,Ladder,Ladder\n", {NULL, NULL}, 0},
        {NULL, {"Ladder", NULL}, 1},
        {NULL, {"Steps", NULL}, 1},
        {NULL, {"Ladder", "Steps"}, 0},
        {NULL, {"Hatch", NULL}, 0},
    };
    struct wr_plan plan = {0};
    struct wr_aliases a = {0};
    struct wr_log_options options = {.aliases = &a};

    for (int i = 0; i < 2 && c[_i].planned[i]; i++) made_plan_add(&plan, c[_i].planned[i], "EV1", "");
    made_plan_finish(&plan);
    if (plan.n_task) options.plan = &plan;
    if (c[_i].names) a = names(c[_i].names);
    struct outcome o = read_ladders(ladder, 6, "EV1", &options);
    ck_assert_uint_eq(outcome_count(&o, "never-together"), c[_i].n);
    outcome_release(&o);
    wr_aliases_release(&a);
    made_plan_release(&plan);
}
END_TEST

/* Nobody is named in the first run: whether they are the same people is open, so it is asked. */
START_TEST(nobody_named_in_the_first_of_two_at_once)
{
    const struct rehearsal both[] = {{"R1", "2031-03-04", {NULL, NULL}, 9 * 60, 0, -1, NULL},
                                     {"R2", "2031-03-04", ANN_BOB, 9 * 60, 3, -1, NULL}};
    struct outcome o = read_all(both, 2, "", &plain);

    ck_assert_uint_eq(outcome_count(&o, "runs-overlap"), 1);
    outcome_release(&o);
}
END_TEST

/* Eight steps of so many seconds, and again on another day, every other moment so many seconds later. Logs to the
 * second are held against each other to some seconds; and of short steps to the minute two rehearsals may well be
 * alike. */
static const struct { int step_s, later_s; size_t n; const char *says; } near_runs[] = {
    {210, 30, 0, NULL},
    {210, 8, 1, "has the same times, to some seconds, as"},
    {1210, 30, 0, NULL},
    {1200, 60, 1, "has the same times, to the minute, as"},
    {1200, 120, 0, NULL},
    {180, 60, 0, NULL},
};

START_TEST(runs_that_are_nearly_the_same)
{
    WR_SCOPED_STR log = {0};
    struct outcome o;
    const char *said = NULL;

    wr_str_add(&log, "run,task,date,start,end\n");
    for (int r = 0; r < 2; r++)
        for (int k = 0, at = 9 * 3600; k < 8; k++, at += near_runs[_i].step_s) {
            int from = at + (k % 2) * r * near_runs[_i].later_s;
            int to = at + near_runs[_i].step_s + (k + 1) % 2 * r * near_runs[_i].later_s;
            wr_str_addf(&log, "R%d,T%d,2031-03-%02d,%02d:%02d:%02d,%02d:%02d:%02d\n", r + 1, k, 4 + r, from / 3600,
                        from / 60 % 60, from % 60, to / 3600, to / 60 % 60, to % 60);
        }
    read_good(&o, wr_str_text(&log));
    ck_assert_uint_eq(outcome_count(&o, "run-repeats"), near_runs[_i].n);
    for (size_t i = 0; i < o.findings.n_finding; i++)
        if (strcmp(o.findings.finding[i].code, "run-repeats") == 0) said = o.findings.finding[i].message;
    if (near_runs[_i].says) ck_assert_msg(said && strstr(said, near_runs[_i].says), "%s", said ? said : "nothing");
    outcome_release(&o);
}
END_TEST

/* Runs of twenty or eighty steps, no dates, and the third again in a second log: every moment up to so many seconds
 * off, the day moved as a whole, a step off by itself. Not found with one step apart, nor where there is no third run
 * to hold two against, nor where all runs come as near: these keep to a timetable. */
static const struct {
    int n_run, n_step, apart_s, off_s, moved_s, slip_s;
    size_t n;
    const char *says;
} second_logs[] = {
    {4, 20, 100, 0, 0, 0, 1, "has the same times, to the second, as run 'R3'"},
    {4, 20, 100, 30, 0, 0, 1, "has in all 20 common steps, to 30 s and one shift of all, the times of run 'R3'"},
    {4, 20, 100, 30, 420, 0, 1, "has in all 20 common steps, to 30 s and one shift of all, the times of run 'R3'"},
    {4, 20, 100, 59, 420, 0, 1, "one rehearsal in two logs? Both count"},
    {4, 20, 100, 75, 0, 0, 0, NULL},
    {4, 20, 100, 30, 0, 300, 0, NULL},
    {1, 20, 100, 30, 0, 0, 0, NULL},
    {6, 20, 5, 75, 0, 0, 0, NULL},
    {4, 80, 100, 30, 0, 0, 1, "has in all 80 common steps, to 30 s"}, /* more than are held against other runs */
    {4, 80, 100, 30, 0, 300, 0, NULL},
};

START_TEST(one_rehearsal_in_two_logs_without_dates)
{
    WR_SCOPED_STR log = {0};
    struct outcome o;
    const char *said = NULL;
    const int n_run = second_logs[_i].n_run, n_step = second_logs[_i].n_step;

    wr_str_add(&log, "run,task,start,end\n");
    for (int r = 1; r <= n_run + 1; r++) {
        const int of = r <= n_run ? r : n_run > 2 ? 3 : 1; /* the pace of a step is by its run */
        int at = 9 * 3600 + (r > n_run ? second_logs[_i].moved_s : 0);
        for (int k = 0; k < n_step; k++) {
            int took = 900 + (int)(wr_mix3((uint64_t)of, (uint64_t)k, 0) % 11) * second_logs[_i].apart_s;
            int off = r > n_run ? (k * 5 % 7 - 3) * second_logs[_i].off_s / 3 : 0;
            int from = at + off, to = at + took - off - (r > n_run && k == 9 ? second_logs[_i].slip_s : 0);
            wr_str_addf(&log, "R%d,T%02d,%02d:%02d:%02d,%02d:%02d:%02d\n", r, k, from / 3600, from / 60 % 60, from % 60,
                        to / 3600, to / 60 % 60, to % 60);
            at += took + 200;
        }
    }
    read_good(&o, wr_str_text(&log));
    ck_assert_msg(outcome_count(&o, "run-repeats") == second_logs[_i].n, "%zu", outcome_count(&o, "run-repeats"));
    for (size_t i = 0; i < o.findings.n_finding; i++)
        if (strcmp(o.findings.finding[i].code, "run-repeats") == 0) said = o.findings.finding[i].message;
    if (second_logs[_i].says) ck_assert_msg(said && strstr(said, second_logs[_i].says), "%s", said ? said : "nothing");
    outcome_release(&o);
}
END_TEST

/* Of one day, but at which time of it nobody says: they need not be at once. */
START_TEST(two_runs_of_a_day_without_a_clock)
{
    struct outcome o;

    read_good(&o, "run,task,date,start,end\nR1,A,2031-03-04,0,10\nR1,B,2031-03-04,10,25\n"
                  "R2,A,2031-03-04,0,12\nR2,B,2031-03-04,12,30\n");
    ck_assert_uint_eq(outcome_count(&o, "runs-overlap"), 0);
    ck_assert_uint_eq(outcome_count(&o, "run-repeats"), 0);
    outcome_release(&o);
    read_good(&o, "run,task,date,start,end\nR1,A,2031-03-04,9:00,9:10\nR1,B,2031-03-04,9:10,9:25\n"
                  "R2,A,2031-03-04,0,12\nR2,B,2031-03-04,12,30\n");
    ck_assert_uint_eq(outcome_count(&o, "runs-overlap"), 0);
    outcome_release(&o);
}
END_TEST

/* K1 has A and B; what is called "K1 (again)" may be the rest of it: of the same day, without a task in common. */
START_TEST(a_run_in_two_parts)
{
    static const struct {
        const char *task, *day, *names;
        size_t n;
    } c[] = {{"C", "2031-03-04", NULL, 1},
             {"B", "2031-03-04", NULL, 0}, /* done twice: another run */
             {"C", "2031-03-05", NULL, 0},
             {"C", "", NULL, 0},
             {"C", "2031-03-04", "kind,from,to\nrun,K1 (again),K1 (again)\n", 0}};
    struct wr_aliases a = {0};
    struct wr_str text = {0};
    struct outcome o;

    if (c[_i].names) a = names(c[_i].names);
    wr_str_addf(&text, "run,task,date,start,end\nK1,A,2031-03-04,9:00,9:10\nK1,B,2031-03-04,9:10,9:20\n"
                       "K1 (again),%s,%s,9:20,9:30\n", c[_i].task, c[_i].day);
    log_read_as(&o, text.text, &(struct wr_log_options){.aliases = &a});
    ck_assert_msg(o.status == WR_OK, "%s", o.err.text);
    ck_assert_uint_eq(outcome_count(&o, "run-in-parts"), c[_i].n);
    if (c[_i].n)
        ck_assert_ptr_nonnull(strstr(outcome_finding(&o, "run-in-parts")->message,
                                     "run 'K1 (again)' has no task in common with run 'K1'"));
    outcome_release(&o);
    wr_aliases_release(&a);
    wr_str_release(&text);
}
END_TEST

/* What a slip makes of a name, and what it does not. */
static const struct { const char *other, *task; size_t n; } read_alike[] = {
    {"K01", "C", 1}, {"k001", "C", 1}, {"Kl", "C", 1}, {"KI", "C", 1},  {"K0I", "C", 1}, {"K-1", "C", 0},
    {"K2", "C", 0},  {"K10", "C", 0},  {"K11", "C", 0}, {"Kl0", "C", 0}, {"K01", "A", 0}, {"Kl", "B", 0},
};

START_TEST(a_run_in_parts_whose_names_read_alike)
{
    struct outcome o;
    WR_SCOPED_STR text = {0};

    wr_str_addf(&text, "run,task,date,start,end\nK1,A,2031-03-04,9:00,9:10\nK1,B,2031-03-04,9:10,9:20\n"
                       "%s,%s,2031-03-04,9:20,9:30\n", read_alike[_i].other, read_alike[_i].task);
    read_good(&o, text.text);
    ck_assert_uint_eq(outcome_count(&o, "run-in-parts"), read_alike[_i].n);
    if (read_alike[_i].n) { /* the one of fewer rows is the part */
        wr_str_clear(&text);
        wr_str_addf(&text, "run '%s' has no task in common with run 'K1'", read_alike[_i].other);
        ck_assert_ptr_nonnull(strstr(outcome_finding(&o, "run-in-parts")->message, text.text));
    }
    outcome_release(&o);
}
END_TEST

/* Of as many rows each it is said of one of the two. */
START_TEST(two_halves_that_read_alike)
{
    struct outcome o;

    read_good(&o, "run,task,date,start,end\nK10,A,2031-03-04,9:00,9:10\nK1O,B,2031-03-04,9:10,9:20\n"
                  "K2,A,2031-03-05,9:00,9:10\nK2,B,2031-03-05,9:10,9:20\n");
    ck_assert_uint_eq(outcome_count(&o, "run-in-parts"), 1);
    outcome_has(&o, "run-in-parts", WR_WARNING, 3, 0);
    outcome_release(&o);
}
END_TEST

/* The run has both, but the plan knows one of them only. */
START_TEST(a_task_beside_the_one_it_nearly_is)
{
    struct wr_plan plan = {0};
    struct wr_str text = {0};
    struct outcome o;

    made_plan_add(&plan, "Hatch", "EV1", "");
    made_plan_add(&plan, "Ladder", "EV1", "");
    made_plan_finish(&plan);
    wr_str_add(&text, "run,task,crew,start,end\n");
    for (int r = 0; r < 6; r++)
        wr_str_addf(&text, "R%d,Hatch,EV1,9:0%d,9:2%d\nR%d,Ladder,EV1,9:3%d,9:5%d\n", r, r, r, r, r, r);
    wr_str_add(&text, "R5,Lader,EV1,10:00,10:05\n");
    log_read_as(&o, text.text, &(struct wr_log_options){.plan = &plan});
    ck_assert_uint_eq(outcome_count(&o, "lone-name"), 1);
    ck_assert_ptr_nonnull(strstr(outcome_finding(&o, "lone-name")->message,
                                 "task 'Lader' stands in run 'R5' only, beside 'Ladder': one task or two?"));
    outcome_release(&o);
    made_plan_release(&plan);
    wr_str_release(&text);
}
END_TEST

Suite *suite_log_oddities(void);
Suite *suite_log_oddities(void)
{
    Suite *s = suite_create("log_oddities");
    TCase *t = tcase_create("log_oddities");

    tcase_add_loop_test(t, a_run_that_stands_there_twice, 0, (int)(sizeof second_runs / sizeof *second_runs));
    tcase_add_loop_test(t, a_run_that_takes_what_the_plan_allots, 0, 5);
    tcase_add_test(t, a_run_that_is_called_the_plan);
    tcase_add_loop_test(t, a_run_that_was_begun_again, 0, 4);
    tcase_add_loop_test(t, a_date_far_from_the_others, 0, 6);
    tcase_add_loop_test(t, dates_and_names_in_two_orders, 0, 8);
    tcase_add_test(t, times_far_from_the_others);
    tcase_add_loop_test(t, names_that_stand_alone, 0, 6);
    tcase_add_loop_test(t, somebody_who_is_nearly_another, 0, 12);
    tcase_add_test(t, somebody_in_the_lane_of_the_plan);
    tcase_add_loop_test(t, a_task_that_is_nearly_another, 0, 3);
    tcase_add_loop_test(t, two_tasks_that_are_never_together, 0, 7);
    tcase_add_test(t, nobody_named_in_the_first_of_two_at_once);
    tcase_add_loop_test(t, runs_that_are_nearly_the_same, 0, (int)(sizeof near_runs / sizeof *near_runs));
    tcase_add_loop_test(t, one_rehearsal_in_two_logs_without_dates, 0, sizeof second_logs / sizeof *second_logs);
    tcase_add_test(t, two_runs_of_a_day_without_a_clock);
    tcase_add_loop_test(t, a_run_in_two_parts, 0, 5);
    tcase_add_loop_test(t, a_run_in_parts_whose_names_read_alike, 0, sizeof read_alike / sizeof *read_alike);
    tcase_add_test(t, two_halves_that_read_alike);
    tcase_add_test(t, a_task_beside_the_one_it_nearly_is);
    suite_add_tcase(s, t);
    return s;
}
