/* The timeline: reading, holding it against the log, deriving it from the log. All plans here are invented. */
#include <check.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>
#include "wetrun/campaign/aliases.h"
#include "wetrun/campaign/plan.h"
#include "wetrun/campaign/way_in.h"

struct outcome {
    enum wr_status status;
    struct wr_plan plan;
    struct wr_findings findings;
    struct wr_error err;
    struct wr_run_log log;
};

static struct outcome read_plan(const char *text)
{
    struct outcome o = {0};

    o.status = wr_plan_read_bytes(&o.plan, "plan.csv", text, strlen(text), &o.findings, &o.err);
    return o;
}

static struct outcome read_good(const char *text)
{
    struct outcome o = read_plan(text);

    ck_assert_msg(o.status == WR_OK, "%s", o.err.text);
    ck_assert_uint_eq(wr_findings_count(&o.findings, WR_ERROR), 0);
    return o;
}

static void read_log(struct outcome *o, const char *text)
{
    struct wr_findings unused = {0};

    ck_assert_int_eq(wr_run_log_read_bytes(&o->log, "runs.csv", text, strlen(text), NULL, &unused, &o->err), WR_OK);
    wr_findings_release(&unused);
}

static void release(struct outcome *o)
{
    wr_plan_release(&o->plan);
    wr_findings_release(&o->findings);
    wr_run_log_release(&o->log);
}

static const struct wr_finding *find(const struct outcome *o, const char *code)
{
    for (size_t i = 0; i < o->findings.n_finding; i++)
        if (strcmp(o->findings.finding[i].code, code) == 0) return &o->findings.finding[i];
    return NULL;
}

/* An error of that code at that place, which is also what the message says first. */
static void refuse(const char *text, const char *code, size_t line, size_t column)
{
    struct outcome o = read_plan(text);
    char place[64];
    const struct wr_finding *f = find(&o, code);

    ck_assert_msg(o.status == WR_E_INPUT, "'%s' was taken", text);
    ck_assert_msg(f != NULL, "no %s but %s", code, o.err.text);
    ck_assert_msg(f->line == line && f->column == column, "%s at %zu:%zu, not %zu:%zu", code, f->line, f->column, line,
                  column);
    ck_assert_int_eq(f->severity, WR_ERROR);
    snprintf(place, sizeof place, "plan.csv:%zu:%zu: ", line, column);
    ck_assert_msg(strncmp(o.err.text, place, strlen(place)) == 0, "%s", o.err.text);
    release(&o);
}

START_TEST(all_columns)
{
    struct outcome o = read_good(
        "\xef\xbb\xbf" "TASK, Title ,crew,after,planned,low,likely,high,median,sdlog,drop_after,not_before,kind\r\n"
        "OUT,Leave the lock,EV1 + EV2,,15,,,,,,,,transit\r\n"
        "A,\"Unplug, then stow\",EV1,,,10,12.5,20,,,,,connector\r\n"
        "B,,EV2,A,,,,,14,0.25,,1:05,\r\n"
        "G,Get ahead,EV2,A; B,6,,,,,,5:30,,\r\n");
    const struct wr_plan *p = &o.plan;

    ck_assert_uint_eq(p->n_task, 4);
    ck_assert_uint_eq(p->n_lane, 2);
    ck_assert_str_eq(p->lane[1], "EV2");
    ck_assert_uint_eq(p->task[0].lanes, 3);
    ck_assert_uint_eq(p->task[0].n_lane, 2);
    ck_assert_uint_eq(p->task[0].lane_order[1], 1);
    ck_assert_str_eq(p->task[0].kind, "transit");
    ck_assert(p->task[0].planned_min.known && p->task[0].planned_min.value == 15);
    ck_assert_str_eq(p->task[1].title, "Unplug, then stow");
    ck_assert_double_eq(p->task[1].likely_min.value, 12.5);
    ck_assert(!p->task[1].planned_min.known && !p->task[1].median_min.known);
    ck_assert_str_eq(p->task[2].title, "B"); /* none given */
    ck_assert_double_eq(p->task[2].sdlog.value, 0.25);
    ck_assert_double_eq(p->task[2].not_before_min.value, 65);
    ck_assert_uint_eq(p->task[2].after[0], 1);
    ck_assert_double_eq(p->task[3].drop_after_min.value, 330);
    ck_assert_uint_eq(p->task[3].n_after, 2);
    ck_assert_uint_eq(p->task[3].line, 5);
    ck_assert_uint_eq(wr_plan_find(p, "G"), 3);
    ck_assert_uint_eq(wr_plan_find(p, "g"), SIZE_MAX);
    ck_assert_uint_eq(wr_plan_find_lane(p, "EV2"), 1);
    ck_assert_uint_eq(wr_plan_find_lane(p, "EV3"), SIZE_MAX);
    ck_assert_uint_eq(o.findings.n_finding, 0);
    release(&o);
}
END_TEST

START_TEST(ids_with_blanks_in_after)
{
    struct outcome o = read_good("task,crew,after\nOpen,a,\nOpen hatch,b,Open\nHatch,c,Open hatch\n"
                                 "x;y,d,Open hatch;Hatch Open  Hatch\nz,e,x;y\n");

    ck_assert_uint_eq(o.plan.task[2].n_after, 1); /* the longer name wins over Open */
    ck_assert_uint_eq(o.plan.task[2].after[0], 1);
    ck_assert_uint_eq(o.plan.task[3].n_after, 3); /* Hatch twice counts once */
    ck_assert_uint_eq(o.plan.task[3].after[0], 1);
    ck_assert_uint_eq(o.plan.task[3].after[1], 2);
    ck_assert_uint_eq(o.plan.task[3].after[2], 0);
    ck_assert_uint_eq(o.plan.task[4].n_after, 1);
    ck_assert_uint_eq(o.plan.task[4].after[0], 3);
    release(&o);
}
END_TEST

START_TEST(rows_that_are_refused)
{
    refuse("title,crew\nx,y\n", "column-missing", 1, 1);
    refuse("task,crew,Task\n", "column-twice", 1, 11);
    refuse("task,crew,planned,planned (min)\n", "column-twice", 1, 19);
    refuse("\"task,crew\n", "malformed", 1, 1);
    refuse("task,crew\n,a\n", "no-task", 2, 1);
    refuse("task,crew\nA,a\nB,b\n\nA,a\n", "duplicate-task", 5, 1);
    refuse("crew,task\na,Mast\nb,B\n\nc,MAST\n", "names-alike", 5, 3);
    refuse("task,crew\nleak test,a\nleak  test,b\n", "names-alike", 3, 1);
    refuse("task,crew\nA,a,b\n", "field-count", 2, 5);
    refuse("task,crew\n\"A,a\nB,a\n", "malformed", 2, 1);
    refuse("task,crew\nA,EV1+\n", "bad-crew", 2, 3);
    refuse("task,crew\nA,+EV1\n", "bad-crew", 2, 3);
    refuse("task,crew\nA,EV1++EV2\n", "bad-crew", 2, 3);
    refuse("task,crew\nA,EV1+EV1\n", "bad-crew", 2, 3);
    refuse("task,crew,after\nA,a,B\n", "unknown-predecessor", 2, 5);
    refuse("task,crew,planned\nA,a,-1\n", "number-out-of-range", 2, 5);
    refuse("task,crew,planned\nA,a,0\n", "planned-zero", 2, 5);
    refuse("task,crew,planned\nA,a,5\nTotal,,x\n", "bad-number", 3, 8);
    refuse("task,crew,planned\nA,a,5\nTotal,,9\n", "sum-as-task", 3, 1);
    refuse("task,crew,planned\nA,a,26:10\n", "bad-number", 2, 5); /* hours and minutes, or minutes and seconds? */
    refuse("task,crew,not_before\nA,a,2.30\n", "bad-number", 2, 5); /* minutes, or hours and minutes? */
    refuse("task,crew\nA,EV1/EV2\n", "bad-crew", 2, 3); /* one lane, or two? */
    refuse("task,crew\nA,EV1\nB,ev1\n", "names-alike", 1, 1);
    refuse("task,crew,planned\nA,a,inf\n", "bad-number", 2, 5);
    refuse("task,crew,drop_after\nA,a,5:60\n", "bad-number", 2, 5);
    refuse("task,crew,not_before\nA,a,-5\n", "number-out-of-range", 2, 5);
    refuse("task,crew,low,likely,high\nA,a,5,4,9\n", "three-points", 2, 5);
    refuse("task,crew,low,likely,high\nA,a,5,10,9\n", "three-points", 2, 7);
    refuse("task,crew,low,likely,high\nA,a,5,,9\n", "three-points", 2, 7);
    refuse("task,crew,low,likely,high\nA,a,,7,9\n", "three-points", 2, 5);
    refuse("task,crew,low,likely,high\nA,a,5,7,\n", "three-points", 2, 9);
    refuse("task,crew,low,high\nA,a,5,9\n", "three-points", 2, 1); /* no such column: the row */
    refuse("task,crew,low,likely,high\nA,a,0,0,0\n", "three-points", 2, 9);
    refuse("task,crew,median\nA,a,5\n", "median-and-sdlog", 2, 1);
    refuse("task,crew,median,sdlog\nA,a,,0.1\n", "median-and-sdlog", 2, 5);
    refuse("task,crew,median,sdlog\nA,a,0,0.1\n", "median-and-sdlog", 2, 5);
    refuse("task,crew,median,sdlog\nA,a,5,-0.1\n", "number-out-of-range", 2, 7);
    refuse("task,crew,median,sdlog\nA,a,5,17\n", "number-out-of-range", 2, 7); /* minutes, surely */
}
END_TEST

START_TEST(files_that_are_refused)
{
    struct outcome o = read_plan("");

    ck_assert_int_eq(o.status, WR_E_INPUT);
    ck_assert_ptr_nonnull(strstr(o.err.text, "plan.csv: it is empty"));
    release(&o);
    o = read_plan("task,crew\n");
    ck_assert_int_eq(o.status, WR_E_INPUT);
    ck_assert_ptr_nonnull(strstr(o.err.text, "no task"));
    release(&o);
    o.status = wr_plan_read(&o.plan, "/nonexistent/plan.csv", &o.findings, &o.err);
    ck_assert_int_eq(o.status, WR_E_INPUT);
    ck_assert_ptr_nonnull(strstr(o.err.text, "/nonexistent/plan.csv"));
    release(&o);
}
END_TEST

START_TEST(fixed_times_are_fine)
{
    struct outcome o = read_good("task,crew,low,likely,high,median,sdlog\nA,a,7,7,7,,\nB,a,0,0,1,,\nC,a,,,,7,0\n");

    release(&o);
}
END_TEST

START_TEST(columns_that_are_not_known)
{
    struct outcome o = read_good("task,crew,colour\nA,a,red\n");
    const struct wr_finding *f = find(&o, "column-unknown");

    ck_assert_ptr_nonnull(f);
    ck_assert_int_eq(f->severity, WR_WARNING);
    ck_assert_uint_eq(f->column, 11);
    release(&o);
    o = read_good("task,crew,notes,id,site,place,remarks,cost,drop_after,after,drop reason\nA,a,,,,,,,,,\n");
    ck_assert_ptr_null(find(&o, "column-unread"));
    release(&o);
    static const char *const meant[] = {"not after", "drop at",  "drop-aftr",    "planed", "comes after",
                                        "notbefor",  "Minutes",  "Most likely",  "worst",  "Latest start"};
    for (size_t i = 0; i < sizeof meant / sizeof *meant; i++) {
        char text[64];
        snprintf(text, sizeof text, "task,crew,%s\nA,a,\n", meant[i]);
        o = read_good(text);
        ck_assert_msg(find(&o, "column-unread") != NULL, "%s", meant[i]);
        release(&o);
    }
    o = read_good("task,crew,planned,minutes,\nA,a,5,6,x\n"); /* what it would be is there, and one has no name */
    ck_assert_ptr_null(find(&o, "column-unread"));
    ck_assert_ptr_nonnull(find(&o, "column-unknown"));
    ck_assert_ptr_nonnull(find(&o, "column-unnamed"));
    release(&o);
    o = read_good("task,crew,drop-after\nA,a,1:00\n");
    ck_assert(o.plan.task[0].drop_after_min.known);
    release(&o);
    o = read_good("task,crew,drop_after,not_before\nA,a,1:00,2:00\n");
    ck_assert_ptr_nonnull(find(&o, "always-dropped"));
    release(&o);
    o = read_good("task,crew,drop_after,not_before\nA,a,2:00,1:00\n"); /* on days on which it comes in between */
    ck_assert_uint_eq(o.findings.n_finding, 0);
    release(&o);
    o = read_good("task,crew,\nA,a,\nB,b,,\n"); /* a delimiter too many hides nothing */
    ck_assert_uint_eq(o.plan.n_task, 2);
    ck_assert_uint_eq(wr_findings_count(&o.findings, WR_WARNING), 0);
    release(&o);
}
END_TEST

START_TEST(lanes_up_to_32)
{
    struct wr_str text = {0};

    wr_str_add(&text, "task,crew\n");
    for (int i = 0; i < WR_MAX_LANES; i++) wr_str_addf(&text, "T%d,lane %d\n", i, i);
    struct outcome o = read_good(text.text);
    ck_assert_uint_eq(o.plan.n_lane, WR_MAX_LANES);
    ck_assert_uint_eq(o.plan.task[31].lanes, UINT32_C(1) << 31);
    release(&o);
    wr_str_add(&text, "X,one more\n");
    refuse(text.text, "bad-crew", WR_MAX_LANES + 2, 3);
    wr_str_release(&text);
}
END_TEST

/* ---- cycles ---- */

START_TEST(cycles)
{
    refuse("task,crew,after\nA,a,A\n", "cycle", 2, 5);
    refuse("task,crew,after\nA,a,B\nB,b,A\n", "cycle", 2, 5);
    refuse("task,crew,after\nA,a,B\nB,a,\n", "cycle", 2, 5); /* B's lane comes through A */
    /* A waits for D (lane b), D for C (its lane), C for B, B for A (its lane) */
    refuse("task,crew,after\nA,a,D\nB,a,\nC,b,B\nD,b,\n", "cycle", 2, 5);
    refuse("task,crew,after\nA,a,\nB,a,Z\nC,a+b,\nZ,b,\n", "cycle", 3, 5);
    struct outcome o = read_plan("task,crew,after\nA,a,B\nB,b,A\nC,c,D\nD,d,C\n");
    size_t n = 0;
    for (size_t i = 0; i < o.findings.n_finding; i++) n += strcmp(o.findings.finding[i].code, "cycle") == 0;
    ck_assert_uint_eq(n, 2);
    ck_assert_ptr_nonnull(strstr(o.err.text, "'A' waits for 'B', which waits for 'A'"));
    release(&o);
}
END_TEST

START_TEST(waiting_for_a_later_row_is_no_cycle)
{
    struct outcome o = read_good("task,crew,after\nA,a,D\nB,a,\nC,b,\nD,b,\nE,a+b,B;D\n");

    release(&o);
}
END_TEST

START_TEST(a_long_cycle_and_a_deep_plan)
{
    struct wr_str text = {0};
    size_t n = 20000;

    wr_str_add(&text, "task,crew,after\n");
    for (size_t i = 0; i < n; i++) wr_str_addf(&text, "T%zu,a,\n", i);
    struct outcome o = read_good(text.text); /* no recursion: a lane of any length */
    release(&o);
    wr_str_clear(&text);
    wr_str_addf(&text, "task,crew,after\nT0,a,T%zu\n", n - 1);
    for (size_t i = 1; i < n; i++) wr_str_addf(&text, "T%zu,a,\n", i);
    o = read_plan(text.text);
    ck_assert_int_eq(o.status, WR_E_INPUT);
    ck_assert_ptr_nonnull(strstr(o.err.text, "plan.csv:2:6: "));
    ck_assert_ptr_nonnull(strstr(o.err.text, "so on over 19991 tasks, which waits for 'T0'"));
    release(&o);
    wr_str_release(&text);
}
END_TEST

/* Random plans: a cycle is found exactly when no order of the tasks satisfies all waits (found by taking tasks away one
 * after another). */
static bool has_order(const struct wr_plan *p)
{
    bool done[16] = {false};

    for (size_t taken = 0; taken < p->n_task;) {
        size_t before = taken;
        for (size_t k = 0; k < p->n_task; k++) {
            bool ready = !done[k];
            for (size_t i = 0; i < p->task[k].n_after; i++) ready = ready && done[p->task[k].after[i]];
            for (size_t j = 0; j < k; j++) ready = ready && (!(p->task[j].lanes & p->task[k].lanes) || done[j]);
            if (!ready) continue;
            done[k] = true;
            taken++;
        }
        if (taken == before) return false;
    }
    return true;
}

START_TEST(cycles_in_random_plans)
{
    uint64_t state = 5;
    int with = 0, without = 0;

    for (int round = 0; round < 1000; round++) {
        struct wr_str text = {0};
        wr_str_add(&text, "task,crew,after\n");
        for (int i = 0; i < 10; i++) {
            state = state * 6364136223846793005u + 1442695040888963407u;
            unsigned r = (unsigned)(state >> 33);
            wr_str_addf(&text, "T%d,%s,", i, (const char *[]){"a", "b", "c", "a+b"}[r % 4]);
            if (r / 4 % 4 == 0) wr_str_addf(&text, "T%u", r / 16 % 10);
            wr_str_add_char(&text, '\n');
        }
        struct outcome o = read_plan(text.text);
        ck_assert_int_eq(o.status == WR_OK, has_order(&o.plan));
        ck_assert_int_eq(find(&o, "cycle") == NULL, has_order(&o.plan));
        with += o.status != WR_OK;
        without += o.status == WR_OK;
        release(&o);
        wr_str_release(&text);
    }
    ck_assert_int_gt(with, 100);
    ck_assert_int_gt(without, 100);
}
END_TEST

/* ---- against the log ---- */

static void check_against(struct outcome *o, const char *plan, const char *log)
{
    *o = read_good(plan);
    if (log) read_log(o, log);
    o->status = wr_plan_check_against_log(&o->plan, log ? &o->log : NULL, &o->findings, &o->err);
}

START_TEST(every_task_needs_a_duration)
{
    struct outcome o;
    const char *plan = "task,crew,planned,low,likely,high,median,sdlog\nA,a,,,,,,\nB,a,5,,,,,\n"
                       "C,a,,1,2,3,,\nD,a,,,,,4,0.1\n";

    check_against(&o, plan, "run,task,minutes\nR,A,5\n");
    ck_assert_int_eq(o.status, WR_OK);
    ck_assert_uint_eq(o.findings.n_finding, 0);
    release(&o);
    check_against(&o, plan, "run,task,minutes,outcome\nR,A,,skipped\nR,B,5,\n"); /* skipping it says nothing */
    ck_assert_int_eq(o.status, WR_E_INPUT);
    ck_assert_ptr_nonnull(strstr(o.err.text, "plan.csv:2: task 'A' was never done"));
    ck_assert_uint_eq(find(&o, "no-duration")->line, 2);
    release(&o);
    check_against(&o, plan, NULL);
    ck_assert_int_eq(o.status, WR_E_INPUT);
    ck_assert_uint_eq(wr_findings_count(&o.findings, WR_ERROR), 1);
    release(&o);
}
END_TEST

START_TEST(crew_from_the_log)
{
    struct outcome o;

    check_against(&o, "task,planned\nA,5\nB,5\n",
                  "run,task,step,minutes,crew\n1,A,,5,EV1\n2,A,,5,EV2\n3,A,,5,EV2\n1,B,x,5,EV1\n1,B,y,5,EV2\n");
    ck_assert_int_eq(o.status, WR_OK);
    ck_assert_uint_eq(o.plan.n_lane, 2);
    ck_assert_str_eq(o.plan.lane[o.plan.task[0].lane_order[0]], "EV2"); /* in most runs */
    ck_assert_uint_eq(o.plan.task[0].n_lane, 1);
    ck_assert_uint_eq(o.plan.task[1].n_lane, 2); /* its steps together */
    release(&o);
    check_against(&o, "task,planned\nA,5\n", "run,task,step,minutes,crew\n1,A,x,5,EV1\n1,A,y,5,EV2+EV1\n");
    ck_assert_int_eq(o.status, WR_OK);
    ck_assert_uint_eq(o.plan.task[0].n_lane, 2); /* EV1 of two steps is one lane */
    ck_assert_str_eq(o.plan.lane[o.plan.task[0].lane_order[0]], "EV1");
    release(&o);
    check_against(&o, "task,planned\nA,5\nB,5\n", "run,task,minutes,crew\n1,A,5,EV1\n1,B,5,\n");
    ck_assert_int_eq(o.status, WR_E_INPUT);
    ck_assert_uint_eq(find(&o, "no-crew")->line, 3);
    release(&o);
    check_against(&o, "task,planned\nA,5\n", NULL);
    ck_assert_int_eq(o.status, WR_E_INPUT);
    release(&o);
    /* with its lanes the plan turns out to be a circle */
    check_against(&o, "task,after\nA,B\nB,\n", "run,task,minutes,crew\n1,A,5,EV1\n1,B,5,EV1\n");
    ck_assert_int_eq(o.status, WR_E_INPUT);
    ck_assert_uint_eq(find(&o, "cycle")->line, 2);
    release(&o);
}
END_TEST

/* Said once, and not of few, of names that are nearly the plan's, or where the plan is a part of what was done. */
START_TEST(log_of_another_campaign)
{
    static const struct { const char *plan, *says; } of[] = {
        {"MAST,EV1\nCABLE,EV1\nIN,EV1\n", "4 of the log's 5 tasks are not in the plan (WINCH, SLUICE, TROLLEY …), and "
                                          "2 of the plan's 3 not in the log (MAST, CABLE): are they of two campaigns?"},
        {"WINCH,EV1\nIN,EV1\n", NULL},
        {"WINSH,EV1\nSLUISE,EV1\nTROLEY,EV1\nIN,EV1\n", NULL},
        {"WINCH,EV1\nSLUICE,EV1\nCABLE,EV1\nMAST,EV1\nIN,EV1\n", NULL},
    };
    const char *log = "run,task,minutes,crew\n1,WINCH,5,EV1\n1,SLUICE,5,EV1\n1,TROLLEY,5,EV1\n1,LAMP,5,EV1\n"
                      "1,IN,5,EV1\n";

    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        struct outcome o;
        WR_SCOPED_STR plan = {0};
        size_t n_list = 0, n_other = 0;
        wr_str_add(&plan, "task,planned,crew\n");
        for (const char *at = of[i].plan; *at; at += strcspn(at, "\n") + 1)
            wr_str_addf(&plan, "%.*s,9%.*s\n", (int)strcspn(at, ","), at,
                        (int)(strcspn(at, "\n") - strcspn(at, ",")), at + strcspn(at, ","));
        check_against(&o, plan.text, log);
        ck_assert_int_eq(o.status, WR_OK);
        for (size_t f = 0; f < o.findings.n_finding; f++) {
            n_list += strcmp(o.findings.finding[f].code, "task-not-in-plan") == 0;
            n_other += strcmp(o.findings.finding[f].code, "other-campaign") == 0;
        }
        ck_assert_uint_eq(n_other, of[i].says != NULL);
        ck_assert_uint_eq(n_list > 0, !of[i].says);
        if (of[i].says) ck_assert_ptr_nonnull(strstr(find(&o, "other-campaign")->message, of[i].says));
        release(&o);
    }
}
END_TEST

START_TEST(what_the_plan_does_not_know)
{
    struct outcome o;

    check_against(&o, "task,crew\nA-1,EV1\nB,EV2\n",
                  "run,task,minutes,crew\n1,A-1,5,EV1\n1,A-l,5,EV1\n1,X,5,EV3\n1,B,5,EV1\n2,X,5,EV3\n");
    ck_assert_int_eq(o.status, WR_OK);
    ck_assert_ptr_nonnull(strstr(find(&o, "task-not-in-plan")->message, "did you mean 'A-1'?"));
    ck_assert_uint_eq(find(&o, "task-not-in-plan")->line, 3);
    ck_assert_uint_eq(find(&o, "crew-not-in-plan")->line, 4);
    ck_assert_uint_eq(find(&o, "crew-differs")->line, 5);
    ck_assert_ptr_nonnull(strstr(find(&o, "crew-differs")->message, "done by EV1, and the plan has EV2"));
    ck_assert_uint_eq(wr_findings_count(&o.findings, WR_WARNING), 4); /* each once */
    ck_assert_uint_eq(o.plan.n_lane, 2); /* and the plan is as it was */
    release(&o);
}
END_TEST

/* Of two plans the one that lacks a task is named; what the plan has by now is no slip, and is not to be renamed. */
START_TEST(what_the_plan_that_was_rehearsed_does_not_know)
{
    struct outcome o, rehearsed;

    check_against(&o, "task,crew\nA,EV1\nNEW,EV1\nB,EV2\n",
                  "run,task,minutes,crew\n1,A,5,EV1\n1,B,5,EV2\n2,A,5,EV1\n2,NEW,5,EV1\n2,ODD,5,EV1\n2,B,5,EV2\n");
    rehearsed = read_good("task,crew\nA,EV1\nB,EV2\n");
    rehearsed.plan.file = "plan-rehearsed.csv";
    ck_assert_int_eq(wr_plan_check_as_rehearsed(&rehearsed.plan, &o.plan, &o.log, &rehearsed.findings, &o.err), WR_OK);
    ck_assert_uint_eq(wr_findings_count(&rehearsed.findings, WR_WARNING), 1);
    for (size_t i = 0; i < rehearsed.findings.n_finding; i++) {
        const struct wr_finding *f = &rehearsed.findings.finding[i];
        const bool is_new = f->line == 5;
        ck_assert_str_eq(f->code, "task-not-in-plan");
        ck_assert_int_eq(f->severity, is_new ? WR_NOTE : WR_WARNING);
        ck_assert(!strstr(f->message, "write one of") == is_new);
        ck_assert_ptr_nonnull(strstr(f->message, is_new ? "plan-rehearsed.csv, which was rehearsed, has no task 'NEW'"
                                                        : "; held against plan-rehearsed.csv"));
    }
    release(&rehearsed);
    release(&o);
}
END_TEST

/* ---- from the log ---- */

START_TEST(derived_order_and_lanes)
{
    struct outcome o = {0};

    /* starts of C: 10, 20, 90 (median 20); of B: 15, 25, 26 (25): the mean would turn them round */
    read_log(&o, "run,task,start,end,crew\n1,A,0,10,EV1+EV2\n1,B,15,20,EV1\n1,C,10,15,EV2\n"
                 "2,A,0,10,EV1+EV2\n2,B,25,30,EV1\n2,C,20,25,EV2\n3,A,0,10,EV2+EV1\n3,B,26,31,EV1\n3,C,90,95,EV2\n"
                 "3,Z,95,99,EV1\n");
    ck_assert_int_eq(wr_plan_derive(&o.plan, &o.log, &o.findings, &o.err), WR_OK);
    ck_assert_uint_eq(o.plan.n_task, 4);
    ck_assert_str_eq(o.plan.task[0].id, "A");
    ck_assert_str_eq(o.plan.task[1].id, "C");
    ck_assert_str_eq(o.plan.task[2].id, "B");
    ck_assert_str_eq(o.plan.task[3].id, "Z");
    ck_assert_uint_eq(o.plan.task[0].n_lane, 2);
    ck_assert_str_eq(o.plan.lane[0], "EV1");
    ck_assert_uint_eq(o.plan.task[1].lanes, 2);
    ck_assert_uint_eq(wr_plan_find(&o.plan, "Z"), 3);
    ck_assert_ptr_null(o.plan.file);
    ck_assert_ptr_nonnull(find(&o, "plan-derived"));
    ck_assert_int_eq(find(&o, "plan-derived")->severity, WR_NOTE);
    release(&o);
}
END_TEST

START_TEST(derived_from_an_even_number_of_runs)
{
    struct outcome o = {0};

    /* starts of B: 0, 50 (median 25); of C: 20, 20; of A: 24, 24. In equally many runs A by each: the first */
    read_log(&o, "run,task,start,end,crew\n1,B,0,5,a\n1,C,20,21,a\n1,A,24,25,b\n2,Z,0,1,a\n2,C,20,21,a\n2,A,24,25,a\n"
                 "2,B,50,55,a\n");
    ck_assert_int_eq(wr_plan_derive(&o.plan, &o.log, &o.findings, &o.err), WR_OK);
    ck_assert_uint_eq(wr_plan_find(&o.plan, "Z"), 0);
    ck_assert_uint_eq(wr_plan_find(&o.plan, "C"), 1);
    ck_assert_uint_eq(wr_plan_find(&o.plan, "A"), 2);
    ck_assert_uint_eq(wr_plan_find(&o.plan, "B"), 3);
    ck_assert_str_eq(o.plan.lane[o.plan.task[2].lane_order[0]], "b");
    release(&o);
}
END_TEST

static void derive_in_order(struct outcome *o, const char *log, const char *const *order, size_t n)
{
    *o = (struct outcome){0};
    read_log(o, log);
    ck_assert_int_eq(wr_plan_derive(&o->plan, &o->log, &o->findings, &o->err), WR_OK);
    ck_assert_uint_eq(o->plan.n_task, n);
    for (size_t i = 0; i < n; i++) ck_assert_str_eq(o->plan.task[i].id, order[i]);
}

/* PHOTO only in the slow runs: its median start, 130, is behind that of IN, 120. */
START_TEST(derived_order_where_a_task_is_left_out)
{
    static const char *const order[] = {"OUT", "PHOTO", "IN"};
    struct outcome o;

    derive_in_order(&o,
                    "run,task,start,end,crew\n1,OUT,0,20,a+b\n1,IN,100,110,a+b\n2,OUT,0,20,a+b\n2,IN,110,120,a+b\n"
                    "3,OUT,0,20,a+b\n3,PHOTO,120,130,b\n3,IN,130,140,a+b\n4,OUT,0,20,a+b\n4,PHOTO,130,140,b\n"
                    "4,IN,140,150,a+b\n5,OUT,0,20,a+b\n5,IN,120,130,a+b\n6,OUT,0,20,a+b\n6,PHOTO,135,140,b\n"
                    "6,IN,140,150,a+b\n7,OUT,0,20,a+b\n7,IN,95,100,a+b\n",
                    order, 3);
    ck_assert_ptr_null(find(&o, "order-unsure"));
    release(&o);
}
END_TEST

/* No run has both PHOTO and IN, and PHOTO's only start is the latest of all: what closes the others stays last. */
START_TEST(derived_order_of_what_closes)
{
    static const char *const order[] = {"OUT", "WORK", "PHOTO", "IN"};
    struct outcome o;

    derive_in_order(&o,
                    "run,task,start,end,crew\n1,OUT,0,20,a+b\n1,WORK,20,50,a\n1,IN,50,60,a+b\n2,OUT,0,20,a+b\n"
                    "2,WORK,20,55,a\n2,IN,55,70,a+b\n3,OUT,0,20,a+b\n3,WORK,20,90,a\n3,PHOTO,90,95,a\n",
                    order, 4);
    ck_assert_ptr_null(find(&o, "order-unsure"));
    release(&o);
}
END_TEST

/* CABLE was done in the quick run only, where all was earlier: it goes behind PANEL past FETCH of the other lane. */
START_TEST(derived_order_across_lanes)
{
    static const char *const order[] = {"X", "FETCH", "PANEL", "CABLE"};
    struct outcome o;

    derive_in_order(&o,
                    "run,task,start,end,crew\n1,FETCH,50,60,b\n1,PANEL,60,70,a+b\n2,FETCH,10,20,b\n"
                    "2,PANEL,20,30,a+b\n2,CABLE,30,40,a\n2,X,0,1,a\n1,X,0,1,a\n3,X,0,1,a\n3,FETCH,50,60,b\n"
                    "3,PANEL,60,70,a+b\n",
                    order, 4);
    release(&o);
}
END_TEST

/* IN of run 2 is typed as if it began before WORK; two of three runs know better. */
START_TEST(derived_order_outvotes_a_slip)
{
    static const char *const order[] = {"OUT", "WORK", "IN"};
    struct outcome o;

    derive_in_order(&o,
                    "run,task,start,end,crew\n1,OUT,0,20,a\n1,WORK,20,50,a\n1,IN,50,60,a\n2,OUT,0,20,a\n"
                    "2,WORK,20,55,a\n2,IN,5,70,a\n3,OUT,0,20,a\n3,WORK,20,90,a\n3,IN,90,95,a\n",
                    order, 3);
    ck_assert_ptr_null(find(&o, "order-unsure"));
    release(&o);
}
END_TEST

/* One run has A before B, one has B before A: which, the log cannot say, and the finding says how to. */
START_TEST(derived_order_that_is_open_is_said)
{
    struct outcome o = {0};

    read_log(&o, "run,task,start,end,crew\n1,FETCH,0,20,a\n1,DIG,20,50,a\n2,DIG,0,20,a\n2,FETCH,20,55,a\n");
    ck_assert_int_eq(wr_plan_derive(&o.plan, &o.log, &o.findings, &o.err), WR_OK);
    ck_assert_ptr_nonnull(find(&o, "order-unsure"));
    ck_assert_int_eq(find(&o, "order-unsure")->severity, WR_WARNING);
    ck_assert_ptr_nonnull(strstr(find(&o, "order-unsure")->message, "1 of 2 runs have it so"));
    ck_assert_ptr_nonnull(strstr(find(&o, "order-unsure")->message, "--write-plan"));
    release(&o);
    read_log(&o, "run,task,start,end,crew\n1,FETCH,0,20,a\n2,DIG,0,20,a\n"); /* never in one run */
    ck_assert_int_eq(wr_plan_derive(&o.plan, &o.log, &o.findings, &o.err), WR_OK);
    ck_assert_ptr_nonnull(strstr(find(&o, "order-unsure")->message, "no run has both"));
    release(&o);
    read_log(&o, "run,task,start,end,crew\n1,FETCH,0,20,a\n2,DIG,0,20,b\n"); /* nor in one lane: it does not matter */
    ck_assert_int_eq(wr_plan_derive(&o.plan, &o.log, &o.findings, &o.err), WR_OK);
    ck_assert_ptr_null(find(&o, "order-unsure"));
    release(&o);
}
END_TEST

START_TEST(derived_without_times)
{
    struct outcome o = {0};

    read_log(&o, "run,task,minutes,crew,outcome\n1,C,5,a,\n1,A,5,b,\n1,B,,a,skipped\n2,A,5,b,\n");
    ck_assert_int_eq(wr_plan_derive(&o.plan, &o.log, &o.findings, &o.err), WR_OK);
    ck_assert_str_eq(o.plan.task[0].id, "C");
    ck_assert_str_eq(o.plan.task[1].id, "A");
    ck_assert_str_eq(o.plan.task[2].id, "B");
    release(&o);
    read_log(&o, "run,task,step,minutes,crew\n1,C,x,5,a\n1,A,x,5,a\n1,C,y,5,a\n"); /* its first step is its place */
    ck_assert_int_eq(wr_plan_derive(&o.plan, &o.log, &o.findings, &o.err), WR_OK);
    ck_assert_str_eq(o.plan.task[0].id, "C");
    release(&o);
}
END_TEST

START_TEST(derived_needs_crews)
{
    struct outcome o = {0};

    read_log(&o, "run,task,minutes\n1,A,5\n");
    ck_assert_int_eq(wr_plan_derive(&o.plan, &o.log, &o.findings, &o.err), WR_E_INPUT);
    ck_assert_ptr_nonnull(strstr(o.err.text, "no column crew"));
    release(&o);
    read_log(&o, "run,task,minutes,Diver,Remarks\n1,A,5,Pia,\n");
    ck_assert_int_eq(wr_plan_derive(&o.plan, &o.log, &o.findings, &o.err), WR_E_INPUT);
    ck_assert_ptr_nonnull(strstr(o.err.text, "--columns crew=Diver"));
    release(&o);
    read_log(&o, "run,task,minutes,performer\n1,A,5,Pia\n");
    ck_assert_int_eq(wr_plan_derive(&o.plan, &o.log, &o.findings, &o.err), WR_E_INPUT);
    ck_assert_ptr_nonnull(strstr(o.err.text, "--columns crew=performer"));
    release(&o);
    read_log(&o, "run,task,minutes,Pool,Remarks\n1,A,5,deep,\n");
    ck_assert_int_eq(wr_plan_derive(&o.plan, &o.log, &o.findings, &o.err), WR_E_INPUT);
    ck_assert_ptr_nonnull(strstr(o.err.text, "crew=NAME takes another, if one says it: Pool, Remarks"));
    release(&o);
    read_log(&o, "run,task,minutes,c1,c2,c3,c4,c5,c6,c7,c8,c9\n1,A,5,x,x,x,x,x,x,x,x,x\n"); /* the first eight */
    ck_assert_int_eq(wr_plan_derive(&o.plan, &o.log, &o.findings, &o.err), WR_E_INPUT);
    ck_assert_ptr_nonnull(strstr(o.err.text, ": c1, c2, c3, c4, c5, c6, c7, c8"));
    ck_assert_ptr_null(strstr(o.err.text, "c9"));
    release(&o);
    read_log(&o, "run,task,minutes,crew\n1,A,5,a\n1,B,5,\n1,B,6,b+\n");
    ck_assert_int_eq(wr_plan_derive(&o.plan, &o.log, &o.findings, &o.err), WR_E_INPUT);
    ck_assert_ptr_nonnull(strstr(o.err.text, "runs.csv:3: no row of task 'B'"));
    release(&o);
}
END_TEST

/* ---- writing ---- */

static void expect_same(const struct wr_plan *a, const struct wr_plan *b)
{
    ck_assert_uint_eq(a->n_task, b->n_task);
    ck_assert_uint_eq(a->n_lane, b->n_lane);
    for (size_t l = 0; l < a->n_lane; l++) ck_assert_str_eq(a->lane[l], b->lane[l]);
    for (size_t k = 0; k < a->n_task; k++) {
        const struct wr_plan_task *s = &a->task[k], *t = &b->task[k];
        ck_assert_str_eq(s->id, t->id);
        ck_assert_str_eq(s->title, t->title);
        ck_assert_str_eq(s->kind, t->kind);
        ck_assert_uint_eq(s->lanes, t->lanes);
        ck_assert_int_eq(memcmp(s->lane_order, t->lane_order, sizeof s->lane_order), 0);
        ck_assert_uint_eq(s->n_after, t->n_after);
        for (size_t i = 0; i < s->n_after; i++) ck_assert_uint_eq(s->after[i], t->after[i]);
        const struct wr_maybe x[] = {s->planned_min, s->low_min, s->likely_min, s->high_min, s->median_min, s->sdlog,
                                     s->drop_after_min, s->not_before_min};
        const struct wr_maybe y[] = {t->planned_min, t->low_min, t->likely_min, t->high_min, t->median_min, t->sdlog,
                                     t->drop_after_min, t->not_before_min};
        for (size_t i = 0; i < 8; i++) ck_assert(x[i].known == y[i].known && x[i].value == y[i].value);
    }
}

START_TEST(what_is_written_is_read_back)
{
    struct outcome o = read_good(
        "task;title;crew;after;planned;low;likely;high;median;sdlog;drop_after;not_before;kind\n"
        "A;\"quote \"\" comma, \nline\";EV1+EV2;;0.1;;;;;;;;\n"
        "\"semi;colon\";=1+1;EV2+EV1;;;3.3333333333333335;4;1e6;;;;0:00;k\n"
        "two words;;\"lane 3\";\"A semi;colon\";;;;;7;0.30000000000000004;12:34;;\n"
        "Z;Z;EV1;two words;;;;;;;;;\n"
        "semi;;EV9;;;;;;;;;;\ncolon;;EV9;;;;;;;;;;\nY;;EV9;semi colon;;;;;;;;;\n" /* not after "semi;colon" */
        "\"#6\";#6;;;;;;;;;;;\n"); /* alone in its row it would be a comment */
    struct wr_str text = {0}, again = {0};
    struct outcome back;

    ck_assert_uint_eq(o.plan.n_task, 8);
    ck_assert_uint_eq(o.plan.task[2].n_after, 2);
    wr_plan_write(&o.plan, &text);
    back = read_good(text.text);
    expect_same(&o.plan, &back.plan);
    wr_plan_write(&back.plan, &again);
    ck_assert_str_eq(text.text, again.text);
    release(&o);
    release(&back);
    wr_str_release(&text);
    wr_str_release(&again);
}
END_TEST

START_TEST(a_derived_plan_is_read_back)
{
    struct outcome o = {0};
    struct wr_str text = {0};

    read_log(&o, "run,task,start,end,crew\n1,A,09:00,09:10,EV1+EV2\n1,\"B, b\",09:10,09:20,EV1\n1,C,09:10,09:15,EV2\n");
    ck_assert_int_eq(wr_plan_derive(&o.plan, &o.log, &o.findings, &o.err), WR_OK);
    wr_plan_write(&o.plan, &text);
    struct outcome back = read_good(text.text);
    expect_same(&o.plan, &back.plan);
    release(&o);
    release(&back);
    wr_str_release(&text);
}
END_TEST

START_TEST(a_plan_made_by_other_means)
{
    struct wr_plan_task task[] = {{.id = "A"}, {.id = "B"}};
    struct wr_plan plan = {.task = task, .n_task = 2};

    ck_assert_uint_eq(wr_plan_find(&plan, "B"), 1);
    ck_assert_uint_eq(wr_plan_find(&plan, "C"), SIZE_MAX);
    ck_assert_uint_eq(wr_plan_find(&(struct wr_plan){.n_task = 0}, "A"), SIZE_MAX);
    ck_assert_uint_eq(wr_way_in_dropped(&(struct wr_plan){.n_task = 0}), SIZE_MAX); /* nor a way in */
}
END_TEST

/* A title that begins or ends with a blank keeps it, as only quotes can. */
START_TEST(blanks_at_the_ends_are_written)
{
    struct wr_plan_task task[] = {{.id = "A", .title = " a", .kind = "", .lanes = 1, .n_lane = 1},
                                  {.id = "B", .title = "b ", .kind = "", .lanes = 1, .n_lane = 1},
                                  {.id = "C", .title = "c d", .kind = "", .lanes = 1, .n_lane = 1}};
    const char *lane[] = {"EV1"};
    struct wr_plan plan = {.task = task, .n_task = 3, .lane = lane, .n_lane = 1};
    struct wr_str text = {0};

    wr_plan_write(&plan, &text);
    ck_assert_ptr_nonnull(strstr(text.text, "A,\" a\",EV1"));
    ck_assert_ptr_nonnull(strstr(text.text, "B,\"b \",EV1"));
    ck_assert_ptr_nonnull(strstr(text.text, "C,c d,EV1"));
    wr_str_release(&text);
}
END_TEST

/* What a spreadsheet would compute has an apostrophe in front, which is taken off again; one that a name has of its own
 * stays. */
START_TEST(no_formula_is_written)
{
    static const char *const id[] = {"=1+1",
                                     "+A",
                                     "-B",
                                     "@C",
                                     ("\xef\xbc\x9d"
                                      "D"),
                                     "'=E",
                                     "''=F",
                                     "'G",
                                     "H=1"};
    enum { N = sizeof id / sizeof *id };
    struct wr_plan_task task[N] = {0};
    const char *lane[] = {"=EV1"};
    struct wr_plan plan = {.task = task, .n_task = N, .lane = lane, .n_lane = 1};
    struct wr_str text = {0};

    for (size_t k = 0; k < N; k++)
        task[k] = (struct wr_plan_task){.id = id[k], .title = k ? id[k] : "=HYPERLINK(\"x\")", .kind = "@SUM(A1)",
                                        .lanes = 1, .n_lane = 1};
    wr_plan_write(&plan, &text);
    ck_assert_ptr_nonnull(strstr(text.text, "\n'=1+1,\"'=HYPERLINK(\"\"x\"\")\",'=EV1,"));
    ck_assert_ptr_nonnull(strstr(text.text, "\n''=E,,"));
    ck_assert_ptr_nonnull(strstr(text.text, "\n'G,,"));
    ck_assert_ptr_null(strstr(text.text, ",@"));
    struct outcome back = read_good(text.text);
    for (size_t k = 0; k < N; k++) ck_assert_str_eq(back.plan.task[k].id, id[k]);
    ck_assert_str_eq(back.plan.task[0].title, task[0].title);
    ck_assert_str_eq(back.plan.task[0].kind, "@SUM(A1)");
    release(&back);
    wr_str_release(&text);
}
END_TEST

/* Blanks of every kind part what a task comes after; a text of any number of words is looked through. */
START_TEST(blanks_of_every_kind_in_after)
{
    struct wr_str text = {0};

    wr_str_add(&text, "task,crew,after\nA,a,\nB,b,\nC,c,\"A\nB\"\nD,d,A\tB\nE,e,\"A\r\nB ;\"\nF,f,\"");
    for (int i = 0; i < 40; i++) wr_str_add(&text, "A ");
    wr_str_add(&text, "B\"\n");
    struct outcome o = read_good(text.text);
    for (size_t k = 2; k < 6; k++) {
        ck_assert_uint_eq(o.plan.task[k].n_after, 2);
        ck_assert_uint_eq(o.plan.task[k].after[0], 0);
        ck_assert_uint_eq(o.plan.task[k].after[1], 1);
    }
    release(&o);
    wr_str_release(&text);
}
END_TEST

/* Each task that nothing tells a time of is a finding; the first is the error. */
START_TEST(tasks_without_any_time)
{
    struct outcome o = read_good("task,crew\nA,a\nB,a\nC,a\n");

    read_log(&o, "run,task,minutes,crew\nR,A,5,a\n");
    ck_assert_int_eq(wr_plan_check_against_log(&o.plan, &o.log, &o.findings, &o.err), WR_E_INPUT);
    ck_assert_uint_eq(wr_findings_count(&o.findings, WR_ERROR), 2);
    ck_assert_ptr_nonnull(strstr(o.err.text, "plan.csv:3: task 'B'"));
    release(&o);
}
END_TEST

/* A task called Total that names.csv gives is one; tasks and lanes that are kept apart are two. */
START_TEST(names_that_are_given)
{
    static const char names[] = "kind,from,to\ntask,Total,Total\n";
    static const char rows[] = "task,crew,planned\nA,EV1,5\nTotal,ev1,5\na,EV1,5\n";
    struct wr_aliases aliases = {0};
    struct outcome o = {0};

    ck_assert_int_eq(wr_aliases_read_bytes(&aliases, "names.csv", names, strlen(names), &o.findings, NULL), WR_OK);
    o.plan.aliases = &aliases;
    o.plan.keep_names = true;
    o.status = wr_plan_read_bytes(&o.plan, "plan.csv", rows, strlen(rows), &o.findings, &o.err);
    ck_assert_msg(o.status == WR_OK, "%s", o.err.text);
    ck_assert_uint_eq(o.plan.n_task, 3);
    ck_assert_uint_eq(o.plan.n_lane, 2);
    release(&o);
    wr_aliases_release(&aliases);
}
END_TEST

/* Empty rows and remarks are no tasks; what is too many in a row is said by its delimiter. */
START_TEST(rows_that_are_none)
{
    struct outcome o = read_good("task,crew,planned\nA,a,5\n,,\n# the deck,,\nB,b,5\n");

    ck_assert_uint_eq(o.plan.n_task, 2);
    ck_assert_uint_eq(o.plan.task[1].line, 5);
    release(&o);
    o = read_good("The deck\ntask,colour\nA,red\n"); /* one name that is known makes the header */
    ck_assert_uint_eq(o.plan.n_task, 1);
    ck_assert_str_eq(o.plan.task[0].id, "A");
    release(&o);
    o = read_plan("task;crew\nA;a;b\n");
    ck_assert_ptr_nonnull(strstr(find(&o, "field-count")->message, "take out what is too many"));
    release(&o);
    o = read_plan("task,crew\nA,a,b\n");
    ck_assert_ptr_nonnull(strstr(find(&o, "field-count")->message, "put the field in quotes"));
    release(&o);
}
END_TEST

/* A name in another spelling, with a blank before what parts it from the next. */
START_TEST(spellings_in_after)
{
    struct outcome o = read_good("task,crew,after\nHatch,a,\nBolt,b,\nC,c,hatch ;BOLT\n");

    ck_assert_uint_eq(o.plan.task[2].n_after, 2);
    ck_assert_uint_eq(o.plan.task[2].after[0], 0);
    ck_assert_uint_eq(o.plan.task[2].after[1], 1);
    release(&o);
}
END_TEST

/* SET is of the first lane, OUT of both, the others of the second. SET was there in the slow run only, in which all was
 * later, but before OUT: it goes before it, past DIG, of which it says nothing. */
START_TEST(derived_order_of_what_comes_first)
{
    static const char *const order[] = {"PREP", "SET", "OUT", "DIG"};
    struct outcome o;

    derive_in_order(&o,
                    "run,task,start,end,crew\n1,OUT,0,10,a+b\n1,DIG,10,20,b\n2,OUT,0,10,a+b\n2,DIG,10,20,b\n"
                    "3,PREP,0,100,b\n3,SET,100,110,a\n3,OUT,110,120,a+b\n3,DIG,120,130,b\n",
                    order, 4);
    ck_assert_ptr_null(find(&o, "order-unsure"));
    release(&o);
}
END_TEST

/* Begun at the same time, what ends first comes first; a step without a time says nothing where another has one. */
START_TEST(derived_order_of_equal_starts)
{
    static const char *const order[] = {"TAKE", "LAY", "IN"};
    struct outcome o;

    derive_in_order(&o,
                    "run,task,step,start,end,crew,outcome\n1,IN,,30,40,a,\n1,LAY,,0,20,a,\n1,TAKE,x,,,a,skipped\n"
                    "1,TAKE,y,0,5,a,\n",
                    order, 3);
    release(&o);
}
END_TEST

/* A run whose tasks stand in two files, without times: which file comes first says nothing of the day. */
START_TEST(derived_order_across_files)
{
    struct wr_log_text text[] = {{"a.csv", "run,task,minutes,crew\n1,FETCH,5,a\n", 0},
                                 {"b.csv", "run,task,minutes,crew\n1,DIG,5,a\n", 0}};
    struct wr_log_options options = {0};
    struct outcome o = {0};

    for (size_t i = 0; i < 2; i++) text[i].n = strlen(text[i].bytes);
    ck_assert_int_eq(wr_run_log_read_texts(&o.log, text, 2, &options, &o.findings, &o.err), WR_OK);
    ck_assert_int_eq(wr_plan_derive(&o.plan, &o.log, &o.findings, &o.err), WR_OK);
    ck_assert_ptr_nonnull(find(&o, "order-unsure"));
    release(&o);
}
END_TEST

/* A and B were never in one run. A closed one of its three runs, or opened it: that is no rule; two of three are. */
START_TEST(derived_order_of_what_closes_or_opens_most_runs)
{
    static const struct {
        const char *log;
        bool open;
        const char *first;
    } c[] = {{"1,OUT,0,5,a\n1,A,5,10,a\n2,OUT,0,5,a\n2,A,5,10,a\n2,IN,10,15,a\n3,OUT,0,5,a\n3,A,5,10,a\n3,IN,10,15,a\n",
              true, NULL},
             {"1,OUT,0,5,a\n1,A,5,10,a\n2,OUT,0,5,a\n2,A,5,10,a\n3,OUT,0,5,a\n3,A,5,10,a\n3,IN,10,15,a\n", false, "B"},
             {"1,A,5,10,a\n1,IN,10,15,a\n2,OUT,0,5,a\n2,A,5,10,a\n2,IN,10,15,a\n3,OUT,0,5,a\n3,A,5,10,a\n"
              "3,IN,10,15,a\n",
              true, NULL},
             {"1,A,5,10,a\n1,IN,10,15,a\n2,A,5,10,a\n2,IN,10,15,a\n3,OUT,0,5,a\n3,A,5,10,a\n3,IN,10,15,a\n",
              false, "A"}};
    struct outcome o = {0};
    struct wr_str text = {0};

    wr_str_addf(&text, "run,task,start,end,crew\n%s4,OUT,0,5,a\n4,B,5,10,a\n4,IN,10,15,a\n5,OUT,0,5,a\n5,B,5,10,a\n"
                       "5,IN,10,15,a\n", c[_i].log);
    read_log(&o, text.text);
    ck_assert_int_eq(wr_plan_derive(&o.plan, &o.log, &o.findings, &o.err), WR_OK);
    const struct wr_finding *f = find(&o, "order-unsure");
    ck_assert_int_eq(f != NULL, c[_i].open);
    if (f) ck_assert_msg(strstr(f->message, "(no run has both)") != NULL, "%s", f->message);
    if (c[_i].first)
        ck_assert_int_eq(wr_plan_find(&o.plan, "A") < wr_plan_find(&o.plan, "B"), strcmp(c[_i].first, "A") == 0);
    release(&o);
    wr_str_release(&text);
}
END_TEST

Suite *suite_plan(void);
Suite *suite_plan(void)
{
    Suite *s = suite_create("plan");
    TCase *t = tcase_create("plan");

    tcase_set_timeout(t, 60);
    tcase_add_test(t, all_columns);
    tcase_add_test(t, ids_with_blanks_in_after);
    tcase_add_test(t, rows_that_are_refused);
    tcase_add_test(t, files_that_are_refused);
    tcase_add_test(t, fixed_times_are_fine);
    tcase_add_test(t, columns_that_are_not_known);
    tcase_add_test(t, lanes_up_to_32);
    tcase_add_test(t, cycles);
    tcase_add_test(t, waiting_for_a_later_row_is_no_cycle);
    tcase_add_test(t, a_long_cycle_and_a_deep_plan);
    tcase_add_test(t, cycles_in_random_plans);
    tcase_add_test(t, every_task_needs_a_duration);
    tcase_add_test(t, crew_from_the_log);
    tcase_add_test(t, log_of_another_campaign);
    tcase_add_test(t, what_the_plan_does_not_know);
    tcase_add_test(t, derived_order_and_lanes);
    tcase_add_test(t, derived_from_an_even_number_of_runs);
    tcase_add_test(t, derived_order_where_a_task_is_left_out);
    tcase_add_test(t, derived_order_of_what_closes);
    tcase_add_test(t, derived_order_across_lanes);
    tcase_add_test(t, derived_order_outvotes_a_slip);
    tcase_add_test(t, derived_order_that_is_open_is_said);
    tcase_add_test(t, derived_without_times);
    tcase_add_test(t, derived_needs_crews);
    tcase_add_test(t, what_is_written_is_read_back);
    tcase_add_test(t, a_derived_plan_is_read_back);
    tcase_add_test(t, a_plan_made_by_other_means);
    tcase_add_test(t, blanks_at_the_ends_are_written);
    tcase_add_test(t, no_formula_is_written);
    tcase_add_test(t, blanks_of_every_kind_in_after);
    tcase_add_test(t, tasks_without_any_time);
    tcase_add_test(t, names_that_are_given);
    tcase_add_test(t, rows_that_are_none);
    tcase_add_test(t, what_the_plan_that_was_rehearsed_does_not_know);
    tcase_add_test(t, spellings_in_after);
    tcase_add_test(t, derived_order_of_what_comes_first);
    tcase_add_test(t, derived_order_of_equal_starts);
    tcase_add_test(t, derived_order_across_files);
    tcase_add_loop_test(t, derived_order_of_what_closes_or_opens_most_runs, 0, 4);
    suite_add_tcase(s, t);
    return s;
}
