/* Invented campaigns with a known truth, for the coverage study. True log minutes of task k in run r:
 *     mu[k] + gamma log r + b[r] + people + e,   b ~ N(0, tau^2), q ~ N(0, kappa^2)
 * A joint task gets the mean of its two people. e is normal, Weibull with the same coefficient of variation in minutes,
 * or normal and now and then log 2 more ("stuck"); its median is 0 but for the last. Two lanes; the first task, the
 * last and some between are joint. Or a world of the prior: run effect, learning, spreads and how far planned times are
 * off, all drawn as the model without skew believes them. */
#pragma once
#include <gsl/gsl_rng.h>
#include "wetrun/campaign/plan.h"
#include "wetrun/network/network.h"
#include "wetrun/timing/timing.h"

enum made_family { MADE_LOGNORMAL, MADE_WEIBULL, MADE_STUCK, MADE_PRIOR }; /* prior: tau and gamma are taken from
                                                                              there */
/* Two fixed pairs; two who change lanes; any two of four. */
enum made_design { MADE_PAIRS, MADE_SWAP, MADE_CROSSED, MADE_DESIGNS };

struct made_setting {
    enum made_family family;
    size_t n_run;
    double tau, gamma, kappa; /* kappa 0: the log names nobody */
};

enum { MADE_TASKS = 30, MADE_LANES = 2, MADE_PEOPLE = 4 };

struct made_campaign {
    struct made_setting setting;
    struct wr_plan plan;
    struct wr_network net;
    struct wr_timing timing;
    int pair[MADE_LANES];     /* who will do the run that is forecast; -1: nobody is named */
    double mu[MADE_TASKS], sigma[MADE_TASKS], weibull_shape[MADE_TASKS], q[MADE_PEOPLE];
};

void made_campaign_make(struct made_campaign *c, const struct made_setting *setting, enum made_design design,
                        const gsl_rng *rng);
void made_campaign_release(struct made_campaign *c);
/* True minutes of all tasks in one run n_run + 1 by the named pair: minutes[MADE_TASKS]. */
void made_campaign_next(const struct made_campaign *c, const gsl_rng *rng, double *minutes);
