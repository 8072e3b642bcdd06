#include "gain_columns.h"

static struct wr_maybe if_there(bool there, double value)
{
    return there ? wr_known(value) : WR_UNKNOWN;
}

void wr_grid_gain(struct wr_grid *grid, const struct wr_paired *gain)
{
    const bool ends = gain && !gain->no_interval;

    wr_grid_maybe(grid, if_there(gain, gain ? gain->mean : 0));
    wr_grid_maybe(grid, if_there(ends, ends ? gain->lo : 0));
    wr_grid_maybe(grid, if_there(ends, ends ? gain->hi : 0));
}

void wr_grid_gain_errors(struct wr_grid *grid, const struct wr_paired *gain)
{
    const bool ends = gain && !gain->no_interval;

    wr_grid_maybe(grid, if_there(ends, ends ? gain->lo_se : 0));
    wr_grid_maybe(grid, if_there(ends, ends ? gain->hi_se : 0));
}
