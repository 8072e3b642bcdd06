/* Series of excursions, held against enumeration: durations of two values each, every combination one trial. */
#include <check.h>
#include <gsl/gsl_cdf.h>
#include <math.h>
#include <string.h>
#include "made_durations.h"
#include "made_plan.h"
#include "wetrun/decide/series.h"
#include "wetrun/model/shared_people.h"

/* Excursion 1: A, then G if A is done by 0:20, then B; 60 min allowed. Excursion 2: C, G where 1 left it (5 min to set
 * up, dropped after 0:35), D; 65 min allowed. Excursion 3: E, G where 2 left it; 35 min allowed. One lane. */
enum { A = 0, G1, B, C = 0, G2, D, E = 0, G3, BITS = 7, TRIALS = 1 << BITS };
static const double minutes_of[BITS][2] = { /* A, G, B; C, G, D; E (G in 3 takes 20) */
    {10, 30}, {15, 25}, {20, 28}, {20, 40}, {15, 25}, {10, 16}, {12, 18}};
static const double LIMIT[] = {60, 65, 35}, SETUP = 5;

struct scene {
    struct wr_plan plan[3];
    struct wr_network net[3];
    struct wr_scenarios days[3];
    struct wr_sim_limit limit[3];
    struct wr_series_leg leg[3];
    struct wr_spill spill[2];
};

static double value(size_t bit, size_t trial)
{
    return minutes_of[bit][trial >> bit & 1];
}

static void days_make(struct wr_scenarios *d, size_t n_task)
{
    *d = (struct wr_scenarios){.n_trial = TRIALS, .n_task = n_task};
    d->own = wr_alloc(TRIALS, n_task * sizeof *d->own);
    d->b = WR_NEW_ARRAY(double, TRIALS);
    d->is_log = WR_NEW_ARRAY(unsigned char, n_task);
    d->carries_b = WR_NEW_ARRAY(unsigned char, n_task);
}

static void scene_make(struct scene *s)
{
    static const char *const ids[3][3] = {{"A", "G", "B"}, {"C", "G", "D"}, {"E", "G", NULL}};

    memset(s, 0, sizeof *s);
    for (size_t e = 0; e < 3; e++) {
        for (size_t k = 0; k < 3 && ids[e][k]; k++) made_plan_add(&s->plan[e], ids[e][k], "EV1", "");
        made_plan_finish(&s->plan[e]);
        if (e < 2) s->plan[e].task[1].drop_after_min = wr_known(e == 0 ? 20 : 35);
        ck_assert_int_eq(wr_network_build(&s->net[e], &s->plan[e], NULL), WR_OK);
        days_make(&s->days[e], s->plan[e].n_task);
        s->limit[e] = (struct wr_sim_limit){.lanes = UINT32_MAX, .minutes = LIMIT[e]};
        s->leg[e] = (struct wr_series_leg){&s->net[e], &s->days[e], &s->limit[e], 1};
    }
    for (size_t i = 0; i < TRIALS; i++) {
        for (size_t k = 0; k < 3; k++) s->days[0].own[k * TRIALS + i] = (float)value(k, i);
        for (size_t k = 0; k < 3; k++) s->days[1].own[k * TRIALS + i] = (float)value(3 + k, i);
        s->days[2].own[E * TRIALS + i] = (float)value(6, i);
        s->days[2].own[G3 * TRIALS + i] = 20;
    }
    s->spill[0] = (struct wr_spill){0, G1, 1, G2, SETUP, {0}};
    s->spill[1] = (struct wr_spill){1, G2, 2, G3, 0, {0}};
}

static void scene_release(struct scene *s)
{
    for (size_t e = 0; e < 3; e++) {
        wr_scenarios_release(&s->days[e]);
        wr_network_release(&s->net[e]);
        made_plan_release(&s->plan[e]);
    }
}

/* The series by plain arithmetic, one combination after the other. */
struct counted { double over[3], without[3], any, dropped[2], asked2, spilled_min[3]; };

static struct counted count_all(bool lifted, bool moved, bool given_up)
{
    struct counted c = {0};

    for (size_t i = 0; i < TRIALS; i++) {
        double w = 1.0 / TRIALS;
        bool do1 = !moved && !given_up && (lifted || value(0, i) <= 20), wanted2 = !do1 && !given_up;
        bool do2 = wanted2 && value(3, i) <= 35, wanted3 = wanted2 && !do2;
        double f1 = value(0, i) + (do1 ? value(1, i) : 0) + value(2, i);
        double f2 = value(3, i) + (do2 ? value(4, i) + SETUP : 0) + value(5, i), f3 = value(6, i) + (wanted3 ? 20 : 0);
        bool over1 = f1 > LIMIT[0], over2 = f2 > LIMIT[1], over3 = f3 > LIMIT[2];
        c.over[0] += over1 * w;
        c.over[1] += over2 * w;
        c.over[2] += over3 * w;
        c.any += (over1 || over2 || over3) * w;
        c.without[0] += over1 * w;
        c.without[1] += (value(3, i) + value(5, i) > LIMIT[1]) * w;
        c.without[2] += (value(6, i) > LIMIT[2]) * w;
        c.dropped[0] += wanted2 * w;
        c.asked2 += wanted2 * w;
        c.dropped[1] += wanted3 * w;
        c.spilled_min[1] += (wanted2 ? value(4, i) + SETUP : 0) * w;
        c.spilled_min[2] += (wanted3 ? 20 : 0) * w;
    }
    return c;
}

static void same(double got, double wanted)
{
    ck_assert_msg(fabs(got - wanted) < 1e-9, "%.12g, by enumeration %.12g", got, wanted);
}

START_TEST(it_is_the_enumeration)
{
    struct scene s;
    struct wr_series r = {0};
    const struct counted c = count_all(false, false, false);

    scene_make(&s);
    ck_assert_int_eq(wr_series_run(&r, s.leg, 3, s.spill, 2, &(struct wr_series_options){.n_thread = 1}, NULL), WR_OK);
    for (size_t e = 0; e < 3; e++) {
        same(r.leg[e].over[0].with, c.over[e]);
        same(r.leg[e].over[0].without, c.without[e]);
        same(r.leg[e].over[0].cost.mean, c.over[e] - c.without[e]);
        same(r.leg[e].spilled_min, c.spilled_min[e]);
    }
    same(r.any_over, c.any);
    same(r.task[0].asked, 1);
    same(r.task[0].dropped, c.dropped[0]);
    same(r.task[1].asked, c.asked2);
    same(r.task[1].dropped, c.dropped[1]);
    same(r.leg[0].done_by, 1 - c.dropped[0]);
    same(r.leg[1].done_by, 1 - c.dropped[1]);
    same(r.leg[2].done_by, 1);
    same(r.left_over, 0);
    ck_assert(c.over[1] > c.without[1] && c.over[2] > c.without[2] && c.dropped[1] > 0); /* else the case says
                                                                                            nothing */
    wr_series_release(&r);
    scene_release(&s);
}
END_TEST

/* A limit behind the first that is the stricter one on the same finish: as if it were the only one. */
START_TEST(any_limit_of_an_excursion_counts)
{
    static const struct wr_sim_limit both[] = {{.lanes = UINT32_MAX, .minutes = 35},
                                               {.lanes = UINT32_MAX, .minutes = 15}};
    const struct wr_series_options how = {.n_thread = 1};
    double any[3], gain[3];
    struct scene s;

    scene_make(&s);
    for (size_t i = 0; i < 3; i++) { /* the first, the stricter, both */
        struct wr_series r = {0};
        struct wr_series_changes c = {0};
        s.leg[2].limit = i == 1 ? both + 1 : both;
        s.leg[2].n_limit = i == 2 ? 2 : 1;
        ck_assert_int_eq(wr_series_run(&r, s.leg, 3, s.spill, 2, &how, NULL), WR_OK);
        ck_assert_int_eq(wr_series_try(&c, s.leg, 3, s.spill, 2, &how, NULL), WR_OK);
        any[i] = r.any_over;
        gain[i] = c.change[0].gain.mean;
        wr_series_changes_release(&c);
        wr_series_release(&r);
    }
    same(any[2], any[1]);
    same(gain[2], gain[1]);
    ck_assert(any[1] > any[0] && fabs(gain[1] - gain[0]) > 1e-3);
    scene_release(&s);
}
END_TEST

START_TEST(changes_are_the_enumeration)
{
    struct scene s;
    struct wr_series_changes r = {0};
    size_t seen = 0;

    scene_make(&s);
    ck_assert_int_eq(wr_series_try(&r, s.leg, 3, s.spill, 2, &(struct wr_series_options){.n_thread = 2}, NULL), WR_OK);
    ck_assert_uint_eq(r.n_change, 6);
    for (size_t i = 0; i < r.n_change; i++) {
        const struct wr_series_change *x = &r.change[i];
        ck_assert(i == 0 || r.change[i - 1].gain.mean >= x->gain.mean);
        if (x->spill != 0) continue;
        const struct counted c = count_all(x->kind == WR_SERIES_RULE_LIFTED, x->kind == WR_SERIES_MOVED,
                                           x->kind == WR_SERIES_GIVEN_UP);
        same(x->any_over, c.any);
        same(x->gain.mean, count_all(false, false, false).any - c.any);
        for (size_t e = 0; e < 3; e++) same(x->leg_over[e], c.over[e]);
        seen++;
    }
    ck_assert_uint_eq(seen, 3);
    wr_series_changes_release(&r);
    scene_release(&s);
}
END_TEST

/* Without a second spill what excursion 2 drops is left over. */
START_TEST(what_nobody_takes_on_is_left_over)
{
    struct scene s;
    struct wr_series r = {0};

    scene_make(&s);
    ck_assert_int_eq(wr_series_run(&r, s.leg, 2, s.spill, 1, &(struct wr_series_options){.n_thread = 1}, NULL), WR_OK);
    same(r.left_over, count_all(false, false, false).dropped[1]);
    same(r.leg[1].done_by, 1 - r.left_over);
    same(r.expected_excursions, 2 + r.left_over);
    wr_series_release(&r);
    scene_release(&s);
}
END_TEST

/* G of excursion 1 has no drop rule but is put down at 0:40, in 2 (begun at 0:20 or 0:40) at 0:55; what is left of it
 * goes on. */
static struct counted count_stopped(double *stopped)
{
    const double STOP[2] = {40, 55};
    struct counted c = {0};

    stopped[0] = stopped[1] = 0;
    for (size_t i = 0; i < TRIALS; i++) {
        double w = 1.0 / TRIALS, g1 = value(1, i), done1 = fmin(g1, STOP[0] - value(0, i)), left1 = 1 - done1 / g1;
        double g2 = left1 > 0 ? left1 * value(4, i) + SETUP : 0, done2 = fmin(g2, STOP[1] - value(3, i));
        double left2 = g2 > 0 ? left1 * (1 - done2 / g2) : 0, g3 = left2 * 20;
        bool over[3] = {value(0, i) + done1 + value(2, i) > LIMIT[0], value(3, i) + done2 + value(5, i) > LIMIT[1],
                        value(6, i) + g3 > LIMIT[2]};
        for (int e = 0; e < 3; e++) c.over[e] += over[e] * w;
        c.any += (over[0] || over[1] || over[2]) * w;
        stopped[0] += (left1 > 0) * w;
        stopped[1] += (left2 > 0) * w;
        c.spilled_min[1] += g2 * w;
        c.spilled_min[2] += g3 * w;
    }
    return c;
}

START_TEST(stopped_work_is_the_enumeration)
{
    struct scene s;
    struct wr_series r = {0};
    double stopped[2];
    const struct counted c = count_stopped(stopped);

    scene_make(&s);
    s.net[0].drop_after_min[G1] = s.net[1].drop_after_min[G2] = INFINITY;
    s.spill[0].stop_min = wr_known(40);
    s.spill[1].stop_min = wr_known(55);
    ck_assert_int_eq(wr_series_run(&r, s.leg, 3, s.spill, 2, &(struct wr_series_options){.n_thread = 1}, NULL), WR_OK);
    for (size_t e = 0; e < 3; e++) {
        same(r.leg[e].over[0].with, c.over[e]);
        same(r.leg[e].spilled_min, c.spilled_min[e]);
    }
    same(r.any_over, c.any);
    for (size_t p = 0; p < 2; p++) {
        same(r.task[p].stopped, stopped[p]);
        same(r.task[p].dropped, stopped[p]);
    }
    ck_assert(stopped[0] > 0 && stopped[0] < 1 && stopped[1] > 0 && stopped[1] < stopped[0]);
    wr_series_release(&r);
    scene_release(&s);
}
END_TEST

START_TEST(work_goes_forward_only)
{
    struct scene s;
    struct wr_series r = {0};
    struct wr_error err = {0};

    scene_make(&s);
    s.spill[1].to_leg = 1;
    ck_assert_int_eq(wr_series_run(&r, s.leg, 3, s.spill, 2, &(struct wr_series_options){0}, &err), WR_E_USAGE);
    scene_release(&s);
}
END_TEST

/* ---- one who flies in two excursions ---- */

enum { DRAWS = 64, FLOWN = DRAWS * 2048 };
static const double PACE = 0.25, TAU = 0.1;

/* One task of 60 min by one person, who is known to one of DRAWS values; draw j has value (j * step) mod DRAWS. */
static void one_task(struct wr_durations *d, size_t step)
{
    static const int line_up[] = {0};

    made_durations_plain(d, 1, DRAWS);
    made_durations_people(d, 1, 1, 1, line_up);
    for (size_t j = 0; j < DRAWS; j++) {
        d->centre_log[j] = log(60);
        d->spread_log[j] = 1e-6;
        d->tau[j] = TAU;
        d->q[j] = PACE * (2.0 * (double)(j * step % DRAWS) / (DRAWS - 1) - 1);
    }
}

static double any_over(const struct wr_durations d[2])
{
    struct wr_plan plan = {0};
    struct wr_network net;
    struct wr_scenarios days[2];
    const struct wr_sim_limit limit = {.lanes = UINT32_MAX, .minutes = 66};
    struct wr_series_leg leg[2];
    struct wr_series r = {0};

    made_plan_add(&plan, "A", "EV1", "");
    made_plan_finish(&plan);
    ck_assert_int_eq(wr_network_build(&net, &plan, NULL), WR_OK);
    for (size_t e = 0; e < 2; e++) {
        wr_scenarios_make(&days[e], &d[e], FLOWN, 5 + e, 1);
        leg[e] = (struct wr_series_leg){&net, &days[e], &limit, 1};
    }
    ck_assert_int_eq(wr_series_run(&r, leg, 2, NULL, 0, &(struct wr_series_options){.n_thread = 1}, NULL), WR_OK);
    double any = r.any_over;
    wr_series_release(&r);
    for (size_t e = 0; e < 2; e++) wr_scenarios_release(&days[e]);
    wr_network_release(&net);
    made_plan_release(&plan);
    return any;
}

/* Draw by draw, with both excursions at the same value of the person: by the normal tail of the day. */
static double enumerated_any(void)
{
    double any = 0;

    for (size_t j = 0; j < DRAWS; j++) {
        double over = gsl_cdf_ugaussian_Q((log(66.0 / 60) - PACE * (2.0 * (double)j / (DRAWS - 1) - 1)) / TAU);
        any += (1 - (1 - over) * (1 - over)) / DRAWS;
    }
    return any;
}

START_TEST(one_person_is_one_draw_a_series)
{
    struct wr_durations d[2];
    const size_t person[] = {0};
    const double wanted = enumerated_any(), error = sqrt(wanted * (1 - wanted) / FLOWN);

    one_task(&d[0], 1);
    one_task(&d[1], 27); /* the same values in another order */
    double apart = any_over(d);
    wr_people_join(&d[1], person, (const double *const[]){d[0].q}, 1);
    double joined = any_over(d);
    ck_assert_msg(fabs(joined - wanted) < 4 * error, "%g, by enumeration %g", joined, wanted);
    ck_assert_msg(apart - joined > 0.1, "two people: %g, one: %g", apart, joined);
    for (size_t e = 0; e < 2; e++) made_durations_release(&d[e]);
}
END_TEST

START_TEST(legs_of_other_days_are_refused)
{
    struct scene s;
    struct wr_series r = {0};
    struct wr_error err = {.text = ""};

    scene_make(&s);
    s.days[1].n_trial = TRIALS / 2;
    ck_assert_int_eq(wr_series_run(&r, s.leg, 3, s.spill, 2, &(struct wr_series_options){.n_thread = 1}, &err),
                     WR_E_USAGE);
    ck_assert_ptr_nonnull(strstr(err.text, "excursion 2 has 64 trials, the first 128"));
    s.days[1].n_trial = TRIALS;
    scene_release(&s);
}
END_TEST

/* G of 1 and G of 2 both go on to 3: there it is done once, with the set-up of the first of them that brings it. */
START_TEST(one_task_from_two_excursions_is_done_once)
{
    struct scene s;
    struct wr_series r = {0};
    double over3 = 0, spilled = 0, both = 0;

    scene_make(&s);
    s.spill[0] = (struct wr_spill){0, G1, 2, G3, SETUP, {0}};
    ck_assert_int_eq(wr_series_run(&r, s.leg, 3, s.spill, 2, &(struct wr_series_options){.n_thread = 1}, NULL), WR_OK);
    for (size_t i = 0; i < TRIALS; i++) {
        bool from1 = value(0, i) > 20, from2 = value(3, i) > 35;
        double g3 = from1 ? 20 + SETUP : from2 ? 20 : 0;
        over3 += (value(6, i) + g3 > LIMIT[2]) * (1.0 / TRIALS);
        spilled += g3 / TRIALS;
        both += (from1 && from2) * (1.0 / TRIALS);
    }
    ck_assert(both > 0);
    same(r.leg[2].over[0].with, over3);
    same(r.leg[2].spilled_min, spilled);
    same(r.left_over, 0);
    wr_series_release(&r);
    scene_release(&s);
}
END_TEST

/* What no rule drops and nobody puts down leaves nothing to decide; of equal gains the first spill comes first. */
START_TEST(changes_of_what_may_be_dropped_alone)
{
    struct scene s;
    struct wr_series_changes r = {0};

    scene_make(&s);
    for (size_t e = 0; e < 3; e++) s.limit[e].minutes = 1000;
    ck_assert_int_eq(wr_series_try(&r, s.leg, 3, s.spill, 2, &(struct wr_series_options){.n_thread = 1}, NULL), WR_OK);
    ck_assert_uint_eq(r.n_change, 6);
    for (size_t i = 0; i < 6; i++) {
        same(r.change[i].gain.mean, 0);
        ck_assert_uint_eq(r.change[i].spill, i / 3);
        ck_assert_int_eq(r.change[i].kind, (enum wr_series_change_kind)(i % 3));
    }
    wr_series_changes_release(&r);
    s.net[0].drop_after_min[G1] = INFINITY;
    ck_assert_int_eq(wr_series_try(&r, s.leg, 3, s.spill, 2, &(struct wr_series_options){.n_thread = 1}, NULL), WR_OK);
    ck_assert_uint_eq(r.n_change, 3);
    for (size_t i = 0; i < 3; i++) ck_assert_uint_eq(r.change[i].spill, 1);
    wr_series_changes_release(&r);
    s.spill[0].stop_min = wr_known(40); /* put down at 0:40: again something to decide */
    ck_assert_int_eq(wr_series_try(&r, s.leg, 3, s.spill, 2, &(struct wr_series_options){.n_thread = 1}, NULL), WR_OK);
    ck_assert_uint_eq(r.n_change, 6);
    wr_series_changes_release(&r);
    scene_release(&s);
}
END_TEST

Suite *suite_series(void);
Suite *suite_series(void)
{
    Suite *s = suite_create("series");
    TCase *c = tcase_create("series");

    tcase_add_test(c, it_is_the_enumeration);
    tcase_add_test(c, any_limit_of_an_excursion_counts);
    tcase_add_test(c, changes_are_the_enumeration);
    tcase_add_test(c, what_nobody_takes_on_is_left_over);
    tcase_add_test(c, stopped_work_is_the_enumeration);
    tcase_add_test(c, work_goes_forward_only);
    tcase_add_test(c, one_person_is_one_draw_a_series);
    tcase_add_test(c, legs_of_other_days_are_refused);
    tcase_add_test(c, one_task_from_two_excursions_is_done_once);
    tcase_add_test(c, changes_of_what_may_be_dropped_alone);
    suite_add_tcase(s, c);
    return s;
}
