/* Padding where crews meet two by two, and what it is asked for. Numbers of it as a whole: tests/reference. */
#include <check.h>
#include <math.h>
#include <string.h>
#include "made_excursion.h"
#include "wetrun/base/memory.h"
#include "wetrun/decide/pad.h"
#include "wetrun/stats/quantile.h"

START_TEST(confidences_that_can_be_padded_for)
{
    static const double bad[] = {0, 0.4, 0.5, 1, 1.5, NAN};
    struct wr_error err = {.text = ""};

    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        ck_assert_int_eq(wr_pad_takes(bad[i], &err), WR_E_DOMAIN);
        ck_assert_ptr_nonnull(strstr(err.text, "write --confidence 0.9"));
    }
    ck_assert_int_eq(wr_pad_takes(0.51, &err), WR_OK);
    ck_assert_int_eq(wr_pad_takes(0.99, &err), WR_OK);
}
END_TEST

/* J joins lanes 1 and 2, K lanes 3 and 4, which are done sooner; ALL joins all. A stretch begins at the latest
 * checkpoint that its lanes have met at: K's at none, that of ALL at J. */
START_TEST(crews_that_meet_two_by_two)
{
    const struct made_task task[] = {
        {"A", "1", NULL, 60, 0.2, 0, 0}, {"B", "2", NULL, 50, 0.2, 0, 0}, {"J", "1+2", NULL, 10, 0.2, 0, 0},
        {"C", "3", NULL, 20, 0.2, 0, 0}, {"D", "4", NULL, 15, 0.2, 0, 0}, {"K", "3+4", NULL, 10, 0.2, 0, 0},
        {"ALL", "1+2+3+4", NULL, 20, 0.2, 0, 0}};
    struct made_excursion e = {0};
    struct wr_pad pad = {0};

    made_excursion_plan(&e, task, 7, 0.1, 1);
    made_excursion_days(&e, 4000, 1);
    const struct wr_basis basis = made_excursion_basis(&e);
    ck_assert_int_eq(wr_pad_make(&pad, &basis, &e.scenarios, 0.9, 1, NULL), WR_OK);
    ck_assert_uint_eq(pad.n_checkpoint, 4);
    const struct wr_pad_checkpoint *j = NULL, *k = NULL, *all = NULL;
    for (size_t c = 0; c < 3; c++) {
        if (pad.checkpoint[c].task == 2) j = &pad.checkpoint[c];
        if (pad.checkpoint[c].task == 5) k = &pad.checkpoint[c];
        if (pad.checkpoint[c].task == 6) all = &pad.checkpoint[c];
    }
    ck_assert(j && k && all && k->time_min < j->time_min);
    ck_assert_double_eq_tol(j->stretch_reserve_min, j->time_min - j->median_timeline_min, 1e-9);
    ck_assert_double_eq_tol(k->stretch_reserve_min, k->time_min - k->median_timeline_min, 1e-9);
    ck_assert_double_eq_tol(all->stretch_reserve_min, all->time_min - j->time_min
                                - (all->median_timeline_min - j->median_timeline_min), 1e-9);
    ck_assert(j->before == SIZE_MAX && k->before == SIZE_MAX && &pad.checkpoint[all->before] == j);
    wr_pad_release(&pad);
    made_excursion_release(&e);
}
END_TEST

/* Work that is dropped on some days leaves gaps in what the pieces of days tell; a few days fill no piece. A task's
 * share dropped is that of the days on which the others take longer than the rule allows, here counted anew. */
START_TEST(the_same_on_any_number_of_threads)
{
    const struct made_task task[] = {{"A", "1", NULL, 60, 0.2, 0, 0},
                                     {"B", "1", NULL, 20, 0.3, 0, 62},
                                     {"J", "1+2", NULL, 10, 0.2, 0, 0}};
    static const size_t n_day[] = {1000, 4000};
    struct made_excursion e = {0};
    struct wr_pad one = {0}, three = {0};
    double minutes[3], *own = WR_NEW_ARRAY(double, n_day[_i]);
    size_t n_late = 0;

    made_excursion_plan(&e, task, 3, 0.1, 1);
    made_excursion_days(&e, n_day[_i], 1);
    const struct wr_basis basis = made_excursion_basis(&e);
    ck_assert_int_eq(wr_pad_make(&one, &basis, &e.scenarios, 0.9, 1, NULL), WR_OK);
    ck_assert_int_eq(wr_pad_make(&three, &basis, &e.scenarios, 0.9, 3, NULL), WR_OK);
    ck_assert_mem_eq(one.task, three.task, 3 * sizeof *one.task);
    ck_assert_mem_eq(one.checkpoint, three.checkpoint, one.n_checkpoint * sizeof *one.checkpoint);
    ck_assert_double_eq(one.all_done_min, three.all_done_min);
    ck_assert_double_gt(one.all_done_min, one.finish_quantile_min);
    for (size_t i = 0; i < n_day[_i]; i++) {
        wr_scenarios_durations(&e.scenarios, i, minutes);
        n_late += minutes[0] > 62;
        own[i] = minutes[1];
    }
    ck_assert_double_eq_tol(three.task[1].dropped, (double)n_late / (double)n_day[_i], 1e-12);
    /* what it takes if it is done: the days that come to it in time are fast ones, on which it is fast as well */
    ck_assert_double_eq(three.task[1].median_min, wr_median(own, n_day[_i]));
    wr_free(own);
    wr_pad_release(&one);
    wr_pad_release(&three);
    made_excursion_release(&e);
}
END_TEST

Suite *suite_pad(void);
Suite *suite_pad(void)
{
    Suite *s = suite_create("pad");
    TCase *t = tcase_create("pad");

    tcase_add_test(t, confidences_that_can_be_padded_for);
    tcase_add_test(t, crews_that_meet_two_by_two);
    tcase_add_loop_test(t, the_same_on_any_number_of_threads, 0, 2);
    suite_add_tcase(s, t);
    return s;
}
