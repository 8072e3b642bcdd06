/* Work that the rehearsals did and the plan lacks. Counts and medians by hand. */
#include <check.h>
#include <string.h>
#include "read_campaign.h"
#include "wetrun/base/str.h"
#include "wetrun/timing/unplanned.h"

static const struct {
    const char *plan;      /* below task,crew,planned */
    size_t n_run, n_with;  /* each OUT 0:00-0:10, WORK 0:10-0:40, and so many IN 0:40-1:0r in run r */
    const char *extra;     /* NULL, or who does EXTRA from 0:15 to 0:35 */
    bool on_purpose;
    const char *code, *says;
} cases[] = {
    {"OUT,EV1+EV2,10\nWORK,EV1,30\nIN,EV1+EV2,20\n", 4, 4, NULL, false, NULL, NULL},
    /* the way in: 21 to 25 min */
    {"OUT,EV1+EV2,10\nWORK,EV1,30\n", 5, 5, NULL, false, "way-in-unplanned",
     "no 'IN', which every rehearsal did last (usually 23 min)"},
    {"OUT,EV1+EV2,10\nWORK,EV1,30\n", 4, 4, NULL, true, "way-in-unplanned", "Add it to the plan"},
    {"OUT,EV1+EV2,10\nWORK,EV1,30\n", 4, 3, NULL, false, "way-in-unplanned", "3 of 4 rehearsals did last"},
    {"OUT,EV1+EV2,10\nWORK,EV1,30\n", 4, 2, NULL, false, NULL, NULL},
    /* work on the way; left out on purpose it is no doubt */
    {"OUT,EV1+EV2,10\nIN,EV1+EV2,20\n", 4, 4, NULL, false, "work-unplanned",
     "no 'WORK', which every rehearsal did (usually 30 min)"},
    {"OUT,EV1+EV2,10\nIN,EV1+EV2,20\n", 4, 4, NULL, true, NULL, NULL},
    {"OUT,EV1+EV2,10\nJOB,EV1,30\nIN,EV1+EV2,20\n", 4, 4, NULL, false, "work-unplanned",
     "if it is what the plan calls 'JOB', a row of names.csv says so: task,WORK,JOB"},
    /* a further small thing: in every run, by one of them; in few; by somebody else */
    {"OUT,EV1+EV2,10\nWORK,EV1,30\nIN,EV1+EV2,20\n", 4, 4, "EV2", false, "work-unplanned", "'EXTRA'"},
    {"OUT,EV1+EV2,10\nWORK,EV1,30\nIN,EV1+EV2,20\n", 4, 4, "diver", false, NULL, NULL},
    {"OUT,EV1+EV2,10\nWORK,EV1,30\n", 1, 1, NULL, false, NULL, NULL},
};

START_TEST(what_the_plan_lacks)
{
    struct read_campaign c = {0};
    WR_SCOPED_STR plan = {0}, log = {0};
    const struct wr_finding *found = NULL;

    wr_str_addf(&plan, "task,crew,planned\n%s", cases[_i].plan);
    wr_str_add(&log, "run,task,crew,start,end\n");
    for (size_t r = 1; r <= cases[_i].n_run; r++) {
        wr_str_addf(&log, "R%zu,OUT,EV1+EV2,0:00,0:10\nR%zu,WORK,EV1,0:10,0:40\n", r, r);
        if (cases[_i].extra) wr_str_addf(&log, "R%zu,EXTRA,%s,0:15,0:35\n", r, cases[_i].extra);
        if (r <= cases[_i].n_with) wr_str_addf(&log, "R%zu,IN,EV1+EV2,0:40,1:0%zu\n", r, r);
    }
    read_campaign(&c, plan.text, NULL, log.text);
    size_t before = c.findings.n_finding;
    wr_screen_unplanned(&c.log, &c.plan, &c.timing, cases[_i].on_purpose, &c.findings);
    if (c.findings.n_finding > before) found = &c.findings.finding[before];
    ck_assert_uint_eq(c.findings.n_finding - before, cases[_i].code != NULL);
    if (found) {
        ck_assert_str_eq(found->code, cases[_i].code);
        ck_assert_msg(strstr(found->message, cases[_i].says) != NULL, "%s", found->message);
        ck_assert_uint_gt(found->line, 1);
    }
    read_release(&c);
}
END_TEST

Suite *suite_unplanned(void);
Suite *suite_unplanned(void)
{
    Suite *s = suite_create("unplanned");
    TCase *t = tcase_create("unplanned");

    tcase_add_loop_test(t, what_the_plan_lacks, 0, (int)(sizeof cases / sizeof *cases));
    suite_add_tcase(s, t);
    return s;
}
