/* One number for one thing: what is taken over from the forecast, what stays, and what moves along with it. The numbers
 * are made up; what must come of them is worked out by hand. */
#include <check.h>
#include <math.h>
#include <string.h>
#include "wetrun/decide/limit_needed.h"
#include "wetrun/decide/to_forecast.h"

enum { N_TASK = 3, N_CURVE = 3 };

/* Half by 300 min, 90 % by 340; the limit of 330 is passed by 20 of 100, another by 5. */
static struct wr_task_outlook outlook[N_TASK];
static struct wr_limit_outlook limit[2];
static double curve_limit[N_CURVE] = {300, 340, 380}, curve_over[N_CURVE] = {0.5, 0.1, 0};
static double curve_lo[N_CURVE] = {0.4, 0.02, 0}, curve_hi[N_CURVE] = {0.6, 0.3, 0.04};

static struct wr_forecast the_forecast(size_t n_limit)
{
    struct wr_forecast f = {.n_task = N_TASK,
                            .n_limit = n_limit,
                            .limit = limit,
                            .task = outlook,
                            .mean_min = 305,
                            .n_curve = N_CURVE,
                            .curve_limit_min = curve_limit,
                            .curve_over = curve_over,
                            .curve_lo = curve_lo,
                            .curve_hi = curve_hi};

    limit[0].over = (struct wr_probability){.mean = 0.2, .lo = 0.1, .hi = 0.35, .mc_error = 0.002};
    limit[1].over = (struct wr_probability){.mean = 0.05, .lo = 0.01, .hi = 0.1, .mc_error = 0.001};
    f.any_over.mean = 0.22;
    for (size_t q = 0; q < WR_N_QUANTILE; q++) {
        f.quantile_min[q] = 300 + 100 * (wr_quantile_prob[q] - 0.5);
        f.quantile_lo_min[q] = f.quantile_min[q] - 8;
        f.quantile_hi_min[q] = f.quantile_min[q] + 9;
    }
    for (size_t k = 0; k < N_TASK; k++)
        outlook[k] =
            (struct wr_task_outlook){.median_min = 20, .mean_min = 21, .sd_min = 4, .p80_min = 24, .p95_min = 29};
    outlook[2].dropped = 1;
    return f;
}

/* ---- the limit that would be needed ---- */

/* 0.9 is one of the quantiles; 0.85 is passed by 15 of 100, which the curve has 35/40 of the way from 300 to 340, its
 * lower one 25/38, its upper one not before 0.3 at 340 and 0.04 at 380: 40 x 15/26 beyond 340. */
START_TEST(the_limit_that_is_needed)
{
    const struct wr_forecast f = the_forecast(1);
    struct wr_limit_needed n = wr_limit_needed(&f, 0.9);

    ck_assert_double_eq_tol(n.middle_min.value, 340, 1e-9);
    ck_assert_double_eq_tol(n.lo_min.value, 332, 1e-9);
    ck_assert_double_eq_tol(n.hi_min.value, 349, 1e-9);
    n = wr_limit_needed(&f, 0.85);
    ck_assert_double_eq_tol(n.middle_min.value, 300 + 40 * 35.0 / 40, 1e-9);
    ck_assert_double_eq_tol(n.lo_min.value, 300 + 40 * 25.0 / 38, 1e-9);
    ck_assert_double_eq_tol(n.hi_min.value, 340 + 40 * 15.0 / 26, 1e-9);
    n = wr_limit_needed(&f, 0.97); /* the upper curve does not come down to 3 of 100, the others do */
    ck_assert(n.middle_min.known && n.lo_min.known && !n.hi_min.known);
    n = wr_limit_needed(&f, 0.45); /* and it begins above: at 300 half are inside */
    ck_assert(!n.lo_min.known && !n.middle_min.known && n.hi_min.known);
    struct wr_forecast none = f;
    none.n_curve = 0;
    ck_assert(!wr_limit_needed(&none, 0.85).middle_min.known);
    /* Two worse answers, one with a later upper end and one with an earlier lower one: the ends span all three, the
     * middle stays the first answer's. Off the curve of the later one the upper end is not known. */
    struct wr_forecast late = f, early = f, several = f;
    for (size_t q = 0; q < WR_N_QUANTILE; q++) {
        late.quantile_hi_min[q] += 30;
        late.quantile_lo_min[q] += 20;
        early.quantile_lo_min[q] -= 5;
    }
    late.n_curve = 0;
    several.worse[0] = &late;
    several.worse[1] = &early;
    several.n_worse = 2;
    n = wr_limit_needed(&several, 0.9);
    ck_assert_double_eq_tol(n.middle_min.value, 340, 1e-9);
    ck_assert_double_eq_tol(n.lo_min.value, 332 - 5, 1e-9);
    ck_assert_double_eq_tol(n.hi_min.value, 349 + 30, 1e-9);
    n = wr_limit_needed(&several, 0.85);
    ck_assert(n.middle_min.known && !n.lo_min.known && !n.hi_min.known);
}
END_TEST

/* ---- pads ---- */

static struct wr_pad a_pad(struct wr_pad_task *task, struct wr_pad_checkpoint *checkpoint, double confidence)
{
    for (size_t k = 0; k < N_TASK; k++)
        task[k] = (struct wr_pad_task){
            .median_min = 19, .pad_min = 5, .own_quantile_min = 26, .factor = 24.0 / 19, .dropped = k == 2 ? 1 : 0};
    checkpoint[0] = (struct wr_pad_checkpoint){.time_min = 100, .stretch_reserve_min = 10};
    checkpoint[1] = (struct wr_pad_checkpoint){.task = SIZE_MAX, .time_min = 338, .stretch_reserve_min = 20};
    return (struct wr_pad){.confidence = confidence,
                           .n_task = N_TASK,
                           .n_checkpoint = 2,
                           .task = task,
                           .checkpoint = checkpoint,
                           .median_timeline_min = 280,
                           .median_finish_min = 299,
                           .finish_quantile_min = 338,
                           .reserve_min = 58,
                           .factor = 338.0 / 280};
}

/* On one page "dropped on 15 of 100" and "16 of 100" of one task: the pads' own days are fewer. */
START_TEST(a_pad_drops_as_often_as_the_forecast)
{
    const struct wr_forecast f = the_forecast(1);
    struct wr_pad_task task[N_TASK];
    struct wr_pad_checkpoint checkpoint[2];
    struct wr_pad p = a_pad(task, checkpoint, 0.9);

    outlook[0].dropped = 0.1536;
    outlook[1].dropped = 0.996; /* hardly ever done: said of neither */
    task[0].dropped = 0.1623;
    task[1].dropped = 0.985;
    task[2].dropped = 0.9896;
    wr_pad_to_forecast(&p, &f);
    for (size_t k = 0; k < N_TASK; k++) ck_assert_double_eq(task[k].dropped, outlook[k].dropped);
    ck_assert(task[0].median_min == 20 && task[1].median_min == 19 && task[2].median_min == 19);
}
END_TEST

START_TEST(a_pad_ends_where_the_forecast_does)
{
    const struct wr_forecast f = the_forecast(1);
    struct wr_pad_task task[N_TASK];
    struct wr_pad_checkpoint checkpoint[2];
    struct wr_pad p = a_pad(task, checkpoint, 0.9);

    wr_pad_to_forecast(&p, &f);
    ck_assert_double_eq(task[0].median_min, 20);
    ck_assert_double_eq(task[0].pad_min, 5);
    ck_assert_double_eq(task[0].own_quantile_min, 27);
    ck_assert_double_eq_tol(task[0].factor, 25.0 / 20, 1e-12);
    ck_assert_double_eq(task[2].median_min, 19); /* hardly ever done: the forecast has no time of it */
    ck_assert_double_eq(p.median_finish_min, 300);
    ck_assert_double_eq_tol(p.finish_quantile_min, 340, 1e-9);
    ck_assert_double_eq_tol(p.reserve_min, 60, 1e-9);
    ck_assert_double_eq_tol(p.factor, 340.0 / 280, 1e-12);
    ck_assert_double_eq(checkpoint[0].time_min, 100);
    ck_assert_double_eq_tol(checkpoint[1].time_min, 340, 1e-9);
    ck_assert_double_eq_tol(checkpoint[1].stretch_reserve_min, 22, 1e-9);
}
END_TEST

START_TEST(a_pad_of_what_the_forecast_cannot_say_stays)
{
    struct wr_forecast f = the_forecast(1);
    struct wr_pad_task task[N_TASK];
    struct wr_pad_checkpoint checkpoint[2];
    struct wr_pad p = a_pad(task, checkpoint, 0.45);

    wr_pad_to_forecast(&p, &f);
    ck_assert_double_eq(p.finish_quantile_min, 338);
    ck_assert_double_eq(p.reserve_min, 58);
    p = a_pad(task, checkpoint, 0.9);
    p.n_checkpoint = 0;
    wr_pad_to_forecast(&p, &f);
    ck_assert_double_eq(p.finish_quantile_min, 338);
    p = a_pad(task, checkpoint, 0.9);
    p.median_timeline_min = p.factor = 0; /* of a timeline without time there is no factor */
    outlook[0].median_min = 0;
    outlook[1].dropped = 1; /* but not so in the days of the pad */
    wr_pad_to_forecast(&p, &f);
    ck_assert_double_eq(p.factor, 0);
    ck_assert_double_eq_tol(task[0].factor, 24.0 / 19, 1e-12);
    ck_assert_double_eq(task[1].median_min, 19);
    ck_assert_double_eq_tol(p.finish_quantile_min, 340, 1e-9);
}
END_TEST

/* ---- prices of rules, alternatives ---- */

START_TEST(prices_keep_their_differences)
{
    const struct wr_forecast f = the_forecast(1), without = the_forecast(0);
    struct wr_drop_price p[] = {{.task = 2,
                                 .limit = 0,
                                 .dropped = 0.9,
                                 .over_with_rule = 0.21,
                                 .over_without_rule = 0.24,
                                 .over_always_dropped = 0.005,
                                 .rule = {.mean = 0.03}},
                                {.task = 1,
                                 .limit = 0,
                                 .dropped = 0.4,
                                 .over_with_rule = 0.1,
                                 .over_without_rule = 0.95,
                                 .over_always_dropped = 0.1}};

    wr_prices_to_forecast(p, 2, &f);
    ck_assert_double_eq(p[0].dropped, 1);
    ck_assert_double_eq(p[0].over_with_rule, 0.2);
    ck_assert_double_eq_tol(p[0].over_without_rule, 0.23, 1e-12);
    ck_assert_double_eq(p[0].over_always_dropped, 0); /* not below nothing */
    ck_assert_double_eq(p[0].rule.mean, 0.03);
    ck_assert_double_eq(p[1].over_without_rule, 1); /* nor above all */
    p[0].over_with_rule = 0.5;
    p[0].dropped = 0.3;
    wr_prices_to_forecast(p, 1, &without);
    ck_assert_double_eq(p[0].dropped, 1);
    ck_assert_double_eq(p[0].over_with_rule, 0.5);
}
END_TEST

START_TEST(alternatives_keep_their_gains)
{
    const struct wr_forecast f = the_forecast(1), without = the_forecast(0);
    struct wr_whatif_limit of[] = {{.prob_over = 0.18, .prob_over_base = 0.21, .gain = {.mean = 0.03}}};
    struct wr_whatif_row row = {
        .limit = of, .any_over = 0.19, .mean_min = 290, .median_min = 288, .p90_min = 330, .saved_min = {.mean = 12}};
    double base_over[] = {0.21};
    struct wr_whatif w = {.n_limit = 1,
                          .n_row = 1,
                          .row = &row,
                          .base_over = base_over,
                          .base_mean_min = 302,
                          .base_median_min = 299,
                          .base_p90_min = 341,
                          .base_any_over = 0.23};

    wr_whatif_to_forecast(&w, &f);
    ck_assert_double_eq_tol(row.mean_min, 293, 1e-9);
    ck_assert_double_eq_tol(row.median_min, 289, 1e-9);
    ck_assert_double_eq_tol(row.p90_min, 329, 1e-9);
    ck_assert_double_eq_tol(row.any_over, 0.18, 1e-12);
    ck_assert_double_eq_tol(of[0].prob_over, 0.17, 1e-12);
    ck_assert_double_eq(of[0].prob_over_base, 0.2);
    ck_assert_double_eq(of[0].gain.mean, 0.03);
    ck_assert_double_eq(w.base_over[0], 0.2);
    ck_assert_double_eq(w.base_any_over, 0.22);
    w.n_limit = 0;
    w.base_any_over = 0.5, row.any_over = 0.4;
    wr_whatif_to_forecast(&w, &without);
    ck_assert_double_eq(w.base_any_over, 0.5); /* of no limit there is nothing to take over */
    ck_assert_double_eq(row.any_over, 0.4);
}
END_TEST

/* ---- cut-offs ---- */

START_TEST(cutoffs_take_the_level_of_their_limit)
{
    const struct wr_forecast f = the_forecast(2);
    const size_t limit_of[] = {0, 1};
    struct wr_cutoff_row row[2][4];
    struct wr_cutoff_list list[2] = {{.limit = {{.minutes = 330}, 0.75}, .row = row[0]},
                                     {.limit = {{.minutes = 200, .is_clock = true}, 0.9}, .row = row[1]}};
    struct wr_cutoff_card card = {.n_limit = 2, .n_row = 4, .list = list, .prob_any_over = 0.3};

    for (size_t l = 0; l < 2; l++) {
        row[l][0] = (struct wr_cutoff_row){.reason = WR_CUTOFF_FOUND, .prob_inside_at_typical = 0.78};
        row[l][1] =
            (struct wr_cutoff_row){.reason = WR_CUTOFF_FOUND, .typical_start_min = 30, .prob_inside_at_typical = 0.78};
        row[l][2] =
            (struct wr_cutoff_row){.reason = WR_CUTOFF_NEVER, .prob_inside_at_typical = 0.74}; /* on the other side */
        row[l][3] = (struct wr_cutoff_row){.reason = WR_CUTOFF_BEGUN, .prob_inside_at_typical = 0.78};
    }
    wr_cutoffs_to_forecast(&card, limit_of, &f);
    ck_assert_double_eq(list[0].prob_over, 0.2);
    ck_assert_double_eq_tol(list[0].needed_min, f.quantile_min[WR_Q75], 1e-9);
    ck_assert_double_eq(list[1].prob_over, 0.05);
    ck_assert_double_eq(list[1].needed_min, 0); /* of a clock the finish says nothing */
    ck_assert_double_eq_tol(row[0][0].prob_inside_at_typical, 0.8, 1e-12);
    ck_assert_double_eq(row[0][1].prob_inside_at_typical, 0.78);
    ck_assert_double_eq(row[0][2].prob_inside_at_typical, 0.74);
    ck_assert_double_eq(row[0][3].prob_inside_at_typical, 0.78);
    ck_assert_double_eq(row[1][0].prob_inside_at_typical, 0.78);
    ck_assert_double_eq(card.prob_any_over, 0.22);
    card.n_limit = 1, card.prob_any_over = 0.3; /* of some of the limits the forecast has no such number */
    list[0].limit.confidence = 0.45, list[0].needed_min = 310;
    wr_cutoffs_to_forecast(&card, limit_of, &f);
    ck_assert_double_eq(card.prob_any_over, 0.3);
    ck_assert_double_eq(list[0].needed_min, 310);
}
END_TEST

/* A limit that is tried takes what the forecast says that the wish takes, and is gone over as often as was counted. */
START_TEST(limits_tried_take_the_level_of_theirs)
{
    const struct wr_forecast f = the_forecast(2);
    struct wr_cutoff_row row = {.reason = WR_CUTOFF_FOUND, .prob_inside_at_typical = 0.6};
    struct wr_cutoff_list list[4];
    struct wr_probability over[3] = {{.mean = 0.5}, {.mean = 0.2}, {.mean = 0.1}};
    struct wr_other_limits other = {.n_limit = 3, .over = over, .n_confidence = 2, .n_cut = 2, .cut_limit = {0, 2},
                                    .card = {.n_limit = 4, .n_row = 1, .list = list}};

    for (size_t i = 0; i < 4; i++)
        list[i] = (struct wr_cutoff_list){.limit = {{.minutes = i < 2 ? 300 : 350}, i % 2 ? 0.9 : 0.75},
                                          .row = &row, .prob_over = 0.3, .needed_min = 337};
    wr_other_limits_to_forecast(&other, &f);
    for (size_t i = 0; i < 4; i++) {
        ck_assert_double_eq(list[i].prob_over, i < 2 ? 0.5 : 0.1);
        ck_assert_double_eq_tol(list[i].needed_min, i % 2 ? 340 : 325, 1e-9);
    }
}
END_TEST

START_TEST(an_update_begins_at_the_forecast)
{
    const struct wr_forecast f = the_forecast(2);
    const size_t limit_of[] = {1};
    struct wr_probability over = {.mean = 0.4};
    struct wr_maybe before = WR_UNKNOWN;
    struct wr_cutoff_list list = {.prob_over = 0.41};
    struct wr_update u = {.n_limit = 1,
                          .over = &over,
                          .over_before = &before,
                          .any_over = {.mean = 0.45},
                          .card = {.n_limit = 1, .list = &list, .prob_any_over = 0.46}};

    wr_update_to_forecast(&u, limit_of, &f);
    ck_assert_double_eq(u.before_quantile_min[WR_Q50], 300);
    ck_assert_double_eq(before.value, 0.05);
    ck_assert_double_eq(list.prob_over, 0.4);
    ck_assert_double_eq(u.card.prob_any_over, 0.45);
    u.n_limit = 0, u.card.prob_any_over = 0.5;
    wr_update_to_forecast(&u, limit_of, &f);
    ck_assert_double_eq(u.card.prob_any_over, 0.5);
}
END_TEST

/* ---- times of tasks ---- */

START_TEST(a_summary_has_the_times_of_the_forecast)
{
    const struct wr_forecast f = the_forecast(1);
    struct wr_task_summary task[N_TASK];
    struct wr_fit_summary s = {.n_task = N_TASK, .task = task};

    for (size_t k = 0; k < N_TASK; k++)
        task[k] = (struct wr_task_summary){.source.kind = k == 1 ? WR_SRC_JUDGED : WR_SRC_MODEL,
                                           .median_min = {19, 15, 24},
                                           .own_median_min = wr_known(16),
                                           .moved = wr_known(19.0 / 16)};
    outlook[2].dropped = 1;
    wr_summary_to_forecast(&s, &f);
    ck_assert_double_eq(task[0].median_min.value, 20);
    ck_assert_double_eq(task[0].median_min.lo, 15); /* intervals stay */
    ck_assert_double_eq(task[0].p95_min.value, 29);
    ck_assert_double_eq(task[0].moved.value, 20.0 / 16);
    ck_assert_double_eq(task[1].median_min.value, 19); /* a judgement is what was judged */
    ck_assert_double_eq(task[2].median_min.value, 19);
    outlook[2].dropped = 0;
    task[0].own_median_min = wr_known(0);
    task[2].own_median_min = task[2].moved = WR_UNKNOWN;
    wr_summary_to_forecast(&s, &f);
    ck_assert_double_eq(task[0].moved.value, 20.0 / 16);
    ck_assert(!task[2].moved.known);
    ck_assert_double_eq(task[2].median_min.value, 20);
}
END_TEST

Suite *suite_to_forecast(void);
Suite *suite_to_forecast(void)
{
    Suite *s = suite_create("to_forecast");
    TCase *t = tcase_create("to_forecast");

    tcase_add_test(t, the_limit_that_is_needed);
    tcase_add_test(t, a_pad_drops_as_often_as_the_forecast);
    tcase_add_test(t, a_pad_ends_where_the_forecast_does);
    tcase_add_test(t, a_pad_of_what_the_forecast_cannot_say_stays);
    tcase_add_test(t, prices_keep_their_differences);
    tcase_add_test(t, alternatives_keep_their_gains);
    tcase_add_test(t, cutoffs_take_the_level_of_their_limit);
    tcase_add_test(t, limits_tried_take_the_level_of_theirs);
    tcase_add_test(t, an_update_begins_at_the_forecast);
    tcase_add_test(t, a_summary_has_the_times_of_the_forecast);
    suite_add_tcase(s, t);
    return s;
}
