/* Rehearsed finishes, counted against a limit. */
#include <check.h>
#include "../../support/made_timing.h"
#include "wetrun/decide/rehearsed.h"

START_TEST(complete_and_incomplete_ones_are_counted_apart)
{
    static const double finish[] = {100, 120, 121, 90, 130};
    struct wr_timing t = {0};

    made_timing_init(&t, 1, 5, 1);
    for (size_t r = 0; r < 5; r++) t.run[r].finish_without_holds_min = finish[r];
    t.run[3].complete = t.run[4].complete = false;
    struct wr_rehearsed seen = wr_rehearsed_against(&t, 120); /* at the limit is not over it */
    ck_assert(seen.n_complete == 3 && seen.n_over == 1 && seen.least_min == 100 && seen.most_min == 121);
    ck_assert(seen.n_incomplete == 2 && seen.n_incomplete_over == 1);
    for (size_t r = 0; r < 5; r++) t.run[r].complete = false;
    seen = wr_rehearsed_against(&t, 120);
    ck_assert(seen.n_complete == 0 && seen.n_over == 0 && seen.least_min == 0);
    made_timing_release(&t);
}
END_TEST

Suite *suite_rehearsed(void);
Suite *suite_rehearsed(void)
{
    Suite *s = suite_create("rehearsed");
    TCase *t = tcase_create("rehearsed");

    tcase_add_test(t, complete_and_incomplete_ones_are_counted_apart);
    suite_add_tcase(s, t);
    return s;
}
