/* Independent pieces of work on several threads. Which thread takes which piece is left open, so a piece
 * must write only to its own place; results are then the same for any number of threads. */
#ifndef WETRUN_BASE_PARALLEL_H
#define WETRUN_BASE_PARALLEL_H

#include <stddef.h>

/* Calls work(arg, piece) once for every piece in [0, n_piece), on up to n_thread threads (0: as many as there
 * are processors). Returns when all are done. If threads cannot be started the caller's thread does the work. */
void wr_parallel_for(size_t n_piece, unsigned n_thread, void (*work)(void *arg, size_t piece), void *arg);

#endif
