/* A small invented campaign, rehearsed from a known truth and fitted: seven tasks over two lanes, the first and the
 * last joint. For tests of what refits the model. */
#pragma once
#include "made_timing.h"
#include "wetrun/decide/basis.h"

enum { SMALL_TASKS = 7, SMALL_LANES = 2 };

struct small_campaign { /* start as {0} */
    struct wr_plan plan;
    struct wr_network net;
    struct wr_timing timing;
    struct wr_fit_options options; /* a short chain: n_draw is n_chain * n_keep */
    struct wr_model_fit fit;
};
/* Rehearses, replays and fits. */
void small_campaign_make(struct small_campaign *c, size_t n_run, const struct made_truth *truth, unsigned long seed);
/* Fits again, after the timing table was changed; replay the runs before if their times were. */
void small_campaign_refit(struct small_campaign *c);
struct wr_basis small_campaign_basis(const struct small_campaign *c); /* without durations and limits */
void small_campaign_release(struct small_campaign *c);
