/* How the generating numbers of src/sim/lattice.c were found: component by component, from random odd candidates, the
 * one with the least worst-case error of the randomly shifted lattice in a weighted Sobolev space, over all sizes 2^6
 * to 2^16 at once (the lattice is used as a sequence). The criterion and the construction are those of Cools, Kuo and
 * Nuyens 2006, "Constructing embedded lattice rules for multivariate integration" (from memory).
 * Usage: lattice_vector DIMENSIONS; about ten seconds for 400. */
#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>

enum { LEAST = 6, MOST = 16, POINTS = 1 << MOST, CANDIDATES = 400 };

static double product[POINTS], kernel[POINTS];
static uint32_t reversed[POINTS];

static uint64_t next(uint64_t *state)
{
    uint64_t x = *state += UINT64_C(0x9e3779b97f4a7c15);
    x = (x ^ (x >> 30)) * UINT64_C(0xbf58476d1ce4e5b9);
    x = (x ^ (x >> 27)) * UINT64_C(0x94d049bb133111eb);
    return x ^ (x >> 31);
}

/* Sum over sizes n = 2^k of n^2 times the squared error: the sizes weigh alike where the error falls as 1/n^2. */
static double badness(uint32_t z, double weight)
{
    double sum = 0, total = 0;
    int at = 0;

    for (int k = 0; k <= MOST; k++) {
        for (; at < 1 << k; at++)
            sum += product[at] * (1 + weight * kernel[(uint32_t)(reversed[at] * z) & (POINTS - 1)]);
        double n = 1 << k;
        if (k >= LEAST) total += sum * n; /* the terms that all candidates share do not matter */
    }
    return total;
}

int main(int argc, char **argv)
{
    int n_dim = argc > 1 ? atoi(argv[1]) : 400;
    uint64_t state = 2025;

    for (uint32_t i = 0; i < POINTS; i++) {
        double x = i / (double)POINTS;
        uint32_t r = 0;
        for (int b = 0; b < MOST; b++) r |= (i >> b & 1) << (MOST - 1 - b);
        reversed[i] = r;
        product[i] = 1;
        kernel[i] = 0.5 * (x * x - x + 1.0 / 6);
    }
    for (int d = 0; d < n_dim; d++) {
        double weight = 1 / (1 + d / 20.0), least = INFINITY;
        uint32_t best = 1;
        for (int c = 0; c < (d == 0 ? 1 : CANDIDATES); c++) {
            uint32_t z = d == 0 ? 1 : (uint32_t)(next(&state) >> 44) | 1;
            double b = badness(z, weight);
            if (b < least) {
                least = b;
                best = z;
            }
        }
        for (int i = 0; i < POINTS; i++)
            product[i] *= 1 + weight * kernel[(uint32_t)(reversed[i] * best) & (POINTS - 1)];
        printf("%u,%s", best, d % 12 == 11 ? "\n" : " ");
        fflush(stdout);
    }
    printf("\n");
    return 0;
}
