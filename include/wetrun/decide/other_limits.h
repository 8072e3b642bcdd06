/* The excursion limit and the wanted confidence moved about, computed at once for who wants to try: the probability of
 * going over the limit at every whole minute where something happens, as `forecast --limit` would state it, and the
 * cut-offs at a few of them for a few wishes, as `cutoff --limit --confidence` would: these from the looks at the days
 * that the card takes (wr_cutoff_options.n_beside). The other limits stay as they are. */
#pragma once

#include "wetrun/decide/basis.h"
#include "wetrun/decide/beside.h"
#include "wetrun/decide/cutoff.h"
#include "wetrun/decide/stuck.h"
#include "wetrun/decide/whatif.h"

enum { WR_OTHER_CONFIDENCES = 4, WR_OTHER_CUTOFFS = 3 };

struct wr_other_limits { /* start as {0} */
    size_t n_limit, given_limit;      /* given_limit: index of the limit as it is, whose number stands there
                                         unrounded */
    double *limit_min;                /* [n_limit] rising */
    struct wr_probability *over;      /* [n_limit] */
    struct wr_second *second;         /* [n_limit] the worse answer; NULL: there is none */
    double *longer_over;              /* [n_limit] the mean of over where the tasks that get longer take what their own
                                         trends say; NULL: none does */
    bool longer_beside;               /* they decide of a limit that stays as it is (decide/lengthens.h) */
    struct wr_stuck_over *stuck;      /* [n_limit] where what was not stuck gets stuck as well; NULL: nothing was */
    bool stuck_beside;                /* it decides of a limit that stays as it is (decide/stuck.h) */
    size_t n_confidence, given_confidence;
    double confidence[WR_OTHER_CONFIDENCES]; /* rising */
    size_t n_cut;                     /* 0: too many tasks for cut-offs */
    size_t cut_limit[WR_OTHER_CUTOFFS]; /* indices into limit_min, rising */
    struct wr_cutoff_card card;       /* list[cut * n_confidence + confidence]: of the excursion limit alone; NULL: not
                                         worked out */
};

/* All but the cut-offs. forecast: of the same basis; says where something happens. sim: as the forecast's; first: the
 * excursion limit, no clock, with its confidence. */
WR_MUST_CHECK enum wr_status wr_other_limits_make(struct wr_other_limits *other, const struct wr_basis *basis,
                                                  const struct wr_forecast *forecast, const struct wr_sim_options *sim,
                                                  const struct wr_cutoff_limit *first, struct wr_error *err);
/* The same under a worse assumption that may be as right, into `second`. */
WR_MUST_CHECK enum wr_status wr_other_limits_beside(struct wr_other_limits *other, const struct wr_basis *basis,
                                                    const struct wr_beside *beside, const struct wr_sim_options *sim,
                                                    struct wr_error *err);
/* The same with tasks that take longer by `scale` (struct wr_variant), into `longer_over`, on the same days. base: the
 * timeline as it is, with the limits as they are given. */
WR_MUST_CHECK enum wr_status wr_other_limits_longer(struct wr_other_limits *other, const struct wr_variant *base,
                                                    const double *scale, const struct wr_whatif_options *options,
                                                    struct wr_error *err);
/* The same on days on which what was not stuck gets stuck as well, into `stuck`. */
void wr_other_limits_stuck(struct wr_other_limits *other, const struct wr_basis *basis, const struct wr_stuck *stuck,
                           uint64_t seed, unsigned n_thread);
/* What cut-offs are wanted of: limit[WR_OTHER_CUTOFFS * WR_OTHER_CONFIDENCES]; returns how many. Then takes their
 * lists, the card's last, out of the card. */
size_t wr_other_limits_wish(const struct wr_other_limits *other, const struct wr_sim_limit *first,
                            struct wr_cutoff_limit *limit);
void wr_other_limits_take(struct wr_other_limits *other, struct wr_cutoff_card *card);
void wr_other_limits_release(struct wr_other_limits *other);
