/* How far something that was computed from draws would move if they were drawn again. Draws of Markov chains resemble
 * their neighbours, so they do not count one by one: they are cut into consecutive batches, long against that
 * resemblance and therefore nearly independent of each other, and the batches' means tell the error of the mean of all
 * (batch means: Hastings 1970, Geyer 1992; over parallel chains: Argon and Andradottir 2006; all from memory). Chains
 * lie one after the other; a batch that holds the end of one and the beginning of the next does no harm.
 *
 * What simulated days or points add of their own is in the error as far as different draws have different ones. */
#pragma once

#include <stddef.h>

enum {
    WR_MOST_BATCHES = 32,    /* a single stated error is then off by an eighth (1 sd), 1/sqrt(2 (32 - 1)) */
    WR_LEAST_IN_BATCH = 16,  /* draws: fewer batches rather than shorter ones, but never fewer than: */
    WR_LEAST_BATCHES = 8
};

/* Batches for so many draws; as many as there are draws if those are fewer than WR_LEAST_BATCHES. */
size_t wr_batches_for(size_t n_draw);
/* Batches are consecutive and as equal as can be. */
size_t wr_batch_of(size_t draw, size_t n_draw, size_t n_batch);

/* A (weighted) mean that is gathered draw by draw, trial by trial or point by point. */
struct wr_batch_sums {
    size_t n_draw, n_batch;
    double weight[WR_MOST_BATCHES], value[WR_MOST_BATCHES]; /* sums of weight, and of weight times value */
};
void wr_batch_begin(struct wr_batch_sums *sums, size_t n_draw);
void wr_batch_add(struct wr_batch_sums *sums, size_t draw, double weight, double value);
double wr_batch_mean(const struct wr_batch_sums *sums);  /* sum of weight times value / sum of weight; 0 without
                                                            weight */
/* Standard error of that ratio (delta method); 0 with one batch: of a single draw nothing can be told. */
double wr_batch_error(const struct wr_batch_sums *sums);

/* The same for the plain mean of value[n_draw]. */
double wr_batch_mean_error(const double *value, size_t n_draw);

/* Error of the type 7 quantile of value[n_draw], one value per draw; ascending: the same, sorted. */
double wr_batch_quantile_error(const double *value, const double *ascending, size_t n_draw, double prob);
