/* What if: the same days run through a changed timeline.
 *
 * Definition. Change of the overrun probability and of the mean finish between two timelines that meet the same points
 * (sim/pairing.h) and, of what is said of single finishes, the same days: same luck per task identity, same run effect,
 * same posterior draw. The interval of a change is the 5 and 95 % points over posterior draws of the paired difference,
 * not the difference of two intervals.
 * Savings do not add up: every combination is run again as its own alternative. Nor need a drop make things faster:
 * where another task has drop_after, dropping work can bring that task back. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include "wetrun/base/error.h"
#include "wetrun/base/number.h"
#include "wetrun/network/network.h"
#include "wetrun/sim/forecast.h"
#include "wetrun/sim/pairing.h"

struct wr_variant {         /* one timeline; all borrowed */
    const char *name;       /* as asked for, for people; may hold bytes from user files */
    const struct wr_network *net;             /* NULL: the base's */
    const struct wr_durations *durations;     /* NULL: the base's; else over the same posterior draws */
    const unsigned char *drop;   /* [n_task] 1: left out: takes no time, its not_before and drop_after no longer hold,
                                    what waited for it waits for what it waited for; NULL: none */
    const double *scale;         /* [n_task] factor on the task's minutes, >= 0; NULL: 1 */
    const unsigned char *no_rule;/* [n_task] 1: its drop_after does not hold; NULL: none */
    const struct wr_sim_limit *limit; size_t n_limit; /* NULL: the base's; else as many */
};

struct wr_whatif_limit {
    double prob_over, prob_over_base;
    struct wr_paired gain;
};

struct wr_whatif_row {
    size_t variant;             /* index into what was asked */
    struct wr_whatif_limit *limit; /* [n_limit] */
    double any_over, any_gain_se; /* se of the base's any_over less this one */
    double mean_min, median_min, p90_min;
    struct wr_paired saved_min; /* of the finish */
    double median_saved_min;    /* by how much half of the finishes come earlier: the base's median_min less this one,
                                   which is not the median over days of what each saves */
    double median_saved_se_min;
    double share_later;         /* share of trials that finish later than before (by more than a second) */
    size_t rank;                /* 1: largest gain on the first limit (without limits: on the finish), of equal ones the
                                   earlier finish */
    double share_better_than_next; /* share of posterior draws in which it beats the next rank; 1 for the last */
    bool told_apart;            /* that share is at least WR_WHATIF_TOLD_APART: "better", else "not told apart" */
    double share_better_than_base; /* share of posterior draws in which it beats the timeline as it is; ties count
                                      half */
};
#define WR_WHATIF_TOLD_APART 0.9

struct wr_whatif { /* start as {0} */
    size_t n_trial, n_draw, n_limit, n_row;
    size_t n_per_draw;          /* days of each draw that the changes rest on, all but those of medians */
    double base_mean_min, base_median_min, base_p90_min, base_any_over, *base_over; /* base_over[n_limit] */
    struct wr_whatif_row *row; /* [n_row], best first unless asked otherwise */
};

struct wr_whatif_options {
    size_t n_trial;             /* days that single finishes are told from; 0: 16 000 */
    uint64_t seed;
    unsigned n_thread;
    bool means_alone;           /* nobody looks at intervals, for less time */
    bool in_order;              /* rows as asked for, not best first: the best of several would be too good by
                                   selection */
};

/* WR_E_DOMAIN: a scale that is negative or not finite, or an alternative over other posterior draws than the base. */
WR_MUST_CHECK enum wr_status wr_whatif_run(struct wr_whatif *w, const struct wr_variant *base,
                                           const struct wr_variant *alternative, size_t n_alternative,
                                           const struct wr_whatif_options *options, struct wr_error *err);
void wr_whatif_release(struct wr_whatif *w);

/* Price of the drop rules: one row per task with drop_after and limit, or per task where there is no limit. `rule`
 * compares the timeline as it is with the rule lifted, `always` with the task left out from the start. A rule on a task
 * off the longest path buys nothing. */
struct wr_drop_price {
    size_t task, limit;
    size_t n_per_draw;          /* days of each draw that the changes rest on: the same in all rows */
    double dropped;             /* share of trials */
    double over_with_rule, over_without_rule, over_always_dropped; /* 0 without limits */
    struct wr_paired rule;      /* overrun probability without the rule - with it */
    struct wr_paired rule_min;  /* minutes of the finish, without - with */
    double median_min, median_all_done_min; /* of the finish with the rules, and with every rule lifted: the same in
                                               all rows */
    double over_all_done;       /* of the limit with every rule lifted */
    struct wr_paired sooner;    /* overrun probability with the rule - left out from the start: no time to leave it out
                                   by, however early, takes more off than that, but where other work is dropped too */
    struct wr_paired all_rules; /* that less over_with_rule: what the rules take off together, for they do not add up */
};
/* price[n_price] is allocated here (wr_free it); n_price 0 if no task has a rule. */
WR_MUST_CHECK enum wr_status wr_drop_prices(struct wr_drop_price **price, size_t *n_price,
                                            const struct wr_variant *base, const struct wr_whatif_options *options,
                                            struct wr_error *err);
