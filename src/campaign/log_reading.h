/* Reading the rows of a log, file by file: what the parts of it share. run_log.c goes through the rows; what a row says
 * is understood in log_row.c, put where it belongs in log_of_run.c, and what is to be said of it is worded in
 * log_remarks.c. */
#pragma once

#include <stdbool.h>
#include <stdint.h>
#include "log_lost.h"
#include "log_pieces.h"
#include "log_survey.h"
#include "wetrun/campaign/run_log.h"
#include "wetrun/io/csv_reader.h"

/* Twelve hours: longer steps are taken for slips of the pen. */
#define HALF_DAY_NS (WR_NS_PER_DAY / 2)

/* A row without a task that may be none of the table's: see may_be_footer. */
struct footer {
    size_t line, n_raw;
    const char *raw;
    struct wr_csv_place place;
};

struct reading {
    struct wr_run_log *log;
    struct log_pieces pieces;
    struct log_lost lost;
    const struct wr_log_options *options;
    struct wr_findings *findings;
    struct wr_error *err;
    struct log_survey survey;

    /* the file being read */
    const char *file;
    uint32_t file_index;
    struct log_source *source;
    bool has_header;
    char *header;
    size_t n_header;
    struct footer *footer;
    size_t n_footer, room_footer;

    struct {
        uint32_t file;
        size_t line; /* of the first; 0: there is none */
        char from[32], to[32];
    } half_day; /* rejected rows that may be of a clock of twelve hours */

    uint32_t run, task, step, crew, performer, date; /* names of the last row */
    uint32_t raw[N_MAP];                             /* the same as they stand in the log */
    uint32_t dated_run;                              /* whose date that was */
    bool *attribute_varies;
    size_t n_attribute_varies;
};

/* A row whose fields were understood. */
struct row {
    enum wr_outcome outcome;
    enum wr_time_kind kind;
    bool has_start;
    int64_t start_ns, length_ns;
    int64_t day; /* of a stamp */
    double active_min, hold_min;
    double minutes; /* as logged in that column; known if has_minutes */
    bool has_minutes;
};

/* Of the row at hand. */
static inline const struct wr_csv_field *log_field_of(const struct reading *r, enum log_role role)
{
    return log_field(&r->survey.fill, &r->source->columns, role);
}

/* What a name of it means. */
static inline const struct wr_csv_field *log_meant_by(struct reading *r, enum log_role role, size_t which)
{
    const struct wr_csv_field *f = log_field_of(r, role);
    const struct name_map *map = &r->survey.map[which];

    if (!map->changes) return f;
    uint32_t raw = wr_names_find_next(&r->survey.map[which].raw, f->text, f->len, &r->raw[which]);
    return raw == WR_NO_NAME ? f : &map->meant[raw];
}

/* ---- said of a row (log_remarks.c) ---- */

/* A field, or the text of one, that was not in the plain form: what it was read as. */
__attribute__((cold)) void log_note_spelling(struct reading *r, const struct wr_csv_record *record, enum log_role role,
                                             enum wr_spelling spelling, const char *meant);
void log_note_minutes(struct reading *r, const struct wr_csv_record *record, enum log_role role,
                      enum wr_spelling spelling, double minutes);
void log_note_time(struct reading *r, const struct wr_csv_record *record, enum log_role role, enum wr_spelling spelling,
                   const struct wr_log_time *time);
void log_note_names(struct reading *r, const struct wr_csv_record *record);
/* The row is left out; `reject` says so of a field and returns false. */
void log_report_rejected(struct reading *r, const struct wr_csv_record *record, struct wr_csv_place place,
                         const char *code, const char *reason);
__attribute__((cold)) WR_PRINTF(5, 6) bool log_reject(struct reading *r, const struct wr_csv_record *record,
                                                      enum log_role role, const char *code, const char *fmt, ...);
__attribute__((cold)) void log_reject_shape(struct reading *r, const struct wr_csv_record *record);
__attribute__((cold))
WR_PRINTF(6, 7) void log_warn(struct reading *r, const struct wr_csv_record *record, enum log_role role,
                              enum wr_severity severity, const char *code, const char *fmt, ...);
/* A step that counts as done only because the column that says otherwise is not read as its outcome. */
void log_warn_of_remarks(struct reading *r, const struct wr_csv_record *record);

/* ---- what its fields say (log_row.c) ---- */

/* False: it was rejected. */
bool log_understand_row(struct reading *r, const struct wr_csv_record *record, struct row *row);

/* ---- what belongs to its run (log_of_run.c) ---- */

uint32_t log_new_run(struct reading *r, const struct wr_csv_record *record);
/* Date and further columns. */
void log_take_run_facts(struct reading *r, const struct wr_csv_record *record, uint32_t index, const struct row *row);
/* The step itself. */
void log_add_piece(struct reading *r, const struct wr_csv_record *record, uint32_t run, const struct row *row);
