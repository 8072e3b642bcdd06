/* Lanes of the plan that did nothing in any rehearsal. */
#include <check.h>
#include <string.h>
#include "read_log.h"
#include "wetrun/base/str.h"
#include "wetrun/campaign/aliases.h"
#include "wetrun/campaign/plan.h"

static const char crews[] = "R1,OUT,EV1+EV2,KV+OM,5\nR1,WORK,EV1,KV,30\nR1,CABLE,EV2,OM,20\nR1,LAMP,EV1,KV,10\n"
                            "R1,IN,EV1+EV2,KV+OM,5\n",
                  people[] = "R1,OUT,KV+OM,,5\nR1,WORK,KV,,30\nR1,CABLE,OM,,20\nR1,LAMP,KV,,10\nR1,IN,KV+OM,,5\n",
                  nobody[] = "R1,OUT,,,5\nR1,WORK,,,30\nR1,CABLE,,,20\nR1,LAMP,,,10\nR1,IN,,,5\n",
                  diver[] = "R1,OUT,EV1+EV2,,5\nR1,WORK,EV1,,30\nR1,CABLE,EV2,,20\nR1,LAMP,EV1,,10\nR1,IN,EV1+EV2,,5\n"
                            "R1,SPARE,diver,,3\n";

static const struct {
    const char *log, *names, *out, *work, *lamp, *more;
    size_t n;
    const char *says;
} cases[] = {
    {crews, NULL, "EV1+EV2", "EV1", "EV1", "", 0, NULL},
    {crews, NULL, "EV1+EV2", "EV1", "EVI", "", 1,
     "lane 'EVI' stands in the plan for 'LAMP' alone and did nothing in any rehearsal; in the log 'EV1' did that"},
    {crews, NULL, "EV1+EV2", "EVI", "EVI", "", 1, "for 'WORK' and 1 more"},
    {crews, NULL, "EVI+EV2", "EV1", "EV1", "", 1, "in the log 'EV1+EV2' did that"},
    {crews, NULL, "EV1+EV2", "EV1", "KV", "", 1, "lane,KV,KV"},
    {crews, NULL, "EV1+EV2", "EV1", "EVI", "NEW,EV3,30\n", 2, "lane,EVI,EVI"},
    /* new work */
    {crews, NULL, "EV1+EV2", "EV1", "EV1", "NEW,EVl,30\n", 1, "rehearsal (did you mean 'EV1'?)"},
    {crews, NULL, "EV1+EV2", "EV1", "EV1", "NEW,KV,30\n", 1, "a performer's name"},
    {crews, NULL, "EV1+EV2", "EV1", "EV1", "NEW,desk,30\n", 1, "rehearsal. As it is"},
    {crews, "lane,desk,desk\n", "EV1+EV2", "EV1", "EV1", "NEW,desk,30\n", 0, NULL},
    /* logs of other people, of people only, of nobody */
    {diver, NULL, "EV1+EV2", "EV1", "EV1", "SPARE,EV9,3\n", 0, NULL},
    {diver, NULL, "EV1+EV2", "EV1", "EVI", "", 1, "in the log 'EV1'"},
    {people, NULL, "EV1+EV2", "EV1", "EV1", "", 0, NULL},
    {people, NULL, "EV1+EV2", "EV1", "EVI", "", 1, "for 'LAMP' alone (did you mean 'EV1'?)"},
    {nobody, NULL, "EV1+EV2", "EV1", "EV1", "", 0, NULL},
    {nobody, NULL, "EV1+EV2", "EV1", "EVI", "", 1, "for 'LAMP' alone (did you mean 'EV1'?)"},
    {nobody, NULL, "EV1+EV2", "EVI", "EVI", "", 0, NULL},
    {nobody, NULL, "EV1+EV3", "EV1", "EV1", "", 0, NULL},
    {nobody, NULL, "EV1+EV2", "EV1", "desk", "", 0, NULL},
};

START_TEST(lanes_that_no_row_has)
{
    struct wr_aliases names = {0};
    struct wr_plan plan = {.aliases = &names};
    struct wr_findings findings = {0};
    WR_SCOPED_STR text = {0}, log = {0}, rows = {0};
    struct outcome o;

    if (cases[_i].names) {
        wr_str_addf(&rows, "kind,from,to\n%s", cases[_i].names);
        ck_assert_int_eq(wr_aliases_read_bytes(&names, "names.csv", rows.text, rows.len, &findings, NULL), WR_OK);
    }
    wr_str_addf(&text, "task,crew,planned\nOUT,%s,5\nWORK,%s,30\nCABLE,EV2,20\nLAMP,%s,10\n%sIN,EV1+EV2,5\n",
                cases[_i].out, cases[_i].work, cases[_i].lamp, cases[_i].more);
    ck_assert_int_eq(wr_plan_read_bytes(&plan, "plan.csv", text.text, text.len, &findings, NULL), WR_OK);
    wr_str_addf(&log, "run,task,crew,performer,minutes\n%s", cases[_i].log);
    log_read_with(&o, log.text, log.len, NULL);
    ck_assert_int_eq(o.status, WR_OK);
    wr_plan_find_odd_lanes(&plan, &o.log, &findings);
    size_t n = 0;
    for (size_t i = 0; i < findings.n_finding; i++) n += strcmp(findings.finding[i].code, "lane-unlogged") == 0;
    ck_assert_uint_eq(n, cases[_i].n);
    const char *message = n ? findings.finding[0].message : NULL;
    if (message) ck_assert_msg(strstr(message, cases[_i].says) != NULL, "%s", message);
    outcome_release(&o);
    wr_plan_release(&plan);
    wr_aliases_release(&names);
    wr_findings_release(&findings);
}
END_TEST

Suite *suite_odd_lanes(void);
Suite *suite_odd_lanes(void)
{
    Suite *s = suite_create("odd_lanes");
    TCase *t = tcase_create("odd_lanes");

    tcase_add_loop_test(t, lanes_that_no_row_has, 0, (int)(sizeof cases / sizeof *cases));
    suite_add_tcase(s, t);
    return s;
}
