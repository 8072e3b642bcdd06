/* Names that mean the same: spellings, near names, names.csv, crews. */
#include <check.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>
#include "wetrun/campaign/aliases.h"
#include "wetrun/campaign/near_name.h"
#include "wetrun/campaign/plan.h"

static const char *at(const void *names, size_t i)
{
    return ((const char *const *)names)[i];
}

START_TEST(spellings_of_one_name)
{
    ck_assert(wr_same_but_for_spelling("K3", "k 3"));
    ck_assert(wr_same_but_for_spelling("not_before", "Not before"));
    ck_assert(wr_same_but_for_spelling("\xc3\x84NNE", "\xc3\xa4nne")); /* A with dots, large and small */
    ck_assert(wr_same_but_for_spelling("\xc3\x96M", "O\xcc\x88m")); /* O with dots, and O and dots behind it */
    ck_assert(wr_same_but_for_spelling("\xc5\xa0im", "s\xcc\x8cIM")); /* S with a hook */
    ck_assert(wr_same_but_for_spelling("Zo\xc3\xab", "ZOE\xcc\x88"));
    ck_assert(!wr_same_but_for_spelling("\xc3\x96M", "O\xcc\x81m")); /* dots, and a stroke */
    ck_assert(!wr_same_but_for_spelling("\xc3\x96M", "OM"));
    ck_assert(!wr_same_but_for_spelling("x\xcc\x88M", "xM"));
    ck_assert(!wr_same_but_for_spelling("K-3", "K3"));
    ck_assert(!wr_same_but_for_spelling("K3", "K33"));
    const char *names[] = {"MAST", "Cable", "cable ", "mast 2"};
    const struct wr_name_list list = {at, names, 4};
    ck_assert_uint_eq(wr_find_spelling(&list, "mast"), 0);
    ck_assert_uint_eq(wr_find_spelling(&list, "Cable"), 1); /* to the letter, though another is alike */
    ck_assert_uint_eq(wr_find_spelling(&list, "CABLE"), SIZE_MAX); /* two could be meant */
    ck_assert_uint_eq(wr_find_spelling(&list, "MASTS"), SIZE_MAX);
}
END_TEST

/* Distances by hand: CABEL to CABLE exchanges two letters (1), MTS to MAST adds one and exchanges two. */
START_TEST(near_names)
{
    const char *names[] = {"MAST", "CABLE", NULL, "SAMPLE"};
    const struct wr_name_list list = {at, names, 4};
    struct wr_str text = {0};

    ck_assert_uint_eq(wr_find_near(&list, "CABEL"), 1);
    ck_assert_uint_eq(wr_find_spelling(&list, "sample"), 3); /* past a name that is not there */
    ck_assert_uint_eq(wr_find_near(&list, "simple"), 3);
    ck_assert_uint_eq(wr_find_near(&list, "MTAS"), 0);
    ck_assert_uint_eq(wr_find_near(&list, "QUITE ANOTHER"), SIZE_MAX);
    wr_add_did_you_mean(&text, &list, "CABEL", "the plan has them");
    ck_assert_str_eq(text.text, " (did you mean 'CABLE'?)");
    wr_str_clear(&text);
    const struct wr_name_list two = {at, names, 2};
    wr_add_did_you_mean(&text, &two, "QUITE ANOTHER", "the plan has them");
    ck_assert_str_eq(text.text, ": write one of MAST, CABLE");
    const char *many[] = {"A1", "A2", "A2", "A3", "A4", "A5", "A6", "A7", "A8", "A9", "B1", "B2", "B3"};
    const struct wr_name_list long_list = {at, many, 13};
    wr_str_clear(&text);
    wr_add_did_you_mean(&text, &long_list, "QUITE ANOTHER", "the plan has them");
    ck_assert_str_eq(text.text, ": write one of A1, A2, A3, A4, A5, A6, A7, A8, A9, B1 and 2 more (the plan has them)");
    wr_str_release(&text);
}
END_TEST

static enum wr_status read_names(struct wr_aliases *a, const char *rows, const char *code)
{
    struct wr_findings findings = {0};
    struct wr_error err = {.text = ""};
    char text[300];

    *a = (struct wr_aliases){0};
    snprintf(text, sizeof text, "kind,from,to\n%s", rows);
    enum wr_status status = wr_aliases_read_bytes(a, "names.csv", text, strlen(text), &findings, &err);
    if (code) ck_assert_msg(findings.n_finding > 0 && strcmp(findings.finding[0].code, code) == 0, "%s", err.text);
    else ck_assert_msg(status == WR_OK && findings.n_of[WR_WARNING] == 0, "%s", err.text);
    wr_findings_release(&findings);
    return status;
}

START_TEST(names_that_mean_others)
{
    struct wr_aliases a;

    read_names(&a, "task,pole,MAST\nTASK,Pole 2,MAST\nrun,pole,K1\n", NULL);
    ck_assert_str_eq(wr_alias_of(&a, WR_NAME_TASK, "POLE"), "MAST");
    ck_assert_str_eq(wr_alias_of(&a, WR_NAME_TASK, "pole2"), "MAST");
    ck_assert_str_eq(wr_alias_of(&a, WR_NAME_RUN, "pole"), "K1");
    ck_assert_str_eq(wr_alias_of(&a, WR_NAME_LANE, "pole"), "pole");
    ck_assert_str_eq(wr_alias_of(NULL, WR_NAME_TASK, "pole"), "pole");
    wr_aliases_release(&a);
    const struct { const char *rows, *code; } bad[] = {
        {"tool,a,b\n", "names-kind"}, {"task,a,\n", "names-missing"}, {"task,a,b\ntask,A,c\n", "names-twice"},
        {"task,a,b\ntask,b,c\n", "names-chain"}, {"outcome,DONE,skipped\n", "names-outcome"},
        {"outcome,stopped,done\n", "names-outcome"}, {"outcome,Skipped,ok\n", "names-outcome"},
        {"outcome,stopped,skipped\n", "names-outcome"}, {"column,Held,holds\n", "names-column"},
        {"column,Held,-\n", "names-column"}};
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        ck_assert_int_eq(read_names(&a, bad[i].rows, bad[i].code), WR_E_INPUT);
        wr_aliases_release(&a);
    }
    const struct { const char *rows, *code; } read[] = {
        {"outcome,cut off,done\n", "names-done"}, {"outcome,Not finished,OK\n", "names-done"},
        {"outcome,cut off,stopped\n", NULL}, {"outcome,fine,done\n", NULL}, {"outcome,STOPPED,stopped\n", NULL},
        {"column,Held,Hold\n", NULL}};
    for (size_t i = 0; i < sizeof read / sizeof *read; i++) {
        ck_assert_int_eq(read_names(&a, read[i].rows, read[i].code), WR_OK);
        wr_aliases_release(&a);
    }
}
END_TEST

START_TEST(tasks_and_lanes_that_are_meant)
{
    static const char text[] =
        "task,title,crew\nMAST,Raise the mast,EV1\nCABLE,Lay the cable,EV2\nSPARE,Lay the  cable,EV1\n";
    struct wr_plan plan = {0};
    struct wr_aliases a;
    struct wr_findings findings = {0};
    struct wr_str words = {0};
    enum wr_spelling spelling;

    read_names(&a, "task,pole,MAST\nlane,deck,EV2\ntask,rope,CABEL\nlane,sky,EV7\n", NULL);
    plan.aliases = &a;
    ck_assert_int_eq(wr_plan_read_bytes(&plan, "plan.csv", text, sizeof text - 1, &findings, NULL), WR_OK);
    ck_assert_uint_eq(wr_plan_resolve(&plan, "MAST", &spelling), 0);
    ck_assert_int_eq(spelling, WR_PLAIN);
    ck_assert_uint_eq(wr_plan_resolve(&plan, "mast", &spelling), 0);
    ck_assert_int_eq(spelling, WR_SP_NAME);
    ck_assert_uint_eq(wr_plan_resolve(&plan, "raise the Mast", &spelling), 0);
    ck_assert_int_eq(spelling, WR_SP_TITLE);
    ck_assert_uint_eq(wr_plan_resolve(&plan, "lay the cable", NULL), SIZE_MAX); /* two tasks are called so */
    ck_assert_uint_eq(wr_plan_resolve(&plan, "pole", NULL), 0);
    ck_assert_uint_eq(wr_plan_resolve(&plan, "", NULL), SIZE_MAX);
    ck_assert_uint_eq(wr_plan_resolve_lane(&plan, "ev 2", NULL), 1);
    ck_assert_uint_eq(wr_plan_resolve_lane(&plan, "Deck", NULL), 1);
    wr_plan_say_no_task(&plan, "MATS", &words);
    ck_assert_str_eq(words.text, "the plan has no task 'MATS' (did you mean 'MAST'?)");
    wr_str_clear(&words);
    wr_plan_say_no_task(&plan, "rope", &words); /* what is wrong is the row of names.csv, not the name */
    ck_assert_str_eq(words.text, "names.csv takes 'rope' for 'CABEL' (correct that row, or take it out), and the plan "
                                 "has no task 'CABEL' (did you mean 'CABLE'?)");
    wr_str_clear(&words);
    wr_plan_say_no_lane(&plan, "sky", &words);
    ck_assert_ptr_nonnull(strstr(words.text, "names.csv takes 'sky' for 'EV7' (correct that row, or take it out), and "
                                             "the plan has no lane 'EV7'"));
    wr_str_release(&words);
    wr_plan_release(&plan);
    wr_aliases_release(&a);
    wr_findings_release(&findings);
}
END_TEST

/* Lanes of a crew text, in a plan whose other rows name EV1 and EV2 alone (or not). */
static void expect_crew(const char *crew, bool alone, size_t n_lane)
{
    struct wr_plan plan = {0};
    struct wr_findings findings = {0};
    char text[200];

    snprintf(text, sizeof text, "task,crew\n%sC,\"%s\"\n", alone ? "A,EV1\nB,EV2\n" : "", crew);
    enum wr_status status = wr_plan_read_bytes(&plan, "plan.csv", text, strlen(text), &findings, NULL);
    if (n_lane == 0) {
        ck_assert_msg(status == WR_E_INPUT, "'%s' was taken", crew);
    } else {
        ck_assert_msg(status == WR_OK, "'%s' was refused", crew);
        ck_assert_uint_eq(plan.task[plan.n_task - 1].n_lane, n_lane);
        ck_assert_uint_eq(plan.n_lane, 2);
    }
    wr_plan_release(&plan);
    wr_findings_release(&findings);
}

START_TEST(crews_as_people_write_them)
{
    const char *both[] = {"EV1+EV2",
                          "EV1 & EV2",
                          "EV1/EV2",
                          "EV1, EV2",
                          "EV1 and EV2",
                          "both",
                          "All",
                          "EV1;EV2",
                          "EV1 EV2",
                          "EV1-EV2",
                          "EV1_EV2",
                          "EV1  EV2",
                          "EV1 - EV2",
                          ("EV1\xe2\x80\x93"
                           "EV2")};
    const char *open[] = {"EV1 or EV2", "EV1EV2", "EV2 or EV1", "EV1 then EV2", "EV1.EV2"};

    for (size_t i = 0; i < sizeof both / sizeof *both; i++) expect_crew(both[i], true, 2);
    expect_crew("EV1+EV2", false, 2);
    expect_crew("EV1/EV2", false, 0); /* one lane of that name, or two? */
    expect_crew("both", false, 0);
    for (size_t i = 0; i < sizeof open / sizeof *open; i++) expect_crew(open[i], true, 0);
}
END_TEST

/* Lanes of the whole plan. */
START_TEST(lanes_that_look_like_two)
{
    static const struct {
        const char *rows, *names;
        size_t n_lane;
    } c[] = {{"A,1\nB,2\nC,12\n", NULL, 3},
             {"A,I\nB,V\nC,IV\n", NULL, 3},
             {"A,AB\nB,C\nC,ABX\n", NULL, 3},
             {"A,EV1\nB,EV2\nC,EV1 spare\n", NULL, 3},
             {"A,EV1\nB,EV2\nC,EV1andEV2\n", NULL, 3},
             {"A,EV1\nB,EV2\nC,EV1 EV2\nD,both\n", NULL, 2},
             {"A,EV1\nB,EV2\nC,EV1 EV2\nD,all\n", NULL, 2},
             {"A,EV1\nB,EV2\nC,EV1 EV1\n", NULL, 3},
             {"A,EV1\nB,EV2\nC,EV1EV2\n", "kind,from,to\nlane,EV1EV2,EV1EV2\n", 3}};

    for (size_t i = 0; i < sizeof c / sizeof *c; i++) {
        struct wr_aliases names = {0};
        struct wr_plan plan = {.aliases = &names};
        struct wr_findings findings = {0};
        char text[200];

        snprintf(text, sizeof text, "task,crew\n%s", c[i].rows);
        if (c[i].names)
            ck_assert_int_eq(
                wr_aliases_read_bytes(&names, "names.csv", c[i].names, strlen(c[i].names), &findings, NULL), WR_OK);
        ck_assert_int_eq(wr_plan_read_bytes(&plan, "plan.csv", text, strlen(text), &findings, NULL), WR_OK);
        ck_assert_msg(plan.n_lane == c[i].n_lane, "%zu lanes of %s", plan.n_lane, c[i].rows);
        wr_plan_release(&plan);
        wr_aliases_release(&names);
        wr_findings_release(&findings);
    }
}
END_TEST

/* E and V1 stand beside EV2 alone; then EV1 is a lane or both of them, in the plan as written and as read back. */
START_TEST(lanes_named_beside_others_only)
{
    static const char log_text[] = "run,task,crew,start,end\n"
                                   "R1,A,E/V1+EV2,0:00,0:10\nR1,B,EV1,0:10,0:20\nR1,C,EV2,0:20,0:30\n";
    static const char *const plan_text[] = {"task,crew\nA,E/V1+EV2\nB,EV1\nC,EV2\n",
                                            "task,crew\nA,E+V1+EV2\nB,EV1\nC,EV2\n"};
    struct wr_findings findings = {0};
    struct wr_run_log log = {0};

    for (size_t i = 0; i < 2; i++) {
        struct wr_plan plan = {0};
        ck_assert_int_eq(wr_plan_read_bytes(&plan, "plan.csv", plan_text[i], strlen(plan_text[i]), &findings, NULL),
                         WR_E_INPUT);
        wr_plan_release(&plan);
    }
    ck_assert_int_eq(wr_run_log_read_bytes(&log, "runs.csv", log_text, strlen(log_text), NULL, &findings, NULL),
                     WR_E_INPUT);
    for (size_t i = 0; i < findings.n_finding; i++)
        ck_assert_msg(strcmp(findings.finding[i].code, "bad-crew") != 0 || strstr(findings.finding[i].message, "'EV1'"),
                      "%s", findings.finding[i].message);
    wr_run_log_release(&log);
    wr_findings_release(&findings);
}
END_TEST

START_TEST(all_of_no_lanes)
{
    static const char text[] = "task,crew\nA,all\n";
    struct wr_plan plan = {0};
    struct wr_findings findings = {0};
    struct wr_error err = {.text = ""};

    ck_assert_int_eq(wr_plan_read_bytes(&plan, "plan.csv", text, sizeof text - 1, &findings, &err), WR_E_INPUT);
    ck_assert_msg(strstr(err.text, "plan.csv:2:3: crew 'all': no row names a lane alone") != NULL, "%s", err.text);
    wr_plan_release(&plan);
    wr_findings_release(&findings);
}
END_TEST

Suite *suite_names_meant(void);
Suite *suite_names_meant(void)
{
    Suite *s = suite_create("names_meant");
    TCase *t = tcase_create("names_meant");

    tcase_add_test(t, spellings_of_one_name);
    tcase_add_test(t, near_names);
    tcase_add_test(t, names_that_mean_others);
    tcase_add_test(t, tasks_and_lanes_that_are_meant);
    tcase_add_test(t, crews_as_people_write_them);
    tcase_add_test(t, lanes_that_look_like_two);
    tcase_add_test(t, lanes_named_beside_others_only);
    tcase_add_test(t, all_of_no_lanes);
    suite_add_tcase(s, t);
    return s;
}
