/* `pad`: padding per task and for the whole timeline that reaches a wanted confidence. */
#pragma once

#include "wetrun/campaign/limits.h"
#include "wetrun/campaign/plan.h"
#include "wetrun/decide/binding_cutoff.h"
#include "wetrun/decide/pad.h"
#include "wetrun/decide/planned_short.h"
#include "wetrun/present/context.h"
#include "wetrun/present/grid.h"
#include "wetrun/present/words.h"

struct wr_pad_result { /* borrowed */
    const struct wr_plan *plan;
    const struct wr_pad *pad;
    const struct wr_limits *limits;      /* NULL: none is looked at */
    const struct wr_cutoff_card *cutoffs; /* NULL: not known; else of every task, in plan order */
    const char *const *cutoff_limit;     /* names of the limits of cutoffs */
    bool imposed;                        /* they are for a delay from outside alone */
    const struct wr_forecast *forecast;  /* NULL: the finish to allow is said without its interval */
};

/* Table: the answer, checkpoints, tasks by what is missing, and what each number means. CSV: the tasks. */
WR_MUST_CHECK enum wr_status wr_show_pad(enum wr_format format, const struct wr_present_context *ctx,
                                         const struct wr_pad_result *result, struct wr_str *out, struct wr_error *err);

extern const char *const wr_checkpoints_are_for_planning;
/* Which checkpoints lie past a limit or after their task's time to begin by; nothing where none does. */
void wr_checkpoints_late_sentence(const struct wr_pad_result *result, struct wr_str *out);
/* Which limits their times to begin by are for, and which task of theirs a clock asks for sooner; nothing where there
 * are none. */
void wr_checkpoints_begin_by_sentence(const struct wr_pad_result *result, struct wr_str *out);
/* How often all of them are kept, and what keeping all in the wanted share takes. */
void wr_checkpoints_kept_sentence(const struct wr_pad_result *result, struct wr_str *out);

/* "46 min": the reserve as the difference of the two clocks shown with it. */
const char *wr_reserve_words(const struct wr_pad *pad, char buf[WR_WORDS]);
void wr_pad_sentence(const struct wr_pad_result *result, struct wr_str *out);
/* What the padded timeline takes of each limit with a clock of its own; nothing where there is none. */
void wr_pad_clocks_sentence(const struct wr_pad_result *result, struct wr_str *out);
/* Which work the padded timeline has no time for, since the plan drops it when it comes late, and what it takes with
 * all of it; nothing where no day drops any. */
void wr_pad_not_in_it_sentence(const struct wr_pad_result *result, struct wr_str *out);
/* Why half of the finishes come later than the median timeline; nothing where they do not. */
void wr_pad_middles_sentence(const struct wr_pad_result *result, struct wr_str *out);
void wr_grid_of_checkpoints(const struct wr_pad_result *result, struct wr_grid *grid);
void wr_grid_of_pads(const struct wr_pad_result *result, struct wr_grid *grid); /* largest shortfall first */
/* What a number of this output means, one sentence each; NULL behind the last. */
const char *wr_pad_definition(size_t i);
