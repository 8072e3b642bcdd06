/* Rehearsals that stand in two logs. */
#pragma once

#include <stdbool.h>
#include "wetrun/campaign/run_log.h"

struct wr_log_twin { const char *run, *other; }; /* borrowed from the two logs */

/* Are rehearsals of log those of the other, under whatever names: the same tasks with the same times? So few steps that
 * chance may do it are not, but where all of log is so. twin: the first. */
bool wr_log_has_twin(const struct wr_run_log *log, const struct wr_run_log *other, struct wr_log_twin *twin);
