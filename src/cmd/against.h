/* --against: the campaign beside another one, another plan, or itself before a rehearsal. */
#pragma once

#include "progress.h"
#include "wetrun/cmd/settings.h"
#include "wetrun/study/against.h"

struct wr_before { /* start as {0} */
    struct wr_study before;
    struct wr_against against;
};
/* Whether what settings->against names is there, if it names anything: asked before minutes are spent on the rest. */
WR_MUST_CHECK enum wr_status wr_before_is_there(const struct wr_settings *settings, struct wr_error *err);
/* What both sides need for the comparison, beside the forecast. */
enum { WR_BEFORE_RESULTS = WR_RESULT_BIT(WR_RESULT_CUTOFFS) | WR_RESULT_BIT(WR_RESULT_READY) };
/* Reads what settings->against names, if it names anything: likewise before minutes are spent. */
WR_MUST_CHECK enum wr_status wr_before_open(struct wr_before *b, const struct wr_command *command,
                                            const struct wr_settings *settings, struct wr_progress *progress,
                                            struct wr_error *err);
/* Makes it (its results as far as they can be had) and compares; `after` has its own. Its warnings and errors are
 * noted. */
WR_MUST_CHECK enum wr_status wr_before_make(struct wr_before *b, const struct wr_settings *settings,
                                            const struct wr_study *after, struct wr_progress *progress,
                                            struct wr_str *notes, struct wr_error *err);
void wr_before_release(struct wr_before *b);
