/* Statuses and their messages; the exit codes are the README's. */
#include <check.h>
#include <string.h>
#include "suites.h"
#include "wetrun/base/error.h"

START_TEST(every_status_has_an_exit_code_of_the_readme)
{
    static const struct {
        enum wr_status status;
        int exit_code;
    } want[] = {{WR_OK, 0},           {WR_E_USAGE, 2},       {WR_E_INPUT, 3},  {WR_E_DOMAIN, 3},     {WR_E_TOO_FEW, 3},
                {WR_E_NO_MAXIMUM, 3}, {WR_E_NO_CONVERGE, 3}, {WR_E_OUTPUT, 4}, {WR_E_NO_PROGRAM, 4}, {WR_E_CHILD, 4},
                {WR_E_CHILD_HUNG, 4}, {WR_E_MEMORY, 5},      {WR_E_BUG, 5}};

    for (size_t i = 0; i < sizeof want / sizeof *want; i++) {
        ck_assert_int_eq(wr_status_exit_code(want[i].status), want[i].exit_code);
        ck_assert_uint_gt(strlen(wr_status_text(want[i].status)), 0);
    }
    ck_assert_int_eq((int)(sizeof want / sizeof *want), WR_E_BUG + 1); /* none is left out */
    ck_assert_str_eq(wr_status_name(WR_E_NO_MAXIMUM), "WR_E_NO_MAXIMUM");
}
END_TEST

START_TEST(a_message_says_who_was_doing_what)
{
    struct wr_error err = {0};

    ck_assert_int_eq(wr_fail(&err, WR_E_INPUT, "line %d", 7), WR_E_INPUT);
    wr_error_prefix(&err, "reading %s", "plan.csv");
    ck_assert_str_eq(err.text, "reading plan.csv: line 7");
    ck_assert_int_eq(err.status, WR_E_INPUT);
    ck_assert_int_eq(wr_fail(NULL, WR_E_USAGE, "nobody listens"), WR_E_USAGE);
    wr_error_prefix(NULL, "nor here");
}
END_TEST

START_TEST(a_message_too_long_loses_its_end)
{
    const size_t room = sizeof((struct wr_error *)NULL)->text;
    char longer[2000], head[2000];
    struct wr_error err = {0};

    memset(longer, 'x', sizeof longer - 1);
    longer[sizeof longer - 1] = '\0';
    wr_fail(&err, WR_E_INPUT, "%s", longer);
    ck_assert_uint_eq(strlen(err.text), room - 1);
    for (size_t n = room - 6; n <= room + 2; n++) { /* the head fills the text all but, just, and more than so */
        memset(head, 'h', n);
        head[n] = '\0';
        wr_fail(&err, WR_E_INPUT, "tail");
        wr_error_prefix(&err, "%s", head);
        ck_assert_uint_lt(strlen(err.text), room);
        ck_assert(memcmp(err.text, head, n < room - 1 ? n : room - 1) == 0);
        if (n + 2 < room - 1) ck_assert(memcmp(err.text + n, ": t", 3) == 0);
    }
}
END_TEST

Suite *suite_error(void);
Suite *suite_error(void)
{
    Suite *suite = suite_create("error");
    TCase *tc = tcase_create("error");

    tcase_add_test(tc, every_status_has_an_exit_code_of_the_readme);
    tcase_add_test(tc, a_message_says_who_was_doing_what);
    tcase_add_test(tc, a_message_too_long_loses_its_end);
    suite_add_tcase(suite, tc);
    return suite;
}
