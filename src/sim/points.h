/* The probability of passing a limit, given the parameters, for every posterior draw: quasi-random points in the tasks'
 * scores, and the run effect integrated in each point rather than drawn.
 *
 * Points come in WR_REPLICATES independently shifted copies of a lattice: the copies agree as well as the estimate is
 * good, which is what the stated Monte Carlo error is made from. Draw j gets per_draw consecutive points of every copy,
 * so that the points of all draws together are one lattice again.
 *
 * How the run effect b is integrated (Phi(t) is its distribution, b = shift + sd t):
 *   WR_BY_SCALE   every duration carries it and nothing else sets a time: the finish is exp(b) times that at b = 0, and
 *                 P(over | scores) is one normal tail
 *   WR_BY_ROOT    finish and lane ends do not fall as b grows (no drop_after, and no clock among the limits): the b at
 *                 which the limit is reached is found, and P(over | scores) is the tail beyond it
 *   WR_BY_STRATA  anything else: b is drawn once from each of WR_STRATA equal parts of its distribution, and counted
 */
#pragma once

#include "setup.h"

enum { WR_REPLICATES = 16, WR_AT_ONCE = 8, WR_POINT_BLOCK = WR_REPLICATES * WR_AT_ONCE, WR_STRATA = 8 };

enum wr_points_way { WR_BY_SCALE, WR_BY_ROOT, WR_BY_STRATA };
enum wr_points_way wr_points_way(const struct wr_setup *setup);

struct wr_points { /* start as {0}; quantity n_limit is "any of the limits" */
    size_t n_draw, n_limit, n_grid, per_draw;
    double *over;           /* [(quantity * n_draw + draw) * WR_REPLICATES + replicate] */
    double *finish;         /* [draw * WR_REPLICATES + replicate] mean of the finish, where there is a curve, or are
                               several lines */
    double *curve[2];       /* [draw * n_grid + …] P(finish > exp(grid)), from either half of the copies: what the
                               halves do not agree on is Monte Carlo noise */
};

/* per_draw: points of one copy per draw, a multiple of WR_AT_ONCE, best a power of 2. grid_ln[n_grid]: rising,
 * evenly spaced but for its far end, where few finishes are; n_grid 0: neither curve nor finish. By strata, limits of
 * the same lanes that stand together and rise cost next to nothing. */
void wr_points_run(struct wr_points *p, const struct wr_setup *setup, size_t per_draw, const double *grid_ln,
                   size_t n_grid, unsigned n_thread, void (*done)(void *arg, double share), void *arg);
void wr_points_release(struct wr_points *p);

/* Timelines that meet the same points, p[n_line]: a task has the same scores wherever its stream is the same, and all
 * are integrated in one way, so that they differ by nothing but what they are. Over as many draws and limits each, of
 * the draws the first and every draw_step-th after it; those that borrow one network's order and the same durations are
 * walked fastest when they stand together. No curves. */
struct wr_points_line {
    const struct wr_setup *setup;
    const double *factor;   /* [n_task] on the minutes of each task; NULL: 1 */
};
void wr_points_lines_run(struct wr_points *p, const struct wr_points_line *line, size_t n_line, size_t per_draw,
                         size_t draw_step, unsigned n_thread);
