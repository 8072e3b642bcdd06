/* What is reported during the day, as a table and as it is typed. Expected values by hand: 9:20 is 560 minutes. */
#include <check.h>
#include <stdint.h>
#include <string.h>
#include "made_plan.h"
#include "wetrun/base/memory.h"
#include "wetrun/base/str.h"
#include "wetrun/campaign/day_report.h"
#include "wetrun/campaign/run_log.h"

static const struct {
    const char *rows; /* below task,start,end,hold */
    double start_min; /* of the excursion; -1: not said */
    const char *code; size_t line, column; /* the first finding, or NULL */
    struct { size_t task; double start, end, hold; } row[3]; size_t n_row; /* -1: not known */
} reports[] = {
    /* a task in several rows: its parts, where one ends before the next begins */
    {"A,0:00,0:10,\nA,0:12,0:20,3\n", -1, NULL, 0, 0, {{0, 0, 20, 3}}, 1},
    {"A,0:00,0:10,\nB,0:10,0:15,\nA,0:15,,\n", -1, NULL, 0, 0, {{0, 0, -1, 0}, {1, 10, 15, 0}}, 2},
    {"A,0:00,,\nA,0:12,0:20,\n", -1, "reported-twice", 3, 1, {{0, 0, 0, 0}}, 0},
    {"A,0:00,0:10,\nA,,0:20,\n", -1, "reported-twice", 3, 1, {{0, 0, 0, 0}}, 0},
    {"A,0:00,0:10,\nA,0:05,0:20,\n", -1, "reported-twice", 3, 1, {{0, 0, 0, 0}}, 0},
    /* how late it is now */
    {"A,0:00,0:10,\n,0:25,,\n", -1, NULL, 0, 0, {{0, 0, 10, 0}, {SIZE_MAX, 25, -1, 0}}, 2},
    {"A,0:00,0:10,\n,0:25,0:30,\n", -1, "no-moment", 3, 2, {{0, 0, 0, 0}}, 0},
    {"A,0:00,0:10,\n,0:25,,5\n", -1, "no-moment", 3, 2, {{0, 0, 0, 0}}, 0},
    {"A,0:00,0:10,\n,,0:30,\n", -1, "no-moment", 3, 2, {{0, 0, 0, 0}}, 0},
    {"A,,,\n", -1, "no-moment", 2, 3, {{0, 0, 0, 0}}, 0},
    /* numbers without a colon: what they are is seen from all of them */
    {"A,0905,0930,\nB,0930,1130,\n", -1, NULL, 0, 0, {{0, 545, 570, 0}, {1, 570, 690, 0}}, 2},
    {"A,0905,0930,\nB,0930,1130,\n", 540, NULL, 0, 0, {{0, 5, 30, 0}, {1, 30, 150, 0}}, 2},
    {"A,1005,1130,\n", -1, "bad-moment", 2, 3, {{0, 0, 0, 0}}, 0}, /* or minutes */
    {"A,0,134,\n", -1, NULL, 0, 0, {{0, 0, 134, 0}}, 1},           /* from 0: minutes */
    {"A,0,134,\n", 540, NULL, 0, 0, {{0, 0, 134, 0}}, 1},
    {"A,10,134,\n", -1, "bad-moment", 2, 6, {{0, 0, 0, 0}}, 0},    /* 0:10 and 1:34, or minutes */
    {"A,5,25,\n", 0, NULL, 0, 0, {{0, 5, 25, 0}}, 1},
    {"A,5,25,\n", 540, "bad-moment", 2, 3, {{0, 0, 0, 0}}, 0},
    {"A,0,134,\nB,2:14,,\n", -1, "bad-moment", 2, 5, {{0, 0, 0, 0}}, 0}, /* of both kinds: each speaks for itself */
    {"A,100001,,\n", -1, "bad-moment", 2, 3, {{0, 0, 0, 0}}, 0},          /* ten weeks later */
};

static void is_minutes(struct wr_maybe got, double wanted, const char *rows)
{
    ck_assert_msg(got.known == (wanted >= 0), "%s", rows);
    if (got.known) ck_assert_msg(got.value > wanted - 1e-9 && got.value < wanted + 1e-9, "%s: %g", rows, got.value);
}

START_TEST(a_table_of_reports)
{
    struct wr_maybe start = reports[_i].start_min < 0 ? WR_UNKNOWN : wr_known(reports[_i].start_min);
    struct wr_day_report report = {0};
    struct wr_findings findings = {0};
    struct wr_plan plan = {0};
    struct wr_str text = {0};
    struct wr_error err = {.text = ""};
    bool bad = reports[_i].code != NULL;

    made_plan_add(&plan, "A", "EV1", "");
    made_plan_add(&plan, "B", "EV2", "");
    made_plan_finish(&plan);
    wr_str_addf(&text, "task,start,end,hold\n%s", reports[_i].rows);
    enum wr_status status =
        wr_day_report_read_bytes(&report, "day.csv", text.text, text.len, &plan, NULL, start, &findings, &err);
    ck_assert_msg(status == (bad ? WR_E_INPUT : WR_OK), "%s: %s", reports[_i].rows, err.text);
    if (bad) {
        const struct wr_finding *f = &findings.finding[0];
        ck_assert_msg(strcmp(f->code, reports[_i].code) == 0 && f->line == reports[_i].line &&
                          f->column == reports[_i].column,
                      "%s: %s at %zu:%zu", reports[_i].rows, f->code, f->line, f->column);
    } else {
        ck_assert_uint_eq(report.n_row, reports[_i].n_row);
        for (size_t i = 0; i < report.n_row; i++) {
            ck_assert_uint_eq(report.row[i].task, reports[_i].row[i].task);
            is_minutes(report.row[i].start_min, reports[_i].row[i].start, reports[_i].rows);
            is_minutes(report.row[i].end_min, reports[_i].row[i].end, reports[_i].rows);
            ck_assert_double_eq_tol(report.row[i].hold_min, reports[_i].row[i].hold, 1e-9);
        }
    }
    wr_day_report_release(&report);
    wr_findings_release(&findings);
    wr_str_release(&text);
    made_plan_release(&plan);
}
END_TEST

/* A column that may be holds, or say what became of a step, is not passed over. */
START_TEST(columns_that_must_be_read)
{
    static const char *const name[] = {"paused", "result", "Elapsed min", "min", "took",
                                      "Phase", "part", "sub-task", "step no"};
    struct wr_plan plan = {0};

    made_plan_add(&plan, "A", "EV1", "");
    made_plan_finish(&plan);
    for (size_t i = 0; i < sizeof name / sizeof *name; i++) {
        struct wr_day_report report = {0};
        struct wr_findings findings = {0};
        struct wr_str text = {0};
        struct wr_error err = {.text = ""};
        wr_str_addf(&text, "task,start,%s\nA,0:00,\n", name[i]);
        ck_assert_int_eq(wr_day_report_read_bytes(&report, "day.csv", text.text, text.len, &plan, NULL, WR_UNKNOWN,
                                                  &findings, &err),
                         WR_E_INPUT);
        ck_assert_str_eq(findings.finding[0].code, "column-unread");
        ck_assert_uint_eq(findings.finding[0].column, 12);
        wr_day_report_release(&report);
        wr_findings_release(&findings);
        wr_str_release(&text);
    }
    made_plan_release(&plan);
}
END_TEST

/* Minutes stand for the end; words in a column that is not read, for an outcome. By hand. */
START_TEST(columns_of_a_log)
{
    static const struct { const char *text, *code; size_t column; double end_min; } cases[] = {
        {"task,start,end,minutes\nA,0:05,,90\n", NULL, 0, 95},
        {"task,start,duration\nA,0:05,1:30\n", NULL, 0, 95},
        {"task,start,end,minutes\nA,0:05,0:25,20.5\n", NULL, 0, 25},
        {"task,start,end,minutes\nA,0:05,,\n", NULL, 0, -1},
        {"task,start,end,minutes\nA,0:05,0:25,22\n", "bad-moment", 13, 0},
        {"task,start,end,minutes\nA,,0:25,20\n", "no-moment", 9, 0},
        {"task,start,end,minutes\n,0:25,,20\n", "no-moment", 8, 0},
        {"task,start,end,minutes\nA,0:05,,soon\n", "bad-number", 9, 0},
        {"task,start,end,note\nA,0:05,0:25,not complete: stopped\n", "report-outcome", 13, 0},
        {"task,start,end,note\nA,0:05,0:25,Skipped\n", "report-outcome", 13, 0},
        {"task,start,end,note\nA,0:05,0:25,all well\n", NULL, 0, 25},
        {"task,start,end,note,outcome\nA,0:05,0:25,bolt 3 skipped,done\n", NULL, 0, 25},
    };
    struct wr_plan plan = {0};

    made_plan_add(&plan, "A", "EV1", "");
    made_plan_finish(&plan);
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct wr_day_report report = {0};
        struct wr_findings findings = {0};
        struct wr_error err = {.text = ""};
        enum wr_status status = wr_day_report_read_bytes(&report, "day.csv", cases[i].text, strlen(cases[i].text),
                                                         &plan, NULL, WR_UNKNOWN, &findings, &err);
        ck_assert_msg(status == (cases[i].code ? WR_E_INPUT : WR_OK), "%s: %s", cases[i].text, err.text);
        const struct wr_finding *error = NULL;
        for (size_t f = 0; f < findings.n_finding && !error; f++)
            if (findings.finding[f].severity == WR_ERROR) error = &findings.finding[f];
        if (error)
            ck_assert_msg(strcmp(error->code, cases[i].code) == 0 && error->column == cases[i].column,
                          "%s: %s at column %zu", cases[i].text, error->code, error->column);
        else
            is_minutes(report.row[0].end_min, cases[i].end_min, cases[i].text);
        wr_day_report_release(&report);
        wr_findings_release(&findings);
    }
    made_plan_release(&plan);
}
END_TEST

/* One run, and one day or one that goes on past midnight. By hand: 23:30 and 0:20 are 50 minutes apart. */
START_TEST(rows_of_other_days)
{
    static const struct { const char *text; double start_min; size_t line, column; } cases[] = {
        {"run,task,start\nR 1,A,0:00\nr1,B,0:10\n,,0:20\n", -1, 0, 0},
        {"run,task,start\nR1,A,0:00\nR2,B,0:10\n", -1, 3, 1},
        {"date,task,start\n2031-04-18,A,0:00\n2031-04-18,B,0:10\n", -1, 0, 0},
        {"date,task,start\n2031-04-18,A,0:00\n2031-04-19,B,0:10\n", -1, 0, 0},
        {"date,task,start\n2031-04-19,A,0:00\n2031-04-18,B,0:10\n", -1, 2, 1},
        {"date,task,start\n2031-04-18,A,0:00\n2031-04-20,B,0:10\n", -1, 3, 1},
        {"date,task,start\n2031-04-18,A,23:30\n2031-04-19,B,0:20\n", 1410, 0, 0},
        {"date,task,start\n2031-04-18,A,9:00\n2031-04-19,B,9:20\n", 540, 3, 1}, /* the next morning */
        {"date,task,start\nday 3,A,0:00\nday 3,B,0:10\n", -1, 0, 0},
        {"date,task,start\nday 3,A,0:00\nday 4,B,0:10\n", -1, 3, 1},
        {"task,start,end\nA,2031-04-18 23:30,2031-04-19 00:10\nB,2031-04-18 23:40,\n", 1410, 0, 0},
        {"task,start,end\nA,2031-04-18 09:00,\nB,2031-04-19 09:10,\n", 540, 3, 3}, /* no midnight between */
    };
    struct wr_plan plan = {0};

    made_plan_add(&plan, "A", "EV1", "");
    made_plan_add(&plan, "B", "EV2", "");
    made_plan_finish(&plan);
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct wr_maybe start = cases[i].start_min < 0 ? WR_UNKNOWN : wr_known(cases[i].start_min);
        struct wr_day_report report = {0};
        struct wr_findings findings = {0};
        struct wr_error err = {.text = ""};
        enum wr_status status = wr_day_report_read_bytes(&report, "day.csv", cases[i].text, strlen(cases[i].text),
                                                         &plan, NULL, start, &findings, &err);
        ck_assert_msg(status == (cases[i].line ? WR_E_INPUT : WR_OK), "%s: %s", cases[i].text, err.text);
        for (size_t f = 0; f < findings.n_finding; f++)
            if (findings.finding[f].severity == WR_ERROR)
                ck_assert_msg(strcmp(findings.finding[f].code, "report-days") == 0 &&
                                  findings.finding[f].line == cases[i].line &&
                                  findings.finding[f].column == cases[i].column,
                              "%s: %s", cases[i].text, err.text);
        wr_day_report_release(&report);
        wr_findings_release(&findings);
    }
    made_plan_release(&plan);
}
END_TEST

/* Rehearsals: A has two steps, in five runs of which the last has a third as well; B has none, C one per run. */
static void rehearse(struct wr_run_log *log)
{
    WR_SCOPED_STR text = {0};
    struct wr_log_options options = {0};
    struct wr_findings findings = {0};
    struct wr_error err = {.text = ""};

    wr_str_add(&text, "run,task,subtask,start,end\n");
    for (int i = 1; i <= 5; i++)
        wr_str_addf(&text, "R%d,A,First half,9:00,9:10\nR%d,A,second half,9:10,9:2%d\nR%d,B,,9:20,9:30\n"
                           "R%d,C,way %d,9:30,9:40\n", i, i, i, i, i, i);
    wr_str_add(&text, "R5,A,third,9:25,9:28\n");
    options.columns = "step=subtask";
    const struct wr_log_text source = {"runs.csv", text.text, text.len};
    ck_assert_msg(wr_run_log_read_texts(log, &source, 1, &options, &findings, &err) == WR_OK, "%s", err.text);
    wr_findings_release(&findings);
}

/* One of several steps that is done does not pass for the task: joined, by hand. */
static const struct {
    const char *rows; /* below task,step,crew,start,end,hold */
    const char *error;
    double start, end, hold, last; /* of the first row; end -1: it goes on */
    const char *warning, *says;
} steps[] = {
    {"A,first half,,4:05,4:20,\n", NULL, 245, -1, 0, 260, "task-in-part",
     "its step 'second half', which rehearsals had"},
    {"A,second half,,4:05,4:20,\n", NULL, 245, -1, 0, 260, "task-in-part", "its step 'First half'"},
    {"A,FIRST  half,,4:05,4:20,2\nA,second half,,4:20,4:39,3\n", NULL, 245, 279, 5, 279, NULL, NULL},
    {"A,second half,,4:20,4:39,\nA,first half,,4:05,4:20,\n", NULL, 245, 279, 0, 279, NULL, NULL},
    /* one that goes on: since its first row, and now is not before the last */
    {"A,first half,,4:05,4:20,\nA,second half,,4:50,,\n", NULL, 245, -1, 0, 290, NULL, NULL},
    {"A,first half,,4:05,,\nA,second half,,4:20,4:39,\n", NULL, 245, -1, 0, 279, NULL, NULL},
    /* the row of the whole, or of its end */
    {"A,,,4:05,4:39,\n", NULL, 245, 279, 0, 279, NULL, NULL},
    {"A,first half,,4:05,4:20,\nA,,,4:20,4:39,\n", NULL, 245, 279, 0, 279, NULL, NULL},
    {"A,,,4:05,4:20,\nA,first half,,4:20,4:39,\n", NULL, 245, -1, 0, 279, "task-in-part", "'second half'"},
    /* of B no rehearsal names a step, of C each another */
    {"B,count,,5:50,6:02,\n", NULL, 350, -1, 0, 362, "task-in-part", "no rehearsal tells"},
    {"C,way 1,,5:50,6:02,\n", NULL, 350, -1, 0, 362, "task-in-part", "'way 2'"},
    /* at one time: two steps, or one in two lanes, held once */
    {"A,first half,,4:05,4:25,1\nA,second half,,4:20,4:39,1\n", NULL, 245, 279, 1, 279, NULL, NULL},
    {"C,,EV1,4:05,4:30,4\nC,,EV2,4:05,4:39,3\n", NULL, 245, 279, 4, 279, NULL, NULL},
    {"C,,EV1,4:05,4:30,\nC,,EV2,4:05,,\n", NULL, 245, -1, 0, 270, NULL, NULL},
    {"A,first half,,4:05,4:25,\nA,First Half,,4:20,4:39,\n", "reported-twice", 0, 0, 0, 0, NULL, NULL},
    {"A,first half,,,4:20,\n", "no-moment", 0, 0, 0, 0, NULL, NULL},
    {"A,first half,,,4:20,\nA,second half,,4:20,4:39,\n", NULL, -1, 279, 0, 279, NULL, NULL},
    /* a crew that is not the plan's */
    {"A,,EV1,4:05,4:39,\n", NULL, 245, 279, 0, 279, NULL, NULL},
    {"C,,ev2 & EV1,4:05,4:39,\n", NULL, 245, 279, 0, 279, NULL, NULL},
    {"C,,both,4:05,4:39,\n", NULL, 245, 279, 0, 279, NULL, NULL},
    {"A,,EV2,4:05,4:39,\n", NULL, 245, 279, 0, 279, "crew-differs", "'EV1'"},
    {"C,,EV2,4:05,4:39,\n", NULL, 245, 279, 0, 279, "crew-differs", "'EV1+EV2'"},
    {"A,,EV7,4:05,4:39,\n", NULL, 245, 279, 0, 279, "crew-not-in-plan", "'EV7'"},
};

static void plan_of_steps(struct wr_plan *plan)
{
    made_plan_add(plan, "A", "EV1", "");
    made_plan_add(plan, "B", "EV2", "");
    made_plan_add(plan, "C", "EV1+EV2", "");
    made_plan_finish(plan);
}

START_TEST(steps_of_a_task)
{
    struct wr_run_log log = {0};
    struct wr_plan plan = {0};
    struct wr_day_report report = {0};
    struct wr_findings findings = {0};
    struct wr_error err = {.text = ""};
    WR_SCOPED_STR text = {0};
    const struct wr_finding *told = NULL;

    rehearse(&log);
    plan_of_steps(&plan);
    wr_str_addf(&text, "task,Subtask,crew,start,end,hold\n%s", steps[_i].rows);
    enum wr_status status =
        wr_day_report_read_bytes(&report, "day.csv", text.text, text.len, &plan, &log, WR_UNKNOWN, &findings, &err);
    ck_assert_msg(status == (steps[_i].error ? WR_E_INPUT : WR_OK), "%s: %s", steps[_i].rows, err.text);
    for (size_t f = 0; f < findings.n_finding; f++)
        if (findings.finding[f].severity != WR_NOTE) told = &findings.finding[f];
    const char *wanted = steps[_i].error ? steps[_i].error : steps[_i].warning;
    ck_assert_msg((told != NULL) == (wanted != NULL), "%s: %s", steps[_i].rows, told ? told->message : "nothing");
    if (told) ck_assert_msg(strcmp(told->code, wanted) == 0, "%s: %s", steps[_i].rows, told->message);
    if (steps[_i].says) ck_assert_msg(strstr(told->message, steps[_i].says) != NULL, "%s", told->message);
    if (!steps[_i].error) {
        ck_assert_uint_eq(report.n_row, 1);
        is_minutes(report.row[0].start_min, steps[_i].start, steps[_i].rows);
        is_minutes(report.row[0].end_min, steps[_i].end, steps[_i].rows);
        ck_assert_double_eq_tol(report.row[0].hold_min, steps[_i].hold, 1e-9);
        ck_assert_double_eq_tol(report.row[0].last_min, steps[_i].last, 1e-9);
    }
    wr_day_report_release(&report);
    wr_findings_release(&findings);
    made_plan_release(&plan);
    wr_run_log_release(&log);
}
END_TEST

Suite *suite_day_report(void);
Suite *suite_day_report(void)
{
    Suite *s = suite_create("day_report");
    TCase *t = tcase_create("day_report");

    tcase_add_loop_test(t, a_table_of_reports, 0, (int)(sizeof reports / sizeof *reports));
    tcase_add_loop_test(t, steps_of_a_task, 0, (int)(sizeof steps / sizeof *steps));
    tcase_add_test(t, columns_that_must_be_read);
    tcase_add_test(t, columns_of_a_log);
    tcase_add_test(t, rows_of_other_days);
    suite_add_tcase(s, t);
    return s;
}
