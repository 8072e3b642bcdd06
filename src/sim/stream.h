/* Random streams, one per (seed, identity, chunk of trials): what a task draws in trial t depends on nothing but the
 * seed, its own identity and t. Dropping or reordering other tasks, more trials or more threads change none of it.
 *
 * A stream is WR_LANES xoshiro128++ generators side by side (Blackman and Vigna, "Scrambled linear pseudorandom number
 * generators", 2021), each seeded with splitmix64 output (Steele, Lea and Flood, 2014). One step gives one 32-bit
 * number per lane; element l of step m is written x[m][l] below.
 *
 * From numbers to trials (t counts from the start of the chunk):
 *   wr_row_uniform  trial 16 m + l takes x[m][l]
 *   wr_row_normal   one normal a trial: trials 32 m + l and 32 m + 16 + l take the first and the second normal made of
 *                   (x[2 m][l], x[2 m + 1][l])
 *   wr_row_pair     two normals a trial: trial 16 m + l takes both normals made of (x[2 m][l], x[2 m + 1][l])
 * Two normals from numbers (x, y) (Box and Muller 1958):
 *   u = (x >> 1) 2^-31 + 2^-32, r = sqrt(-2 ln u), a = pi/4 * (signed)(y << 2) 2^-31
 *   c = cos a, negated if bit 31 of y is set; s = sin a; swapped if bit 30 of y is set; the normals are r c, r s. */
#pragma once

#include <stdint.h>
#include "wetrun/base/mix.h"

enum { WR_LANES = 16, WR_CHUNK = 16384 }; /* trials per chunk; a multiple of 2 WR_LANES */

/* Identities that are not tasks'. Task identities are hashes of names and do not meet these but by a 2^-64 chance. */
#define WR_STREAM_RUN_EFFECT UINT64_C(0x72756e2d65666665)
#define WR_STREAM_LINE_UP    UINT64_C(0x6c696e652d757021)
#define WR_STREAM_NEW_PERSON UINT64_C(0x6e65772d70657273) /* + lane */

struct wr_stream {
    uint32_t s[4][WR_LANES];
};

static inline void wr_stream_seed(struct wr_stream *stream, uint64_t seed, uint64_t identity, uint64_t chunk)
{
    uint64_t state = wr_mix3(seed, identity, chunk);

    for (unsigned l = 0; l < WR_LANES; l++) {
        for (unsigned half = 0; half < 2; half++) {
            uint64_t x = wr_mix(state);
            state += WR_MIX_STEP;
            stream->s[2 * half][l] = (uint32_t)x;
            stream->s[2 * half + 1][l] = (uint32_t)(x >> 32);
        }
        /* the all-zero state is the one that xoshiro cannot leave */
        if ((stream->s[0][l] | stream->s[1][l] | stream->s[2][l] | stream->s[3][l]) == 0) stream->s[0][l] = 1;
    }
}
