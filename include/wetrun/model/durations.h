/* What a simulated excursion draws its task times from: for every task of the plan its source, and for every
 * posterior draw the parameters. Joins the model's posterior, judgements, known distributions, people, learning and
 * the carry-over from pool to flight. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include "wetrun/base/error.h"
#include "wetrun/campaign/limits.h"
#include "wetrun/campaign/plan.h"
#include "wetrun/model/duration_model.h"
#include "wetrun/model/model_table.h"
#include "wetrun/model/source.h"
#include "wetrun/network/network.h"
#include "wetrun/timing/timing.h"

enum { WR_PERSON_NONE = -2, WR_PERSON_NEW = -1 }; /* no person effect; somebody who never rehearsed */

/* Three points are a judge's word. What the judges of a campaign are worth is read off tasks that were judged and then
 * timed, in it or in earlier ones; without enough of them a judgement stands as it is. */
enum wr_judging {
    WR_JUDGED_BY_RECORD,   /* shifted and widened as the record says, if at least WR_LEAST_RECORD tasks make one, or
                              earlier campaigns do (priors.judges_known) */
    WR_JUDGED_AS_SAID,
    WR_JUDGED_SHORT        /* as if judges were short by WR_JUDGED_SHORT_BY in common, each judgement off by 0.2 in the
                              log, and ranges too narrow, by 1.3 or so: for comparison */
};
enum { WR_LEAST_RECORD = 3 };
#define WR_JUDGED_SHORT_BY 0.2

struct wr_judged_common { double common, own; }; /* of one draw: shift in common, sd of each judgement's own; in the
                                                    log */
struct wr_judged_factor { double median, lo, hi; }; /* over posterior draws; 5 and 95 % points */
struct wr_judging_found {
    size_t n_task;         /* tasks that rest on three points with width */
    size_t n_record;       /* tasks judged and timed */
    bool by_earlier;       /* earlier campaigns have a record as well */
    bool restated;         /* the first were shifted and widened: */
    struct wr_judged_factor bias;     /* what judged times are to be multiplied by, in common */
    struct wr_judged_factor widening; /* and what spreads of the log */
};

struct wr_durations { /* start as {0} */
    size_t n_task, n_draw, n_person, n_lane;
    struct wr_source *source;   /* [n_task]; all but the fixed carry the run effect, only modelled tasks people and
                                   posterior parameters */
    double *centre_log;         /* [task * n_draw + draw] mean of log minutes for an average person, learning and
                                   carry-over included; modelled tasks only, 0 elsewhere */
    double *spread_log;         /* [task * n_draw + draw] sd of log minutes, capped at 1 */
    double *tau, *rho, *kappa;  /* [n_draw] */
    double *q;                  /* [person * n_draw + draw] */
    size_t n_line_up;           /* each trial takes one at random; at least 1 */
    int *line_up;               /* [line_up * n_lane + lane] person, WR_PERSON_NEW or WR_PERSON_NONE */
    bool people_untold;         /* people were named of whom these numbers are not: see wr_durations_build */
    bool history_thin;          /* there is a history, and nothing firm rests on it: one of these, or it is of the
                                   kinds of less than half of the work */
    bool history_same;          /* its flight times are its pool times */
    bool history_odd;           /* they lie as far from them as of no work */
    bool history_faster;        /* they are shorter, on the whole */
    uint32_t *lanes;            /* [n_task] lanes whose people share the task (their mean applies) */
    uint64_t *stream;           /* [n_task] identity of the task for random streams (hash of its id) */
    struct wr_judging_found judging;
    struct wr_judged_common *judged_bias, *judged_widening; /* NULL, or [n_draw] what restates a judgement */
    unsigned char *restated;    /* NULL, or [n_task] 1: a judgement restated by its record; the model draws it now */
    double *run_effect_shift;   /* NULL: 0; or [n_draw] mean of b, once a day under way tells of it */
    double *run_effect_sd;      /* NULL: tau; or [n_draw] sd of b, likewise */
};
void wr_durations_release(struct wr_durations *d);

/* Its parameters differ by draw, and people have an effect. */
bool wr_durations_are_modelled(const struct wr_durations *d, size_t task);
/* It rests on three points, restated by their record or not: nobody has timed it. */
bool wr_durations_are_judged(const struct wr_durations *d, size_t task);
/* Log minutes of an ordinary day: centre + spread * error(rho), model/skew_normal.h. */
struct wr_log_law { double centre, spread, rho; };
struct wr_log_law wr_durations_log_law(const struct wr_durations *d, size_t task, size_t draw); /* WR_FORM_LOG only */
/* Lanes whose people make the task faster or slower; 0: nobody does. */
uint32_t wr_durations_people_of(const struct wr_durations *d, size_t task);
/* No parameter that a day depends on differs between draws: then there is nothing to give an interval of. */
bool wr_durations_are_known(const struct wr_durations *d);
/* No task takes another time on another day: whatever follows is so on all days, or on none. */
bool wr_durations_are_fixed(const struct wr_durations *d);

enum wr_target { WR_FOR_REHEARSAL, WR_FOR_EXCURSION };
enum wr_model_kind { WR_MODEL_POOLED, WR_MODEL_ALONE }; /* alone: each task's own lognormal plug-in, for comparison */

struct wr_fit_options {
    enum wr_target target;
    enum wr_model_kind model;
    enum wr_judging judging;
    enum wr_three_point_reading reading; /* of judged tasks */
    bool no_people;
    const char *people;         /* "EV1=NAME,EV2=NAME" or NULL */
    double gap_allowance;       /* percent, 0: none: modelled tasks take exp(|N(0, log(1 + percent/100))|) times as
                                   long, one factor per posterior draw; rehearsals cannot tell it */
    bool hold_learning;         /* the next rehearsal is not credited its step of learning (a long gap before it) */
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
    size_t n_other, *other;     /* work that the plan does not have, but several rehearsals: model task n_model_task + i
                                   is number other[i] of the timing table. It tells of the runs, and is not forecast */
    size_t n_person; const char **person; /* people in the model (names borrowed from the timing table); 0: people off.
                                   The first are those of the timing table, in its order; then nameless ones, "" */
    size_t n_named_person;      /* 0 or the timing table's n_person */
    size_t n_plan_task;
    bool has_runs;              /* false: nothing rehearsed, the prior speaks */
    double last_order, target_order;
    struct wr_model_table table; /* what the sampler saw, kept for refits */
    struct wr_model_data data;  /* = table.data */
};
/* Which source a task of the plan gets:
 *   rehearsed (a done or stopped cell that took time)   the model, whatever else the plan says
 *   never rehearsed, median and sdlog known             that lognormal
 *   never rehearsed, three points                       a judgement, in the reading asked for
 *   never rehearsed, planned time only                  the model, from the prior around the plan line
 *   always done in no time, or planned 0                fixed, 0 minutes
 *   nothing of all that                                 WR_E_INPUT, naming task and line
 * A cell whose lead-in is not known stays out, unless the task has no other: then it is a lower bound.
 * A model task without planned time, when others have one, counts as planned at their (geometric) mean.
 * People are on when the log holds two line-ups that differ in a lane where both are known, unless switched off or more
 * than WR_MOST_PEOPLE. Of more than WR_MOST_RUNS runs the last so many are modelled (the cost grows with the cube of
 * the sets of them that did different tasks); the cells of the others count as absent. A cell without performer goes to
 * the lane's person of that run, else to a nameless person of that run and lane. With WR_MODEL_ALONE nothing is sampled
 * (post stays empty). Findings: done cells without time, people left out, runs left out, nothing rehearsed, chains that
 * disagree. */
enum { WR_MOST_PEOPLE = 24, WR_MOST_RUNS = 60 };
bool wr_run_is_modelled(const struct wr_timing *timing, size_t run); /* is it among the last WR_MOST_RUNS? */
bool wr_model_saw_run(const struct wr_model_fit *fit, size_t run); /* has it a cell in the model? run of fit->data */
WR_MUST_CHECK enum wr_status wr_model_fit(struct wr_model_fit *fit, const struct wr_plan *plan,
                                          const struct wr_timing *timing, const struct wr_fit_options *options,
                                          struct wr_findings *findings, struct wr_error *err);
/* The same tasks and people with other data (runs left out, an excursion under way added): table is taken over, also on
 * failure. For WR_MODEL_ALONE too. */
WR_MUST_CHECK enum wr_status wr_model_refit(struct wr_model_fit *fit, const struct wr_model_fit *from,
                                            struct wr_model_table *table, const struct wr_fit_options *options,
                                            struct wr_error *err);
/* The same with one draw of `from` as the start and no burn-in: for data that were simulated from that very draw, which
 * is a draw from their posterior already. Not for WR_MODEL_ALONE. */
WR_MUST_CHECK enum wr_status wr_model_refit_from(struct wr_model_fit *fit, const struct wr_model_fit *from, size_t draw,
                                                 struct wr_model_table *table, const struct wr_fit_options *options,
                                                 struct wr_error *err);
void wr_model_fit_release(struct wr_model_fit *fit);

/* Pool to flight. With y[i] = log(flight/pool) of row i, of kind k:
 *     y[i] ~ N(theta[k], within^2)      theta[k] ~ N(common, between^2)      common ~ N(0, 0.5^2)
 *     within, between ~ half-Cauchy(0.2) below 1.2, on a grid; the rest in closed form given the two
 * (the normal hierarchy of Gelman et al., Bayesian Data Analysis, 3rd ed. 2013, ch. 5 and 11, from memory). The factor
 * of the next excursion is theta[k] + N(0, within^2): what differs from excursion to excursion is part of it. */
enum { WR_CARRY_OVER_GRID = 64 };
struct wr_carry_over { /* start as {0} */
    size_t n_kind; const char **kind; /* names borrowed from the history */
    double *mean_log, *sd_log;  /* [n_kind] posterior of the log factor of the next excursion, pooled over kinds */
    size_t *n_row;              /* [n_kind] */
    double *row_mean_log;       /* [n_kind] plain mean of the kind's log factors: the geometric mean ratio */
    double common_mean_log, common_sd_log; /* for a kind without history */
    size_t n_excursion;
    bool same, odd, faster;     /* as of the history */
    double sd_point[WR_CARRY_OVER_GRID];   /* the grid of both standard deviations */
    double *weight;             /* [between * WR_CARRY_OVER_GRID + within] posterior, cumulated */
};
WR_MUST_CHECK enum wr_status wr_carry_over_fit(struct wr_carry_over *c, const struct wr_history *history,
                                               struct wr_error *err);
void wr_carry_over_release(struct wr_carry_over *c);
/* The kind that a text names, which may be spelt otherwise (campaign/near_name.h); n_kind: without history. */
size_t wr_carry_over_kind(const struct wr_carry_over *c, const char *kind);
/* Mean log factor of the next excursion for work of that kind. */
double wr_carry_over_mean_log(const struct wr_carry_over *c, const char *kind);
/* Log factors of the next excursion for one kind ("" or an unknown one: a kind without history), n_draw of them. Draw i
 * of every kind shares the common level and the standard deviations; a kind meets the same draws in every plan. */
void wr_carry_over_draw(const struct wr_carry_over *c, const char *kind, uint64_t seed, size_t n_draw,
                        double *log_factor);

/* WR_FOR_REHEARSAL: the next run, one step of learning credited unless held. WR_FOR_EXCURSION: learning held at the
 * last rehearsal, carry-over applied per kind of work, to modelled tasks only; carry_over NULL: pool time at face value
 * (a finding says so). Line-ups: lanes named by `people` as named, the others as in a rehearsed run at random, of
 * those runs that do not have somebody named in another lane; a name that never rehearsed becomes WR_PERSON_NEW, with
 * a finding. Without people in the model nobody makes a difference: to
 * name others than the one who always had the lane sets people_untold, and no answer on them may be firm (a finding
 * says so).
 * WR_MODEL_ALONE: one draw, lognormal tasks: mean and sd (divisor n) of the log minutes of a task's done cells; fewer
 * than two of them: the middle sd of the other tasks; none: the planned time.
 *   WR_E_USAGE  an unknown lane, a lane named twice, one person in two lanes (or no rehearsed line-up without that), or
 *               a malformed people option */
WR_MUST_CHECK enum wr_status wr_durations_build(struct wr_durations *d, const struct wr_plan *plan,
                                                const struct wr_network *net, const struct wr_timing *timing,
                                                const struct wr_model_fit *fit, const struct wr_carry_over *carry_over,
                                                const struct wr_fit_options *options, struct wr_findings *findings,
                                                struct wr_error *err);

/* How many of the line-ups differ from each other. */
size_t wr_durations_count_line_ups(const struct wr_durations *d);
/* Drops the line-ups that cannot be: one who was placed[n_lane] in a lane is in another as well. How many are left; a
 * caller that has none left has nothing to draw from. */
size_t wr_durations_keep_possible(struct wr_durations *d, const bool *placed);
/* Stands for "this person in this lane" from now on; line_up[n_lane]. */
void wr_durations_set_line_up(struct wr_durations *d, const int *line_up);

/* Another timeline on the same posterior draws: tasks and lanes are found by name; a task that from_plan does not have
 * takes its own median and sdlog or three points, restated as others are where they are (WR_E_INPUT without). A lane
 * that from_plan does not have is worked by somebody who never rehearsed. */
WR_MUST_CHECK enum wr_status wr_durations_for_plan(struct wr_durations *d, const struct wr_plan *plan,
                                                   const struct wr_durations *from, const struct wr_plan *from_plan,
                                                   const struct wr_fit_options *options, struct wr_error *err);
