/* What earlier campaigns taught: every prior beside the default, who speaks against it, the forecast with and
 * without. */
#pragma once

#include "wetrun/base/str.h"
#include "wetrun/model/earlier.h"
#include "wetrun/present/grid.h"
#include "wetrun/sim/forecast.h"

struct wr_earlier_result { /* all borrowed */
    const struct wr_earlier *earlier;
    const struct wr_priors *usual;       /* the default priors */
    const struct wr_forecast *without;   /* NULL: no forecast was asked for */
};

/* One row per parameter: middle and 90 % range of the default prior and of the one taught, and who differs. */
void wr_grid_of_earlier(const struct wr_earlier_result *result, struct wr_grid *grid);
/* "The priors rest on two earlier campaigns (petrel-5, petrel-6). Without them 12 of 100 would go over, half of the
 * finishes come by 6:02 and 80 of 100 between 5:40 and 6:31; with them …" */
void wr_earlier_sentence(const struct wr_earlier_result *result, const struct wr_forecast *with, struct wr_str *out);
