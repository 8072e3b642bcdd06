/* Memory: heap blocks whose size cannot overflow, a growable array, and an arena for text and records.
 * Running out of memory ends the program with a message, from one place (memory.c); nobody checks for NULL. */
#ifndef WETRUN_BASE_MEMORY_H
#define WETRUN_BASE_MEMORY_H

#include <stddef.h>

void *wr_alloc(size_t count, size_t size);              /* zeroed; count or size 0 gives a pointer to free */
void *wr_realloc(void *old, size_t count, size_t size); /* the new part is not zeroed */
void wr_free(void *block);

#define WR_NEW(type) ((type *)wr_alloc(1, sizeof(type)))
#define WR_NEW_ARRAY(type, count) ((type *)wr_alloc((count), sizeof(type)))

/* Room for one more element in an array kept as (pointer, count, room); the new element is zeroed and counted.
 *     struct thing *t = WR_PUSH(list->thing, list->n_thing, list->room);  */
#define WR_PUSH(ptr, count, room)                                                     \
    ((ptr) = wr_grow((ptr), (count), &(room), sizeof *(ptr)), &(ptr)[(count)++])
void *wr_grow(void *old, size_t count, size_t *room, size_t size);

/* An arena: many small pieces, released together. */
struct wr_arena {
    struct wr_arena_block *block; /* newest first; start as {0} */
};
void *wr_arena_alloc(struct wr_arena *arena, size_t count, size_t size); /* zeroed, aligned for any type */
char *wr_arena_copy(struct wr_arena *arena, const char *bytes, size_t n); /* NUL-terminated copy */
void wr_arena_release(struct wr_arena *arena);

#endif
