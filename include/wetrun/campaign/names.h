/* Names numbered in order of first appearance: runs, tasks, lanes, people. Compared byte by byte. */
#pragma once

#include <stddef.h>
#include <stdint.h>
#include "wetrun/base/memory.h"

#define WR_NO_NAME UINT32_MAX

struct wr_name {
    const char *text; /* NUL-terminated, in the arena given to wr_names_add */
    uint32_t len, hash;
    uint32_t follower; /* the name that was asked for after this one the last time */
};

struct wr_names { /* start as {0} */
    struct wr_name *name;
    size_t n_name, room;
    uint32_t *slot; /* hash table of indices, WR_NO_NAME where empty */
    size_t n_slot;  /* a power of two, or 0 */
};

/* Index of the name, or WR_NO_NAME. */
uint32_t wr_names_find(const struct wr_names *names, const char *text, size_t len);
/* The same; a new name is copied into the arena and gets the next index. */
uint32_t wr_names_add(struct wr_names *names, struct wr_arena *arena, const char *text, size_t len);
/* The same for a column of a table, whose names come in much the same order again and again: *last is the name of the
 * row before (WR_NO_NAME at first) and is moved on. What followed it the last time, and itself, are tried first. */
uint32_t wr_names_add_next(struct wr_names *names, struct wr_arena *arena, const char *text, size_t len,
                           uint32_t *last);
/* The same without adding: WR_NO_NAME, and *last stays, if the name is new. */
uint32_t wr_names_find_next(struct wr_names *names, const char *text, size_t len, uint32_t *last);
void wr_names_release(struct wr_names *names); /* the text stays in its arena */
