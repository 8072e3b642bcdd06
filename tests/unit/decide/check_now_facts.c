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

/* P, then D, dropped after 0:20, then Q. Of D nothing is said, but Q has begun: what was reported of P settles whether
 * D can still have been in time for its rule. */
static const struct made_task with_rule[] = {
    {"P", "1", NULL, 15, 0.1, 0, 0}, {"D", "1", "P", 8, 0.1, 0, 20}, {"Q", "1", "D", 30, 0.1, 0, 0}};
static const struct {
    struct wr_maybe p_begin, p_end, q_begin, q_end;
    enum wr_now_rule rule;
    bool timed, gap; /* D's minutes count; the stretch to Q does, in both ways where D may have been dropped */
} ruled[] = {
    {{true, 0}, {true, 26}, {true, 26}, {false, 0}, WR_NOW_DROPPED, false, false},
    {{true, 0}, {true, 26}, {true, 30}, {false, 0}, WR_NOW_DROPPED, false, false}, /* an idle time tells nothing */
    {{true, 0}, {true, 20}, {true, 28}, {false, 0}, WR_NOW_KEPT, true, false},     /* not later than its rule */
    {{true, 21}, {false, 0}, {true, 38}, {false, 0}, WR_NOW_DROPPED, false, false}, /* P is timed then */
    {{true, 0}, {false, 0}, {true, 26}, {false, 0}, WR_NOW_MAY_BE_DROPPED, false, true},
    {{false, 0}, {false, 0}, {false, 0}, {true, 55}, WR_NOW_MAY_BE_DROPPED, false, true},
    {{true, 0}, {false, 0}, {true, 20}, {false, 0}, WR_NOW_KEPT, false, true}, /* whenever P ended */
};

START_TEST(what_a_rule_dropped_was_not_done)
{
    struct made_excursion e = {0};
    struct wr_now_state s = {0};
    struct wr_error err = {.text = ""};
    struct wr_now_event event[2] = {{2, ruled[_i].q_begin, ruled[_i].q_end, 0},
                                    {0, ruled[_i].p_begin, ruled[_i].p_end, 0}};
    bool p_named = ruled[_i].p_begin.known || ruled[_i].p_end.known;
    const struct wr_now now = {.event = event, .n_event = p_named ? 2 : 1, .now_min = 60};

    made_excursion_plan(&e, with_rule, 3, 0.1, 1);
    ck_assert_msg(wr_now_resolve(&s, &now, &e.net, &e.plan, &err) == WR_OK, "%s", err.text);
    ck_assert_int_eq(s.rule[1], ruled[_i].rule);
    ck_assert_int_eq(s.state[1], ruled[_i].timed ? WR_NOW_DONE : WR_NOW_PAST);
    ck_assert_int_eq(s.time_known[1], ruled[_i].timed);
    ck_assert_int_eq(s.gap[2] != WR_NOW_NO_GAP, ruled[_i].gap);
    ck_assert_int_eq(s.open_rule[1], ruled[_i].rule == WR_NOW_MAY_BE_DROPPED);
    ck_assert(s.rule[0] == WR_NOW_KEPT && s.rule[2] == WR_NOW_KEPT);
    wr_now_state_release(&s);
    made_excursion_release(&e);
}
END_TEST

/* After the joint J every lane has been heard of up to its end, and what comes next begins then. */
START_TEST(lanes_are_unheard_of_only_after_their_last_joint_task)
{
    static const struct made_task joint[] = {{"J", "1+2", NULL, 20, 0.1, 0, 0}, {"A", "1", "J", 10, 0.1, 0, 0},
                                             {"B", "2", "J", 10, 0.1, 25, 0},   {"C", "1", "A B", 10, 0.1, 0, 0}};
    static const struct { double now_min; bool a_begun; uint32_t unheard; } at[] = {
        {20, false, 0}, {22, false, 1}, {26, false, 3}, {22, true, 0}, {26, true, 2}};

    for (size_t i = 0; i < sizeof at / sizeof *at; i++) {
        struct made_excursion e = {0};
        struct wr_now_state s = {0};
        struct wr_error err = {.text = ""};
        struct wr_now_event event[] = {{0, {true, 0}, {true, 20}, 0}, {1, {true, 20}, {false, 0}, 0}};
        const struct wr_now now = {.event = event, .n_event = at[i].a_begun ? 2 : 1, .now_min = at[i].now_min};
        made_excursion_plan(&e, joint, 4, 0.1, 1);
        ck_assert_msg(wr_now_resolve(&s, &now, &e.net, &e.plan, &err) == WR_OK, "%s", err.text);
        ck_assert_uint_eq(s.unheard_lanes, at[i].unheard);
        wr_now_state_release(&s);
        made_excursion_release(&e);
    }
}
END_TEST

static double pace_of(const struct made_task *task, size_t n, const struct wr_now *now, size_t *n_done)
{
    struct made_excursion e = {0};
    struct wr_update u = {0};
    struct wr_error err = {.text = ""};
    const struct wr_cutoff_limit limit = {{.lanes = 1, .minutes = 70}, 0.9};
    const struct wr_update_options options = {.n_trial = 4000, .seed = 1, .n_thread = 1};
    const struct wr_cutoff_options card = {.n_thread = 1};

    made_excursion_plan(&e, task, n, 0.1, 1);
    ck_assert_int_eq(wr_now_resolve(&u.state, now, &e.net, &e.plan, &err), WR_OK);
    u.durations = e.durations;
    e.durations = (struct wr_durations){0};
    ck_assert_msg(wr_update_answer(&u, &e.net, &limit, 1, &card, &options, &err) == WR_OK, "%s", err.text);
    double pace = u.rest_factor;
    *n_done = u.n_done;
    wr_update_release(&u);
    made_excursion_release(&e);
    return pace;
}

/* The pace is that of the plan without it, whether P took all the time until Q began or some of it was idle. */
START_TEST(what_a_rule_dropped_sets_no_pace)
{
    static const struct made_task without[] = {{"P", "1", NULL, 15, 0.1, 0, 0}, {"Q", "1", "P", 30, 0.1, 0, 0}};
    struct wr_now_event event[] = {{0, {true, 0}, {true, 26}, 0}, {2, {true, 26 + 4 * _i}, {false, 0}, 0}};
    struct wr_now now = {.event = event, .n_event = 2, .now_min = 36};
    size_t n_done = 0, n_done_without = 0;

    double pace = pace_of(with_rule, 3, &now, &n_done);
    event[1].task = 1;
    ck_assert_double_eq_tol(pace, pace_of(without, 2, &now, &n_done_without), 0.005); /* of 4000 days' luck */
    ck_assert(n_done == 1 && n_done_without == 1);
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
    tcase_add_loop_test(t, what_a_rule_dropped_was_not_done, 0, (int)(sizeof ruled / sizeof *ruled));
    tcase_add_test(t, lanes_are_unheard_of_only_after_their_last_joint_task);
    tcase_add_loop_test(t, what_a_rule_dropped_sets_no_pace, 0, 2);
    suite_add_tcase(s, t);
    return s;
}
