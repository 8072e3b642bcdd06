#include "fitted_campaign.h"

#include <stdio.h>
#include <stdlib.h>

void must(enum wr_status status, const struct wr_error *err)
{
    if (status == WR_OK) return;
    fprintf(stderr, "calibrate: %s\n", err->text);
    exit(3);
}

void fitted_campaign_make(struct fitted_campaign *c, const struct made_setting *setting, uint64_t seed, size_t number,
                          bool skew)
{
    struct made_campaign *m = &c->made;
    struct wr_error err;

    *c = (struct fitted_campaign){.rng = gsl_rng_alloc(gsl_rng_mt19937), .options = wr_fit_options_default()};
    gsl_rng_set(c->rng, (unsigned long)(seed * 100003u + number));
    made_campaign_make(m, setting, (enum made_design)(number % MADE_DESIGNS), c->rng);
    c->options.priors.skew = skew;
    c->options.sampler = (struct wr_sampler_options){.n_chain = 2, .n_burn = 200, .n_keep = 400, .thin = 4,
                                                     .seed = seed + number, .n_thread = 1};
    must(wr_model_fit(&c->fit, &m->plan, &m->timing, &c->options, &c->findings, &err), &err);
    must(wr_durations_build(&c->durations, &m->plan, &m->net, &m->timing, &c->fit, NULL, &c->options, &c->findings,
                            &err), &err);
    c->basis = (struct wr_basis){.plan = &m->plan, .net = &m->net, .timing = &m->timing, .fit_options = &c->options,
                                 .fit = &c->fit, .durations = &c->durations};
}

void fitted_campaign_release(struct fitted_campaign *c)
{
    wr_durations_release(&c->durations);
    wr_model_fit_release(&c->fit);
    wr_findings_release(&c->findings);
    made_campaign_release(&c->made);
    gsl_rng_free(c->rng);
}
