#include "sections.h"

#include "wetrun/stats/batch_means.h"

size_t wr_section_of(size_t trial, size_t n_trial, size_t n_draw, size_t n)
{
    size_t n_met = n_draw < n_trial ? n_draw : n_trial; /* draws that the days met */

    return n_met < 4 * n ? wr_batch_of(trial, n_trial, n) : wr_batch_of(trial % n_draw, n_met, n);
}
