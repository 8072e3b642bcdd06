/* The interval on a probability after data that are not there yet, estimated from simulated futures of which a few were
 * worked out in full. Knows no model: arrays in, estimates out. Private to the room.
 *
 * Prediction. The normal scores of the present draws of P are regressed on statistics of the simulated data, in the
 * second degree; so are the logs of the squared residuals. The predicted interval is the fit plus the 5 and 95 % points
 * of the standardised residuals times the fitted spread, turned back into P through the sorted draws. It is too wide or
 * too narrow by a little, but goes up and down with the interval worked out in full.
 * Correction. With X the prediction and Y what was worked out, the estimate of a mean is
 *     mean(Y) - beta (mean of X over the same futures - mean of X over all futures),  beta from regressing Y on X,
 * the control variate of Monte Carlo (Owen, Monte Carlo theory, methods and examples, 2013, section 8.9, from memory).
 * Few draws. Their quantiles are biased, by an amount that halves of the draws show twice over: taken out. And an end
 * that is blurred crosses a bound more often than the end itself where that is rare: for chances of a clear answer the
 * normal scores of the ends are pulled towards their regression on the predicted ones, as far as takes away the
 * variance on which the two halves of the draws do not agree. The errors of those chances are from leaving out groups
 * of refits one after another, and never below what few refits allow. */
#pragma once

#include <stddef.h>
#include "wetrun/base/error.h"
#include "wetrun/decide/runs_needed.h"
#include "wetrun/stats/regress.h"

struct wr_worked_out {
    struct wr_probability over;           /* all draws */
    double lo_of_half[2], hi_of_half[2];  /* the interval's ends from the first half of the draws and from the second */
};

struct wr_futures { /* borrowed */
    size_t n_draw; const double *over;    /* [n_draw] P given the parameters, as known now */
    double n_effective;                   /* how many independent draws they are worth */
    size_t n_future, n_stat;
    const double *stat;                   /* [future * n_stat + …]; data made by draw future mod n_draw */
    size_t n_refit; const size_t *refit;  /* [n_refit] futures that were worked out, no two alike */
    const struct wr_worked_out *after;    /* [n_refit] */
    double confidence;
};

/* Fills all of row but further. WR_E_TOO_FEW: fewer than 8 refits, or fewer futures than the regressions have terms. */
WR_MUST_CHECK enum wr_status wr_outlook_make(struct wr_runs_needed_row *row, const struct wr_futures *futures,
                                             struct wr_error *err);

/* Share of the variance of score[n_draw] that a linear regression on stat (as above) removes, less the mean of the same
 * with the futures moved on by 1/8, 2/8, … of the draws. Its error: from batches of the draws (stats/batch_means.h).
 * Eight parts were too few: on petrel-7 one error in twenty was below half of the spread over seeds, and what seemed
 * sure was what had the least of them by luck. Of several scores with the same stat: `told` is made of it once. */
struct wr_told { /* start as {0} */
    struct wr_design design;
    const double *stat;                   /* borrowed */
};
WR_MUST_CHECK enum wr_status wr_told_make(struct wr_told *told, const double *stat, size_t n_future, size_t n_stat,
                                          struct wr_error *err);
struct wr_estimated wr_share_removed(const struct wr_told *told, const double *score, size_t n_draw);
void wr_told_release(struct wr_told *told);

/* Mean and 90 % interval of few draws of P (type 8 quantiles, which few do not pull inwards); over[n] in the order of
 * the chain, n >= 4. Both halves are sorted. */
struct wr_worked_out wr_work_out(double *over, size_t n);
