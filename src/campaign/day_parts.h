/* The rows that a table of reports has of one task, joined: what they say of the whole of it. Parts are those of the
 * campaign's log, so that one of several steps that is done does not pass for the task. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include "wetrun/base/str.h"
#include "wetrun/campaign/day_report.h"
#include "wetrun/io/csv_reader.h"

struct day_part {
    struct wr_day_report_row row;
    struct wr_csv_place at; /* of its step */
    const char *written;    /* the step, borrowed */
    const char *step; /* folded, borrowed; "" if the row names none */
    uint32_t lanes;   /* that its crew names; 0: none */
};

struct day_task { /* one task of the plan, from its first row on; start as {0} */
    size_t task;
    struct day_part *part; size_t n_part, room; /* in the order of the rows */
};

/* false: that row and one before it cannot both be parts of the task. */
bool day_task_add(struct day_task *of, const struct day_part *part);
/* All rows as one; a task that goes on has no end. */
struct wr_day_report_row day_task_joined(const struct day_task *of);
const struct day_part *day_task_last(const struct day_task *of);
/* One whose rows have all ended, the last of them in a step of its own: may there be further steps? Yes where more than
 * one in five of the rehearsals that name steps of it had one that is not reported, and where none names any. Adds to
 * *missing the first such step, as the log has it. log may be NULL. */
bool day_task_is_open(const struct day_task *of, const char *id, const struct wr_run_log *log, struct wr_str *missing);
void day_task_release(struct day_task *of);
