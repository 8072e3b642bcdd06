/* The forecast again under another assumption that nothing in the campaign can settle, to be shown beside it
 * unasked. */
#pragma once

#include "wetrun/decide/basis.h"
#include "wetrun/model/gap.h"
#include "wetrun/sim/forecast.h"

enum wr_beside_kind {
    WR_BESIDE_GAP_ALLOWED,       /* something was forgotten over a long gap: percent, as --gap-allowance has it */
    WR_BESIDE_NOTHING_FORGOTTEN, /* where an allowance was given: without it */
    WR_BESIDE_JUDGED_SHORT       /* judges are short by percent in common, and less sure than they say (durations.h) */
};
enum { WR_BESIDE_MOST = 2 };
#define WR_BESIDE_GAP_PERCENT 10.0

struct wr_beside { /* start as {0} */
    enum wr_beside_kind kind;
    double percent;
    struct wr_forecast forecast;
};
/* beside[WR_BESIDE_MOST]; at most one of the first two kinds: after a gap longer than any rehearsed, and where an
 * allowance was given; the third where tasks rest on judgement that has no record. Nothing for WR_MODEL_ALONE. */
WR_MUST_CHECK enum wr_status wr_beside_make(struct wr_beside *beside, size_t *n_beside, const struct wr_basis *basis,
                                            const struct wr_gap *gap, const struct wr_sim_options *sim,
                                            struct wr_error *err);
void wr_beside_release(struct wr_beside *beside);
