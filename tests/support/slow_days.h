/* The engine's slow twin: the same random numbers and the same points, taken one at a time by plain loops in double
 * precision, with the C library's and GSL's functions. Obviously right, or so it should read. */
#pragma once
#include <stdint.h>
#include "wetrun/model/durations.h"
#include "wetrun/network/network.h"
#include "wetrun/sim/forecast.h"

struct slow_day {       /* caller's arrays */
    double *minutes, *score, *start, *end; /* [n_task] */
    unsigned char *dropped, *path;         /* [n_task] */
    double run_score, b, finish;
    double *person;     /* [n_lane] effect of the person there */
};

/* Plain trial t. */
void slow_day_trial(const struct wr_network *net, const struct wr_durations *d, uint64_t seed, uint64_t t,
                    struct slow_day *day);

/* The normal scores of a task in a trial, as src/sim/stream.h defines them. h only if the error is skewed. */
double slow_score(uint64_t seed, uint64_t identity, uint64_t t);
void slow_pair(uint64_t seed, uint64_t identity, uint64_t t, double *h, double *z);
uint32_t slow_uniform(uint64_t seed, uint64_t identity, uint64_t t);

/* P(limit passed | draw), a mean over the points of draws[draw] that the engine would use: one value per limit, then
 * that of any of them. way: 0 by scale, 1 by root, 2 by strata. */
void slow_draw_over(const struct wr_network *net, const struct wr_durations *d, uint64_t seed, size_t draw,
                    size_t per_draw, int way, const struct wr_sim_limit *limit, size_t n_limit, double *over);

/* Minutes that a limit is held against. */
double slow_measure(const struct wr_network *net, const struct wr_sim_limit *limit, const double *start,
                    const double *end);

/* A quantile that was read off bins, against the values, which it sorts: between those whose ranks surround it, give or
 * take one bin (a share of the value). */
void slow_quantile(double got, double *value, size_t n, double prob, double bin, const char *what);
