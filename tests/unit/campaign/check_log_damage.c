/* Hostile and damaged step logs: no row is lost, and damage stays where it is. All logs here are invented. */
#include <check.h>
#include <math.h>
#include <stdint.h>
#include <string.h>
#include "read_log.h"

/* ---- hostile text ---- */

START_TEST(text_is_kept_as_it_is)
{
    struct outcome o;
    const char *id = "`id` $(x) @x ! <b>&amp; \x1b[31m \xff\xfe 'q' %s%n";
    struct wr_str text = {0};

    wr_str_addf(&text, "run,task,minutes\n\"%s\",\"a \"\"b\"\"\nc\",5\n%s,T,%s\n", id, id, id);
    read_good(&o, text.text);
    ck_assert_str_eq(o.log.run[0].id, id);
    ck_assert_str_eq(o.log.task[0], "a \"b\"\nc");
    ck_assert_uint_eq(o.log.rows_rejected, 1);
    ck_assert_ptr_nonnull(strstr(o.rejected.text, "%s%n")); /* not taken for a format */
    outcome_release(&o);
    wr_str_release(&text);
}
END_TEST

START_TEST(very_long_values)
{
    struct outcome o;
    struct wr_str text = {0};

    wr_str_add(&text, "run,task,minutes\n");
    for (int i = 0; i < 200000; i++) wr_str_add_char(&text, 'r');
    wr_str_add(&text, ",T,5\nR,T,");
    for (int i = 0; i < 200000; i++) wr_str_add_char(&text, '9');
    wr_str_add_char(&text, '\n');
    read_good(&o, text.text);
    ck_assert_uint_eq(o.log.rows_accepted, 1);
    ck_assert_uint_eq(strlen(o.log.run[0].id), 200000);
    outcome_release(&o);
    wr_str_release(&text);
}
END_TEST

/* ---- no row is lost, whatever happens to the bytes ---- */

static void mutilate(struct wr_str *text, uint64_t *state)
{
    static const char nasty[] = "\"\n\r,;\t\0:-9R\xef ";
    size_t n = 1 + next_random(state) % 12;

    for (size_t i = 0; i < n && text->len > 40; i++) {
        size_t at = 35 + next_random(state) % (text->len - 35); /* the header stays */
        char c = nasty[next_random(state) % (sizeof nasty - 1)];
        switch (next_random(state) % 3) {
        case 0: text->text[at] = c; break;
        case 1: /* delete a stretch */
        {
            size_t cut = 1 + next_random(state) % 9;
            if (cut > text->len - at) cut = text->len - at;
            memmove(text->text + at, text->text + at + cut, text->len - at - cut);
            text->len -= cut;
            break;
        }
        default: /* insert */
            wr_str_add_char(text, c);
            memmove(text->text + at + 1, text->text + at, text->len - at - 1);
            text->text[at] = c;
        }
    }
}

static void check_accounts(const struct outcome *o)
{
    const struct wr_run_log *log = &o->log;
    size_t in_steps = 0, in_runs = 0, as_errors = 0;

    ck_assert_uint_eq(log->rows_read, log->rows_accepted + log->rows_rejected);
    ck_assert_uint_eq(o->n_rejected, log->rows_rejected);
    for (size_t i = 0; i < o->findings.n_finding; i++) {
        const struct wr_finding *f = &o->findings.finding[i];
        as_errors += strncmp(f->code, "row-", 4) == 0;
        ck_assert(strncmp(f->code, "row-", 4) != 0 || (f->line >= 2 && f->column >= 1 && f->severity == WR_ERROR));
    }
    ck_assert_uint_eq(as_errors, log->rows_rejected);
    if (o->status != WR_OK) return;
    for (size_t i = 0; i < log->n_step; i++) {
        const struct wr_log_step *s = &log->step[i];
        in_steps += s->n_row;
        ck_assert(s->run < log->n_run && s->task < log->n_task);
        ck_assert(isfinite(s->active_min) && s->active_min >= 0 && isfinite(s->hold_min) && s->hold_min >= 0);
        if (s->has_clock && s->n_row == 1)
            ck_assert_double_eq_tol(s->end_min - s->start_min, s->active_min + s->hold_min, 1e-6);
        ck_assert(s->start_min >= 0 && s->end_min >= s->start_min);
    }
    for (size_t i = 0; i < log->n_run; i++) in_runs += log->run[i].n_row;
    ck_assert_uint_eq(in_runs, log->rows_accepted);
    ck_assert_uint_eq(in_steps + log->rows_duplicate, log->rows_accepted);
}

START_TEST(mutilated_logs_lose_no_row)
{
    uint64_t state = 20310304;
    size_t rejected = 0, accepted = 0;

    for (int round = 0; round < 1500; round++) {
        struct wr_str text = {0};
        struct outcome o;
        wr_str_add(&text, "run,task,step,start,end,hold,outcome,pool\n");
        for (int i = 0; i < 30; i++)
            wr_str_addf(&text, "R%d,\"T%d\",%s,%02d:%02d,%02d:%02d,%s,%s,\"deep, \"\"blue\"\"\"\n", i / 10, i % 10,
                        i % 4 ? "" : "\"step\nwith two lines\"", 8 + i % 10, i, 8 + i % 10, i + 20, i % 3 ? "" : "2.5",
                        i % 7 ? "" : "stopped");
        mutilate(&text, &state);
        log_read_with(&o, text.text, text.len, NULL);
        check_accounts(&o);
        rejected += o.log.rows_rejected;
        accepted += o.log.rows_accepted;
        outcome_release(&o);
        wr_str_release(&text);
    }
    ck_assert_uint_gt(rejected, 3000); /* the mutilation bites */
    ck_assert_uint_gt(accepted, 30000);
}
END_TEST

/* Damage stays where it is: one bad row among good ones costs that row alone. */
START_TEST(a_log_as_it_was_before_a_rehearsal)
{
    struct outcome o;
    struct wr_error err = {0};

    read_good(
        &o, "run,task,start,end,date,pool\nb,B,0,1,2031-01-02,east\na,A,0,1,2031-01-01,east\nc,N,0,1,2031-01-03,west\n"
            "c,A,1,2,2031-01-03,west\nb,A,1,x,2031-01-02,east\nc,B,2,x,2031-01-03,west\n");
    ck_assert_uint_eq(o.log.n_lost, 2);
    ck_assert_int_eq(wr_run_log_keep_before(&o.log, "x", &err), WR_E_USAGE);
    ck_assert_int_eq(wr_run_log_keep_before(&o.log, "a", &err), WR_E_USAGE); /* by date the first */
    ck_assert_int_eq(wr_run_log_keep_before(&o.log, "c", &err), WR_OK);
    ck_assert(o.log.n_run == 2 && o.log.n_step == 2 && o.log.n_task == 2 && o.log.n_lost == 1);
    for (size_t i = 0; i < 2; i++) /* tasks that are left have new numbers */
        ck_assert_str_eq(o.log.task[o.log.step[i].task], i ? "B" : "A");
    ck_assert_str_eq(o.log.lost[0].run, "b");
    outcome_release(&o);
}
END_TEST

START_TEST(a_log_without_one_of_its_rehearsals)
{
    struct outcome o;

    read_good(&o, "run,task,start,end,pool\na,A,0,1,east\nb,N,0,1,west\nb,B,1,2,west\nc,B,0,1,mid\nc,A,1,2,mid\n"
                  "b,C,2,x,west\nc,C,2,x,mid\n");
    ck_assert_uint_eq(o.log.n_lost, 2);
    wr_run_log_leave_out(&o.log, 1);
    ck_assert(o.log.n_run == 2 && o.log.n_step == 3 && o.log.n_task == 2 && o.log.n_lost == 1);
    static const char *const step[] = {"aA", "cB", "cA"}; /* in which runs what was done, in any order of the tasks */
    for (size_t i = 0; i < 3; i++) {
        char text[3] = {*o.log.run[o.log.step[i].run].id, *o.log.task[o.log.step[i].task], 0};
        ck_assert(!strcmp(text, step[0]) || !strcmp(text, step[1]) || !strcmp(text, step[2]));
        ck_assert_uint_eq(o.log.step[i].run, i > 0);
    }
    ck_assert_str_eq(o.log.run[1].attribute[0], "mid");
    ck_assert_str_eq(o.log.lost[0].run, "c");
    wr_run_log_leave_out(&o.log, 1);
    ck_assert(o.log.n_run == 1 && o.log.n_step == 1 && o.log.n_task == 1 && o.log.n_lost == 0);
    outcome_release(&o);
}
END_TEST

START_TEST(a_rejected_row_is_lost_unless_another_makes_it_good)
{
    struct outcome o;

    read_good(&o, "run,task,step,start,end,outcome\n"
                  "r1,A,,9:00,9:10,done\n"
                  "r1,B,,9:10,,done\n"               /* lost: nothing else is known of B */
                  "r1,C,,9:40,9:30,done\n"           /* times exchanged, made good by the next row */
                  "r1,C,,9:30,9:40,done\n"
                  "r1,D,,9:40,9:50,done\n"
                  "r1,D,,9:55,x,done\n"              /* lost: the second half of D */
                  "r1,E,one,l0:00,x,done\n"          /* a slip in both times, the step comes again by name */
                  "r1,E,one,10:00,10:10,done\n"
                  "r1,F,,10:20,x,skipped\n"          /* was not attempted, so no time is lost */
                  "r1,G,,10:30\n"                    /* lost: too few fields, but run and task are there */
                  "r2,A,,9:00,,done\n");             /* lost, of a run that has no other row */
    static const struct { const char *run, *task; size_t line; } lost[] = {
        {"r1", "B", 3}, {"r1", "D", 7}, {"r1", "G", 11}, {"r2", "A", 12}};
    ck_assert_uint_eq(o.log.rows_rejected, 7);
    ck_assert_uint_eq(o.log.n_lost, sizeof lost / sizeof *lost);
    for (size_t i = 0; i < o.log.n_lost; i++) {
        ck_assert_str_eq(o.log.lost[i].run, lost[i].run);
        ck_assert_str_eq(o.log.lost[i].task, lost[i].task);
        ck_assert_uint_eq(o.log.lost[i].line, lost[i].line);
    }
    for (size_t i = 0; i < o.findings.n_finding; i++) {
        const struct wr_finding *f = &o.findings.finding[i];
        bool made_good = f->severity == WR_ERROR && (f->line == 4 || f->line == 8);
        ck_assert_int_eq(f->made_good, made_good);
        ck_assert_int_eq(strstr(f->message, "another row has it right") != NULL, made_good);
    }
    outcome_release(&o);
}
END_TEST

START_TEST(rows_of_the_lanes_are_one_step_and_every_row_counts)
{
    struct outcome o;

    read_good(&o, "run,task,crew,start,end,outcome\n"
                  "r1,A,EV1,9:00,9:10,done\n"
                  "r1,A,EV2,9:00,9:12,done\n"
                  "r1,A,EV2,9:00,9:12,done\n"); /* of a lane that is there already: a duplicate */
    ck_assert_uint_eq(o.log.n_step, 1);
    ck_assert_double_eq_tol(o.log.step[0].end_min, 12, 1e-9);
    ck_assert_uint_eq(o.log.step[0].n_row, 2);
    ck_assert_uint_eq(o.log.rows_duplicate, 1);
    ck_assert_uint_eq(o.log.rows_accepted, o.log.step[0].n_row + o.log.rows_duplicate);
    outcome_release(&o);
}
END_TEST

START_TEST(one_bad_row_costs_one_row)
{
    static const char *bad[] = {"\"R1,T5,09:50,09:55", "R1,\"T\"5,09:50,09:55", "R1,T5\",09:50,09:55", "R1,T5,09:50",
                                "R1,T5,09:50,09:55,,x", "R1,T5,9.50,09:55", "\"", "R1,T5,\"09:50,09:55\""};

    for (size_t k = 0; k < sizeof bad / sizeof *bad; k++) {
        struct wr_str text = {0};
        struct outcome o;
        wr_str_add(&text, "run,task,start,end\n");
        for (int i = 0; i < 100; i++) {
            if (i == 50) wr_str_addf(&text, "%s\n", bad[k]);
            else wr_str_addf(&text, "R%d,\"T, %d\",09:%02d,09:%02d\n", i / 10, i, i % 10, i % 10 + 20);
        }
        read_good(&o, text.text);
        ck_assert_msg(o.log.rows_rejected == 1 && o.log.rows_accepted == 99, "'%s' costs %zu rows", bad[k],
                      100 - o.log.rows_accepted);
        outcome_release(&o);
        wr_str_release(&text);
    }
}
END_TEST

Suite *suite_log_damage(void);
Suite *suite_log_damage(void)
{
    Suite *s = suite_create("log_damage");
    TCase *t = tcase_create("log_damage");

    tcase_set_timeout(t, 60);
    tcase_add_test(t, text_is_kept_as_it_is);
    tcase_add_test(t, very_long_values);
    tcase_add_test(t, mutilated_logs_lose_no_row);
    tcase_add_test(t, rows_of_the_lanes_are_one_step_and_every_row_counts);
    tcase_add_test(t, one_bad_row_costs_one_row);
    tcase_add_test(t, a_log_as_it_was_before_a_rehearsal);
    tcase_add_test(t, a_log_without_one_of_its_rehearsals);
    tcase_add_test(t, a_rejected_row_is_lost_unless_another_makes_it_good);
    suite_add_tcase(s, t);
    return s;
}
