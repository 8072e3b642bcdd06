/* A step log read from a text, with everything that comes of it. */
#pragma once

#include <stdint.h>
#include "wetrun/base/str.h"
#include "wetrun/campaign/run_log.h"

struct outcome {
    enum wr_status status;
    struct wr_run_log log;
    struct wr_findings findings;
    struct wr_error err;
    struct wr_str rejected; /* "LINE:COLUMN reason <raw>\n" */
    size_t n_rejected;
};

void log_read_with(struct outcome *o, const char *text, size_t n, const char *columns);
/* The same with what else is to be said; rejected rows are counted whatever the options have for them. */
void log_read_as(struct outcome *o, const char *text, const struct wr_log_options *options);
size_t outcome_count(const struct outcome *o, const char *code); /* findings with this code */
void outcome_release(struct outcome *o);
/* The log is good; its rows are accounted for. */
void read_good(struct outcome *o, const char *text);
const struct wr_finding *outcome_finding(const struct outcome *o, const char *code);
void outcome_has(const struct outcome *o, const char *code, enum wr_severity severity, size_t line, size_t column);
const struct wr_log_step *outcome_step(const struct outcome *o, const char *run, const char *task, size_t nth);
void expect_times(const struct wr_log_step *s, double start, double end, double active, double hold);
/* One row below "run,task,start,end,hold,outcome" beside a good one, and the row is refused. */
void log_refuses(const char *row, const char *code, size_t column);
struct outcome log_accepts(const char *row);
uint64_t next_random(uint64_t *state);
