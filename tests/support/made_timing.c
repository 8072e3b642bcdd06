#include "made_timing.h"

#include <gsl/gsl_randist.h>
#include <math.h>
#include <string.h>
#include "wetrun/base/memory.h"

void made_timing_init(struct wr_timing *t, size_t n_task, size_t n_run, size_t n_lane)
{
    *t = (struct wr_timing){.n_task = n_task, .n_run = n_run, .n_lane = n_lane};
    t->cell = WR_NEW_ARRAY(struct wr_cell, n_task * n_run);
    t->run = WR_NEW_ARRAY(struct wr_timing_run, n_run);
    t->line_up = WR_NEW_ARRAY(int, n_run * n_lane);
    t->waiting_min = WR_NEW_ARRAY(double, n_run * n_lane);
    for (size_t i = 0; i < n_task * n_run; i++) t->cell[i] = (struct wr_cell){.state = WR_CELL_DONE, .active_min = 10};
    for (size_t r = 0; r < n_run; r++)
        t->run[r] =
            (struct wr_timing_run){.complete = true, .kept_to_plan = true, .n_done = n_task, .order = (double)r + 1};
    for (size_t i = 0; i < n_run * n_lane; i++) t->line_up[i] = -1;
}

struct wr_cell *made_cell(struct wr_timing *t, size_t task, size_t run)
{
    return &t->cell[task * t->n_run + run];
}

void made_cell_state(struct wr_timing *t, size_t task, size_t run, enum wr_cell_state state)
{
    *made_cell(t, task, run) = (struct wr_cell){.state = state};
    if (state != WR_CELL_DONE) t->run[run].complete = false;
}

void made_timing_people(struct wr_timing *t, const char *const *person, size_t n, const int *line_up)
{
    t->n_person = n;
    t->person = WR_NEW_ARRAY(const char *, n);
    memcpy(t->person, person, n * sizeof *person);
    memcpy(t->line_up, line_up, t->n_run * t->n_lane * sizeof *line_up);
}

void made_timing_release(struct wr_timing *t)
{
    wr_free(t->cell);
    wr_free(t->run);
    wr_free(t->line_up);
    wr_free(t->waiting_min);
    wr_free((void *)t->person);
    *t = (struct wr_timing){0};
}

void made_timing_rehearse(struct wr_timing *t, const struct made_truth *truth, const gsl_rng *rng)
{
    double *day = WR_NEW_ARRAY(double, t->n_run);

    for (size_t r = 0; r < t->n_run; r++) {
        day[r] = truth->gamma * log(t->run[r].order) + gsl_ran_gaussian(rng, truth->tau);
        if (truth->slow && truth->slow[r]) day[r] += truth->effect;
    }
    for (size_t k = 0; k < t->n_task; k++) {
        double mu = log(5) + gsl_rng_uniform(rng) * log(8), sigma = truth->sigma * exp(gsl_ran_gaussian(rng, 0.4));
        for (size_t r = 0; r < t->n_run; r++) {
            double e = gsl_ran_gaussian(rng, sigma * pow(t->run[r].order, truth->settle));
            *made_cell(t, k, r) = (struct wr_cell){.state = WR_CELL_DONE, .active_min = exp(mu + day[r] + e)};
            if (gsl_rng_uniform(rng) < truth->missing) made_cell_state(t, k, r, WR_CELL_SKIPPED);
        }
    }
    wr_free(day);
}

void made_timing_replay(struct wr_timing *t, const struct wr_network *net)
{
    double *minutes = WR_NEW_ARRAY(double, t->n_task), *end = WR_NEW_ARRAY(double, t->n_task);

    for (size_t r = 0; r < t->n_run; r++) {
        for (size_t k = 0; k < t->n_task; k++) minutes[k] = wr_cell_modelled_min(made_cell(t, k, r));
        double finish = wr_network_forward(net, minutes, NULL, end, NULL);
        t->run[r].finish_min = wr_known(finish);
        t->run[r].replay_min = t->run[r].finish_without_holds_min = t->run[r].by_plan_min = finish;
    }
    wr_free(minutes);
    wr_free(end);
}
