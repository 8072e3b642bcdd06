#include "wetrun/decide/rehearsed.h"

#include <math.h>

struct wr_rehearsed wr_rehearsed_against(const struct wr_timing *timing, double limit_min)
{
    struct wr_rehearsed seen = {.least_min = INFINITY, .least_by_rules_min = INFINITY};

    for (size_t r = 0; r < timing->n_run; r++) {
        const size_t past_rule = timing->run[r].n_past_rule;
        double finish = timing->run[r].finish_without_holds_min;
        double by_rules = past_rule > 0 ? fmin(timing->run[r].by_rules_min, finish) : finish;
        if (timing->run[r].by_minutes) continue; /* nothing is known of its finish */
        if (!timing->run[r].complete) {
            seen.n_incomplete++;
            seen.n_incomplete_over += by_rules > limit_min;
            continue;
        }
        seen.n_complete++;
        seen.n_over += finish > limit_min;
        seen.n_past_rule += past_rule > 0;
        seen.n_over_by_rules += by_rules > limit_min;
        seen.least_by_rules_min = fmin(seen.least_by_rules_min, by_rules);
        seen.most_by_rules_min = fmax(seen.most_by_rules_min, by_rules);
        seen.least_min = fmin(seen.least_min, finish);
        seen.most_min = fmax(seen.most_min, finish);
    }
    if (seen.n_complete == 0) seen.least_min = seen.least_by_rules_min = 0;
    return seen;
}
