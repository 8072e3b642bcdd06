#include "wetrun/stats/proportion.h"

#include <gsl/gsl_cdf.h>
#include <math.h>
#include "wetrun/base/error.h"
#include "wetrun/stats/special.h"

static void check(size_t hits, size_t n, double level)
{
    WR_BUG_IF(n == 0 || hits > n || !(level > 0 && level < 1));
}

struct wr_interval wr_wilson_interval(size_t hits, size_t n, double level)
{
    check(hits, n, level);
    double z = wr_normal_quantile(0.5 + 0.5 * level), m = (double)n, p = (double)hits / m, zz = z * z / m;
    double centre = (p + 0.5 * zz) / (1 + zz), half = sqrt(zz * (p * (1 - p) + 0.25 * zz)) / (1 + zz);
    /* at the ends the formula gives 0 and 1 but for rounding */
    return (struct wr_interval){true, hits == 0 ? 0 : centre - half, hits == n ? 1 : centre + half};
}

struct wr_interval wr_clopper_pearson_interval(size_t hits, size_t n, double level)
{
    check(hits, n, level);
    double tail = 0.5 - 0.5 * level, x = (double)hits, m = (double)n;
    return (struct wr_interval){true, hits == 0 ? 0 : wr_beta_quantile(tail, x, m - x + 1),
                                hits == n ? 1 : wr_beta_quantile(1 - tail, x + 1, m - x)};
}

double wr_binomial_at_most(size_t hits, size_t n, double prob)
{
    WR_BUG_IF(!(prob >= 0 && prob <= 1));
    if (hits >= n) return 1;
    return gsl_cdf_beta_Q(prob, (double)hits + 1, (double)(n - hits)); /* sums without overflow for any n */
}
