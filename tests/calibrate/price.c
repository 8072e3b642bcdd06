#include "price.h"

#include <math.h>
#include "fitted_campaign.h"
#include "wetrun/base/memory.h"
#include "wetrun/base/parallel.h"
#include "wetrun/decide/runs_needed.h"
#include "wetrun/model/durations.h"
#include "wetrun/stats/summary.h"

static const size_t further[PRICE_FURTHER] = {1, 2, 4};

struct found { double width_now, width_said[PRICE_FURTHER], width_really[PRICE_FURTHER], clear_said[PRICE_FURTHER],
                      clear_really[PRICE_FURTHER]; };

struct job {
    const struct made_setting *setting;
    uint64_t seed;
    struct found *found;
};

/* The model as it stands after the first n_run rehearsals, for the run at target_order. */
struct known { struct wr_model_fit fit; struct wr_durations durations; struct wr_findings findings; };

static void learn(struct known *k, const struct made_campaign *c, const struct wr_model_fit *all,
                  const struct wr_fit_options *options, size_t n_run, double target_order)
{
    struct wr_model_table table = {0};
    struct wr_error err;
    unsigned char *keep = WR_NEW_ARRAY(unsigned char, all->data.n_run);

    *k = (struct known){0};
    for (size_t r = 0; r < n_run; r++) keep[r] = 1;
    wr_model_table_keep_runs(&table, &all->data, keep, target_order);
    must(wr_model_refit(&k->fit, all, &table, options, &err), &err);
    must(wr_durations_build(&k->durations, &c->plan, &c->net, &c->timing, &k->fit, NULL, options, &k->findings, &err),
         &err);
    wr_free(keep);
}

static void forget(struct known *k)
{
    wr_durations_release(&k->durations);
    wr_model_fit_release(&k->fit);
    wr_findings_release(&k->findings);
}

static struct wr_probability over_of(const struct known *k, const struct made_campaign *c,
                                     const struct wr_sim_limit *limit, uint64_t seed)
{
    const struct wr_sim_options sim = {.seed = seed, .n_thread = 1, .limit = limit, .n_limit = 1};
    double *by_draw = WR_NEW_ARRAY(double, k->durations.n_draw);
    struct wr_probability over;
    struct wr_error err;

    must(wr_forecast_over(by_draw, &over, &c->net, &k->durations, &sim, 0, &err), &err);
    wr_free(by_draw);
    return over;
}

/* Minutes that one finish in five passes, as forecast. */
static double limit_of(const struct known *k, const struct made_campaign *c, uint64_t seed)
{
    const struct wr_sim_options sim = {.n_trial = 20000, .seed = seed, .n_thread = 1};
    struct wr_forecast f = {0};
    struct wr_error err;

    must(wr_forecast_run(&f, &c->net, &k->durations, &sim, &err), &err);
    double minutes = f.quantile_min[6]; /* 0.8 */
    wr_forecast_release(&f);
    return minutes;
}

static void one_campaign(void *arg, size_t number)
{
    struct job *job = arg;
    struct found *found = &job->found[number];
    struct made_setting longer = *job->setting;
    struct wr_fit_options options = wr_fit_options_default();
    struct wr_runs_needed_options asked = wr_runs_needed_default();
    struct wr_runs_needed needed = {0};
    struct made_campaign c;
    struct wr_model_fit all = {0};
    struct wr_findings findings = {0};
    struct wr_error err;
    struct known now, then;
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    size_t n_run = job->setting->n_run;
    double target = (double)n_run + 1;

    gsl_rng_set(rng, (unsigned long)(job->seed * 100003u + number));
    longer.n_run = n_run + further[PRICE_FURTHER - 1];
    made_campaign_make(&c, &longer, (enum made_design)(number % MADE_DESIGNS), rng);
    /* the interval is studied, not the rule that nothing is inside on few complete rehearsals */
    for (size_t r = 0; r < c.timing.n_run; r++) c.timing.run[r].complete = true;
    options.sampler = (struct wr_sampler_options){.n_chain = 2, .n_burn = 200, .n_keep = 600, .thin = 3,
                                                  .seed = job->seed + number, .n_thread = 1};
    must(wr_model_fit(&all, &c.plan, &c.timing, &options, &findings, &err), &err);
    learn(&now, &c, &all, &options, n_run, target);
    const struct wr_sim_limit limit = {.lanes = (1u << MADE_LANES) - 1, .minutes = limit_of(&now, &c, job->seed)};
    asked.n_refit = 48;
    asked.confidence = 0.9;
    asked.seed = job->seed + number;
    asked.n_thread = 1;
    const struct wr_basis basis = {.plan = &c.plan, .net = &c.net, .timing = &c.timing, .fit_options = &options,
                                   .fit = &now.fit, .durations = &now.durations, .limit = &limit, .n_limit = 1};
    must(wr_runs_needed_make(&needed, &basis, &asked, &err), &err);
    found->width_now = needed.width;
    for (size_t i = 0; i < PRICE_FURTHER; i++) {
        learn(&then, &c, &all, &options, n_run + further[i], target);
        struct wr_probability over = over_of(&then, &c, &limit, job->seed + number);
        found->width_said[i] = needed.row[i].width.value;
        found->width_really[i] = over.hi - over.lo;
        found->clear_said[i] = needed.row[i].clear_inside.value + needed.row[i].clear_outside.value;
        found->clear_really[i] = wr_verdict_on(&over, 0.9) != WR_VERDICT_CANNOT_TELL;
        forget(&then);
    }
    wr_runs_needed_release(&needed);
    forget(&now);
    wr_model_fit_release(&all);
    wr_findings_release(&findings);
    made_campaign_release(&c);
    gsl_rng_free(rng);
}

static double mean_of(const double *first, size_t n, double *error)
{
    size_t stride = sizeof(struct found) / sizeof(double);
    double *value = WR_NEW_ARRAY(double, n);

    for (size_t i = 0; i < n; i++) value[i] = first[i * stride];
    struct wr_summary s = wr_summarise(value, n);
    if (error) *error = s.sd.known ? s.sd.value / sqrt((double)n) : 0;
    wr_free(value);
    return s.mean;
}

void price_of_setting(struct price_study *study, const struct made_setting *setting, size_t n_campaign, uint64_t seed,
                      unsigned n_thread)
{
    struct job job = {setting, seed, WR_NEW_ARRAY(struct found, n_campaign)};
    struct found *f = job.found;

    wr_parallel_for(n_campaign, n_thread, one_campaign, &job);
    study->width_now = mean_of(&f->width_now, n_campaign, NULL);
    for (size_t i = 0; i < PRICE_FURTHER; i++) {
        struct price_row *row = &study->row[i];
        row->further = further[i];
        row->width_said = mean_of(&f->width_said[i], n_campaign, NULL);
        row->width_really = mean_of(&f->width_really[i], n_campaign, NULL);
        row->clear_said = mean_of(&f->clear_said[i], n_campaign, NULL);
        row->clear_really = mean_of(&f->clear_really[i], n_campaign, NULL);
        for (size_t j = 0; j < n_campaign; j++) { /* from here on the differences */
            f[j].width_really[i] -= f[j].width_said[i];
            f[j].clear_really[i] -= f[j].clear_said[i];
        }
        row->width_difference = mean_of(&f->width_really[i], n_campaign, &row->width_error);
        row->clear_difference = mean_of(&f->clear_really[i], n_campaign, &row->clear_error);
    }
    wr_free(f);
}
