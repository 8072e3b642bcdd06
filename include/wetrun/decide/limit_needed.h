/* The limit that would be needed to be inside it with a wanted confidence: the finish at that confidence, with its 90 %
 * interval over what the rehearsals leave open. One definition for the table of finishes, the chart of limits and the
 * page. */
#pragma once

#include "wetrun/base/number.h"
#include "wetrun/sim/forecast.h"

struct wr_limit_needed {
    struct wr_maybe lo_min, middle_min, hi_min; /* unknown: beyond the limits that the forecast looked at */
};

/* 90 % interval of the finish's quantile q; it spans the worse answers (wr_forecast.worse), for nothing says which is
 * right and what is given as known would make what nobody timed look surest. So do the ends of the limit needed. */
struct wr_finish_ends { double lo_min, hi_min; };
struct wr_finish_ends wr_finish_ends(const struct wr_forecast *forecast, size_t q);
/* confidence in (0, 1). At one of wr_quantile_prob it is that quantile; between them it is read off the forecast's
 * curve, by straight lines between its points. */
struct wr_limit_needed wr_limit_needed(const struct wr_forecast *forecast, double confidence);
/* Where the falling curve[n_curve] comes down to prob; unknown if it does not, or begins there. */
struct wr_maybe wr_curve_crossing(const struct wr_forecast *forecast, const double *curve, double prob);
