/* Have the chains mixed? Split R-hat and bulk effective sample size of one quantity. */
#pragma once

#include <stddef.h>
#include "wetrun/model/duration_model.h"

/* value[chain * n_keep + kept]; n_keep >= 4. Rank-normalised split R-hat (the larger of bulk and folded) and bulk
 * effective sample size over all chains: Vehtari, Gelman, Simpson, Carpenter and Buerkner (2021), Bayesian Analysis
 * 16(2), 667-718. A quantity that never moves has R-hat 1 and as many effective draws as draws. */
struct wr_chain_check wr_chain_check_of(const char *name, const double *value, size_t n_chain, size_t n_keep);
