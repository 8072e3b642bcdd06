/* `fit`: how long each task takes, and how sure that is. */
#pragma once

#include "wetrun/campaign/plan.h"
#include "wetrun/campaign/run_log.h"
#include "wetrun/decide/candidates.h"
#include "wetrun/model/summary.h"
#include "wetrun/model/total_check.h"
#include "wetrun/present/earlier_view.h"
#include "wetrun/present/context.h"
#include "wetrun/present/grid.h"

struct wr_fit_result { /* borrowed */
    const struct wr_plan *plan;
    const struct wr_run_log *log;             /* names of the runs; NULL: nothing was rehearsed */
    const struct wr_fit_summary *summary;
    const struct wr_posterior *posterior;     /* for what the chains say of themselves; NULL: none was sampled */
    const struct wr_candidates *candidates;   /* NULL: not fitted */
    const struct wr_total_check *total;       /* the check without a model; NULL: none */
    const struct wr_total_disagreement *disagreement; /* NULL with total */
    struct wr_earlier_result earlier;         /* earlier.earlier NULL: no earlier campaigns */
};

/* Table: tasks as the forecast sees them, run effects, people, learning, chains. CSV: the tasks. */
WR_MUST_CHECK enum wr_status wr_show_fit(enum wr_format format, const struct wr_present_context *ctx,
                                         const struct wr_fit_result *result, struct wr_str *out, struct wr_error *err);

void wr_grid_of_task_times(const struct wr_fit_result *result, struct wr_grid *grid);
void wr_grid_of_people(const struct wr_fit_result *result, struct wr_grid *grid);
/* Sentences about learning, the run effect, the tasks' own spreads and the chains; plain text. */
void wr_learning_sentence(const struct wr_fit_summary *summary, struct wr_str *out);
void wr_run_effect_sentence(const struct wr_fit_summary *summary, struct wr_str *out);
void wr_chains_sentence(const struct wr_posterior *posterior, struct wr_str *out);
/* The forecast of the total without a model beside it; or that there is not enough for one. Nothing without a
 * rehearsal. */
void wr_total_sentence(const struct wr_fit_result *result, struct wr_str *out);
