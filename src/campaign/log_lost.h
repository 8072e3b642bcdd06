/* Rejected rows that name a run and a task: what they stood for was done, and its time is not known. A row that
 * another, accepted one makes good (the corrected row below the wrong one) is none of them. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include "log_pieces.h"
#include "wetrun/campaign/findings.h"
#include "wetrun/campaign/names.h"
#include "wetrun/campaign/run_log.h"

enum { LOG_MOST_LOST = 100000 }; /* kept: no honest log has more */

struct log_lost_row {
    uint32_t run, task, step; /* indices into log_lost.names */
    bool has_start, has_end;  /* could be read */
    bool made_good;
    int64_t start_ns, end_ns;
    uint32_t file;
    size_t line;
};

struct log_lost { /* start as {0} */
    struct log_lost_row *row;
    size_t n_row, room;
    struct wr_names names;
    struct wr_arena text;
};

struct log_lost_fields {
    const char *run, *task; /* what is meant */
    const char *step, *start, *end; /* as they stand in the row, "" if absent */
    const struct wr_habits *habits;
};

void log_lost_note(struct log_lost *lost, const struct log_lost_fields *f, uint32_t file, size_t line);
/* Fills log->lost from those that no piece makes good: the same run, task and step, and a start or an end in common, or
 * a step by name where the row's own times cannot be read. The findings about the others are marked as made good. */
void log_lost_list(struct log_lost *lost, struct log_pieces *pieces, struct wr_run_log *log,
                   struct wr_findings *findings);
void log_lost_release(struct log_lost *lost);
