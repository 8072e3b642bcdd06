/* The log while it is being read: runs by number, and pieces of steps in compact form. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include "wetrun/campaign/names.h"
#include "wetrun/campaign/run_log.h"

#define NO_PIECE UINT32_MAX
#define NO_DAY INT64_MIN

/* A step of one run that has more than one row. */
struct log_cell {
    uint32_t first, last, n; /* pieces, hanging on the first */
    uint32_t overflow;       /* the piece that stands for all starts beyond WR_MOST_PIECES, or NO_PIECE */
    int64_t latest_ns;       /* the latest start of them all */
};

struct log_slot {
    uint32_t hash, piece; /* the first of its step; NO_PIECE where empty */
};

struct log_run_state {
    enum wr_time_kind kind;
    uint32_t date;          /* index into dates, or WR_NO_NAME */
    int64_t day, stamp_day; /* NO_DAY where unknown */
    int64_t origin_ns;      /* first start, once known */
    bool has_origin;
    bool date_reported, files_reported;
    size_t n_row, line;
    uint32_t file;
    const char **attribute;
    size_t n_attribute; /* room for so many */
    /* Hash table of its steps. One per run: rows come run by run, and this much stays in the cache. */
    struct log_slot *slot;
    uint32_t n_slot, n_step;
    uint32_t first_piece, last_piece; /* in the order of the log; NO_PIECE */
};

struct log_piece {
    uint32_t run, task, step;
    uint32_t crew, performer;
    uint32_t next;            /* of the same cell; NO_PIECE at the end */
    uint32_t cell;            /* first of a step only: its cell, or NO_PIECE */
    uint32_t next_of_run;
    uint32_t n_row;
    uint16_t file;
    uint8_t outcome;
    bool has_start;
    int64_t start_ns, length_ns;
    double active_min, hold_min;
    size_t line;
};

struct log_pieces { /* start as {0} */
    struct log_run_state *run;
    size_t n_run, room_run;
    struct log_cell *cell;
    size_t n_cell, room_cell;
    struct log_piece *piece;
    size_t n_piece, room;
    struct wr_names runs, tasks, steps, crews, performers, dates, attributes, values;
};

/* The run with this number, which is the next one. */
struct log_run_state *log_pieces_new_run(struct log_pieces *pieces);
/* Where the first piece of this step of this run is noted: NO_PIECE if there is none. Valid until the next call. */
uint32_t *log_pieces_first(struct log_pieces *pieces, uint32_t run, uint32_t task, uint32_t step);
/* A copy of *piece as the first of its step. */
void log_pieces_begin(struct log_pieces *pieces, uint32_t *first, const struct log_piece *piece);
/* The cell of a step that has a piece, made if need be. Valid until the next call. */
struct log_cell *log_pieces_cell(struct log_pieces *pieces, uint32_t first);
/* A copy of *piece, hung on to the cell. Returns its index. */
uint32_t log_pieces_add(struct log_pieces *pieces, struct log_cell *cell, const struct log_piece *piece);
/* The piece of the cell with this start, not looking into the overflow, or NO_PIECE. */
uint32_t log_pieces_find_start(const struct log_pieces *pieces, const struct log_cell *cell, int64_t start_ns);
void log_pieces_release(struct log_pieces *pieces);

/* Fills runs, tasks, attributes and steps of *log from the pieces: dates, order, minutes since each run's start. */
void log_finish(struct wr_run_log *log, struct log_pieces *pieces, struct wr_findings *findings);
