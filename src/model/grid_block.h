/* The sampler's inner loops. Points of a standard deviation's grid worked side by side: the algebra of effects_block.c
 * for WR_GRID_WIDE of them; what a task's cells add to it; the log likelihood of skewed errors. Written once
 * (grid_block_body.h) and compiled for several instruction sets; each number meets the same IEEE operations in the same
 * order in all of them, so that all give the same bytes. Private to the room. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include "log_phi.h"

enum { WR_GRID_WIDE = 8 };

static inline size_t wr_packed(size_t n)
{
    return n * (n + 1) / 2;
}

/* Number i of point p stands at [i * WR_GRID_WIDE + p]. */
struct wr_grid_work {
    double tau[WR_GRID_WIDE];
    double *folded;  /* [row_len]: V(tau), lower triangle; l(tau); the quadratic form of b */
    double *prior;   /* [n_effect] precisions of u */
    double *factor;  /* [packed] L with L L' = V(tau) + prior, the diagonal as its reciprocal */
    double *half;    /* [n_effect] L^-1 l(tau) */
    double growth[WR_GRID_WIDE];    /* -1/2 sum log(1 + tau^2 lambda), each as often as it is one */
    double log_det[WR_GRID_WIDE];   /* of L */
    double squares[WR_GRID_WIDE];   /* |L^-1 l(tau)|^2 */
};

/* Rows of effects are filled up with zeros to so many: whole vectors. */
static inline size_t wr_wide(size_t n_effect)
{
    return (n_effect + 3) / 4 * 4;
}

/* The cells of one task, as effects_block.c has them. */
struct wr_task_cells {
    size_t n, n_effect, n_alike;
    const size_t *run;       /* [n] */
    const double *design;    /* [n * wide] */
    const double *e;         /* [n] */
    const double *sum;       /* [wide] of design */
    const double *gram, *outer; /* [packed] lower triangles of design' design and of sum sum' */
    const double *is_in;     /* [n_alike] */
    double w, shared;
};

struct wr_numbers { size_t n; const double *value; double least, most; };

struct wr_grid_block {
    const char *name;
    /* row: the base row, then one for each of n eigenvalues, which is one so many times; into folded and growth, at
     * tau. */
    void (*fold)(struct wr_grid_work *at, const double *row, const double *eigenvalue, const size_t *times, size_t n,
                 size_t n_effect);
    /* matrix[i][j] -= shared for j <= i wherever is_in[i] = is_in[j] = 1 (else 0); n rows, `stride` apart. */
    void (*share)(double *matrix, size_t stride, const double *is_in, double shared, size_t n);
    /* Adds w gram - shared outer to gram[packed], e design to pull[wide], w design to the row of each cell's run in
     * cross[run * wide], shared sum to the rows of the sets that it is in, in less[set * wide]. */
    void (*take_task)(const struct wr_task_cells *t, double *gram, double *pull, double *cross, double *less);
    /* Sum of log Phi(factor x + offset) over x, in lanes fixed by position. */
    double (*log_phi_sum)(const struct wr_log_phi *table, const struct wr_numbers *x, double factor, double offset);
    /* first: what the prior adds to l of effect 0. False: not positive definite at some point. */
    bool (*factor)(struct wr_grid_work *at, size_t n_effect, double first);
};

/* The widest that this processor can run; and all that it can, for tests: number i, NULL past the last. */
const struct wr_grid_block *wr_grid_block_best(void);
const struct wr_grid_block *wr_grid_block_at(size_t i);

extern const struct wr_grid_block wr_grid_block_plain;
#ifdef __x86_64__
extern const struct wr_grid_block wr_grid_block_avx2, wr_grid_block_avx512;
#endif
