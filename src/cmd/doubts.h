/* Which findings move the answer, in the order in which a reader needs them, one for each cause; and whether the answer
 * may be firm at all. */
#pragma once

#include "wetrun/present/context.h"
#include "wetrun/study/study.h"

struct wr_doubts_found {
    struct wr_present_finding *finding;
    size_t n_finding, room;
    struct wr_str sentence;
    enum wr_open_by open_by; /* what keeps every answer open */
};

struct wr_doubts { /* start as {0} */
    struct wr_doubts_found all;
    struct wr_doubts_found apart; /* but for what is found of limits */
    size_t n_study;
    bool every_target;  /* set before adding: what moves an answer about the excursion alone counts as well */
    size_t n_made_good; /* rejected rows that another one has right: they move nothing */
};

/* Grouped by code: about the forecast itself, the plan, what is implausible, rejected rows, the rest. Notes, and
 * what moves nothing, are left out. An answer that rests on several campaigns adds each of them. */
void wr_doubts_add(struct wr_doubts *doubts, const struct wr_study *in);
void wr_doubts_release(struct wr_doubts *doubts);
struct wr_present_found wr_present_found_of(const struct wr_doubts_found *found); /* borrows */
/* On standard error: each cause with its count. quiet: only what makes the answer doubtful, and rejected rows.
 * no_limits: without what is found of limits. */
void wr_note_doubts(struct wr_str *notes, const struct wr_doubts *doubts, bool quiet, bool no_limits);
