/* Room for the rows of one worker: carved from one block, each row on a cache line of its own, all zero at first. */
#pragma once

#include <stddef.h>
#include <stdint.h>
#include "wetrun/base/error.h"
#include "wetrun/base/memory.h"

struct wr_rows { /* start as {0}; wr_free(block) ends it */
    void *block;
    size_t used, size;
};

/* Carving goes through the same list of calls twice: first with block NULL, which only adds up, and gives pointers not
 * to be used; then, after wr_rows_open, for real. */
static inline void *wr_rows_take(struct wr_rows *rows, size_t count, size_t size)
{
    size_t at = rows->used;

    WR_BUG_IF(size && count > SIZE_MAX / 2 / size);
    rows->used += (count * size + 63) / 64 * 64;
    WR_BUG_IF(rows->block && rows->used > rows->size);
    if (!rows->block) return NULL;
    size_t to_line = (64 - (uintptr_t)rows->block % 64) % 64;
    return (char *)rows->block + to_line + at;
}

static inline void wr_rows_open(struct wr_rows *rows)
{
    rows->size = rows->used;
    rows->used = 0;
    rows->block = wr_alloc(rows->size + 64, 1);
}

#define WR_TAKE(rows, type, count) ((type *)wr_rows_take((rows), (count), sizeof(type)))
