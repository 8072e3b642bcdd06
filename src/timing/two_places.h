/* Somebody at two tasks at once, as the log has it: a slip in a time, or tasks that go on side by side. */
#pragma once

#include "measure.h"

/* A finding "two-places" for the longest such time of each run; what is usual in these runs is none. */
void two_places_find(const struct measuring *j);
