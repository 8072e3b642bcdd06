/* Whether short tasks drive the learning that all tasks are credited with. The model has one slope of log minutes for
 * all, so a four-minute task that learns takes minutes off one of two hours that does not. */
#pragma once

#include "wetrun/decide/compare.h"
#include "wetrun/model/duration_model.h"
#include "wetrun/sim/forecast.h"

#define WR_SHORT_TASKS_P 0.01        /* of so different a trend of lengths and run effects by chance */
#define WR_SHORT_TASKS_SHARE 0.25    /* of the finish's sd: less is lost in what days differ by */

struct wr_short_task_credit {
    bool told;               /* lengths fall less than run effects, and that matters */
    double slope_log;        /* that is credited, of the log per unit of log order */
    double later_min;        /* by so much half of the finishes would come later by the lengths' own trend */
    bool at_most;            /* by that at most: how the forecast lies to the totals is not known */
};

/* order: of the run that is forecast. above_log: by how much the forecast's middle lies above that of the totals, moved
 * along the slope that is credited: so much of the credit it does not take. Lengths and run effects of a run share its
 * pace, so that their difference shows what the days' luck would hide. */
struct wr_short_task_credit wr_find_short_task_credit(const struct wr_comparison *comparison,
                                                      const struct wr_timing *timing,
                                                      const struct wr_forecast *forecast,
                                                      const struct wr_posterior *post, double order,
                                                      struct wr_maybe above_log);
