/* What a simulated excursion draws its task times from: for every task of the plan its source, and for every
 * posterior draw the parameters. Joins the model's posterior, judgements, known distributions, people, learning and
 * the carry-over from pool to flight. */
#ifndef WETRUN_MODEL_DURATIONS_H
#define WETRUN_MODEL_DURATIONS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include "wetrun/base/error.h"
#include "wetrun/base/str.h"
#include "wetrun/campaign/limits.h"
#include "wetrun/campaign/plan.h"
#include "wetrun/model/duration_model.h"
#include "wetrun/network/network.h"
#include "wetrun/timing/timing.h"

enum wr_source_kind { WR_SRC_MODEL, WR_SRC_LOGNORMAL, WR_SRC_PERT, WR_SRC_TRIANGULAR, WR_SRC_FIXED };
struct wr_source {
    enum wr_source_kind kind;
    double p[3]; /* LOGNORMAL: meanlog, sdlog; PERT, TRIANGULAR: low, mode, high minutes; FIXED: minutes */
};

enum { WR_PERSON_NONE = -2, WR_PERSON_NEW = -1 }; /* no person effect; somebody who never rehearsed */

struct wr_durations { /* start as {0} */
    size_t n_task, n_draw, n_person, n_lane;
    struct wr_source *source;   /* [n_task]; only WR_SRC_MODEL tasks carry run effect, people, posterior parameters */
    double *centre_log;         /* [task * n_draw + draw] mean of log minutes for an average person, learning and carry-over
                                   included; WR_SRC_MODEL tasks only, 0 elsewhere */
    double *spread_log;         /* [task * n_draw + draw] sd of log minutes, capped at 1 */
    double *tau, *rho, *kappa;  /* [n_draw] */
    double *q;                  /* [person * n_draw + draw] */
    size_t n_line_up;           /* each trial takes one at random; at least 1 */
    int *line_up;               /* [line_up * n_lane + lane] person, WR_PERSON_NEW or WR_PERSON_NONE */
    uint32_t *lanes;            /* [n_task] lanes whose people share the task (their mean applies) */
    uint64_t *stream;           /* [n_task] identity of the task for random streams (hash of its id) */
    double *run_effect_shift;   /* NULL, or [n_draw] sd-free known part: see `now` updates: mean of b */
    double *run_effect_sd;      /* NULL: b ~ N(0, tau); else b ~ N(run_effect_shift, run_effect_sd) per draw */
};
void wr_durations_release(struct wr_durations *d);

enum wr_target { WR_FOR_REHEARSAL, WR_FOR_EXCURSION };
enum wr_model_kind { WR_MODEL_POOLED, WR_MODEL_ALONE }; /* alone: each task's own lognormal plug-in, for comparison */

struct wr_fit_options {
    enum wr_target target;
    enum wr_model_kind model;
    bool triangular;            /* three points are read as triangular instead of PERT-beta */
    bool no_people;
    const char *people;         /* "EV1=NAME,EV2=NAME" or NULL */
    double gap_allowance;       /* percent, 0: none */
    struct wr_priors priors;
    struct wr_sampler_options sampler;
};
struct wr_fit_options wr_fit_options_default(void);

/* The pooled model fitted to a campaign, and everything needed to say so in words. */
struct wr_model_fit { /* start as {0} */
    struct wr_posterior post;
    size_t n_model_task;
    size_t *plan_task;          /* [n_model_task] plan index of model task i */
    size_t *model_task;         /* [plan tasks] model index, or SIZE_MAX: not in the model */
    size_t n_person; const char **person; /* people in the model (names borrowed from the timing table); 0: people off */
    bool has_runs;              /* false: nothing rehearsed, the prior speaks */
    double last_order, target_order;
    struct wr_model_data data;  /* owned copies, kept for refits */
    void *storage;
};
WR_MUST_CHECK enum wr_status wr_model_fit(struct wr_model_fit *fit, const struct wr_plan *plan,
                                          const struct wr_timing *timing, const struct wr_fit_options *options,
                                          struct wr_findings *findings, struct wr_error *err);
void wr_model_fit_release(struct wr_model_fit *fit);

struct wr_carry_over { /* pool to flight, log factor per kind; start as {0} */
    size_t n_kind; const char **kind;
    double *mean_log, *sd_log;  /* [n_kind] posterior of the log factor of the next excursion, pooled over kinds */
    size_t *n_row;              /* [n_kind] */
    double common_mean_log, common_sd_log; /* for a kind without history */
    size_t n_excursion;
};
WR_MUST_CHECK enum wr_status wr_carry_over_fit(struct wr_carry_over *c, const struct wr_history *history,
                                               struct wr_error *err);
void wr_carry_over_release(struct wr_carry_over *c);

/* carry_over NULL: pool time at face value. Error: unknown lane or a malformed people option (WR_E_USAGE). */
WR_MUST_CHECK enum wr_status wr_durations_build(struct wr_durations *d, const struct wr_plan *plan,
                                                const struct wr_network *net, const struct wr_timing *timing,
                                                const struct wr_model_fit *fit, const struct wr_carry_over *carry_over,
                                                const struct wr_fit_options *options, struct wr_findings *findings,
                                                struct wr_error *err);
#endif
