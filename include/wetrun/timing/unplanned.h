/* Work that the rehearsals did and the plan lacks: what is forecast is without it. */
#pragma once

#include "wetrun/timing/timing.h"

/* A task that the plan does not have and three of four rehearsals did, two at least, by lanes of the plan: a warning
 * "way-in-unplanned" where most of them ended with it, else "work-unplanned". on_purpose: the plan is another one than
 * was rehearsed, and is said to be; then a way in alone is reported. */
void wr_screen_unplanned(const struct wr_run_log *log, const struct wr_plan *plan, const struct wr_timing *timing,
                         bool on_purpose, struct wr_findings *findings);
