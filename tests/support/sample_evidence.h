/* What was learned from the invented campaign of sample_results.h: a summary of the model, a comparison, a record of
 * forecasts, evidence, a debrief. Comparison and evidence are computed by the program; the rest is made up. */
#pragma once

#include "sample_decisions.h"
#include "wetrun/decide/backtest.h"
#include "wetrun/decide/candidates.h"
#include "wetrun/decide/compare.h"
#include "wetrun/decide/debrief.h"
#include "wetrun/decide/ready.h"
#include "wetrun/decide/runs_needed.h"
#include "wetrun/model/summary.h"

struct sample_evidence { /* start as {0} */
    struct wr_fit_summary summary;
    struct wr_posterior posterior; /* only what the chains say of themselves */
    struct wr_candidates candidates;
    struct wr_comparison comparison; /* by pair */
    struct wr_backtest backtest;
    struct wr_ready ready;
    struct wr_runs_needed needed;
    struct wr_debrief debrief;     /* of the third rehearsal, which was not complete */
};
void sample_learn(struct sample_evidence *e, struct sample *s, const struct sample_decisions *d);
void sample_evidence_release(struct sample_evidence *e);
