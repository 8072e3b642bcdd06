#include "log_phi.h"

#include <gsl/gsl_math.h>
#include <gsl/gsl_sf_erf.h>
#include <math.h>

double wr_log_phi_exact(double z)
{
    gsl_sf_result r;

    if (z > WR_LOG_PHI_HIGH) return -0.5 * erfc(z * M_SQRT1_2); /* log(1 - t) = -t: t is below 1e-15 here */
    gsl_sf_log_erfc_e(-z * M_SQRT1_2, &r);
    return r.val - M_LN2;
}

/* cosine[i][j] = cos(j angle_i), at the angles of the Chebyshev points: the same for every piece. */
struct chebyshev { double cosine[WR_LOG_PHI_TERMS][WR_LOG_PHI_TERMS]; };

static struct chebyshev chebyshev_points(void)
{
    struct chebyshev c;

    for (int i = 0; i < WR_LOG_PHI_TERMS; i++)
        for (int j = 0; j < WR_LOG_PHI_TERMS; j++) c.cosine[i][j] = cos(j * (M_PI * (i + 0.5) / WR_LOG_PHI_TERMS));
    return c;
}

/* Polynomial through the Chebyshev points of one piece, turned into powers of x in [-1/2, 1/2]. */
static void interpolate(const struct chebyshev *c, double middle, double coef[WR_LOG_PHI_TERMS])
{
    enum { N = WR_LOG_PHI_TERMS };
    double cheb[N] = {0}, before[N] = {0}, now[N] = {0};

    for (int i = 0; i < N; i++) {
        double value = wr_log_phi_exact(middle + 0.5 * c->cosine[i][1] / WR_LOG_PHI_PER_UNIT);
        for (int j = 0; j < N; j++) cheb[j] += (j == 0 ? 1.0 : 2.0) / N * value * c->cosine[i][j];
    }
    /* T[j+1](2x) = 4x T[j] - T[j-1], written out in powers of x */
    before[0] = 1.0;
    now[1] = 2.0;
    for (int i = 0; i < N; i++) coef[i] = cheb[0] * before[i] + cheb[1] * now[i];
    for (int j = 2; j < N; j++) {
        double next[N];
        for (int i = 0; i < N; i++) next[i] = (i > 0 ? 4.0 * now[i - 1] : 0.0) - before[i];
        for (int i = 0; i < N; i++) {
            coef[i] += cheb[j] * next[i];
            before[i] = now[i];
            now[i] = next[i];
        }
    }
}

void wr_log_phi_build(struct wr_log_phi *table)
{
    const struct chebyshev c = chebyshev_points();

    for (int p = 0; p < WR_LOG_PHI_PIECES; p++)
        interpolate(&c, WR_LOG_PHI_LOW + (p + 0.5) / WR_LOG_PHI_PER_UNIT, table->coef[p]);
}
