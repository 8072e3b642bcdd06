/* `logsheet`: the blank step log for the next rehearsal, from the plan and from the steps that earlier logs name. */
#pragma once

#include "wetrun/campaign/plan.h"
#include "wetrun/campaign/run_log.h"
#include "wetrun/present/context.h"

/* CSV and JSON: the columns of a step log, one row per task and step in the order of the plan, times left blank: filled
 * in, the CSV is what `runs.csv` takes. Table: the same to print and write on. */
WR_MUST_CHECK enum wr_status wr_show_logsheet(enum wr_format format, const struct wr_present_context *ctx,
                                              const struct wr_plan *plan, const struct wr_run_log *log,
                                              struct wr_str *out, struct wr_error *err);
