#include "log_pieces.h"

#include <string.h>
#include "wetrun/base/error.h"

static uint64_t hash_of(uint32_t run, uint32_t task, uint32_t step)
{
    uint64_t h = ((uint64_t)run << 32 | task) * 0x9e3779b97f4a7c15u;

    h = (h ^ h >> 31 ^ step) * 0xbf58476d1ce4e5b9u;
    return h ^ h >> 32;
}

static void grow(struct log_pieces *pieces)
{
    size_t n_slot = pieces->n_slot ? pieces->n_slot * 2 : 1024;
    uint32_t *slot = wr_alloc(n_slot, sizeof *slot);

    memset(slot, 0xff, n_slot * sizeof *slot);
    for (size_t k = 0; k < pieces->n_slot; k++) {
        if (pieces->slot[k] == NO_PIECE) continue;
        const struct log_piece *p = &pieces->piece[pieces->slot[k]];
        size_t i = hash_of(p->run, p->task, p->step) & (n_slot - 1);
        while (slot[i] != NO_PIECE) i = (i + 1) & (n_slot - 1);
        slot[i] = pieces->slot[k];
    }
    wr_free(pieces->slot);
    pieces->slot = slot;
    pieces->n_slot = n_slot;
}

uint32_t *log_pieces_head(struct log_pieces *pieces, uint32_t run, uint32_t task, uint32_t step)
{
    if (pieces->n_head >= pieces->n_slot / 2) grow(pieces);
    size_t mask = pieces->n_slot - 1;
    for (size_t i = hash_of(run, task, step) & mask;; i = (i + 1) & mask) {
        if (pieces->slot[i] == NO_PIECE) return &pieces->slot[i];
        const struct log_piece *p = &pieces->piece[pieces->slot[i]];
        if (p->task == task && p->run == run && p->step == step) return &pieces->slot[i];
    }
}

uint32_t log_pieces_add(struct log_pieces *pieces, uint32_t *head, const struct log_piece *piece)
{
    WR_BUG_IF(pieces->n_piece >= NO_PIECE - 1);
    uint32_t index = (uint32_t)pieces->n_piece;
    struct log_piece *p = WR_PUSH(pieces->piece, pieces->n_piece, pieces->room);

    *p = *piece;
    p->next = NO_PIECE;
    if (*head == NO_PIECE) {
        *head = index;
        pieces->n_head++;
        p->n = 0;
        p->overflow = NO_PIECE;
        p->latest_ns = INT64_MIN;
    } else {
        pieces->piece[pieces->piece[*head].last].next = index;
    }
    struct log_piece *h = &pieces->piece[*head];
    h->last = index;
    h->n++;
    if (p->has_start && p->start_ns > h->latest_ns) h->latest_ns = p->start_ns;
    return index;
}

void log_pieces_release(struct log_pieces *pieces)
{
    for (size_t i = 0; i < pieces->n_run; i++) wr_free(pieces->run[i].attribute);
    wr_free(pieces->run);
    wr_free(pieces->piece);
    wr_free(pieces->slot);
    wr_names_release(&pieces->runs);
    wr_names_release(&pieces->tasks);
    wr_names_release(&pieces->words);
    wr_names_release(&pieces->attributes);
    *pieces = (struct log_pieces){0};
}
