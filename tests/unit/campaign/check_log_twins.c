/* Rehearsals that stand in two logs. All logs here are invented. */
#include <check.h>
#include <string.h>
#include "wetrun/campaign/log_twins.h"

#define HEADER "run,task,crew,start,end\n"
#define UNTIMED "run,task,minutes\n"
#define FIRST "R1,OUT,EV1,9:00,9:10\nR1,A,EV1,9:10,9:31\nR1,IN,EV1,9:31,9:40\n"
#define SECOND "R2,OUT,EV1,9:00,9:12\nR2,A,EV1,9:12,9:30\nR2,IN,EV1,9:30,9:41\n"
#define THIRD "R3,OUT,EV1,9:00,9:09\nR3,A,EV1,9:09,9:33\nR3,IN,EV1,9:33,9:45\n"
#define FIRST_LATER "D7,A,EV1,14:10,14:31\nD7,IN,EV1,14:31,14:40\nD7,OUT,EV1,14:00,14:10\n"

static void read_log(struct wr_run_log *log, const char *text)
{
    struct wr_findings findings = {0};
    struct wr_log_options options = {0};
    struct wr_error err = {.text = ""};

    *log = (struct wr_run_log){0};
    ck_assert_msg(wr_run_log_read_bytes(log, "runs.csv", text, strlen(text), &options, &findings, &err) == WR_OK, "%s",
                  err.text);
    wr_findings_release(&findings);
}

START_TEST(rehearsals_in_two_logs)
{
    static const struct { const char *log, *other, *run, *twin; } cases[] = {
        {HEADER FIRST SECOND THIRD, HEADER FIRST SECOND THIRD, "R1", "R1"},
        {HEADER FIRST_LATER, HEADER SECOND FIRST, "D7", "R1"}, /* at another time, in another order */
        {HEADER SECOND FIRST_LATER, HEADER FIRST, NULL, NULL}, /* three steps of six: may be chance */
        {HEADER FIRST SECOND THIRD, HEADER THIRD SECOND, NULL, NULL}, /* six */
        {HEADER FIRST, HEADER "R1,OUT,EV1,9:00,9:10\nR1,A,EV1,9:10,9:31\nR1,IN,EV1,9:31,9:41\n", NULL, NULL},
        {HEADER FIRST, HEADER "R1,OUT,EV1,9:00,9:10\nR1,B,EV1,9:10,9:31\nR1,IN,EV1,9:31,9:40\n", NULL, NULL},
        {HEADER "R1,OUT,EV1,9:00,9:10\nR1,A,EV1,9:10,9:31\n", HEADER "R1,OUT,EV1,9:00,9:10\nR1,A,EV1,9:10,9:31\n", NULL,
         NULL}, /* two steps */
        {UNTIMED "R1,A,1\nR1,B,2\nR1,C,3\nR1,D,4\nR1,E,5\n", UNTIMED "X,A,1\nX,B,2\nX,C,3\nX,D,4\nX,E,5\n", "R1", "X"},
        {UNTIMED "R1,A,1\nR1,B,2\nR1,C,3\nR1,D,4\n", UNTIMED "X,A,1\nX,B,2\nX,C,3\nX,D,4\n", NULL, NULL},
    };

    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct wr_run_log log, other;
        struct wr_log_twin twin = {NULL, NULL};
        read_log(&log, cases[i].log);
        read_log(&other, cases[i].other);
        ck_assert_msg(wr_log_has_twin(&log, &other, &twin) == (cases[i].run != NULL), "case %zu", i);
        if (cases[i].run) ck_assert_str_eq(twin.run, cases[i].run);
        if (cases[i].run) ck_assert_str_eq(twin.other, cases[i].twin);
        wr_run_log_release(&log);
        wr_run_log_release(&other);
    }
}
END_TEST

Suite *suite_log_twins(void);
Suite *suite_log_twins(void)
{
    Suite *s = suite_create("log_twins");
    TCase *t = tcase_create("log_twins");

    tcase_add_test(t, rehearsals_in_two_logs);
    suite_add_tcase(s, t);
    return s;
}
