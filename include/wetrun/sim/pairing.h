/* Timelines that meet the same points, and by how much they differ.
 *
 * For every posterior draw each timeline has its probabilities of passing a limit and its mean finish, from the same
 * quasi-random points, with the run effect integrated in each (wetrun/sim/forecast.h says how a probability is had from
 * them): what two of them differ by in a draw is no luck of the days. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include "wetrun/base/error.h"
#include "wetrun/model/durations.h"
#include "wetrun/network/network.h"
#include "wetrun/sim/limit.h"

struct wr_paired {          /* a difference, base - alternative: positive is gained */
    double mean;
    double lo, hi;          /* 5 and 95 % points over posterior draws, or the mean where that lies beyond */
    double se;              /* sd of mean over seeds: from the finite numbers of draws and of points, both together */
    double lo_se, hi_se;    /* of lo and hi; what the points of each draw leave open about them is in it */
    bool no_interval;       /* nothing is unknown: lo = hi = mean is not to be shown */
};

struct wr_pairing_line {    /* a timeline; borrowed */
    const struct wr_network *net;
    const struct wr_durations *durations; /* all over the same posterior draws */
    const double *factor;   /* [n_task] on the minutes of each task; NULL: 1 */
    const struct wr_sim_limit *limit; /* [n_limit] */
};

struct wr_points;
struct wr_pairing {         /* start as {0}; "limit n_limit" is any of them */
    size_t n_line, n_limit;
    size_t n_draw;          /* that were looked at */
    size_t per_draw;        /* points that all timelines met with each draw */
    bool nothing_unknown;   /* the draws do not differ */
    struct wr_points *points;
};
/* Every other of many draws is looked at. means_alone: nobody looks at intervals; all draws then, with fewer points.
 * WR_E_DOMAIN as wr_forecast_run. */
WR_MUST_CHECK enum wr_status wr_pairing_run(struct wr_pairing *p, const struct wr_pairing_line *line, size_t n_line,
                                            size_t n_limit, bool means_alone, uint64_t seed, unsigned n_thread,
                                            struct wr_error *err);
void wr_pairing_release(struct wr_pairing *p);

double wr_pairing_over(const struct wr_pairing *p, size_t line, size_t limit); /* probability of passing it */
double wr_pairing_finish(const struct wr_pairing *p, size_t line);             /* mean, minutes */
/* What two timelines differ by: base - other. */
struct wr_paired wr_pairing_fewer(const struct wr_pairing *p, size_t base, size_t other, size_t limit);
struct wr_paired wr_pairing_earlier(const struct wr_pairing *p, size_t base, size_t other);
/* Share of posterior draws in which that is positive; ties count half. */
double wr_pairing_share_fewer(const struct wr_pairing *p, size_t base, size_t other, size_t limit);
double wr_pairing_share_earlier(const struct wr_pairing *p, size_t base, size_t other);
