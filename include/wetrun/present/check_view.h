/* `check`: is the log fit for use, and what is odd about it. */
#pragma once

#include "wetrun/campaign/findings.h"
#include "wetrun/campaign/limits.h"
#include "wetrun/campaign/plan.h"
#include "wetrun/campaign/run_log.h"
#include "wetrun/present/context.h"
#include "wetrun/present/grid.h"
#include "wetrun/timing/implausible.h"
#include "wetrun/timing/timing.h"

struct wr_check_result { /* all borrowed */
    const struct wr_run_log *log;       /* NULL: a plan alone */
    const struct wr_plan *plan;         /* NULL: there is none yet */
    const struct wr_timing *timing;     /* NULL: it could not be built */
    const char *rehearsed;              /* file of the plan that the runs are held against; NULL: `plan` */
    const struct wr_findings *findings;
    const struct wr_limits *limits;     /* NULL: not read */
    const struct wr_screen *screen;     /* NULL: not made */
};

/* Table: what the files were taken for, rows, runs, findings with the errors first, those of one code together. CSV:
 * the findings, one row each. JSON: everything. */
WR_MUST_CHECK enum wr_status wr_show_check(enum wr_format format, const struct wr_present_context *ctx,
                                           const struct wr_check_result *result, struct wr_str *out,
                                           struct wr_error *err);

/* The task-by-run table as CSV: run, task, state, active_min, lead_in_min, hold_min, gap_min, start_min, end_min. */
WR_MUST_CHECK enum wr_status wr_show_times(const struct wr_run_log *log, const struct wr_plan *plan,
                                           const struct wr_timing *timing, struct wr_str *out, struct wr_error *err);

/* "6 errors, 2 warnings, no notes; what may move an answer: 6 errors, 1 warning." */
void wr_findings_sentence(const struct wr_present_context *ctx, const struct wr_findings *findings, struct wr_str *out);

/* Grids that the page shares; to be released by the caller. */
void wr_grid_of_runs(const struct wr_check_result *result, struct wr_grid *grid);
void wr_grid_of_findings(const struct wr_findings *findings, struct wr_grid *grid);
