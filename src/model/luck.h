/* Random numbers of one chain: xoshiro256++ (Blackman and Vigna 2021, from memory), normals by a ziggurat of 256
 * layers (Marsaglia and Tsang 2000; layer and place from different bits, as Doornik 2005 asks; from memory). GSL's
 * take four times as long, and a sweep is one fourth random numbers. Private to the room. */
#pragma once

#include <math.h>
#include <stdint.h>
#include <string.h>

enum { WR_ZIGGURAT_LAYERS = 256 };

/* Layer i reaches from 0 to edge[i] and lies between the heights of the density exp(-x^2/2) at edge[i] and edge[i
 * + 1]; the lowest, which holds the tail, is as wide as its area asks. Built once, then only read. */
struct wr_ziggurat {
    double edge[WR_ZIGGURAT_LAYERS + 1], height[WR_ZIGGURAT_LAYERS + 1];
};

void wr_ziggurat_build(struct wr_ziggurat *ziggurat);

struct wr_luck {
    uint64_t s[4];
    const struct wr_ziggurat *ziggurat; /* borrowed */
};

void wr_luck_init(struct wr_luck *luck, const struct wr_ziggurat *ziggurat, uint64_t seed, uint64_t number);
double wr_luck_beside_layer(struct wr_luck *luck, unsigned layer, double x); /* what the inline part leaves over */

static inline uint64_t wr_luck_bits(struct wr_luck *luck)
{
    uint64_t *s = luck->s, sum = s[0] + s[3], bits = (sum << 23 | sum >> 41) + s[0], t = s[1] << 17;

    s[2] ^= s[0];
    s[3] ^= s[1];
    s[1] ^= s[2];
    s[0] ^= s[3];
    s[2] ^= t;
    s[3] = s[3] << 45 | s[3] >> 19;
    return bits;
}

/* Neither 0 nor 1. */
static inline double wr_luck_uniform(struct wr_luck *luck)
{
    return ((double)(wr_luck_bits(luck) >> 12) + 0.5) * 0x1p-52;
}

static inline double wr_luck_normal(struct wr_luck *luck)
{
    uint64_t bits = wr_luck_bits(luck);
    unsigned layer = (unsigned)(bits % WR_ZIGGURAT_LAYERS);
    double x = (double)((int64_t)bits >> 10) * 0x1p-53 * luck->ziggurat->edge[layer];

    if (fabs(x) < luck->ziggurat->edge[layer + 1]) return x;
    struct wr_luck left = *luck; /* so that a caller's own may stay in registers */
    x = wr_luck_beside_layer(&left, layer, x);
    *luck = left;
    return x;
}

double wr_luck_normal_beyond(struct wr_luck *luck, double low); /* for low > 1 */

/* Standard normal given that it lies above `low`: exact, also far out in the tail. From one sd up the tail's method
 * accepts two times in three or more; below that plain rejection is as fast. */
static inline double wr_luck_normal_above(struct wr_luck *luck, double low)
{
    double x;

    if (low > 1.0) {
        struct wr_luck left = *luck;
        x = wr_luck_normal_beyond(&left, low);
        *luck = left;
        return x;
    }
    /* from 0 up of |x|, whose sign bit is cleared: a branch would be mispredicted every third time */
    const uint64_t sign = (uint64_t)(low >= 0.0) << 63;
    do {
        uint64_t bits;
        x = wr_luck_normal(luck);
        memcpy(&bits, &x, sizeof bits);
        bits &= ~sign;
        memcpy(&x, &bits, sizeof x);
    } while (x <= low);
    return x;
}
