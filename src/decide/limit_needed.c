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
    struct wr_finish_ends ends = {f->quantile_lo_min[q], f->quantile_hi_min[q]};

    for (size_t i = 0; i < f->n_worse; i++) {
        ends.lo_min = fmin(ends.lo_min, f->worse[i]->quantile_lo_min[q]);
        ends.hi_min = fmax(ends.hi_min, f->worse[i]->quantile_hi_min[q]);
    }
    return ends;
}

static struct wr_limit_needed by_one_answer(const struct wr_forecast *f, double confidence)
{
    for (size_t q = 0; q < WR_N_QUANTILE; q++)
        if (fabs(wr_quantile_prob[q] - confidence) < 1e-9)
            return (struct wr_limit_needed){wr_known(f->quantile_lo_min[q]), wr_known(f->quantile_min[q]),
                                            wr_known(f->quantile_hi_min[q])};
    return (struct wr_limit_needed){wr_curve_crossing(f, f->curve_lo, 1 - confidence),
                                    wr_curve_crossing(f, f->curve_over, 1 - confidence),
                                    wr_curve_crossing(f, f->curve_hi, 1 - confidence)};
}

static struct wr_maybe outer(struct wr_maybe a, struct wr_maybe b, double (*which)(double, double))
{
    return a.known && b.known ? wr_known(which(a.value, b.value)) : WR_UNKNOWN;
}

struct wr_limit_needed wr_limit_needed(const struct wr_forecast *f, double confidence)
{
    struct wr_limit_needed need = by_one_answer(f, confidence);

    for (size_t i = 0; i < f->n_worse; i++) {
        const struct wr_limit_needed worse = by_one_answer(f->worse[i], confidence);
        need.lo_min = outer(need.lo_min, worse.lo_min, fmin);
        need.hi_min = outer(need.hi_min, worse.hi_min, fmax);
    }
    return need;
}
