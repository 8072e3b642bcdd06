/* The excursion limit and the wanted confidence moved about, computed at once for who wants to try: the probability of
 * going over the limit at every whole minute where something happens, as `forecast --limit` would state it, and the
 * cut-offs at a few of them for a few wishes, as `cutoff --limit --confidence` would. The other limits stay as they
 * are. */
#pragma once

#include "wetrun/decide/basis.h"
#include "wetrun/decide/cutoff.h"
#include "wetrun/sim/scenarios.h"

enum { WR_OTHER_CONFIDENCES = 4, WR_OTHER_CUTOFFS = 3 };

struct wr_other_limits { /* start as {0} */
    size_t n_limit, given_limit;      /* given_limit: index of the limit as it is, whose number stands there
                                         unrounded */
    double *limit_min;                /* [n_limit] rising */
    struct wr_probability *over;      /* [n_limit] */
    size_t n_confidence, given_confidence;
    double confidence[WR_OTHER_CONFIDENCES]; /* rising */
    size_t n_cut;                     /* 0: cut-offs were not worked out */
    size_t cut_limit[WR_OTHER_CUTOFFS]; /* indices into limit_min, rising */
    struct wr_cutoff_card card;       /* list[cut * n_confidence + confidence]: of the excursion limit alone */
};

struct wr_other_options {
    struct wr_sim_options sim;        /* as the forecast's; its first limit must not be a clock */
    struct wr_cutoff_limit first;     /* the excursion limit with its confidence */
    struct wr_cutoff_options cutoff;  /* as the card's */
};

/* forecast: of the same basis; says where something happens. days: those of the cut-offs; NULL: no cut-offs. */
WR_MUST_CHECK enum wr_status wr_other_limits_make(struct wr_other_limits *other, const struct wr_basis *basis,
                                                  const struct wr_forecast *forecast, const struct wr_scenarios *days,
                                                  const struct wr_other_options *options, struct wr_error *err);
void wr_other_limits_release(struct wr_other_limits *other);
