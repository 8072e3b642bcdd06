/* The first look at step logs: all of them, before any row is read. Finds how each file writes times, dates and
 * numbers, what every name means, and what may be read in two ways. */
#pragma once

#include <stdbool.h>
#include "log_columns.h"
#include "table_start.h"
#include "wetrun/base/str.h"
#include "wetrun/campaign/run_log.h"

/* ---- cells that are filled down ---- */

struct log_fill { /* start as {0} */
    bool on[N_ROLE], any;
    struct wr_str last[N_ROLE];
    struct wr_csv_field field[N_ROLE];
};
/* WR_E_USAGE if text (may be NULL) is no list of columns that can be filled. */
WR_MUST_CHECK enum wr_status log_fill_parse(struct log_fill *fill, const char *text, struct wr_error *err);
void log_fill_restart(struct log_fill *fill); /* at the beginning of a file */
/* To be called for every row that is one, at hand in columns: keeps what later rows may mean. */
void log_fill_row(struct log_fill *fill, const struct log_columns *columns);
void log_fill_release(struct log_fill *fill);
/* The cell of the row at hand after log_fill_row. */
static inline const struct wr_csv_field *log_field(const struct log_fill *fill, const struct log_columns *columns,
                                                   enum log_role role)
{
    const struct wr_csv_field *f = columns->cell[role];

    return f->len || !fill->on[role] ? f : &fill->field[role];
}

/* ---- what names mean ---- */

struct name_map { /* start as {0} */
    struct wr_names raw;         /* as they stand in the logs */
    struct wr_csv_field *meant;  /* [raw.n_name] */
    enum wr_spelling *spelling;  /* [raw.n_name] WR_PLAIN where they mean themselves */
    bool changes;                /* some name means another */
};

enum { MAP_RUN, MAP_TASK, MAP_CREW, MAP_PERFORMER, N_MAP };

struct log_source { /* one file */
    struct wr_log_text text;
    struct table_start start;
    struct log_columns columns;
    struct wr_habits habits;
    struct wr_read_as read_as;
};

struct log_survey { /* start as {0} */
    struct log_source *source;
    size_t n_source;
    struct log_mapping mapping;
    struct log_fill fill;
    struct name_map map[N_MAP];
    struct wr_arena text;
};

/* Looks at all files and decides. WR_E_INPUT, with findings, where a file cannot be read in one way only. attributes
 * gets the names of the further columns. *survey is to be released either way. */
WR_MUST_CHECK enum wr_status log_survey_make(struct log_survey *survey, const struct wr_log_text *text, size_t n_text,
                                             const struct wr_log_options *options, struct wr_names *attributes,
                                             struct wr_arena *arena, struct wr_findings *findings,
                                             struct wr_error *err);
void log_survey_release(struct log_survey *survey);
