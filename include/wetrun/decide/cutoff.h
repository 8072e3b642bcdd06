/* Cut-offs: the latest moment to begin a task and still be inside a limit with a wanted confidence.
 *
 * Definition. The cut-off of task k for limit L at confidence c is the latest clock time s such that, if k begins at s
 * or at any earlier time, the finish is inside L with probability at least c given that k began then, and so was not
 * dropped; after its own drop_after it does not begin. A task that begins late also says that the day is slow: g(s) =
 * P(F <= L | S_k = s) is conditional on the start, over tasks, run effect and posterior draws alike. The first crossing
 * of c by g counts. It is looked for from the usual start, or a drop_after before that: later while that is inside,
 * else earlier. Where other work may be dropped g may rise again, so that an earlier start is outside although later
 * ones are inside: then from the earliest down that surely is, of those on which at least twenty of the days begin. All
 * on starts that do not depend on c or L, with an estimate of g at each that does not depend on c and never falls when
 * L grows. So the cut-off never falls when L grows or c falls, and lies at or after the usual start if and only if the
 * stated probability at the usual start is at least c, unless an earlier start is outside.
 *
 * How. Split each trial's vector of independent standard normals along a unit direction a >= 0: x(t) = x + (t - a.x) a,
 * with t ~ N(0,1) independent of the rest. Solve S_k(x(t)) = s for t; the trial then counts with weight phi(t) / |d ln
 * S_k/dt| and with F(x(t)). Exact for any a, in every posterior draw; a decides the number of trials that really count.
 *   WR_CUTOFF_BY_RUN_EFFECT  a is the run effect alone; start and finish scale with it, the root is a logarithm
 *   WR_CUTOFF_BY_DIRECTION   a is spread over run effect and the tasks before k by their share in S_k; for plans with
 *                            not_before, drop_after or tasks that carry no run effect, without a run effect, or far out
 *   WR_CUTOFF_IMPOSED        nothing to learn from a late start (no spread before k), or asked for: the start is put to
 *                            max(S_k, s) in the trials as they are. With fixed durations this is the backward pass,
 *                            exact
 * A start later than on any day, since all times before k have bounds, can only come of a hold and is imposed too.
 * Where they have none and yet no simulated day gets any later, the latest start looked at counts: a true one is no
 * earlier. A not_before puts probability on one value of S_k; there g is the plain average of the trials with that
 * start. What follows an imposed start is not imposed, so that its lateness tells: the imposed one is then no later
 * than the latest starts of what waits for it less its own usual minutes, nor earlier than its usual start. During the
 * day no latest start lies before now: a task that has not begun and would have had to is too late; one of which
 * nothing was said, and which usually has begun by now, has none.
 * Clocks (from the beginning of A to the end of B): the same with the clock reading S_k - S_A in place of S_k; their
 * cut-offs are clock readings, for the tasks on a way from A to B. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include "wetrun/base/error.h"
#include "wetrun/base/number.h"
#include "wetrun/decide/basis.h"
#include "wetrun/sim/scenarios.h"

struct wr_now_state; /* decide/update.h */

struct wr_cutoff_limit {
    struct wr_sim_limit limit;
    double confidence;          /* wanted probability of staying inside, within (0,1) */
};

enum wr_cutoff_reason {         /* why there is no latest start, or none to act on */
    WR_CUTOFF_FOUND,
    WR_CUTOFF_NEVER,            /* too late, whenever it begins: no start reaches the wanted confidence, or none is
                                   left: past, or on fewer than one of 1000 days */
    WR_CUTOFF_NOT_BEFORE_LIMIT, /* the limit does not depend on this task: it lies on no way to its end */
    WR_CUTOFF_BEGUN,            /* it has begun already */
    WR_CUTOFF_UNREPORTED,       /* nothing was said of it, and it has usually begun by now */
    WR_CUTOFF_NO_CLOCK,         /* when its clock began was not reported */
    WR_CUTOFF_DROPPED,          /* it has not begun, and its drop_after has passed: the plan leaves it out */
    WR_CUTOFF_DOUBTFUL,         /* what was reported of the day is doubtful */
    WR_CUTOFF_TOO_FEW           /* the trials that count at the usual start are too few to say (fewer than the next
                                   line's) */
};
enum { WR_CUTOFF_LEAST_EFFECTIVE = 20 };
#define WR_CUTOFF_LEAST_SHARE 0.001

enum wr_cutoff_method { WR_CUTOFF_BY_RUN_EFFECT, WR_CUTOFF_BY_DIRECTION, WR_CUTOFF_IMPOSED };

struct wr_cutoff_row {          /* times are elapsed minutes, for a clock minutes on that clock */
    size_t task;
    enum wr_cutoff_reason reason;
    enum wr_cutoff_method method;
    double typical_start_min;   /* median over trials of the moment at which it may begin */
    double prob_inside_at_typical; /* g at the typical start; nothing if usually_dropped */
    bool usually_dropped;       /* its own drop_after lies before its typical start: nothing can be said of beginning
                                   then */
    double latest_start_min;    /* FOUND only; 0 otherwise */
    double early_min;           /* so much earlier than the best estimate, since that is rough: see sure_min */
    double sure_min;            /* the last start at which it is inside beyond chance, three standard errors of the
                                   probability; INFINITY: not worked out. latest_start_min is no more than
                                   WR_CUTOFF_ROUGH_MIN later, unless that were earlier than the usual start */
    double slack_min;           /* latest - typical; FOUND only */
    double share_in_time;       /* share of trials that begin at latest_start_min or earlier */
    bool start_is_fixed;        /* nothing that it waits for takes another time on another day: it can begin at the same
                                   moment on all of them. Not during the day */
    double mc_error_min;        /* standard error of latest_start_min: from parts of the draws that follow each other in
                                   the chains, so that the posterior's own error is in it */
    double effective;           /* effective number of trials at the crossing, (sum w)^2 / sum w^2 */
    bool beside_clock;          /* NOT_BEFORE_LIMIT of a clock, and yet its end waits for the task: late, it makes the
                                   clock late too, by how much depends on when that began */
    bool beyond_range;          /* later than on 999 of 1000 days: then that of the 999, inside until then at least.
                                   Parameters known: more than 4 sd out, by formula */
    bool drop_rule_first;       /* g holds up to its drop_after: latest_start_min is that moment */
    bool at_earliest;           /* it usually begins just when it may (not_before): a later start stands for a slow day.
                                   latest_start_min is that moment, and no measure of what a hold would do */
    bool is_start;              /* no other task can begin before it has: the elapsed time begins with it, so that a
                                   latest start is none to act on. Never of a clock, nor during the day */
    bool has_second_window;     /* a later start, maybe the usual one, is inside again, because other work is then
                                   dropped; with NEVER: inside then only */
    double second_from_min, second_to_min;
};

/* Its time is too rough to be read to the minute. A drop time is the plan's own. */
#define WR_CUTOFF_ROUGH_MIN 5.0
static inline bool wr_cutoff_is_rough(const struct wr_cutoff_row *row)
{
    return row->reason == WR_CUTOFF_FOUND && !row->drop_rule_first && row->mc_error_min > WR_CUTOFF_ROUGH_MIN;
}

/* Rough, and earlier than its best estimate for it. */
static inline bool wr_cutoff_is_early(const struct wr_cutoff_row *row)
{
    return wr_cutoff_is_rough(row) && row->early_min >= 0.5;
}

struct wr_cutoff_list {         /* of one limit */
    struct wr_cutoff_limit limit;
    double prob_over;           /* share of trials that pass it */
    double needed_min;          /* the limit that the wanted confidence takes: more minutes than the limit has where no
                                   start, not even of what begins first, is early enough; both from the same trials */
    struct wr_cutoff_row *row;  /* [n_row] */
};

/* The wanted confidence is there as it stands: else no time to begin by promises the limit. */
static inline bool wr_cutoff_is_kept(const struct wr_cutoff_list *list)
{
    return list->prob_over <= 1 - list->limit.confidence;
}

struct wr_cutoff_card { /* start as {0} */
    size_t n_trial, n_limit, n_row;
    struct wr_cutoff_list *list; /* [n_limit] */
    double prob_any_over;        /* share of trials that pass any of the limits */
};

struct wr_cutoff_options {      /* {0}: all tasks, conditional, as many threads as processors */
    const size_t *task; size_t n_task; /* rows wanted, in this order; NULL: every task in plan order */
    bool imposed;               /* a hold from outside, which tells nothing about the day */
    const struct wr_now_state *now; /* NULL: nothing has happened yet */
    size_t n_beside;            /* the last so many limits are only asked about besides: prob_any_over is not about
                                   them */
    unsigned n_thread;
    void (*progress)(void *arg, double share_done); void *progress_arg; /* NULL: none; from the calling thread only */
};

/* Reads net and durations of the basis; the scenarios are of those. WR_E_DOMAIN: a confidence outside (0,1) or a limit
 * that is not positive; WR_E_USAGE: fewer than 100 trials; WR_E_TOO_FEW: fewer than four of them beyond the
 * confidence. */
WR_MUST_CHECK enum wr_status wr_cutoff_make(struct wr_cutoff_card *card, const struct wr_basis *basis,
                                            const struct wr_scenarios *scenarios, const struct wr_cutoff_limit *limit,
                                            size_t n_limit, const struct wr_cutoff_options *options,
                                            struct wr_error *err);
void wr_cutoff_release(struct wr_cutoff_card *card);

/* g(s) for one task and limit: the curve behind a cut-off. start_min[n] rising; prob_inside[n]; effective[n] may be
 * NULL. A point that no trial reaches gets effective 0 and the nearest value. */
WR_MUST_CHECK enum wr_status wr_cutoff_curve(double *prob_inside, double *effective, const double *start_min, size_t n,
                                             size_t task, const struct wr_network *net,
                                             const struct wr_durations *durations, const struct wr_scenarios *scenarios,
                                             const struct wr_cutoff_limit *limit,
                                             const struct wr_cutoff_options *options, struct wr_error *err);
