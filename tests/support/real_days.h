/* Campaigns cut out of real, public records of repeated timed work, so that no model made their times: half a year of
 * flights out of one city (tests/reference/README.md says whose records). A flight has three tasks: taxiing out, in the
 * air, taxiing in. A campaign is three flights to one place in the first lane, three to another in the second, and one
 * to a third by both; its rehearsals are consecutive days on which all seven flew, and the next such day is what a
 * forecast is held against. Common days (wind, weather), outliers, tasks of 3 to 200 minutes; no plan, no people. */
#pragma once
#include <gsl/gsl_rng.h>
#include <stddef.h>
#include <stdint.h>
#include "wetrun/campaign/plan.h"
#include "wetrun/model/durations.h"
#include "wetrun/network/network.h"
#include "wetrun/timing/timing.h"

enum { REAL_PARTS = 3, REAL_FLIGHTS = 7, REAL_TASKS = REAL_FLIGHTS * REAL_PARTS, REAL_LANES = 2 };

struct real_days {
    size_t n_flight, n_day, *place;
    float *minutes; /* [(flight * n_day + day) * REAL_PARTS + part]; 0 */
};
void real_days_read(struct real_days *d, const char *path); /* ends the process where it cannot */
void real_days_release(struct real_days *d);

struct real_campaign {
    struct wr_plan plan;
    struct wr_network net;
    struct wr_timing timing;
    double *total_min, next_min;
};
void real_campaign_cut(struct real_campaign *c, const struct real_days *d, size_t n_run, const gsl_rng *rng);
void real_campaign_release(struct real_campaign *c);

/* The model; each task fitted alone and drawn independently; a Student t on the logs of the runs' totals. */
enum real_method { REAL_MODEL, REAL_ALONE, REAL_TOTALS, REAL_METHODS };

struct real_score { /* of one campaign, or the mean over campaigns */
    double score;     /* quantile score of the 11 quantiles that a forecast states, minutes; less is better */
    double held80, held95, passed95; /* the next day within the band; beyond the 95 % point */
    double width80_min;
};
/* Against what happened next; quantile_min in the order of wr_quantile_prob. */
void real_forecast(const struct real_campaign *c, const struct wr_fit_options *options, double *quantile_min);
struct real_score real_score_of(const double *quantile_min, double actual_min);
void real_totals(const struct real_campaign *c, double *quantile_min); /* the Student t */
struct real_study {
    size_t n_campaign;
    struct real_score mean[REAL_METHODS];
    double less[REAL_METHODS]; /* share by which the model's score is below the method's */
    double less_error[REAL_METHODS]; /* its standard error over campaigns (ratio of means) */
};
/* Campaigns of 4, 6 and 10 runs in turn. options: priors and sampler; its seed is set per campaign. */
void real_study_run(struct real_study *s, const struct real_days *d, const struct wr_fit_options *options,
                    size_t n_campaign, uint64_t seed, unsigned n_thread);
