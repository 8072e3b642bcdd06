/* How late a start is inside beyond what chance makes of the days at hand. */
#include <math.h>
#include "cutoff_parts.h"

enum { DEEPEST = 12, HALVINGS = 4 };
static const double SURE_ERRORS = WR_CUTOFF_SURE_ERRORS;

/* Standard error of the share inside, a ratio of two sums over parts of the days; of few days, all inside, the parts
 * alone would see none. */
static double share_error(const struct wr_tally *t)
{
    double share = wr_tally_share(t), squares = 0;
    int n = 0;

    for (int p = 0; p < WR_GIVEN_PARTS; p++) {
        if (!(t->part_sum[p] > 0)) continue;
        double off = (t->part_inside[p] - share * t->part_sum[p]) / t->sum;
        squares += off * off;
        n++;
    }
    double by_parts = n > 1 ? sqrt(squares * n / (n - 1)) : INFINITY;
    return fmax(by_parts, 1 / (wr_tally_effective(t) + 2));
}

/* By how much the share inside at a log start exceeds the confidence and so many errors of its own. */
static double margin(struct wr_inside_curve *curve, double log_start, double confidence)
{
    struct wr_tally t;
    double share = wr_inside_curve_at(curve, log_start, curve->given->days->n_trial, &t);

    if (wr_tally_effective(&t) < WR_CUTOFF_LEAST_EFFECTIVE) return -1;
    return share - confidence - SURE_ERRORS * share_error(&t);
}

double wr_cutoff_sure(struct wr_inside_curve *curve, double confidence, double by_min)
{
    double hi = log(by_min), at_hi = margin(curve, hi, confidence), lo = hi, at_lo = at_hi;
    int i = DEEPEST;

    while (i >= -DEEPEST && wr_inside_curve_node(curve, i) >= hi - 1e-9) i--;
    for (; at_lo < 0 && i >= -DEEPEST; i--) {
        hi = lo;
        at_hi = at_lo;
        lo = wr_inside_curve_node(curve, i);
        at_lo = margin(curve, lo, confidence);
    }
    if (at_lo < 0 || lo >= hi) return exp(lo);
    for (int n = 0; n < HALVINGS && exp(hi) - exp(lo) > WR_CUTOFF_ROUGH_MIN; n++) {
        double middle = (lo + hi) / 2, at = margin(curve, middle, confidence);
        if (at >= 0) {
            lo = middle;
            at_lo = at;
        } else {
            hi = middle;
            at_hi = at;
        }
    }
    return exp(lo + at_lo / (at_lo - at_hi) * (hi - lo));
}
