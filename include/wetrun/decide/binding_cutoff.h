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
    WR_BINDING_LATER, /* the same, but for the window of the row, later, in which other work is dropped */
    WR_BINDING_OPENS, /* the same of a task that the excursion begins with: too late even begun on time, for it cannot
                         begin earlier */
    WR_BINDING_CANNOT_TELL, /* one of the limits has too few days to say: it may bind earlier */
    WR_BINDING_BEGUN,
    WR_BINDING_DROPPED, /* its drop time has passed before it began */
    WR_BINDING_UNREPORTED, /* nothing was said of it; usually it has begun by now */
    WR_BINDING_NO_MATTER   /* no limit depends on it */
};

/* The excursion usually begins with it: no start of it lies before the usual one. Times elapsed, not of a clock. */
static inline bool wr_cutoff_opens(const struct wr_cutoff_row *row)
{
    return row->typical_start_min <= 0;
}

/* No start is early enough. */
static inline bool wr_binding_has_no_start(enum wr_binding what)
{
    return what == WR_BINDING_TOO_LATE || what == WR_BINDING_OPENS;
}

/* No start up to the usual one is early enough. */
static inline bool wr_binding_is_late(enum wr_binding what)
{
    return wr_binding_has_no_start(what) || what == WR_BINDING_LATER;
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
/* Where the latest start of the i-th row on a clock lies in elapsed time on a day on which the clock begins as usual;
 * unknown where it has none, has begun, or its begin is not on the card. elapsed: a limit that is no clock. */
struct wr_maybe wr_clock_start_as_usual(const struct wr_cutoff_card *card, size_t clock, size_t i, size_t elapsed);

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
