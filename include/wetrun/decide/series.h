/* A series of excursions: what is not done in one has to be done in a later one, whose limits and drop rules then bite.
 * Definition. The excursions of one simulated series are walked in order. A task that a spill names and that was
 * dropped in its excursion (its drop_after had passed), or that was not done there because it had to wait further on,
 * is done in the excursion it goes to, with its set-up time added; where it has been done already, its row there takes
 * no time. A spill with a stop ends its task at that moment if it is still under way: the share of it that is not done
 * yet takes that share of its time in the excursion it goes to, with the set-up added; not begun by then, it goes
 * whole. Days are independent given the parameters; each excursion has its own run effect and its own luck. What no
 * spill takes on stays undone and counts as left over.
 *
 *   with       the excursion as it comes out of the series
 *
 *   without    the same day with nothing carried on to it: all spilled work done before
 *
 * Both on the same days, so that their difference is what the spill costs. An interval is the 5 and 95 % points over
 * posterior draws of the excursions' parameters (draw j of each together); equal ends: what is counted is too rare for
 * one. */
#pragma once

#include "wetrun/decide/whatif.h"
#include "wetrun/sim/scenarios.h"

struct wr_series_leg {          /* one excursion; all borrowed */
    const struct wr_network *net;
    const struct wr_scenarios *days;     /* as many trials in every leg */
    const struct wr_sim_limit *limit; size_t n_limit; /* the first is the excursion limit; may be none */
};

struct wr_spill {
    size_t from_leg, from_task, to_leg, to_task; /* from_leg < to_leg */
    double setup_min;
    struct wr_maybe stop_min;   /* in from_leg: still under way then, it is put down */
};

struct wr_series_options {
    size_t n_draw;              /* posterior draws: trial i uses draw i mod n_draw in every leg; 0: no intervals */
    unsigned n_thread;
};

struct wr_series_over {
    double with, with_lo, with_hi, without;
    double mc_error;            /* of `with`, over seeds: draws and days together; 0 where n_draw is 0 */
    struct wr_paired cost;      /* with - without */
};

struct wr_series_leg_result {
    struct wr_series_over *over;         /* [n_limit] */
    double lens_min[WR_N_LENS];          /* of the finish: the wr_lens_prob quantiles */
    double finish_p50_min, finish_p90_min, without_p50_min;
    double spilled_in;                   /* share of trials in which work is carried on to it */
    double spilled_min;                  /* mean minutes of that work, set-up included, over all trials */
    double done_by;                      /* share of trials in which nothing waits any more after it */
};

struct wr_series_task {         /* a task that may be carried on, once for each leg it starts from */
    size_t spill;               /* index of the spill */
    double asked;               /* share of trials in which it is to be done in from_leg */
    double dropped;             /* share of trials in which it, or what is left of it, is carried on */
    double stopped;             /* share of trials in which it is carried on though it was begun there */
};

struct wr_series { /* start as {0} */
    size_t n_trial, n_leg, n_spill;
    struct wr_series_leg_result *leg;    /* [n_leg] */
    struct wr_series_task *task;         /* [n_spill] */
    double any_over, any_over_lo, any_over_hi, any_over_mc_error; /* some excursion goes over any of its limits */
    double left_over;                    /* share of trials in which something is undone after the last */
    double expected_excursions; /* mean number of excursions until nothing is undone: n_leg + 1 where that takes more */
};

/* WR_E_USAGE: a spill that does not go forward, or legs with different numbers of trials. */
WR_MUST_CHECK enum wr_status wr_series_run(struct wr_series *s, const struct wr_series_leg *leg, size_t n_leg,
                                           const struct wr_spill *spill, size_t n_spill,
                                           const struct wr_series_options *options, struct wr_error *err);
void wr_series_release(struct wr_series *s);

/* What a planner may do about one spill: decide it beforehand. */
enum wr_series_change_kind {
    WR_SERIES_RULE_LIFTED,      /* it is done in from_leg however late */
    WR_SERIES_MOVED,            /* it is left to to_leg from the start */
    WR_SERIES_GIVEN_UP          /* it is left out of the whole series */
};
struct wr_series_change {
    enum wr_series_change_kind kind;
    size_t spill;
    double any_over;            /* with the change */
    struct wr_paired gain;      /* any_over as it is - with the change, on the same days */
    double *leg_over;           /* [n_leg] first limit */
    double left_over;
};
struct wr_series_changes {
    struct wr_series_change *change;
    size_t n_change;
    double *leg_over;
}; /* start as {0}; best first */
/* Every change of every spill whose task has a drop rule in from_leg, on the same days as wr_series_run. */
WR_MUST_CHECK enum wr_status wr_series_try(struct wr_series_changes *changes, const struct wr_series_leg *leg,
                                           size_t n_leg, const struct wr_spill *spill, size_t n_spill,
                                           const struct wr_series_options *options, struct wr_error *err);
void wr_series_changes_release(struct wr_series_changes *changes);
