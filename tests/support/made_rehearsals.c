#include "made_rehearsals.h"

#include <check.h>
#include <math.h>
#include <stdio.h>
#include "made_plan.h"
#include "wetrun/base/memory.h"

double made_normal(unsigned long long *state)
{
    double r = sqrt(-2 * log(1 - made_uniform(state)));

    return r * cos(2 * M_PI * made_uniform(state));
}

static void make_plan(struct made_rehearsals *r, const struct made_truth *truth)
{
    static const char *const id[MADE_MOST_TASKS] = {"A", "B", "C", "D", "E", "F", "G", "H"};
    struct wr_error err;

    for (size_t k = 0; k < truth->n_task; k++)
        made_plan_add(&r->plan, id[k], k + 1 == truth->n_task ? "EV1+EV2" : k % 2 ? "EV2" : "EV1", "");
    made_plan_finish(&r->plan);
    for (size_t k = 0; k < truth->n_task; k++) r->plan.task[k].planned_min = wr_known(truth->median_min[k]);
    ck_assert_int_eq(wr_network_build(&r->net, &r->plan, &err), WR_OK);
}

void made_rehearsals_make(struct made_rehearsals *r, const struct made_truth *truth)
{
    static const char *names[] = {"Ada", "Bruno"};
    unsigned long long state = truth->seed;
    size_t n_run = truth->n_run;
    struct wr_timing *t = &r->timing;

    *r = (struct made_rehearsals){0};
    make_plan(r, truth);
    *t = (struct wr_timing){.n_task = truth->n_task, .n_run = n_run, .n_lane = 2, .n_person = truth->people ? 2 : 0,
                            .person = names};
    t->cell = WR_NEW_ARRAY(struct wr_cell, truth->n_task * n_run);
    t->run = WR_NEW_ARRAY(struct wr_timing_run, n_run);
    t->line_up = WR_NEW_ARRAY(int, n_run * 2);
    for (size_t i = 0; i < n_run; i++) {
        double b = truth->tau * made_normal(&state) + truth->slope * log((double)i + 1);
        t->run[i].order = (double)i + 1;
        for (size_t l = 0; l < 2; l++) t->line_up[i * 2 + l] = truth->people ? (int)((i + l) % 2) : -1;
        for (size_t k = 0; k < truth->n_task; k++) {
            double minutes = truth->median_min[k] * exp(b + truth->sigma[k] * made_normal(&state));
            if (truth->n_seen[k] && i + truth->n_seen[k] < n_run) continue;
            t->cell[k * n_run + i] = (struct wr_cell){.state = WR_CELL_DONE, .active_min = minutes};
        }
    }
}

void made_rehearsals_release(struct made_rehearsals *r)
{
    wr_free(r->timing.cell);
    wr_free(r->timing.run);
    wr_free(r->timing.line_up);
    wr_network_release(&r->net);
    made_plan_release(&r->plan);
    *r = (struct made_rehearsals){0};
}
