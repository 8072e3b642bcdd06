/* In which lanes the work of a run was done. The crew column says so; a lane in which the plan and that column differ
 * counts as long as it did nothing else at that time. Where the column is silent: nameless.h. */
#pragma once

#include "measure.h"

/* Puts the steps of run r into j->own, sorted, with the lanes that j->lanes gives. */
void lanes_take_pieces(struct measuring *j, size_t r);
/* Of the lanes that the crew column names, as long as nothing is settled. */
static inline uint32_t lanes_beyond_doubt(uint32_t logged, uint32_t planned)
{
    return logged & planned ? logged & planned : logged;
}
/* Turns the lanes that the crew column of run r names into those that it was done in. */
void lanes_as_worked(struct measuring *j, size_t r);
/* Other work of those lanes on top of which this work lies, with half of the shorter of two pieces or more; SIZE_MAX:
 * none. */
size_t lanes_other_work(const struct own_order *own, size_t work, uint32_t lanes);
