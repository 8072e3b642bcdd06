/* Holds that may be one number drawn down a column, or typed once for every run. */
#include <check.h>
#include <string.h>
#include "read_log.h"
#include "wetrun/campaign/aliases.h"

enum { N_RUN = 4 };

/* Tasks of five and six minutes one after the other; their holds as digits, a blank for none, x for skipped. */
static void add_run(struct wr_str *text, int run, const char *holds, const char *column)
{
    int at = 0;

    if (run == 0) wr_str_addf(text, "run,task,crew,start,end,%s,outcome\n", column);
    for (int k = 0; holds[k]; k++) {
        char hold[2] = {holds[k] == ' ' || holds[k] == 'x' ? '\0' : holds[k], '\0'};
        if (holds[k] == 'x') wr_str_addf(text, "R%d,T%d,EV1,,,,skipped\n", run, k);
        else wr_str_addf(text, "R%d,T%d,EV1,0:%02d,0:%02d,%s,\n", run, k, at, at + 5 + k % 2, hold);
        at += holds[k] == 'x' ? 0 : 5 + k % 2;
    }
}

#define ANSWER "kind,from,to\ncolumn,hold,hold\n"

static const struct {
    const char *holds[N_RUN], *column, *names, *code, *says;
} logs[] = {
    {{"  3       ", "      2   ", "          ", " 1        "}, "hold", NULL, NULL, NULL},
    {{"1131111111", "1111112111", "1111111111", "1111111111"}, "hold", NULL, "hold-filled",
     "a hold of 1 min stands in 9 of the 10 timed rows of run 'R0', and 3 more runs are so: drawn down the column? "
     "Each is taken off the time of its row. Leave it empty where nothing was held; if all are meant, a row of "
     "names.csv (header kind,from,to) says so: column,hold,hold"},
    {{"  3       ", "11111111xx", "          ", " 1        "}, "hold", NULL, "hold-filled",
     "a hold of 1 min stands in 8 of the 8 timed rows of run 'R1': drawn"},
    {{"          ", "2222221   ", "22222222  ", "          "}, "hold", NULL, "hold-filled",
     "a hold of 2 min stands in 8 of the 10 timed rows of run 'R2': drawn"},
    {{"          ", "222222    ", "1222222   ", "          "}, "hold", NULL, NULL, NULL}, /* six of ten are too few */
    {{"          ", "      1111", "x1111     ", "          "}, "hold", NULL, "hold-filled",
     "a hold of 1 min stands in 8 timed rows one below the other: drawn"},
    {{"          ", "      1111", " 111      ", "          "}, "hold", NULL, NULL, NULL},
    {{"          ", "      1111", "2111121   ", "          "}, "hold", NULL, NULL, NULL},
    {{"11111", "1111x", "          ", "          "}, "hold", NULL, "hold-filled", "in 9 timed rows"},
    {{"11111", "", "     ", "     "}, "hold", NULL, NULL, NULL},
    {{" 4        ", " 4        ", "14        ", " 4      3 "}, "hold", NULL, "hold-fixed",
     "a hold of 4 min stands in task 'T1' in each of 4 runs, to the digit: measured, or typed once? Each"},
    {{" 4 4 44   ", "444   4   ", " 4   4 4  ", "44  4  4  "}, "hold", NULL, NULL, NULL}, /* a habit */
    {{" 4        ", " 4        ", " 4        ", " 3        "}, "hold", NULL, NULL, NULL},
    {{" 4        ", " 4        ", " 4        ", "          "}, "hold", NULL, NULL, NULL},
    {{" 4        ", " 4        ", " 4        ", " x        "}, "hold", NULL, NULL, NULL}, /* three runs are few */
    {{"1111111111", "1111111111", "1111111111", "1111111111"}, "hold", ANSWER, NULL, NULL},
    {{" 4        ", " 4        ", " 4        ", " 4        "}, "hold", ANSWER, NULL, NULL},
    /* the column's own name says nothing of the holds; and the answer takes no column away */
    {{"1111111111", "1111111111", "1111111111", "1111111111"}, "diver", "kind,from,to\ncolumn,diver,hold\n",
     "hold-filled", "a hold of 1 min stands in 10 of the 10"},
    {{"1111111111", "1111111111", "1111111111", "1111111111"}, "diver", ANSWER "column,diver,hold\n", NULL, NULL},
    {{"1111111111", "1111111111", "1111111111", "1111111111"}, "hold",
     "kind,from,to\ncolumn,hold,step\n", NULL, NULL}, /* they are names of steps */
};

START_TEST(holds_that_are_all_alike)
{
    WR_SCOPED_STR text = {0};
    struct wr_aliases a = {0};
    struct wr_findings none = {0};
    struct outcome o;
    bool has_hold = !logs[_i].names || !strstr(logs[_i].names, "step");

    if (logs[_i].names)
        ck_assert_int_eq(wr_aliases_read_bytes(&a, "names.csv", logs[_i].names, strlen(logs[_i].names), &none, NULL),
                         WR_OK);
    for (int r = 0; r < N_RUN; r++) add_run(&text, r, logs[_i].holds[r], logs[_i].column);
    log_read_as(&o, text.text, &(struct wr_log_options){.aliases = &a});
    ck_assert_msg(o.status == WR_OK, "%s", o.err.text);
    ck_assert_double_eq(o.log.step[0].hold_min, has_hold && logs[_i].holds[0][0] == '1' ? 1 : 0);
    for (size_t i = 0; i < 2; i++) {
        const char *code = i ? "hold-filled" : "hold-fixed";
        bool told = logs[_i].code && strcmp(code, logs[_i].code) == 0;
        ck_assert_msg(outcome_count(&o, code) == told, "%d: %s", _i, code);
        if (told)
            ck_assert_msg(strstr(outcome_finding(&o, code)->message, logs[_i].says) != NULL, "%s",
                          outcome_finding(&o, code)->message);
    }
    outcome_release(&o);
    wr_aliases_release(&a);
}
END_TEST

Suite *suite_odd_holds(void);
Suite *suite_odd_holds(void)
{
    Suite *s = suite_create("odd_holds");
    TCase *t = tcase_create("odd_holds");

    tcase_add_loop_test(t, holds_that_are_all_alike, 0, (int)(sizeof logs / sizeof *logs));
    suite_add_tcase(s, t);
    return s;
}
