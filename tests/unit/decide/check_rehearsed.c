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
    ck_assert(seen.n_past_rule == 0 && seen.n_over_by_rules == 1 && seen.most_by_rules_min == 121);
    for (size_t r = 0; r < 5; r++) t.run[r].complete = false;
    seen = wr_rehearsed_against(&t, 120);
    ck_assert(seen.n_complete == 0 && seen.n_over == 0 && seen.least_min == 0 && seen.least_by_rules_min == 0);
    made_timing_release(&t);
}
END_TEST

/* A complete and an incomplete one did what the plan drops on such a day: dropped, the one ends at 95, the other is not
 * over for sure. */
START_TEST(work_past_its_drop_rule_is_told_apart)
{
    static const double finish[] = {100, 121, 130};
    struct wr_timing t = {0};

    made_timing_init(&t, 1, 3, 1);
    for (size_t r = 0; r < 3; r++) t.run[r].finish_without_holds_min = finish[r];
    t.run[1].n_past_rule = 2, t.run[1].by_rules_min = 95;
    t.run[2].n_past_rule = 1, t.run[2].by_rules_min = 119;
    t.run[2].complete = false;
    const struct wr_rehearsed seen = wr_rehearsed_against(&t, 120);
    ck_assert(seen.n_complete == 2 && seen.n_over == 1 && seen.most_min == 121);
    ck_assert(seen.n_past_rule == 1 && seen.n_over_by_rules == 0);
    ck_assert(seen.least_by_rules_min == 95 && seen.most_by_rules_min == 100);
    ck_assert(seen.n_incomplete == 1 && seen.n_incomplete_over == 0);
    made_timing_release(&t);
}
END_TEST

Suite *suite_rehearsed(void);
Suite *suite_rehearsed(void)
{
    Suite *s = suite_create("rehearsed");
    TCase *t = tcase_create("rehearsed");

    tcase_add_test(t, complete_and_incomplete_ones_are_counted_apart);
    tcase_add_test(t, work_past_its_drop_rule_is_told_apart);
    suite_add_tcase(s, t);
    return s;
}
