/* The step log (runs.csv): one record per run x task x step x start. What a row means is fixed by wetrun-files(5)
 * ("The step log"). Times are kept as minutes since the run's first start.
 *
 * A log is read twice. First all of it is looked at: where the table begins, what a number without a colon can be,
 * whether day or month comes first, which names are one but for case and blanks, which further columns are outcomes or
 * holds in disguise. What stays open after that is an error that names both readings and what to type; nothing is read
 * until it is settled. Then the rows are read, each spelling that was not the plain one noted ("read-as").
 *
 * Rows. rows_read = rows_accepted + rows_rejected, always. A rejected row is an error finding whose code begins with
 * "row-", placed at the field that is at fault, and goes verbatim to options->rejected. A duplicate (the same run,
 * task, step and start) is accepted but counted once in the times, and reported; it is in rows_accepted and in
 * rows_duplicate. Rows without a start are duplicates if they name the same step; without a step they add up.
 * Rows of empty fields, comments (#) and, at the end, rows with neither task nor times are no rows.
 *
 * Clock times without a date: a step that ends before it starts has passed midnight if it then lasts 12 h or less.
 * The run starts after the largest stretch of the 24 h circle in which none of its steps ran (of equal ones: the one
 * that ends earliest in the day), so the order of the rows does not matter.
 *
 * Memory grows with distinct run x task x step: of one such step at most WR_MOST_PIECES starts are kept apart, the
 * further ones are added up in one more record, and a finding says so. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include "wetrun/base/error.h"
#include "wetrun/base/memory.h"
#include "wetrun/base/number.h"
#include "wetrun/campaign/aliases.h"
#include "wetrun/campaign/findings.h"
#include "wetrun/campaign/log_time.h" /* enum wr_time_kind */
#include "wetrun/campaign/written.h"

enum { WR_MOST_PIECES = 32 };

enum wr_outcome { WR_DONE, WR_STOPPED, WR_SKIPPED };
bool wr_means_done(const char *text); /* done, or another word for it */

struct wr_log_step {
    uint32_t run, task;         /* indices into wr_run_log.run, .task */
    enum wr_outcome outcome;
    bool has_clock;             /* false: only minutes were logged, or the step was skipped (its times are not kept) */
    uint32_t n_row;             /* rows that it stands for, duplicates not counted: 1 but for steps logged in a row for
                                   each lane, those without a start, and those beyond WR_MOST_PIECES, where start and
                                   end are the first and the last */
    uint32_t file;              /* index into wr_run_log.file */
    size_t line;                /* of the first of its rows */
    double start_min, end_min;  /* since the first start of the run; has_clock only */
    double active_min, hold_min; /* active = end - start - hold, or minutes - hold; 0 when skipped */
    const char *step;           /* "" if the log has no step column */
    const char *crew;           /* as logged, "" if absent */
    const char *performer;      /* as logged, "" if absent */
};

static inline bool wr_log_step_is_above(const struct wr_log_step *a, const struct wr_log_step *b)
{
    return a->file != b->file ? a->file < b->file : a->line < b->line;
}

struct wr_log_run {
    const char *id;
    const char *date;           /* as logged (the earliest, should they differ), "" if absent */
    struct wr_maybe day;        /* days since 1970-01-01; from the time stamps if there is no date */
    struct wr_maybe clock_min;  /* time of day of its first start, where its times tell it */
    enum wr_time_kind kind;
    size_t n_row;               /* accepted rows, duplicates included */
    size_t line; uint32_t file; /* of its first accepted row */
    const char **attribute;     /* [n_attribute], "" if absent: the first non-empty value seen in the run */
};
/* The day as every screen shows it, 2031-04-03, however it was typed; as logged where it is no date. */
const char *wr_log_run_date(const struct wr_log_run *run, char text[16]);

struct wr_log_lost { /* a rejected row that names a run and a task, and that no accepted row makes good */
    const char *run, *task;     /* the run may have no other row */
    uint32_t file;
    size_t line;
};

/* What a file was taken for. */
struct wr_log_facts {
    char delimiter;
    size_t header_line;
    size_t n_column;
    const char *role[16], *column[16]; /* [n_column] what it holds, and its name in the file */
    const char *crew_offer;    /* "crew=Diver", of a file without a column crew: what may be it; "" if nothing */
};

struct wr_run_log { /* start as {0} */
    const char **file; size_t n_file, room_file;   /* as the user named them */
    struct wr_log_facts *facts; size_t n_facts, room_facts; /* [n_file] */
    const char **lost_run; size_t n_lost_run, room_lost_run; /* runs of which every row was rejected */
    struct wr_log_run *run; size_t n_run, room_run; /* if all are dated in order of date, then of time of day where
                                                        known; else, and among equals, of first appearance */
    const char **task; size_t n_task, room_task;    /* in order of first appearance */
    struct wr_log_step *step; size_t n_step, room_step; /* ordered by run, task, start, line */
    const char **attribute; size_t n_attribute, room_attribute; /* names of the further columns */
    bool has_performer, has_crew, has_dates;        /* columns present in some file; all runs dated */
    bool minutes_whole;                             /* as the options say */
    size_t rows_read, rows_accepted, rows_rejected; /* read = accepted + rejected */
    size_t rows_duplicate;                          /* among the accepted ones */
    struct wr_log_lost *lost; size_t n_lost, room_lost; /* not done is one thing, done and not known another */
    struct wr_arena text;
};

enum wr_times_said { WR_TIMES_UNSAID, WR_TIMES_CLOCK, WR_TIMES_ELAPSED, WR_TIMES_DAY, WR_TIMES_12H };
enum wr_join { WR_JOIN_ASK, WR_JOIN_NAMES, WR_KEEP_NAMES }; /* names that differ in case or blanks only */

struct wr_plan; /* campaign/plan.h */

struct wr_log_options {
    const char *columns;        /* "run=Case,task=Activity", or NULL; "hold=-": no column holds it */
    enum wr_times_said times;   /* what a number without a colon is in start and end; 12H: times of day on a clock of
                                   twelve hours */
    enum wr_date_order dates;   /* of dates with slashes */
    double minutes_per_unit;    /* of bare numbers in start, end, minutes, hold; 0: not said, minutes */
    bool minutes_whole;         /* minutes without a start and an end hold what lies between the tasks as well */
    enum wr_join join;
    const char *fill_down;      /* "run,date": an empty cell of these means the one above; NULL: none */
    const struct wr_aliases *aliases; /* NULL: none */
    bool anonymous;             /* no performer is named in a finding */
    bool may_be_empty;          /* a header that can be read and no row below it: a note "log-empty", not a failure */
    const struct wr_plan *plan; /* whose spelling of tasks and lanes counts; NULL: none */
    /* Called for every rejected row, verbatim bytes as they stood in the file (without the line end); line and
     * column are the finding's: the field at fault. NULL: not wanted. */
    void (*rejected)(void *arg, const char *file, size_t line, size_t column, const char *reason,
                     const char *raw, size_t n_raw);
    void *rejected_arg;
};

struct wr_log_text { /* a log in memory, under the name that findings shall give it */
    const char *name, *bytes;
    size_t n;
};

/* Reads the logs in order into *log and *findings. A rejected row is a finding, not a failure.
 *   WR_E_INPUT  a header lacks a needed column or has one twice, a column named in options->columns is in no file,
 *               something may be read in two ways and nothing says which, or no row at all was accepted
 *   WR_E_USAGE  options->columns or fill_down is malformed
 * Either way *log is then to be released. */
WR_MUST_CHECK enum wr_status wr_run_log_read_texts(struct wr_run_log *log, const struct wr_log_text *text,
                                                   size_t n_text, const struct wr_log_options *options,
                                                   struct wr_findings *findings, struct wr_error *err);
/* The same from files; WR_E_INPUT also if one cannot be read. */
WR_MUST_CHECK enum wr_status wr_run_log_read(struct wr_run_log *log, const char *const *path, size_t n_path,
                                             const struct wr_log_options *options,
                                             struct wr_findings *findings, struct wr_error *err);
/* One log from memory. */
WR_MUST_CHECK enum wr_status wr_run_log_read_bytes(struct wr_run_log *log, const char *name, const char *bytes,
                                                   size_t n, const struct wr_log_options *options,
                                                   struct wr_findings *findings, struct wr_error *err);
/* Leaves out that rehearsal and those after it, and the tasks that no other has; the counts of rows stay those of the
 * files.
 * WR_E_USAGE: there is no such rehearsal, or none before it. */
WR_MUST_CHECK enum wr_status wr_run_log_keep_before(struct wr_run_log *log, const char *run, struct wr_error *err);
/* Leaves out that rehearsal alone, likewise. */
void wr_run_log_leave_out(struct wr_run_log *log, size_t run);
/* The steps that some run logged for this task, in the order of the log's rows; those without a name left out. Returns
 * how many, at most `most`. */
size_t wr_run_log_steps_of(const struct wr_run_log *log, const char *task, const char **step, size_t most);
void wr_run_log_release(struct wr_run_log *log);
