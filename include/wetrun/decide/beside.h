/* The forecast again under another assumption that nothing in the campaign can settle, to be shown beside it
 * unasked. */
#pragma once

#include "wetrun/decide/basis.h"
#include "wetrun/model/gap.h"
#include "wetrun/sim/forecast.h"

#define WR_BESIDE_GAP_PERCENT 10.0

struct wr_beside { /* start as {0} */
    enum wr_beside_kind kind;
    double percent;
    struct wr_fit_options options; /* the basis' with the assumption */
    struct wr_durations durations;
    struct wr_forecast forecast;
    bool *untouched; /* NULL, or [forecast.n_limit]: no judged task lies before the limit, whose answer stays the same
                        but for chance */
};
/* beside[WR_BESIDE_MOST]; at most one of the first two kinds: after a gap longer than any rehearsed, and where an
 * allowance was given; the third where tasks rest on judgement that has no record; the last where there are two worse
 * ones, which may both be right. Nothing for WR_MODEL_ALONE. */
WR_MUST_CHECK enum wr_status wr_beside_make(struct wr_beside *beside, size_t *n_beside, const struct wr_basis *basis,
                                            const struct wr_gap *gap, const struct wr_sim_options *sim,
                                            struct wr_error *err);
void wr_beside_release(struct wr_beside *beside);

/* Every worse assumption that wr_beside_make would look at one by one, together: options as the basis' with them;
 * false, and nothing set, where there is none. */
bool wr_worse_together(struct wr_fit_options *options, const struct wr_basis *basis, const struct wr_gap *gap);
/* It assumes something worse than the forecast, and may be as right: what is kept must bear it. */
bool wr_beside_is_worse(const struct wr_beside *beside);
bool wr_beside_is_worse_for(const struct wr_beside *beside, size_t limit); /* and what it assumes reaches the limit */
/* The worst of the worse answers into every limit of the forecast (struct wr_second), and all of them beside it. */
void wr_beside_to_limits(const struct wr_beside *beside, size_t n_beside, struct wr_forecast *forecast);
/* The worse of the two, of the same limit; *second not known: over. */
void wr_second_take(struct wr_second *second, const struct wr_beside *beside, const struct wr_probability *over);
/* The same campaign under its assumption, for another question. */
struct wr_basis wr_beside_basis(const struct wr_beside *beside, const struct wr_basis *basis);
