/* One who flies in several excursions is one person: in each simulated series their effect is one draw. Every campaign
 * is fitted by itself, so draw j of one fit knows nothing of draw j of another; joined, it does.
 * Definition. q are the effects of the people whom two campaigns share, with means m and covariances S over the draws
 * of each fit. Draw j of the joined effects is T(draw j of the other), where
 *     T(x) = m + A (x - m_other),  A = R^-1 (R S R)^(1/2) R^-1,  R = S_other^(1/2)
 * takes the one normal law to the other by the least way (Olkin and Pukelsheim 1982, from memory): each campaign keeps
 * what its rehearsals say of its people, and one who is quick in draw j is quick in both, by the same place in the
 * distribution; where the campaigns say the same, the very same number. What else the fit says goes along: medians and
 * the effects of other people move by their regression on q, so that their means and covariances with it stay. An
 * effect is against the others of its campaign: two campaigns of different people set its zero differently. */
#pragma once

#include "wetrun/model/durations.h"

/* person[n_shared]: of d, each once; as[i]: [d->n_draw] the draws of that person elsewhere. Where these draws or d's
 * do not differ (one draw, or no spread) d stays as it is. */
void wr_people_join(struct wr_durations *d, const size_t *person, const double *const *as, size_t n_shared);
