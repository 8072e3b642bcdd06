/* A lattice for integration over many normal scores at once: point i has in dimension d the coordinate
 * reversed(i) * generator(d) mod 2^32, over 2^32, plus a random shift. Any 2^k consecutive points that begin at a
 * multiple of 2^k are a shifted lattice rule of their own, so the points can be shared out between posterior draws. */
#pragma once

#include <stddef.h>
#include <stdint.h>

/* The first dimensions have the best numbers; give them to what matters most. */
uint32_t wr_lattice_generator(size_t dimension);
uint32_t wr_lattice_index(uint32_t point); /* its bits in reverse order */
