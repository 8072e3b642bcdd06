/* Hashes that key random streams: neighbouring inputs give unrelated outputs. */
#pragma once

#include <stdint.h>

#define WR_MIX_STEP UINT64_C(0x9e3779b97f4a7c15)

/* Splitmix64: Steele, Lea and Flood (2014), OOPSLA (constants from memory). */
static inline uint64_t wr_mix(uint64_t x)
{
    x += WR_MIX_STEP;
    x = (x ^ (x >> 30)) * UINT64_C(0xbf58476d1ce4e5b9);
    x = (x ^ (x >> 27)) * UINT64_C(0x94d049bb133111eb);
    return x ^ (x >> 31);
}

static inline uint64_t wr_mix3(uint64_t a, uint64_t b, uint64_t c)
{
    return wr_mix(wr_mix(wr_mix(a) ^ b) ^ c);
}

/* FNV-1a over the text, then mixed. */
static inline uint64_t wr_mix_text(const char *text)
{
    uint64_t h = 0xcbf29ce484222325u;

    for (; *text; text++) h = (h ^ (unsigned char)*text) * 0x100000001b3u;
    return wr_mix(h);
}

/* What gsl_rng_set takes: generators look at 32 bits. */
static inline unsigned long wr_gsl_seed(uint64_t seed, uint64_t identity)
{
    return (unsigned long)(wr_mix(wr_mix(seed) ^ identity) >> 32);
}

/* Where a seed has but one use. */
static inline unsigned long wr_gsl_seed_alone(uint64_t seed)
{
    return (unsigned long)(seed ^ seed >> 32);
}
