/* The log while it is being read: runs by number, and pieces of steps in compact form. */
#ifndef WETRUN_CAMPAIGN_LOG_PIECES_H
#define WETRUN_CAMPAIGN_LOG_PIECES_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include "wetrun/campaign/names.h"
#include "wetrun/campaign/run_log.h"

#define NO_PIECE UINT32_MAX
#define NO_DAY INT64_MIN

struct log_run_state {
    enum wr_time_kind kind;
    uint32_t date;          /* index into words, or WR_NO_NAME */
    int64_t day, stamp_day; /* NO_DAY where unknown */
    int64_t origin_ns;      /* first start, once known */
    bool has_origin;
    bool date_reported, files_reported;
    size_t n_row, line;
    uint32_t file;
    const char **attribute;
    size_t n_attribute; /* room for so many */
};

/* All pieces of one run x task x step hang together from the first one, the head, which alone is in the hash table. */
struct log_piece {
    uint32_t run, task, step;
    uint32_t crew, performer; /* words */
    uint32_t next;            /* NO_PIECE at the end */
    uint32_t last, n;         /* head only */
    uint32_t overflow;        /* head only: the piece that stands for all starts beyond WR_MOST_PIECES, or NO_PIECE */
    int64_t start_ns, length_ns;
    double active_min, hold_min;
    int64_t latest_ns; /* head only: the latest start of them all */
    size_t line;
    uint32_t n_row;
    uint16_t file;
    uint8_t outcome;
    bool has_start;
};

struct log_pieces { /* start as {0} */
    struct log_run_state *run;
    size_t n_run, room_run;
    struct log_piece *piece;
    size_t n_piece, room;
    uint32_t *slot; /* hash table of heads */
    size_t n_slot, n_head;
    struct wr_names runs, tasks, words, attributes;
};

/* The place of the head for this step: NO_PIECE in it if there is none yet. Valid until the next call. */
uint32_t *log_pieces_head(struct log_pieces *pieces, uint32_t run, uint32_t task, uint32_t step);
/* A copy of *piece, hung on to *head. Returns its index. */
uint32_t log_pieces_add(struct log_pieces *pieces, uint32_t *head, const struct log_piece *piece);
void log_pieces_release(struct log_pieces *pieces);

/* Fills runs, tasks, attributes and steps of *log from the pieces: dates, order, minutes since each run's start. */
void log_finish(struct wr_run_log *log, struct log_pieces *pieces, struct wr_findings *findings);

#endif
