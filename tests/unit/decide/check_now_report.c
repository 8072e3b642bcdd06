/* What is typed of the day, and what it means for every task. All by hand. */
#include <check.h>
#include <math.h>
#include <stdint.h>
#include <string.h>
#include "made_excursion.h"
#include "made_plan.h"
#include "wetrun/decide/update.h"

/* Names that hold the signs, and one that begins like another. */
static void named_plan(struct wr_plan *plan)
{
    made_plan_add(plan, "A=1", "EV1", "");
    made_plan_add(plan, "A", "EV1", "");
    made_plan_add(plan, "OUT", "EV2", "");
    made_plan_add(plan, "A=1@2", "EV2", "");
    made_plan_finish(plan);
}

static const struct {
    const char *text;
    size_t task; /* of the first event */
    double begin_min, end_min, said_min; /* -1: not known */
} typed[] = {
    {"A=1@0:20", 0, 20, -1, -1},
    {"A=0:20", 1, -1, 20, -1},
    {"A=1=0:20", 0, -1, 20, -1},
    {"A=1@2@0:20", 3, 20, -1, -1},
    {" OUT @ 0:10 - 0:25 ", 2, 10, 25, -1},
    {"out@0:10-0:25", 2, 10, 25, -1},
    {"@0:30,OUT@0:10", 2, 10, -1, 30},
    {"OUT@0:10, @ 0:30 ", 2, 10, -1, 30},
};

static void is_known(struct wr_maybe got, double wanted)
{
    ck_assert_int_eq(got.known, wanted >= 0);
    if (got.known) ck_assert_double_eq_tol(got.value, wanted, 1e-9);
}

START_TEST(reports_as_typed)
{
    struct wr_plan plan = {0};
    struct wr_now now = {0};
    struct wr_error err = {.text = ""};

    named_plan(&plan);
    enum wr_status status = wr_now_parse(&now, typed[_i].text, &plan, WR_UNKNOWN, &err);
    ck_assert_msg(status == WR_OK, "%s", err.text);
    ck_assert_uint_eq(now.n_event, 1);
    ck_assert_uint_eq(now.event[0].task, typed[_i].task);
    is_known(now.event[0].begin_min, typed[_i].begin_min);
    is_known(now.event[0].end_min, typed[_i].end_min);
    is_known(now.said_min, typed[_i].said_min);
    wr_now_release(&now);
    made_plan_release(&plan);
}
END_TEST

static const struct { const char *text, *says; } wrong[] = {
    {"@0:30,@0:40", "said twice"},
    {"@soon", "'soon' is no time"},
    {"OUT@0:10-", "'OUT@0:10-': '' is no time"},
    {"OUT@   ", "is no time"},
    {"OUT@", "has no time: write TASK@H:MM"},
    {"OUT@0:20-0:10", "'OUT' is reported done before it has begun"},
    {"OUT@0:10,OUT=0:20", "'OUT' is reported twice"},
    {"OUT", "names no task with a moment"},
    {"=0:10", "'=0:10': "},
    {"OTU@0:10", "did you mean 'OUT'"},
    {"", "names no task with a moment"},
};

START_TEST(reports_that_are_wrong)
{
    struct wr_plan plan = {0};
    struct wr_now now = {0};
    struct wr_error err = {.text = ""};

    named_plan(&plan);
    ck_assert_int_eq(wr_now_parse(&now, wrong[_i].text, &plan, WR_UNKNOWN, &err), WR_E_USAGE);
    ck_assert_msg(strstr(err.text, wrong[_i].says) != NULL, "%s", err.text);
    ck_assert_uint_eq(now.n_event, 0);
    made_plan_release(&plan);
}
END_TEST

/* ---- what it means ---- */

/* EV1: A1, A2, then with EV2 the joint C; EV2: B before it; D and E after it, one in each lane. */
static const struct made_task tasks[] = {
    {"A1", "1", NULL, 10, 0.1, 0, 0}, {"A2", "1", "A1", 10, 0.1, 0, 0},  {"B", "2", NULL, 20, 0.1, 0, 0},
    {"C", "1+2", "A2 B", 30, 0.1, 0, 0}, {"D", "1", "C", 10, 0.1, 0, 0}, {"E", "2", "C", 10, 0.1, 0, 0}};
enum { A1, A2, B, C, D, E, N_TASK };

static enum wr_status resolve(struct wr_now_state *s, const struct wr_now_event *event, size_t n, double now_min,
                              struct wr_error *err)
{
    struct made_excursion e = {0};
    const struct wr_now now = {.event = (struct wr_now_event *)event, .n_event = n, .now_min = now_min};

    made_excursion_plan(&e, tasks, N_TASK, 0.1, 1);
    enum wr_status status = wr_now_resolve(s, &now, &e.net, &e.plan, err);
    made_excursion_release(&e);
    return status;
}

static const struct {
    struct wr_now_event event[3];
    size_t n;
    double now_min;
    unsigned char state[N_TASK], gap[N_TASK];
    double begin[N_TASK], end[N_TASK]; /* -1: not looked at */
} meant[] = {
    /* C began when B ended: A2 was done by then, when is not known, and no stretch tells it */
    {{{B, {true, 0}, {true, 21}, 0}, {C, {true, 21}, {false, 0}, 0}}, 2, 25,
     {WR_NOW_PAST, WR_NOW_PAST, WR_NOW_DONE, WR_NOW_RUNNING, WR_NOW_AHEAD, WR_NOW_AHEAD}, {0},
     {0, -1, 0, 21, -1, -1}, {21, 21, 21, -1, -1, -1}},
    /* B had ended before: A2 ended when C began, but how A1 and A2 share the time is not known */
    {{{B, {true, 0}, {true, 18}, 0}, {C, {true, 23}, {false, 0}, 0}}, 2, 25,
     {WR_NOW_PAST, WR_NOW_PAST, WR_NOW_DONE, WR_NOW_RUNNING, WR_NOW_AHEAD, WR_NOW_AHEAD},
     {[C] = WR_NOW_GAP_TO_BEGIN}, {0, -1, 0, 23, -1, -1}, {23, 23, 18, -1, -1, -1}},
    /* A1 is timed: then A2 is, from end to begin */
    {{{A1, {true, 0}, {true, 9}, 0}, {B, {true, 0}, {true, 18}, 0}, {C, {true, 23}, {false, 0}, 0}}, 3, 25,
     {WR_NOW_DONE, WR_NOW_DONE, WR_NOW_DONE, WR_NOW_RUNNING, WR_NOW_AHEAD, WR_NOW_AHEAD}, {0},
     {0, 9, 0, 23, -1, -1}, {9, 23, 18, -1, -1, -1}},
    /* both lanes are of unknown time before C */
    {{{C, {true, 23}, {false, 0}, 0}}, 1, 30,
     {WR_NOW_PAST, WR_NOW_PAST, WR_NOW_PAST, WR_NOW_RUNNING, WR_NOW_AHEAD, WR_NOW_AHEAD},
     {[C] = WR_NOW_GAP_TO_BEGIN}, {0, -1, 0, 23, -1, -1}, {23, 23, 23, -1, -1, -1}},
    /* the end of C alone: its begin is a stretch as well */
    {{{C, {false, 0}, {true, 50}, 0}}, 1, 55,
     {WR_NOW_PAST, WR_NOW_PAST, WR_NOW_PAST, WR_NOW_PAST, WR_NOW_UNREPORTED, WR_NOW_UNREPORTED},
     {[C] = WR_NOW_GAP_TO_END}, {0, -1, 0, -1, -1, -1}, {-1, -1, -1, 50, -1, -1}},
    /* D is spoken of after C, E's lane is not */
    {{{C, {true, 20}, {true, 50}, 0}, {D, {true, 50}, {false, 0}, 0}}, 2, 55,
     {WR_NOW_PAST, WR_NOW_PAST, WR_NOW_PAST, WR_NOW_DONE, WR_NOW_RUNNING, WR_NOW_UNREPORTED},
     {[C] = WR_NOW_GAP_TO_BEGIN}, {0, -1, 0, 20, 50, -1}, {20, 20, 20, 50, -1, -1}},
};

START_TEST(states_of_all_tasks)
{
    struct wr_now_state s = {0};
    struct wr_error err = {.text = ""};

    ck_assert_msg(resolve(&s, meant[_i].event, meant[_i].n, meant[_i].now_min, &err) == WR_OK, "%s", err.text);
    for (size_t k = 0; k < N_TASK; k++) {
        ck_assert_msg(s.state[k] == meant[_i].state[k], "%s: state %d", tasks[k].id, s.state[k]);
        ck_assert_msg(s.gap[k] == meant[_i].gap[k], "%s: gap %d", tasks[k].id, s.gap[k]);
        if (meant[_i].begin[k] >= 0)
            ck_assert_msg(fabs(s.begin_min[k] - meant[_i].begin[k]) < 1e-9, "%s: %g", tasks[k].id, s.begin_min[k]);
        if (meant[_i].end[k] >= 0)
            ck_assert_msg(fabs(s.end_min[k] - meant[_i].end[k]) < 1e-9, "%s: %g", tasks[k].id, s.end_min[k]);
    }
    wr_now_state_release(&s);
}
END_TEST

static const struct {
    struct wr_now_event event[2];
    const char *says;
} against[] = {
    {{{B, {true, 0}, {true, 21}, 0}, {C, {true, 20}, {false, 0}, 0}},
     "'C' is reported for 0:20, but 'B', which must be done first, ended at 0:21"},
    {{{A1, {true, 22}, {false, 0}, 0}, {C, {true, 20}, {false, 0}, 0}},
     "'C' is reported for 0:20, but 'A1', which must be done first, began at 0:22"},
    {{{A1, {true, 22}, {true, 30}, 0}, {C, {false, 0}, {true, 25}, 0}},
     "'C' is reported for 0:25, but 'A1', which must be done first, ended at 0:30"},
};

START_TEST(reports_against_the_plan)
{
    struct wr_now_state s = {0};
    struct wr_error err = {.text = ""};

    ck_assert_int_eq(resolve(&s, against[_i].event, 2, 60, &err), WR_E_USAGE);
    ck_assert_msg(strstr(err.text, against[_i].says) != NULL, "%s", err.text);
}
END_TEST

START_TEST(reports_are_closed)
{
    struct wr_now_event event[] = {{A1, {true, 2}, {true, 12}, 11}, {B, {true, 0}, {false, 0}, 30}};
    struct wr_now now = {.event = event, .n_event = 1};
    struct made_excursion e = {0};
    struct wr_error err = {.text = ""};

    made_excursion_plan(&e, tasks, N_TASK, 0.1, 1);
    ck_assert_int_eq(wr_now_close(&now, &e.plan, &err), WR_E_USAGE);
    ck_assert_ptr_nonnull(strstr(err.text, "'A1' was held 11 min of the 10 min that it has taken"));
    event[0].hold_min = 10;
    ck_assert_int_eq(wr_now_close(&now, &e.plan, &err), WR_OK);
    ck_assert_double_eq(now.now_min, 12);
    now.n_event = 2; /* how long B has run is not said: it may have been held so long */
    ck_assert_int_eq(wr_now_close(&now, &e.plan, &err), WR_OK);
    now.said_min = wr_known(25);
    ck_assert_int_eq(wr_now_close(&now, &e.plan, &err), WR_E_USAGE);
    ck_assert_ptr_nonnull(strstr(err.text, "'B' was held 30 min of the 25 min"));
    now.said_min = wr_known(11);
    ck_assert_int_eq(wr_now_close(&now, &e.plan, &err), WR_E_USAGE);
    ck_assert_ptr_nonnull(strstr(err.text, "said to be 0:11 now, but something is reported for 0:12"));
    now.n_event = 0;
    ck_assert_int_eq(wr_now_close(&now, &e.plan, &err), WR_E_USAGE);
    ck_assert_ptr_nonnull(strstr(err.text, "nothing is said of any task"));
    made_excursion_release(&e);
}
END_TEST

Suite *suite_now_report(void);
Suite *suite_now_report(void)
{
    Suite *s = suite_create("now_report");
    TCase *t = tcase_create("now_report");

    tcase_add_loop_test(t, reports_as_typed, 0, (int)(sizeof typed / sizeof *typed));
    tcase_add_loop_test(t, reports_that_are_wrong, 0, (int)(sizeof wrong / sizeof *wrong));
    tcase_add_loop_test(t, states_of_all_tasks, 0, (int)(sizeof meant / sizeof *meant));
    tcase_add_loop_test(t, reports_against_the_plan, 0, (int)(sizeof against / sizeof *against));
    tcase_add_test(t, reports_are_closed);
    suite_add_tcase(s, t);
    return s;
}
