/* The evidence that a readiness review asks for, criterion by criterion: it says what the evidence is, never "go". Each
 * is met, not met, or there is not enough evidence; what each asks for, and why, stands in campaign/criteria.h. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include "wetrun/base/error.h"
#include "wetrun/base/number.h"
#include "wetrun/campaign/criteria.h"
#include "wetrun/campaign/limits.h"
#include "wetrun/decide/backtest.h"
#include "wetrun/decide/beside.h"
#include "wetrun/decide/pad.h"
#include "wetrun/decide/verdict.h"
#include "wetrun/model/summary.h"
#include "wetrun/sim/forecast.h"
#include "wetrun/timing/timing.h"

enum wr_evidence { WR_EVIDENCE_NOT_JUDGED /* by no criterion once wr_ready_judge is done */, WR_EVIDENCE_MET,
                   WR_EVIDENCE_NOT_MET, WR_EVIDENCE_NOT_ENOUGH };

struct wr_criterion_result {
    bool on, left_out;         /* left_out: by criteria.csv; others are asked only where there is something to ask */
    enum wr_evidence evidence;
    double threshold;
    struct wr_maybe found;     /* the number held against the threshold: count, share or probability */
    size_t n, of;              /* the counts behind it, 0 0 if none: met so often of so many; planned-…: missed, of so
                                  many; unlogged: holes of the log, complete rehearsals */
    size_t n_open;             /* planned-…: of the missed, those whose planned time the 90 % interval of the task's
                                  median holds: it may as well be kept */
    size_t worst; bool has_worst; /* task (task-done, planned-…), run (last-complete, kept) or limit that decides it */
};

/* The worse answer on a limit that may be as right (struct wr_second), with its upper point. */
struct wr_ready_second { struct wr_second is; double upper; };

struct wr_ready {
    struct wr_criterion_result result[WR_N_CRITERION];
    size_t n_met, n_not_met, n_not_enough;
    double confidence;         /* wanted */
    struct wr_probability over; /* of the excursion limit */
    double over_upper;         /* its upper point at the overrun criterion's strictness */
    struct wr_probability worst_over; double worst_upper, worst_confidence; /* of the other limit that decides, if
                                                                               any */
    struct wr_ready_second second, worst_second; /* of the excursion limit and of that other one */
    bool chains_agree, people_untold;
    size_t n_fewer_timed;      /* tasks completed as often as asked, of which fewer times are known: a note, no
                                  criterion */
    size_t n_earlier_inside, n_earlier_forecast; /* record: of forecasts from earlier rehearsals only; 0 0: too few */
    bool earlier_decides;                        /* record: those have the smaller chance, which is what was found */
    size_t n_rare;             /* tasks done fewer than twice in the last 3 rehearsals: a note, no criterion */
};

struct wr_ready_input { /* all borrowed */
    const struct wr_criteria *criteria;
    const struct wr_timing *timing;
    const struct wr_forecast *forecast;  /* of the excursion limit first */
    const struct wr_beside *beside; size_t n_beside; /* the same limits under other assumptions; NULL, 0: none */
    const struct wr_pad *pad;            /* NULL: no planned time can be judged */
    const struct wr_fit_summary *summary; /* what is open about medians; NULL: they count as known */
    const struct wr_backtest *backtest;  /* NULL: too few rehearsals for one */
    double confidence;                   /* of the excursion limit, in (0, 1) */
    const struct wr_limits *limits;      /* as in the forecast; the other ones' confidences, where they have one */
    bool chains_agree;
    bool people_untold;                  /* it is asked about people of whom the forecast is not (wr_durations) */
    bool history_thin;                   /* pool and flight times are known of little of the work (wr_durations) */
    bool runs_reversed;                  /* the log may have the last run first, and learning backwards */
    bool not_firm;                       /* no answer about a limit may be (wr_findings_keep_open) */
};
void wr_ready_judge(struct wr_ready *ready, const struct wr_ready_input *input);
