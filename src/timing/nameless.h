/* Work of which no row names a crew. The plan says in which lanes it was done, unless those lanes were at other work in
 * most
 * runs: then the plan was changed since. It was done in the one lane that was free in every run, if there is just one
 * and the other work has none; else nobody can tell, and it has no lane. */
#pragma once

#include "measure.h"

/* Fills j->lanes where the crew column is silent, for all runs, and reports. Work that other rows name a crew for is
 * done in those lanes throughout. */
void nameless_find_lanes(struct measuring *j);
