/* What `check` took the files for: columns, kinds of time, lanes, people, runs kept and lost. Private to present/. */
#pragma once

#include "json.h"
#include "wetrun/present/check_view.h"

void wr_taken_for_table(const struct wr_check_result *result, size_t columns, struct wr_str *out);
/* Keys files, times, lanes, people, lost_runs, limits of the object. */
void wr_taken_for_json(struct wr_json *j, const struct wr_check_result *result);
