/* Spellings at the edge of what is read: each beside one that is not. */
#include <check.h>
#include <string.h>
#include "made_plan.h"
#include "read_log.h"
#include "wetrun/campaign/aliases.h"
#include "wetrun/campaign/near_name.h"

/* ---- who did it ---- */

/* Ten rows of each of two lanes, so that they are known, and one of what is asked. */
static const struct {
    const char *crew, *read;
} crews[] = {{"EV1+EV2", "EV1+EV2"},       {"EV1 & EV2", "EV1+EV2"},     {"EV1 and EV2", "EV1+EV2"},
             {"EV1 AND EV2", "EV1+EV2"},   {"EV1 with EV2", "EV1+EV2"},  {"EV1;EV2", "EV1+EV2"},
             {"EV1/EV2", "EV1+EV2"},       {"both", "EV1+EV2"},          {"Everybody", "EV1+EV2"},
             {"all", "EV1+EV2"},           {"EV1 andEV2", "EV1 andEV2"}, {"EV1 withEV2", "EV1 withEV2"},
             {"EV1and EV2", "EV1and EV2"}, {"EV1 EV2", "EV1+EV2"}};

START_TEST(lanes_joined_in_other_ways)
{
    struct wr_str text = {0};
    struct outcome o;

    wr_str_add(&text, "run,task,crew,minutes\n");
    for (int i = 0; i < 10; i++) wr_str_addf(&text, "R%d,A,EV1,5\nR%d,B,EV2,6\n", i, i);
    wr_str_addf(&text, "R0,C,%s,7\n", crews[_i].crew);
    read_good(&o, wr_str_text(&text));
    ck_assert_str_eq(outcome_step(&o, "R0", "C", 0)->crew, crews[_i].read);
    outcome_release(&o);
    wr_str_release(&text);
}
END_TEST

START_TEST(lanes_that_may_be_one)
{
    static const char *const crew[] = {"EV1 an EV2", "EV1 wit EV2", "EV1 or EV2", "EV1EV2"};

    for (size_t i = 0; i < sizeof crew / sizeof *crew; i++) {
        WR_SCOPED_STR text = {0};
        struct outcome o;
        wr_str_addf(&text, "run,task,crew,minutes\nR0,A,EV1,5\nR0,B,EV2,6\nR0,C,%s,7\n", crew[i]);
        log_read_with(&o, text.text, text.len, NULL);
        ck_assert_int_eq(o.status, WR_E_INPUT);
        outcome_has(&o, "bad-crew", WR_ERROR, 4, 0);
        outcome_release(&o);
    }
}
END_TEST

/* ---- names ---- */

START_TEST(names_that_differ_in_marks_and_blanks)
{
    static const struct {
        const char *a, *b;
        bool same;
    } c[] = {{"fit-cover",
              "fit\xe2\x80\x93"
              "cover",
              true},                                       /* en dash */
             {"fit-cover", "fit\xe2\x80\x94 cover", true}, /* em dash, and a blank */
             {"crew's", "crew\xe2\x80\x99s", true},        /* quotes of word processors */
             {"\"big\" bolt",
              "\xe2\x80\x9c"
              "big\xe2\x80\x9d bolt",
              true},
             {"bolt", "bo\xe2\x80\xa2lt", false}, /* a bullet is a mark of its own */
             {"bolt", "bolt\xe2\x80", false},     /* half a character */
             {"a b",
              "a\xc2\xa0"
              "b",
              true}, /* no break */
             {"a b",
              "a\xe2\x80\xaf"
              "b",
              true}, /* narrow, no break */
             {"ab",
              "a\xe2\x80\x8b"
              "b",
              true}, /* no width */
             {"ab",
              "a\xe2\x81\xa0"
              "b",
              true}, /* joins words */
             {"ab",
              "\xef\xbb\xbf"
              "ab",
              true}, /* a byte-order mark */
             {"ab",
              "a\xe2\x81\xa1"
              "b",
              false}, /* a function sign of mathematics */
             {"ab",
              "a\xe2\x80\xb0"
              "b",
              false}, /* per mille */
             {"ab",
              "a\xef\xbb\xbc"
              "b",
              false},
             {"\xc3\xa9t\xc3\xa9", "\xc3\x89T\xc3\x89", true}, /* capitals of Latin-1 */
             {"\xc3\x97", "\xc3\xb7", false},                  /* times is no capital of divided by */
             {"3", "3.0", true},
             {"3", "3.00", false},
             {"a", "a.0", false},
             {"'9", "9", true}};

    for (size_t i = 0; i < sizeof c / sizeof *c; i++)
        ck_assert_msg(wr_same_but_for_spelling(c[i].a, c[i].b) == c[i].same, "%s, %s", c[i].a, c[i].b);
}
END_TEST

/* ---- names.csv ---- */

static const struct {
    const char *rows, *code;
} alias_rows[] = {{"performer,Anne,Ann\n", NULL},
                  {"crew,E1,EV1\n", NULL},
                  {"Person,Anne,Ann\nperson,ANNE,Ann\n", NULL},
                  {"diver,Anne,Ann\n", "names-kind"},
                  {"task,,Ann\n", "names-missing"},
                  {"task,Anne,\n", "names-missing"},
                  {"task,Anne,Ann\ntask,anne,Bob\n", "names-twice"},
                  {"task,Anne,Ann\nrun,Anne,Bob\n", NULL}};

START_TEST(rows_of_names)
{
    struct wr_aliases a = {0};
    struct wr_findings findings = {0};
    struct wr_str text = {0};

    wr_str_addf(&text, "kind,from,to\n%s", alias_rows[_i].rows);
    enum wr_status status = wr_aliases_read_bytes(&a, "names.csv", text.text, text.len, &findings, NULL);
    ck_assert_int_eq(status, alias_rows[_i].code ? WR_E_INPUT : WR_OK);
    if (alias_rows[_i].code) ck_assert_str_eq(findings.finding[0].code, alias_rows[_i].code);
    else if (_i < 3)
        ck_assert_str_eq(wr_alias_of(&a, _i == 1 ? WR_NAME_LANE : WR_NAME_PERSON, _i == 1 ? "E1" : "Anne"),
                         _i == 1 ? "EV1" : "Ann");
    wr_aliases_release(&a);
    wr_findings_release(&findings);
    wr_str_release(&text);
}
END_TEST

/* RFC 4180: a field with a comma, a quote or a line break stands in quotes, its own quotes twice. */
START_TEST(rows_to_be_pasted)
{
    static const struct {
        const char *from, *to, *row;
    } c[] = {{"a", "b", "task,a,b"},
             {"a,b", "c", "task,\"a,b\",c"},
             {"a \"b\"", "c", "task,\"a \"\"b\"\"\",c"},
             {"a\nb", "c", "task,\"a\nb\",c"},
             {"a\rb", "c", "task,\"a\rb\",c"},
             {" a", "b ", "task,\" a\",\"b \""},
             {"", "b", "task,,b"}};
    struct wr_str out = {0}, text = {0};

    for (size_t i = 0; i < sizeof c / sizeof *c; i++) {
        wr_str_clear(&out);
        wr_alias_add_row(&out, WR_NAME_TASK, c[i].from, c[i].to);
        ck_assert_str_eq(wr_str_text(&out), c[i].row);
    }
    for (int i = 0; i < 161; i++) wr_str_add_char(&text, 'x');
    wr_str_clear(&out);
    wr_alias_add_row(&out, WR_NAME_TASK, wr_str_text(&text), wr_str_text(&text));
    ck_assert_str_eq(wr_str_text(&out), "task,FROM,TO");
    wr_str_release(&out);
    wr_str_release(&text);
}
END_TEST

/* ---- outcomes, sums ---- */

START_TEST(outcomes_that_are_no_words_of_ours)
{
    static const struct {
        const char *outcome, *says;
    } c[] = {{"stoped", "did you mean 'stopped'?"},
             {"not done", "names.csv say which it is: outcome,not done,stopped"},
             {"undone", "names.csv say which it is: outcome,undone,stopped"},
             {"no done", "names.csv say which it is: outcome,no done,stopped"},
             {"x", "done, or skipped?"},
             {"no", "stopped, or skipped?"},
             {"-", "stopped, or skipped?"}};

    for (size_t i = 0; i < sizeof c / sizeof *c; i++) {
        struct wr_str text = {0};
        struct outcome o;
        wr_str_addf(&text, "run,task,minutes,outcome\nG,G,5,done\nR,A,5,%s\n", c[i].outcome);
        log_read_as(&o, text.text, &(struct wr_log_options){0});
        ck_assert_msg(strstr(outcome_finding(&o, "row-bad-outcome")->message, c[i].says) != NULL, "%s",
                      outcome_finding(&o, "row-bad-outcome")->message);
        outcome_release(&o);
        wr_str_release(&text);
    }
}
END_TEST

START_TEST(outcomes_that_are)
{
    static const struct {
        const char *outcome;
        enum wr_outcome is;
    } c[] = {
        {"OK", WR_DONE}, {"Yes", WR_DONE}, {"\xe2\x9c\x93", WR_DONE}, {"finished", WR_DONE}, {"STOPPED", WR_STOPPED}};

    for (size_t i = 0; i < sizeof c / sizeof *c; i++) {
        struct wr_str text = {0};
        struct outcome o;
        wr_str_addf(&text, "run,task,minutes,outcome\nR,A,5,%s\n", c[i].outcome);
        read_good(&o, text.text);
        ck_assert_int_eq(outcome_step(&o, "R", "A", 0)->outcome, c[i].is);
        outcome_release(&o);
        wr_str_release(&text);
    }
}
END_TEST

/* A row called Total is none of the log's, unless the plan or names.csv have such a task. */
START_TEST(a_row_that_sums_up)
{
    struct wr_aliases a = {0};
    struct wr_findings findings = {0};
    struct wr_plan plan = {0};
    static const char names[] = "kind,from,to\ntask,Total,Total\n", log[] = "run,task,minutes\nR,A,5\nR,Total,5\n";
    struct outcome o;

    read_good(&o, log);
    ck_assert_uint_eq(o.log.n_task, 1);
    outcome_release(&o);
    ck_assert_int_eq(wr_aliases_read_bytes(&a, "names.csv", names, strlen(names), &findings, NULL), WR_OK);
    log_read_as(&o, log, &(struct wr_log_options){.aliases = &a});
    ck_assert_uint_eq(o.log.n_task, 2);
    outcome_release(&o);
    made_plan_add(&plan, "A", "EV1", "");
    made_plan_finish(&plan);
    log_read_as(&o, log, &(struct wr_log_options){.plan = &plan});
    ck_assert_uint_eq(o.log.n_task, 1);
    outcome_release(&o);
    made_plan_release(&plan);
    plan = (struct wr_plan){0};
    made_plan_add(&plan, "TOTAL", "EV1", "");
    made_plan_finish(&plan);
    log_read_as(&o, log, &(struct wr_log_options){.plan = &plan});
    ck_assert_uint_eq(o.log.n_task, 2);
    outcome_release(&o);
    made_plan_release(&plan);
    wr_aliases_release(&a);
    wr_findings_release(&findings);
}
END_TEST

/* ---- columns of other names ---- */

static const struct {
    const char *log, *columns, *names, *trouble;
} columns[] = {
    {"Case,Activity,minutes\nR,A,5\n", "run=Case,task=Activity", NULL, NULL},
    {"Case,Activity,minutes\nR,A,5\n", NULL, "column,Case,run\ncolumn,Activity,task\n", NULL},
    {"Case,Activity,minutes\nR,A,5\n", "run=Case", "column,Activity,task\ncolumn,Other,run\n", NULL},
    {"run,task,minutes\nR,A,5\n", NULL, "column,Case,run\n", NULL}, /* a file without it is none to complain of */
    {"\"a \"\"b\"\"\",task,minutes\nR,A,5\n", "run=\"a \"\"b\"\"\"", NULL, NULL},
    {"\"a,b\",task,minutes\nR,A,5\n", "run=\"a,b\",task=task", NULL, NULL},
    {"run,task,minutes\nR,A,5\n", "run", NULL, "lacks '='"},
    {"run,task,minutes\nR,A,5\n", "colour=run", NULL, "'colour' is no column of a log"},
    {"run,task,minutes\nR,A,5\n", "run=run,run=task", NULL, "run is named twice"},
    {"run,task,minutes\nR,A,5\n", "run=\"run", NULL, "the quote after run= is not closed"},
    {"run,task,minutes\nR,A,5\n", "run=", NULL, "run= names no column"},
    {"run,task,minutes\nR,A,5\n", "run=\"run\"x", NULL, "text after the closing quote of run"},
    {"run,task,minutes\nR,A,5\n", "run=Case", NULL, "Case"},
    {"run,run,task,minutes\nR,R,A,5\n", NULL, NULL, "there are two columns 'run'"},
    {"step,task,minutes\nR,A,5\n", "run=step", NULL, NULL}, /* given away: it is no step besides */
    {"Session No,Task name,Duration\nR,A,5\n", NULL, NULL, "run=\"Session No\""},
    {"Dive,Job,Diver hold,Start time,End time\nR,A,1,9:00,9:10\n", NULL, NULL, "hold=\"Diver hold\""},
    {"Dive,Job,Start time,End time,Duration\nR,A,9:00,9:10,10\n", NULL, NULL,
     "start=\"Start time\",end=\"End time\""},
    {"run,Tasks,minutes\nR,A,5\n", "run=run", NULL, NULL},
    {"run,Tasks,minutes\nR,A,5\n", "step=Tasks", NULL, "task"}, /* given away: it is no task besides */
    {"Rehearsals of the deck\nCase,Activity,minutes\nR,A,5\n", "run=Case,task=Activity", NULL, NULL},
    {"Who,What\nR,A\n", NULL, NULL, "run=NAME"},
    {"a,b,c,d,e,f,g,h,i,j,k,l,m,n\n1,2,3,4,5,6,7,8,9,0,1,2,3,4\n", NULL, NULL, " k, l"},
};

START_TEST(columns_of_other_names)
{
    struct wr_aliases a = {0};
    struct wr_findings findings = {0};
    struct wr_str text = {0};
    struct outcome o;

    wr_str_addf(&text, "kind,from,to\n%s", columns[_i].names ? columns[_i].names : "task,x,y\n");
    ck_assert_int_eq(wr_aliases_read_bytes(&a, "names.csv", text.text, text.len, &findings, NULL), WR_OK);
    log_read_as(&o, columns[_i].log, &(struct wr_log_options){.columns = columns[_i].columns, .aliases = &a});
    if (columns[_i].trouble) {
        ck_assert_int_ne(o.status, WR_OK);
        ck_assert_msg(strstr(o.err.text, columns[_i].trouble) != NULL, "%s", o.err.text);
    } else {
        ck_assert_msg(o.status == WR_OK, "%s", o.err.text);
        ck_assert_str_eq(o.log.run[0].id, "R");
        ck_assert_double_eq(outcome_step(&o, "R", "A", 0)->active_min, 5);
    }
    outcome_release(&o);
    wr_aliases_release(&a);
    wr_findings_release(&findings);
    wr_str_release(&text);
}
END_TEST

/* ---- where the table begins ---- */

START_TEST(what_stands_above_a_table)
{
    static const char *const logs[] = {"sep=;\nrun;task;minutes\nR;A;5\n",
                                       "\"sep=;\"\nrun;task;minutes\nR;A;5\n",
                                       "SEP=|\r\nrun|task|minutes\r\nR|A|5\r\n",
                                       "Rehearsals of the deck\n\n,,\nrun,task,minutes\nR,A,5\n",
                                       "# one\n# two\nrun,task,minutes\nR,A,5\n",
                                       " \t\nrun,task,minutes\nR,A,5\n",
                                       ";;;\nrun;task;minutes\nR;A;5",
                                       "\xef\xbb\xbfsep=\t\nrun\ttask\tminutes\nR\tA\t5\n",
                                       "sep=\nrun,task,minutes\nR,A,5\n",
                                       "sep=,\nrun;task;minutes\nR;A;5\n"};

    for (size_t i = 0; i < sizeof logs / sizeof *logs; i++) {
        struct outcome o;
        read_good(&o, logs[i]);
        ck_assert_msg(o.log.n_step == 1, "%s", logs[i]);
        ck_assert_double_eq(outcome_step(&o, "R", "A", 0)->active_min, 5);
        outcome_release(&o);
    }
}
END_TEST

/* "both" of the people names nobody: it stays as it is. A crew that the plan does not settle stays so, too. */
START_TEST(people_and_crews_that_stay_as_typed)
{
    struct wr_plan plan = {0};
    struct outcome o;

    read_good(&o, "run,task,crew,performer,minutes\nR,A,EV1,Ann,5\nR,B,EV2,Bob,5\nR,C,EV1+EV2,both,5\n");
    ck_assert_str_eq(outcome_step(&o, "R", "C", 0)->performer, "both");
    outcome_release(&o);
    made_plan_add(&plan, "A", "EV1", "");
    made_plan_add(&plan, "B", "EV2", "");
    made_plan_add(&plan, "C", "EV3", "");
    made_plan_finish(&plan);
    log_read_as(&o, "run,task,crew,minutes\nR,A,EV1,5\nR,B,both,5\n", &(struct wr_log_options){.plan = &plan});
    ck_assert_msg(o.status == WR_OK, "%s", o.err.text);
    ck_assert_str_eq(outcome_step(&o, "R", "B", 0)->crew, "both"); /* two of three */
    outcome_release(&o);
    made_plan_release(&plan);
}
END_TEST

/* A plan without crews leaves it to the log, and the log has no lane alone. */
START_TEST(both_without_a_lane_alone)
{
    struct wr_plan_task task[] = {{.id = "A", .title = "A", .kind = ""}};
    struct wr_plan plan = {.task = task, .n_task = 1};
    struct outcome o;

    log_read_as(&o, "run,task,crew,minutes\nR,A,both,5\n", &(struct wr_log_options){.plan = &plan});
    ck_assert_int_ne(o.status, WR_OK);
    ck_assert_msg(strstr(o.err.text, "crew 'both': which two lanes are both?") != NULL, "%s", o.err.text);
    outcome_release(&o);
}
END_TEST

Suite *suite_odd_spellings(void);
Suite *suite_odd_spellings(void)
{
    Suite *s = suite_create("odd_spellings");
    TCase *t = tcase_create("odd_spellings");

    tcase_add_loop_test(t, lanes_joined_in_other_ways, 0, (int)(sizeof crews / sizeof *crews));
    tcase_add_test(t, lanes_that_may_be_one);
    tcase_add_test(t, names_that_differ_in_marks_and_blanks);
    tcase_add_loop_test(t, rows_of_names, 0, (int)(sizeof alias_rows / sizeof *alias_rows));
    tcase_add_test(t, rows_to_be_pasted);
    tcase_add_test(t, outcomes_that_are_no_words_of_ours);
    tcase_add_test(t, outcomes_that_are);
    tcase_add_test(t, a_row_that_sums_up);
    tcase_add_loop_test(t, columns_of_other_names, 0, (int)(sizeof columns / sizeof *columns));
    tcase_add_test(t, what_stands_above_a_table);
    tcase_add_test(t, people_and_crews_that_stay_as_typed);
    tcase_add_test(t, both_without_a_lane_alone);
    suite_add_tcase(s, t);
    return s;
}
