/* What has happened so far during an excursion, as a table: one row per task, with when it began and when it ended as
 * far as that is known. task,start,end; times as h:mm, h:mm:ss or minutes, elapsed or of the day as the reader of the
 * rows has it. A row whose task is empty says with its start how late it is now. A log may have outcome and hold as
 * well: a row that is not done is an error, a hold a warning. */
#pragma once

#include <stddef.h>
#include "wetrun/base/error.h"
#include "wetrun/base/number.h"
#include "wetrun/campaign/findings.h"
#include "wetrun/campaign/plan.h"

struct wr_day_report_row {
    size_t task;                       /* SIZE_MAX: it is now start_min */
    struct wr_maybe start_min, end_min; /* as written; at least one is known */
    size_t line;
};
struct wr_day_report { struct wr_day_report_row *row; size_t n_row, room; }; /* start as {0} */

/* Every error (an unknown task, a text that is no time, a row without any, a task twice) becomes a finding; WR_E_INPUT
 * if there was any, with the first in *err. */
WR_MUST_CHECK enum wr_status wr_day_report_read_bytes(struct wr_day_report *report, const char *name, const char *bytes,
                                                      size_t n, const struct wr_plan *plan,
                                                      struct wr_findings *findings, struct wr_error *err);
WR_MUST_CHECK enum wr_status wr_day_report_read(struct wr_day_report *report, const char *path,
                                                const struct wr_plan *plan, struct wr_findings *findings,
                                                struct wr_error *err);
void wr_day_report_release(struct wr_day_report *report);
