#include "wetrun/decide/limit_needed.h"

#include <math.h>

struct wr_maybe wr_curve_crossing(const struct wr_forecast *f, const double *curve, double prob)
{
    if (f->n_curve == 0 || curve[0] <= prob) return WR_UNKNOWN;
    for (size_t i = 1; i < f->n_curve; i++) {
        if (curve[i] > prob) continue;
        double part = (curve[i - 1] - prob) / (curve[i - 1] - curve[i]);
        return wr_known(f->curve_limit_min[i - 1] + part * (f->curve_limit_min[i] - f->curve_limit_min[i - 1]));
    }
    return WR_UNKNOWN;
}

struct wr_limit_needed wr_limit_needed(const struct wr_forecast *f, double confidence)
{
    for (size_t q = 0; q < WR_N_QUANTILE; q++)
        if (fabs(wr_quantile_prob[q] - confidence) < 1e-9)
            return (struct wr_limit_needed){wr_known(f->quantile_lo_min[q]), wr_known(f->quantile_min[q]),
                                            wr_known(f->quantile_hi_min[q])};
    return (struct wr_limit_needed){wr_curve_crossing(f, f->curve_lo, 1 - confidence),
                                    wr_curve_crossing(f, f->curve_over, 1 - confidence),
                                    wr_curve_crossing(f, f->curve_hi, 1 - confidence)};
}

void wr_pad_to_forecast(struct wr_pad *pad, const struct wr_forecast *forecast)
{
    const struct wr_limit_needed need = wr_limit_needed(forecast, pad->confidence);

    if (!need.middle_min.known || pad->n_checkpoint == 0) return;
    struct wr_pad_checkpoint *finish = &pad->checkpoint[pad->n_checkpoint - 1];
    double by = need.middle_min.value - pad->finish_quantile_min;
    pad->finish_quantile_min += by;
    pad->reserve_min += by;
    if (pad->median_timeline_min > 0) pad->factor = pad->finish_quantile_min / pad->median_timeline_min;
    finish->time_min += by;
    finish->stretch_reserve_min += by;
}
