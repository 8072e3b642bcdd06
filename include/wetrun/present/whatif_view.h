/* `whatif`: alternatives to the timeline, ranked, on the same simulated days. */
#pragma once

#include "wetrun/decide/search.h"
#include "wetrun/decide/whatif.h"
#include "wetrun/present/context.h"

struct wr_whatif_result { /* borrowed */
    const struct wr_whatif *whatif;
    const char *const *variant_name; /* as asked for, by wr_whatif_row.variant */
    const char *const *limit_name;   /* [whatif->n_limit]; the first is the excursion limit */
    const struct wr_search *search;  /* NULL: alternatives that were asked for; else those that a search found */
    const struct wr_limit_outlook *base; /* the first limit as forecast; NULL: not known, or no limit */
    bool unordered;                  /* the search may change an order that the plan does not ask for */
    unsigned in_vain;                /* bits 1 << enum wr_move_kind: allowed, and the plan has nothing for it */
};

/* Table: the answer, then one row per alternative, best first, for the first limit, and below it for the others. CSV:
 * the rows of every limit. */
WR_MUST_CHECK enum wr_status wr_show_whatif(enum wr_format format, const struct wr_present_context *ctx,
                                            const struct wr_whatif_result *result, struct wr_str *out,
                                            struct wr_error *err);

