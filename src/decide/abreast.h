/* Pushed days (days.h) walked side by side, WR_ABREAST at a time: each has a push of its own along one way. */
#pragma once

#include "days.h"
#include "wetrun/sim/push.h"

struct wr_abreast {
    size_t n;                    /* in: how many days */
    size_t trial[WR_ABREAST];    /* in: which */
    double delta[WR_ABREAST];    /* in: how far each is pushed */
    size_t held;                 /* in: a task that is held back, or SIZE_MAX (as it starts) */
    double held_min[WR_ABREAST]; /* in: until when */
    size_t kept;                 /* in: a task done however late it begins, or SIZE_MAX (as the plan drops it) */
    /* Out: a row of WR_ABREAST for each task walked, [task * WR_ABREAST + day]. Rates are derivatives by delta. */
    double *start_min, *start_rate, *end_min, *end_rate;
    uint64_t *dropped;           /* all ones or 0 */
    /* inside */
    double *minutes, *rate;      /* room for rows */
    const double **minutes_row, **rate_row; /* [n_task] the rows as loaded: these, or the days' own */
    double *bent;                /* two rows */
    double *pace, *pace_rate;    /* what the run effect's part of the push makes of minutes, and the rate of its log */
    const double **before;       /* [2 n_task] rows of ends and of their rates */
    wr_push_fn *push;
};
void wr_abreast_init(struct wr_abreast *a, size_t n_task);
void wr_abreast_release(struct wr_abreast *a);

/* Takes the days from `first` on, as many of n_all as there is room for. */
void wr_abreast_take(struct wr_abreast *a, size_t first, size_t n_all);

/* Fetches what the walk needs of the tasks of list[n] on the days trial[]; to be called when these or the way have
 * changed. way NULL: days as they are. */
void wr_abreast_load(struct wr_abreast *a, const struct wr_days *days, const struct wr_way *way, const size_t *list,
                     size_t n);
/* Walks the tasks of list[n] (in network order, closed under predecessors, loaded). */
void wr_abreast_walk(struct wr_abreast *a, const struct wr_days *days, const struct wr_way *way, const size_t *list,
                     size_t n);

/* Walks all days as they are, unpushed and without rates, a lot at a time: see() finds starts, ends and drops of all
 * tasks. What is wanted of them is thus taken while they are at hand, and they need not be kept. */
typedef void wr_abreast_see_fn(const struct wr_abreast *a, void *arg);
void wr_abreast_each_lot(const struct wr_days *days, wr_abreast_see_fn *see, void *arg);

/* What the limit's minutes are compared with on day i, after a walk over all it depends on. */
static inline double wr_abreast_outcome(const struct wr_abreast *a, const struct wr_network *net,
                                        const struct wr_sim_limit *limit, size_t i)
{
    return wr_limit_outcome(net, limit, a->start_min + i, a->end_min + i, WR_ABREAST);
}
/* The same of all WR_ABREAST days, and their derivatives by the push. */
void wr_abreast_outcomes(const struct wr_abreast *a, const struct wr_network *net, const struct wr_sim_limit *limit,
                         double out[WR_ABREAST], double rate[WR_ABREAST]);
