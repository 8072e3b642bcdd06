/* Are the stated Monte Carlo errors true? One campaign forecast with many seeds: how far each number really moves,
 * beside what was stated. */
#pragma once
#include <stdbool.h>
#include <stddef.h>

enum { SEEDS_ROWS = 64 };

struct seeds_row {
    char what[48];
    double mean, sd, stated; /* over seeds; root mean square of the stated errors */
};
struct seeds_study {
    size_t n_row;
    struct seeds_row row[SEEDS_ROWS];
    double error_over_width; /* of the overrun probability's stated error and its interval, the largest over seeds */
};
/* folder: a campaign with a limit and a confidence. False: it could not be forecast. */
bool seeds_of_campaign(struct seeds_study *study, const char *folder, size_t n_seed);
