/* Days whose luck is spread evenly: points of a lattice (lattice.h) in place of random numbers, so that what is counted
 * over them errs less. In parts, each with a random shift of its own and the posterior draws of one stretch of a chain,
 * so that the spread of the parts is the error of the whole. */
#pragma once

#include "kernel.h"
#include "wetrun/model/durations.h"

struct wr_even {
    const struct wr_kernel *kernel;
    uint64_t seed;
    size_t n_task;
    uint32_t *index;     /* [n_trial] of a trial's point, as wr_lattice_index has it */
    unsigned char *part; /* [n_trial] */
    size_t *rank;        /* [n_task] by spread in minutes, the widest first */
};
void wr_even_plan(struct wr_even *even, const struct wr_kernel *kernel, const struct wr_durations *durations,
                  size_t n_trial, uint64_t seed);
void wr_even_release(struct wr_even *even);

/* Dimensions of what a day draws; a task's second is that of a skewed error. */
enum { WR_EVEN_RUN };
static inline size_t wr_even_task(const struct wr_even *even, size_t task)
{
    return 1 + even->rank[task];
}
static inline size_t wr_even_second(const struct wr_even *even, size_t task)
{
    return 1 + even->n_task + even->rank[task];
}
static inline size_t wr_even_line_up(const struct wr_even *even)
{
    return 1 + 2 * even->n_task;
}
static inline size_t wr_even_person(const struct wr_even *even, size_t lane)
{
    return 2 + 2 * even->n_task + lane;
}

/* n trials from `first` on, into rows of whole groups; at most WR_CHUNK. */
void wr_even_uniforms(const struct wr_even *even, uint64_t identity, size_t dimension, size_t first, size_t n,
                      uint32_t *u);
void wr_even_normals(const struct wr_even *even, uint64_t identity, size_t dimension, size_t first, size_t n, float *z);
