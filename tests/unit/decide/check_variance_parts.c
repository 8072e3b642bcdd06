/* Expected values by hand. */
#include <check.h>
#include <math.h>
#include "wetrun/decide/planned_short.h"
#include "wetrun/decide/variance_parts.h"

START_TEST(marks_are_what_stands_beside_them)
{
    /* the missing 0.1 % is interaction */
    struct wr_task_outlook task[3] = {{.variance_share = 0.333}, {.variance_share = 0.333}, {.variance_share = 0.333}};
    const struct wr_forecast f = {.n_task = 3, .task = task};
    struct wr_variance_part part[WR_PARTS_MOST];

    ck_assert_uint_eq(wr_variance_parts(&f, part), 3 + 4);
    for (size_t k = 0; k < 3; k++) ck_assert_uint_eq(part[k].n_mark, 33); /* though one of a hundred is left over */
    ck_assert_uint_eq(part[6].kind, WR_PART_INTERACTION);
    ck_assert_uint_eq(part[6].n_mark, 0);
    ck_assert_double_eq_tol(part[6].share, 0.001, 1e-12);
}
END_TEST

/* 4.4 % are four marks whatever the other rows have; 80 tasks of 2 % each are a forecast that no engine makes. */
START_TEST(marks_are_the_whole_hundredths_of_the_share)
{
    static const size_t n_task[] = {1, 3, 14, 15, 16, 80};
    struct wr_task_outlook task[80] = {{0}};
    struct wr_variance_part part[WR_PARTS_MOST];

    for (size_t k = 0; k < 80; k++)
        task[k].variance_share = _i == 0 ? 0.0007 * (double)(k % 17) : 0.02; /* 80 x 0.02 > 1 */
    for (size_t i = 0; i < sizeof n_task / sizeof *n_task; i++) {
        const struct wr_forecast f = {.n_task = n_task[i],
                                      .task = task,
                                      .run_effect_share = 0.12,
                                      .people_share = 0.031,
                                      .parameter_share = 0.21};
        size_t n = wr_variance_parts(&f, part);
        double sum = 0;
        ck_assert_uint_eq(n, (n_task[i] > 15 ? 15 : n_task[i]) + 4);
        for (size_t p = 0; p < n; p++) {
            ck_assert_msg(fabs(part[p].n_mark - 100 * part[p].share) <= 0.5 + 1e-9, "%u marks for %g", part[p].n_mark,
                          part[p].share);
            sum += part[p].share;
        }
        ck_assert(sum > 1 - 1e-9); /* interaction is what is missing, never less than nothing */
        ck_assert(part[n - 1].share >= 0);
        if (n_task[i] > 15) ck_assert_uint_eq(part[14].task, n_task[i] - 14);
    }
}
END_TEST

START_TEST(nothing_varies_so_nothing_is_marked)
{
    struct wr_task_outlook task[2] = {{0}};
    const struct wr_forecast f = {.n_task = 2, .task = task};
    struct wr_variance_part part[WR_PARTS_MOST];
    size_t n = wr_variance_parts(&f, part), strongest;

    for (size_t p = 0; p < n; p++) ck_assert_uint_eq(part[p].n_mark, 0);
    ck_assert_double_eq(wr_strongest_share(&f, &strongest), 0);
    ck_assert_uint_eq(strongest, 0);
}
END_TEST

START_TEST(a_planned_time_is_short_once_it_shows)
{
    struct wr_pad_task task[] = {
        {.median_min = 10, .pad_min = 2, .planned_min = {true, 12.04}},   /* shows as 0 to spare */
        {.median_min = 10, .pad_min = 2.04, .planned_min = {true, 12}},   /* lacks 0.04: shows as 0 */
        {.median_min = 1.5, .pad_min = 0.8, .planned_min = {true, 2}},    /* lacks 0.3 of two minutes */
        {.median_min = 1.5, .pad_min = 0.8, .planned_min = {false, 0}},
        {.median_min = 9.98, .pad_min = 2.054, .planned_min = {true, 12}},  /* lacks 0.034: 10.0 and 2.1 show 0.1 */
        {.median_min = 9.149, .pad_min = 1.902, .planned_min = {true, 11}}, /* lacks 0.051: 9.1 and 1.9 show none */
        {.median_min = 0.1, .pad_min = 0.2, .planned_min = {true, 0.3}},    /* in binary 0.1 + 0.2 is more than 0.3 */
    };
    const struct wr_pad pad = {.n_task = 7, .task = task};
    struct wr_planned_count n = wr_planned_count(&pad);

    ck_assert(!wr_pad_is_short(&task[0]) && !wr_pad_is_short(&task[1]) && wr_pad_is_short(&task[2]));
    ck_assert(!wr_pad_is_short(&task[3]));
    ck_assert(wr_pad_is_short(&task[4]) && !wr_pad_is_short(&task[5]) && !wr_pad_is_short(&task[6]));
    for (size_t i = 0; i < pad.n_task; i++) /* counted as it is shown, and nothing below 0 as time to spare */
        ck_assert(wr_pad_is_short(&task[i]) == (wr_pad_shown_shortfall(&task[i]).value > 0));
    ck_assert_uint_eq(n.n_planned, 6);
    ck_assert_uint_eq(n.n_short, 2);
    ck_assert_int_lt(wr_pad_by_falling_shortfall(&task[4], &task[5]), 0); /* what shows goes first */
    ck_assert_int_lt(wr_pad_by_falling_shortfall(&task[5], &task[1]), 0);
    ck_assert_int_gt(wr_pad_by_falling_shortfall(&task[3], &task[0]), 0);
}
END_TEST

START_TEST(a_planned_time_is_missed_by_its_probability_not_by_what_that_rounds_to)
{
    struct wr_pad_task task[] = {
        {.planned_min = {true, 10}, .prob_planned_enough = {true, 0.4964}}, /* rounds to 50 of 100 */
        {.planned_min = {true, 10}, .prob_planned_enough = {true, 0.5}},
        {.planned_min = {true, 10}, .prob_planned_enough = {true, 0.5036}},
        {.planned_min = {true, 10}, .prob_planned_enough = {true, 0.1}, .dropped = 0.999}, /* nothing is said of it */
        {.planned_min = {true, 10}, .prob_planned_enough = {false, 0}},
    };
    const struct wr_pad pad = {.n_task = 5, .task = task};

    ck_assert(wr_pad_is_missed(&task[0]) && !wr_pad_is_missed(&task[1]) && !wr_pad_is_missed(&task[2]));
    ck_assert_uint_eq(wr_planned_count(&pad).n_missed, 1);
}
END_TEST

Suite *suite_variance_parts(void);
Suite *suite_variance_parts(void)
{
    Suite *suite = suite_create("variance_parts");
    TCase *tc = tcase_create("parts");

    tcase_add_test(tc, marks_are_what_stands_beside_them);
    tcase_add_loop_test(tc, marks_are_the_whole_hundredths_of_the_share, 0, 2);
    tcase_add_test(tc, nothing_varies_so_nothing_is_marked);
    tcase_add_test(tc, a_planned_time_is_short_once_it_shows);
    tcase_add_test(tc, a_planned_time_is_missed_by_its_probability_not_by_what_that_rounds_to);
    suite_add_tcase(suite, tc);
    return suite;
}
