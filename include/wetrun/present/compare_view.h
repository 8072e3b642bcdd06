/* `compare`: rehearsals side by side, and groups of them. */
#pragma once

#include "wetrun/campaign/plan.h"
#include "wetrun/campaign/run_log.h"
#include "wetrun/decide/compare.h"
#include "wetrun/present/context.h"
#include "wetrun/present/grid.h"
#include "wetrun/timing/timing.h"

struct wr_compare_result { /* borrowed */
    const struct wr_plan *plan;
    const struct wr_run_log *log;
    const struct wr_timing *timing; /* beside the plan that the runs followed: what was done, whether all was */
    const struct wr_comparison *comparison;
};

/* Table: trends, groups in sentences, runs, what stood out. CSV: the runs. JSON: everything. */
WR_MUST_CHECK enum wr_status wr_show_compare(enum wr_format format, const struct wr_present_context *ctx,
                                             const struct wr_compare_result *result, struct wr_str *out,
                                             struct wr_error *err);

void wr_grid_of_compared_runs(const struct wr_compare_result *result, struct wr_grid *grid);
void wr_grid_of_standing_out(const struct wr_compare_result *result, struct wr_grid *grid);
/* Behind those: that a wait for what the plan had when it was rehearsed stands out as work; nothing where none is
 * missing, as after a mere change of order within a lane. */
void wr_old_waits_words(const struct wr_timing *timing, struct wr_str *out);
/* All tasks, or those told apart from flat. */
enum wr_task_trends_shown { WR_TASK_TRENDS_ALL, WR_TASK_TRENDS_TOLD };
/* How far single tasks scatter within a rehearsal, and whether some change over the rehearsals: whether it converges.
 * Nothing is added where nothing is known. */
void wr_spread_sentence(const struct wr_comparison *comparison, struct wr_str *out);
void wr_task_trends_sentence(const struct wr_compare_result *result, struct wr_str *out);
/* The plain answer first: is the one group slower, do the rehearsals get shorter, which tasks get longer all the same,
 * do they settle. */
void wr_compare_answer(const struct wr_compare_result *result, struct wr_str *out);
/* How the length and the pace of the rehearsals change. */
void wr_trend_sentence(const struct wr_comparison *comparison, struct wr_str *out);
/* Where the one shows a trend that the other does not: both, briefly. The pace's is known. */
void wr_pace_beside_length(const struct wr_comparison *comparison, struct wr_str *out);
/* What the comparison of two groups shows, in plain sentences. */
void wr_group_sentence(const struct wr_group_comparison *group, struct wr_str *out);
