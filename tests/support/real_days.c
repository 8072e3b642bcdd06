#include "real_days.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include "wetrun/base/memory.h"
#include "wetrun/base/parallel.h"
#include "wetrun/sim/forecast.h"
#include "wetrun/stats/log_sample.h"

enum { FORECAST_DAYS = 20000, MOST_FLIGHTS = 1000, MOST_DAYS = 400 };

static void must(bool good, const char *what)
{
    if (good) return;
    fprintf(stderr, "real days: %s\n", what);
    exit(3);
}

/* ---- the records ---- */

static float *minutes_of(const struct real_days *d, size_t flight, size_t day)
{
    return d->minutes + (flight * d->n_day + day) * REAL_PARTS;
}

void real_days_read(struct real_days *d, const char *path)
{
    char command[300], line[100];
    unsigned place, flight, day;
    float part[REAL_PARTS];

    snprintf(command, sizeof command, "gzip -dc %s", path);
    FILE *f = popen(command, "r");
    must(f && fgets(line, sizeof line, f) && strcmp(line, "place,flight,day,out,air,in\n") == 0, path);
    *d = (struct real_days){.n_day = MOST_DAYS,
                            .place = WR_NEW_ARRAY(size_t, MOST_FLIGHTS),
                            .minutes = WR_NEW_ARRAY(float, (size_t)MOST_FLIGHTS * MOST_DAYS * REAL_PARTS)};
    while (fgets(line, sizeof line, f)) {
        int n = sscanf(line, "%u,%u,%u,%f,%f,%f", &place, &flight, &day, &part[0], &part[1], &part[2]);
        must(n == 6 && flight >= 1 && flight <= MOST_FLIGHTS && day >= 1 && day <= MOST_DAYS, line);
        d->place[flight - 1] = place;
        if (flight > d->n_flight) d->n_flight = flight;
        memcpy(minutes_of(d, flight - 1, day - 1), part, sizeof part);
    }
    must(pclose(f) == 0, path);
}

void real_days_release(struct real_days *d)
{
    wr_free(d->place);
    wr_free(d->minutes);
    *d = (struct real_days){0};
}

/* ---- campaigns ---- */

/* A flight to that place that is not among the n taken; place 0: to none of their places. SIZE_MAX: there is none. */
static size_t any_flight(const struct real_days *d, size_t place, const size_t *taken, size_t n, const gsl_rng *rng)
{
    size_t fits[MOST_FLIGHTS], n_fit = 0;

    for (size_t f = 0; f < d->n_flight; f++) {
        bool good = place == 0 || d->place[f] == place;
        for (size_t i = 0; i < n; i++) good &= f != taken[i] && (place != 0 || d->place[f] != d->place[taken[i]]);
        if (good) fits[n_fit++] = f;
    }
    return n_fit ? fits[gsl_rng_uniform_int(rng, n_fit)] : SIZE_MAX;
}

/* Three to one place, three to another, one to a third. */
static bool choose_flights(const struct real_days *d, size_t flight[REAL_FLIGHTS], const gsl_rng *rng)
{
    for (size_t i = 0; i < REAL_FLIGHTS; i++) {
        flight[i] = any_flight(d, i % 3 == 0 ? 0 : d->place[flight[i - 1]], flight, i, rng);
        if (flight[i] == SIZE_MAX) return false;
    }
    return true;
}

/* n days from a random one on, among the 3 n - 1 from there, on which all flew. */
static bool choose_days(const struct real_days *d, const size_t *flight, size_t *day, size_t n, const gsl_rng *rng)
{
    size_t first = gsl_rng_uniform_int(rng, d->n_day), found = 0;

    for (size_t t = first; t < first + 3 * n - 1 && t < d->n_day && found < n; t++) {
        bool flew = true;
        for (size_t i = 0; i < REAL_FLIGHTS; i++) flew &= minutes_of(d, flight[i], t)[0] > 0;
        if (flew) day[found++] = t;
    }
    return found == n;
}

static void make_plan(struct real_campaign *c)
{
    static const char *const lane_name[REAL_LANES] = {"EV1", "EV2"};
    static const char *const part_name[REAL_PARTS] = {"out", "air", "in"};
    char id[20];

    c->plan.lane = wr_alloc(REAL_LANES, sizeof *c->plan.lane);
    for (size_t l = 0; l < REAL_LANES; l++) c->plan.lane[c->plan.n_lane++] = lane_name[l];
    for (size_t k = 0; k < REAL_TASKS; k++) {
        size_t flight = k / REAL_PARTS;
        struct wr_plan_task *task = WR_PUSH(c->plan.task, c->plan.n_task, c->plan.room_task);
        int n = snprintf(id, sizeof id, "%s-%zu", part_name[k % REAL_PARTS], flight + 1);
        task->id = task->title = wr_arena_copy(&c->plan.text, id, (size_t)n);
        task->kind = "";
        task->lanes = flight < 3 ? 1 : flight < 6 ? 2 : 3;
        for (size_t l = 0; l < REAL_LANES; l++)
            if (task->lanes >> l & 1) task->lane_order[task->n_lane++] = (uint8_t)l;
    }
    must(wr_network_build(&c->net, &c->plan, NULL) == WR_OK, "a plan that is none");
}

static double finish_of(const struct real_campaign *c, const struct real_days *d, const size_t *flight, size_t day)
{
    double minutes[REAL_TASKS], end[REAL_TASKS];

    for (size_t k = 0; k < REAL_TASKS; k++)
        minutes[k] = (double)minutes_of(d, flight[k / REAL_PARTS], day)[k % REAL_PARTS];
    return wr_network_forward(&c->net, minutes, NULL, end, NULL);
}

static void rehearse(struct real_campaign *c, const struct real_days *d, const size_t *flight, const size_t *day)
{
    for (size_t r = 0; r < c->timing.n_run; r++) {
        c->timing.run[r].order = (double)r + 1;
        c->total_min[r] = finish_of(c, d, flight, day[r]);
        for (size_t k = 0; k < REAL_TASKS; k++) {
            struct wr_cell *cell = &c->timing.cell[k * c->timing.n_run + r];
            cell->state = WR_CELL_DONE;
            cell->active_min = (double)minutes_of(d, flight[k / REAL_PARTS], day[r])[k % REAL_PARTS];
        }
    }
}

void real_campaign_cut(struct real_campaign *c, const struct real_days *d, size_t n_run, const gsl_rng *rng)
{
    size_t flight[REAL_FLIGHTS], *day = WR_NEW_ARRAY(size_t, n_run + 1);

    *c = (struct real_campaign){0};
    while (!choose_flights(d, flight, rng) || !choose_days(d, flight, day, n_run + 1, rng)) continue;
    make_plan(c);
    c->timing = (struct wr_timing){.n_task = REAL_TASKS, .n_run = n_run, .n_lane = REAL_LANES,
                                   .cell = WR_NEW_ARRAY(struct wr_cell, REAL_TASKS * n_run),
                                   .run = WR_NEW_ARRAY(struct wr_timing_run, n_run),
                                   .line_up = WR_NEW_ARRAY(int, n_run * REAL_LANES)};
    for (size_t i = 0; i < n_run * REAL_LANES; i++) c->timing.line_up[i] = -1;
    c->total_min = WR_NEW_ARRAY(double, n_run);
    rehearse(c, d, flight, day);
    c->next_min = finish_of(c, d, flight, day[n_run]);
    wr_free(day);
}

void real_campaign_release(struct real_campaign *c)
{
    wr_network_release(&c->net);
    wr_free(c->plan.lane);
    wr_free(c->plan.task);
    wr_arena_release(&c->plan.text);
    wr_free(c->timing.cell);
    wr_free(c->timing.run);
    wr_free(c->timing.line_up);
    wr_free(c->total_min);
}

/* ---- forecasts against the next day ---- */

static size_t quantile_index(double prob)
{
    size_t i = 0;

    while (wr_quantile_prob[i] < prob - 1e-9) i++;
    return i;
}

/* Twice the mean pinball loss over the quantiles: Gneiting and Raftery (2007), JASA 102, 359-378, section 6.1. */
struct real_score real_score_of(const double *quantile_min, double actual)
{
    struct real_score s = {0};

    for (size_t i = 0; i < WR_N_QUANTILE; i++) {
        double above = actual >= quantile_min[i] ? 1.0 : 0.0;
        s.score += 2.0 * (wr_quantile_prob[i] - 1.0 + above) * (actual - quantile_min[i]) / WR_N_QUANTILE;
    }
    double p025 = quantile_min[quantile_index(0.025)], p10 = quantile_min[quantile_index(0.1)];
    double p90 = quantile_min[quantile_index(0.9)], p975 = quantile_min[quantile_index(0.975)];
    s.held80 = actual >= p10 && actual <= p90;
    s.held95 = actual >= p025 && actual <= p975;
    s.passed95 = actual > quantile_min[quantile_index(0.95)];
    s.width80_min = p90 - p10;
    return s;
}

void real_forecast(const struct real_campaign *c, const struct wr_fit_options *options, double *quantile_min)
{
    struct wr_sim_options sim = {.n_trial = FORECAST_DAYS, .seed = options->sampler.seed, .n_thread = 1};
    struct wr_findings findings = {0};
    struct wr_model_fit fit = {0};
    struct wr_durations durations = {0};
    struct wr_forecast f = {0};
    struct wr_error err;

    must(wr_model_fit(&fit, &c->plan, &c->timing, options, &findings, &err) == WR_OK, "no fit");
    must(wr_durations_build(&durations, &c->plan, &c->net, &c->timing, &fit, NULL, options, &findings, &err) == WR_OK,
         "no durations");
    must(wr_forecast_run(&f, &c->net, &durations, &sim, &err) == WR_OK, "no forecast");
    memcpy(quantile_min, f.quantile_min, sizeof f.quantile_min);
    wr_forecast_release(&f);
    wr_durations_release(&durations);
    wr_model_fit_release(&fit);
    wr_findings_release(&findings);
}

void real_totals(const struct real_campaign *c, double *quantile_min)
{
    struct wr_log_sample totals;

    must(wr_log_sample_of(c->total_min, c->timing.n_run, &totals, NULL) == WR_OK, "no totals");
    for (size_t i = 0; i < WR_N_QUANTILE; i++)
        quantile_min[i] = wr_log_predictive_quantile(&totals, wr_quantile_prob[i]).value;
}

static void judge(const struct real_campaign *c, const struct wr_fit_options *options, struct real_score *score)
{
    double quantile_min[WR_N_QUANTILE];
    struct wr_fit_options alone = *options;

    real_forecast(c, options, quantile_min);
    score[REAL_MODEL] = real_score_of(quantile_min, c->next_min);
    alone.model = WR_MODEL_ALONE;
    real_forecast(c, &alone, quantile_min);
    score[REAL_ALONE] = real_score_of(quantile_min, c->next_min);
    real_totals(c, quantile_min);
    score[REAL_TOTALS] = real_score_of(quantile_min, c->next_min);
}

struct job {
    const struct real_days *days;
    const struct wr_fit_options *options;
    uint64_t seed;
    struct real_score *score; /* [campaign * REAL_METHODS + method] */
};

static void one_campaign(void *arg, size_t number)
{
    static const size_t runs[] = {4, 6, 10};
    struct job *job = arg;
    struct real_campaign c;
    struct wr_fit_options options = *job->options;
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);

    gsl_rng_set(rng, (unsigned long)(job->seed * 100003u + number));
    real_campaign_cut(&c, job->days, runs[number % 3], rng);
    options.sampler.seed = job->seed + number;
    options.sampler.n_thread = 1;
    judge(&c, &options, job->score + number * REAL_METHODS);
    real_campaign_release(&c);
    gsl_rng_free(rng);
}

static void take_mean(struct real_study *s, const struct real_score *score, enum real_method m)
{
    struct real_score *mean = &s->mean[m];
    double n = (double)s->n_campaign;

    for (size_t i = 0; i < s->n_campaign; i++) {
        const struct real_score *one = &score[i * REAL_METHODS + m];
        mean->score += one->score / n;
        mean->held80 += one->held80 / n;
        mean->held95 += one->held95 / n;
        mean->passed95 += one->passed95 / n;
        mean->width80_min += one->width80_min / n;
    }
}

/* 1 - ratio of the means; error of a ratio by its linear part. */
static void compare(struct real_study *s, const struct real_score *score, enum real_method m)
{
    double ratio = s->mean[REAL_MODEL].score / s->mean[m].score, squares = 0.0, n = (double)s->n_campaign;

    for (size_t i = 0; i < s->n_campaign; i++) {
        const struct real_score *one = &score[i * REAL_METHODS];
        double off = (one[REAL_MODEL].score - ratio * one[m].score) / s->mean[m].score;
        squares += off * off;
    }
    s->less[m] = 1.0 - ratio;
    s->less_error[m] = sqrt(squares / (n - 1.0) / n);
}

void real_study_run(struct real_study *s, const struct real_days *d, const struct wr_fit_options *options,
                    size_t n_campaign, uint64_t seed, unsigned n_thread)
{
    struct job job = {d, options, seed, wr_alloc(n_campaign * REAL_METHODS, sizeof *job.score)};

    *s = (struct real_study){.n_campaign = n_campaign};
    wr_parallel_for(n_campaign, n_thread, one_campaign, &job);
    for (int m = 0; m < REAL_METHODS; m++) take_mean(s, job.score, (enum real_method)m);
    for (int m = 0; m < REAL_METHODS; m++) compare(s, job.score, (enum real_method)m);
    wr_free(job.score);
}
