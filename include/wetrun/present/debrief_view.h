/* `debrief RUN`: one screen for the hour after a rehearsal. */
#pragma once

#include "wetrun/campaign/limits.h"
#include "wetrun/campaign/plan.h"
#include "wetrun/campaign/run_log.h"
#include "wetrun/decide/compare.h"
#include "wetrun/decide/debrief.h"
#include "wetrun/present/context.h"

struct wr_debrief_result { /* borrowed */
    const struct wr_plan *plan;
    const struct wr_run_log *log;
    const struct wr_debrief *debrief;
    const struct wr_limits *limits;
    const struct wr_comparison *comparison; /* what it holds to stand out is named here too; NULL: none was made */
};

/* Table: what stood out and what it changes. CSV: all tasks. JSON: everything. */
WR_MUST_CHECK enum wr_status wr_show_debrief(enum wr_format format, const struct wr_present_context *ctx,
                                             const struct wr_debrief_result *result, struct wr_str *out,
                                             struct wr_error *err);
