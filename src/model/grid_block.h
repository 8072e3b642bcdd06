/* Points of a standard deviation's grid worked side by side: the algebra of effects_block.c for WR_GRID_WIDE of them.
 * Written once (grid_block_body.h) and compiled for several instruction sets; each point meets the same IEEE operations
 * in the same order in all of them, so that all give the same bytes. Private to the room. */
#pragma once

#include <stdbool.h>
#include <stddef.h>

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

struct wr_grid_block {
    const char *name;
    /* row: the base row, then one for each of n eigenvalues, which is one so many times; into folded and growth, at
     * tau. */
    void (*fold)(struct wr_grid_work *at, const double *row, const double *eigenvalue, const size_t *times, size_t n,
                 size_t n_effect);
    /* matrix[i][j] -= shared for j <= i wherever is_in[i] = is_in[j] = 1 (else 0); n rows, `stride` apart. */
    void (*share)(double *matrix, size_t stride, const double *is_in, double shared, size_t n);
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
