/* Timelines run through the same days, so that they can be compared day by day.
 *
 * Those of one network and one set of durations are walked together, a lot of days at a time, each only where it
 * differs from the one walked before it and from there on. */
#pragma once

#include <stddef.h>
#include <stdint.h>
#include "wetrun/base/error.h"
#include "wetrun/decide/whatif.h"

struct wr_timeline {
    double *finish;            /* [n_trial] minutes */
    unsigned char *over;       /* [limit * n_trial + trial] */
    double *dropped;           /* [n_task] share of days */
    /* of fewer posterior draws, for what is said draw by draw */
    double *thin_finish;       /* [n_trial] minutes */
    double *thin_over;         /* [limit * n_trial + trial] probability over the run effect, the rest as on that day */
};

struct wr_timelines {
    size_t n, n_limit, n_trial;
    size_t n_thin;             /* draws of the fewer */
    struct wr_variant *variant; /* [n] the base first; what one leaves open is the base's */
    struct wr_timeline *line;  /* [n] */
};

/* WR_E_DOMAIN: a variant that cannot be run through the base's days. */
WR_MUST_CHECK enum wr_status wr_timelines_run(struct wr_timelines *t, const struct wr_variant *base,
                                              const struct wr_variant *alternative, size_t n_alternative,
                                              const struct wr_whatif_options *options, struct wr_error *err);
void wr_timelines_release(struct wr_timelines *t);
