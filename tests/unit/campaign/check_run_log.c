/* The step log: what a row, a column and a file mean, and what is refused. All logs here are invented. */
#include <check.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>
#include "read_log.h"

/* ---- rows ---- */

START_TEST(an_ordinary_log)
{
    struct outcome o;

    read_good(&o, "Run;TASK;step;start; End ;crew;performer;hold;outcome;pool\r\n"
                      "R1;T1;a;09:00;09:10:30;EV1;KV;1.5;done;deep\r\n"
                      "R1;T1;b;09:12;09:20;EV1;KV;;Stopped;deep\r\n"
                      "R1;T2;;09:20;09:50;EV1+EV2;KV+OM;;;deep\r\n"
                      "R2;T2;;;;EV1+EV2;;;SKIPPED;shallow\r\n");
    ck_assert_uint_eq(o.log.rows_read, 4);
    ck_assert_uint_eq(o.log.rows_rejected, 0);
    ck_assert_uint_eq(o.log.n_run, 2);
    ck_assert_uint_eq(o.log.n_task, 2);
    ck_assert_uint_eq(o.log.n_step, 4);
    expect_times(outcome_step(&o, "R1", "T1", 0), 0, 10.5, 9, 1.5);
    expect_times(outcome_step(&o, "R1", "T1", 1), 12, 20, 8, 0);
    ck_assert_int_eq(outcome_step(&o, "R1", "T1", 1)->outcome, WR_STOPPED);
    ck_assert_str_eq(outcome_step(&o, "R1", "T1", 1)->step, "b");
    expect_times(outcome_step(&o, "R1", "T2", 0), 20, 50, 30, 0);
    ck_assert_str_eq(outcome_step(&o, "R1", "T2", 0)->crew, "EV1+EV2");
    ck_assert_str_eq(outcome_step(&o, "R1", "T2", 0)->performer, "KV+OM");
    ck_assert_uint_eq(outcome_step(&o, "R1", "T2", 0)->line, 4);
    ck_assert_int_eq(outcome_step(&o, "R2", "T2", 0)->outcome, WR_SKIPPED);
    ck_assert(!outcome_step(&o, "R2", "T2", 0)->has_clock);
    ck_assert(o.log.has_crew && o.log.has_performer && !o.log.has_dates);
    ck_assert_uint_eq(o.log.n_attribute, 1);
    ck_assert_str_eq(o.log.attribute[0], "pool");
    ck_assert_str_eq(o.log.run[1].attribute[0], "shallow");
    ck_assert_int_eq(o.log.run[0].kind, WR_TIME_CLOCK);
    ck_assert_int_eq(o.log.run[1].kind, WR_TIME_NONE);
    ck_assert_uint_eq(o.findings.n_finding, 0);
    outcome_release(&o);
}
END_TEST

START_TEST(rows_that_are_refused)
{
    log_refuses(",T,09:00,09:10,,", "row-no-run", 1);
    log_refuses("R,,09:00,09:10,,", "row-no-task", 3);
    log_refuses("\" \",T,09:00,09:10,,", "row-no-run", 1);
    log_refuses("R,T,09:00,", "row-no-time", 11);
    log_refuses("R,T,09:00,09:10,,,x", "row-field-count", 19);
    log_refuses("R,T", "row-no-time", 4);
    log_refuses("R,T,09:00,09:10,,cut off", "row-bad-outcome", 18);
    log_refuses("R,T,9x,09:10,,", "row-bad-time", 5);
    log_refuses("R,T,09:00,48:10,,", "row-bad-time", 11);
    log_refuses("R,T,09:00,,,", "row-no-time", 11);
    log_refuses("R,T,,09:00,,", "row-no-time", 5);
    log_refuses("R,T,,,,", "row-no-time", 5);
    log_refuses("R,T,,,,stopped", "row-no-time", 5);
    log_refuses("R,T,09:00,09:10,x,", "row-bad-number", 17);
    log_refuses("R,T,09:00,09:10,nan,", "row-bad-number", 17);
    log_refuses("R,T,09:00,09:10,inf,", "row-bad-number", 17);
    log_refuses("R,T,09:00,09:10,1e999,", "row-bad-number", 17);
    log_refuses("R,T,09:00,09:10,26:10,", "row-bad-number", 17); /* hours and minutes, or minutes and seconds? */
    log_refuses("R,T,09:00,09:10,-1,", "row-negative", 17);
    log_refuses("R,T,09:00,09:10,10.001,", "row-hold-too-long", 17);
    log_refuses("R,T,09:00,09:10,1e8,", "row-out-of-range", 17);
    log_refuses("R,T,90,80,,", "row-negative", 8);
    log_refuses("R,T,2031-03-04T09:00,2031-03-04T08:59:59.999,,", "row-negative", 22);
    log_refuses("R,T,09:00,100,,", "row-mixed-times", 11);
    log_refuses("R,T,2031-03-04T09:00,2031-03-04T09:10Z,,", "row-mixed-times", 22);
    log_refuses("G,T,2031-03-04T09:00,2031-03-04T09:10,,", "row-mixed-times", 5); /* the run is in clock times */
    log_refuses("R,T,09:00,bad,,skipped", "row-bad-time", 11);
    log_refuses("R,T,\"09:00\"x,09:10,,", "row-malformed", 12);
    log_refuses("R,T,09:00\",09:10,,", "row-malformed", 10);
    log_refuses("\"R,T,09:00,09:10,,", "row-malformed", 1);
    log_refuses("run,task,start,end,hold,outcome", "row-header-again", 1);
}
END_TEST

START_TEST(numbers_that_are_not_finite_in_minutes)
{
    struct outcome o;

    read_good(&o, "run,task,minutes\nR,T,5\nR,U,inf\nR,U,NaN\nR,U,1e400\nR,U,-3\nR,U,\nR,U,1e300\n");
    ck_assert_uint_eq(o.log.rows_rejected, 6);
    ck_assert_ptr_nonnull(strstr(o.rejected.text, "3:5 minutes 'inf'"));
    ck_assert_ptr_nonnull(strstr(o.rejected.text, "6:5 minutes -3 is negative"));
    outcome_release(&o);
}
END_TEST

START_TEST(midnight)
{
    struct outcome o = log_accepts("R,T,23:50,00:20,5,");

    expect_times(outcome_step(&o, "R", "T", 0), 0, 30, 25, 5);
    outcome_release(&o);
    o = log_accepts("R,T,20:00,08:00,,"); /* just twelve hours */
    expect_times(outcome_step(&o, "R", "T", 0), 0, 720, 720, 0);
    outcome_release(&o);
    log_refuses("R,T,20:00:00,08:00:01,,", "row-negative", 14);
    o = log_accepts("R,T,09:00,22:00,,"); /* longer, but it ends after it starts */
    expect_times(outcome_step(&o, "R", "T", 0), 0, 780, 780, 0);
    outcome_has(&o, "long-step", WR_WARNING, 2, 5);
    outcome_release(&o);
    o = log_accepts("R,T,23:00,24:00,,");
    expect_times(outcome_step(&o, "R", "T", 0), 0, 60, 60, 0);
    outcome_release(&o);
    o = log_accepts("R,T,24:00,00:30,,");
    expect_times(outcome_step(&o, "R", "T", 0), 0, 30, 30, 0);
    outcome_release(&o);
}
END_TEST

START_TEST(a_hold_may_be_the_whole_step)
{
    struct outcome o = log_accepts("R,T,09:00,09:10,10,");

    expect_times(outcome_step(&o, "R", "T", 0), 0, 10, 0, 10);
    outcome_has(&o, "all-hold", WR_WARNING, 2, 17);
    outcome_release(&o);
    o = log_accepts("R,T,09:00:00,09:00:07,0.1166666666667,"); /* 7 s in decimal minutes, rounded up */
    ck_assert_double_eq(outcome_step(&o, "R", "T", 0)->active_min, 0.0);
    outcome_release(&o);
    o = log_accepts("R,T,09:00,09:00,,");
    outcome_has(&o, "zero-step", WR_WARNING, 2, 5);
    outcome_release(&o);
}
END_TEST

START_TEST(minutes_instead_of_times)
{
    struct outcome o;

    read_good(&o, "run,task,minutes,hold,step\nR,T,12.5,2.5,\nR,T,7,,\nR,U,3,,a\nR,U,4,,b\n");
    const struct wr_log_step *s = outcome_step(&o, "R", "T", 0);
    ck_assert(!s->has_clock);
    ck_assert_double_eq(s->active_min, 17.0);
    ck_assert_double_eq(s->hold_min, 2.5);
    ck_assert_uint_eq(s->n_row, 2); /* without a step they add up */
    ck_assert_double_eq(outcome_step(&o, "R", "U", 1)->active_min, 4.0);
    ck_assert_uint_eq(o.log.n_step, 3);
    ck_assert_int_eq(o.log.run[0].kind, WR_TIME_MINUTES);
    outcome_release(&o);
    read_good(&o, "run,task,minutes\nR,T,5\nR,T,5\n");
    ck_assert_double_eq(outcome_step(&o, "R", "T", 0)->active_min, 10.0);
    outcome_has(&o, "repeated-row", WR_WARNING, 3, 5);
    ck_assert_uint_eq(o.log.rows_duplicate, 0);
    outcome_release(&o);
}
END_TEST

START_TEST(start_with_minutes)
{
    struct outcome o;

    read_good(&o, "run,task,start,minutes\nR,T,23:50,20\nR,U,00:10,30\n");
    expect_times(outcome_step(&o, "R", "T", 0), 0, 20, 20, 0);
    expect_times(outcome_step(&o, "R", "U", 0), 20, 50, 30, 0);
    outcome_release(&o);
    read_good(&o, "run,task,start,end,minutes\nR,T,09:00,09:20,20.5\nR,U,09:20,09:50,13\nR,V,,,10\n");
    outcome_has(&o, "minutes-differ", WR_WARNING, 3, 17);
    expect_times(outcome_step(&o, "R", "U", 0), 20, 50, 30, 0); /* start and end count */
    outcome_has(&o, "row-mixed-times", WR_ERROR, 4, 5);
    outcome_release(&o);
}
END_TEST

START_TEST(elapsed_and_stamped_runs)
{
    struct outcome o;

    read_good(&o, "run,task,start,end\nE,T,5,17.25\nE,U,17.25,98\nS,T,2031-03-04T23:30,2031-03-05 00:10\n"
                      "Z,T,2031-03-04T23:30+02:00,2031-03-04T22:00Z\n");
    expect_times(outcome_step(&o, "E", "T", 0), 0, 12.25, 12.25, 0);
    expect_times(outcome_step(&o, "E", "U", 0), 12.25, 93, 80.75, 0);
    expect_times(outcome_step(&o, "S", "T", 0), 0, 40, 40, 0);
    expect_times(outcome_step(&o, "Z", "T", 0), 0, 30, 30, 0);
    outcome_release(&o);
}
END_TEST

/* ---- duplicates ---- */

START_TEST(a_duplicate_counts_once)
{
    struct outcome o;

    read_good(&o, "run,task,step,start,end\nR,T,a,09:00,09:10\nR,T,b,09:00,09:10\nR,T,a,09:00:00,09:10\n"
                      "R,T,a,09:00,09:11\nR,T,a,08:00,08:10\nR,T,a,08:00,08:10\n");
    ck_assert_uint_eq(o.log.rows_accepted, 6);
    ck_assert_uint_eq(o.log.rows_duplicate, 3);
    ck_assert_uint_eq(o.log.n_step, 3);
    outcome_has(&o, "duplicate-row", WR_WARNING, 4, 7);
    outcome_has(&o, "duplicate-differs", WR_WARNING, 5, 7);
    ck_assert_double_eq(outcome_step(&o, "R", "T", 1)->active_min, 10.0); /* the first was kept */
    ck_assert_uint_eq(o.log.run[0].n_row, 6);
    outcome_release(&o);
    read_good(&o, "run,task,step,minutes,outcome\nR,T,a,5,\nR,T,a,5,\nR,T,b,,skipped\nR,T,b,,skipped\n");
    ck_assert_uint_eq(o.log.rows_duplicate, 2);
    ck_assert_uint_eq(o.log.n_step, 2);
    outcome_release(&o);
}
END_TEST

START_TEST(memory_is_bounded_by_steps)
{
    struct outcome o;
    struct wr_str text = {0};
    int rows = 5000, order;

    wr_str_add(&text, "run,task,start,end,hold\n");
    for (int i = 0; i < rows; i++) { /* every start of 0 … 4999 once, far from sorted; one minute each, 6 s held */
        order = i * 2003 % rows;
        wr_str_addf(&text, "R,T,%d,%d,0.1\n", order, order + 1);
    }
    read_good(&o, text.text);
    ck_assert_uint_eq(o.log.rows_accepted, (size_t)rows);
    ck_assert_uint_eq(o.log.n_step, WR_MOST_PIECES + 1);
    outcome_has(&o, "many-pieces", WR_WARNING, WR_MOST_PIECES + 2, 3);
    double active = 0, hold = 0, last = 0;
    size_t n_row = 0;
    for (size_t i = 0; i < o.log.n_step; i++) {
        active += o.log.step[i].active_min;
        hold += o.log.step[i].hold_min;
        n_row += o.log.step[i].n_row;
        if (o.log.step[i].end_min > last) last = o.log.step[i].end_min;
    }
    ck_assert_double_eq_tol(active, 0.9 * rows, 1e-6);
    ck_assert_double_eq_tol(hold, 0.1 * rows, 1e-6);
    ck_assert_uint_eq(n_row, (size_t)rows);
    ck_assert_double_eq_tol(last, rows, 1e-9);
    outcome_release(&o);
    wr_str_release(&text);
}
END_TEST

/* Clock times turn round while they are added up: a run from 22:00 to 03:00 in steps of one minute. */
START_TEST(adding_up_across_midnight)
{
    struct outcome o;
    struct wr_str text = {0};

    wr_str_add(&text, "run,task,start,end\n");
    for (int i = 0; i < 300; i++) {
        int from = (1320 + i * 7 % 300) % 1440, to = (from + 1) % 1440;
        wr_str_addf(&text, "R,T,%02d:%02d,%02d:%02d\n", from / 60, from % 60, to / 60, to % 60);
    }
    read_good(&o, text.text);
    double first = 1e9, last = 0;
    for (size_t i = 0; i < o.log.n_step; i++) {
        if (o.log.step[i].start_min < first) first = o.log.step[i].start_min;
        if (o.log.step[i].end_min > last) last = o.log.step[i].end_min;
    }
    ck_assert_double_eq(first, 0.0);
    ck_assert_double_eq_tol(last, 300, 1e-9);
    outcome_release(&o);
    wr_str_release(&text);
}
END_TEST

/* ---- columns ---- */

START_TEST(columns_under_other_names)
{
    struct outcome o;
    const char *text = "Case,Activity,\"Start Timestamp\",\"End, local\",run,minutes\nR,T,09:00,09:10,pool,\n";
    const char *columns = "run=Case,task=activity,start=Start Timestamp,end=\"End, local\"";

    log_read_with(&o, text, strlen(text), columns);
    ck_assert_msg(o.status == WR_OK, "%s", o.err.text);
    expect_times(outcome_step(&o, "R", "T", 0), 0, 10, 10, 0);
    ck_assert_uint_eq(o.log.n_attribute, 1); /* the file's own `run` is an attribute now */
    ck_assert_str_eq(o.log.attribute[0], "run");
    ck_assert_str_eq(o.log.run[0].attribute[0], "pool");
    outcome_release(&o);
    /* a column given away is not taken under its own name as well */
    text = "run,step,minutes\nR,T,5\n";
    log_read_with(&o, text, strlen(text), "task=step");
    ck_assert_int_eq(o.status, WR_OK);
    ck_assert_str_eq(outcome_step(&o, "R", "T", 0)->step, "");
    outcome_release(&o);
}
END_TEST

static void refuse_columns(const char *columns, enum wr_status status, const char *part)
{
    struct outcome o;
    const char *text = "run,task,minutes\nR,T,5\n";

    log_read_with(&o, text, strlen(text), columns);
    ck_assert_msg(o.status == status, "'%s': %s", columns, wr_status_name(o.status));
    ck_assert_msg(strstr(o.err.text, part) != NULL, "'%s': %s", columns, o.err.text);
    outcome_release(&o);
}

START_TEST(malformed_columns)
{
    refuse_columns("run", WR_E_USAGE, "lacks '='");
    refuse_columns("", WR_E_USAGE, "lacks '='");
    refuse_columns("run=Case,", WR_E_USAGE, "lacks '='");
    refuse_columns("case=run", WR_E_USAGE, "'case' is no column of a log");
    refuse_columns("run=", WR_E_USAGE, "names no column");
    refuse_columns("run=,task=b", WR_E_USAGE, "names no column");
    refuse_columns("run=\"", WR_E_USAGE, "not closed");
    refuse_columns("run=\"a\"b", WR_E_USAGE, "after the closing quote");
    refuse_columns("run=a,run=b", WR_E_USAGE, "named twice");
    refuse_columns("run=a,task=A", WR_E_USAGE, "both run and task");
    refuse_columns("hold=Delay", WR_E_INPUT, "'Delay'"); /* a typing error must not make the holds 0 */
}
END_TEST

static void refuse_log(const char *text, const char *part)
{
    struct outcome o;

    log_read_with(&o, text, strlen(text), NULL);
    ck_assert_msg(o.status == WR_E_INPUT, "'%s' was taken", text);
    ck_assert_msg(strstr(o.err.text, part) != NULL, "%s", o.err.text);
    outcome_release(&o);
}

START_TEST(logs_that_cannot_be_used)
{
    refuse_log("", "runs.csv: it is empty");
    refuse_log("\n\n", "it is empty");
    refuse_log("run,task,start,end\n", "no rows");
    refuse_log("task,start,end\nT,9:00,9:10\n", "runs.csv:1:1: the header has no column 'run'");
    refuse_log("run,start,end\nT,9:00,9:10\n", "no column 'task'");
    refuse_log("run,task,end\nR,T,9:10\n", "no column 'start'");
    refuse_log("run,task,start\nR,T,9:10\n", "no column 'end'");
    refuse_log("run,task,minutes,Task\nR,T,9,U\n", "runs.csv:1:18: there are two columns 'task'");
    refuse_log("run,\"task,minutes\nR,T,9\n", "runs.csv:1:5: the header cannot be read");
    refuse_log("run,task,minutes\nR,T,x\nR,T,y\n", "all 2 rows were rejected; the first: runs.csv:2:5");
}
END_TEST

START_TEST(columns_of_no_use)
{
    struct outcome o;

    read_good(&o, "run,task,minutes,,pool,pool\nR,T,5,x,a,b\n");
    outcome_has(&o, "column-unnamed", WR_NOTE, 1, 18);
    outcome_has(&o, "column-twice", WR_WARNING, 1, 24);
    ck_assert_uint_eq(o.log.n_attribute, 1);
    ck_assert_str_eq(o.log.run[0].attribute[0], "a");
    outcome_release(&o);
}
END_TEST

START_TEST(a_remark_that_contradicts_done)
{
    struct outcome o;
    const char *text = "run,task,minutes,Remarks\nR,T,5,\"stopped - bolt jammed, not finished\"\nR,U,5,stoppedlike\n"
                       "R,V,5,Skipped: no time\nR,W,5,fine\n";

    read_good(&o, text);
    ck_assert_int_eq(outcome_step(&o, "R", "T", 0)->outcome, WR_DONE);
    ck_assert_uint_eq(wr_findings_count(&o.findings, WR_WARNING), 2);
    outcome_has(&o, "column-unread", WR_WARNING, 2, 7);
    outcome_release(&o);
    log_read_with(&o, text, strlen(text), "outcome=-"); /* it was said to be no outcome */
    ck_assert_uint_eq(wr_findings_count(&o.findings, WR_WARNING), 0);
    outcome_release(&o);
    read_good(&o, "run,task,minutes,Remarks,outcome\nR,T,5,stopped - bolt jammed,stopped\n");
    ck_assert_uint_eq(wr_findings_count(&o.findings, WR_WARNING), 0);
    outcome_release(&o);
}
END_TEST

/* ---- several files ---- */

static void write_file(char *path, const char *text)
{
    int fd = mkstemp(path);

    ck_assert_int_ge(fd, 0);
    ck_assert_int_eq(write(fd, text, strlen(text)), (ssize_t)strlen(text));
    close(fd);
}

START_TEST(several_files)
{
    char a[] = "/tmp/wetrun-check-XXXXXX", b[] = "/tmp/wetrun-check-XXXXXX";
    const char *path[] = {a, b};
    struct wr_run_log log = {0};
    struct wr_findings findings = {0};
    struct wr_error err;

    write_file(a, "run,task,start,end,pool\nR1,T,09:00,09:10,deep\nR2,T,09:00,09:10,deep\n");
    write_file(b, "minutes;task;lamp;run\n12;T;lit;R3\n1;T;lit;R2\n9;U;;R3\n");
    enum wr_status status = wr_run_log_read(&log, path, 2, NULL, &findings, &err);
    unlink(a);
    unlink(b);
    ck_assert_msg(status == WR_OK, "%s", err.text);
    ck_assert_uint_eq(log.n_file, 2);
    ck_assert_uint_eq(log.n_run, 3);
    ck_assert_uint_eq(log.rows_rejected, 1); /* R2 is in clock times */
    ck_assert_uint_eq(log.n_attribute, 2);
    ck_assert_str_eq(log.run[2].id, "R3");
    ck_assert_str_eq(log.run[2].attribute[0], "");
    ck_assert_str_eq(log.run[2].attribute[1], "lit");
    ck_assert_uint_eq(log.step[log.n_step - 1].file, 1);
    ck_assert_uint_eq(log.step[log.n_step - 1].line, 4);
    ck_assert_str_eq(findings.finding[0].file, b);
    wr_run_log_release(&log);
    wr_findings_release(&findings);
    ck_assert_int_eq(wr_run_log_read(&log, path, 2, NULL, &findings, &err), WR_E_INPUT); /* gone by now */
    ck_assert_ptr_nonnull(strstr(err.text, a));
    wr_run_log_release(&log);
    wr_findings_release(&findings);
    ck_assert_int_eq(wr_run_log_read(&log, path, 0, NULL, &findings, &err), WR_E_INPUT);
    wr_run_log_release(&log);
}
END_TEST

/* The hold is said in the unit in which it was read. */
START_TEST(a_hold_that_is_too_long_is_said_as_it_was_read)
{
    static const struct { const char *hold; double minutes_per_unit; const char *said; } table[] = {
        {"12", 0, "a hold of 12 min in a step of 10 min"},
        {"2", 60, "a hold of 2 h (120 min) in a step of 10 min"},
        {"1200", 1 / 60.0, "a hold of 1200 s (20 min) in a step of 10 min"},
        {"0:30", 0, "a hold of 0:30 (30 min) in a step of 10 min"},
        {"2 h", 1 / 60.0, "a hold of 2 h (120 min) in a step of 10 min"},
        {"200000", 60, "hold 200000 h (1.2e+07 min) is too large to be meant"},
        {"1e8", 0, "hold 1e8 is too large to be meant"},
    };

    for (size_t i = 0; i < sizeof table / sizeof *table; i++) {
        WR_SCOPED_STR text = {0};
        struct outcome o;
        wr_str_addf(&text, "run,task,start,end,hold\nR,T,09:00,09:10,%s\nR,U,09:10,09:20,\n", table[i].hold);
        log_read_as(&o, text.text, &(struct wr_log_options){.minutes_per_unit = table[i].minutes_per_unit});
        ck_assert_uint_eq(o.log.rows_rejected, 1);
        const struct wr_finding *f = outcome_finding(&o, strstr(table[i].said, "too large") ? "row-out-of-range"
                                                                                           : "row-hold-too-long");
        ck_assert_msg(strstr(f->message, table[i].said) != NULL, "%s", f->message);
        outcome_release(&o);
    }
}
END_TEST

START_TEST(a_run_in_two_files_and_a_file_named_twice)
{
    char a[] = "/tmp/wetrun-check-XXXXXX";
    const char *path[] = {a, a};
    struct wr_run_log log = {0};
    struct wr_findings findings = {0};

    write_file(a, "run,task,start,end\nR1,T,09:00,09:10\nR1,U,09:10,09:30\n");
    enum wr_status status = wr_run_log_read(&log, path, 2, NULL, &findings, NULL);
    unlink(a);
    ck_assert_int_eq(status, WR_OK);
    ck_assert_uint_eq(log.rows_accepted, 4);
    ck_assert_uint_eq(log.rows_duplicate, 2);
    ck_assert_uint_eq(log.n_step, 2);
    ck_assert_str_eq(findings.finding[0].code, "run-in-two-files");
    ck_assert_uint_eq(findings.n_finding, 3);
    wr_run_log_release(&log);
    wr_findings_release(&findings);
}
END_TEST

Suite *suite_run_log(void);
Suite *suite_run_log(void)
{
    Suite *s = suite_create("run_log");
    TCase *t = tcase_create("run_log");

    tcase_set_timeout(t, 60);
    tcase_add_test(t, a_hold_that_is_too_long_is_said_as_it_was_read);
    tcase_add_test(t, an_ordinary_log);
    tcase_add_test(t, rows_that_are_refused);
    tcase_add_test(t, numbers_that_are_not_finite_in_minutes);
    tcase_add_test(t, midnight);
    tcase_add_test(t, a_hold_may_be_the_whole_step);
    tcase_add_test(t, minutes_instead_of_times);
    tcase_add_test(t, start_with_minutes);
    tcase_add_test(t, elapsed_and_stamped_runs);
    tcase_add_test(t, a_duplicate_counts_once);
    tcase_add_test(t, memory_is_bounded_by_steps);
    tcase_add_test(t, adding_up_across_midnight);
    tcase_add_test(t, columns_under_other_names);
    tcase_add_test(t, malformed_columns);
    tcase_add_test(t, logs_that_cannot_be_used);
    tcase_add_test(t, columns_of_no_use);
    tcase_add_test(t, a_remark_that_contradicts_done);
    tcase_add_test(t, several_files);
    tcase_add_test(t, a_run_in_two_files_and_a_file_named_twice);
    suite_add_tcase(s, t);
    return s;
}
