/* criteria.csv: the thresholds of a readiness review. */
#include <check.h>
#include <math.h>
#include <stdio.h>
#include <string.h>
#include "wetrun/campaign/criteria.h"

/* What the thresholds are, make check-lists holds against wetrun-files(5). */
static void is_default(const struct wr_criteria *c)
{
    struct wr_criteria wanted = wr_criteria_default();

    for (int i = 0; i < WR_N_CRITERION; i++) ck_assert(c->on[i] && c->threshold[i] == wanted.threshold[i]);
}

static enum wr_status read_text(struct wr_criteria *c, const char *text, struct wr_findings *findings,
                                struct wr_error *err)
{
    return wr_criteria_read_bytes(c, "criteria.csv", text, strlen(text), findings, err);
}

static void take(struct wr_criteria *c, const char *text)
{
    struct wr_findings findings = {0};
    struct wr_error err = {0};

    *c = wr_criteria_default();
    ck_assert_msg(read_text(c, text, &findings, &err) == WR_OK, "%s", err.text);
    wr_findings_release(&findings);
}

START_TEST(every_criterion_is_on_and_says_what_it_asks)
{
    struct wr_criteria c = wr_criteria_default();

    is_default(&c);
    for (int i = 0; i < WR_N_CRITERION; i++) {
        ck_assert_uint_gt(strlen(wr_criterion_meaning((enum wr_criterion_id)i)), 0);
        ck_assert_int_eq(wr_criteria_set(&c, (enum wr_criterion_id)i, c.threshold[i], NULL), WR_OK);
    }
}
END_TEST

START_TEST(what_is_named_changes_and_nothing_else)
{
    struct wr_criteria c;

    take(&c, "criterion,threshold\ntask-done,4\noverrun,0.8\nrecord,off\n");
    ck_assert(c.threshold[WR_CRIT_TASK_DONE] == 4 && c.threshold[WR_CRIT_OVERRUN] == 0.8 && !c.on[WR_CRIT_RECORD]);
    c.threshold[WR_CRIT_TASK_DONE] = 3, c.threshold[WR_CRIT_OVERRUN] = 0.95, c.on[WR_CRIT_RECORD] = true;
    is_default(&c);
    take(&c, "threshold;criterion\r\nOFF;Kept\r\n 0.5 ; UNLOGGED \r\n"); /* any order, any case, another separator */
    ck_assert(!c.on[WR_CRIT_KEPT] && c.threshold[WR_CRIT_UNLOGGED] == 0.5);
    take(&c, "criterion,threshold\n");
    is_default(&c);
    take(
        &c,
        "criterion,threshold\noverrun,0.5\nplanned-missed,0\nplanned-path,1\n"
         "complete-runs,1000\n"); /* the bounds themselves */
    ck_assert(c.threshold[WR_CRIT_OVERRUN] == 0.5 && c.threshold[WR_CRIT_PLANNED] == 0);
}
END_TEST

static const struct { const char *row, *code; size_t column; } refused[] = {
    {"readyness,3", "criterion-unknown", 1},
    {",3", "criterion-unknown", 1},
    {"%s%n,3", "criterion-unknown", 1},
    {"task-done,", "criterion-no-threshold", 11},
    {"kept,2.5", "criterion-not-whole", 6},
    {"task-done,3.0000001", "criterion-not-whole", 11},
    {"overrun,95", NULL, 9},
    {"overrun,0.4999", NULL, 9},
    {"overrun,1", NULL, 9},
    {"task-done,0", NULL, 11},
    {"unlogged,-0.1", NULL, 10},
    {"unlogged,nan", NULL, 10},
    {"unlogged,10 %", NULL, 10},
    {"record,0", NULL, 8},
    {"last-complete,1e9", NULL, 15},
    {"kept,0x2", NULL, 6},
};

START_TEST(a_bad_row_is_placed_and_changes_nothing)
{
    char text[200];
    struct wr_criteria c = wr_criteria_default();
    struct wr_findings findings = {0};
    struct wr_error err = {0};

    snprintf(text, sizeof text, "criterion,threshold\nplanned-path,0.3\n%s\n", refused[_i].row);
    ck_assert_msg(read_text(&c, text, &findings, &err) == WR_E_INPUT, "'%s' was taken", refused[_i].row);
    ck_assert_uint_eq(findings.n_finding, 1);
    if (refused[_i].code) ck_assert_str_eq(findings.finding[0].code, refused[_i].code);
    ck_assert_msg(findings.finding[0].line == 3 && findings.finding[0].column == refused[_i].column, "%zu:%zu %s",
                  findings.finding[0].line, findings.finding[0].column, err.text);
    ck_assert_int_eq(strncmp(err.text, "criteria.csv:3:", 15), 0);
    is_default(&c);
    wr_findings_release(&findings);
}
END_TEST

START_TEST(a_bad_file_changes_nothing)
{
    static const char *const text[] = {"",
                                       "criterion\ntask-done\n",
                                       "task-done,3\n",
                                       "criterion,threshold,threshold\ntask-done,3,4\n",
                                       "criterion,threshold\nkept,2\nkept,3\n",
                                       "criterion,threshold\nkept,off\nKEPT,3\n"};

    for (size_t i = 0; i < sizeof text / sizeof *text; i++) {
        struct wr_criteria c = wr_criteria_default();
        struct wr_findings findings = {0};
        struct wr_error err = {0};
        ck_assert_msg(read_text(&c, text[i], &findings, &err) == WR_E_INPUT, "'%s' was taken", text[i]);
        is_default(&c);
        wr_findings_release(&findings);
    }
}
END_TEST

START_TEST(options_keep_the_same_bounds)
{
    struct wr_criteria c = wr_criteria_default();
    struct wr_error err;

    ck_assert_int_eq(wr_criteria_set(&c, WR_CRIT_OVERRUN, 0.2, &err), WR_E_USAGE);
    ck_assert_int_eq(wr_criteria_set(&c, WR_CRIT_OVERRUN, NAN, &err), WR_E_USAGE);
    ck_assert_int_eq(wr_criteria_set(&c, WR_CRIT_KEPT, 1.5, &err), WR_E_USAGE);
    is_default(&c);
    ck_assert_int_eq(wr_criteria_set(&c, WR_CRIT_OVERRUN, 0.8, &err), WR_OK);
    ck_assert(c.threshold[WR_CRIT_OVERRUN] == 0.8);
}
END_TEST

START_TEST(thresholds_have_bounds)
{
    struct wr_criteria c = wr_criteria_default();
    struct wr_error err = {.text = ""};

    ck_assert_int_eq(wr_criteria_set(&c, WR_CRIT_OVERRUN, 1.5, &err), WR_E_USAGE);
    ck_assert_int_eq(wr_criteria_set(&c, WR_CRIT_OVERRUN, -0.1, &err), WR_E_USAGE);
    ck_assert_int_eq(wr_criteria_set(&c, WR_CRIT_OVERRUN, NAN, &err), WR_E_USAGE);
    ck_assert_ptr_nonnull(strstr(err.text, "write a number from 0.5 to 0.999"));
    is_default(&c);
}
END_TEST

Suite *suite_criteria(void);
Suite *suite_criteria(void)
{
    Suite *s = suite_create("criteria");
    TCase *t = tcase_create("criteria");

    tcase_add_test(t, every_criterion_is_on_and_says_what_it_asks);
    tcase_add_test(t, what_is_named_changes_and_nothing_else);
    tcase_add_loop_test(t, a_bad_row_is_placed_and_changes_nothing, 0, (int)(sizeof refused / sizeof *refused));
    tcase_add_test(t, a_bad_file_changes_nothing);
    tcase_add_test(t, options_keep_the_same_bounds);
    tcase_add_test(t, thresholds_have_bounds);
    suite_add_tcase(s, t);
    return s;
}
