/* Rows that sum up others: no tasks, wherever they stand. */
#pragma once

#include "log_columns.h"
#include "wetrun/campaign/run_log.h"

/* "Total", "Sum of hours", "All tasks", "Mean". */
bool log_names_a_sum(const char *text);
/* Of the row at hand: its task is such a word and neither the plan nor names.csv knows it as a task; or it names no
 * task, and the run is such a word. */
bool log_row_is_sum(const struct log_columns *columns, const struct wr_log_options *options);
