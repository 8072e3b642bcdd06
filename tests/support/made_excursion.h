/* A small excursion made in code: plan, network, durations with known parameters, simulated days. */
#pragma once
#include "wetrun/decide/basis.h"
#include "wetrun/sim/scenarios.h"

struct made_task {
    const char *id, *crew, *after; /* NULL: crew "1", after nothing */
    double median_min, sigma;      /* sigma 0: fixed minutes; else ln minutes ~ N(ln median, sigma^2) + run effect */
    double not_before_min, drop_after_min; /* 0: none */
};

struct made_excursion { /* start as {0} */
    struct wr_plan plan;
    struct wr_network net;
    struct wr_durations durations;
    struct wr_scenarios scenarios;
    bool even;                     /* luck of the days, see scenarios.h */
};

/* Everything but the days; n_draw equal posterior draws, to be made unequal by the caller. */
void made_excursion_plan(struct made_excursion *e, const struct made_task *task, size_t n_task, double tau,
                         size_t n_draw);
/* The days; again after anything was changed. */
void made_excursion_days(struct made_excursion *e, size_t n_trial, uint64_t seed);
struct wr_basis made_excursion_basis(const struct made_excursion *e); /* network and durations */
void made_excursion_release(struct made_excursion *e);

/* A random network of n_task tasks with medians from 5 to 45 minutes, sigma from 0.1 to 0.35; not_before and drop_after
 * on some tasks if asked for. */
void made_excursion_random(struct made_excursion *e, size_t n_task, size_t n_lane, double tau, bool rules,
                           unsigned long long *state);
