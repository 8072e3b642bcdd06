/* The planner's move: found where it is known, and its gain without the winner's curse. */
#include <check.h>
#include <math.h>
#include <stdio.h>
#include <string.h>
#include "made_durations.h"
#include "made_plan.h"
#include "wetrun/decide/search.h"

enum { TASKS = 8 };

/* EV2 waits for C, which EV1 does last of three: C done first shortens the day by A and B, about. The rest is even. */
static void late_helper(struct wr_plan *plan)
{
    made_plan_add(plan, "OUT", "EV1+EV2", "");
    made_plan_add(plan, "A", "EV1", "");
    made_plan_add(plan, "B", "EV1", "");
    made_plan_add(plan, "C", "EV1", "");
    made_plan_add(plan, "P", "EV2", "C");
    made_plan_add(plan, "Q", "EV2", "");
    made_plan_add(plan, "R", "EV2", "");
    made_plan_add(plan, "IN", "EV1+EV2", "");
    made_plan_finish(plan);
}

struct scene {
    struct wr_plan plan;
    struct wr_network net;
    struct wr_durations durations;
    struct wr_sim_limit limit;
    struct wr_variant base;
    struct wr_moves moves;
};

static void scene_make(struct scene *s, double limit_min)
{
    memset(s, 0, sizeof *s);
    late_helper(&s->plan);
    ck_assert_int_eq(wr_network_build(&s->net, &s->plan, NULL), WR_OK);
    made_durations_plain(&s->durations, TASKS, 50);
    made_durations_people(&s->durations, 2, 0, 1, (int[]){WR_PERSON_NONE, WR_PERSON_NONE});
    for (size_t k = 0; k < TASKS; k++) s->durations.lanes[k] = s->plan.task[k].lanes;
    s->limit = (struct wr_sim_limit){.lanes = UINT32_MAX, .minutes = limit_min};
    s->base = (struct wr_variant){.net = &s->net, .durations = &s->durations, .limit = &s->limit, .n_limit = 1};
}

static void scene_release(struct scene *s)
{
    wr_moves_release(&s->moves);
    wr_network_release(&s->net);
    made_durations_release(&s->durations);
    made_plan_release(&s->plan);
}

static void allow(struct scene *s, struct wr_move m)
{
    *WR_PUSH(s->moves.move, s->moves.n_move, s->moves.room) = m;
}

/* By hand: EV1 goes on after C either way; EV2 gains the time of A and B if C is first, that of B alone if it is
 * second. */
START_TEST(the_known_best_is_found)
{
    struct scene s;
    struct wr_search found = {0};
    const struct wr_search_options options = {.n_trial = 4096, .seed = 7, .most_changes = 2};

    scene_make(&s, 215);
    allow(&s, (struct wr_move){.kind = WR_MOVE_EXCHANGE, .task = 5, .other = 6}); /* Q and R: nothing to gain */
    allow(&s, (struct wr_move){.kind = WR_MOVE_BEFORE, .task = 3, .other = 1});   /* C first: the one */
    allow(&s, (struct wr_move){.kind = WR_MOVE_BEFORE, .task = 3, .other = 2});   /* C second: half of it */
    allow(&s, (struct wr_move){.kind = WR_MOVE_BEFORE, .task = 5, .other = 4});   /* Q before P: Q while EV2 waits */
    ck_assert_int_eq(wr_search_run(&found, &s.plan, &s.base, &s.moves, &options, NULL), WR_OK);
    ck_assert_uint_ge(found.n_row, 2);
    bool first_alone = false;
    for (size_t i = 0; i < found.n_row; i++) {
        first_alone |= found.row[i].n_move == 1 && found.row[i].move[0] == 1;
        for (size_t j = 0; j < found.row[i].n_move; j++)
            ck_assert_uint_ne(found.row[i].move[j], 0); /* no needless change */
    }
    ck_assert(first_alone);
    const struct wr_search_row *best = &found.row[found.whatif.row[0].variant];
    for (size_t j = 0; j < best->n_move; j++) ck_assert_uint_ne(best->move[j], 2); /* C first, never second */
    ck_assert(found.whatif.row[0].limit[0].gain.mean > 0.05);
    wr_search_release(&found);
    scene_release(&s);
}
END_TEST

/* Four like tasks in one lane, and for each a like helper in a lane of its own that waits for it. In whatever order the
 * four are done, the finish has the same distribution, though not the same value on a day: no exchange is worth
 * anything. */
static void four_with_helpers(struct scene *s)
{
    enum { FOUR = 4 };

    memset(s, 0, sizeof *s);
    for (size_t i = 0; i < FOUR; i++) made_plan_add(&s->plan, (char[]){(char)('A' + i), '\0'}, "EV1", "");
    for (size_t i = 0; i < FOUR; i++)
        made_plan_add(&s->plan, (char[]){(char)('P' + i), '\0'}, (char[]){'E', 'V', (char)('2' + i), '\0'},
                      (char[]){(char)('A' + i), '\0'});
    made_plan_finish(&s->plan);
    ck_assert_int_eq(wr_network_build(&s->net, &s->plan, NULL), WR_OK);
    made_durations_plain(&s->durations, TASKS, 8);
    made_durations_people(&s->durations, 5, 0, 1,
                          (int[]){WR_PERSON_NONE, WR_PERSON_NONE, WR_PERSON_NONE, WR_PERSON_NONE, WR_PERSON_NONE});
    for (size_t k = 0; k < TASKS; k++) {
        s->durations.lanes[k] = s->plan.task[k].lanes;
        for (size_t j = 0; j < s->durations.n_draw; j++) {
            s->durations.centre_log[k * s->durations.n_draw + j] = 3;
            s->durations.spread_log[k * s->durations.n_draw + j] = 0.5;
        }
    }
    s->limit = (struct wr_sim_limit){.lanes = UINT32_MAX, .minutes = 130};
    s->base = (struct wr_variant){.net = &s->net, .durations = &s->durations, .limit = &s->limit, .n_limit = 1};
    for (size_t i = 0; i < FOUR; i++)
        for (size_t j = 0; j < i; j++)
            *WR_PUSH(s->moves.move, s->moves.n_move, s->moves.room) =
                (struct wr_move){.kind = WR_MOVE_EXCHANGE, .task = j, .other = i};
}

START_TEST(the_winners_curse_is_taken_out)
{
    double searched = 0, fresh = 0, variance = 0;
    size_t n = 0;

    for (unsigned seed = 1; seed <= 300; seed++) {
        struct scene s;
        struct wr_search found = {0};
        const struct wr_search_options options = {.n_trial = 512, .seed = seed, .most_changes = 1, .n_thread = 1};
        four_with_helpers(&s);
        ck_assert_int_eq(wr_search_run(&found, &s.plan, &s.base, &s.moves, &options, NULL), WR_OK);
        if (found.n_row) { /* one a seed: rows of one seed share their days */
            const struct wr_whatif_row *row = &found.whatif.row[0]; /* the best, as it is stated */
            ck_assert_uint_eq(row->variant, 0);
            searched += found.row[0].gain_in_search;
            fresh += row->limit[0].gain.mean;
            variance += row->limit[0].gain.se * row->limit[0].gain.se;
            n++;
        }
        wr_search_release(&found);
        scene_release(&s);
    }
    ck_assert_uint_ge(n, 10); /* six looks a seed: about one in ten is taken in by luck */
    ck_assert_msg(searched > 3 * sqrt(variance), "the search itself was not taken in: %g", searched / (double)n);
    ck_assert_msg(fabs(fresh) < 4 * sqrt(variance), "%zu gains, searched %g, fresh %g", n, searched / (double)n,
                  fresh / (double)n);
}
END_TEST

/* Without a number of trials it takes its own, and finds the same. */
START_TEST(trials_and_changes_that_are_not_said)
{
    struct scene s;
    struct wr_search found = {0};

    scene_make(&s, 215);
    allow(&s, (struct wr_move){.kind = WR_MOVE_BEFORE, .task = 3, .other = 1});
    ck_assert_int_eq(wr_search_run(&found, &s.plan, &s.base, &s.moves, &(struct wr_search_options){.seed = 7}, NULL),
                     WR_OK);
    ck_assert_uint_eq(found.n_row, 1);
    ck_assert(found.row[0].n_move == 1 && found.row[0].move[0] == 0);
    ck_assert(found.whatif.row[0].limit[0].gain.mean > 0.05);
    wr_search_release(&found);
    scene_release(&s);
}
END_TEST

/* Four stretches one after the other, each as late_helper's: in each C done before A lets its helper begin at once. All
 * four are worth a change of their own and any few of them together, more rows than are shown. */
START_TEST(no_more_rows_than_are_shown)
{
    enum { STRETCHES = 4, EACH = 4, N = STRETCHES * EACH };
    struct scene s = {0};
    struct wr_search found = {0};
    char id[N][4];

    for (size_t i = 0; i < STRETCHES; i++) {
        static const char *const crew[EACH] = {"EV1+EV2", "EV1", "EV1", "EV2"};
        for (size_t j = 0; j < EACH; j++) {
            snprintf(id[i * EACH + j], sizeof *id, "%c%zu", "JACP"[j], i);
            made_plan_add(&s.plan, id[i * EACH + j], crew[j], j == 3 ? id[i * EACH + 2] : "");
        }
    }
    made_plan_finish(&s.plan);
    ck_assert_int_eq(wr_network_build(&s.net, &s.plan, NULL), WR_OK);
    made_durations_plain(&s.durations, N, 20);
    made_durations_people(&s.durations, 2, 0, 1, (int[]){WR_PERSON_NONE, WR_PERSON_NONE});
    for (size_t k = 0; k < N; k++) {
        s.durations.lanes[k] = s.plan.task[k].lanes;
        for (size_t j = 0; j < s.durations.n_draw; j++)
            s.durations.centre_log[k * s.durations.n_draw + j] = log(20);
    }
    s.limit = (struct wr_sim_limit){.lanes = UINT32_MAX, .minutes = 300}; /* of 4 (20 + 20 + 20 + 20) min as it is */
    s.base = (struct wr_variant){.net = &s.net, .durations = &s.durations, .limit = &s.limit, .n_limit = 1};
    for (size_t i = 0; i < STRETCHES; i++)
        allow(&s, (struct wr_move){.kind = WR_MOVE_BEFORE, .task = i * EACH + 2, .other = i * EACH + 1});
    const struct wr_search_options options = {.n_trial = 4096, .seed = 7, .most_changes = 2, .n_thread = 1};
    ck_assert_int_eq(wr_search_run(&found, &s.plan, &s.base, &s.moves, &options, NULL), WR_OK);
    ck_assert_uint_eq(found.n_row, WR_SEARCH_SHOWN);
    for (size_t i = 1; i < found.n_row; i++)
        ck_assert_double_ge(found.row[i - 1].gain_in_search, found.row[i].gain_in_search);
    ck_assert_uint_eq(found.row[0].n_move, 2);
    wr_search_release(&found);
    scene_release(&s);
}
END_TEST

Suite *suite_search(void);
Suite *suite_search(void)
{
    Suite *s = suite_create("search");
    TCase *c = tcase_create("search");

    tcase_set_timeout(c, 120);
    tcase_add_test(c, the_known_best_is_found);
    tcase_add_test(c, the_winners_curse_is_taken_out);
    tcase_add_test(c, trials_and_changes_that_are_not_said);
    tcase_add_test(c, no_more_rows_than_are_shown);
    suite_add_tcase(s, c);
    return s;
}
