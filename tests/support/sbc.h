/* Simulation-based calibration of the sampler: parameters from the prior, data from the parameters, and the rank of
 * each true value among posterior draws, which is uniform if sampler and model agree. Talts, Betancourt, Simpson,
 * Vehtari and Gelman (2018), arXiv:1804.06788; Cook, Gelman and Rubin (2006), Journal of Computational and Graphical
 * Statistics 15, 675-692. */
#pragma once
#include <stddef.h>
#include <stdint.h>
#include "prior_world.h"

struct sbc_setup {
    size_t n_task, n_run, n_person;
    struct wr_priors prior_of_worlds, prior_of_sampler; /* differ only to show that the test can fail */
    struct wr_sampler_options sampler; /* n_chain * n_keep draws to rank among; the seed is set per world */
    size_t n_world;
    uint64_t seed;
    unsigned n_thread;
};

/* p_value[WORLD_VIEWS] of a chi-square test of uniform ranks in n_class classes; n_class divides draws + 1. */
void sbc_run(const struct sbc_setup *setup, size_t n_class, double p_value[WORLD_VIEWS]);
