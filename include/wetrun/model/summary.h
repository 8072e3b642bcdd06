/* What `fit` shows of the duration model: task times as the forecast sees them, and the parameters in words' reach. */
#pragma once

#include <stddef.h>
#include "wetrun/base/number.h"
#include "wetrun/model/durations.h"

struct wr_estimate { double value, lo, hi; }; /* lo, hi: 5 and 95 % points over posterior draws */

/* A task's minutes in the run that is forecast: run effect, people and what is not known included. value is of the
 * predictive law, lo and hi of the same number given one draw's parameters; so value need not lie in the middle. Of a
 * task outside the model only the day is not known; of a wait nothing: lo = hi = value. */
struct wr_task_summary {
    struct wr_source source;
    bool restated;              /* a judgement, shifted and widened by its record */
    size_t n_done, n_stopped, n_skipped, n_absent; /* cells of the timing table */
    struct wr_estimate median_min, mean_min, sd_min, p80_min, p95_min;
    struct wr_estimate spread_log;     /* sd of the task's own log minutes; value: the median over draws */
    struct wr_maybe own_median_min;    /* of its done cells alone */
    struct wr_maybe moved;             /* median_min / own_median_min: pooling, learning, people, carry-over together */
};

/* Parameters: value is the posterior median. Logs: a factor is exp(value), a percentage 100 (exp(value) - 1). */
struct wr_person_summary { const char *name; struct wr_estimate q_log; }; /* named people only; no ranking is meant */
struct wr_fit_summary { /* start as {0} */
    size_t n_task, n_run, n_person;
    struct wr_task_summary *task;      /* [n_task] in plan order */
    size_t *run;                       /* [n_run] the runs that the model saw, by their index in the timing table */
    struct wr_estimate *run_effect_log; /* [n_run] of these runs, learning and people taken out */
    struct wr_person_summary *person;  /* [n_person] */
    bool has_model;                    /* false (WR_MODEL_ALONE, or no modelled task): only task[] is filled */
    bool has_learning, has_skew;
    struct wr_estimate slope_log;      /* per unit of log run order */
    struct wr_estimate tau_log, kappa_log, rho; /* kappa: with people */
    struct wr_estimate spread_log, spread_by_length, spread_between_log; /* s0, d, omega_s */
    /* centre = m + offset + slope (log planned - m) +- omega */
    struct wr_estimate plan_offset_log, plan_slope, omega_log;
};

/* fit and d belong together (d built from fit). n_thread as in wr_parallel_for; the same bytes for any. */
void wr_fit_summarise(struct wr_fit_summary *s, const struct wr_model_fit *fit, const struct wr_durations *d,
                      const struct wr_timing *timing, const struct wr_fit_options *options);
void wr_fit_summary_release(struct wr_fit_summary *s);
