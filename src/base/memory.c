#include "wetrun/base/memory.h"

#include <pthread.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* ---- pools ---- */

struct block { /* before every block */
    _Alignas(max_align_t) struct block *next, *before;
    struct wr_pool *pool; /* NULL: of none */
};

struct wr_pool {
    pthread_mutex_t lock;
    struct block *first;
};

struct guard {
    jmp_buf back;
    struct wr_pool *pool;
    struct guard *outer;
};
/* Per thread, and empty again when the outermost guarded call of the thread is over. */
static _Thread_local struct guard *guard;
static _Thread_local struct wr_error trouble; /* why a guard is being left */

struct wr_pool *wr_pool_new(void)
{
    struct wr_pool *pool = calloc(1, sizeof *pool);

    /* untested: a mutex with the defaults comes about wherever threads do */
    if (pool && pthread_mutex_init(&pool->lock, NULL) != 0) {
        free(pool);
        return NULL;
    }
    return pool;
}

void wr_pool_release(struct wr_pool *pool)
{
    if (!pool) return;
    for (struct block *b = pool->first, *next; b; b = next) {
        next = b->next;
        free(b);
    }
    pthread_mutex_destroy(&pool->lock);
    free(pool);
}

struct wr_pool *wr_pool_in_use(void)
{
    return guard ? guard->pool : NULL;
}

static void join_pool(struct block *b, struct wr_pool *pool)
{
    b->pool = pool;
    if (!pool) return;
    pthread_mutex_lock(&pool->lock);
    b->before = NULL;
    b->next = pool->first;
    if (b->next) b->next->before = b;
    pool->first = b;
    pthread_mutex_unlock(&pool->lock);
}

static void leave_pool(struct block *b)
{
    struct wr_pool *pool = b->pool;

    if (!pool) return;
    pthread_mutex_lock(&pool->lock);
    if (b->next) b->next->before = b->before;
    if (b->before) b->before->next = b->next;
    else pool->first = b->next;
    pthread_mutex_unlock(&pool->lock);
}

/* ---- guards ---- */

enum wr_status wr_guard(struct wr_pool *pool, wr_guarded_fn *call, void *arg, struct wr_error *err)
{
    struct guard here = {.pool = pool, .outer = guard};
    enum wr_status status;

    guard = &here;
    if (setjmp(here.back) == 0) {
        status = call(arg, err);
    } else {
        status = trouble.status;
        if (err) *err = trouble;
    }
    guard = here.outer;
    return status;
}

int wr_is_guarded(void)
{
    return guard != NULL;
}

void wr_give_up(enum wr_status status, const char *fmt, ...)
{
    va_list ap;

    trouble.status = status;
    va_start(ap, fmt);
    vsnprintf(trouble.text, sizeof trouble.text, fmt, ap);
    va_end(ap);
    /* untested: the process ends there, and its counts with it; check_memory looks at how */
    if (!guard) {
        fprintf(stderr, "wetrun: %s\n", trouble.text); /* the last thing that this process does */
        abort();
    }
    longjmp(guard->back, 1);
}

void wr_out_of_memory(size_t count, size_t size)
{
    wr_give_up(WR_E_MEMORY, "out of memory (%zu x %zu bytes)", count, size);
}

/* ---- blocks ---- */

void *wr_alloc(size_t count, size_t size)
{
    size_t bytes;

    if (__builtin_mul_overflow(count, size, &bytes) || bytes > SIZE_MAX / 2) wr_out_of_memory(count, size);
    struct block *b = calloc(1, sizeof *b + bytes);
    if (!b) wr_out_of_memory(count, size);
    join_pool(b, wr_pool_in_use());
    return b + 1;
}

void *wr_realloc(void *old, size_t count, size_t size)
{
    size_t bytes;

    if (!old) return wr_alloc(count, size);
    if (__builtin_mul_overflow(count, size, &bytes) || bytes > SIZE_MAX / 2) wr_out_of_memory(count, size);
    struct block *b = (struct block *)old - 1;
    struct wr_pool *pool = b->pool;
    leave_pool(b); /* others may not touch it while it moves */
    struct block *moved = realloc(b, sizeof *b + bytes);
    join_pool(moved ? moved : b, pool); /* untested: no memory, as below */
    if (!moved) wr_out_of_memory(count, size);
    return moved + 1;
}

void *wr_copy(const void *from, size_t count, size_t size)
{
    if (!from) return NULL;
    void *block = wr_alloc(count, size);
    if (count && size) memcpy(block, from, count * size);
    return block;
}

void wr_free(void *block)
{
    if (!block) return;
    leave_pool((struct block *)block - 1);
    free((struct block *)block - 1);
}

void wr_free_each(void *const *block, size_t n)
{
    for (size_t i = 0; i < n; i++) wr_free(block[i]);
}

void *wr_grow(void *old, size_t *room, size_t size)
{
    size_t more = *room < 8 ? 8 : *room + *room / 2;

    old = wr_realloc(old, more, size);
    *room = more;
    return old;
}

struct wr_arena_block {
    struct wr_arena_block *next;
    size_t used, size;
    _Alignas(max_align_t) unsigned char byte[];
};

void *wr_arena_alloc(struct wr_arena *arena, size_t count, size_t size)
{
    const size_t align = _Alignof(max_align_t);
    size_t bytes;

    if (__builtin_mul_overflow(count, size, &bytes) || bytes > SIZE_MAX / 2) wr_out_of_memory(count, size);
    bytes = (bytes + align - 1) / align * align;
    struct wr_arena_block *b = arena->block;
    if (!b || b->size - b->used < bytes) {
        size_t room = bytes > 65536 ? bytes : 65536;
        b = wr_alloc(1, sizeof *b + room);
        b->size = room;
        b->next = arena->block;
        arena->block = b;
    }
    void *p = b->byte + b->used;
    b->used += bytes;
    return p;
}

char *wr_arena_copy(struct wr_arena *arena, const char *bytes, size_t n)
{
    char *p = wr_arena_alloc(arena, n + 1, 1);

    if (n) memcpy(p, bytes, n);
    return p;
}

void wr_arena_release(struct wr_arena *arena)
{
    for (struct wr_arena_block *b = arena->block, *next; b; b = next) {
        next = b->next;
        wr_free(b);
    }
    arena->block = NULL;
}
