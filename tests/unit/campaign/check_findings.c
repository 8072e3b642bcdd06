#include <check.h>
#include <stdio.h>
#include <string.h>
#include "wetrun/campaign/findings.h"
#include "wetrun/campaign/names.h"

START_TEST(kept_in_order_with_copies)
{
    struct wr_findings f = {0};
    char file[] = "runs.csv";

    wr_findings_add(&f, WR_WARNING, "odd", file, 3, 7, "value %d", 5);
    memset(file, 'x', 4);
    wr_findings_add(&f, WR_ERROR, "bad", NULL, 0, 0, "%s", "text");
    ck_assert_uint_eq(f.n_finding, 2);
    ck_assert_str_eq(f.finding[0].file, "runs.csv");
    ck_assert_str_eq(f.finding[0].message, "value 5");
    ck_assert_uint_eq(f.finding[0].line, 3);
    ck_assert_uint_eq(f.finding[0].column, 7);
    ck_assert_ptr_null(f.finding[1].file);
    ck_assert_uint_eq(wr_findings_count(&f, WR_WARNING), 1);
    ck_assert_uint_eq(wr_findings_count(&f, WR_ERROR), 1);
    ck_assert_uint_eq(wr_findings_count(&f, WR_NOTE), 0);
    wr_findings_release(&f);
    ck_assert_uint_eq(f.n_finding, 0);
}
END_TEST

START_TEST(too_many_of_one_code_are_counted_only)
{
    struct wr_findings f = {0};

    for (int i = 0; i < WR_MOST_FINDINGS + 500; i++) wr_findings_add(&f, WR_ERROR, "many", "a", 1, 1, "x");
    wr_findings_add(&f, WR_NOTE, "other", "a", 1, 1, "x");
    ck_assert_uint_eq(f.n_finding, WR_MOST_FINDINGS + 1);
    ck_assert_uint_eq(f.n_suppressed, 500);
    ck_assert_uint_eq(wr_findings_count(&f, WR_ERROR), WR_MOST_FINDINGS + 500);
    ck_assert_uint_eq(f.n_tally, 2);
    ck_assert_uint_eq(f.tally[0].n, WR_MOST_FINDINGS + 500);
    ck_assert_int_eq(f.tally[0].severity, WR_ERROR);
    wr_findings_release(&f);
}
END_TEST

/* A code is its text, wherever it stands; of its findings the gravest is remembered, counted ones too. */
START_TEST(one_code_of_several_severities)
{
    char again[] = "many";
    struct wr_findings f = {0};

    for (int i = 0; i < WR_MOST_FINDINGS; i++) wr_findings_add(&f, WR_NOTE, "many", "a", 1, 1, "x");
    ck_assert_int_eq(f.tally[0].severity, WR_NOTE);
    wr_findings_add(&f, WR_WARNING, again, "a", 1, 1, "x");
    ck_assert_uint_eq(f.n_tally, 1);
    ck_assert_int_eq(f.tally[0].severity, WR_WARNING);
    ck_assert_uint_eq(f.n_finding, WR_MOST_FINDINGS);
    ck_assert_uint_eq(wr_findings_count(&f, WR_WARNING), 1);
    wr_findings_release(&f);
}
END_TEST

START_TEST(a_message_of_any_length)
{
    struct wr_findings f = {0};
    char message[5000];

    memset(message, 'm', sizeof message - 1);
    message[sizeof message - 1] = '\0';
    wr_findings_add(&f, WR_NOTE, "long", "a", 1, 1, "%s", message);
    ck_assert_uint_lt(strlen(f.finding[0].message), sizeof message);
    ck_assert_uint_gt(strlen(f.finding[0].message), 1000);
    wr_findings_release(&f);
}
END_TEST

START_TEST(names_are_numbered_as_they_come)
{
    struct wr_names names = {0};
    struct wr_arena text = {0};
    char name[32];

    ck_assert_uint_eq(wr_names_find(&names, "x", 1), WR_NO_NAME);
    for (int round = 0; round < 2; round++) {
        for (unsigned i = 0; i < 20000; i++) {
            int n = snprintf(name, sizeof name, "%.*s%u", (int)(i % 20), "a long common prefix", i);
            ck_assert_uint_eq(wr_names_add(&names, &text, name, (size_t)n), i);
        }
    }
    ck_assert_uint_eq(names.n_name, 20000);
    ck_assert_uint_eq(wr_names_find(&names, "19980", 5), 19980);
    ck_assert_uint_eq(wr_names_find(&names, "199800", 5), 19980); /* the length counts */
    ck_assert_uint_eq(wr_names_find(&names, "", 0), WR_NO_NAME);
    ck_assert_uint_eq(wr_names_add(&names, &text, "", 0), 20000);
    ck_assert_uint_eq(wr_names_add(&names, &text, "A", 1), 20001);
    ck_assert_uint_eq(wr_names_add(&names, &text, "a\0b", 3), 20002);
    ck_assert_uint_eq(wr_names_find(&names, "a\0c", 3), WR_NO_NAME);
    wr_names_release(&names);
    wr_arena_release(&text);
}
END_TEST

Suite *suite_findings(void);
Suite *suite_findings(void)
{
    Suite *s = suite_create("findings");
    TCase *t = tcase_create("findings");

    tcase_add_test(t, kept_in_order_with_copies);
    tcase_add_test(t, too_many_of_one_code_are_counted_only);
    tcase_add_test(t, one_code_of_several_severities);
    tcase_add_test(t, a_message_of_any_length);
    tcase_add_test(t, names_are_numbered_as_they_come);
    suite_add_tcase(s, t);
    return s;
}
