#include <check.h>
#include <string.h>
#include "wetrun/model/gap.h"

static struct wr_gap before(const double *day, size_t n, int64_t asked, const char *code)
{
    struct wr_log_run run[4] = {{0}};
    struct wr_run_log log = {.run = run, .n_run = n};
    struct wr_findings findings = {0};

    for (size_t r = 0; r < n; r++) run[r].day = day[r] >= 0 ? wr_known(day[r]) : WR_UNKNOWN;
    struct wr_gap gap = wr_gap_before(&log, asked, &findings);
    ck_assert_uint_eq(findings.n_finding, code ? 1 : 0);
    if (code) ck_assert_str_eq(findings.finding[0].code, code);
    wr_findings_release(&findings);
    return gap;
}

START_TEST(longest_gap_and_the_last)
{
    static const double day[] = {100, 107, 121, 125}, shuffled[] = {121, 100, 125, 107};

    struct wr_gap gap = before(day, 4, 139, NULL); /* 14 days, as once before: not longer */
    ck_assert(gap.known && !gap.is_long && gap.since_last_days == 14 && gap.longest_between_days == 14);
    ck_assert(before(day, 4, 140, "long-gap").is_long);
    gap = before(shuffled, 4, 140, "long-gap");
    ck_assert(gap.longest_between_days == 14 && gap.since_last_days == 15);
}
END_TEST

START_TEST(when_it_cannot_be_told)
{
    static const double undated[] = {100, -1, 121}, one_day[] = {100, 100}, day[] = {100, 107};

    ck_assert(!before(undated, 3, 150, "gap-unknown").known);
    ck_assert(!before(one_day, 2, 150, "gap-unknown").known);
    ck_assert(!before(day, 1, 150, "gap-unknown").known);
    ck_assert(!before(day, 0, 150, "gap-unknown").known);
    ck_assert(!before(day, 2, 106, "gap-unknown").known);
    ck_assert(before(day, 2, 107, NULL).known);
}
END_TEST

Suite *suite_gap(void);
Suite *suite_gap(void)
{
    Suite *s = suite_create("gap");
    TCase *t = tcase_create("gap");

    tcase_add_test(t, longest_gap_and_the_last);
    tcase_add_test(t, when_it_cannot_be_told);
    suite_add_tcase(s, t);
    return s;
}
