/* Memory: heap blocks whose size cannot overflow, a growable array, an arena for text and records, and guarded calls.
 * Nobody checks for NULL: a block that cannot be had ends the guarded call that is under way with WR_E_MEMORY. */
#pragma once

#include <stddef.h>
#include <string.h>
#include "wetrun/base/error.h"

void *wr_alloc(size_t count, size_t size);              /* zeroed; count or size 0 gives a pointer to free */
void *wr_realloc(void *old, size_t count, size_t size); /* the new part is not zeroed */
/* A block of its own with the same bytes; NULL: NULL. */
#define WR_COPY(from, count) wr_copy((from), (count), sizeof *(from))
void *wr_copy(const void *from, size_t count, size_t size);
void wr_free(void *block);                              /* NULL: nothing */
/* Several of them. */
#define WR_FREE(...) wr_free_each((void *const[]){__VA_ARGS__}, sizeof(void *const[]){__VA_ARGS__} / sizeof(void *))
void wr_free_each(void *const *block, size_t n);
/* Freed at the end of the block in which it is declared, on whatever way that is left: WR_SCOPED double *x = …;
 * what has a function of its own for that: WR_RELEASED_BY(wr_arena_release) struct wr_arena text = {0}; */
#define WR_RELEASED_BY(release) __attribute__((cleanup(release)))
#define WR_SCOPED __attribute__((cleanup(wr_free_scoped)))
/* at: where the pointer is, which may stay in a register, since this is inlined. */
__attribute__((always_inline)) static inline void wr_free_scoped(void *at)
{
    void *block;

    memcpy(&block, at, sizeof block);
    wr_free(block);
}

#define WR_NEW(type) ((type *)wr_alloc(1, sizeof(type)))
#define WR_NEW_ARRAY(type, count) ((type *)wr_alloc((count), sizeof(type)))

/* Room for one more element in an array kept as (pointer, count, room); the new element is zeroed and counted.
 *     struct thing *t = WR_PUSH(list->thing, list->n_thing, list->room);  */
#define WR_PUSH(ptr, count, room)                                                                                      \
    ((ptr) = (count) == (room) ? wr_grow((ptr), &(room), sizeof *(ptr)) : (ptr),                                       \
     __builtin_memset(&(ptr)[count], 0, sizeof *(ptr)), &(ptr)[(count)++])
void *wr_grow(void *old, size_t *room, size_t size);

/* An arena: many small pieces, released together. */
struct wr_arena {
    struct wr_arena_block *block; /* newest first; start as {0} */
};
void *wr_arena_alloc(struct wr_arena *arena, size_t count, size_t size); /* zeroed, aligned for any type */
char *wr_arena_copy(struct wr_arena *arena, const char *bytes, size_t n); /* NUL-terminated copy */
void wr_arena_release(struct wr_arena *arena);

/* ---- guarded calls ----
 * Inside wr_guard every block belongs to the pool until it is freed, whichever thread took it (base/parallel.h takes
 * the guard along). Memory that cannot be had, or a broken promise (WR_BUG_IF), leaves the call at once: wr_guard
 * returns WR_E_MEMORY or WR_E_BUG, and whoever owns the pool releases it with all that the call held. What is not
 * memory (a file, a child process) must not be held across an allocation, but inside a guard of its own. Outside of any
 * guard there is nowhere to return to: the process aborts. */
struct wr_pool;
struct wr_pool *wr_pool_new(void); /* NULL: no memory for it */
void wr_pool_release(struct wr_pool *pool); /* NULL: nothing */
struct wr_pool *wr_pool_in_use(void); /* of the guard that this thread is in; NULL: none */

typedef enum wr_status wr_guarded_fn(void *arg, struct wr_error *err);
WR_MUST_CHECK enum wr_status wr_guard(struct wr_pool *pool, wr_guarded_fn *call, void *arg, struct wr_error *err);
int wr_is_guarded(void); /* is this thread inside wr_guard? */
/* Leaves the innermost guard with the status; aborts outside of any. */
__attribute__((noreturn, cold)) void wr_give_up(enum wr_status status, const char *fmt, ...) WR_PRINTF(2, 3);
__attribute__((noreturn, cold)) void wr_out_of_memory(size_t count, size_t size);
