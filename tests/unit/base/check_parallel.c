/* Every piece once, whatever the threads, and no worker in two places at a time. */
#include <check.h>
#include <pthread.h>
#include <stdatomic.h>
#include "suites.h"
#include "wetrun/base/parallel.h"

enum { PIECES = 5000, WORKERS = 8 };

struct seen {
    atomic_int done[PIECES], busy[WORKERS], overlap;
    unsigned n_worker, beyond;
};

static void count(void *arg, size_t piece)
{
    struct seen *s = arg;

    atomic_fetch_add(&s->done[piece], 1);
}

static void count_by_worker(void *arg, size_t piece, unsigned worker)
{
    struct seen *s = arg;

    if (worker >= s->n_worker) {
        s->beyond = 1;
        return;
    }
    if (atomic_fetch_add(&s->busy[worker], 1) != 0) atomic_store(&s->overlap, 1);
    atomic_fetch_add(&s->done[piece], 1);
    atomic_fetch_sub(&s->busy[worker], 1);
}

START_TEST(every_piece_is_done_once)
{
    static const size_t n_piece[] = {0, 1, 2, 63, PIECES};
    const unsigned n_thread = (unsigned)_i;

    for (size_t i = 0; i < sizeof n_piece / sizeof *n_piece; i++) {
        struct seen s = {.n_worker = wr_parallel_workers(n_piece[i], n_thread)}, t = {0};
        ck_assert_uint_ge(s.n_worker, 1);
        ck_assert_uint_le(s.n_worker, n_piece[i] > 1 ? n_piece[i] : 1);
        if (n_thread) ck_assert_uint_le(s.n_worker, n_thread);
        wr_parallel_for(n_piece[i], n_thread, count, &t);
        if (s.n_worker <= WORKERS) wr_parallel_for_worker(n_piece[i], s.n_worker, count_by_worker, &s, NULL, NULL);
        for (size_t k = 0; k < PIECES; k++) {
            ck_assert_int_eq(t.done[k], k < n_piece[i]);
            if (s.n_worker <= WORKERS) ck_assert_int_eq(s.done[k], k < n_piece[i]);
        }
        ck_assert(!s.overlap && !s.beyond);
    }
}
END_TEST

struct heard { double share; unsigned n; pthread_t thread; };

static void hear(void *arg, double share_done)
{
    struct heard *h = arg;

    ck_assert_double_gt(share_done, h->share);
    ck_assert_double_le(share_done, 1);
    ck_assert(pthread_equal(pthread_self(), h->thread));
    h->share = share_done;
    h->n++;
}

/* To the caller's thread, and by one alone after each piece. */
START_TEST(the_caller_is_told)
{
    struct seen s = {0};
    struct heard alone = {.thread = pthread_self()}, one_of_two = alone;

    wr_parallel_for_told(100, 1, count, &s, hear, &alone);
    ck_assert_uint_eq(alone.n, 100);
    ck_assert_double_eq(alone.share, 1);
    wr_parallel_for_told(100, 2, count, &s, hear, &one_of_two);
    ck_assert_uint_le(one_of_two.n, 100);
    ck_assert_double_eq(one_of_two.share, 1);
}
END_TEST

static void nest(void *arg, size_t piece)
{
    (void)piece;
    wr_parallel_for(10, 2, count, arg);
}

START_TEST(work_may_be_shared_out_again)
{
    struct seen s = {0};

    wr_parallel_for(6, 3, nest, &s);
    for (size_t k = 0; k < 10; k++) ck_assert_int_eq(s.done[k], 6);
}
END_TEST

Suite *suite_parallel(void);
Suite *suite_parallel(void)
{
    Suite *suite = suite_create("parallel");
    TCase *tc = tcase_create("parallel");

    tcase_add_loop_test(tc, every_piece_is_done_once, 0, 6);
    tcase_add_test(tc, the_caller_is_told);
    tcase_add_test(tc, work_may_be_shared_out_again);
    suite_add_tcase(suite, tc);
    return suite;
}
