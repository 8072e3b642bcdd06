/* The two ways to a row of a cut-off card (cutoff.h): given the start, and with the start imposed. */
#pragma once

#include <math.h>
#include "given_start.h"
#include "inside_curve.h"
#include "wetrun/decide/cutoff.h"

#define WR_CUTOFF_SURE_ERRORS 3.0

/* wr_cutoff_make on days that have been walked as they are, under their own state of the day. */
WR_MUST_CHECK enum wr_status wr_cutoff_of_days(struct wr_cutoff_card *card, const struct wr_days *days,
                                               const struct wr_cutoff_limit *limit, size_t n_limit,
                                               const struct wr_cutoff_options *options, struct wr_error *err);

/* Of the limit that is asked about. Both fill reason, latest start, probability at the typical start, error and what
 * goes with them. */
void wr_cutoff_given(struct wr_inside_curve *curve, double confidence, struct wr_cutoff_row *row);
/* The curve that wr_cutoff_given wants: around the usual start; the same for all limits that the object is for. */
void wr_cutoff_curve_init(struct wr_inside_curve *curve, struct wr_given *given);
/* The latest start, by_min or earlier, at which the share inside exceeds the confidence by WR_CUTOFF_SURE_ERRORS of its
 * standard errors; the earliest looked at if none does. by_min: a start of the curve. */
double wr_cutoff_sure(struct wr_inside_curve *curve, double confidence, double by_min);
void wr_cutoff_imposed(struct wr_given *given, double confidence, struct wr_cutoff_row *row);

/* Over the first n days with the task held until s. */
double wr_share_inside_held(struct wr_given *given, double s, size_t n);

/* Whether work may be dropped on the way to the outcome: then a later start can be inside again. */
static inline bool wr_given_has_drop_rule(const struct wr_given *g)
{
    const struct wr_given_end *end = wr_given_end(g);

    for (size_t i = 0; i < end->n_list; i++)
        if (isfinite(g->days->drop_after_min[end->list[i]])) return true;
    return false;
}

/* The last start at which the task is not dropped itself, none of them can be later; of a clock that does not run yet
 * no reading is. */
static inline double wr_given_own_rule(const struct wr_given *g)
{
    double rule = g->days->drop_after_min[g->task];

    if (!g->limit->is_clock) return rule;
    return wr_days_begin_is_known(g->days, g->limit->from) ? rule - g->days->now->begin_min[g->limit->from] : INFINITY;
}
