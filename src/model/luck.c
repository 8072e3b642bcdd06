#include "luck.h"

#include "wetrun/base/mix.h"

static const double last_edge = 3.6541528853610088; /* where 256 layers of equal area end at 0 */

static double density(double x)
{
    return exp(-0.5 * x * x);
}

void wr_ziggurat_build(struct wr_ziggurat *z)
{
    enum { N = WR_ZIGGURAT_LAYERS };
    const double half_pi = 1.57079632679489661923;
    double area = last_edge * density(last_edge) + sqrt(half_pi) * erfc(last_edge * sqrt(0.5));

    z->edge[0] = area / density(last_edge);
    z->edge[1] = last_edge;
    for (int i = 1; i + 1 < N; i++) z->edge[i + 1] = sqrt(-2.0 * log(area / z->edge[i] + density(z->edge[i])));
    z->edge[N] = 0.0;
    for (int i = 0; i <= N; i++) z->height[i] = density(z->edge[i]);
}

void wr_luck_init(struct wr_luck *luck, const struct wr_ziggurat *ziggurat, uint64_t seed, uint64_t number)
{
    luck->ziggurat = ziggurat;
    for (uint64_t i = 0; i < 4; i++) luck->s[i] = wr_mix3(seed, number, i);
    luck->s[0] |= (luck->s[0] | luck->s[1] | luck->s[2] | luck->s[3]) == 0; /* the state it cannot leave */
}

/* Marsaglia (1964): x^2/2 beyond low^2/2 is exponential, but for the factor low/x. */
double wr_luck_normal_beyond(struct wr_luck *luck, double low)
{
    double x;

    do x = sqrt(low * low - 2.0 * log(wr_luck_uniform(luck)));
    while (wr_luck_uniform(luck) * x > low);
    return x;
}

double wr_luck_beside_layer(struct wr_luck *luck, unsigned layer, double x)
{
    const struct wr_ziggurat *z = luck->ziggurat;

    if (layer == 0) return copysign(wr_luck_normal_beyond(luck, last_edge), x);
    double rise = z->height[layer + 1] - z->height[layer];
    return z->height[layer] + wr_luck_uniform(luck) * rise < density(x) ? x : wr_luck_normal(luck);
}
