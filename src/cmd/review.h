/* What `ready` and `report` share. */
#ifndef WETRUN_CMD_REVIEW_H
#define WETRUN_CMD_REVIEW_H

#include "analysis.h"
#include "wetrun/decide/ready.h"

/* Thresholds from the defaults, criteria.csv and the command line. */
WR_MUST_CHECK enum wr_status wr_criteria_of(struct wr_criteria *criteria, struct wr_analysis *a,
                                            const struct wr_settings *settings, struct wr_error *err);
/* backtest NULL: too few rehearsals for one. A limit and a confidence must be there. */
void wr_ready_of(struct wr_ready *ready, const struct wr_criteria *criteria, const struct wr_analysis *a,
                 const struct wr_pad *pad, const struct wr_backtest *backtest);

#endif
