/* The set of simulated days that decisions look at, one trial at a time. */
#ifndef WETRUN_CMD_TRIAL_SET_H
#define WETRUN_CMD_TRIAL_SET_H

#include "analysis.h"
#include "wetrun/decide/cutoff.h"
#include "wetrun/decide/pad.h"
#include "wetrun/decide/update.h"
#include "wetrun/present/cutoff_view.h"
#include "wetrun/sim/scenarios.h"

enum { WR_DAYS_FOR_PADS = 50000, WR_DAYS_FOR_CUTOFFS = 16000 };

/* --trials, or the number given; at most what memory is for (2 GiB). WR_E_USAGE if --trials asks for more. */
WR_MUST_CHECK enum wr_status wr_trial_set_make(struct wr_scenarios *days, const struct wr_analysis *a, size_t usual,
                                          const struct wr_settings *settings, struct wr_error *err);
WR_MUST_CHECK enum wr_status wr_pad_of(struct wr_pad *pad, const struct wr_analysis *a, const struct wr_settings *settings,
                                       struct wr_error *err);

struct wr_cutoffs { /* start as {0} */
    struct wr_cutoff_limit *limit; /* those with a confidence */
    const char **limit_name;
    size_t n_limit;
    bool updated;                  /* --now: update holds the card */
    struct wr_cutoff_card card;
    struct wr_update update;
};
/* WR_E_USAGE without a limit or a confidence. */
WR_MUST_CHECK enum wr_status wr_cutoffs_of(struct wr_cutoffs *c, struct wr_analysis *a, const struct wr_settings *settings,
                                           struct wr_error *err);
struct wr_cutoff_result wr_cutoff_result_of(const struct wr_cutoffs *c, const struct wr_analysis *a,
                                            const struct wr_settings *settings);
void wr_cutoffs_release(struct wr_cutoffs *c);

#endif
