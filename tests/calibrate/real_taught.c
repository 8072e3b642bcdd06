#include "real_taught.h"

#include <math.h>
#include <string.h>
#include "wetrun/base/memory.h"
#include "wetrun/base/parallel.h"
#include "wetrun/model/earlier.h"
#include "wetrun/sim/forecast.h"

enum { SIX = 6 };

static struct wr_fit_options options_for(uint64_t seed)
{
    struct wr_fit_options o = wr_fit_options_default();

    o.sampler =
        (struct wr_sampler_options){.n_chain = 2, .n_burn = 200, .n_keep = 400, .thin = 4, .seed = seed, .n_thread = 1};
    return o;
}

/* The same records with no flights before or from that day on. */
static struct real_days half_of(const struct real_days *d, size_t day, bool before)
{
    struct real_days half = *d;
    size_t n = d->n_flight * d->n_day * REAL_PARTS;

    half.minutes = WR_NEW_ARRAY(float, n);
    for (size_t i = 0; i < n; i++)
        if ((i / REAL_PARTS % d->n_day < day) == before) half.minutes[i] = d->minutes[i];
    return half;
}

static size_t last_day(const struct real_days *d)
{
    size_t last = 0;

    for (size_t i = 0; i < d->n_flight * d->n_day; i++)
        if (d->minutes[i * REAL_PARTS] > 0 && i % d->n_day > last) last = i % d->n_day;
    return last;
}

struct earlier_one { struct real_campaign campaign; struct wr_model_fit fit; struct wr_fit_options options; };

struct job {
    struct real_days first, second;
    struct earlier_one *earlier; /* [TAUGHT_EARLIER] */
    uint64_t seed;
    struct real_score (*score)[TAUGHT_WAYS];
};

static void fit_earlier(void *arg, size_t number)
{
    struct job *job = arg;
    struct earlier_one *one = &job->earlier[number];
    struct wr_findings findings = {0};
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);

    gsl_rng_set(rng, (unsigned long)(job->seed * 900001u + number));
    real_campaign_cut(&one->campaign, &job->first, TAUGHT_RUNS, rng);
    one->options = options_for(job->seed + number);
    WR_BUG_IF(wr_model_fit(&one->fit, &one->campaign.plan, &one->campaign.timing, &one->options, &findings, NULL) !=
              WR_OK);
    wr_findings_release(&findings);
    gsl_rng_free(rng);
}

/* n of the earlier campaigns, from a random one on. */
static struct wr_priors taught_by(const struct job *job, size_t n, size_t from, const struct wr_model_fit *present,
                                  const struct wr_fit_options *options, bool days_only)
{
    struct wr_priors priors = options->priors;
    struct wr_earlier e = {0};
    const struct wr_telling now = {NULL, present, options};

    for (size_t j = 0; j < n; j++) {
        const struct earlier_one *one = &job->earlier[(from + j) % TAUGHT_EARLIER];
        const struct wr_telling telling = {NULL, &one->fit, &one->options};
        wr_earlier_add(&e, "", &telling, present->target_order);
    }
    wr_earlier_combine(&e, &now);
    for (int w = 0; w < WR_N_COMMON; w++)
        if (!days_only || w == WR_COMMON_TAU || w == WR_COMMON_GAMMA)
            wr_prior_learn(&priors, (enum wr_common)w, &e.law[w]);
    wr_earlier_release(&e);
    return priors;
}

static void one_campaign(void *arg, size_t number)
{
    static const size_t runs[] = {4, 6, 10};
    struct job *job = arg;
    struct real_score *score = job->score[number];
    struct real_campaign c;
    struct wr_fit_options options = options_for(job->seed + number);
    struct wr_model_fit fit = {0};
    struct wr_findings findings = {0};
    double quantile_min[WR_N_QUANTILE];
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);

    gsl_rng_set(rng, (unsigned long)(job->seed * 100003u + number));
    real_campaign_cut(&c, &job->second, runs[number % 3], rng);
    WR_BUG_IF(wr_model_fit(&fit, &c.plan, &c.timing, &options, &findings, NULL) != WR_OK);
    const struct wr_fit_options usual = options;
    size_t from = gsl_rng_uniform_int(rng, TAUGHT_EARLIER);
    for (int w = 0; w < TAUGHT_TOTALS; w++) {
        if (w == TAUGHT_BY_SIX) options.priors = taught_by(job, SIX, from, &fit, &usual, false);
        if (w >= TAUGHT_BY_ALL) options.priors = taught_by(job, TAUGHT_EARLIER, 0, &fit, &usual, w == TAUGHT_DAYS_ONLY);
        real_forecast(&c, &options, quantile_min);
        score[w] = real_score_of(quantile_min, c.next_min);
    }
    real_totals(&c, quantile_min);
    score[TAUGHT_TOTALS] = real_score_of(quantile_min, c.next_min);
    wr_model_fit_release(&fit);
    wr_findings_release(&findings);
    real_campaign_release(&c);
    gsl_rng_free(rng);
}

static void add_up(struct taught_study *s, struct real_score (*score)[TAUGHT_WAYS], size_t n_campaign, int w)
{
    double n = (double)n_campaign, width2 = 0, score2 = 0;

    for (size_t i = 0; i < n_campaign; i++) {
        const struct real_score *one = &score[i][w], *without = &score[i][TAUGHT_NOTHING];
        double wider = log(one->width80_min / without->width80_min), worse = one->score - without->score;
        s->mean[w].score += one->score / n;
        s->mean[w].held80 += one->held80 / n;
        s->mean[w].held95 += one->held95 / n;
        s->mean[w].passed95 += one->passed95 / n;
        s->mean[w].width80_min += one->width80_min / n;
        s->log_width[w] += wider / n;
        s->score_off[w] += worse / n;
        width2 += wider * wider / n;
        score2 += worse * worse / n;
    }
    s->log_width_error[w] = sqrt(fmax(0, width2 - s->log_width[w] * s->log_width[w]) / (n - 1));
    s->score_error[w] = sqrt(fmax(0, score2 - s->score_off[w] * s->score_off[w]) / (n - 1));
}

void taught_study_run(struct taught_study *s, const struct real_days *d, size_t n_campaign, uint64_t seed,
                      unsigned n_thread)
{
    size_t middle = last_day(d) / 2;
    struct job job = {half_of(d, middle, true), half_of(d, middle, false),
                      wr_alloc(TAUGHT_EARLIER, sizeof *job.earlier), seed, wr_alloc(n_campaign, sizeof *job.score)};

    *s = (struct taught_study){0};
    wr_parallel_for(TAUGHT_EARLIER, n_thread, fit_earlier, &job);
    wr_parallel_for(n_campaign, n_thread, one_campaign, &job);
    for (int w = 0; w < TAUGHT_WAYS; w++) add_up(s, job.score, n_campaign, w);
    for (size_t j = 0; j < TAUGHT_EARLIER; j++) {
        wr_model_fit_release(&job.earlier[j].fit);
        real_campaign_release(&job.earlier[j].campaign);
    }
    wr_free(job.first.minutes);
    wr_free(job.second.minutes);
    wr_free(job.earlier);
    wr_free(job.score);
}
