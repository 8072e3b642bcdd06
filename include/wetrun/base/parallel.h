/* Independent pieces of work on several threads. Which thread takes which piece is left open, so a piece
 * must write only to its own place; results are then the same for any number of threads. */
#pragma once

#include <stddef.h>

/* Calls work(arg, piece) once for every piece in [0, n_piece), on up to n_thread threads (0: as many as there
 * are processors). Returns when all are done. If threads cannot be started the caller's thread does the work. */
void wr_parallel_for(size_t n_piece, unsigned n_thread, void (*work)(void *arg, size_t piece), void *arg);

/* The same, and tells which share of the pieces is done, from the caller's thread: after each piece of its own, and 1
 * in the end. tell may be NULL. */
void wr_parallel_for_told(size_t n_piece, unsigned n_thread, void (*work)(void *arg, size_t piece), void *arg,
                          void (*tell)(void *tell_arg, double share_done), void *tell_arg);

/* The same, and says which of n_worker workers does a piece, so that each can have room of its own: worker 0 is the
 * caller's thread, and no two pieces are done by one worker at the same time. n_worker is what wr_parallel_workers gave
 * for n_piece; fewer may turn up. */
void wr_parallel_for_worker(size_t n_piece, unsigned n_worker, void (*work)(void *arg, size_t piece, unsigned worker),
                            void *arg, void (*tell)(void *tell_arg, double share_done), void *tell_arg);
unsigned wr_parallel_workers(size_t n_piece, unsigned n_thread);
