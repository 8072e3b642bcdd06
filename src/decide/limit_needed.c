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

struct wr_finish_ends wr_finish_ends(const struct wr_forecast *f, size_t q)
{
    const struct wr_forecast *judged = f->judged_short ? f->judged_short : f;

    return (struct wr_finish_ends){fmin(f->quantile_lo_min[q], judged->quantile_lo_min[q]),
                                   fmax(f->quantile_hi_min[q], judged->quantile_hi_min[q])};
}

static struct wr_maybe outer(struct wr_maybe a, struct wr_maybe b, double (*which)(double, double))
{
    return a.known && b.known ? wr_known(which(a.value, b.value)) : WR_UNKNOWN;
}

struct wr_limit_needed wr_limit_needed(const struct wr_forecast *f, double confidence)
{
    for (size_t q = 0; q < WR_N_QUANTILE; q++) {
        if (fabs(wr_quantile_prob[q] - confidence) >= 1e-9) continue;
        const struct wr_finish_ends ends = wr_finish_ends(f, q);
        return (struct wr_limit_needed){wr_known(ends.lo_min), wr_known(f->quantile_min[q]), wr_known(ends.hi_min)};
    }
    if (f->judged_short) {
        struct wr_forecast alone = *f;
        alone.judged_short = NULL;
        struct wr_limit_needed as_judged = wr_limit_needed(&alone, confidence),
                               judged_short = wr_limit_needed(f->judged_short, confidence);
        as_judged.lo_min = outer(as_judged.lo_min, judged_short.lo_min, fmin);
        as_judged.hi_min = outer(as_judged.hi_min, judged_short.hi_min, fmax);
        return as_judged;
    }
    return (struct wr_limit_needed){wr_curve_crossing(f, f->curve_lo, 1 - confidence),
                                    wr_curve_crossing(f, f->curve_over, 1 - confidence),
                                    wr_curve_crossing(f, f->curve_hi, 1 - confidence)};
}
