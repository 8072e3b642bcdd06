/* Tasks that are shown to get longer from rehearsal to rehearsal, which the forecast credits with the learning that all
 * tasks share. */
#pragma once

#include <stdbool.h>
#include "wetrun/decide/compare.h"
#include "wetrun/model/duration_model.h"
#include "wetrun/sim/forecast.h"

#define WR_LENGTHENING_TOLD 0.005 /* what they cost a limit at least to be told of: half a day of 100 */

struct wr_lengthening {
    size_t task;
    double per_doubling;       /* change of its own line, above 0 */
    double forecast_min;       /* median of the forecast */
    double uncredited_min;     /* the same at the mean log order of its rehearsals: no learning */
    double own_trend_min;      /* its own line, at the run that is forecast */
};

/* The tasks of such a comparison, in plan order; returns how many, none where what is shared is not learning. order: of
 * the run that is forecast. Release with wr_free. */
size_t wr_find_lengthening(struct wr_lengthening **found, const struct wr_comparison *comparison,
                           const struct wr_timing *timing, const struct wr_forecast *forecast,
                           const struct wr_posterior *post, double order);

/* Does what is wanted of a limit rest on them? It is kept by the forecast, over, and no longer where they take what
 * their own trends say, longer_over: the probabilities of going over it. confidence: wanted of staying inside. */
bool wr_lengthening_decides(double over, double longer_over, double confidence);
