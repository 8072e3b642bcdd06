/* The evidence that a readiness review asks for, criterion by criterion. It says what the evidence is, never "go".
 *
 * Each criterion is met, not met, or there is not enough evidence. The defaults of campaign/criteria.h and why:
 *   complete-runs   5, fewer are not met: it is a count. Where fewer than 4 are asked for, that many are not enough
 *                   evidence: the spread between runs is hardly known
 *   task-done       every task completed 3 times; one time fewer, but at least twice, is not enough evidence, less not
 *                   met
 *   last-complete   the last 2 rehearsals complete; with fewer rehearsals not enough evidence
 *   overrun         met if the upper point of the overrun probability (95 %, or as asked) is within 1 - confidence; not
 *                   met if the stated probability is beyond it; between: not enough evidence. With fewer than 4
 *                   complete rehearsals never met, and not met only if even the lower point is beyond it. Not enough
 *                   evidence when the sampler's chains disagree, when nothing was rehearsed, or when parameters are
 *                   taken as known
 *   other-limits    the same of every other limit of limits.csv that has a confidence: met if all are, not met if one
 *                   is not. Left out if there is none
 *   planned-missed  fewer than 10 % of the tasks with a planned time likelier than not to be missed, and
 *   planned-path    none of those on the longest path in more than 20 % of the trials (judgement, not measured). Both:
 *                   not enough evidence without a planned time or a rehearsal
 *   unlogged        holds, lead-ins and gaps below 10 % of the work time of the complete rehearsals (judgement);
 *                   holes of the log, work that took an unknown time, are counted beside it and not in it
 *   record          backtest, leave one out, 80 % intervals: not met if a sound forecast would have so few hits with
 *                   probability below 5 %; fewer than 5 forecasts: not enough evidence
 *   kept            the last 3 rehearsals kept to the plan: no contradiction between plan and log is open */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include "wetrun/base/error.h"
#include "wetrun/base/number.h"
#include "wetrun/campaign/criteria.h"
#include "wetrun/campaign/limits.h"
#include "wetrun/decide/backtest.h"
#include "wetrun/decide/pad.h"
#include "wetrun/decide/verdict.h"
#include "wetrun/sim/forecast.h"
#include "wetrun/timing/timing.h"

enum wr_evidence { WR_EVIDENCE_NOT_JUDGED /* by no criterion once wr_ready_judge is done */, WR_EVIDENCE_MET,
                   WR_EVIDENCE_NOT_MET, WR_EVIDENCE_NOT_ENOUGH };

struct wr_criterion_result {
    bool on;
    enum wr_evidence evidence;
    double threshold;
    struct wr_maybe found;     /* the number held against the threshold: count, share or probability */
    size_t n, of;              /* the counts behind it, 0 0 if none: met so often of so many; planned-…: missed, of so
                                  many; unlogged: holes of the log, complete rehearsals */
    size_t worst; bool has_worst; /* task (task-done, planned-…), run (last-complete, kept) or limit that decides it */
};

struct wr_ready {
    struct wr_criterion_result result[WR_N_CRITERION];
    size_t n_met, n_not_met, n_not_enough;
    double confidence;         /* wanted */
    struct wr_probability over; /* of the excursion limit */
    double over_upper;         /* its upper point at the overrun criterion's strictness */
    struct wr_probability worst_over; double worst_upper, worst_confidence; /* of the other limit that decides, if
                                                                               any */
    bool chains_agree;
    size_t n_rare;             /* tasks done fewer than twice in the last 3 rehearsals: a note, no criterion */
};

struct wr_ready_input { /* all borrowed */
    const struct wr_criteria *criteria;
    const struct wr_timing *timing;
    const struct wr_forecast *forecast;  /* of the excursion limit first */
    const struct wr_pad *pad;            /* NULL: no planned time can be judged */
    const struct wr_backtest *backtest;  /* NULL: too few rehearsals for one */
    double confidence;                   /* of the excursion limit, in (0, 1) */
    const struct wr_limits *limits;      /* as in the forecast; the other ones' confidences, where they have one */
    bool chains_agree;
};
void wr_ready_judge(struct wr_ready *ready, const struct wr_ready_input *input);
