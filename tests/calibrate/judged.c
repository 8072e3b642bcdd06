#include "judged.h"

#include <gsl/gsl_randist.h>
#include <math.h>
#include "fitted_campaign.h"
#include "made_campaign.h"
#include "wetrun/base/memory.h"
#include "wetrun/base/parallel.h"
#include "wetrun/sim/forecast.h"
#include "wetrun/stats/quantile.h"

enum { TRUE_DAYS = 20000, FORECAST_DAYS = 40000 };
static const double far = 2.5758293035489004; /* 99.5 % */

struct job { enum judges judges; double tau; uint64_t seed; double (*held)[N_TREATMENT], (*passed)[N_TREATMENT]; };

static void judge_task(struct wr_plan_task *t, double mu, double sigma, enum judges judges, const gsl_rng *rng)
{
    double down = far * sigma, up = far * sigma, mode = -sigma * sigma;

    if (judges >= JUDGES_OFF) mu += gsl_ran_gaussian(rng, 0.2);
    if (judges == JUDGES_SHORT) {
        mu -= log(1.2);
        down /= 1.15;
        up /= 1.15;
    }
    if (judges == JUDGES_BLIND_ABOVE) {
        mu += log(0.8);
        up = sigma;
    }
    t->planned_min = WR_UNKNOWN;
    t->low_min = wr_known(exp(mu - down));
    t->likely_min = wr_known(exp(mu + mode));
    t->high_min = wr_known(exp(mu + up));
}

static double share_below(const double *sorted, double x)
{
    size_t n = 0;

    while (n < TRUE_DAYS && sorted[n] <= x) n++;
    return (double)n / TRUE_DAYS;
}

static void treat(struct job *job, size_t number, const struct made_campaign *c, const double *finish, int treatment)
{
    struct wr_fit_options options = wr_fit_options_default();
    const struct wr_sim_options sim = {.n_trial = FORECAST_DAYS, .seed = job->seed + number, .n_thread = 1};
    struct wr_model_fit fit = {0};
    struct wr_durations d = {0};
    struct wr_findings findings = {0};
    struct wr_forecast f = {0};
    struct wr_error err;

    options.sampler.seed = job->seed + number;
    options.sampler.n_thread = 1;
    if (treatment == TREAT_SHORT) options.judging = WR_JUDGED_SHORT;
    must(wr_model_fit(&fit, &c->plan, &c->timing, &options, &findings, &err), &err);
    must(wr_durations_build(&d, &c->plan, &c->net, &c->timing, &fit, NULL, &options, &findings, &err), &err);
    for (size_t i = 0; treatment == TREAT_ALONE && i < d.n_draw; i++) d.tau[i] = 1e-9;
    must(wr_forecast_run(&f, &c->net, &d, &sim, &err), &err);
    job->held[number][treatment] =
        share_below(finish, f.quantile_min[7]) - share_below(finish, f.quantile_min[2]); /* 0.9, 0.1 */
    job->passed[number][treatment] = 1 - share_below(finish, f.quantile_min[8]);         /* 0.95 */
    wr_forecast_release(&f);
    wr_durations_release(&d);
    wr_model_fit_release(&fit);
    wr_findings_release(&findings);
}

static void one_plan(void *arg, size_t number)
{
    struct job *job = arg;
    const struct made_setting setting = {MADE_LOGNORMAL, 2, job->tau, 0, 0};
    struct made_campaign c;
    double minutes[MADE_TASKS], end[MADE_TASKS], *finish = WR_NEW_ARRAY(double, TRUE_DAYS);
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);

    gsl_rng_set(rng, (unsigned long)(job->seed * 100003u + number));
    made_campaign_make(&c, &setting, MADE_SWAP, rng);
    c.timing.n_run = 0; /* nothing was rehearsed */
    for (size_t k = 0; k < MADE_TASKS; k++) judge_task(&c.plan.task[k], c.mu[k], c.sigma[k], job->judges, rng);
    for (size_t i = 0; i < TRUE_DAYS; i++) {
        made_campaign_next(&c, rng, minutes);
        finish[i] = wr_network_forward(&c.net, minutes, NULL, end, NULL);
    }
    wr_sort_ascending(finish, TRUE_DAYS);
    for (int t = 0; t < N_TREATMENT; t++) treat(job, number, &c, finish, t);
    made_campaign_release(&c);
    gsl_rng_free(rng);
    wr_free(finish);
}

void judged_study_run(struct judged_study *s, enum judges judges, double tau, size_t n_plan, uint64_t seed,
                      unsigned n_thread)
{
    struct job job = {judges, tau, seed, wr_alloc(n_plan, sizeof *job.held), wr_alloc(n_plan, sizeof *job.passed)};

    *s = (struct judged_study){0};
    wr_parallel_for(n_plan, n_thread, one_plan, &job);
    for (size_t i = 0; i < n_plan; i++)
        for (int t = 0; t < N_TREATMENT; t++) {
            s->held80[t] += job.held[i][t] / (double)n_plan;
            s->passed95[t] += job.passed[i][t] / (double)n_plan;
        }
    wr_free(job.held);
    wr_free(job.passed);
}
