#include "wetrun/decide/rehearsed.h"

#include <math.h>

struct wr_rehearsed wr_rehearsed_against(const struct wr_timing *timing, double limit_min)
{
    struct wr_rehearsed seen = {.least_min = INFINITY};

    for (size_t r = 0; r < timing->n_run; r++) {
        double finish = timing->run[r].finish_without_holds_min;
        bool is_over = finish > limit_min;
        if (timing->run[r].by_minutes) continue; /* nothing is known of its finish */
        if (!timing->run[r].complete) {
            seen.n_incomplete++;
            seen.n_incomplete_over += is_over;
            continue;
        }
        seen.n_complete++;
        seen.n_over += is_over;
        seen.least_min = fmin(seen.least_min, finish);
        seen.most_min = fmax(seen.most_min, finish);
    }
    if (seen.n_complete == 0) seen.least_min = 0;
    return seen;
}
