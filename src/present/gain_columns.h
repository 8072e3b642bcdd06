/* A gain in columns for machines; no ends where it has no interval. NULL: there is no gain. */
#pragma once

#include "wetrun/present/grid.h"
#include "wetrun/sim/pairing.h"

void wr_grid_gain(struct wr_grid *grid, const struct wr_paired *gain);      /* mean, lo, hi */
void wr_grid_gain_errors(struct wr_grid *grid, const struct wr_paired *gain); /* Monte Carlo errors of lo and hi */
