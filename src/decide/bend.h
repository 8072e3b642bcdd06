/* Minutes as a rising function of the normal score, tabulated from simulated pairs: for judgements (three points),
 * whose quantile functions are costly. Between the pairs linear; beyond them towards the bound, without a kink. */
#pragma once

#include <stddef.h>

enum { WR_BEND_NODES = 257 };
struct wr_bend {
    double first, step;            /* scores of the nodes: first + i * step */
    double minutes[WR_BEND_NODES];
    double low_min, high_min;      /* bounds of the minutes */
};

/* score[n], minutes[n]: pairs in any order, minutes rising with score; n >= 2 and not all scores equal. */
void wr_bend_fit(struct wr_bend *bend, const float *score, const float *minutes, size_t n, double low_min,
                 double high_min);
double wr_bend_minutes(const struct wr_bend *bend, double score, double *slope);
double wr_bend_score(const struct wr_bend *bend, double minutes); /* the inverse; beyond the bounds -40 or 40 */
