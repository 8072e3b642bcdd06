/* Parts of the simulated days from whose numbers an error is told: days of posterior draws that follow each other in
 * the chains stand together, so that what draws add to the error is in it. */
#pragma once

#include <stddef.h>

/* Which of n parts the day of a trial is in; trial i belongs to draw i mod n_draw. Where the draws are too few to
 * differ, by trial, which then are as good as independent. */
size_t wr_section_of(size_t trial, size_t n_trial, size_t n_draw, size_t n);
