/* The inner loops of the engine, each written once and compiled for several instruction sets. Every operation is an
 * IEEE operation or an integer operation on one trial, and sums run in lanes fixed by position, so that
 * all of them give the same bytes.
 *
 * Rows hold one number per trial of a block. Lengths are multiples of 2 WR_LANES. Logs are to base 2 in here, since
 * the exponential at the end of every draw is then cheapest; scores are standard normal. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include "score_table.h"
#include "stream.h"
#include "tally.h"
#include "wetrun/sim/push.h"

enum { WR_SUM_LANES = 32 }; /* partial sums of a row: element i goes to lane i mod WR_SUM_LANES */

enum wr_draw_kind { WR_DRAW_LOG, WR_DRAW_TABLE };

/* How one task's minutes come from its scores in a block, and where they go. */
struct wr_draw_row {
    enum wr_draw_kind kind;
    bool paired;                /* two normals h, z a trial: score = skew_h |h| + skew_z z - skew_0; else score = z */
    bool varying;               /* parameters differ from trial to trial; else one value each */
    const float *centre, *spread;             /* log2 minutes = centre + spread * score + effect; WR_DRAW_LOG */
    const float *skew_h, *skew_z, *skew_0;
    const float *effect;        /* log2 of a factor; NULL: none */
    const struct wr_score_table *table;       /* WR_DRAW_TABLE */
    const float *start;
    float *score, *minutes, *end;
};

/* A predecessor's share in the longest path: on it where its successor is, and where it ends as that one starts. */
struct wr_path_edge {
    const uint32_t *path;       /* of the successor */
    const float *start;         /* of the successor; NULL: this task always ends as that one starts */
};

struct wr_kernel {
    const char *name;

    void (*normals)(struct wr_stream *stream, size_t n, float *z);
    void (*pairs)(struct wr_stream *stream, size_t n, float *h, float *z);
    void (*uniforms)(struct wr_stream *stream, size_t n, uint32_t *u);

    /* The scores, minutes and ends that follow from a row of normals; h NULL unless paired. z may be the score row,
     * which is then cheapest. */
    void (*follow)(const struct wr_draw_row *row, const float *h, const float *z, size_t n);

    /* start = the latest of the rows end[0…n_end - 1] (at least one) and floor. */
    void (*latest)(const float *const *end, size_t n_end, float floor, size_t n, float *start);
    /* Where start > drop_after: minutes 0, end = start, dropped all ones (else 0). */
    void (*drop)(const float *start, float drop_after, size_t n, float *minutes, float *end, uint32_t *dropped);
    void (*add)(const float *start, const float *minutes, size_t n, float *end);
    void (*add_scaled)(const float *start, const float *minutes, const float *factor, size_t n, float *end);
    void (*exp2_row)(const float *x, size_t n, float *y);
    void (*ln_row)(const float *x, size_t n, float *y); /* natural log; x below 1e-30 counts as 1e-30 */

    /* path = where a successor is on the longest path and this task holds it up, or, if finish is given, where end is
     * the finish; of the first n_valid trials only. count[WR_LANES] += marked trials, by position mod WR_LANES. */
    void (*path)(const struct wr_path_edge *edge, size_t n_edge, const float *end, const float *finish, size_t n,
                 size_t n_valid, uint32_t *path, uint32_t *count);
    /* count += trials marked on path, those of dropped (may be NULL) left out. */
    void (*count)(const uint32_t *path, const uint32_t *dropped, size_t n, uint32_t *count);
    /* The window's bin of each value, which is not negative: wr_window_bin. */
    void (*bins)(const struct wr_window *w, const float *value, size_t n, uint32_t *bin);
    /* sum[row][WR_SUM_LANES] += row elements times deviation's, for n_row rows, stride apart. */
    void (*dots)(const float *row, size_t stride, size_t n_row, const float *deviation, size_t n, float *sum);

    wr_push_fn *push; /* wetrun/sim/push.h */

    /* Points of a randomly shifted lattice, folded (x becomes 1 - |2 x - 1|, Hickernell 2002, which makes any integrand
     * periodic): u = fold(index * generator + shift mod 2^32) / 2^32. */
    void (*lattice)(const uint32_t *index, uint32_t generator, const uint32_t *shift, size_t n, uint32_t *u);
    /* z = Phi^-1((u + 1/2) / 2^32) */
    void (*scores)(const uint32_t *u, size_t n, float *z);
    /* p = Phi((x - at) * slope); exactly 0 more than 13 standard deviations below */
    void (*below)(const float *x, float at, float slope, size_t n, float *p);
};

/* The widest that this processor can run. */
const struct wr_kernel *wr_kernel_best(void);
/* All that this processor can run, for tests: kernel i, NULL past the last. Kernel 0 uses no particular
 * instructions. */
const struct wr_kernel *wr_kernel_at(size_t i);
