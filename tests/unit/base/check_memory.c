/* Guarded calls: what cannot be had ends the call with a status, on any thread, and its memory goes with the pool. That
 * nothing is left behind is what the sanitizer's leak check holds. */
#include <check.h>
#include <signal.h>
#include <stdatomic.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include "suites.h"
#include "wetrun/base/memory.h"
#include "wetrun/base/parallel.h"
#include "wetrun/base/str.h"

static const size_t too_much = SIZE_MAX / 2 + 1; /* no allocator gives more than PTRDIFF_MAX */

struct held { char *kept; size_t n_done; };

static enum wr_status takes_too_much(void *arg, struct wr_error *err)
{
    struct held *h = arg;

    (void)err;
    h->kept = wr_alloc(100, 1);
    for (int i = 0; i < 50; i++) (void)!wr_alloc(1000, 1);
    h->n_done++;
    (void)!wr_alloc(too_much, 1);
    h->n_done++;
    return WR_OK;
}

START_TEST(no_memory_is_a_status)
{
    struct wr_pool *pool = wr_pool_new();
    struct held h = {0};
    struct wr_error err = {0};

    ck_assert(!wr_is_guarded());
    ck_assert_int_eq(wr_guard(pool, takes_too_much, &h, &err), WR_E_MEMORY);
    ck_assert_int_eq(err.status, WR_E_MEMORY);
    ck_assert(strstr(err.text, "out of memory") && h.n_done == 1 && !wr_is_guarded());
    ck_assert_int_eq(wr_guard(pool, takes_too_much, &h, NULL), WR_E_MEMORY); /* the guard can be used again */
    wr_pool_release(pool);
}
END_TEST

static enum wr_status fails_inside(void *arg, struct wr_error *err)
{
    struct wr_pool *inner = wr_pool_new();
    enum wr_status status = wr_guard(inner, takes_too_much, arg, err);

    wr_pool_release(inner);
    ck_assert_int_eq(status, WR_E_MEMORY);
    ck_assert(wr_is_guarded());
    return WR_E_TOO_FEW; /* a status of its own goes through as it is */
}

START_TEST(guards_stand_inside_one_another)
{
    struct wr_pool *pool = wr_pool_new();
    struct held h = {0};
    struct wr_error err;

    ck_assert_int_eq(wr_guard(pool, fails_inside, &h, &err), WR_E_TOO_FEW);
    wr_pool_release(pool);
}
END_TEST

static enum wr_status breaks_a_promise(void *arg, struct wr_error *err)
{
    (void)err;
    WR_BUG_IF(arg == NULL);
    return WR_OK;
}

START_TEST(a_broken_promise_is_a_status_too)
{
    struct wr_error err;

    ck_assert_int_eq(wr_guard(NULL, breaks_a_promise, NULL, &err), WR_E_BUG);
    ck_assert(strstr(err.text, "check_memory.c") && strstr(err.text, "arg == NULL"));
}
END_TEST

START_TEST(without_a_guard_there_is_nowhere_to_go)
{
    (void)!wr_alloc(too_much, 1);
}
END_TEST

/* ---- blocks ---- */

static enum wr_status grows_what_is_not_its_own(void *arg, struct wr_error *err)
{
    struct wr_str *outside = arg;

    (void)err;
    for (int i = 0; i < 3000; i++) wr_str_add(outside, "longer ");
    return WR_OK;
}

START_TEST(a_block_stays_whose_it_was)
{
    struct wr_pool *pool = wr_pool_new();
    struct wr_str s = {0};

    wr_str_add(&s, "begun outside ");
    ck_assert_int_eq(wr_guard(pool, grows_what_is_not_its_own, &s, NULL), WR_OK);
    wr_pool_release(pool); /* takes nothing of s along */
    ck_assert_uint_eq(s.len, strlen("begun outside ") + 3000 * strlen("longer "));
    wr_str_release(&s);
}
END_TEST

START_TEST(blocks_are_zeroed_aligned_and_grow)
{
    unsigned char *p = wr_alloc(10, 3);

    for (int i = 0; i < 30; i++) ck_assert(p[i] == 0);
    ck_assert_uint_eq((uintptr_t)p % _Alignof(max_align_t), 0);
    memset(p, 7, 30);
    p = wr_realloc(p, 3000, 1);
    for (int i = 0; i < 30; i++) ck_assert(p[i] == 7);
    wr_free(p);
    wr_free(NULL);
    p = wr_realloc(NULL, 0, 0);
    ck_assert_ptr_nonnull(p);
    wr_free(p);
}
END_TEST

START_TEST(arrays_and_arenas)
{
    struct wr_arena arena = {0};
    int *list = NULL;
    size_t n = 0, room = 0;
    const char *word[300];

    for (int i = 0; i < 1000; i++) *WR_PUSH(list, n, room) = i;
    for (int i = 0; i < 1000; i++) ck_assert_int_eq(list[i], i);
    ck_assert(n == 1000 && room >= n);
    wr_free(list);
    for (size_t i = 0; i < 300; i++) {
        word[i] = wr_arena_copy(&arena, "a text, not its end", i % 20);
        ck_assert_uint_eq((uintptr_t)wr_arena_alloc(&arena, i, 7) % _Alignof(max_align_t), 0);
    }
    for (size_t i = 0; i < 300; i++)
        ck_assert(strlen(word[i]) == i % 20 && strncmp(word[i], "a text, not its end", i % 20) == 0);
    wr_arena_release(&arena);
}
END_TEST

/* ---- threads ---- */

enum { PIECES = 5000 };
struct shared { atomic_size_t n_done; size_t breaks_at; };

static void work(void *arg, size_t piece)
{
    struct shared *s = arg;
    char *mine = wr_alloc(100, 1), *left_behind = wr_alloc(10, 1);

    (void)left_behind;
    if (piece == s->breaks_at) (void)!wr_alloc(too_much, 1);
    wr_free(mine);
    atomic_fetch_add(&s->n_done, 1);
}

static enum wr_status works_in_parallel(void *arg, struct wr_error *err)
{
    (void)err;
    wr_parallel_for(PIECES, 4, work, arg);
    return WR_OK;
}

START_TEST(a_thread_hands_its_trouble_over)
{
    static const size_t where[] = {0, 1, 17, PIECES - 1};
    struct wr_error err;

    for (size_t i = 0; i < sizeof where / sizeof *where; i++) {
        struct wr_pool *pool = wr_pool_new();
        struct shared s = {.breaks_at = where[i]};
        ck_assert_int_eq(wr_guard(pool, works_in_parallel, &s, &err), WR_E_MEMORY);
        ck_assert(strstr(err.text, "out of memory") && atomic_load(&s.n_done) < PIECES);
        wr_pool_release(pool);
    }
    struct wr_pool *pool = wr_pool_new();
    struct shared s = {.breaks_at = SIZE_MAX};
    ck_assert_int_eq(wr_guard(pool, works_in_parallel, &s, &err), WR_OK);
    ck_assert_uint_eq(atomic_load(&s.n_done), PIECES);
    wr_pool_release(pool);
}
END_TEST

Suite *suite_memory(void);
Suite *suite_memory(void)
{
    Suite *suite = suite_create("memory");
    TCase *tc = tcase_create("memory");

    tcase_add_test(tc, no_memory_is_a_status);
    tcase_add_test(tc, guards_stand_inside_one_another);
    tcase_add_test(tc, a_broken_promise_is_a_status_too);
    tcase_add_test(tc, a_block_stays_whose_it_was);
    tcase_add_test(tc, blocks_are_zeroed_aligned_and_grow);
    tcase_add_test(tc, arrays_and_arenas);
    tcase_add_test(tc, a_thread_hands_its_trouble_over);
    const char *fork = getenv("CK_FORK");
    if (!fork || strcmp(fork, "no") != 0)
        tcase_add_test_raise_signal(tc, without_a_guard_there_is_nowhere_to_go, SIGABRT);
    suite_add_tcase(suite, tc);
    return suite;
}
