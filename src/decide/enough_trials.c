#include "wetrun/decide/enough_trials.h"

#include <math.h>

enum { FEWEST_BEYOND = 4 /* of which chance makes half or twice as many */ };

enum wr_status wr_enough_trials(const char *what, size_t n_trial, double confidence, struct wr_error *err)
{
    double takes = ceil(FEWEST_BEYOND / (1 - confidence) * (1 - 1e-9));

    if (n_trial < WR_FEWEST_TRIALS)
        return wr_fail(err, WR_E_USAGE, "--trials: %s needs more than %zu: write --trials %d", what, n_trial,
                       WR_FEWEST_TRIALS);
    if ((double)n_trial < takes)
        return wr_fail(err, WR_E_TOO_FEW,
                       "--trials: %s with a confidence of %.10g needs more than %zu: write --trials %.0f", what,
                       confidence, n_trial, takes);
    return WR_OK;
}
