#include "read_log.h"

#include <check.h>
#include <math.h>
#include <string.h>

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

void log_read_with(struct outcome *o, const char *text, size_t n, const char *columns)
{
    *o = (struct outcome){0};
    struct wr_log_options options = {.columns = columns, .rejected = note_rejected, .rejected_arg = o};
    o->status = wr_run_log_read_bytes(&o->log, "runs.csv", text, n, &options, &o->findings, &o->err);
}

void log_read_as(struct outcome *o, const char *text, const struct wr_log_options *options)
{
    struct wr_log_options counted = *options;

    *o = (struct outcome){0};
    counted.rejected = note_rejected;
    counted.rejected_arg = o;
    o->status = wr_run_log_read_bytes(&o->log, "runs.csv", text, strlen(text), &counted, &o->findings, &o->err);
}

size_t outcome_count(const struct outcome *o, const char *code)
{
    size_t n = 0;

    for (size_t i = 0; i < o->findings.n_finding; i++) n += strcmp(o->findings.finding[i].code, code) == 0;
    return n;
}

void outcome_release(struct outcome *o)
{
    wr_run_log_release(&o->log);
    wr_findings_release(&o->findings);
    wr_str_release(&o->rejected);
}

/* The log is good; its rows are accounted for. */
void read_good(struct outcome *o, const char *text)
{
    log_read_with(o, text, strlen(text), NULL);
    ck_assert_msg(o->status == WR_OK, "%s", o->err.text);
    ck_assert_uint_eq(o->log.rows_read, o->log.rows_accepted + o->log.rows_rejected);
}

const struct wr_finding *outcome_finding(const struct outcome *o, const char *code)
{
    for (size_t i = 0; i < o->findings.n_finding; i++)
        if (strcmp(o->findings.finding[i].code, code) == 0) return &o->findings.finding[i];
    return NULL;
}

void outcome_has(const struct outcome *o, const char *code, enum wr_severity severity, size_t line,
                           size_t column)
{
    const struct wr_finding *f = outcome_finding(o, code);

    ck_assert_msg(f != NULL, "no finding %s", code);
    ck_assert_int_eq(f->severity, severity);
    ck_assert_msg(f->line == line && f->column == column, "%s at %zu:%zu, not %zu:%zu", code, f->line, f->column, line,
                  column);
}

const struct wr_log_step *outcome_step(const struct outcome *o, const char *run, const char *task, size_t nth)
{
    for (size_t i = 0; i < o->log.n_step; i++) {
        const struct wr_log_step *s = &o->log.step[i];
        if (strcmp(o->log.run[s->run].id, run) || strcmp(o->log.task[s->task], task)) continue;
        if (nth-- == 0) return s;
    }
    ck_abort_msg("no step %s %s", run, task);
    return NULL;
}

void expect_times(const struct wr_log_step *s, double start, double end, double active, double hold)
{
    ck_assert(s->has_clock);
    ck_assert_double_eq_tol(s->start_min, start, 1e-9);
    ck_assert_double_eq_tol(s->end_min, end, 1e-9);
    ck_assert_double_eq_tol(s->active_min, active, 1e-9);
    ck_assert_double_eq_tol(s->hold_min, hold, 1e-9);
}

/* One row below "run,task,start,end,hold,outcome" beside a good one, and the row is refused. */
void log_refuses(const char *row, const char *code, size_t column)
{
    struct outcome o;
    struct wr_str text = {0};

    wr_str_addf(&text, "run,task,start,end,hold,outcome\nG,G,08:00,08:10,,\n%s\n", row);
    log_read_with(&o, text.text, text.len, NULL);
    ck_assert_int_eq(o.status, WR_OK);
    ck_assert_msg(o.log.rows_rejected == 1 && o.log.rows_accepted == 1 && o.n_rejected == 1, "'%s' was taken", row);
    outcome_has(&o, code, WR_ERROR, 3, column);
    wr_str_clear(&text);
    wr_str_addf(&text, "<%s>\n", row);
    ck_assert_msg(strstr(o.rejected.text, text.text) != NULL, "not verbatim: %s", o.rejected.text);
    ck_assert_uint_eq(o.log.n_run, 1); /* a rejected row makes no run and no task */
    ck_assert_uint_eq(o.log.n_task, 1);
    outcome_release(&o);
    wr_str_release(&text);
}

struct outcome log_accepts(const char *row)
{
    struct outcome o;
    struct wr_str text = {0};

    wr_str_addf(&text, "run,task,start,end,hold,outcome\n%s\n", row);
    read_good(&o, text.text);
    ck_assert_uint_eq(o.log.rows_accepted, 1);
    wr_str_release(&text);
    return o;
}

uint64_t next_random(uint64_t *state)
{
    *state = *state * 6364136223846793005u + 1442695040888963407u;
    return *state >> 33;
}
