/* A step that was stopped, and then done to its end. Its two rows are the time that it took in all, and the stop is no
 * bound any more: if the same lanes did the same step, or both rows name none, and began no earlier than it was
 * stopped. Where a later row only may be the rest of it, the task stays stopped, which is the longer of the two. */
#pragma once

#include "measure.h"

/* The first row of a cell's n steps that was stopped, and not done to its end later; NULL: none. */
const struct wr_log_step *stopped_for_good(struct measuring *j, const struct wr_log_step *step, size_t n, size_t work);
/* The n steps of one cell, in the order of their starts, among them stopped and done ones and none skipped: was every
 * one that was stopped done to its end? Reports "stopped-then-done". */
bool stopped_then_done(struct measuring *j, const struct wr_log_step *step, size_t n, size_t work);
