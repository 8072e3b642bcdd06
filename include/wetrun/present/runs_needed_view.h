/* `runs-needed`: what further rehearsals would add to what is known. */
#ifndef WETRUN_PRESENT_RUNS_NEEDED_VIEW_H
#define WETRUN_PRESENT_RUNS_NEEDED_VIEW_H

#include "wetrun/campaign/plan.h"
#include "wetrun/decide/runs_needed.h"
#include "wetrun/present/context.h"
#include "wetrun/present/grid.h"

struct wr_runs_needed_result { /* borrowed */
    const struct wr_plan *plan;
    double limit_min;
    const struct wr_runs_needed *needed;
};

/* Table: the answer, the interval now and after further rehearsals, the sessions most worth while, and what each number
 * means. CSV: now and after further rehearsals. JSON: everything. */
WR_MUST_CHECK enum wr_status wr_show_runs_needed(enum wr_format format, const struct wr_present_context *ctx,
                                                 const struct wr_runs_needed_result *result, struct wr_str *out,
                                                 struct wr_error *err);

/* What is known now, and what one and the most further rehearsals would do. Plain text without names from files. */
void wr_runs_needed_sentence(const struct wr_runs_needed_result *result, struct wr_str *out);
/* Whether a session on one task would pay; names the best task by its title. */
void wr_session_sentence(const struct wr_runs_needed_result *result, struct wr_str *out);
void wr_grid_of_runs_needed(const struct wr_runs_needed_result *result, struct wr_grid *grid);
void wr_grid_of_sessions(const struct wr_runs_needed_result *result, size_t most, struct wr_grid *grid);
/* What a number of this output means and what it leaves out; NULL behind the last. */
const char *wr_runs_needed_definition(const struct wr_runs_needed_result *result, size_t i);

#endif
