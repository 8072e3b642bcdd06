/* The set of simulated days that decisions look at, one trial at a time. */
#ifndef WETRUN_CMD_TRIAL_SET_H
#define WETRUN_CMD_TRIAL_SET_H

#include "analysis.h"
#include "wetrun/decide/pad.h"
#include "wetrun/sim/scenarios.h"

enum { WR_DAYS_FOR_PADS = 50000, WR_DAYS_FOR_CUTOFFS = 16000 };

/* --trials, or the number given; at most what memory is for (2 GiB). WR_E_USAGE if --trials asks for more. */
WR_MUST_CHECK enum wr_status wr_trial_set_make(struct wr_scenarios *days, const struct wr_analysis *a, size_t usual,
                                          const struct wr_settings *settings, struct wr_error *err);
WR_MUST_CHECK enum wr_status wr_pad_of(struct wr_pad *pad, const struct wr_analysis *a, const struct wr_settings *settings,
                                       struct wr_error *err);

#endif
