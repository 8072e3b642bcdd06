#include <check.h>
#include <math.h>
#include <string.h>
#include "made_plan.h"
#include "wetrun/base/memory.h"
#include "wetrun/model/total_check.h"

enum { RUNS = 4, TASKS = 3 };

struct small {
    struct wr_plan plan;
    struct wr_network net;
    struct wr_timing timing;
    struct wr_cell cell[TASKS * RUNS];
    struct wr_timing_run run[RUNS];
    struct wr_total_check check;
};

/* First both, then one task in each lane: the finish is the first plus the longer of the other two. */
static void small_init(struct small *s)
{
    static const double minutes[TASKS][RUNS] = {{40, 50, 35, 60}, {60, 60, 60, 60}, {10, 20, 30, 40}};
    struct wr_error err;

    *s = (struct small){0};
    made_plan_add(&s->plan, "out", "EV1+EV2", "");
    made_plan_add(&s->plan, "bolt", "EV1", "");
    made_plan_add(&s->plan, "hose", "EV2", "");
    made_plan_finish(&s->plan);
    ck_assert_int_eq(wr_network_build(&s->net, &s->plan, &err), WR_OK);
    for (size_t k = 0; k < TASKS; k++)
        for (size_t r = 0; r < RUNS; r++)
            s->cell[k * RUNS + r] = (struct wr_cell){
                .state = WR_CELL_DONE, .active_min = minutes[k][r] - 2, .lead_in_min = 2, .hold_min = 5};
    for (size_t r = 0; r < RUNS; r++)
        s->run[r] = (struct wr_timing_run){.order = (double)r + 1, .finish_without_holds_min = 90 + (double)r};
    s->timing = (struct wr_timing){.n_task = TASKS, .n_run = RUNS, .cell = s->cell, .run = s->run};
}

static void small_release(struct small *s)
{
    wr_total_check_release(&s->check);
    wr_network_release(&s->net);
    made_plan_release(&s->plan);
}

/* Totals 100, 110, 95, 120. In R: y <- log(c(100,110,95,120)); exp(mean(y) + qt(.9, 3) * sd(y) * sqrt(1.25)) */
START_TEST(totals_and_student_quantile)
{
    struct small s;
    static const double want[] = {100, 110, 95, 120};

    small_init(&s);
    double longest;

    wr_total_check_make(&s.check, &s.plan, &s.net, &s.timing);
    ck_assert_uint_eq(s.check.n_counted, RUNS);
    ck_assert_uint_eq(wr_total_check_longer(&s.check, 91, &longest), 0); /* those that count are in the totals */
    s.check.counts[2] = s.check.counts[0] = 0;
    ck_assert_uint_eq(wr_total_check_longer(&s.check, 91, &longest), 1);
    ck_assert_double_eq(longest, 92);
    for (size_t r = 0; r < RUNS; r++) ck_assert_double_eq_tol(s.check.total_min[r], want[r], 1e-12);
    ck_assert_double_eq_tol(wr_log_predictive_quantile(&s.check.sample, 0.9).value, 127.907164187431, 1e-6);
    small_release(&s);
}
END_TEST

START_TEST(holes_are_filled)
{
    struct small s;

    small_init(&s);
    s.cell[0].state = WR_CELL_SKIPPED;               /* the others took 50, 35, 60: 50 */
    s.cell[1 * RUNS + 1].state = WR_CELL_STOPPED;    /* stopped at 60 where 60 is the middle: 60 */
    s.cell[0 * RUNS + 2].state = WR_CELL_STOPPED;    /* stopped at 35, below the middle of 50, 60: 55 */
    s.cell[2 * RUNS + 3] = (struct wr_cell){.state = WR_CELL_ABSENT};
    wr_total_check_make(&s.check, &s.plan, &s.net, &s.timing);
    ck_assert_double_eq_tol(s.check.total_min[0], 55 + 60, 1e-12);
    ck_assert_double_eq_tol(s.check.total_min[1], 110, 1e-12);
    ck_assert_double_eq_tol(s.check.total_min[2], 55 + 60, 1e-12);
    ck_assert_double_eq_tol(s.check.total_min[3], 120, 1e-12);
    ck_assert(s.check.n_filled[0] == 1 && s.check.n_filled[3] == 1 && s.check.n_never == 0);
    for (size_t r = 0; r < RUNS; r++) s.cell[2 * RUNS + r].state = WR_CELL_SKIPPED; /* nobody has ever timed it */
    wr_total_check_release(&s.check);
    wr_total_check_make(&s.check, &s.plan, &s.net, &s.timing);
    ck_assert_uint_eq(s.check.n_never, 1);
    small_release(&s);
}
END_TEST

/* Hose was not done in the first run; in the others it took 20, 30, 40: 30 are filled in of 40 + 60 + 30. With out at
 * 210 they are 30 of 300, a tenth; a minute less and they are more. Of a stopped cell only what is added is filled in:
 * 20 at 10, of 110 + 60 + 30. A task of which nothing is known leaves no total, however little the rest lacks. */
START_TEST(totals_that_are_mostly_filled_in)
{
    static const struct { enum wr_cell_state state; double out_min; bool counts; } c[] = {
        {WR_CELL_ABSENT, 40, false}, {WR_CELL_ABSENT, 210, true},   {WR_CELL_ABSENT, 209, false},
        {WR_CELL_STOPPED, 110, true}, {WR_CELL_STOPPED, 109, false}};
    struct small s;

    for (size_t i = 0; i < sizeof c / sizeof *c; i++) {
        small_init(&s);
        s.cell[0].active_min = c[i].out_min - 2;
        s.cell[2 * RUNS].state = c[i].state;
        wr_total_check_make(&s.check, &s.plan, &s.net, &s.timing);
        ck_assert_int_eq(s.check.counts[0], c[i].counts);
        ck_assert_uint_eq(s.check.n_counted, RUNS - 1 + c[i].counts);
        small_release(&s);
    }
    small_init(&s);
    for (size_t r = 0; r < RUNS; r++) s.cell[2 * RUNS + r].state = WR_CELL_ABSENT;
    wr_total_check_make(&s.check, &s.plan, &s.net, &s.timing);
    ck_assert_uint_eq(s.check.n_counted, 0);
    s.plan.task[2].planned_min = wr_known(0); /* known to take nothing */
    wr_total_check_release(&s.check);
    wr_total_check_make(&s.check, &s.plan, &s.net, &s.timing);
    ck_assert_uint_eq(s.check.n_counted, RUNS);
    small_release(&s);
}
END_TEST

/* Never done: planned time, else known median, else likeliest, else the largest bound. */
START_TEST(fillers_of_a_task_never_done)
{
    struct small s;

    small_init(&s);
    for (size_t r = 0; r < RUNS; r++) s.cell[1 * RUNS + r].state = WR_CELL_STOPPED; /* at 60 */
    s.cell[1 * RUNS].active_min = 3;
    wr_total_check_make(&s.check, &s.plan, &s.net, &s.timing);
    ck_assert_double_eq_tol(s.check.total_min[0], 40 + 60, 1e-12);
    s.plan.task[1].likely_min = wr_known(70);
    wr_total_check_release(&s.check);
    wr_total_check_make(&s.check, &s.plan, &s.net, &s.timing);
    ck_assert_double_eq_tol(s.check.total_min[0], 40 + 70, 1e-12);
    s.plan.task[1].planned_min = wr_known(80);
    wr_total_check_release(&s.check);
    wr_total_check_make(&s.check, &s.plan, &s.net, &s.timing);
    ck_assert_double_eq_tol(s.check.total_min[0], 40 + 80, 1e-12);
    small_release(&s);
}
END_TEST

/* p-values in R: f <- sd/sqrt(1.25); 2*pt(-abs(log(med)-m)*2/max(s,f), 3); pchisq(3*s^2/f^2, 3, lower=FALSE) */
START_TEST(disagreement)
{
    struct small s;
    struct wr_findings findings = {0};

    small_init(&s);
    wr_total_check_make(&s.check, &s.plan, &s.net, &s.timing);
    struct wr_total_forecast off = {130, 0.12, 0, 5, false, false, false},
                             narrow = {105, 0.03, 0, 5, false, false, false},
                             taught = {110, 0.12, -0.1, 5, false, false, false},
                             far = {180, 0.12, 0, 5, false, false, false},
                             short_of_it = {60, 0.12, -0.1, 5, false, false, false};
    struct wr_total_disagreement d = wr_total_check_compare(&s.check, &off, &findings);
    ck_assert(d.known && !d.beyond_chance);
    ck_assert_double_eq_tol(d.log_ratio, 0.2057796539148, 1e-9);
    ck_assert_double_eq_tol(d.p_centre, 0.0312657696365, 1e-9);
    ck_assert_double_eq_tol(d.p_spread, 0.4250324940167, 1e-9);
    ck_assert_uint_eq(findings.n_finding, 0);
    d = wr_total_check_compare(&s.check, &narrow, &findings);
    ck_assert(d.beyond_chance);
    ck_assert_double_eq_tol(d.p_centre, 0.889855445082, 1e-9);
    ck_assert_double_eq_tol(d.p_spread / 1.09743063968e-09, 1.0, 1e-7);
    ck_assert_uint_eq(findings.n_finding, 1);
    ck_assert_str_eq(findings.finding[0].message,
                     "the forecast's middle lies less than 1 % below that of the 4 replayed totals, and these scatter "
                     "more than it foresees: more than chance explains");
    d = wr_total_check_compare(&s.check, &taught, &findings);
    ck_assert_double_eq_tol(d.log_ratio, 0.120218014736, 1e-9);
    d = wr_total_check_compare(&s.check, &far, &findings);
    ck_assert(d.beyond_chance && d.log_ratio > 0);
    ck_assert_ptr_nonnull(strstr(findings.finding[1].message, "lies 70 % above that of the 4 replayed totals: more"));
    d = wr_total_check_compare(&s.check, &short_of_it, &findings);
    ck_assert_ptr_nonnull(strstr(findings.finding[2].message,
                                 "lies 38 % below that of the 4 replayed totals, moved along the learning to the run "
                                 "that is forecast: more"));
    wr_findings_release(&findings);
    small_release(&s);
}
END_TEST

/* Four days alike, 100, 110, 95 and 120 min, and a forecast that foresees days so different that 43 or 250 min would be
 * no surprise to it. In Python (numpy, scipy.stats): y = log([100, 110, 95, 120]),
 * 2 * t.sf(abs(log(median) - y.mean()) * 2 / y.std(ddof=1), 3). */
START_TEST(drawn_away_from_all_totals)
{
    static const struct { double median_min, p_own; bool shifted, far; } c[] = {
        {43, 0.00041378733, false, true}, {250, 0.00047507241, false, true}, {43, 0.00041378733, true, false},
        {90, 0.05211476350, false, false}};
    struct small s;

    small_init(&s);
    wr_total_check_make(&s.check, &s.plan, &s.net, &s.timing);
    for (size_t i = 0; i < sizeof c / sizeof *c; i++) {
        struct wr_findings findings = {0};
        const struct wr_total_forecast f = {c[i].median_min, 0.9, 0, 5, false, c[i].shifted, false};
        const struct wr_total_disagreement d = wr_total_check_compare(&s.check, &f, &findings);
        ck_assert_double_gt(d.p_centre, 0.05);
        ck_assert_double_eq_tol(d.p_own, c[i].p_own, 1e-8);
        ck_assert_msg(d.far == c[i].far && d.beyond_chance == c[i].far, "case %zu", i);
        ck_assert(wr_findings_keep_open(&findings) == c[i].far);
        ck_assert_uint_eq(findings.n_finding, c[i].far);
        if (c[i].far) ck_assert_str_eq(findings.finding[0].code, "totals-far");
        wr_findings_release(&findings);
    }
    small_release(&s);
}
END_TEST

/* Alike to the minute by luck: no scatter below 5 % is taken to be shown, nor a tenth to be far. A run that is left out
 * and took longer than the forecast says speaks for a long one, and for no short one. */
START_TEST(far_from_totals_that_say_little)
{
    struct wr_findings findings = {0};
    struct small s;

    small_init(&s);
    wr_total_check_make(&s.check, &s.plan, &s.net, &s.timing);
    for (size_t r = 0; r < RUNS; r++) s.check.total_min[r] = 100 + 0.01 * (double)r;
    struct wr_total_forecast f = {109, 0.9, 0, 5, false, false, false};
    ck_assert(!wr_total_check_compare(&s.check, &f, &findings).far); /* 9 %, though beyond any chance by its scatter */
    f.median_min = 114; /* 0.13 * 2 / 0.05 on 3 degrees: 0.014 */
    ck_assert(!wr_total_check_compare(&s.check, &f, &findings).far);
    f.median_min = 118; /* 0.165 * 2 / 0.05: 0.007 */
    ck_assert(wr_total_check_compare(&s.check, &f, &findings).far);
    s.check.counts[3] = 0;
    s.check.n_counted = 3;
    s.check.least_min[3] = 300;
    f.median_min = 250;
    ck_assert(!wr_total_check_compare(&s.check, &f, &findings).far);
    s.check.least_min[3] = 200;
    ck_assert(wr_total_check_compare(&s.check, &f, &findings).far);
    s.check.least_min[3] = 300;
    f.median_min = 43;
    ck_assert(wr_total_check_compare(&s.check, &f, &findings).far);
    wr_findings_release(&findings);
    small_release(&s);
}
END_TEST

/* In Python (scipy.stats.linregress, numpy): log(100, 110, 95, 120) on log(1 to 4), and the line's middle at log 5. */
START_TEST(own_trend_of_the_totals)
{
    static const struct { double median_min, slope_log; bool doubted, unshown; } c[] = {
        {100, -0.1, false, false},
        {100, -0.25, false, true},  /* the line falls by 0.243 at the most */
        {100, 0.5, false, false},   /* makes the forecast too long */
        {100, 0, true, false},      /* not moved */
        {100, -0.1, true, true},
        {83, -0.1, false, false},   /* above 82.7, though below 93.7 */
        {82.6, -0.1, false, true}}; /* below both */
    struct small s;
    struct wr_findings findings = {0};

    small_init(&s);
    wr_total_check_make(&s.check, &s.plan, &s.net, &s.timing);
    for (size_t i = 0; i < sizeof c / sizeof *c; i++) {
        const struct wr_total_forecast f = {c[i].median_min, 0.3, c[i].slope_log, 5, c[i].doubted, false, false};
        const struct wr_total_disagreement d = wr_total_check_compare(&s.check, &f, &findings);
        ck_assert(d.own_slope_log.known);
        ck_assert_double_eq_tol(d.own_slope_log.value, 0.076216911589, 1e-11);
        ck_assert_double_eq_tol(d.own_slope.lo, -0.242603345807, 1e-9);
        ck_assert_double_eq_tol(d.own_slope.hi, 0.395037168986, 1e-9);
        ck_assert_double_eq_tol(d.own_middle_min.lo, 82.727821523, 1e-6);
        ck_assert_double_eq_tol(d.own_middle_min.hi, 153.266108654, 1e-6);
        ck_assert_msg(d.unshown == c[i].unshown, "case %zu", i);
    }
    for (size_t r = 0; r < RUNS; r++) s.check.total_min[r] = 100 * pow((double)r + 1, -0.1); /* no scatter about it */
    const struct wr_total_forecast f = {85, 0.12, -0.1, 5, false, false, false};
    const struct wr_total_disagreement d = wr_total_check_compare(&s.check, &f, &findings);
    ck_assert(!d.own_slope_log.known && !d.unshown);
    wr_findings_release(&findings);
    small_release(&s);
}
END_TEST

/* Hose is dropped after 45 min: by its rule it would be left out of the second run and the fourth, in which out took 50
 * and 60, though it was done there as in the others. */
START_TEST(nothing_is_dropped)
{
    static const double want[] = {100, 110, 95, 120};
    struct wr_findings findings = {0};
    struct wr_total_forecast far = {180, 0.12, 0, 5, false, false, false};
    struct small s;

    small_init(&s);
    for (size_t r = 0; r < RUNS; r++) s.cell[1 * RUNS + r].active_min = 0; /* so that hose decides */
    for (size_t r = 0; r < RUNS; r++) s.cell[2 * RUNS + r].active_min = 58;
    s.net.drop_after_min[2] = 45;
    wr_total_check_make(&s.check, &s.plan, &s.net, &s.timing);
    for (size_t r = 0; r < RUNS; r++) ck_assert_double_eq_tol(s.check.total_min[r], want[r], 1e-12);
    ck_assert(s.check.all_done && s.net.drop_after_min[2] == 45);
    ck_assert(wr_total_check_compare(&s.check, &far, &findings).beyond_chance);
    ck_assert_ptr_nonnull(strstr(findings.finding[0].message, "4 replayed totals, with all work done in both: more"));
    wr_findings_release(&findings);
    small_release(&s);
}
END_TEST

START_TEST(too_few_to_compare)
{
    struct small s;
    struct wr_findings findings = {0};
    struct wr_total_forecast forecast = {500, 0.01, 0, 3, false, false, false};

    small_init(&s);
    s.timing.n_run = 2;
    wr_total_check_make(&s.check, &s.plan, &s.net, &s.timing);
    ck_assert(!wr_total_check_compare(&s.check, &forecast, &findings).known);
    wr_total_check_release(&s.check);
    s.timing.n_run = 0;
    wr_total_check_make(&s.check, &s.plan, &s.net, &s.timing);
    ck_assert(s.check.n_counted == 0 && !wr_total_check_compare(&s.check, &forecast, &findings).known);
    ck_assert_uint_eq(findings.n_finding, 0);
    small_release(&s);
}
END_TEST

/* Of hose all but the first are timed: 20, 30 and 40 min; of that one it is not known how long before it was begun, so
 * what is logged is a bound, as of a stopped one. */
START_TEST(cells_of_unknown_lead_in)
{
    struct small s;
    static const double logged[] = {26, 46}, want[] = {40 + 30, 40 + 46 + 2};

    for (int i = 0; i < 2; i++) {
        small_init(&s);
        s.cell[1 * RUNS].active_min = 0; /* so that hose decides */
        s.cell[2 * RUNS].active_min = logged[i];
        s.cell[2 * RUNS].lead_in_unknown = true;
        wr_total_check_make(&s.check, &s.plan, &s.net, &s.timing);
        ck_assert_double_eq_tol(s.check.total_min[0], want[i], 1e-12);
        ck_assert_uint_eq(s.check.n_filled[0], 1);
        small_release(&s);
    }
}
END_TEST

Suite *suite_total_check(void);
Suite *suite_total_check(void)
{
    Suite *s = suite_create("total_check");
    TCase *t = tcase_create("total_check");

    tcase_add_test(t, totals_and_student_quantile);
    tcase_add_test(t, holes_are_filled);
    tcase_add_test(t, totals_that_are_mostly_filled_in);
    tcase_add_test(t, fillers_of_a_task_never_done);
    tcase_add_test(t, disagreement);
    tcase_add_test(t, drawn_away_from_all_totals);
    tcase_add_test(t, far_from_totals_that_say_little);
    tcase_add_test(t, own_trend_of_the_totals);
    tcase_add_test(t, nothing_is_dropped);
    tcase_add_test(t, too_few_to_compare);
    tcase_add_test(t, cells_of_unknown_lead_in);
    suite_add_tcase(s, t);
    return s;
}
