/* Logs with what is rare: many parts of a task, columns that are missing, words of names.csv, rows made good later. All
 * invented; expected values by hand. */
#include <check.h>
#include <stdlib.h>
#include <string.h>
#include "read_log.h"

static void read_with_names(struct outcome *o, const char *text, const char *names)
{
    struct wr_aliases aliases = {0};
    struct wr_findings findings = {0};
    struct wr_error err = {.text = ""};
    struct wr_str rows = {0};

    wr_str_addf(&rows, "kind,from,to\n%s", names);
    ck_assert_int_eq(wr_aliases_read_bytes(&aliases, "names.csv", rows.text, rows.len, &findings, &err), WR_OK);
    log_read_as(o, text, &(struct wr_log_options){.aliases = &aliases});
    wr_aliases_release(&aliases);
    wr_findings_release(&findings);
    wr_str_release(&rows);
}

/* ---- rows that are refused ---- */

static const struct {
    const char *text, *code;
    size_t line, column;
    const char *says;
} refused[] = {
    {"run,task,start,minutes\nG,G,9:00,5\nR,A,9:00,\n", "row-no-time", 3, 5, "it has no end"},
    {"run,task,end,minutes\nG,G,,5\nR,A,9:10,\n", "row-no-time", 3, 5, "it has an end but no start"},
    {"run,task,minutes\nG,G,5\nR,A,\n", "row-no-time", 3, 5, "neither a start and an end nor minutes"},
    {"run,task,start,minutes\nG,G,9:00,5\nR,A,9:00,1500\n", "row-out-of-range", 3, 10, "more than a day"},
    {"run,task,start,end\nR,A,9:00,9:10\nR,B,15,25\n", "row-mixed-times", 3, 5, "--times clock"},
    {"run,task,start,end\nR,A,15,25\nR,B,9:00,9:10\n", "row-mixed-times", 3, 5, "write all of a run alike"},
    {"run,task,start,end\nR,A,2031-03-04T09:00,2031-03-04T09:10\nR,B,15,25\n", "row-mixed-times", 3, 5,
     "write all of a run alike"},
    {"run,task,start,end\nR,A,9:00,9:10\nR,B,3/x/2031 9:10,9:20\n", "row-bad-time", 3, 5, "3/x/2031"},
    {"run,task,start,end\nR,A,9:00,9:10\nR,B,2031-03-x4T09:10,9:20\n", "row-bad-time", 3, 5, "2031-03-x4"},
    {"run;task;minutes\nG;G;5\nR;A;5;6\n", "row-field-count", 3, 7, "take out what is too many"},
    {"run,task,minutes\nG,G,5\nR,A,5,6\n", "row-field-count", 3, 7, "put the field in quotes"},
};

START_TEST(a_row_that_is_refused)
{
    struct outcome o;

    read_good(&o, refused[_i].text);
    ck_assert_uint_eq(o.log.rows_rejected, 1);
    outcome_has(&o, refused[_i].code, WR_ERROR, refused[_i].line, refused[_i].column);
    const char *message = outcome_finding(&o, refused[_i].code)->message;
    ck_assert_msg(strstr(message, refused[_i].says) != NULL, "%s", message);
    ck_assert_int_eq(strstr(message, "--times") != NULL, strstr(refused[_i].says, "--times") != NULL);
    outcome_release(&o);
}
END_TEST

/* Nothing is left: the first row at fault is named, whatever else was found before it. */
START_TEST(all_rows_are_refused)
{
    struct outcome o;
    const char text[] = "run,task,start,end,end\n";

    log_read_with(&o, text, sizeof text - 1, NULL);
    ck_assert_int_eq(o.status, WR_E_INPUT);
    outcome_release(&o);
    const char rows[] = "run,task,minutes,depth\nR,A,x,\nR,B,y,\n";
    log_read_with(&o, rows, sizeof rows - 1, NULL);
    ck_assert_int_eq(o.status, WR_E_INPUT);
    ck_assert_msg(strstr(o.err.text, "all 2 rows were rejected; the first: runs.csv:2:5") != NULL, "%s", o.err.text);
    outcome_release(&o);
}
END_TEST

START_TEST(a_header_too_wide)
{
    struct wr_str text = {0};
    struct outcome o;

    wr_str_add(&text, "run,task,minutes");
    for (int i = 0; i < 4094; i++) wr_str_addf(&text, ",c%d", i);
    wr_str_add(&text, "\nR,A,5\n");
    log_read_with(&o, text.text, text.len, NULL);
    ck_assert_int_eq(o.status, WR_E_INPUT);
    ck_assert_msg(strstr(o.err.text, "runs.csv:1:1: the header has 4097 columns, more than 4096") != NULL, "%s",
                  o.err.text);
    outcome_release(&o);
    wr_str_release(&text);
}
END_TEST

START_TEST(more_files_than_are_numbered)
{
    enum { N = 65536 };
    struct wr_log_text *text = calloc(N, sizeof *text);
    struct wr_log_options options = {0};
    struct wr_run_log log = {0};
    struct wr_findings findings = {0};
    struct wr_error err = {.text = ""};

    for (size_t i = 0; i < N; i++) text[i] = (struct wr_log_text){"runs.csv", "run,task,minutes\nR,A,5\n", 23};
    ck_assert_int_eq(wr_run_log_read_texts(&log, text, N, &options, &findings, &err), WR_E_INPUT);
    ck_assert_ptr_nonnull(strstr(err.text, "more than 65535 step logs"));
    wr_run_log_release(&log);
    wr_findings_release(&findings);
    free(text);
}
END_TEST

/* Of one warning so many are kept; the others are counted. */
START_TEST(warnings_without_end)
{
    struct wr_str text = {0};
    struct outcome o;

    wr_str_add(&text, "run,task,start,end\n");
    for (int i = 0; i < WR_MOST_FINDINGS + 7; i++) wr_str_addf(&text, "R%d,A,9:00,9:00\n", i);
    read_good(&o, text.text);
    ck_assert_uint_eq(outcome_count(&o, "zero-step"), WR_MOST_FINDINGS);
    ck_assert_uint_ge(o.findings.n_suppressed, 7);
    ck_assert_uint_eq(o.log.n_run, WR_MOST_FINDINGS + 7);
    outcome_release(&o);
    wr_str_release(&text);
}
END_TEST

/* ---- outcomes ---- */

START_TEST(skipped_with_times)
{
    struct outcome o;

    read_good(&o, "run,task,start,end,outcome\nR,A,9:00,,skipped\nS,A,9:00,9:10,DONE\nS,B,,,skipped\n");
    ck_assert_uint_eq(o.log.rows_accepted, 3);
    ck_assert_int_eq(outcome_step(&o, "R", "A", 0)->outcome, WR_SKIPPED);
    ck_assert(!outcome_step(&o, "R", "A", 0)->has_clock);
    ck_assert_int_eq(outcome_step(&o, "S", "A", 0)->outcome, WR_DONE);
    expect_times(outcome_step(&o, "S", "A", 0), 0, 10, 10, 0);
    outcome_release(&o);
}
END_TEST

START_TEST(words_of_names)
{
    struct outcome o;
    bool said = false;

    read_with_names(&o,
                    "run,task,crew,start,end,outcome\nR,A,deck,9:00,9:10,\nR,B,,9:10,9:20,left\n"
                    "R,C,EV2,9:10,9:20,cut\n",
                    "lane,deck,EV1\noutcome,left,skipped\noutcome,cut,stopped\n");
    ck_assert_int_eq(o.status, WR_OK);
    ck_assert_int_eq(outcome_step(&o, "R", "B", 0)->outcome, WR_SKIPPED);
    ck_assert_int_eq(outcome_step(&o, "R", "C", 0)->outcome, WR_STOPPED);
    ck_assert_str_eq(outcome_step(&o, "R", "A", 0)->crew, "EV1");
    ck_assert_str_eq(outcome_step(&o, "R", "B", 0)->crew, "");
    for (size_t i = 0; i < o.findings.n_finding; i++)
        said = said || strstr(o.findings.finding[i].message, "'left' as skipped") != NULL ||
               (strstr(o.findings.finding[i].message, "left") && strstr(o.findings.finding[i].message, "skipped"));
    ck_assert(said);
    outcome_release(&o);
}
END_TEST

/* A remark that speaks of a step not done is asked about, unless it is said that no column has outcomes. */
START_TEST(remarks_that_speak_of_outcomes)
{
    static const char text[] = "run,task,minutes,remark\nR,A,5,fine\nR,B,6,stopped - bolt jammed\nR,C,7\n";
    struct outcome o;

    read_with_names(&o, text, "column,ended,outcome\n");
    ck_assert_int_eq(o.status, WR_OK);
    outcome_has(&o, "column-unread", WR_WARNING, 3, 7);
    outcome_release(&o);
    log_read_with(&o, text, sizeof text - 1, "outcome=-");
    ck_assert_uint_eq(outcome_count(&o, "column-unread"), 0);
    ck_assert_uint_eq(o.log.rows_accepted, 3);
    outcome_release(&o);
}
END_TEST

/* Columns that names.csv names and no log has; an outcome that it misses is asked about as if it were not there. */
START_TEST(columns_of_names_that_no_log_has)
{
    static const char text[] = "run,task,minutes,Pause,Held,Status\nR,A,5,1,2,done\nR,B,6,0,1,stopped\n";
    static const struct { const char *names; const char *unread; double hold_min; } of[] = {
        {"column,Held,hold\ncolumn,Status,outcome\n", NULL, 2},
        {"column,Wait,HOLD\ncolumn,Held,Hold\ncolumn,Status,outcome\n", "column 'Wait' is to be read as hold", 2},
        {"column,Pause,hold\ncolumn,Held,hold\ncolumn,Status,outcome\n", "column 'Held' is to be read as hold", 1},
        {"column,hold,hold\ncolumn,Held,hold\ncolumn,Status,outcome\n", NULL, 2},
    };
    struct outcome o;

    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        read_with_names(&o, text, of[i].names);
        ck_assert_int_eq(o.status, WR_OK);
        ck_assert_uint_eq(outcome_count(&o, "names-column"), of[i].unread != NULL);
        if (of[i].unread)
            ck_assert_ptr_nonnull(strstr(outcome_finding(&o, "names-column")->message, of[i].unread));
        ck_assert_double_eq_tol(outcome_step(&o, "R", "A", 0)->hold_min, of[i].hold_min, 1e-9);
        ck_assert_int_eq(outcome_step(&o, "R", "B", 0)->outcome, WR_STOPPED);
        outcome_release(&o);
    }
    read_with_names(&o, text, "column,Held,hold\ncolumn,Statuss,outcome\n");
    ck_assert_int_eq(o.status, WR_E_INPUT);
    ck_assert_ptr_nonnull(strstr(o.err.text, "--columns outcome=\"Status\""));
    outcome_release(&o);
}
END_TEST

/* Another column is read for one that the log has by its own name: that one is lost, and it is said where it stands. */
START_TEST(columns_of_names_that_take_the_place_of_others)
{
    static const char text[] = "run,task,minutes,Step,Hold,wait\nR,A,5,2,1,\nR,B,6,,1,3\n";
    static const struct { const char *names, *said; double hold_min; } of[] = {
        {"column,step,hold\n", "by line 2 of names.csv column 'Step' is read as hold, and this one, 'Hold', is not", 2},
        {"column,wait,hold\n", "column 'wait' is read as hold", 0},
        {"column,wait,step\n", "column 'wait' is read as step, and this one, 'Step'", 1},
        {"column,hold,hold\n", NULL, 1},
        {"column,wait,date\n", NULL, 1}, /* the log has none by that name */
    };
    struct outcome o;

    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        read_with_names(&o, text, of[i].names);
        ck_assert_msg(o.status == WR_OK, "%s", o.err.text);
        ck_assert_uint_eq(outcome_count(&o, "names-column"), of[i].said != NULL);
        if (of[i].said)
            ck_assert_msg(strstr(outcome_finding(&o, "names-column")->message, of[i].said) != NULL, "%s",
                          outcome_finding(&o, "names-column")->message);
        ck_assert_double_eq_tol(outcome_step(&o, "R", "A", 0)->hold_min, of[i].hold_min, 1e-9);
        outcome_release(&o);
    }
    read_with_names(&o, text, of[0].names);
    outcome_has(&o, "names-column", WR_WARNING, 1, 23); /* at the column that is lost */
    outcome_release(&o);
    log_read_with(&o, text, sizeof text - 1, "hold=step"); /* said for this log: meant */
    ck_assert_uint_eq(outcome_count(&o, "names-column"), 0);
    outcome_release(&o);
}
END_TEST

/* 9.5 beside 9.10 is no 9:50: the zeros stand where they belong, so it is none or wrong. */
START_TEST(zeros_that_were_not_dropped)
{
    static const char text[] = "run,task,start,end\nR,A,9.05,9.10\nR,B,9.10,9.5\n";
    struct outcome o;

    log_read_as(&o, text, &(struct wr_log_options){.times = WR_TIMES_CLOCK});
    ck_assert_uint_eq(o.log.rows_rejected, 1);
    outcome_has(&o, "row-bad-time", WR_ERROR, 3, 10);
    outcome_release(&o);
    log_read_as(&o, "run,task,start,end\nR,A,9.05,9.15\nR,B,9.15,9.5\n",
                &(struct wr_log_options){.times = WR_TIMES_CLOCK});
    ck_assert_uint_eq(o.log.rows_rejected, 0); /* a spreadsheet that drops them: 9:50 */
    expect_times(outcome_step(&o, "R", "B", 0), 10, 45, 35, 0);
    outcome_release(&o);
}
END_TEST

/* ---- many parts, any order ---- */

START_TEST(parts_in_any_order)
{
    enum { N = 30 };
    struct wr_str text = {0};
    struct outcome o;

    wr_str_add(&text, "run,task,start,end\n");
    for (int i = 0; i < N; i++) { /* of one minute each, ten minutes apart, the last logged first */
        int at = 10 * ((N - 1 - i) / 2 * 2 + i % 2);
        wr_str_addf(&text, "R,A,%d:%02d,%d:%02d\n", 8 + at / 60, at % 60, 8 + (at + 1) / 60, (at + 1) % 60);
    }
    read_good(&o, text.text);
    ck_assert_uint_eq(o.log.n_step, N);
    ck_assert_uint_eq(o.log.rows_duplicate, 0);
    for (size_t i = 0; i < N; i++) expect_times(&o.log.step[i], 10.0 * (double)i, 10.0 * (double)i + 1, 1, 0);
    outcome_release(&o);
    wr_str_release(&text);
}
END_TEST

/* Beyond WR_MOST_PIECES the further ones are added up: no minute is lost. */
START_TEST(more_parts_than_are_kept)
{
    struct wr_str text = {0};
    struct outcome o;
    double active = 0;

    wr_str_add(&text, "run,task,start,end\n");
    for (int i = 0; i < WR_MOST_PIECES + 10; i++) wr_str_addf(&text, "R,A,%d,%d\n", 10 * i, 10 * i + 1);
    read_good(&o, text.text);
    ck_assert_uint_eq(o.log.n_step, WR_MOST_PIECES + 1);
    for (size_t i = 0; i < o.log.n_step; i++) active += o.log.step[i].active_min;
    outcome_has(&o, "many-pieces", WR_WARNING, WR_MOST_PIECES + 2, 3);
    ck_assert_double_eq_tol(active, WR_MOST_PIECES + 10, 1e-9);
    ck_assert_double_eq_tol(o.log.step[o.log.n_step - 1].end_min, 10 * (WR_MOST_PIECES + 9) + 1, 1e-9);
    outcome_release(&o);
    wr_str_release(&text);
}
END_TEST

START_TEST(tasks_in_reverse)
{
    enum { N = 90 };
    struct wr_str text = {0};
    struct outcome o;

    wr_str_add(&text, "run,task,step,start,end\n"); /* 90 steps of one task, the last one first */
    for (int i = N; i-- > 0;) wr_str_addf(&text, "R,A,s%d,%d,%d\nS,A,s%d,%d,%d\n", i, i, i + 1, i, i, i + 1);
    read_good(&o, text.text);
    ck_assert_uint_eq(o.log.n_step, 2 * N);
    for (size_t i = 0; i < N; i++) expect_times(&o.log.step[i], (double)i, (double)i + 1, 1, 0);
    outcome_release(&o);
    wr_str_release(&text);
}
END_TEST

START_TEST(times_that_leave_no_gap)
{
    struct outcome o;

    read_good(&o, "run,task,start,end\nR,A,0:00,11:00\nR,B,10:00,21:00\nR,C,20:30,1:00\n");
    outcome_has(&o, "clock-goes-round", WR_WARNING, 2, 0);
    outcome_release(&o);
}
END_TEST

START_TEST(columns_of_one_file_only)
{
    struct wr_log_text text[] = {{"a.csv", "run,task,minutes\nR,A,5\n", 23},
                                 {"b.csv", "run,task,minutes,pool,by\nS,A,6,east,\n", 37}};
    struct wr_log_options options = {0};
    struct wr_run_log log = {0};
    struct wr_findings findings = {0};
    struct wr_error err = {.text = ""};

    ck_assert_int_eq(wr_run_log_read_texts(&log, text, 2, &options, &findings, &err), WR_OK);
    ck_assert_uint_eq(log.n_attribute, 2);
    ck_assert_str_eq(log.run[0].attribute[0], "");
    ck_assert_str_eq(log.run[1].attribute[0], "east");
    ck_assert_str_eq(log.run[1].attribute[1], "");
    wr_run_log_release(&log);
    wr_findings_release(&findings);
}
END_TEST

/* ---- rows that were refused, and stand in the log once more ---- */

static const struct {
    const char *rows;
    size_t n_lost;
} again[] = {
    {"R,A,,20,10\nR,A,,10,20\n", 0},   /* exchanged: both times are there */
    {"R,A,,20,10\nR,A,,20,30\n", 0},   /* the start is */
    {"R,A,,40,10\nR,A,,10,30\n", 0},   /* its end is the start */
    {"R,A,,x,20\nR,A,,10,20\n", 0},    /* the end is */
    {"R,A,,x,10\nR,A,,10,20\n", 0},
    {"R,A,,x,15\nR,A,,10,20\n", 1},    /* neither */
    {"R,A,,25,15\nR,A,,10,20\n", 1},
    {"R,A,s,x,y\nR,A,s,10,20\n", 0},   /* the step is named */
    {"R,A,,x,y\nR,A,,10,20\n", 1},     /* which part of it? */
    {",A,,x,20\nR,A,,10,20\n", 0},     /* of no run: it says nothing of one */
    {"R,,,x,20\nR,A,,10,20\n", 0},
};

START_TEST(rows_made_good)
{
    struct outcome o;
    struct wr_str text = {0};

    wr_str_addf(&text, "run,task,step,start,end\n%s", again[_i].rows);
    read_good(&o, text.text);
    ck_assert_uint_eq(o.log.rows_rejected, 1);
    ck_assert_msg(o.log.n_lost == again[_i].n_lost, "%s: %zu lost", again[_i].rows, o.log.n_lost);
    outcome_release(&o);
    wr_str_release(&text);
}
END_TEST

START_TEST(made_good_in_another_file)
{
    struct wr_log_text text[] = {{"a.csv", "run,task,start,end\nR,A,x,20\nR,B,y,40\n", 38},
                                 {"b.csv", "run,task,start,end\nR,C,z,50\nR,A,10,20\n", 39}};
    struct wr_log_options options = {0};
    struct wr_run_log log = {0};
    struct wr_findings findings = {0};
    struct wr_error err = {.text = ""};

    wr_findings_add(&findings, WR_ERROR, "other", NULL, 0, 0, "of no file");
    ck_assert_int_eq(wr_run_log_read_texts(&log, text, 2, &options, &findings, &err), WR_OK);
    ck_assert_uint_eq(log.n_lost, 2);
    ck_assert_str_eq(log.lost[0].task, "B");
    ck_assert_str_eq(log.lost[1].task, "C");
    wr_run_log_release(&log);
    wr_findings_release(&findings);
}
END_TEST

/* Two spellings of a run, or of a task, of which nothing is left: it is said once. */
START_TEST(nothing_left_of_a_name)
{
    struct outcome o;

    read_with_names(&o, "run,task,minutes\nG,G,5\nK1,A,x\nk one,A,y\nk one,spar,z\nK1,MAST,z\n",
                    "run,k one,K1\ntask,spar,MAST\n");
    ck_assert_int_eq(o.status, WR_OK);
    ck_assert_uint_eq(outcome_count(&o, "run-lost"), 1);
    ck_assert_uint_eq(o.log.n_lost_run, 1);
    ck_assert_uint_eq(outcome_count(&o, "task-lost"), 2); /* A and MAST */
    outcome_release(&o);
}
END_TEST

/* A run that differs from another in its holds alone is no repetition of it. */
START_TEST(runs_that_differ_in_holds)
{
    struct outcome o;
    struct wr_str text = {0};

    for (int hold = 0; hold < 2; hold++) {
        wr_str_clear(&text);
        wr_str_add(&text, "run,task,start,end,hold\n");
        for (int k = 0; k < 6; k++) {
            wr_str_addf(&text, "R,T%d,%d,%d,0\n", k, 20 * k, 20 * k + 11);
            wr_str_addf(&text, "S,T%d,%d,%d,%d\n", k, 20 * k, 20 * k + 11 + 3 * hold, 3 * hold);
        }
        read_good(&o, text.text);
        ck_assert_uint_eq(outcome_count(&o, "run-repeats"), hold == 0);
        outcome_release(&o);
    }
    wr_str_release(&text);
}
END_TEST

/* Minutes without a start cannot make a row with one good. */
START_TEST(minutes_make_nothing_good)
{
    struct outcome o;

    read_good(&o, "run,task,start,end,minutes\nR,A,x,20,\nR,A,,,10\n");
    ck_assert_uint_eq(o.log.n_lost, 1);
    outcome_release(&o);
}
END_TEST

/* What was found before is of other files: the first of the log's own rows is named. */
START_TEST(all_rows_are_refused_after_other_findings)
{
    static const char text[] = "run,task,minutes\nR,A,x\n";
    struct wr_run_log log = {0};
    struct wr_findings findings = {0};
    struct wr_error err = {.text = ""};

    wr_findings_add(&findings, WR_WARNING, "column-unknown", "plan.csv", 1, 1, "of the plan");
    ck_assert_int_eq(wr_run_log_read_bytes(&log, "runs.csv", text, sizeof text - 1, NULL, &findings, &err), WR_E_INPUT);
    ck_assert_msg(strstr(err.text, "all 1 rows were rejected; the first: runs.csv:2:5") != NULL, "%s", err.text);
    wr_run_log_release(&log);
    wr_findings_release(&findings);
}
END_TEST

/* Of wrong rows without end so many are kept (LOG_MOST_LOST), that memory is not theirs; all are counted. */
START_TEST(wrong_rows_without_end)
{
    enum { KEPT = 100000 };
    struct wr_str text = {0};
    struct outcome o;

    wr_str_add(&text, "run,task,minutes\nR,A,5\n");
    for (int i = 0; i < KEPT + 5; i++) wr_str_add(&text, "R,B,x\n");
    read_good(&o, text.text);
    ck_assert_uint_eq(o.log.rows_rejected, KEPT + 5);
    ck_assert_uint_eq(o.log.n_lost, KEPT);
    outcome_release(&o);
    wr_str_release(&text);
}
END_TEST

/* One file spells a lane otherwise, another has no such column at all. */
START_TEST(a_column_of_one_file_spelt_otherwise)
{
    struct wr_log_text text[] = {{"a.csv", "run,task,crew,minutes\nR,A,EV1,5\nR,B,EV1,5\nS,A,EV 1,5\n", 57},
                                 {"b.csv", "run,task,minutes\nT,A,6\n", 23}};
    struct wr_log_options options = {.join = WR_JOIN_NAMES};
    struct wr_run_log log = {0};
    struct wr_findings findings = {0};
    struct wr_error err = {.text = ""};

    text[0].n = strlen(text[0].bytes);
    text[1].n = strlen(text[1].bytes);
    ck_assert_int_eq(wr_run_log_read_texts(&log, text, 2, &options, &findings, &err), WR_OK);
    ck_assert_uint_eq(log.n_step, 4);
    for (size_t i = 0; i < log.n_step; i++) ck_assert_str_eq(log.step[i].crew, log.step[i].file == 0 ? "EV1" : "");
    wr_run_log_release(&log);
    wr_findings_release(&findings);
}
END_TEST

Suite *suite_log_corners(void);
Suite *suite_log_corners(void)
{
    Suite *s = suite_create("log_corners");
    TCase *t = tcase_create("log_corners");

    tcase_set_timeout(t, 60); /* sanitizers */
    tcase_add_loop_test(t, a_row_that_is_refused, 0, (int)(sizeof refused / sizeof *refused));
    tcase_add_test(t, all_rows_are_refused);
    tcase_add_test(t, a_header_too_wide);
    tcase_add_test(t, more_files_than_are_numbered);
    tcase_add_test(t, warnings_without_end);
    tcase_add_test(t, skipped_with_times);
    tcase_add_test(t, words_of_names);
    tcase_add_test(t, remarks_that_speak_of_outcomes);
    tcase_add_test(t, columns_of_names_that_no_log_has);
    tcase_add_test(t, columns_of_names_that_take_the_place_of_others);
    tcase_add_test(t, zeros_that_were_not_dropped);
    tcase_add_test(t, parts_in_any_order);
    tcase_add_test(t, more_parts_than_are_kept);
    tcase_add_test(t, tasks_in_reverse);
    tcase_add_test(t, times_that_leave_no_gap);
    tcase_add_test(t, columns_of_one_file_only);
    tcase_add_loop_test(t, rows_made_good, 0, (int)(sizeof again / sizeof *again));
    tcase_add_test(t, made_good_in_another_file);
    tcase_add_test(t, nothing_left_of_a_name);
    tcase_add_test(t, runs_that_differ_in_holds);
    tcase_add_test(t, minutes_make_nothing_good);
    tcase_add_test(t, all_rows_are_refused_after_other_findings);
    tcase_add_test(t, wrong_rows_without_end);
    tcase_add_test(t, a_column_of_one_file_spelt_otherwise);
    suite_add_tcase(s, t);
    return s;
}
