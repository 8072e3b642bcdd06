/* In which lanes the work of a run was done. The crew column says so; a lane in which the plan and that column differ counts
 * as long as it did nothing else at that time. Without a crew the plan says so, unless the lane was at other work; then,
 * and for work that only the log knows, it is the one lane that was free, if there is just one. */
#ifndef WETRUN_TIMING_LANES_H
#define WETRUN_TIMING_LANES_H

#include "measure.h"

/* Puts the steps of run r into j->own, sorted, with the lanes that j->lanes gives. */
void lanes_take_pieces(struct job *j, size_t r);
/* Turns the lanes that the crew column of run r names into those that it was done in. */
void lanes_settle(struct job *j, size_t r);
/* Does the piece lie on top of other work of that lane, with half of the shorter of the two or more? */
bool lanes_are_busy(const struct own_order *own, const struct piece *p, uint32_t lanes);

#endif
