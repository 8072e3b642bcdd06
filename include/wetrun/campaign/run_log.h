/* The step log (runs.csv): read as a stream, kept as one record per run x task x step.
 * What a row means is fixed by the README ("runs.csv"). Times are kept as minutes since the run's first start. */
#ifndef WETRUN_CAMPAIGN_RUN_LOG_H
#define WETRUN_CAMPAIGN_RUN_LOG_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include "wetrun/base/error.h"
#include "wetrun/base/memory.h"
#include "wetrun/base/number.h"
#include "wetrun/campaign/findings.h"
#include "wetrun/io/csv_reader.h"

enum wr_outcome { WR_DONE, WR_STOPPED, WR_SKIPPED };

struct wr_log_step {
    uint32_t run, task;         /* indices into wr_run_log.run, .task */
    const char *step;           /* "" if the log has no step column */
    enum wr_outcome outcome;
    bool has_clock;             /* false: only minutes were logged (or a skipped step without times) */
    double start_min, end_min;  /* since the first start of the run; has_clock only */
    double active_min, hold_min; /* active = end - start - hold, or minutes - hold; 0 when skipped */
    const char *crew;           /* as logged, "" if absent */
    const char *performer;      /* as logged, "" if absent */
    uint32_t file;              /* index into wr_run_log.file */
    size_t line;
};

enum wr_time_kind { WR_TIME_NONE, WR_TIME_CLOCK, WR_TIME_STAMP, WR_TIME_ELAPSED, WR_TIME_MINUTES };

struct wr_log_run {
    const char *id;
    const char *date;           /* as logged, "" if absent */
    struct wr_maybe day;        /* days since 1970-01-01 */
    enum wr_time_kind kind;
    size_t n_row;               /* accepted rows */
    const char **attribute;     /* [n_attribute], "" if absent: the first non-empty value seen in the run */
};

struct wr_run_log { /* start as {0} */
    const char **file; size_t n_file, room_file;   /* as the user named them */
    struct wr_log_run *run; size_t n_run, room_run; /* in order of date, else of first appearance */
    const char **task; size_t n_task, room_task;    /* in order of first appearance */
    struct wr_log_step *step; size_t n_step, room_step; /* ordered by run, task, start, line */
    const char **attribute; size_t n_attribute, room_attribute; /* names of the further columns */
    bool has_performer, has_crew, has_dates;        /* columns present in some file; all runs dated */
    size_t rows_read, rows_accepted, rows_rejected; /* read = accepted + rejected */
    struct wr_arena text;
};

struct wr_log_options {
    const char *columns;        /* "run=Case,task=Activity", or NULL */
    /* Called for every rejected row, verbatim bytes as they stood in the file; NULL: not wanted. */
    void (*rejected)(void *arg, const char *file, size_t line, size_t column, const char *reason,
                     const char *raw, size_t n_raw);
    void *rejected_arg;
};

/* Reads the files in order into *log and *findings. A rejected row is a finding, not a failure.
 *   WR_E_INPUT  a file cannot be read, its header lacks a needed column, a column is mapped twice,
 *               or no row at all was accepted
 *   WR_E_USAGE  options->columns is malformed */
WR_MUST_CHECK enum wr_status wr_run_log_read(struct wr_run_log *log, const char *const *path, size_t n_path,
                                             const struct wr_log_options *options,
                                             struct wr_findings *findings, struct wr_error *err);
void wr_run_log_release(struct wr_run_log *log);

#endif
