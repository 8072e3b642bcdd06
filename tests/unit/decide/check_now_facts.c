/* What a report settles of a limit that is a clock, and what it lacks. All by hand. */
#include <check.h>
#include <string.h>
#include "made_excursion.h"
#include "wetrun/decide/update.h"

/* EV1: A1, A2, then with EV2 the joint C; EV2: B before it; D after it in EV1. */
static const struct made_task tasks[] = {
    {"A1", "1", NULL, 10, 0.1, 0, 0}, {"A2", "1", "A1", 10, 0.1, 0, 0}, {"B", "2", NULL, 20, 0.1, 0, 0},
    {"C", "1+2", "A2 B", 30, 0.1, 0, 0}, {"D", "1", "C", 10, 0.1, 0, 0}};
enum { A1, A2, B, C, D, N_TASK };

static const struct {
    struct wr_now_event event[4];
    size_t n;
    double now_min;
    struct wr_sim_limit clock;
    enum wr_now_lack lacks;
    struct wr_now_fact fact; /* where nothing is lacking */
} c[] = {
    /* A1 ended at 0:09, so that A2 began no sooner; D ended at 1:15, 66 min later at most */
    {{{A1, {true, 0}, {true, 9}, 0}, {C, {true, 25}, {true, 60}, 0}, {D, {true, 60}, {true, 75}, 0}}, 3, 80,
     {.is_clock = true, .from = A2, .to = D, .minutes = 70}, WR_NOW_LACKS_NOTHING, {WR_FACT_TOOK, 66, true, false}},
    /* of 60 min: over, if A2 began at once; nobody said when */
    {{{A1, {true, 0}, {true, 9}, 0}, {C, {true, 25}, {true, 60}, 0}, {D, {true, 60}, {true, 75}, 0}}, 3, 80,
     {.is_clock = true, .from = A2, .to = D, .minutes = 60}, WR_NOW_LACKS_BEGIN, {0}},
    /* both reported: what it took, kept or not */
    {{{A1, {true, 0}, {true, 9}, 0}, {C, {true, 25}, {true, 60}, 0}, {D, {true, 60}, {true, 75}, 0}}, 3, 80,
     {.is_clock = true, .from = A1, .to = D, .minutes = 80}, WR_NOW_LACKS_NOTHING, {WR_FACT_TOOK, 75, false, false}},
    {{{A1, {true, 0}, {true, 9}, 0}, {C, {true, 25}, {true, 60}, 0}, {D, {true, 60}, {true, 75}, 0}}, 3, 80,
     {.is_clock = true, .from = A1, .to = D, .minutes = 70}, WR_NOW_LACKS_NOTHING, {WR_FACT_TOOK, 75, false, true}},
    /* A2 ended by 0:25, when C began: within 30 min whenever that was, of 20 it is open */
    {{{A1, {true, 0}, {true, 9}, 0}, {C, {true, 25}, {false, 0}, 0}}, 2, 30,
     {.is_clock = true, .from = A1, .to = A2, .minutes = 30}, WR_NOW_LACKS_NOTHING, {WR_FACT_TOOK, 25, true, false}},
    {{{A1, {true, 0}, {true, 9}, 0}, {C, {true, 25}, {false, 0}, 0}}, 2, 30,
     {.is_clock = true, .from = A1, .to = A2, .minutes = 20}, WR_NOW_LACKS_END, {0}},
    /* its clock runs since nobody knows when */
    {{{C, {true, 25}, {false, 0}, 0}}, 1, 30,
     {.is_clock = true, .from = A2, .to = D, .minutes = 60}, WR_NOW_LACKS_BEGIN, {0}},
    /* C is open, and its time is over since 0:55 */
    {{{A1, {true, 0}, {true, 9}, 0}, {C, {true, 25}, {false, 0}, 0}}, 2, 60,
     {.is_clock = true, .from = C, .to = C, .minutes = 30}, WR_NOW_LACKS_NOTHING, {WR_FACT_PASSED, 0, false, true}},
};

START_TEST(what_a_report_settles)
{
    struct made_excursion e = {0};
    struct wr_now_state s = {0};
    struct wr_error err = {.text = ""};
    const struct wr_now now = {.event = (struct wr_now_event *)c[_i].event, .n_event = c[_i].n,
                               .now_min = c[_i].now_min};

    made_excursion_plan(&e, tasks, N_TASK, 0.1, 1);
    ck_assert_msg(wr_now_resolve(&s, &now, &e.net, &e.plan, &err) == WR_OK, "%s", err.text);
    ck_assert_int_eq(wr_now_lacks(&s, &c[_i].clock), c[_i].lacks);
    struct wr_now_fact fact = wr_now_fact_of(&s, &e.net, &c[_i].clock);
    ck_assert_int_eq(fact.kind, c[_i].fact.kind);
    if (fact.kind == WR_FACT_TOOK) {
        ck_assert_double_eq_tol(fact.took_min, c[_i].fact.took_min, 1e-9);
        ck_assert_int_eq(fact.at_most, c[_i].fact.at_most);
        ck_assert_int_eq(fact.over, c[_i].fact.over);
    }
    wr_now_state_release(&s);
    made_excursion_release(&e);
}
END_TEST

/* Before anything is reported nothing is lacking: the day is all ahead. */
START_TEST(nothing_reported_lacks_nothing)
{
    ck_assert_int_eq(wr_now_lacks(NULL, &c[0].clock), WR_NOW_LACKS_NOTHING);
}
END_TEST

/* Work whose minutes are known moves nothing: A took 30 of its 20 min, B runs, and C is to come. What is left ends at
 * 1:00, inside 1:10 and over 0:55 for certain. */
START_TEST(known_minutes_settle_the_day)
{
    static const struct made_task known[] = {
        {"A", "1", NULL, 20, 0, 0, 0}, {"B", "1", "A", 20, 0, 0, 0}, {"C", "1", "B", 10, 0, 0, 0}};
    struct wr_now_event event[] = {{0, {true, 0}, {true, 30}, 0}, {1, {true, 30}, {false, 0}, 0}};
    const struct wr_now now = {.event = event, .n_event = 2, .now_min = 40};
    const struct wr_update_options options = {.n_trial = 2000, .seed = 1, .n_thread = 1};
    const struct wr_cutoff_options card = {.n_thread = 1};
    static const struct { double limit_min, over; } row[] = {{70, 0}, {55, 1}};

    for (size_t i = 0; i < 2; i++) {
        struct made_excursion e = {0};
        struct wr_update u = {0};
        struct wr_error err = {.text = ""};
        made_excursion_plan(&e, known, 3, 0.1, 1);
        const struct wr_cutoff_limit limit = {{.lanes = 1, .minutes = row[i].limit_min}, 0.9};
        ck_assert_int_eq(wr_now_resolve(&u.state, &now, &e.net, &e.plan, &err), WR_OK);
        u.durations = e.durations;
        e.durations = (struct wr_durations){0};
        ck_assert_msg(wr_update_answer(&u, &e.net, &limit, 1, &card, &options, &err) == WR_OK, "%s", err.text);
        ck_assert_double_eq(u.over[0].mean, row[i].over);
        wr_update_release(&u);
        made_excursion_release(&e);
    }
}
END_TEST

Suite *suite_now_facts(void);
Suite *suite_now_facts(void)
{
    Suite *s = suite_create("now_facts");
    TCase *t = tcase_create("now_facts");

    tcase_add_loop_test(t, what_a_report_settles, 0, (int)(sizeof c / sizeof *c));
    tcase_add_test(t, nothing_reported_lacks_nothing);
    tcase_add_test(t, known_minutes_settle_the_day);
    suite_add_tcase(s, t);
    return s;
}
