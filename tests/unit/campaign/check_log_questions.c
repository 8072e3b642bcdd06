/* What a log leaves open: that it is asked about, where, and with what to type; and that nothing is asked where the
 * file itself, or an option, settles it. */
#include <check.h>
#include <string.h>
#include "made_plan.h"
#include "read_log.h"

#define TIMES "run,task,start,end\n"
#define SPANS "run,task,minutes\n"

static const struct {
    const char *text;
    struct wr_log_options options;
    const char *code; /* NULL: read without a question */
    size_t line, column;
    const char *says; /* or, without a code, nothing */
} questions[] = {
    /* numbers without a colon: a time of day, or minutes since the run began? */
    {TIMES "R,A,905,910\nR,B,910,925\n", {0}, "times-ambiguous", 2, 5, "'905' may be the time of day 9:05"},
    {TIMES "R,A,905,910\nR,B,910,925\n", {.times = WR_TIMES_ELAPSED}, NULL, 0, 0, NULL},
    {TIMES "R,A,905,910\nR,B,910,925\n", {.times = WR_TIMES_CLOCK}, NULL, 0, 0, NULL},
    {TIMES "R,A,0,130\nR,B,130,145\n", {0}, NULL, 0, 0, NULL},       /* from 0: elapsed */
    {TIMES "R,A,0905,0910\nR,B,0910,1025\n", {0}, NULL, 0, 0, NULL}, /* nobody writes minutes so */
    {TIMES "R,A,1005,1010\nR,B,1010,1025\n", {0}, "times-ambiguous", 2, 5, "time of day 10:05"}, /* but so they might */
    {TIMES "R,A,0000,0010\nR,B,0010,0130\n", {0}, "times-ambiguous", 2, 5, "time of day 0:00"},
    {TIMES "R,A,5,10\nR,B,10,25\n", {0}, NULL, 0, 0, NULL}, /* below 100: minutes */
    {TIMES "R,A,9.05,9.10\nR,B,9.10,9.25\n", {0}, "times-ambiguous", 2, 5, "'9.05' may be the time of day 9:05"},
    {TIMES "R,A,0,9.10\nR,B,9.10,9.25\n", {0}, NULL, 0, 0, NULL},
    {TIMES "R,A,9.75,9.90\n", {0}, NULL, 0, 0, NULL}, /* no clock shows 75 minutes */
    {TIMES "R,A,0.375,0.380\n", {0}, "times-ambiguous", 2, 5, "as a fraction of a day, or 0.375 minutes"},
    {TIMES "R,A,0.375,0.380\n", {.times = WR_TIMES_DAY}, NULL, 0, 0, NULL},
    {TIMES "R,A,0,1\nR,B,1,1\n", {0}, NULL, 0, 0, NULL},
    {TIMES "R,A,905,910\nR,B,9:10,9:25\n", {0}, NULL, 0, 0, NULL}, /* a row of each kind: refused, not asked about */
    {TIMES "R,A,0,5\nS,A,0,6\nT,A,905,910\n", {0}, "times-doubtful", 4, 5, "the times of 1 run of this file could be"},
    {TIMES "R,A,0,5\nS,A,0,6\nT,A,905,910\nU,A,910,925\n", {0}, "times-doubtful", 4, 5, "the times of 2 runs of this"},
    /* a clock of twelve hours? 11:40 to 2:45 takes 3:05, and from 1:10 on to 12:55 11:45 */
    {TIMES "R,A,11:40,12:55\nR,B,1:10,1:50\nR,C,1:50,2:45\n", {0}, "times-half-day", 2, 0,
     "run 'R' takes 11:45 as its times stand, 3:05 on a clock of twelve hours, and no time of the log is behind 12:59"},
    {TIMES "R,A,11:40,12:50\nR,B,12:50,1:10\n", {0}, "times-half-day", 3, 0, "a step goes from 12:50 to 1:10, and"},
    {TIMES "R,A,11:40,12:55\nR,B,1:10,1:50\nR,C,1:50,2:45\n", {.times = WR_TIMES_12H}, NULL, 0, 0, NULL},
    {TIMES "R,A,11:40,12:50\nR,B,12:50,1:10\n", {.times = WR_TIMES_12H}, NULL, 0, 0, NULL},
    {TIMES "R,A,11:40,12:55\nR,B,1:10,1:50\n", {.times = WR_TIMES_CLOCK}, NULL, 0, 0, NULL},
    {TIMES "R,A,11:40,12:55\nR,B,1:10,1:50\nS,A,12:40,13:05\n", {0}, NULL, 0, 0, NULL}, /* of 24 hours */
    {TIMES "R,A,11:40 AM,12:55 PM\nR,B,1:10 PM,1:50 PM\n", {0}, NULL, 0, 0, NULL},
    {TIMES "R,A,1:30,4:00\nR,B,4:00,8:30\nR,C,8:30,12:40\n", {0}, NULL, 0, 0, NULL}, /* one long morning */
    {TIMES "R,A,6:00,9:00\nR,B,12:00,12:50\n", {0}, NULL, 0, 0, NULL},              /* with a rest in it */
    {TIMES "R,A,10:05,10:34\nR,B,10:34,10:16\n", {0}, NULL, 0, 0, NULL},            /* a slip */
    /* day or month first? */
    {"run,task,date,minutes\nR,A,03/04/2031,5\n", {0}, "dates-ambiguous", 2, 5, "'03/04/2031': day or month first?"},
    {"run,task,date,minutes\nR,A,03/04/2031,5\n", {.dates = WR_DAY_FIRST}, NULL, 0, 0, NULL},
    {"run,task,date,minutes\nR,A,03/04/2031,5\nS,A,13/04/2031,5\n", {0}, NULL, 0, 0, NULL},
    {"run,task,date,minutes\nR,A,03/04/2031,5\nS,A,04/13/2031,5\n", {0}, NULL, 0, 0, NULL},
    {"run,task,date,minutes\nR,A,13/04/2031,5\nS,A,04/13/2031,5\nT,A,04/03/2031,5\n",
     {0},
     "dates-ambiguous",
     2,
     5,
     "--dates dmy"},
    {"run,task,date,minutes\nR,A,03/03/2031,5\n", {0}, NULL, 0, 0, NULL}, /* the same either way */
    /* the cell above */
    {"run,task,minutes\nR,A,5\n\",\",B,6\n", {0}, NULL, 0, 0, NULL},
    {"run,task,crew,minutes\nR,A,EV1,5\nR,B,ditto,6\n",
     {0},
     "as-above",
     3,
     5,
     "'ditto' (1 such cell): does it mean what the row above says? add --fill-down crew"},
    {"run,task,crew,minutes\nR,A,EV1,5\nditto,B,ditto,6\nditto,C,EV2,6\n",
     {0},
     "as-above",
     3,
     1,
     "'ditto' (3 such cells): does it mean what the row above says? add --fill-down run,crew"},
    {"run,task,crew,minutes\nR,A,EV1,5\nditto,B,ditto,6\n", {.fill_down = "run,crew"}, NULL, 0, 0, NULL},
    {"run,task,crew,minutes\nR,A,EV1,5\nditto,B,ditto,6\n", {.fill_down = "run"}, "as-above", 3, 9, "--fill-down crew"},
    {"run,task,minutes\nR,A,5\n,B,6\n,C,7\n,D,8\n", {0}, "run-once", 3, 1, "3 of 4 rows name no run"},
    {"run,task,minutes\nR,A,5\n,B,6\n,C,7\n,D,8\n", {.fill_down = "run"}, NULL, 0, 0, NULL},
    {"run,task,minutes\nR,A,5\nR,B,6\nR,C,5\nR,D,5\n,E,6\n,F,7\n,G,8\n", {0}, NULL, 0, 0, NULL}, /* slips */
    /* struck out, or a name? */
    {"run,task,minutes\n#R,A,5\nS,A,6\n#R,B,7\n", {0}, "struck-out", 2, 1, "2 of 3 rows begin with '#'"},
    {"run,task,minutes\n\"#R\",A,5\nS,A,6\n", {0}, NULL, 0, 0, NULL},
    {"run,task,minutes\n#1,A,5\n#2,A,6\n", {0}, NULL, 0, 0, NULL}, /* such are its names */
    {"run,task,minutes\nR,A,5\n# lunch,,\nS,A,6\n", {0}, NULL, 0, 0, NULL},
    /* two clocks? */
    {TIMES "R,A,09:00Z,09:10Z\nR,B,09:10,09:20Z\n", {0}, "zone-ambiguous", 2, 5, "1 other time of this file does not"},
    {TIMES "R,A,09:00Z,09:10Z\nR,B,09:10,09:20\n", {0}, "zone-ambiguous", 2, 5, "2 other times of this file do not"},
    {TIMES "R,A,09:00Z,09:10Z\nR,B,09:10Z,09:20Z\n", {0}, NULL, 0, 0, NULL},
    /* minutes with a colon */
    {SPANS "R,A,26:10\nR,B,14:05\nR,C,0:26\n", {0}, "minutes-ambiguous", 2, 5, "'26:10' and 1 more of 3"},
    {SPANS "R,A,26:10\nR,B,0:14\n", {0}, NULL, 0, 0, NULL}, /* one slip: its row is refused */
    {SPANS
     "R,A,26:10\nR,B,14:05\nR,C,0:26\nR,D,0:05\nR,E,0:05\nR,F,0:05\nR,G,0:05\nR,H,0:05\nR,I,0:05\nR,J,0:05\nR,K,0:05\n",
     {0},
     NULL,
     0,
     0,
     NULL}, /* two of eleven */
    {SPANS "R,A,0:26:10\nR,B,0:14:05\n", {0}, NULL, 0, 0, NULL},
    {SPANS "R,A,07:10\nR,B,07:05\n", {0}, NULL, 0, 0, NULL}, /* below 8 hours */
    {SPANS "R,A,\"ab:10\"\nR,B,\"cd:10\"\nR,C,5\n", {0}, NULL, 0, 0, NULL},
    /* seconds? */
    {SPANS "R,A,600\nR,B,900\nR,C,20\n", {0}, "minutes-ambiguous", 1, 1, "2 of 3 steps would take more than 8 hours"},
    {SPANS "R,A,600\nR,B,900\nR,C,20\n", {.minutes_per_unit = 1}, NULL, 0, 0, NULL},
    {SPANS "R,A,600\nR,B,30\n", {0}, NULL, 0, 0, NULL},
    {SPANS "R,A,0.5\nR,B,0.6\n", {0}, "minutes-ambiguous", 1, 1, "2 of 2 steps would take less than a minute"},
    {SPANS "R,A,0:00:30\nR,B,0:00:36\n", {0}, NULL, 0, 0, NULL}, /* seconds, and they say so */
    {"run,task,minutes,depth\nR,A,5,12\nR,B,6,11\n", {0}, NULL, 0, 0, NULL}, /* numbers, but of nothing held */
    {"run,task,minutes,held sec\nR,A,5,60\n",
     {0},
     "column-unread",
     1,
     18,
     "--columns hold=\"held sec\" with --minutes-in seconds"},
    /* further columns */
    {"run,task,minutes,state\nR,A,5,ok\nR,B,6,partly\n",
     {0},
     "column-unread",
     1,
     18,
     "--columns outcome=\"state\" takes it so"},
    {"run,task,minutes,state\nR,A,5,ok\nR,B,6,partly\n", {.columns = "outcome=-"}, NULL, 0, 0, NULL},
    {"run,task,minutes,state\nR,A,5,ok\nR,B,6,ok\n", {0}, NULL, 0, 0, NULL}, /* of the run, as it seems */
    {"run,task,minutes,pool\nR,A,5,done\nR,B,6,stopped\n", {0}, "column-unread", 1, 18, "what became of each step"},
    {"run,task,minutes,pool\nR,A,5,cold\nR,B,6,warm\n", {0}, NULL, 0, 0, NULL},
    {"run,task,minutes,outcome,state\nR,A,5,done,ok\nR,B,6,done,partly\n", {0}, NULL, 0, 0, NULL}, /* there is one */
    {"run,task,minutes,state\nR,A,5,\nR,B,6,\n", {0}, NULL, 0, 0, NULL},
    {"run,task,minutes,held\nR,A,5,1\nR,B,6,\n", {0}, "column-unread", 1, 18, "--columns hold=\"held\" takes it so"},
    {"run,task,minutes,held [s]\nR,A,5,60\n",
     {0},
     "column-unread",
     1,
     18,
     "hold=\"held [s]\" with --minutes-in seconds takes"},
    {"run,task,minutes,held [h]\nR,A,5,0.1\n", {0}, "column-unread", 1, 18, "with --minutes-in hours takes"},
    {"run,task,minutes,held (h)\nR,A,5,0.1\n", {0}, "column-unread", 1, 18, "with --minutes-in hours takes"},
    {"run,task,minutes,held by\nR,A,5,Ann\n", {0}, NULL, 0, 0, NULL},
    {"run,task,minutes,hold,held again\nR,A,5,1,1\n", {0}, NULL, 0, 0, NULL},
    {"run,task,minutes,held\nR,A,5,1\n", {.columns = "hold=-"}, NULL, 0, 0, NULL},
};
static const char *const asked[] = {"times-ambiguous", "dates-ambiguous",   "as-above",      "run-once",
                                    "zone-ambiguous",  "minutes-ambiguous", "column-unread", "times-doubtful",
                                    "struck-out"};

START_TEST(a_question_where_there_is_one)
{
    const char *code = questions[_i].code;
    struct outcome o;

    log_read_as(&o, questions[_i].text, &questions[_i].options);
    for (size_t i = 0; i < sizeof asked / sizeof *asked; i++)
        ck_assert_msg(outcome_count(&o, asked[i]) == (code && strcmp(code, asked[i]) == 0), "%s: %s", asked[i],
                      questions[_i].text);
    if (code) {
        const struct wr_finding *f = outcome_finding(&o, code);
        bool warned = strcmp(code, "times-doubtful") == 0;
        outcome_has(&o, code, warned ? WR_WARNING : WR_ERROR, questions[_i].line, questions[_i].column);
        ck_assert_msg(strstr(f->message, questions[_i].says) != NULL, "%s", f->message);
        ck_assert_int_eq(o.status, warned ? WR_OK : WR_E_INPUT);
    } else {
        ck_assert_msg(o.status == WR_OK, "%s: %s", questions[_i].text, o.err.text);
    }
    outcome_release(&o);
}
END_TEST

START_TEST(columns_that_can_be_filled_down)
{
    static const struct {
        const char *text, *refused;
    } c[] = {{"run", NULL},      {"RUN,Task,step,crew,performer,date", NULL},
             {"run,", NULL},     {"", NULL},
             {"start", "start"}, {"run,minutes", "minutes"},
             {"ru", "ru"},       {"run,runs", "runs"}};
    struct outcome o;

    log_read_as(&o, "run,task,minutes\nR,A,5\n", &(struct wr_log_options){.fill_down = c[_i].text});
    ck_assert_int_eq(o.status, c[_i].refused ? WR_E_USAGE : WR_OK);
    if (c[_i].refused) {
        struct wr_str said = {0};
        wr_str_addf(&said, "--fill-down: '%s' is no column to fill", c[_i].refused);
        ck_assert_ptr_nonnull(strstr(o.err.text, wr_str_text(&said)));
        wr_str_release(&said);
    }
    outcome_release(&o);
}
END_TEST

/* Below a minute each: hours? Where the plan allots times, the log's are held against those instead. */
START_TEST(minutes_that_may_be_hours)
{
    for (int planned = 0; planned < 2; planned++) {
        struct wr_plan plan = {0};
        struct outcome o;
        size_t at = made_plan_add(&plan, "A", "EV1", "");
        if (planned) plan.task[at].planned_min = wr_known(30);
        made_plan_finish(&plan);
        log_read_as(&o, SPANS "R,A,0.5\nS,A,0.6\n", &(struct wr_log_options){.plan = &plan});
        ck_assert_uint_eq(outcome_count(&o, "minutes-ambiguous"), !planned);
        outcome_release(&o);
        made_plan_release(&plan);
    }
}
END_TEST

/* Three spellings of one name are one question. */
START_TEST(spellings_are_asked_about_once)
{
    struct outcome o;
    struct wr_str text = {0};

    wr_str_add(&text, SPANS "R,mast,5\nS,MAST,6\nT,Mast,7\n");
    log_read_as(&o, text.text, &(struct wr_log_options){0});
    ck_assert_int_ne(o.status, WR_OK);
    ck_assert_uint_eq(outcome_count(&o, "names-alike"), 1);
    outcome_release(&o);
    wr_str_clear(&text);
    wr_str_add(&text, SPANS "R,leak test,5\nS,leak  test,6\nR,hatch in,5\nS,hatch\xc2\xa0in,6\n"); /* none is lost */
    log_read_as(&o, text.text, &(struct wr_log_options){0});
    ck_assert_ptr_nonnull(strstr(outcome_finding(&o, "names-alike")->message,
                                 "tasks 'leak test' and 'leak\xe2\x90\xa3\xe2\x90\xa3test' "));
    ck_assert_uint_eq(outcome_count(&o, "names-alike"), 2);
    ck_assert_ptr_nonnull(strstr(o.findings.finding[1].message, "'hatch in' and 'hatch\xe2\x90\xa3in' "));
    outcome_release(&o);
    wr_str_clear(&text);
    wr_str_add(&text, SPANS); /* and of very many twenty are listed */
    for (int i = 0; i < 25; i++) wr_str_addf(&text, "R,mast%d,5\nS,MAST%d,6\n", i, i);
    log_read_as(&o, text.text, &(struct wr_log_options){0});
    ck_assert_int_ne(o.status, WR_OK);
    ck_assert_uint_eq(outcome_count(&o, "names-alike"), 20);
    outcome_release(&o);
    wr_str_release(&text);
}
END_TEST

Suite *suite_log_questions(void);
Suite *suite_log_questions(void)
{
    Suite *s = suite_create("log_questions");
    TCase *t = tcase_create("log_questions");

    tcase_add_loop_test(t, a_question_where_there_is_one, 0, (int)(sizeof questions / sizeof *questions));
    tcase_add_loop_test(t, columns_that_can_be_filled_down, 0, 8);
    tcase_add_test(t, minutes_that_may_be_hours);
    tcase_add_test(t, spellings_are_asked_about_once);
    suite_add_tcase(s, t);
    return s;
}
