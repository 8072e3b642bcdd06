#include "coverage.h"

#include <gsl/gsl_randist.h>
#include <math.h>
#include <stdio.h>
#include <string.h>
#include "wetrun/base/memory.h"
#include "wetrun/base/parallel.h"
#include "wetrun/model/durations.h"
#include "wetrun/sim/forecast.h"
#include "wetrun/stats/quantile.h"

enum { TRUTHS = COVERAGE_TRUTHS, PER_DRAW = 20, ALONE_DAYS = 10000, TASK_EVERY = 8 };

/* Simulated days: the finish of each, and the minutes of every task in one of eight; sorted when done. */
struct days { size_t n, n_task_day; double *finish, *task; /* [task * n_task_day + day] */ };

static struct days days_alloc(size_t n)
{
    size_t few = (n + TASK_EVERY - 1) / TASK_EVERY;

    return (struct days){n, few, WR_NEW_ARRAY(double, n), WR_NEW_ARRAY(double, MADE_TASKS * few)};
}

static void days_release(struct days *d)
{
    wr_free(d->finish);
    wr_free(d->task);
}

static void days_sort(struct days *d)
{
    wr_sort_ascending(d->finish, d->n);
    for (size_t k = 0; k < MADE_TASKS; k++) wr_sort_ascending(d->task + k * d->n_task_day, d->n_task_day);
}

static void keep_day(struct days *d, size_t day, double finish, const double *minutes, double factor)
{
    d->finish[day] = finish * factor;
    for (size_t k = 0; day % TASK_EVERY == 0 && k < MADE_TASKS; k++)
        d->task[k * d->n_task_day + day / TASK_EVERY] = minutes[k] * factor;
}

static double at(const double *sorted, size_t n, double prob)
{
    return wr_quantile_of_sorted(sorted, n, prob, WR_QUANTILE_TYPE_7);
}

/* Share of the sorted values that are at most x. */
static double share_below(const double *sorted, size_t n, double x)
{
    size_t lo = 0, hi = n;

    while (lo < hi) {
        size_t mid = (lo + hi) / 2;
        if (sorted[mid] <= x) lo = mid + 1;
        else hi = mid;
    }
    return (double)lo / (double)n;
}

static void simulate_truth(const struct made_campaign *c, const gsl_rng *rng, struct days *d)
{
    double minutes[MADE_TASKS], end[MADE_TASKS];

    for (size_t i = 0; i < d->n; i++) {
        made_campaign_next(c, rng, minutes);
        keep_day(d, i, wr_network_forward(&c->net, minutes, NULL, end, NULL), minutes, 1.0);
    }
}

/* People's part of a task in a day with this line-up. */
static double people_part(const struct wr_durations *d, const int *line_up, size_t task, size_t draw)
{
    double sum = 0.0, n = 0.0;

    for (size_t l = 0; l < d->n_lane; l++) {
        if (!(d->lanes[task] >> l & 1)) continue;
        if (line_up[l] >= 0) sum += d->q[(size_t)line_up[l] * d->n_draw + draw];
        n++;
    }
    return sum / n;
}

/* Minutes of the tasks in one day, run effect left out. The study has no strangers and no other sources. */
static void one_day(const struct wr_durations *d, size_t draw, const gsl_rng *rng, double *minutes)
{
    const int *line_up = d->line_up + gsl_rng_uniform_int(rng, d->n_line_up) * d->n_lane;
    double rho = d->rho[draw], c0 = sqrt(2.0 / M_PI), unit = sqrt(1.0 - c0 * c0 * rho * rho),
           rest = sqrt(1.0 - rho * rho);

    for (size_t k = 0; k < MADE_TASKS; k++) {
        double z = gsl_ran_gaussian_ziggurat(rng, 1.0);
        if (d->source[k].kind == WR_SRC_LOGNORMAL) {
            minutes[k] = exp(d->source[k].p[0] + d->source[k].p[1] * z);
            continue;
        }
        size_t i = k * d->n_draw + draw;
        double e = (rho * (fabs(gsl_ran_gaussian_ziggurat(rng, 1.0)) - c0) + rest * z) / unit;
        minutes[k] = exp(d->centre_log[i] + people_part(d, line_up, k, draw) + d->spread_log[i] * e);
    }
}

/* As many days from every draw. Every task carries the run effect, so it multiplies the finish. */
static void simulate_forecast(const struct made_campaign *c, const struct wr_durations *d, const gsl_rng *rng,
                              struct days *days)
{
    double minutes[MADE_TASKS], end[MADE_TASKS];
    size_t per_draw = days->n / d->n_draw;

    for (size_t i = 0; i < d->n_draw; i++)
        for (size_t j = 0; j < per_draw; j++) {
            one_day(d, i, rng, minutes);
            double finish = wr_network_forward(&c->net, minutes, NULL, end, NULL);
            keep_day(days, i * per_draw + j, finish, minutes, exp(gsl_ran_gaussian_ziggurat(rng, 1.0) * d->tau[i]));
        }
}

static double covered(const double *forecast, size_t n, const double *truth, size_t n_truth, double level)
{
    return share_below(truth, n_truth, at(forecast, n, 0.5 + 0.5 * level))
           - share_below(truth, n_truth, at(forecast, n, 0.5 - 0.5 * level));
}

static double task_cover(const struct days *forecast, const struct days *truth)
{
    double sum = 0.0;

    for (size_t k = 0; k < MADE_TASKS; k++)
        sum += covered(forecast->task + k * forecast->n_task_day, forecast->n_task_day,
                       truth->task + k * truth->n_task_day, truth->n_task_day, 0.8);
    return sum / MADE_TASKS;
}

/* Does the interval that the program gives for the overrun probability hold the true one? */
static double holds(const struct made_campaign *c, const struct wr_durations *d, double limit_min, double truth,
                    double *scratch)
{
    struct wr_sim_limit limit = {.lanes = 3, .minutes = limit_min};
    struct wr_sim_options options = {.seed = 1, .n_thread = 1, .limit = &limit, .n_limit = 1};
    struct wr_probability p;

    WR_BUG_IF(wr_forecast_over(scratch, &p, &c->net, d, &options, 8, NULL) != WR_OK);
    return p.lo <= truth && truth <= p.hi;
}

struct study { const struct made_setting *setting; uint64_t seed; double *value; unsigned char *disagree; };

static void judge_model(const struct made_campaign *c, const struct wr_durations *d, const gsl_rng *rng,
                        const struct days *truth, double *value)
{
    struct days days = days_alloc(d->n_draw * PER_DRAW);
    double *scratch = WR_NEW_ARRAY(double, d->n_draw);

    simulate_forecast(c, d, rng, &days);
    days_sort(&days);
    value[COVER_80] = covered(days.finish, days.n, truth->finish, truth->n, 0.80);
    value[COVER_95] = covered(days.finish, days.n, truth->finish, truth->n, 0.95);
    value[OVER_95] = 1.0 - share_below(truth->finish, truth->n, at(days.finish, days.n, 0.95));
    value[COVER_P_20] = holds(c, d, at(truth->finish, truth->n, 0.80), 0.20, scratch);
    value[COVER_P_5] = holds(c, d, at(truth->finish, truth->n, 0.95), 0.05, scratch);
    value[COVER_TASK_80] = task_cover(&days, truth);
    value[WIDTH_80] = (at(days.finish, days.n, 0.9) - at(days.finish, days.n, 0.1))
                      / (at(truth->finish, truth->n, 0.9) - at(truth->finish, truth->n, 0.1));
    wr_free(scratch);
    days_release(&days);
}

static void judge_usual(const struct made_campaign *c, const struct wr_durations *d, const gsl_rng *rng,
                        const struct days *truth, double *value)
{
    struct days days = days_alloc(ALONE_DAYS);

    simulate_forecast(c, d, rng, &days);
    days_sort(&days);
    value[USUAL_80] = covered(days.finish, days.n, truth->finish, truth->n, 0.80);
    value[USUAL_95] = covered(days.finish, days.n, truth->finish, truth->n, 0.95);
    value[USUAL_OVER_95] = 1.0 - share_below(truth->finish, truth->n, at(days.finish, days.n, 0.95));
    value[USUAL_TASK_80] = task_cover(&days, truth);
    days_release(&days);
}

static void judge(void *arg, size_t number)
{
    struct study *study = arg;
    double *value = study->value + number * COVERAGE_MEASURES;
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    struct made_campaign c;
    struct days truth = days_alloc(TRUTHS);
    struct wr_fit_options options = wr_fit_options_default();
    char people[64];

    gsl_rng_set(rng, (unsigned long)(study->seed * 100003u + number));
    made_campaign_make(&c, study->setting, (enum made_design)(number % MADE_DESIGNS), rng);
    simulate_truth(&c, rng, &truth);
    days_sort(&truth);
    options.sampler = (struct wr_sampler_options){
        .n_chain = 2, .n_burn = 200, .n_keep = 400, .thin = 4, .seed = study->seed + number, .n_thread = 1};
    if (study->setting->kappa > 0) {
        snprintf(people, sizeof people, "EV1=%s,EV2=%s", c.timing.person[c.pair[0]], c.timing.person[c.pair[1]]);
        options.people = people;
    }
    for (int m = WR_MODEL_POOLED; m <= WR_MODEL_ALONE; m++) {
        struct wr_model_fit fit = {0};
        struct wr_durations d = {0};
        struct wr_findings findings = {0};
        options.model = (enum wr_model_kind)m;
        WR_BUG_IF(wr_model_fit(&fit, &c.plan, &c.timing, &options, &findings, NULL) != WR_OK);
        WR_BUG_IF(wr_durations_build(&d, &c.plan, &c.net, &c.timing, &fit, NULL, &options, &findings, NULL) != WR_OK);
        if (m == WR_MODEL_POOLED) {
            judge_model(&c, &d, rng, &truth, value);
            study->disagree[number] = !fit.post.chains_agree;
        } else {
            judge_usual(&c, &d, rng, &truth, value);
        }
        wr_durations_release(&d);
        wr_model_fit_release(&fit);
        wr_findings_release(&findings);
    }
    days_release(&truth);
    made_campaign_release(&c);
    gsl_rng_free(rng);
}

void coverage_of_setting(struct coverage *c, const struct made_setting *setting, size_t n_campaign, uint64_t seed,
                         unsigned n_thread)
{
    struct study study = {setting, seed, WR_NEW_ARRAY(double, n_campaign * COVERAGE_MEASURES),
                          WR_NEW_ARRAY(unsigned char, n_campaign)};
    double n = (double)n_campaign;

    *c = (struct coverage){0};
    wr_parallel_for(n_campaign, n_thread, judge, &study);
    for (size_t m = 0; m < COVERAGE_MEASURES; m++) {
        double squares = 0.0;
        for (size_t i = 0; i < n_campaign; i++) c->mean[m] += study.value[i * COVERAGE_MEASURES + m] / n;
        for (size_t i = 0; i < n_campaign; i++) squares += pow(study.value[i * COVERAGE_MEASURES + m] - c->mean[m], 2);
        c->error[m] = sqrt(squares / (n - 1.0) / n);
    }
    for (size_t i = 0; i < n_campaign; i++) c->n_chains_disagree += study.disagree[i];
    wr_free(study.value);
    wr_free(study.disagree);
}
