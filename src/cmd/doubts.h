/* Which findings move the answer, in the order in which a reader needs them, one for each cause; and whether the answer
 * may be firm at all. */
#pragma once

#include "wetrun/present/context.h"
#include "wetrun/study/study.h"

struct wr_doubts { /* start as {0} */
    struct wr_present_finding *finding;
    size_t n_finding, room;
    size_t n_made_good; /* rejected rows that another one has right: they move nothing */
    struct wr_str sentence;
    bool not_firm; /* no time is known of a task or of any, the chains disagree, others were named than rehearsed,
                      the history is of other work, or the runs are in the log from the last to the first */
};

/* Grouped by code: about the forecast itself, the plan, what is implausible, rejected rows, the rest. Notes, and
 * what moves nothing, are left out. */
void wr_doubts_make(struct wr_doubts *doubts, const struct wr_study *in);
void wr_doubts_release(struct wr_doubts *doubts);
/* On standard error: each cause with its count. quiet: only what makes the answer doubtful, and rejected rows. */
void wr_note_doubts(struct wr_str *notes, const struct wr_doubts *doubts, bool quiet);
