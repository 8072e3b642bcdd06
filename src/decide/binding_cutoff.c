#include "wetrun/decide/binding_cutoff.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include "wetrun/base/memory.h"

static enum wr_binding no_start_left(const struct wr_cutoff_row *row)
{
    if (wr_cutoff_opens(row)) return WR_BINDING_OPENS;
    return row->reason == WR_CUTOFF_NEVER && row->has_second_window ? WR_BINDING_LATER : WR_BINDING_TOO_LATE;
}

static enum wr_binding binding_of(const struct wr_cutoff_row *row)
{
    switch (row->reason) {
    case WR_CUTOFF_FOUND:
        if (row->latest_start_min < 0) return no_start_left(row);
        return row->is_start ? WR_BINDING_START : WR_BINDING_FOUND;
    case WR_CUTOFF_NEVER: return no_start_left(row);
    case WR_CUTOFF_NOT_BEFORE_LIMIT: return WR_BINDING_NO_MATTER;
    case WR_CUTOFF_BEGUN: return WR_BINDING_BEGUN;
    case WR_CUTOFF_DROPPED: return WR_BINDING_DROPPED;
    case WR_CUTOFF_NO_CLOCK:
    case WR_CUTOFF_UNREPORTED: return WR_BINDING_UNREPORTED;
    case WR_CUTOFF_DOUBTFUL:
    case WR_CUTOFF_TOO_FEW: break;
    }
    return WR_BINDING_CANNOT_TELL;
}

struct wr_binding_cutoff wr_cutoff_of_limit(const struct wr_cutoff_card *card, size_t limit, size_t i)
{
    const struct wr_cutoff_row *row = &card->list[limit].row[i];

    return (struct wr_binding_cutoff){binding_of(row), limit, row};
}

/* From what must be heeded first to what need not. */
static int urgency(enum wr_binding what)
{
    switch (what) {
    case WR_BINDING_BEGUN: return 8;
    case WR_BINDING_DROPPED: return 7;
    case WR_BINDING_UNREPORTED: return 6;
    case WR_BINDING_TOO_LATE: return 5;
    case WR_BINDING_LATER: return 4;
    case WR_BINDING_OPENS: return 3;
    case WR_BINDING_CANNOT_TELL: return 2;
    case WR_BINDING_FOUND:
    case WR_BINDING_START: return 1;
    case WR_BINDING_NO_MATTER: break;
    }
    return 0;
}

static bool binds_before(const struct wr_binding_cutoff *a, const struct wr_binding_cutoff *b)
{
    if (a->what != b->what) return urgency(a->what) > urgency(b->what);
    return a->what == WR_BINDING_FOUND && a->row->latest_start_min < b->row->latest_start_min;
}

bool wr_has_binding_cutoffs(const struct wr_cutoff_card *card)
{
    for (size_t l = 0; l < card->n_limit; l++)
        if (!card->list[l].limit.limit.is_clock) return true;
    return false;
}

struct wr_binding_cutoff wr_binding_cutoff(const struct wr_cutoff_card *card, size_t i)
{
    struct wr_binding_cutoff first = {0};

    WR_BUG_IF(!wr_has_binding_cutoffs(card));
    for (size_t l = 0; l < card->n_limit; l++) {
        if (card->list[l].limit.limit.is_clock) continue;
        struct wr_binding_cutoff one = wr_cutoff_of_limit(card, l, i);
        if (!first.row || binds_before(&one, &first)) first = one;
    }
    return first;
}

struct wr_maybe wr_clock_start_as_usual(const struct wr_cutoff_card *card, size_t clock, size_t i, size_t elapsed)
{
    const struct wr_cutoff_row *mine = &card->list[clock].row[i], *from = NULL;

    for (size_t r = 0; r < card->n_row; r++)
        if (card->list[elapsed].row[r].task == card->list[clock].limit.limit.from) from = &card->list[elapsed].row[r];
    if (!from || mine->reason != WR_CUTOFF_FOUND || from->reason == WR_CUTOFF_BEGUN) return WR_UNKNOWN;
    return wr_known(from->typical_start_min + mine->latest_start_min);
}

int wr_starts_in_time(const struct wr_binding_cutoff *cutoff)
{
    if (cutoff->what != WR_BINDING_FOUND) return 0;
    int of_100 = (int)floor(100 * cutoff->row->share_in_time + 0.5); /* as every table rounds it */
    return of_100 / (100 / WR_CARD_STARTS);
}

/* ---- the card ---- */

/* In the order in which the tasks usually begin, ties in the order given. */
static int by_usual_start(const void *a, const void *b)
{
    const struct wr_card_line *px = a, *py = b;
    const struct wr_cutoff_row *x = px->cutoff.row, *y = py->cutoff.row;

    if (x->typical_start_min != y->typical_start_min) return x->typical_start_min < y->typical_start_min ? -1 : 1;
    return (x->task > y->task) - (x->task < y->task);
}

static void add_clock(struct wr_card_lines *lines, const struct wr_cutoff_card *card, size_t clock)
{
    size_t head = lines->n;

    lines->line[lines->n++] = (struct wr_card_line){{0}, clock, true};
    for (size_t i = 0; i < card->n_row; i++) {
        const struct wr_card_line line = {wr_cutoff_of_limit(card, clock, i), clock, false};
        if (line.cutoff.what != WR_BINDING_NO_MATTER) lines->line[lines->n++] = line;
    }
    qsort(lines->line + head + 1, lines->n - head - 1, sizeof *lines->line, by_usual_start);
}

struct wr_card_lines wr_card_lines(const struct wr_cutoff_card *card)
{
    struct wr_card_lines lines = {.line = WR_NEW_ARRAY(struct wr_card_line, (card->n_row + 1) * (card->n_limit + 1))};

    for (size_t l = 0; l < card->n_limit; l++) lines.n_elapsed_limit += !card->list[l].limit.limit.is_clock;
    for (size_t i = 0; lines.n_elapsed_limit > 0 && i < card->n_row; i++)
        lines.line[lines.n++] = (struct wr_card_line){wr_binding_cutoff(card, i), SIZE_MAX, false};
    if (lines.n > 0) qsort(lines.line, lines.n, sizeof *lines.line, by_usual_start);
    for (size_t l = 0; l < card->n_limit; l++)
        if (card->list[l].limit.limit.is_clock) add_clock(&lines, card, l);
    return lines;
}

void wr_card_lines_release(struct wr_card_lines *lines)
{
    wr_free(lines->line);
    *lines = (struct wr_card_lines){0};
}
