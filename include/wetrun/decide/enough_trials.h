/* How far out a set of simulated days can be read. */
#pragma once

#include <stddef.h>
#include "wetrun/base/error.h"

enum { WR_FEWEST_TRIALS = 100 }; /* of anything that is simulated: one day has no spread, and so no error */

/* A point that holds with that confidence is read off n_trial days, of which some must lie beyond it. WR_E_USAGE: fewer
 * than anything is read off; WR_E_TOO_FEW: too few for the confidence, and how many it takes. what: "padding", for the
 * message. */
WR_MUST_CHECK enum wr_status wr_enough_trials(const char *what, size_t n_trial, double confidence,
                                              struct wr_error *err);
