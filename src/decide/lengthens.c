#include "wetrun/decide/lengthens.h"

#include <math.h>
#include "wetrun/base/memory.h"
#include "wetrun/decide/verdict.h"

static double mean_log_order(const struct wr_timing *t, size_t task)
{
    double sum = 0;
    size_t n = 0;

    for (size_t r = 0; r < t->n_run; r++) {
        if (!wr_cell_is_timed(wr_timing_cell(t, task, r))) continue;
        sum += log(t->run[r].order);
        n++;
    }
    return n > 0 ? sum / (double)n : 0;
}

size_t wr_find_lengthening(struct wr_lengthening **found, const struct wr_comparison *comparison,
                           const struct wr_timing *timing, const struct wr_forecast *forecast,
                           const struct wr_posterior *post, double order)
{
    double shared = post->n_draw > 0 ? wr_posterior_slope_log(post) : 0;
    size_t n = 0, room = 0;

    *found = NULL;
    for (size_t k = 0; k < comparison->n_task && shared < 0; k++) {
        const struct wr_task_trend *t = &comparison->task_trend[k];
        double median_min = forecast->task[k].median_min;
        if (!t->told || t->line.slope_log <= 0 || !(median_min > 0)) continue;
        *WR_PUSH(*found, n, room) = (struct wr_lengthening){
            .task = k, .per_doubling = t->line.per_doubling, .forecast_min = median_min,
            .uncredited_min = median_min * exp(shared * (mean_log_order(timing, k) - log(order))),
            .own_trend_min = exp(t->line.level_log + t->line.slope_log * log(order))};
    }
    return n;
}

bool wr_lengthening_decides(double over, double longer_over, double confidence)
{
    return longer_over - over >= WR_LENGTHENING_TOLD && !wr_beyond_allowed(over, confidence) &&
           wr_beyond_allowed(longer_over, confidence);
}
