#include "wetrun/base/parallel.h"

#include <pthread.h>
#include <stdatomic.h>
#include <unistd.h>
#include "wetrun/base/memory.h"

enum { MOST_THREADS = 64 };

struct job {
    atomic_size_t next;
    atomic_uint n_worker; /* workers that have begun; the caller is worker 0 and counted from the start */
    atomic_size_t n_done;
    size_t n_piece;
    void (*work)(void *arg, size_t piece, unsigned worker);
    void *arg;
    void (*tell)(void *tell_arg, double share_done);
    void *tell_arg;
    int is_guarded;
    struct wr_pool *pool; /* the caller's */
    atomic_int trouble;   /* not 0: a worker gave up, the others stop at the next piece */
    struct wr_error why;
};

static void do_pieces(struct job *job, unsigned worker)
{
    while (!atomic_load_explicit(&job->trouble, memory_order_relaxed)) {
        size_t piece = atomic_fetch_add_explicit(&job->next, 1, memory_order_relaxed);
        if (piece >= job->n_piece) return;
        job->work(job->arg, piece, worker);
        size_t n_done = atomic_fetch_add_explicit(&job->n_done, 1, memory_order_relaxed) + 1;
        if (worker == 0 && job->tell && n_done < job->n_piece)
            job->tell(job->tell_arg, (double)n_done / (double)job->n_piece);
    }
}

struct worker { struct job *job; unsigned number; };

static enum wr_status run_guarded(void *arg, struct wr_error *err)
{
    struct worker *w = arg;

    (void)err;
    do_pieces(w->job, w->number);
    return WR_OK;
}

/* A thread cannot leave the caller's guard: it has one of its own, on the same pool, and hands over what ended it. */
static void work_guarded(struct job *job, unsigned number)
{
    struct worker w = {job, number};
    struct wr_error why;
    int none = 0;

    if (wr_guard(job->pool, run_guarded, &w, &why) == WR_OK) return;
    if (atomic_compare_exchange_strong(&job->trouble, &none, 1)) job->why = why;
}

static void *run_helper(void *arg)
{
    struct job *job = arg;
    unsigned number = atomic_fetch_add_explicit(&job->n_worker, 1, memory_order_relaxed);

    if (job->is_guarded) work_guarded(job, number);
    else do_pieces(job, number);
    return NULL;
}

unsigned wr_parallel_workers(size_t n_piece, unsigned n_thread)
{
    if (n_thread == 0) {
        long n = sysconf(_SC_NPROCESSORS_ONLN);
        n_thread = n > 0 ? (unsigned)n : 1; /* untested: every Linux knows how many it has */
    }
    if (n_thread > MOST_THREADS) n_thread = MOST_THREADS;
    if (n_thread > n_piece) n_thread = n_piece > 0 ? (unsigned)n_piece : 1;
    return n_thread;
}

void wr_parallel_for_worker(size_t n_piece, unsigned n_worker, void (*work)(void *arg, size_t piece, unsigned worker),
                            void *arg, void (*tell)(void *tell_arg, double share_done), void *tell_arg)
{
    struct job job = {.n_worker = 1, .n_piece = n_piece, .work = work, .arg = arg, .tell = tell, .tell_arg = tell_arg,
                      .is_guarded = wr_is_guarded(), .pool = wr_pool_in_use()};
    pthread_t thread[MOST_THREADS];
    unsigned started = 0;

    while (started + 1 < n_worker && started + 1 < MOST_THREADS
           && pthread_create(&thread[started], NULL, run_helper, &job) == 0)
        started++;
    if (job.is_guarded) work_guarded(&job, 0);
    else do_pieces(&job, 0);
    while (started > 0) pthread_join(thread[--started], NULL);
    if (atomic_load(&job.trouble)) wr_give_up(job.why.status, "%s", job.why.text);
    if (tell && n_piece) tell(tell_arg, 1);
}

struct plain_work {
    void (*work)(void *arg, size_t piece);
    void *arg;
};

static void do_plain(void *arg, size_t piece, unsigned worker)
{
    const struct plain_work *plain = arg;

    (void)worker;
    plain->work(plain->arg, piece);
}

void wr_parallel_for_told(size_t n_piece, unsigned n_thread, void (*work)(void *arg, size_t piece), void *arg,
                          void (*tell)(void *tell_arg, double share_done), void *tell_arg)
{
    struct plain_work plain = {work, arg};

    wr_parallel_for_worker(n_piece, wr_parallel_workers(n_piece, n_thread), do_plain, &plain, tell, tell_arg);
}

void wr_parallel_for(size_t n_piece, unsigned n_thread, void (*work)(void *arg, size_t piece), void *arg)
{
    wr_parallel_for_told(n_piece, n_thread, work, arg, NULL, NULL);
}
