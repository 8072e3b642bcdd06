#include "judged_day.h"

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_randist.h>
#include <math.h>
#include "wetrun/stats/halve.h"

enum { HALVINGS = 40, MANY_LAWS = 1000, SHARES = 10 };
static const double least_chance = 1e-6; /* where three points begin at 0, their log does not */

/* Means of equal slices, so that the mean is right and the sd nearly (0.995). */
static void fill_slices(double *slice)
{
    double from = 0; /* density at the slice's lower edge */

    for (int i = 0; i < WR_JUDGED_DAY_SLICES; i++) {
        double edge = gsl_cdf_ugaussian_Pinv((i + 1.0) / WR_JUDGED_DAY_SLICES);
        double to = i + 1 < WR_JUDGED_DAY_SLICES ? gsl_ran_ugaussian_pdf(edge) : 0;
        slice[i] = (from - to) * WR_JUDGED_DAY_SLICES;
        from = to;
    }
}

void wr_judged_day_init(struct wr_judged_day *j, const struct wr_three_point *points)
{
    double low = points->low_min > 0 ? points->low_min : wr_three_point_quantile_min(points, least_chance);

    j->points = *points;
    j->low_log = log(low);
    j->high_log = log(points->high_min);
    for (int i = 0; i <= WR_JUDGED_DAY_POINTS; i++)
        j->below[i] =
            wr_three_point_cdf(points, exp(j->low_log + (j->high_log - j->low_log) * i / WR_JUDGED_DAY_POINTS));
    fill_slices(j->slice);
}

static double chance_below(const struct wr_judged_day *j, double log_min)
{
    double at = (log_min - j->low_log) / (j->high_log - j->low_log) * WR_JUDGED_DAY_POINTS;

    if (at <= 0) return 0;
    if (at >= WR_JUDGED_DAY_POINTS) return 1;
    int i = (int)at;
    return j->below[i] + (at - i) * (j->below[i + 1] - j->below[i]);
}

/* Many laws share the slices out, each taking every tenth, the next one the next ones: as many days as of a tenth of
 * the laws, and of laws as far out as there are any. */
static double chance_on_days(const struct wr_judged_day *j, const struct wr_day_law *law, size_t n, double log_min)
{
    int shares = n < MANY_LAWS ? 1 : SHARES;
    double sum = 0;

    for (size_t d = 0; d < n; d++)
        for (int i = (int)(d % (size_t)shares); i < WR_JUDGED_DAY_SLICES; i += shares)
            sum += chance_below(j, log_min - law[d].mean - law[d].sd * j->slice[i]);
    return sum * shares / (double)n / WR_JUDGED_DAY_SLICES;
}

struct wanted {
    const struct wr_judged_day *j;
    const struct wr_day_law *law;
    size_t n;
    double prob;
};

static bool is_less_likely(void *arg, double log_min)
{
    const struct wanted *w = arg;

    return chance_on_days(w->j, w->law, w->n, log_min) < w->prob;
}

double wr_judged_day_quantile_min(const struct wr_judged_day *j, const struct wr_day_law *law, size_t n, double prob)
{
    double lo = INFINITY, hi = -INFINITY;

    for (size_t d = 0; d < n; d++) {
        double far = law[d].sd * j->slice[WR_JUDGED_DAY_SLICES - 1];
        lo = fmin(lo, j->low_log + law[d].mean - far);
        hi = fmax(hi, j->high_log + law[d].mean + far);
    }
    struct wanted wanted = {j, law, n, prob};
    wr_halve(is_less_likely, &wanted, 0, HALVINGS, &lo, &hi);
    return exp(0.5 * (lo + hi));
}

/* E T^power exp(power b), b normal: in closed form. */
static double moment(double of_three_points, double power, const struct wr_day_law *law, size_t n)
{
    double sum = 0;

    for (size_t d = 0; d < n; d++) sum += exp(power * law[d].mean + 0.5 * power * power * law[d].sd * law[d].sd);
    return of_three_points * sum / (double)n;
}

double wr_judged_day_mean_min(const struct wr_judged_day *j, const struct wr_day_law *law, size_t n)
{
    return moment(wr_three_point_mean_min(&j->points), 1, law, n);
}

double wr_judged_day_sd_min(const struct wr_judged_day *j, const struct wr_day_law *law, size_t n)
{
    double mean = wr_three_point_mean_min(&j->points), sd = wr_three_point_sd_min(&j->points),
           whole = wr_judged_day_mean_min(j, law, n);

    return sqrt(fmax(0, moment(mean * mean + sd * sd, 2, law, n) - whole * whole));
}
