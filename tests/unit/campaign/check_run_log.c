/* The step log: what a row means, what is refused, and that no row is lost. All logs here are invented. */
#include <check.h>
#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>
#include "wetrun/base/str.h"
#include "wetrun/campaign/run_log.h"

/* ---- reading a text, with everything that comes of it ---- */

struct outcome {
    enum wr_status status;
    struct wr_run_log log;
    struct wr_findings findings;
    struct wr_error err;
    struct wr_str rejected; /* "LINE:COLUMN reason <raw>\n" */
    size_t n_rejected;
};

static void note_rejected(void *arg, const char *file, size_t line, size_t column, const char *reason, const char *raw,
                          size_t n_raw)
{
    struct outcome *o = arg;

    ck_assert_str_eq(file, "runs.csv");
    wr_str_addf(&o->rejected, "%zu:%zu %s <", line, column, reason);
    wr_str_add_bytes(&o->rejected, raw, n_raw);
    wr_str_add(&o->rejected, ">\n");
    o->n_rejected++;
}

static void read_with(struct outcome *o, const char *text, size_t n, const char *columns)
{
    *o = (struct outcome){0};
    struct wr_log_options options = {.columns = columns, .rejected = note_rejected, .rejected_arg = o};
    o->status = wr_run_log_read_bytes(&o->log, "runs.csv", text, n, &options, &o->findings, &o->err);
}

static void release(struct outcome *o)
{
    wr_run_log_release(&o->log);
    wr_findings_release(&o->findings);
    wr_str_release(&o->rejected);
}

/* The log is good; its rows are accounted for. */
static void read_good(struct outcome *o, const char *text)
{
    read_with(o, text, strlen(text), NULL);
    ck_assert_msg(o->status == WR_OK, "%s", o->err.text);
    ck_assert_uint_eq(o->log.rows_read, o->log.rows_accepted + o->log.rows_rejected);
}

static const struct wr_finding *find(const struct outcome *o, const char *code)
{
    for (size_t i = 0; i < o->findings.n_finding; i++)
        if (strcmp(o->findings.finding[i].code, code) == 0) return &o->findings.finding[i];
    return NULL;
}

static void expect_finding(const struct outcome *o, const char *code, enum wr_severity severity, size_t line,
                           size_t column)
{
    const struct wr_finding *f = find(o, code);

    ck_assert_msg(f != NULL, "no finding %s", code);
    ck_assert_int_eq(f->severity, severity);
    ck_assert_msg(f->line == line && f->column == column, "%s at %zu:%zu, not %zu:%zu", code, f->line, f->column, line,
                  column);
}

static const struct wr_log_step *step_of(const struct outcome *o, const char *run, const char *task, size_t nth)
{
    for (size_t i = 0; i < o->log.n_step; i++) {
        const struct wr_log_step *s = &o->log.step[i];
        if (strcmp(o->log.run[s->run].id, run) || strcmp(o->log.task[s->task], task)) continue;
        if (nth-- == 0) return s;
    }
    ck_abort_msg("no step %s %s", run, task);
    return NULL;
}

static void expect_times(const struct wr_log_step *s, double start, double end, double active, double hold)
{
    ck_assert(s->has_clock);
    ck_assert_double_eq_tol(s->start_min, start, 1e-9);
    ck_assert_double_eq_tol(s->end_min, end, 1e-9);
    ck_assert_double_eq_tol(s->active_min, active, 1e-9);
    ck_assert_double_eq_tol(s->hold_min, hold, 1e-9);
}

/* One row below "run,task,start,end,hold,outcome" beside a good one, and the row is refused. */
static void refuse(const char *row, const char *code, size_t column)
{
    struct outcome o;
    struct wr_str text = {0};

    wr_str_addf(&text, "run,task,start,end,hold,outcome\nG,G,08:00,08:10,,\n%s\n", row);
    read_with(&o, text.text, text.len, NULL);
    ck_assert_int_eq(o.status, WR_OK);
    ck_assert_msg(o.log.rows_rejected == 1 && o.log.rows_accepted == 1 && o.n_rejected == 1, "'%s' was taken", row);
    expect_finding(&o, code, WR_ERROR, 3, column);
    wr_str_clear(&text);
    wr_str_addf(&text, "<%s>\n", row);
    ck_assert_msg(strstr(o.rejected.text, text.text) != NULL, "not verbatim: %s", o.rejected.text);
    ck_assert_uint_eq(o.log.n_run, 1); /* a rejected row makes no run and no task */
    ck_assert_uint_eq(o.log.n_task, 1);
    release(&o);
    wr_str_release(&text);
}

static struct outcome accept(const char *row)
{
    struct outcome o;
    struct wr_str text = {0};

    wr_str_addf(&text, "run,task,start,end,hold,outcome\n%s\n", row);
    read_good(&o, text.text);
    ck_assert_uint_eq(o.log.rows_accepted, 1);
    wr_str_release(&text);
    return o;
}

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
    expect_times(step_of(&o, "R1", "T1", 0), 0, 10.5, 9, 1.5);
    expect_times(step_of(&o, "R1", "T1", 1), 12, 20, 8, 0);
    ck_assert_int_eq(step_of(&o, "R1", "T1", 1)->outcome, WR_STOPPED);
    ck_assert_str_eq(step_of(&o, "R1", "T1", 1)->step, "b");
    expect_times(step_of(&o, "R1", "T2", 0), 20, 50, 30, 0);
    ck_assert_str_eq(step_of(&o, "R1", "T2", 0)->crew, "EV1+EV2");
    ck_assert_str_eq(step_of(&o, "R1", "T2", 0)->performer, "KV+OM");
    ck_assert_uint_eq(step_of(&o, "R1", "T2", 0)->line, 4);
    ck_assert_int_eq(step_of(&o, "R2", "T2", 0)->outcome, WR_SKIPPED);
    ck_assert(!step_of(&o, "R2", "T2", 0)->has_clock);
    ck_assert(o.log.has_crew && o.log.has_performer && !o.log.has_dates);
    ck_assert_uint_eq(o.log.n_attribute, 1);
    ck_assert_str_eq(o.log.attribute[0], "pool");
    ck_assert_str_eq(o.log.run[1].attribute[0], "shallow");
    ck_assert_int_eq(o.log.run[0].kind, WR_TIME_CLOCK);
    ck_assert_int_eq(o.log.run[1].kind, WR_TIME_NONE);
    ck_assert_uint_eq(o.findings.n_finding, 0);
    release(&o);
}
END_TEST

START_TEST(rows_that_are_refused)
{
    refuse(",T,09:00,09:10,,", "row-no-run", 1);
    refuse("R,,09:00,09:10,,", "row-no-task", 3);
    refuse("\" \",T,09:00,09:10,,", "row-no-run", 1);
    refuse("R,T,09:00,", "row-no-time", 11);
    refuse("R,T,09:00,09:10,,,x", "row-field-count", 19);
    refuse("R,T", "row-no-time", 4);
    refuse("R,T,09:00,09:10,,cut off", "row-bad-outcome", 18);
    refuse("R,T,9x,09:10,,", "row-bad-time", 5);
    refuse("R,T,09:00,48:10,,", "row-bad-time", 11);
    refuse("R,T,09:00,,,", "row-no-time", 11);
    refuse("R,T,,09:00,,", "row-no-time", 5);
    refuse("R,T,,,,", "row-no-time", 5);
    refuse("R,T,,,,stopped", "row-no-time", 5);
    refuse("R,T,09:00,09:10,x,", "row-bad-number", 17);
    refuse("R,T,09:00,09:10,nan,", "row-bad-number", 17);
    refuse("R,T,09:00,09:10,inf,", "row-bad-number", 17);
    refuse("R,T,09:00,09:10,1e999,", "row-bad-number", 17);
    refuse("R,T,09:00,09:10,26:10,", "row-bad-number", 17); /* hours and minutes, or minutes and seconds? */
    refuse("R,T,09:00,09:10,-1,", "row-negative", 17);
    refuse("R,T,09:00,09:10,10.001,", "row-hold-too-long", 17);
    refuse("R,T,09:00,09:10,1e8,", "row-out-of-range", 17);
    refuse("R,T,90,80,,", "row-negative", 8);
    refuse("R,T,2031-03-04T09:00,2031-03-04T08:59:59.999,,", "row-negative", 22);
    refuse("R,T,09:00,100,,", "row-mixed-times", 11);
    refuse("R,T,2031-03-04T09:00,2031-03-04T09:10Z,,", "row-mixed-times", 22);
    refuse("G,T,2031-03-04T09:00,2031-03-04T09:10,,", "row-mixed-times", 5); /* the run is in clock times */
    refuse("R,T,09:00,bad,,skipped", "row-bad-time", 11);
    refuse("R,T,\"09:00\"x,09:10,,", "row-malformed", 12);
    refuse("R,T,09:00\",09:10,,", "row-malformed", 10);
    refuse("\"R,T,09:00,09:10,,", "row-malformed", 1);
    refuse("run,task,start,end,hold,outcome", "row-header-again", 1);
}
END_TEST

START_TEST(numbers_that_are_not_finite_in_minutes)
{
    struct outcome o;

    read_good(&o, "run,task,minutes\nR,T,5\nR,U,inf\nR,U,NaN\nR,U,1e400\nR,U,-3\nR,U,\nR,U,1e300\n");
    ck_assert_uint_eq(o.log.rows_rejected, 6);
    ck_assert_ptr_nonnull(strstr(o.rejected.text, "3:5 minutes 'inf'"));
    ck_assert_ptr_nonnull(strstr(o.rejected.text, "6:5 minutes -3 is negative"));
    release(&o);
}
END_TEST

START_TEST(midnight)
{
    struct outcome o = accept("R,T,23:50,00:20,5,");

    expect_times(step_of(&o, "R", "T", 0), 0, 30, 25, 5);
    release(&o);
    o = accept("R,T,20:00,08:00,,"); /* just twelve hours */
    expect_times(step_of(&o, "R", "T", 0), 0, 720, 720, 0);
    release(&o);
    refuse("R,T,20:00:00,08:00:01,,", "row-negative", 14);
    o = accept("R,T,09:00,22:00,,"); /* longer, but it ends after it starts */
    expect_times(step_of(&o, "R", "T", 0), 0, 780, 780, 0);
    expect_finding(&o, "long-step", WR_WARNING, 2, 5);
    release(&o);
    o = accept("R,T,23:00,24:00,,");
    expect_times(step_of(&o, "R", "T", 0), 0, 60, 60, 0);
    release(&o);
    o = accept("R,T,24:00,00:30,,");
    expect_times(step_of(&o, "R", "T", 0), 0, 30, 30, 0);
    release(&o);
}
END_TEST

START_TEST(a_hold_may_be_the_whole_step)
{
    struct outcome o = accept("R,T,09:00,09:10,10,");

    expect_times(step_of(&o, "R", "T", 0), 0, 10, 0, 10);
    expect_finding(&o, "all-hold", WR_WARNING, 2, 17);
    release(&o);
    o = accept("R,T,09:00:00,09:00:07,0.1166666666667,"); /* 7 s in decimal minutes, rounded up */
    ck_assert_double_eq(step_of(&o, "R", "T", 0)->active_min, 0.0);
    release(&o);
    o = accept("R,T,09:00,09:00,,");
    expect_finding(&o, "zero-step", WR_WARNING, 2, 5);
    release(&o);
}
END_TEST

START_TEST(minutes_instead_of_times)
{
    struct outcome o;

    read_good(&o, "run,task,minutes,hold,step\nR,T,12.5,2.5,\nR,T,7,,\nR,U,3,,a\nR,U,4,,b\n");
    const struct wr_log_step *s = step_of(&o, "R", "T", 0);
    ck_assert(!s->has_clock);
    ck_assert_double_eq(s->active_min, 17.0);
    ck_assert_double_eq(s->hold_min, 2.5);
    ck_assert_uint_eq(s->n_row, 2); /* without a step they add up */
    ck_assert_double_eq(step_of(&o, "R", "U", 1)->active_min, 4.0);
    ck_assert_uint_eq(o.log.n_step, 3);
    ck_assert_int_eq(o.log.run[0].kind, WR_TIME_MINUTES);
    release(&o);
    read_good(&o, "run,task,minutes\nR,T,5\nR,T,5\n");
    ck_assert_double_eq(step_of(&o, "R", "T", 0)->active_min, 10.0);
    expect_finding(&o, "repeated-row", WR_WARNING, 3, 5);
    ck_assert_uint_eq(o.log.rows_duplicate, 0);
    release(&o);
}
END_TEST

START_TEST(start_with_minutes)
{
    struct outcome o;

    read_good(&o, "run,task,start,minutes\nR,T,23:50,20\nR,U,00:10,30\n");
    expect_times(step_of(&o, "R", "T", 0), 0, 20, 20, 0);
    expect_times(step_of(&o, "R", "U", 0), 20, 50, 30, 0);
    release(&o);
    read_good(&o, "run,task,start,end,minutes\nR,T,09:00,09:20,20.5\nR,U,09:20,09:50,13\nR,V,,,10\n");
    expect_finding(&o, "minutes-differ", WR_WARNING, 3, 17);
    expect_times(step_of(&o, "R", "U", 0), 20, 50, 30, 0); /* start and end count */
    expect_finding(&o, "row-mixed-times", WR_ERROR, 4, 5);
    release(&o);
}
END_TEST

START_TEST(elapsed_and_stamped_runs)
{
    struct outcome o;

    read_good(&o, "run,task,start,end\nE,T,5,17.25\nE,U,17.25,98\nS,T,2031-03-04T23:30,2031-03-05 00:10\n"
                  "Z,T,2031-03-04T23:30+02:00,2031-03-04T22:00Z\n");
    expect_times(step_of(&o, "E", "T", 0), 0, 12.25, 12.25, 0);
    expect_times(step_of(&o, "E", "U", 0), 12.25, 93, 80.75, 0);
    expect_times(step_of(&o, "S", "T", 0), 0, 40, 40, 0);
    expect_times(step_of(&o, "Z", "T", 0), 0, 30, 30, 0);
    release(&o);
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
    expect_finding(&o, "duplicate-row", WR_WARNING, 4, 7);
    expect_finding(&o, "duplicate-differs", WR_WARNING, 5, 7);
    ck_assert_double_eq(step_of(&o, "R", "T", 1)->active_min, 10.0); /* the first was kept */
    ck_assert_uint_eq(o.log.run[0].n_row, 6);
    release(&o);
    read_good(&o, "run,task,step,minutes,outcome\nR,T,a,5,\nR,T,a,5,\nR,T,b,,skipped\nR,T,b,,skipped\n");
    ck_assert_uint_eq(o.log.rows_duplicate, 2);
    ck_assert_uint_eq(o.log.n_step, 2);
    release(&o);
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
    expect_finding(&o, "many-pieces", WR_WARNING, WR_MOST_PIECES + 2, 3);
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
    release(&o);
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
    release(&o);
    wr_str_release(&text);
}
END_TEST

/* ---- where a run begins ---- */

static uint64_t next_random(uint64_t *state)
{
    *state = *state * 6364136223846793005u + 1442695040888963407u;
    return *state >> 33;
}

/* The slow way: mark every minute of the day in which a step ran, look at every stretch of empty ones. Steps are
 * half-open and at least a minute. -1 if no minute is empty. */
static int first_minute(const int *start, const int *length, int n)
{
    char busy[1440] = {0};
    int best = 0, begin = -1;

    for (int i = 0; i < n; i++)
        for (int m = 0; m < length[i]; m++) busy[(start[i] + m) % 1440] = 1;
    for (int m = 0; m < 1440; m++) { /* stretches ending at m, the earliest end winning */
        int empty = 0;
        if (!busy[m]) continue;
        while (empty < 1440 && !busy[(m + 1439 - empty) % 1440]) empty++;
        if (empty > best) {
            best = empty;
            begin = m;
        }
    }
    return begin;
}

START_TEST(the_run_begins_after_the_longest_empty_stretch)
{
    uint64_t state = 11;

    for (int round = 0; round < 400; round++) {
        int n = 1 + (int)(next_random(&state) % 12), start[12], length[12];
        int centre = (int)(next_random(&state) % 1440), spread = 60 + (int)(next_random(&state) % 1380);
        struct wr_str text = {0};
        struct outcome o;
        wr_str_add(&text, "run,task,start,end\n");
        for (int i = 0; i < n; i++) {
            start[i] = (centre + (int)(next_random(&state) % (unsigned)spread)) % 1440;
            length[i] = 1 + (int)(next_random(&state) % 200);
            int end = (start[i] + length[i]) % 1440;
            wr_str_addf(&text, "R,T%d,%02d:%02d,%02d:%02d\n", i, start[i] / 60, start[i] % 60, end / 60, end % 60);
        }
        read_good(&o, text.text);
        ck_assert_uint_eq(o.log.n_step, (size_t)n);
        int begin = first_minute(start, length, n);
        if (begin < 0) {
            ck_assert_ptr_nonnull(find(&o, "clock-goes-round"));
        } else {
            for (int i = 0; i < n; i++)
                ck_assert_double_eq(o.log.step[i].start_min, (start[i] - begin + 1440) % 1440);
        }
        release(&o);
        wr_str_release(&text);
    }
}
END_TEST

START_TEST(the_order_of_rows_does_not_matter)
{
    static const char *row[] = {"R,A,22:00,22:30\n", "R,B,22:30,23:50\n", "R,C,23:50,00:40\n", "R,D,00:40,02:00\n",
                                "R,E,23:10,01:05\n"};
    static const double start[] = {0, 30, 110, 160, 70};
    uint64_t state = 3;

    for (int round = 0; round < 50; round++) {
        int order[5] = {0, 1, 2, 3, 4};
        struct wr_str text = {0};
        struct outcome o;
        for (int i = 4; i > 0; i--) {
            int j = (int)(next_random(&state) % (unsigned)(i + 1)), kept = order[i];
            order[i] = order[j];
            order[j] = kept;
        }
        wr_str_add(&text, "run,task,start,end\n");
        for (int i = 0; i < 5; i++) wr_str_add(&text, row[order[i]]);
        read_good(&o, text.text);
        for (int i = 0; i < 5; i++) {
            char task[2] = {(char)('A' + i), '\0'};
            ck_assert_double_eq(step_of(&o, "R", task, 0)->start_min, start[i]);
        }
        release(&o);
        wr_str_release(&text);
    }
}
END_TEST

START_TEST(of_equal_stretches_the_one_that_ends_earlier_in_the_day)
{
    struct outcome o;

    read_good(&o, "run,task,start,end\nR,A,13:00,18:00\nR,B,01:00,06:00\n"); /* seven hours either way */
    expect_times(step_of(&o, "R", "B", 0), 0, 300, 300, 0);
    expect_times(step_of(&o, "R", "A", 0), 720, 1020, 300, 0);
    release(&o);
}
END_TEST

START_TEST(long_runs_are_reported)
{
    struct outcome o;

    read_good(&o, "run,task,start,end\nR,A,06:00,10:00\nR,B,12:00,18:30\n");
    expect_finding(&o, "long-run", WR_WARNING, 2, 0);
    release(&o);
    read_good(&o, "run,task,start,end\nR,A,06:00,10:00\nR,B,12:00,18:00\n");
    ck_assert_ptr_null(find(&o, "long-run"));
    release(&o);
    read_good(&o, "run,task,start,end\nR,A,2031-03-04T06:00,2031-03-04T10:00\nR,B,2031-03-06T12:00,2031-03-06T18:30\n");
    expect_finding(&o, "long-run", WR_WARNING, 2, 0);
    release(&o);
}
END_TEST

/* Times of a skipped step were not worked: they neither begin the run nor last. */
START_TEST(skipped_times_do_not_count)
{
    struct outcome o;

    read_good(&o, "run,task,start,end,outcome\nR,A,07:00,07:30,skipped\nR,B,09:00,09:30,done\nR,C,,09:40,skipped\n");
    expect_times(step_of(&o, "R", "B", 0), 0, 30, 30, 0);
    ck_assert(!step_of(&o, "R", "A", 0)->has_clock);
    ck_assert_double_eq(step_of(&o, "R", "A", 0)->active_min, 0.0);
    release(&o);
    read_good(&o, "run,task,start,end,outcome\nR,A,1,2,skipped\nR,B,9,10,done\n");
    expect_times(step_of(&o, "R", "B", 0), 0, 1, 1, 0);
    release(&o);
}
END_TEST

/* ---- dates and the order of runs ---- */

static void expect_order(const struct outcome *o, const char *ids)
{
    struct wr_str got = {0};

    for (size_t i = 0; i < o->log.n_run; i++) wr_str_addf(&got, "%s%s", i ? " " : "", o->log.run[i].id);
    ck_assert_str_eq(got.text, ids);
    for (size_t i = 1; i < o->log.n_step; i++) {
        const struct wr_log_step *a = &o->log.step[i - 1], *b = &o->log.step[i];
        ck_assert(a->run < b->run || (a->run == b->run && a->task <= b->task));
    }
    wr_str_release(&got);
}

START_TEST(runs_are_ordered_by_date)
{
    struct outcome o;

    read_good(&o, "run,date,task,start,end\nc,2031-03-09,T,14:00,15:00\na,2031/02/28,T,09:00,10:00\n"
                  "b,2031-03-09,T,09:00,10:00\nd,2032-01-01,T,09:00,10:00\n");
    ck_assert(o.log.has_dates);
    expect_order(&o, "a b c d"); /* of one day the earlier first */
    ck_assert_double_eq(o.log.run[0].day.value, 22338);
    ck_assert_str_eq(o.log.run[0].date, "2031/02/28");
    release(&o);
    read_good(&o, "run,date,task,start,end\nc,2031-03-09,T,14:00,15:00\na,,T,09:00,10:00\n"
                  "b,2031-03-01,T,09:00,10:00\n");
    ck_assert(!o.log.has_dates);
    expect_order(&o, "c a b");
    expect_finding(&o, "some-undated", WR_WARNING, 0, 0);
    release(&o);
    read_good(&o, "run,task,start,end\nb,T,2031-03-09T14:00,2031-03-09T15:00\na,T,2031-03-08T09:00,2031-03-08T10:00\n");
    ck_assert(o.log.has_dates);
    expect_order(&o, "a b");
    release(&o);
    read_good(&o, "run,task,minutes\nz,T,5\na,T,5\nz,U,5\n");
    expect_order(&o, "z a");
    ck_assert_ptr_null(find(&o, "some-undated"));
    release(&o);
}
END_TEST

START_TEST(dates_that_do_not_fit)
{
    struct outcome o;

    read_good(&o, "run,date,task,start,end\na,2031-03-09,T,23:00,23:30\na,2031-03-10,U,00:10,00:20\n"
                  "b,31.12.30,T,09:00,10:00\nb,31.12.30,U,10:00,11:00\n");
    expect_finding(&o, "date-varies", WR_WARNING, 3, 3);
    expect_finding(&o, "bad-date", WR_WARNING, 4, 3);
    ck_assert_uint_eq(o.findings.n_finding, 3); /* once each, and that some are undated */
    ck_assert_str_eq(o.log.run[0].date, "2031-03-09");
    ck_assert_str_eq(o.log.run[1].date, "");
    release(&o);
    read_good(&o, "run,date,task,minutes\na,2031-03-10,T,1\na,2031-03-09,U,1\n"); /* the earlier, whatever the order */
    ck_assert_str_eq(o.log.run[0].date, "2031-03-09");
    release(&o);
}
END_TEST

START_TEST(attributes_belong_to_the_run)
{
    struct outcome o;

    read_good(&o, "run,task,minutes,Pool,note\na,T,1,,x\na,U,1,deep,y\na,V,1,shallow,z\nb,T,1,wide,\n");
    ck_assert_uint_eq(o.log.n_attribute, 2);
    ck_assert_str_eq(o.log.run[0].attribute[0], "deep");
    ck_assert_str_eq(o.log.run[0].attribute[1], "x");
    ck_assert_str_eq(o.log.run[1].attribute[0], "wide");
    ck_assert_str_eq(o.log.run[1].attribute[1], "");
    expect_finding(&o, "attribute-varies", WR_NOTE, 3, 12); /* the note differs first */
    size_t n = 0;
    for (size_t i = 0; i < o.findings.n_finding; i++) n += strcmp(o.findings.finding[i].code, "attribute-varies") == 0;
    ck_assert_uint_eq(n, 2); /* once per column */
    release(&o);
}
END_TEST

/* ---- columns ---- */

START_TEST(columns_under_other_names)
{
    struct outcome o;
    const char *text = "Case,Activity,\"Start Timestamp\",\"End, local\",run,minutes\nR,T,09:00,09:10,pool,\n";
    const char *columns = "run=Case,task=activity,start=Start Timestamp,end=\"End, local\"";

    read_with(&o, text, strlen(text), columns);
    ck_assert_msg(o.status == WR_OK, "%s", o.err.text);
    expect_times(step_of(&o, "R", "T", 0), 0, 10, 10, 0);
    ck_assert_uint_eq(o.log.n_attribute, 1); /* the file's own `run` is an attribute now */
    ck_assert_str_eq(o.log.attribute[0], "run");
    ck_assert_str_eq(o.log.run[0].attribute[0], "pool");
    release(&o);
    /* a column given away is not taken under its own name as well */
    text = "run,step,minutes\nR,T,5\n";
    read_with(&o, text, strlen(text), "task=step");
    ck_assert_int_eq(o.status, WR_OK);
    ck_assert_str_eq(step_of(&o, "R", "T", 0)->step, "");
    release(&o);
}
END_TEST

static void refuse_columns(const char *columns, enum wr_status status, const char *part)
{
    struct outcome o;
    const char *text = "run,task,minutes\nR,T,5\n";

    read_with(&o, text, strlen(text), columns);
    ck_assert_msg(o.status == status, "'%s': %s", columns, wr_status_name(o.status));
    ck_assert_msg(strstr(o.err.text, part) != NULL, "'%s': %s", columns, o.err.text);
    release(&o);
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

    read_with(&o, text, strlen(text), NULL);
    ck_assert_msg(o.status == WR_E_INPUT, "'%s' was taken", text);
    ck_assert_msg(strstr(o.err.text, part) != NULL, "%s", o.err.text);
    release(&o);
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
    expect_finding(&o, "column-unnamed", WR_NOTE, 1, 18);
    expect_finding(&o, "column-twice", WR_WARNING, 1, 24);
    ck_assert_uint_eq(o.log.n_attribute, 1);
    ck_assert_str_eq(o.log.run[0].attribute[0], "a");
    release(&o);
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
    release(&o);
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
    release(&o);
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
        read_with(&o, text.text, text.len, NULL);
        check_accounts(&o);
        rejected += o.log.rows_rejected;
        accepted += o.log.rows_accepted;
        release(&o);
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
    release(&o);
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
    release(&o);
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
        release(&o);
        wr_str_release(&text);
    }
}
END_TEST

Suite *suite_run_log(void);
Suite *suite_run_log(void)
{
    Suite *s = suite_create("run_log");
    TCase *t = tcase_create("run_log");

    tcase_set_timeout(t, 60);
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
    tcase_add_test(t, the_run_begins_after_the_longest_empty_stretch);
    tcase_add_test(t, the_order_of_rows_does_not_matter);
    tcase_add_test(t, of_equal_stretches_the_one_that_ends_earlier_in_the_day);
    tcase_add_test(t, long_runs_are_reported);
    tcase_add_test(t, skipped_times_do_not_count);
    tcase_add_test(t, runs_are_ordered_by_date);
    tcase_add_test(t, dates_that_do_not_fit);
    tcase_add_test(t, attributes_belong_to_the_run);
    tcase_add_test(t, columns_under_other_names);
    tcase_add_test(t, malformed_columns);
    tcase_add_test(t, logs_that_cannot_be_used);
    tcase_add_test(t, columns_of_no_use);
    tcase_add_test(t, several_files);
    tcase_add_test(t, a_run_in_two_files_and_a_file_named_twice);
    tcase_add_test(t, text_is_kept_as_it_is);
    tcase_add_test(t, very_long_values);
    tcase_add_test(t, mutilated_logs_lose_no_row);
    tcase_add_test(t, one_bad_row_costs_one_row);
    tcase_add_test(t, a_log_as_it_was_before_a_rehearsal);
    tcase_add_test(t, a_rejected_row_is_lost_unless_another_makes_it_good);
    suite_add_tcase(s, t);
    return s;
}
