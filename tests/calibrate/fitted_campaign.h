/* A made campaign with the model fitted to it, as several studies take it. */
#pragma once
#include "made_campaign.h"
#include "wetrun/decide/basis.h"

/* A study that meets a status other than WR_OK ends. */
void must(enum wr_status status, const struct wr_error *err);

struct fitted_campaign {
    struct made_campaign made;
    gsl_rng *rng;            /* that it was made with, for its truth from then on */
    struct wr_fit_options options; /* a short chain, one thread */
    struct wr_model_fit fit;
    struct wr_durations durations;
    struct wr_findings findings;
    struct wr_basis basis;   /* of the above; no limits */
};
/* Campaign `number` of a study with that seed; its design goes round. Not to be copied: its basis points into it. */
void fitted_campaign_make(struct fitted_campaign *c, const struct made_setting *setting, uint64_t seed, size_t number,
                          bool skew);
void fitted_campaign_release(struct fitted_campaign *c);
