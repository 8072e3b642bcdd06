/* Timelines run through the same days and points, so that they can be compared.
 *
 * Days of one network and one set of durations are walked together, a lot of days at a time, each timeline only where
 * it differs from the one walked before it and from there on. */
#pragma once

#include <stddef.h>
#include <stdint.h>
#include "wetrun/base/error.h"
#include "wetrun/decide/whatif.h"

struct wr_timeline {
    double *finish;            /* [n_trial] minutes */
    double *dropped;           /* [n_task] share of days */
};

struct wr_timelines {
    size_t n, n_limit, n_trial;
    struct wr_variant *variant; /* [n] the base first; what one leaves open is the base's */
    struct wr_timeline *line;  /* [n] days by days */
    struct wr_pairing paired;  /* the same timelines in the same order, on points: what they differ by */
};

/* WR_E_DOMAIN: a variant that cannot be run through the base's days. */
WR_MUST_CHECK enum wr_status wr_timelines_run(struct wr_timelines *t, const struct wr_variant *base,
                                              const struct wr_variant *alternative, size_t n_alternative,
                                              const struct wr_whatif_options *options, struct wr_error *err);
void wr_timelines_release(struct wr_timelines *t);
