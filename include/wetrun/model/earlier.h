/* What earlier campaigns teach about the next one. Each is fitted by itself, under the default priors. On the scale of
 * normal scores (priors.h) a campaign's posterior of a parameter, N(m, s^2), is the default N(0, 1) times what its runs
 * say, y ~ N(theta, e^2) with e^2 = s^2/(1 - s^2), y = m/(1 - s^2). Campaigns differ:
 *     theta[j] ~ N(common, between^2),   common ~ N(0, 1/4),   between ~ lognormal(log 0.74, 0.4^2)
 * so that without any earlier campaign the next one's theta has mean 0 and sd 1, as the default. The prior for the next
 * campaign is the predictive law of its theta, between included, matched by its mean and variance: never surer than
 * campaigns are alike, with one or two of them nearly as wide as the default, wider than it where they disagree. The
 * law of between was chosen on simulated scores: where each campaign comes from the default by itself, the next is off
 * by 1.1 times what is stated, and from six that are alike (sd 0.3) the prior narrows to 0.7. The normal hierarchy of
 * Gelman et al., Bayesian Data Analysis, 3rd ed. 2013, ch. 5 (from memory). */
#pragma once

#include <stddef.h>
#include "wetrun/model/durations.h"
#include "wetrun/model/priors.h"

struct wr_told { /* by one campaign about one parameter, on the scale of scores */
    bool known;          /* false: the campaign says nothing of it (no people, no planned times, …) */
    double y, e;
    double p_against;    /* two-sided chance of a y so far from what the others let expect; 1 where there are none */
};

struct wr_earlier { /* start as {0} */
    size_t n_campaign;
    const char **name;             /* [n_campaign] borrowed */
    size_t *n_run;                 /* [n_campaign] rehearsals */
    struct wr_told *told;          /* [campaign * WR_N_COMMON + which] */
    struct wr_score_law law[WR_N_COMMON]; /* for the next campaign; sd 0: nobody says anything */
    size_t n_telling[WR_N_COMMON]; /* campaigns that say something */
    struct wr_told present[WR_N_COMMON];  /* what the present campaign says; p_against: from all the earlier ones */
};
#define WR_SPEAKS_AGAINST 0.01 /* p_against below this */

/* A campaign with its fit under default priors; plan NULL: nothing was judged. */
struct wr_telling { const struct wr_plan *plan; const struct wr_model_fit *fit; const struct wr_fit_options *options; };
/* target_order: place in time of the run that is forecast now, to which the common levels of plans and of judgements
 * are moved along the learning of that earlier campaign. */
void wr_earlier_add(struct wr_earlier *e, const char *name, const struct wr_telling *campaign, double target_order);
/* Laws, and who speaks against them. present: the present campaign likewise. */
void wr_earlier_combine(struct wr_earlier *e, const struct wr_telling *present);
/* The default priors with everything learnt taken in. */
void wr_earlier_teach(const struct wr_earlier *e, struct wr_priors *priors);
void wr_earlier_release(struct wr_earlier *e);

/* "a slow or fast day", "times over those judged": what a parameter is about, for people. */
const char *wr_common_words(enum wr_common which);

/* The law of the next campaign's score from n campaigns' (y, e); sd 0 for n = 0. For tests and the above. */
struct wr_score_law wr_earlier_predict(const struct wr_told *told, size_t n);
