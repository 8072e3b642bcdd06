/* A row typed under another run: a task twice in one run, one of the two on top of other work or far outside the run,
 * and not at all in another. Which of the two is right cannot be told, so its time is unknown in both. */
#pragma once

#include "measure.h"

/* Marks not_of_run for the work of run r, whose pieces are in j->own. */
void misplaced_find(struct measuring *j, size_t r);
