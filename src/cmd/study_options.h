/* The options of a study from those of the command line. */
#pragma once

#include "progress.h"
#include "wetrun/cmd/settings.h"
#include "wetrun/study/study.h"

/* Borrows from settings and progress. */
WR_MUST_CHECK enum wr_status wr_study_options_from(struct wr_study_options *options, const struct wr_command *command,
                                                   const struct wr_settings *settings, struct wr_progress *progress,
                                                   struct wr_error *err);
