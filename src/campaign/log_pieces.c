#include "log_pieces.h"

#include <string.h>
#include "wetrun/base/error.h"

struct log_run_state *log_pieces_new_run(struct log_pieces *pieces)
{
    struct log_run_state *run = WR_PUSH(pieces->run, pieces->n_run, pieces->room_run);

    run->date = WR_NO_NAME;
    run->day = run->stamp_day = NO_DAY;
    run->first_piece = run->last_piece = NO_PIECE;
    return run;
}

/* ---- steps ---- */

static uint32_t hash_of(uint32_t task, uint32_t step)
{
    uint64_t h = ((uint64_t)task << 32 | step) * 0x9e3779b97f4a7c15u;

    return (uint32_t)(h >> 32);
}

static void grow(struct log_run_state *run)
{
    uint32_t n_slot = run->n_slot ? run->n_slot * 2 : 8;
    struct log_slot *slot = wr_realloc(NULL, n_slot, sizeof *slot);

    memset(slot, 0xff, n_slot * sizeof *slot);
    for (uint32_t k = 0; k < run->n_slot; k++) {
        if (run->slot[k].piece == NO_PIECE) continue;
        uint32_t i = run->slot[k].hash & (n_slot - 1);
        while (slot[i].piece != NO_PIECE) i = (i + 1) & (n_slot - 1);
        slot[i] = run->slot[k];
    }
    wr_free(run->slot);
    run->slot = slot;
    run->n_slot = n_slot;
}

uint32_t *log_pieces_first(struct log_pieces *pieces, uint32_t run_index, uint32_t task, uint32_t step)
{
    struct log_run_state *run = &pieces->run[run_index];
    uint32_t hash = hash_of(task, step);

    if (run->n_step >= run->n_slot / 4 * 3) grow(run);
    for (uint32_t i = hash & (run->n_slot - 1);; i = (i + 1) & (run->n_slot - 1)) {
        struct log_slot *slot = &run->slot[i];
        if (slot->piece == NO_PIECE) {
            slot->hash = hash;
            return &slot->piece;
        }
        const struct log_piece *p = &pieces->piece[slot->piece];
        if (slot->hash == hash && p->task == task && p->step == step) return &slot->piece;
    }
}

/* ---- pieces ---- */

static uint32_t append(struct log_pieces *pieces, const struct log_piece *piece)
{
    WR_BUG_IF(pieces->n_piece >= NO_PIECE - 1);
    uint32_t index = (uint32_t)pieces->n_piece;

    if (pieces->n_piece == pieces->room) { /* not WR_PUSH: once per row, and all of it is written anyway */
        pieces->room = pieces->room ? pieces->room + pieces->room / 2 : 1024;
        pieces->piece = wr_realloc(pieces->piece, pieces->room, sizeof *pieces->piece);
    }
    struct log_piece *p = &pieces->piece[pieces->n_piece++];
    *p = *piece;
    p->next = p->next_of_run = p->cell = NO_PIECE;
    struct log_run_state *run = &pieces->run[p->run];
    if (run->first_piece == NO_PIECE) run->first_piece = index;
    else pieces->piece[run->last_piece].next_of_run = index;
    run->last_piece = index;
    return index;
}

void log_pieces_begin(struct log_pieces *pieces, uint32_t *first, const struct log_piece *piece)
{
    *first = append(pieces, piece);
    pieces->run[piece->run].n_step++;
}

struct log_cell *log_pieces_cell(struct log_pieces *pieces, uint32_t first)
{
    struct log_piece *p = &pieces->piece[first];

    if (p->cell != NO_PIECE) return &pieces->cell[p->cell];
    p->cell = (uint32_t)pieces->n_cell; /* there are no more cells than pieces */
    struct log_cell *cell = WR_PUSH(pieces->cell, pieces->n_cell, pieces->room_cell);
    *cell = (struct log_cell){first, first, 1, NO_PIECE, p->has_start ? p->start_ns : INT64_MIN};
    return cell;
}

uint32_t log_pieces_add(struct log_pieces *pieces, struct log_cell *cell, const struct log_piece *piece)
{
    uint32_t index = append(pieces, piece);

    pieces->piece[cell->last].next = index;
    cell->last = index;
    cell->n++;
    if (piece->has_start && piece->start_ns > cell->latest_ns) cell->latest_ns = piece->start_ns;
    return index;
}

uint32_t log_pieces_find_start(const struct log_pieces *pieces, const struct log_cell *cell, int64_t start_ns)
{
    if (start_ns > cell->latest_ns) return NO_PIECE;
    for (uint32_t i = cell->first; i != NO_PIECE; i = pieces->piece[i].next)
        if (pieces->piece[i].has_start && pieces->piece[i].start_ns == start_ns) return i;
    return NO_PIECE;
}

void log_pieces_release(struct log_pieces *pieces)
{
    for (size_t i = 0; i < pieces->n_run; i++) {
        WR_FREE(pieces->run[i].attribute, pieces->run[i].slot);
    }
    WR_FREE(pieces->run, pieces->cell, pieces->piece);
    struct wr_names *all[] = {&pieces->runs,  &pieces->tasks,      &pieces->steps,  &pieces->crews, &pieces->performers,
                              &pieces->dates, &pieces->attributes, &pieces->values};
    for (size_t i = 0; i < sizeof all / sizeof *all; i++) wr_names_release(all[i]);
    *pieces = (struct log_pieces){0};
}
