/* A small rehearsed campaign made in code, with a known truth: plan, network, timing table. */
#pragma once

#include <stdbool.h>
#include "wetrun/campaign/plan.h"
#include "wetrun/network/network.h"
#include "wetrun/timing/timing.h"

enum { MADE_MOST_TASKS = 8 };

struct made_truth {
    size_t n_task, n_run;
    double median_min[MADE_MOST_TASKS], sigma[MADE_MOST_TASKS];
    size_t n_seen[MADE_MOST_TASKS]; /* the last so many runs have the task; 0: all of them */
    double tau, slope;              /* run effect; log minutes per unit of log run order */
    bool people;                    /* two who change lanes from run to run; else nobody is named */
    unsigned long long seed;
};

struct made_rehearsals { /* start as {0} */
    struct wr_plan plan;
    struct wr_network net;
    struct wr_timing timing;
};

/* Two lanes; tasks go to EV1, EV2 in turn, the last one is joint. Planned times are the medians. */
void made_rehearsals_make(struct made_rehearsals *r, const struct made_truth *truth);
void made_rehearsals_release(struct made_rehearsals *r);

double made_normal(unsigned long long *state);
