/* Everything that can be said of a campaign, as far as it is wanted and its data allow: what `fit`, `chart` and `report`
 * draw from. */
#ifndef WETRUN_CMD_RESULTS_H
#define WETRUN_CMD_RESULTS_H

#include "analysis.h"
#include "review.h"
#include "trial_set.h"
#include "wetrun/decide/candidates.h"
#include "wetrun/decide/compare.h"
#include "wetrun/decide/runs_needed.h"
#include "wetrun/model/summary.h"
#include "wetrun/model/total_check.h"
#include "wetrun/present/chart.h"
#include "wetrun/present/fit_view.h"

enum wr_wanted {
    WR_WANT_FIT = 1 << 0,       /* summary of the model, check without a model */
    WR_WANT_CANDIDATES = 1 << 1,
    WR_WANT_PAD = 1 << 2,
    WR_WANT_CUTOFFS = 1 << 3,
    WR_WANT_COMPARISON = 1 << 4,
    WR_WANT_BACKTEST = 1 << 5,
    WR_WANT_READY = 1 << 6,     /* implies pad and backtest */
    WR_WANT_RUNS_NEEDED = 1 << 7, /* with fewer futures than the command of that name */
    WR_WANT_ALL = (1 << 8) - 1
};

struct wr_results { /* start as {0}; a result exists where its bit is set in `has` */
    unsigned has;
    struct wr_analysis a;       /* with the forecast, always */
    struct wr_fit_summary summary;
    struct wr_total_check total;
    struct wr_total_disagreement disagreement;
    struct wr_candidates candidates;
    struct wr_pad pad;
    struct wr_cutoffs cutoffs;
    struct wr_comparison comparison;
    struct wr_backtest backtest;
    struct wr_criteria criteria;
    struct wr_ready ready;
    struct wr_runs_needed runs_needed;
};

/* What is wanted and cannot be had from these data (no limit, no confidence, too few rehearsals) is left out. */
WR_MUST_CHECK enum wr_status wr_results_make(struct wr_results *r, unsigned wanted, const struct wr_settings *settings,
                                             struct wr_progress *progress, struct wr_error *err);
void wr_results_release(struct wr_results *r);

struct wr_chart_input wr_chart_input_of(const struct wr_results *r);
struct wr_fit_result wr_fit_result_of(const struct wr_results *r);

#endif
