#include "cutoff_held.h"

#include <math.h>
#include "fitted_campaign.h"
#include "wetrun/base/memory.h"
#include "wetrun/base/parallel.h"
#include "wetrun/decide/cutoff.h"

enum { TRIALS = 8000, TRUE_TRIALS = 16000 };

struct of_campaign { size_t n, n_below; double sum; };
struct job { const struct made_setting *setting; double confidence; uint64_t seed; struct of_campaign *found; };

/* The true law in the form of a model whose parameters are known. */
static void durations_of_truth(struct wr_durations *d, const struct made_campaign *c, const struct wr_durations *like)
{
    *d = (struct wr_durations){.n_task = MADE_TASKS,
                               .n_draw = 1,
                               .n_lane = MADE_LANES,
                               .n_line_up = 1,
                               .source = WR_NEW_ARRAY(struct wr_source, MADE_TASKS),
                               .centre_log = WR_NEW_ARRAY(double, MADE_TASKS),
                               .spread_log = WR_NEW_ARRAY(double, MADE_TASKS),
                               .tau = WR_NEW(double),
                               .rho = WR_NEW(double),
                               .kappa = WR_NEW(double),
                               .line_up = WR_NEW_ARRAY(int, MADE_LANES),
                               .lanes = WR_NEW_ARRAY(uint32_t, MADE_TASKS),
                               .stream = WR_NEW_ARRAY(uint64_t, MADE_TASKS)};
    d->tau[0] = c->setting.tau;
    for (size_t l = 0; l < MADE_LANES; l++) d->line_up[l] = WR_PERSON_NONE;
    for (size_t k = 0; k < MADE_TASKS; k++) {
        d->source[k] = (struct wr_source){.kind = WR_SRC_MODEL};
        d->centre_log[k] = c->mu[k] + c->setting.gamma * log((double)c->setting.n_run + 1.0);
        d->spread_log[k] = c->sigma[k];
        d->lanes[k] = like->lanes[k];
        d->stream[k] = like->stream[k];
    }
}

static double limit_of(const struct wr_basis *basis, uint64_t seed)
{
    const struct wr_sim_options sim = {.n_trial = 20000, .seed = seed, .n_thread = 1};
    struct wr_forecast f = {0};
    struct wr_error err;

    must(wr_forecast_run(&f, basis->net, basis->durations, &sim, &err), &err);
    double minutes = f.quantile_min[8]; /* 0.95 */
    wr_forecast_release(&f);
    return minutes;
}

static void judge(struct of_campaign *found, const struct wr_cutoff_list *list, size_t n_row,
                  const struct made_campaign *c, const struct wr_durations *truth, uint64_t seed)
{
    const struct wr_cutoff_options plain = {.n_thread = 1};
    struct wr_scenarios days = {0};
    struct wr_error err;

    wr_scenarios_make(&days, truth, TRUE_TRIALS, seed + 1, 1);
    for (size_t i = 0; i < n_row; i++) {
        const struct wr_cutoff_row *row = &list->row[i];
        double inside, effective;
        if (row->reason != WR_CUTOFF_FOUND || row->drop_rule_first) continue;
        must(wr_cutoff_curve(&inside, &effective, &row->latest_start_min, 1, row->task, &c->net, truth, &days,
                             &list->limit, &plain, &err),
             &err);
        if (effective < WR_CUTOFF_LEAST_EFFECTIVE) continue;
        found->n++;
        found->sum += inside;
        found->n_below += inside < 0.8;
    }
    wr_scenarios_release(&days);
}

static void one_campaign(void *arg, size_t number)
{
    struct job *job = arg;
    struct fitted_campaign c;
    struct wr_durations truth;
    struct wr_scenarios days = {0};
    struct wr_cutoff_card card = {0};
    struct wr_error err;

    fitted_campaign_make(&c, job->setting, job->seed, number, wr_fit_options_default().priors.skew);
    const struct wr_cutoff_limit limit = {
        {.lanes = (1u << MADE_LANES) - 1, .minutes = limit_of(&c.basis, job->seed)}, job->confidence};
    const struct wr_cutoff_options plain = {.n_thread = 1};
    wr_scenarios_make(&days, &c.durations, TRIALS, job->seed + number, 1);
    must(wr_cutoff_make(&card, &c.basis, &days, &limit, 1, &plain, &err), &err);
    durations_of_truth(&truth, &c.made, &c.durations);
    judge(&job->found[number], &card.list[0], card.n_row, &c.made, &truth, job->seed + number);
    wr_durations_release(&truth);
    wr_cutoff_release(&card);
    wr_scenarios_release(&days);
    fitted_campaign_release(&c);
}

void held_study_of_setting(struct held_study *s, const struct made_setting *setting, double confidence,
                           size_t n_campaign, uint64_t seed, unsigned n_thread)
{
    struct job job = {setting, confidence, seed, WR_NEW_ARRAY(struct of_campaign, n_campaign)};
    double n = 0, squares = 0;

    *s = (struct held_study){.n_campaign = n_campaign};
    wr_parallel_for(n_campaign, n_thread, one_campaign, &job);
    for (size_t i = 0; i < n_campaign; i++) {
        n += (double)job.found[i].n;
        s->true_prob += job.found[i].sum;
        s->below_80 += (double)job.found[i].n_below;
    }
    s->n_cutoff = (size_t)n;
    s->true_prob /= n;
    s->below_80 /= n;
    for (size_t i = 0; i < n_campaign; i++) squares += pow(job.found[i].sum - (double)job.found[i].n * s->true_prob, 2);
    s->true_prob_error = sqrt(squares) / n;
    wr_free(job.found);
}
