/* The cut-off to act on: of one task, the earliest over all limits that run from the start of the excursion. Limits
 * that are clocks of their own are read on that clock and stand apart. One rule for the card, the chart and the
 * page. */
#pragma once

#include "wetrun/decide/cutoff.h"

enum wr_binding {
    WR_BINDING_START, /* the elapsed time begins with it: nothing to act on, and the limit is kept */
    WR_BINDING_FOUND, /* begin by latest_start_min of row */
    WR_BINDING_TOO_LATE, /* for one of the limits no start is early enough: a later moment for another would read as
                            leave */
    WR_BINDING_OPENS, /* the same of a task that the excursion begins with: said of the limit, for it cannot begin
                         late */
    WR_BINDING_CANNOT_TELL, /* one of the limits has too few days to say: it may bind earlier */
    WR_BINDING_BEGUN,
    WR_BINDING_UNREPORTED, /* nothing was said of it; usually it has begun by now */
    WR_BINDING_NO_MATTER   /* no limit depends on it */
};

/* The excursion usually begins with it: no start of it lies before the usual one. Times elapsed, not of a clock. */
static inline bool wr_cutoff_opens(const struct wr_cutoff_row *row)
{
    return row->typical_start_min <= 0;
}

struct wr_binding_cutoff {
    enum wr_binding what;
    size_t limit;                    /* of card->list: whose row it is */
    const struct wr_cutoff_row *row; /* never NULL */
};

/* The i-th row of the card. At least one limit of the card must not be a clock. */
struct wr_binding_cutoff wr_binding_cutoff(const struct wr_cutoff_card *card, size_t i);
/* The same for one limit alone, as for a clock. */
struct wr_binding_cutoff wr_cutoff_of_limit(const struct wr_cutoff_card *card, size_t limit, size_t i);
bool wr_has_binding_cutoffs(const struct wr_cutoff_card *card); /* a limit of the card is not a clock */

enum { WR_CARD_STARTS = 10 };
/* Full tens of 100 starts that are in time, of the number as shown: never one more than there are. 0 where none is. */
int wr_starts_in_time(const struct wr_binding_cutoff *cutoff);

/* The card for the console, line by line: first the tasks on elapsed time, in the order in which they usually begin,
 * then each clock: a head, and the tasks that bear on it. */
struct wr_card_line {
    struct wr_binding_cutoff cutoff; /* of a head nothing */
    size_t clock;                    /* of card->list; SIZE_MAX: elapsed time */
    bool is_head;
};
struct wr_card_lines { /* release with wr_card_lines_release */
    struct wr_card_line *line;
    size_t n, n_elapsed_limit;       /* limits on elapsed time */
};
struct wr_card_lines wr_card_lines(const struct wr_cutoff_card *card);
void wr_card_lines_release(struct wr_card_lines *lines);
