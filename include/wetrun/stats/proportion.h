/* Two-sided intervals for a probability from hits in n independent trials. 0 < level < 1, hits <= n, n >= 1.
 * Source: Newcombe (1998), Statistics in Medicine 17, 857-872: his score method without continuity correction (Wilson
 * 1927) and his exact method (Clopper and Pearson 1934). */
#ifndef WETRUN_STATS_PROPORTION_H
#define WETRUN_STATS_PROPORTION_H

#include <stddef.h>
#include "wetrun/stats/interval.h"

struct wr_interval wr_wilson_interval(size_t hits, size_t n, double level);
struct wr_interval wr_clopper_pearson_interval(size_t hits, size_t n, double level);

/* P(at most hits of n) when each has probability prob. */
double wr_binomial_at_most(size_t hits, size_t n, double prob);

#endif
