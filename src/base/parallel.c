#include "wetrun/base/parallel.h"

#include <pthread.h>
#include <stdatomic.h>
#include <unistd.h>

enum { MOST_THREADS = 64 };

struct job {
    atomic_size_t next;
    size_t n_piece;
    void (*work)(void *arg, size_t piece);
    void *arg;
};

static void *run(void *p)
{
    struct job *job = p;

    for (;;) {
        size_t piece = atomic_fetch_add_explicit(&job->next, 1, memory_order_relaxed);
        if (piece >= job->n_piece) return NULL;
        job->work(job->arg, piece);
    }
}

void wr_parallel_for(size_t n_piece, unsigned n_thread, void (*work)(void *arg, size_t piece), void *arg)
{
    struct job job = {.n_piece = n_piece, .work = work, .arg = arg};
    pthread_t thread[MOST_THREADS];
    unsigned started = 0;

    if (n_thread == 0) {
        long n = sysconf(_SC_NPROCESSORS_ONLN);
        n_thread = n > 0 ? (unsigned)n : 1;
    }
    if (n_thread > MOST_THREADS) n_thread = MOST_THREADS;
    if (n_thread > n_piece) n_thread = (unsigned)n_piece;
    while (started + 1 < n_thread && pthread_create(&thread[started], NULL, run, &job) == 0) started++;
    run(&job);
    while (started > 0) pthread_join(thread[--started], NULL);
}
