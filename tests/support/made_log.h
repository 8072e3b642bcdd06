/* Run logs made in code, for tests of what stands on a log. */
#pragma once
#include <stddef.h>
#include "wetrun/campaign/run_log.h"

/* Start the log as {0}. Adds a run, in time order; returns its index. */
size_t made_log_run(struct wr_run_log *log, const char *id);
/* Adds a done step with clock times (minutes on any clock; made_log_finish counts from the run's first start). Lines
 * are numbered from 2 in the order of adding. Change the step through the pointer: it holds until the next call. */
struct wr_log_step *made_log_step(struct wr_run_log *log, size_t run, const char *task, double start, double end);
/* Adds a step that was not attempted, without times. */
struct wr_log_step *made_log_skip(struct wr_run_log *log, size_t run, const char *task);
/* Works out active times and brings the steps into their order; call once, when all steps are there. */
void made_log_finish(struct wr_run_log *log);
void made_log_release(struct wr_run_log *log);
