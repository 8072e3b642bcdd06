/* A walk through who waits for whom: node k waits for on[i], first[k] <= i < first[k + 1]. */
#pragma once

#include <stddef.h>

/* path[n]: each waits for the next, the last for the first. Borrowed for the call. */
typedef void wr_cycle_fn(void *arg, const size_t *path, size_t n);

/* Starts at the nodes in turn and follows each wait in turn. order[n], or NULL: a node stands after all it waits for,
 * those that close a cycle left out. Calls on_cycle once for every wait that closes a cycle. */
void wr_depth_first(size_t n, const size_t *first, const size_t *on, size_t *order, wr_cycle_fn *on_cycle, void *arg);
