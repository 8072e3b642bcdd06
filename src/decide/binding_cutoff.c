#include "wetrun/decide/binding_cutoff.h"

#include "wetrun/base/memory.h"

static enum wr_binding binding_of(const struct wr_cutoff_row *row)
{
    switch (row->reason) {
    case WR_CUTOFF_FOUND: return row->latest_start_min < 0 ? WR_BINDING_TOO_LATE : WR_BINDING_FOUND;
    case WR_CUTOFF_NEVER: return WR_BINDING_TOO_LATE;
    case WR_CUTOFF_NOT_BEFORE_LIMIT: return WR_BINDING_NO_MATTER;
    case WR_CUTOFF_BEGUN: return WR_BINDING_BEGUN;
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
    case WR_BINDING_BEGUN: return 4;
    case WR_BINDING_TOO_LATE: return 3;
    case WR_BINDING_CANNOT_TELL: return 2;
    case WR_BINDING_FOUND: return 1;
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
