/* What a page for the day needs to know to make the update of update.h by itself, beside the plan: the durations as
 * they are before the day, split into what a report of the day can teach and what is added after it.
 *
 * wr_update_make fits the model again with the day's times at pool pace, then adds carry-over and gap allowance of
 * their own draws. A page that reweighs draws must know the two apart: log minutes = pool part (learned from the day) +
 * shift (per posterior draw, not learned); a time that was reported teaches the pool part as log minutes - seen
 * shift. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include "wetrun/campaign/plan.h"
#include "wetrun/model/durations.h"

struct wr_day_sheet { /* start as {0} */
    const struct wr_durations *durations; /* borrowed */
    bool *learned;             /* [n_task] its time teaches something about the parameters of the model */
    double *seen_shift_log;    /* [n_task] */
    size_t n_shift;
    double *shift_log;         /* [shift * n_draw + draw] */
    size_t *shift_of;          /* [n_task] row of shift_log; SIZE_MAX: none */
    double *pool_log;          /* [task * n_draw + draw] centre_log without its shift; modelled tasks only */
};

/* durations: built from fit with these options. carry_over: NULL, or what they were built with. */
void wr_day_sheet_make(struct wr_day_sheet *sheet, const struct wr_plan *plan, const struct wr_model_fit *fit,
                       const struct wr_carry_over *carry_over, const struct wr_durations *durations,
                       const struct wr_fit_options *options);
void wr_day_sheet_release(struct wr_day_sheet *sheet);
