/* What has happened so far during an excursion, as a table: task,step,crew,start,end,hold; moments as
 * campaign/moment.h has them. minutes stand for the end, as in a log, its holds among them.
 * A row whose task is empty says with its start how late it is now. A task may have several rows: one after the other,
 * of steps of their own, or of lanes of their own. It goes on as long as one of them does, and where the last to end is
 * of a step and the rehearsals had others, or tell of none: a warning "task-in-part" says so. A crew that is not the
 * plan's is a warning; the plan's lanes count.
 * A log may have outcome as well: a row that is not done is an error, and one that says so in a column that is not
 * read. */
#pragma once

#include <stddef.h>
#include "wetrun/base/error.h"
#include "wetrun/base/number.h"
#include "wetrun/campaign/findings.h"
#include "wetrun/campaign/plan.h"

struct wr_day_report_row {
    size_t task;                       /* SIZE_MAX: it is now start_min */
    struct wr_maybe start_min, end_min; /* elapsed; at least one is known */
    double hold_min;
    double last_min;                   /* the latest moment in its rows */
    size_t line;                       /* of the first of its rows */
};
struct wr_day_report { struct wr_day_report_row *row; size_t n_row, room; }; /* start as {0} */

/* Every error (an unknown task, a text that is no time, a row without any, a task twice) becomes a finding; WR_E_INPUT
 * if there was any, with the first in *err. log: the rehearsals, whose steps count; NULL: none. */
WR_MUST_CHECK enum wr_status wr_day_report_read_bytes(struct wr_day_report *report, const char *name, const char *bytes,
                                                      size_t n, const struct wr_plan *plan,
                                                      const struct wr_run_log *log, struct wr_maybe start_min,
                                                      struct wr_findings *findings, struct wr_error *err);
void wr_day_report_release(struct wr_day_report *report);
