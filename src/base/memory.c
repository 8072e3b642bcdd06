#include "wetrun/base/memory.h"

#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Exit class 3: whatever was asked for does not fit this machine. */
__attribute__((noreturn, cold)) static void out_of_memory(size_t count, size_t size)
{
    fprintf(stderr, "wetrun: out of memory (%zu x %zu bytes)\n", count, size);
    exit(3);
}

void *wr_alloc(size_t count, size_t size)
{
    void *p = calloc(count ? count : 1, size ? size : 1); /* calloc refuses a product that overflows */

    if (!p) out_of_memory(count, size);
    return p;
}

void *wr_realloc(void *old, size_t count, size_t size)
{
    size_t bytes;

    if (__builtin_mul_overflow(count, size, &bytes)) out_of_memory(count, size);
    void *p = realloc(old, bytes ? bytes : 1);
    if (!p) out_of_memory(count, size);
    return p;
}

void wr_free(void *block)
{
    free(block);
}

void *wr_grow(void *old, size_t count, size_t *room, size_t size)
{
    if (count == *room) {
        size_t more = *room < 8 ? 8 : *room + *room / 2;
        old = wr_realloc(old, more, size);
        *room = more;
    }
    memset((char *)old + count * size, 0, size);
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

    if (__builtin_mul_overflow(count, size, &bytes) || bytes > SIZE_MAX / 2) out_of_memory(count, size);
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
        free(b);
    }
    arena->block = NULL;
}
