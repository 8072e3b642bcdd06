/* Days without a rehearsal before the run that is forecast. A longer break than any between the rehearsals is one that
 * they tell nothing about: skills fade within weeks (Sitterley and Berge 1972), so no further step of learning is
 * credited then, and the user is told. */
#pragma once

#include <stdbool.h>
#include <stdint.h>
#include "wetrun/campaign/findings.h"
#include "wetrun/campaign/run_log.h"

struct wr_gap {
    bool known;               /* all runs dated, on at least two days, none after the day asked for */
    double since_last_days, longest_between_days;
    bool is_long;             /* since_last > longest_between: a finding "long-gap" was added */
};
/* day: of the run that is forecast, in days since 1970-01-01. Not known: a finding "gap-unknown" says why. */
struct wr_gap wr_gap_before(const struct wr_run_log *log, int64_t day, struct wr_findings *findings);
