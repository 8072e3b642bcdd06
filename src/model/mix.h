/* Hashes that key random streams: neighbouring inputs give unrelated outputs. */
#ifndef WETRUN_MODEL_MIX_H
#define WETRUN_MODEL_MIX_H

#include <stdint.h>

/* Finaliser of splitmix64: Steele, Lea and Flood (2014), OOPSLA (constants from memory). */
static inline uint64_t wr_mix(uint64_t x)
{
    x += 0x9e3779b97f4a7c15u;
    x = (x ^ (x >> 30)) * 0xbf58476d1ce4e5b9u;
    x = (x ^ (x >> 27)) * 0x94d049bb133111ebu;
    return x ^ (x >> 31);
}

/* FNV-1a over the text, then mixed. */
static inline uint64_t wr_mix_text(const char *text)
{
    uint64_t h = 0xcbf29ce484222325u;

    for (; *text; text++) h = (h ^ (unsigned char)*text) * 0x100000001b3u;
    return wr_mix(h);
}

/* What gsl_rng_set takes: generators look at 32 bits. */
static inline unsigned long wr_stream_seed(uint64_t seed, uint64_t stream)
{
    return (unsigned long)(wr_mix(wr_mix(seed) ^ stream) >> 32);
}

#endif
