/* A set of simulated days kept in memory, for decisions that look at single trials or run them again changed.
 * Trial i uses posterior draw i mod n_draw, the same streams as the forecast: (seed, task identity, trial), so a task
 * meets the same luck in every variant of a plan. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include "wetrun/model/durations.h"
#include "wetrun/network/network.h"

struct wr_scenarios { /* start as {0} */
    size_t n_trial, n_task;
    float *own;   /* [task * n_trial + trial]: WR_FORM_LOG: log minutes without the run effect;
                              else minutes without it */
    float *score; /* [task * n_trial + trial] the task's own normal score (BENT: of its quantile; 0 if fixed) */
    float *z; /* [task * n_trial + trial] independent standard normals that own rises with: LOG, the symmetric part of
                              the skew error, e = (rho (|h| - sqrt(2/pi)) + sqrt(1 - rho^2) z) / sqrt(1 - 2 rho^2/pi),
                              so that with h held own moves by spread_log sqrt(1 - rho^2) / sqrt(1 - 2 rho^2/pi) per
                              unit of z; BENT: the score itself; 0 if fixed. Decisions shift z and run_score along a
                              direction */
    float *run_score;      /* [n_trial] the run effect's normal score: b = shift + sd * score */
    double *b;             /* [n_trial] run effect on log minutes */
    size_t *draw;          /* [n_trial] posterior draw */
    unsigned char *carries_b; /* [n_task] 0: own as it is, whatever the day (a fixed time) */
    unsigned char *is_log;    /* [n_task] 1: exp(own + b); 0: own * exp(b) */
};
void wr_scenarios_make(struct wr_scenarios *s, const struct wr_durations *durations, size_t n_trial, uint64_t seed,
                       unsigned n_thread);
/* Trials whose luck is spread evenly, for counts that err less: points of lattices, those of a part with a shift of
 * their own, so that parts err independently. What a task meets depends on the other tasks. */
void wr_scenarios_make_even(struct wr_scenarios *s, const struct wr_durations *durations, size_t n_trial, uint64_t seed,
                            unsigned n_thread);
/* Part that a trial belongs to. Parts by posterior draw, so that their spread holds the finite number of draws as well:
 * each a stretch of a chain, since draws that follow each other are alike (batch means). */
enum { WR_SCENARIO_PARTS = 16 };
static inline bool wr_scenarios_parts_by_draw(size_t n_draw) /* too few draws: parts by trial */
{
    return n_draw >= 8 * WR_SCENARIO_PARTS;
}
static inline size_t wr_scenarios_part(size_t draw, size_t n_draw, size_t trial)
{
    return wr_scenarios_parts_by_draw(n_draw) ? draw * WR_SCENARIO_PARTS / n_draw : trial % WR_SCENARIO_PARTS;
}
/* n_round trials of each of at most so many draws, evenly out of all: round after round, in each of which every draw
 * meets the same luck, so that draws are told apart by what they say and not by what they met. Fewer rounds than
 * 16,000. */
void wr_scenarios_share_luck(struct wr_scenarios *s, const struct wr_durations *durations, size_t most_draws,
                             size_t n_round, uint64_t seed, unsigned n_thread);
void wr_scenarios_release(struct wr_scenarios *s);
/* Minutes of one task in all trials: minutes[n_trial]. */
void wr_scenarios_minutes(const struct wr_scenarios *s, size_t task, double *minutes);
/* Minutes of all tasks in one trial: duration_min[n_task]. */
void wr_scenarios_durations(const struct wr_scenarios *s, size_t trial, double *duration_min);
