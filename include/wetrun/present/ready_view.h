/* `ready`: the evidence for a readiness review, criterion by criterion. */
#pragma once

#include "wetrun/campaign/limits.h"
#include "wetrun/campaign/plan.h"
#include "wetrun/campaign/run_log.h"
#include "wetrun/decide/ready.h"
#include "wetrun/present/context.h"
#include "wetrun/present/grid.h"

struct wr_ready_result { /* all borrowed */
    const struct wr_run_log *log;
    const struct wr_plan *plan;
    const struct wr_limits *limits; /* the first is the excursion limit */
    const struct wr_ready *ready;
    const char *complete_by; /* see struct wr_present_context */
    const struct wr_excursion *excursion; /* the answer for it beside the forecast's; NULL: not made */
};

WR_MUST_CHECK enum wr_status wr_show_ready(enum wr_format format, const struct wr_present_context *ctx,
                                           const struct wr_ready_result *result, struct wr_str *out,
                                           struct wr_error *err);

/* "5 of 9 criteria met, 1 not met, for 3 there is not enough evidence." */
void wr_ready_sentence(const struct wr_ready *ready, struct wr_str *out);
/* " Left out by criteria.csv: planned times missed. Asked otherwise than usual: complete rehearsals 2
 * (usual: 5)."; nothing where all is as usual. Part of that sentence. */
void wr_ready_own_criteria(const struct wr_ready *ready, struct wr_str *out);
const char *wr_evidence_words(enum wr_evidence evidence); /* "met", "not met", "not enough evidence" */
/* What a criterion is about, without its threshold: "complete rehearsals". */
const char *wr_criterion_words(enum wr_criterion_id id);
/* What is asked, and what was found, of one criterion; plain text that may hold ids from files. */
void wr_criterion_asked(const struct wr_ready_result *result, enum wr_criterion_id id, struct wr_str *out);
void wr_criterion_found(const struct wr_ready_result *result, enum wr_criterion_id id, struct wr_str *out);
/* "because the number itself is beyond what is allowed; …": why a criterion on a limit is not met where the forecast
 * cannot tell; nothing where the two agree. */
void wr_criterion_against_verdict(const struct wr_ready_result *result, enum wr_criterion_id id, struct wr_str *out);
/* The criteria that are on; not met first, then not enough evidence, then met. */
void wr_grid_of_ready(const struct wr_ready_result *result, struct wr_grid *grid);
