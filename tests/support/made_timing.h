/* Timing tables made in code, without log and plan, and rehearsals simulated into them from a known truth. */
#pragma once
#include <gsl/gsl_rng.h>
#include <stddef.h>
#include "wetrun/network/network.h"
#include "wetrun/timing/timing.h"

/* Start as {0}. Every cell done in 10 active minutes, every run complete and kept to the plan, nobody named. */
void made_timing_init(struct wr_timing *t, size_t n_task, size_t n_run, size_t n_lane);
struct wr_cell *made_cell(struct wr_timing *t, size_t task, size_t run);
/* Forgets a cell's times, and counts its run as incomplete unless it is done. */
void made_cell_state(struct wr_timing *t, size_t task, size_t run, enum wr_cell_state state);
/* Names the people: person[n]; line_up[run * n_lane + lane] indices or -1. Both are borrowed texts, copied pointers. */
void made_timing_people(struct wr_timing *t, const char *const *person, size_t n, const int *line_up);
void made_timing_release(struct wr_timing *t);

/* log minutes = mu[task] + gamma log(order) + b[run] + e, b ~ N(0, tau^2), e ~ N(0, (sigma[task] order^settle)^2); mu
 * and sigma are drawn, sigma around `sigma`; the runs marked in `slow` take exp(effect) times as long; a share
 * `missing` of the cells is skipped. */
struct made_truth {
    double tau, gamma, sigma, settle, effect, missing;
    const unsigned char *slow; /* [n_run] or NULL */
};
void made_timing_rehearse(struct wr_timing *t, const struct made_truth *truth, const gsl_rng *rng);
/* Finish and replay of every run, as the network gives them. */
void made_timing_replay(struct wr_timing *t, const struct wr_network *net);
