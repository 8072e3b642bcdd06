/* Which of several limits a task must be begun for; expected values by hand. */
#include <check.h>
#include <stdio.h>
#include <stdlib.h>
#include "wetrun/decide/binding_cutoff.h"

static struct wr_cutoff_row first[5], second[5], clock_row[5];
static struct wr_cutoff_list list[3];
static const struct wr_cutoff_card card = {.n_limit = 3, .n_row = 5, .list = list};

static struct wr_cutoff_row row_of(size_t task, enum wr_cutoff_reason reason, double latest_min)
{
    return (struct wr_cutoff_row){.task = task,
                                  .reason = reason,
                                  .typical_start_min = 60,
                                  .latest_start_min = latest_min,
                                  .slack_min = latest_min - 60};
}

static void set_up(void)
{
    list[0] = (struct wr_cutoff_list){.row = first};
    list[1] = (struct wr_cutoff_list){.row = second};
    list[2] = (struct wr_cutoff_list){.limit = {.limit = {.is_clock = true}}, .row = clock_row};
    for (size_t i = 0; i < 5; i++) {
        first[i] = row_of(i, WR_CUTOFF_FOUND, 200);
        second[i] = row_of(i, WR_CUTOFF_NOT_BEFORE_LIMIT, 0);
        clock_row[i] = row_of(i, WR_CUTOFF_FOUND, 3); /* minutes of another clock: never compared */
    }
}

START_TEST(the_earliest_over_the_limits_binds)
{
    set_up();
    second[1] = row_of(1, WR_CUTOFF_FOUND, 140);
    second[2] = row_of(2, WR_CUTOFF_FOUND, 260);
    ck_assert_uint_eq(wr_binding_cutoff(&card, 0).limit, 0);
    ck_assert_uint_eq(wr_binding_cutoff(&card, 1).limit, 1);
    ck_assert_double_eq(wr_binding_cutoff(&card, 1).row->latest_start_min, 140);
    ck_assert_uint_eq(wr_binding_cutoff(&card, 2).limit, 0);
}
END_TEST

START_TEST(no_later_moment_where_one_limit_allows_none)
{
    set_up();
    second[0].reason = WR_CUTOFF_NEVER;
    second[1] = row_of(1, WR_CUTOFF_FOUND, -4); /* before the beginning */
    second[2].reason = WR_CUTOFF_TOO_FEW;
    first[3].reason = second[3].reason = WR_CUTOFF_BEGUN;
    first[4].reason = WR_CUTOFF_NOT_BEFORE_LIMIT;
    ck_assert_int_eq(wr_binding_cutoff(&card, 0).what, WR_BINDING_TOO_LATE);
    ck_assert_uint_eq(wr_binding_cutoff(&card, 0).limit, 1);
    ck_assert_int_eq(wr_binding_cutoff(&card, 1).what, WR_BINDING_TOO_LATE);
    ck_assert_int_eq(wr_binding_cutoff(&card, 2).what, WR_BINDING_CANNOT_TELL);
    ck_assert_int_eq(wr_binding_cutoff(&card, 3).what, WR_BINDING_BEGUN);
    ck_assert_int_eq(wr_binding_cutoff(&card, 4).what, WR_BINDING_NO_MATTER);
}
END_TEST

START_TEST(only_later_where_other_work_is_then_dropped)
{
    set_up();
    second[0].reason = second[1].reason = first[1].reason = WR_CUTOFF_NEVER;
    second[0].has_second_window = second[1].has_second_window = true;
    ck_assert_int_eq(wr_binding_cutoff(&card, 0).what, WR_BINDING_LATER);
    ck_assert_int_eq(wr_binding_cutoff(&card, 1).what, WR_BINDING_TOO_LATE); /* the other limit has no window */
    ck_assert_uint_eq(wr_binding_cutoff(&card, 1).limit, 0);
}
END_TEST

/* What the excursion begins with cannot begin earlier: where no start of it is early enough, another limit's time for
 * it is none to act on. */
START_TEST(what_opens_the_excursion_has_no_other_start)
{
    set_up();
    first[0] = row_of(0, WR_CUTOFF_NEVER, 0);
    first[1] = row_of(1, WR_CUTOFF_FOUND, -4);
    first[0].typical_start_min = first[1].typical_start_min = second[0].typical_start_min =
        second[1].typical_start_min = 0;
    second[0].reason = second[1].reason =
        WR_CUTOFF_FOUND; /* another limit gives it a time, which would read as leave */
    ck_assert_int_eq(wr_binding_cutoff(&card, 0).what, WR_BINDING_OPENS);
    ck_assert_int_eq(wr_binding_cutoff(&card, 1).what, WR_BINDING_OPENS);
    ck_assert(wr_binding_has_no_start(WR_BINDING_OPENS) && wr_binding_is_late(WR_BINDING_OPENS));
    ck_assert(!wr_binding_has_no_start(WR_BINDING_LATER) && !wr_binding_is_late(WR_BINDING_START));
    ck_assert_int_eq(wr_starts_in_time(&(struct wr_binding_cutoff){.what = WR_BINDING_OPENS, .row = first}), 0);
    /* where the limits are kept, what the elapsed time begins with has no moment to act on either */
    first[0] = row_of(0, WR_CUTOFF_FOUND, 8);
    first[0].is_start = second[0].is_start = true;
    ck_assert_int_eq(wr_binding_cutoff(&card, 0).what, WR_BINDING_START);
}
END_TEST

/* The legend: a disc for each full ten of the number that the tables show, 45 of 100 are four. */
START_TEST(discs_are_the_full_tens_of_the_number_shown)
{
    for (int thousandth = 0; thousandth <= 1000; thousandth++) {
        struct wr_cutoff_row row = row_of(0, WR_CUTOFF_FOUND, 60);
        char shown[8];
        row.share_in_time = thousandth / 1000.0;
        snprintf(shown, sizeof shown, "%d", (thousandth + 5) / 10);
        int n = wr_starts_in_time(&(struct wr_binding_cutoff){.what = WR_BINDING_FOUND, .row = &row});
        ck_assert_msg(n == atoi(shown) / 10, "%d of 1000: %d discs for %s", thousandth, n, shown);
    }
}
END_TEST

START_TEST(clocks_stand_apart)
{
    const struct wr_cutoff_card only_clock = {.n_limit = 1, .n_row = 5, .list = list + 2};

    set_up();
    ck_assert(wr_has_binding_cutoffs(&card));
    ck_assert(!wr_has_binding_cutoffs(&only_clock));
    ck_assert_double_eq(wr_cutoff_of_limit(&card, 2, 0).row->latest_start_min, 3);
}
END_TEST

/* A clock that begins with task 4, usually at 60, leaves task 1 until its minute 3: 63 elapsed. */
START_TEST(a_clock_is_laid_on_elapsed_time_where_it_usually_begins)
{
    set_up();
    list[2].limit.limit.from = 4;
    ck_assert_double_eq(wr_clock_start_as_usual(&card, 2, 1, 0).value, 63);
    clock_row[1].reason = WR_CUTOFF_NEVER;
    ck_assert(!wr_clock_start_as_usual(&card, 2, 1, 0).known);
    first[4].reason = WR_CUTOFF_BEGUN;
    ck_assert(!wr_clock_start_as_usual(&card, 2, 2, 0).known);
    first[4] = row_of(7, WR_CUTOFF_FOUND, 200); /* the card is of some tasks only */
    ck_assert(!wr_clock_start_as_usual(&card, 2, 2, 0).known);
}
END_TEST

Suite *suite_binding_cutoff(void);
Suite *suite_binding_cutoff(void)
{
    Suite *suite = suite_create("binding_cutoff");
    TCase *tc = tcase_create("several limits");

    tcase_add_test(tc, the_earliest_over_the_limits_binds);
    tcase_add_test(tc, no_later_moment_where_one_limit_allows_none);
    tcase_add_test(tc, only_later_where_other_work_is_then_dropped);
    tcase_add_test(tc, what_opens_the_excursion_has_no_other_start);
    tcase_add_test(tc, discs_are_the_full_tens_of_the_number_shown);
    tcase_add_test(tc, clocks_stand_apart);
    tcase_add_test(tc, a_clock_is_laid_on_elapsed_time_where_it_usually_begins);
    suite_add_tcase(suite, tc);
    return suite;
}
