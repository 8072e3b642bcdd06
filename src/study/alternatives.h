/* The alternatives of a what-if, from the words in which they were asked for. */
#pragma once

#include "wetrun/study/study.h"

struct wr_alternative_parts; /* what a variant borrows */

struct wr_alternatives { /* start as {0} */
    struct wr_variant *variant; size_t n_variant;
    const char **name;       /* [n_variant] as asked for */
    struct wr_alternative_parts *parts; /* [n_variant] */
    struct wr_arena text;
};

/* WR_E_USAGE quotes the word: unknown task, kind or lane, a factor that is none. Another plan's file is read and noted
 * among the inputs; its tasks take their times from the campaign by their identifiers, a task that was never rehearsed
 * needs three points, or median and sdlog (WR_E_INPUT). */
WR_MUST_CHECK enum wr_status wr_alternatives_make(struct wr_alternatives *alt, struct wr_study *study,
                                                  struct wr_error *err);
void wr_alternatives_release(struct wr_alternatives *alt);
