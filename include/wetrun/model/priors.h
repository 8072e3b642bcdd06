/* The priors of the duration model, in one place; reasons and sources: wetrun-statistics(7).
 *
 * A parameter that campaigns have in common is also read as a normal score: the standard normal quantile of its place
 * in its default prior. On that scale every default prior is N(0, 1), whatever its family, and what other campaigns
 * teach about a parameter is a N(mean, sd^2) in its place. */
#pragma once

#include <stdbool.h>

enum wr_common { /* what campaigns have in common */
    WR_COMMON_TAU, WR_COMMON_KAPPA, WR_COMMON_GAMMA, WR_COMMON_S0, WR_COMMON_D, WR_COMMON_OMEGA_S, WR_COMMON_RHO,
    WR_COMMON_A,
    WR_COMMON_JUDGED_BIAS,     /* log of what judged times are to be multiplied by, in common */
    WR_COMMON_JUDGED_OFF,      /* sd of how far single judgements are off, in the log */
    WR_COMMON_JUDGED_WIDENING, /* log of what judged spreads are to be multiplied by, in common */
    WR_N_COMMON
};

struct wr_score_law { double mean, sd; }; /* of a normal score; sd 0: the default, N(0, 1) */

struct wr_priors {
    bool learning, skew;            /* people: set n_person to 0 to leave them out */
    bool tau_lognormal;             /* tau ~ lognormal(tau_scale, tau_logsd) instead of half-Cauchy(tau_scale) */
    double tau_scale, tau_logsd;    /* 0.10; 0.5 */
    double tau_fixed;               /* > 0: the run effect's sd is given, not estimated; 0: estimated */
    double kappa_scale;             /* 0.05 */
    double tau_most, kappa_most;    /* 0.8; 0.5 */
    double gamma_mean, gamma_sd;    /* 0; 0.10: of a double exponential (Laplace) law */
    double log_s0_mean, log_s0_sd;  /* log 0.25; 0.5 */
    double d_mean, d_sd;            /* -0.2; 0.25 */
    double omega_s_scale;           /* 0.5: half-normal */
    double sigma_least;             /* 0.01: no spread is smaller. Tasks logged alike to the minute in every run would
                                       else pull theirs towards 0, where the posterior has no bound */
    double a_mean, a_sd;            /* 0.1; 0.3 */
    double a_sd_no_plan;            /* 1: a ~ N(0, a_sd_no_plan^2) where no task has a planned time */
    double c_sd;                    /* 0.25 */
    double omega_df, omega_scale;   /* 3; 0.4 */
    double rho_most;                /* 0.98: rho is uniform between */
    double judged_bias_mean, judged_bias_sd;         /* 0; 0.3 */
    double judged_widening_mean, judged_widening_sd; /* 0; 0.3 */
    double judged_off_scale;        /* 0.3: half-normal; so is that of spreads */
    bool judges_known;              /* by a record elsewhere: the above is more than a default */
    /* Learnt elsewhere; the others' laws stay of their family and are learnt in their own numbers above. */
    struct wr_score_law tau_score, kappa_score, omega_s_score, rho_score, judged_off_score;
};
struct wr_priors wr_priors_default(void);
/* Planned times that cannot be meant as a whole say of tasks how they compare, and nothing of how long all of them are:
 * that is as open as without any. Drawn to a level that is ten times off, four rehearsals alike would become four days
 * of which each was ten times slower than a day is. */
void wr_prior_forget_level(struct wr_priors *p);

/* Normal score of a parameter's value under these priors (tau's half-Cauchy, whatever tau_lognormal says), within 7 of
 * 0; and back. S0 is read as log s0. */
double wr_prior_score(const struct wr_priors *p, enum wr_common which, double value);
double wr_prior_value(const struct wr_priors *p, enum wr_common which, double score);
/* log of the density that the score law gives over the default's, at a value; 0 where nothing was learnt. */
double wr_prior_log_ratio(const struct wr_priors *p, enum wr_common which, const struct wr_score_law *law,
                          double value);
/* Takes what was learnt about a parameter into priors that are still the default for it. Of gamma the law keeps its
 * family and takes mean and sd. A tau that was given, or given a prior, stays. */
void wr_prior_learn(struct wr_priors *p, enum wr_common which, const struct wr_score_law *law);
