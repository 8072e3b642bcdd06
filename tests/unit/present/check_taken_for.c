/* What a log was taken for, in words: each from a log that is of that kind. */
#include <check.h>
#include <string.h>
#include "../../../src/present/taken_for.h"
#include "read_log.h"

static const struct {
    const char *log, *said;
} taken[] = {
    {"run,task,minutes\nR1,A,5\n", "runs.csv is taken for a step log: commas between the columns; run, task, minutes. "
                                   "Times: minutes without a start. Runs: 1 kept, none lost. "},
    {"run;task;minutes\nR1;A;5\n",
     "runs.csv is taken for a step log: semicolons between the columns; run, task, minutes."},
    {"# of the deck\nrun\ttask\tminutes\nR1\tA\t5\n",
     "tabs between the columns, header in line 2; run, task, minutes."},
    {"run|task|minutes\nR1|A|5\n", "bars between the columns; run, task, minutes."},
    {"RUN,Task,Start,End\nR1,A,9:00,9:10\n", "commas between the columns; run = 'RUN', task = 'Task', "},
    {"run,task,start,end\nR1,A,9:00,9:10\nR2,A,0,12\nR3,A,0,11\n", " in 1 run, "},
    {"run,task,start,end\nR1,A,9:00,9:10\nR2,A,0,12\nR3,A,0,11\n", " in 2 runs. "},
    {"run,task,minutes,basin,Dead time\nR1,A,5,east,\n",
     "minutes without a start. Columns not read, but for compare --by: basin, Dead time. Runs: 1 kept"},
    {"run,task,minutes\nT-3,A,5\nT-1,A,6\n", "Runs: 2 kept, none lost, in the order of the log. "},
    {"run,date,task,minutes\nT-3,2031-03-04,A,5\nT-1,2031-03-01,A,6\n", "none lost, in order of their dates. "},
    {"run,task,minutes\nR1,A,5\nR2,A,x\n", "Runs: 1 kept, 1 lost (R2). "},
    {"run,task,minutes\nR1,A,5\nR2,A,x\nR3,A,x\n", "Runs: 1 kept, 2 lost (R2, R3). "},
    {"run,task,minutes\nR0,A,5\nR1,A,x\nR2,A,x\nR3,A,x\nR4,A,x\nR5,A,x\nR6,A,x\nR7,A,x\nR8,A,x\nR9,A,x\nR10,A,x\n"
     "R11,A,x\nR12,A,x\nR13,A,x\n",
     "13 lost (R1, R2, R3, R4, R5, R6, R7, R8, R9, R10, R11, R12"},
};

START_TEST(what_a_log_is_taken_for)
{
    struct outcome o;
    struct wr_str out = {0};

    log_read_as(&o, taken[_i].log, &(struct wr_log_options){0});
    ck_assert_msg(o.status == WR_OK, "%s", o.err.text);
    struct wr_check_result result = {.log = &o.log, .findings = &o.findings};
    wr_taken_for_table(&result, 10000, &out); /* a width that breaks no line */
    for (size_t i = 0; i < out.len; i++)
        if (out.text[i] == '\n') out.text[i] = ' ';
    ck_assert_msg(strstr(wr_str_text(&out), taken[_i].said) != NULL, "%s", wr_str_text(&out));
    wr_str_release(&out);
    outcome_release(&o);
}
END_TEST

START_TEST(nothing_is_said_without_a_log)
{
    struct wr_str out = {0};
    struct wr_findings findings = {0};

    wr_taken_for_table(&(struct wr_check_result){.findings = &findings}, 80, &out);
    ck_assert_uint_eq(strspn(wr_str_text(&out), " \n"), out.len);
    wr_str_release(&out);
}
END_TEST

Suite *suite_taken_for(void);
Suite *suite_taken_for(void)
{
    Suite *s = suite_create("taken_for");
    TCase *t = tcase_create("taken_for");

    tcase_add_loop_test(t, what_a_log_is_taken_for, 0, (int)(sizeof taken / sizeof *taken));
    tcase_add_test(t, nothing_is_said_without_a_log);
    suite_add_tcase(s, t);
    return s;
}
