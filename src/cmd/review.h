/* What `ready`, `runs-needed` and `report` share. */
#ifndef WETRUN_CMD_REVIEW_H
#define WETRUN_CMD_REVIEW_H

#include "analysis.h"
#include "wetrun/decide/ready.h"
#include "wetrun/decide/runs_needed.h"

/* Thresholds from the defaults, criteria.csv and the command line. */
WR_MUST_CHECK enum wr_status wr_criteria_of(struct wr_criteria *criteria, struct wr_analysis *a,
                                            const struct wr_settings *settings, struct wr_error *err);
/* backtest NULL: too few rehearsals for one. A limit and a confidence must be there. */
void wr_ready_of(struct wr_ready *ready, const struct wr_criteria *criteria, const struct wr_analysis *a,
                 const struct wr_pad *pad, const struct wr_backtest *backtest);

enum { WR_FUTURES_ON_PAGE = 24 };
/* --trials are simulated futures, of which one in sixteen is fitted again, for every number of further rehearsals;
 * n_refit: so many instead, if not 0. A limit and a confidence must be there. */
WR_MUST_CHECK enum wr_status wr_runs_needed_of(struct wr_runs_needed *needed, const struct wr_analysis *a,
                                               const struct wr_settings *settings, size_t n_refit,
                                               struct wr_progress *progress, struct wr_error *err);

#endif
