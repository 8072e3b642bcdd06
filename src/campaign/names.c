#include "wetrun/campaign/names.h"

#include <stdbool.h>
#include <string.h>
#include "wetrun/base/error.h"

/* memcmp would be a call, and names are short: two pieces that may overlap are compared. */
static inline bool same_bytes(const char *a, const char *b, size_t n)
{
    for (; n > 16; a += 8, b += 8, n -= 8)
        if (memcmp(a, b, 8) != 0) return false;
    if (n >= 8) return memcmp(a, b, 8) == 0 && memcmp(a + n - 8, b + n - 8, 8) == 0;
    if (n >= 4) return memcmp(a, b, 4) == 0 && memcmp(a + n - 4, b + n - 4, 4) == 0;
    if (n >= 2) return memcmp(a, b, 2) == 0 && a[n - 1] == b[n - 1];
    return n == 0 || *a == *b;
}

static inline __attribute__((always_inline)) bool is_name(const struct wr_name *name, const char *text, size_t len)
{
    return name->len == len && same_bytes(name->text, text, len);
}

/* Multiply and fold, eight bytes at a time. */
static uint32_t hash_of(const char *text, size_t len)
{
    const uint64_t odd = 0x9e3779b97f4a7c15u;
    uint64_t h = len * odd, piece;

    for (; len > 8; text += 8, len -= 8) {
        memcpy(&piece, text, 8);
        h = (h ^ piece) * odd;
        h ^= h >> 32;
    }
    piece = 0;
    for (size_t i = 0; i < len; i++) piece = piece << 8 | (unsigned char)text[i];
    h = (h ^ piece) * odd;
    h ^= h >> 29;
    h *= 0xbf58476d1ce4e5b9u;
    return (uint32_t)(h >> 32);
}

/* The slot that holds the name, or the empty one where it belongs. */
static size_t find_slot(const struct wr_names *names, const char *text, size_t len, uint32_t hash)
{
    size_t mask = names->n_slot - 1;

    for (size_t i = hash & mask;; i = (i + 1) & mask) {
        if (names->slot[i] == WR_NO_NAME) return i;
        const struct wr_name *name = &names->name[names->slot[i]];
        if (name->hash == hash && is_name(name, text, len)) return i;
    }
}

static void grow(struct wr_names *names)
{
    size_t n_slot = names->n_slot ? names->n_slot * 2 : 64;

    wr_free(names->slot);
    names->slot = wr_alloc(n_slot, sizeof *names->slot);
    memset(names->slot, 0xff, n_slot * sizeof *names->slot);
    names->n_slot = n_slot;
    for (size_t k = 0; k < names->n_name; k++) {
        size_t i = names->name[k].hash & (n_slot - 1);
        while (names->slot[i] != WR_NO_NAME) i = (i + 1) & (n_slot - 1);
        names->slot[i] = (uint32_t)k;
    }
}

uint32_t wr_names_find(const struct wr_names *names, const char *text, size_t len)
{
    if (!names->n_slot) return WR_NO_NAME;
    return names->slot[find_slot(names, text, len, hash_of(text, len))];
}

uint32_t wr_names_add(struct wr_names *names, struct wr_arena *arena, const char *text, size_t len)
{
    uint32_t hash = hash_of(text, len);

    if (names->n_name >= names->n_slot / 2) grow(names);
    size_t i = find_slot(names, text, len, hash);
    if (names->slot[i] != WR_NO_NAME) return names->slot[i];
    WR_BUG_IF(names->n_name >= WR_NO_NAME - 1 || len > UINT32_MAX); /* the reader's record size rules it out */
    const char *copy = wr_arena_copy(arena, text, len);
    *WR_PUSH(names->name, names->n_name, names->room) = (struct wr_name){copy, (uint32_t)len, hash, WR_NO_NAME};
    names->slot[i] = (uint32_t)(names->n_name - 1);
    return names->slot[i];
}

/* The follower of last, or last itself, if it is the name; else WR_NO_NAME. */
static inline __attribute__((always_inline)) uint32_t guess(const struct wr_names *names, const char *text, size_t len,
                                                            uint32_t last)
{
    if (last == WR_NO_NAME) return WR_NO_NAME;
    uint32_t follower = names->name[last].follower;
    if (follower != WR_NO_NAME && is_name(&names->name[follower], text, len)) return follower;
    return is_name(&names->name[last], text, len) ? last : WR_NO_NAME;
}

static uint32_t move_on(struct wr_names *names, uint32_t index, uint32_t *last)
{
    if (*last != WR_NO_NAME) names->name[*last].follower = index;
    return *last = index;
}

/* What is seldom needed stands apart, so that a good guess saves and restores no registers. */
__attribute__((noinline)) static uint32_t add_other(struct wr_names *names, struct wr_arena *arena, const char *text,
                                                    size_t len, uint32_t *last)
{
    return move_on(names, wr_names_add(names, arena, text, len), last);
}

uint32_t wr_names_add_next(struct wr_names *names, struct wr_arena *arena, const char *text, size_t len, uint32_t *last)
{
    uint32_t index = guess(names, text, len, *last);

    return index != WR_NO_NAME ? (*last = index) : add_other(names, arena, text, len, last);
}

__attribute__((noinline)) static uint32_t find_other(struct wr_names *names, const char *text, size_t len,
                                                     uint32_t *last)
{
    uint32_t index = wr_names_find(names, text, len);

    return index == WR_NO_NAME ? index : move_on(names, index, last);
}

uint32_t wr_names_find_next(struct wr_names *names, const char *text, size_t len, uint32_t *last)
{
    uint32_t index = guess(names, text, len, *last);

    return index != WR_NO_NAME ? (*last = index) : find_other(names, text, len, last);
}

void wr_names_release(struct wr_names *names)
{
    WR_FREE(names->name, names->slot);
    *names = (struct wr_names){0};
}
