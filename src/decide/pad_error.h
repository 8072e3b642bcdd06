/* How far pads would move if draws and trials were taken again. Private to the room. */
#pragma once

#include "wetrun/decide/pad.h"

/* Pads from these days, without errors. like: NULL, or pads of the same timeline that say which tasks wait. */
void wr_pad_of_days(struct wr_pad *pad, const struct wr_basis *basis, const struct wr_scenarios *days,
                    double confidence, const struct wr_pad *like, unsigned n_thread);

/* Fills in the errors: the days are cut into sections, each with consecutive draws of a chain (stats/batch_means.h says
 * why), padded each for itself; how far the sections' numbers lie apart, over the root of their number, is the error of
 * the whole (sectioning: Asmussen and Glynn 2007, III.4, from memory). It holds for what is no mean, as a pad. */
void wr_pad_find_errors(struct wr_pad *pad, const struct wr_basis *basis, const struct wr_scenarios *days,
                        unsigned n_thread);
