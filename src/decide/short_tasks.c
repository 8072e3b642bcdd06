#include "wetrun/decide/short_tasks.h"

#include <math.h>

static double mean_log_order(const struct wr_comparison *c, const struct wr_timing *t)
{
    double sum = 0, n = 0;

    for (size_t r = 0; r < c->n_run; r++)
        if (c->run[r].length.known) sum += log(t->run[r].order), n++;
    return sum / n;
}

struct wr_short_task_credit wr_find_short_task_credit(const struct wr_comparison *c, const struct wr_timing *timing,
                                                      const struct wr_forecast *forecast,
                                                      const struct wr_posterior *post, double order,
                                                      struct wr_maybe above_log)
{
    struct wr_short_task_credit credit = {0};
    const struct wr_trend *apart = &c->apart_trend;

    if (post->n_draw == 0 || !c->apart_p.known || !c->length_trend.known) return credit;
    credit.slope_log = wr_posterior_slope_log(post);
    double moved_log = (c->length_trend.slope_log - credit.slope_log) * (log(order) - mean_log_order(c, timing));
    credit.at_most = !above_log.known;
    credit.later_min =
        forecast->quantile_min[WR_Q50] * expm1(moved_log - (above_log.known ? fmax(0, above_log.value) : 0));
    credit.told = credit.slope_log < 0 && apart->slope_log > 0 && c->apart_p.value <= WR_SHORT_TASKS_P &&
                  credit.later_min >= WR_SHORT_TASKS_SHARE * forecast->sd_min;
    return credit;
}
