#include "small_campaign.h"

#include <check.h>
#include "made_plan.h"

static void make_plan(struct wr_plan *plan)
{
    made_plan_add(plan, "OUT", "EV1+EV2", "");
    made_plan_add(plan, "REACH", "EV1", "");
    made_plan_add(plan, "LAMP", "EV2", "");
    made_plan_add(plan, "BOLTS", "EV1", "LAMP");
    made_plan_add(plan, "CABLE", "EV2", "");
    made_plan_add(plan, "REEL", "EV2", "");
    made_plan_add(plan, "IN", "EV1+EV2", "");
    made_plan_finish(plan);
}

static void fit(struct small_campaign *c)
{
    struct wr_findings unused = {0};
    struct wr_error err;

    ck_assert_msg(wr_model_fit(&c->fit, &c->plan, &c->timing, &c->options, &unused, &err) == WR_OK, "%s", err.text);
    wr_findings_release(&unused);
}

void small_campaign_make(struct small_campaign *c, size_t n_run, const struct made_truth *truth, unsigned long seed)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);

    gsl_rng_set(rng, seed);
    make_plan(&c->plan);
    ck_assert_int_eq(wr_network_build(&c->net, &c->plan, NULL), WR_OK);
    made_timing_init(&c->timing, SMALL_TASKS, n_run, SMALL_LANES);
    made_timing_rehearse(&c->timing, truth, rng);
    made_timing_replay(&c->timing, &c->net);
    c->options = wr_fit_options_default();
    c->options.sampler =
        (struct wr_sampler_options){.n_chain = 1, .n_burn = 80, .n_keep = 80, .thin = 2, .seed = 1, .n_thread = 1};
    fit(c);
    gsl_rng_free(rng);
}

void small_campaign_refit(struct small_campaign *c)
{
    wr_model_fit_release(&c->fit);
    fit(c);
}

struct wr_basis small_campaign_basis(const struct small_campaign *c)
{
    return (struct wr_basis){
        .plan = &c->plan, .net = &c->net, .timing = &c->timing, .fit_options = &c->options, .fit = &c->fit};
}

void small_campaign_release(struct small_campaign *c)
{
    wr_model_fit_release(&c->fit);
    made_timing_release(&c->timing);
    wr_network_release(&c->net);
    made_plan_release(&c->plan);
    *c = (struct small_campaign){0};
}
