#include "wetrun/decide/candidates.h"

#include <stdio.h>
#include "wetrun/base/memory.h"
#include "wetrun/base/parallel.h"
#include "wetrun/model/durations.h"
#include "wetrun/stats/goodness.h"

struct job {
    struct wr_candidates *out;
    const struct wr_timing *timing;
    const struct wr_candidate_options *options;
    bool *modelled; /* [n_run] */
};

/* time_min[], seen[]: room for every run. Returns how many there are. */
static size_t collect(const struct job *job, size_t task, double *time_min, enum wr_seen *seen, size_t *n_stopped)
{
    const struct wr_timing *timing = job->timing;
    size_t n = 0;

    *n_stopped = 0;
    for (size_t r = 0; r < timing->n_run; r++) {
        const struct wr_cell *cell = wr_timing_cell(timing, task, r);
        if (cell->state != WR_CELL_DONE && cell->state != WR_CELL_STOPPED) continue;
        if (!job->modelled[r]) continue;
        time_min[n] = cell->active_min;
        seen[n] = cell->state == WR_CELL_DONE ? WR_SEEN_DONE : WR_SEEN_STOPPED;
        *n_stopped += cell->state == WR_CELL_STOPPED;
        n++;
    }
    return n;
}

static void judge(struct wr_candidate *c, const double *time_min, size_t n, const struct wr_candidate_options *options)
{
    struct wr_goodness goodness;
    struct wr_error err;

    if (wr_goodness_of_fit(&c->fit, time_min, n, options->n_resample, options->seed, &goodness, &err) == WR_OK) {
        c->anderson_darling = wr_known(goodness.anderson_darling);
        c->p_value = goodness.anderson_darling_p;
    } else if (wr_goodness_of_fit(&c->fit, time_min, n, 0, options->seed, &goodness, &err) == WR_OK) {
        c->anderson_darling = wr_known(goodness.anderson_darling); /* the resamples could not be fitted */
    }
}

static bool comes_before(const struct wr_candidate *a, const struct wr_candidate *b)
{
    if (a->fitted != b->fitted) return a->fitted;
    if (!a->fitted) return a->family < b->family;
    double x = a->fit.aicc.known ? a->fit.aicc.value : -2 * a->fit.loglik;
    double y = b->fit.aicc.known ? b->fit.aicc.value : -2 * b->fit.loglik;
    return x != y ? x < y : a->family < b->family;
}

static void sort_by_aicc(struct wr_candidate *c)
{
    for (size_t i = 1; i < WR_N_FAMILY; i++) {
        for (size_t j = i; j > 0 && comes_before(&c[j], &c[j - 1]); j--) {
            struct wr_candidate swap = c[j];
            c[j] = c[j - 1];
            c[j - 1] = swap;
        }
    }
}

static void fit_task(void *arg, size_t task)
{
    const struct job *job = arg;
    struct wr_candidate *c = &job->out->candidate[task * WR_N_FAMILY];
    double *time_min = WR_NEW_ARRAY(double, job->timing->n_run);
    enum wr_seen *seen = WR_NEW_ARRAY(enum wr_seen, job->timing->n_run);
    size_t n_stopped, n = collect(job, task, time_min, seen, &n_stopped);

    for (int f = 0; f < WR_N_FAMILY; f++) {
        struct wr_error err = {0};
        c[f].family = (enum wr_family)f;
        c[f].fitted = wr_censored_fit((enum wr_family)f, time_min, seen, n, &c[f].fit, &err) == WR_OK;
        if (!c[f].fitted)
            snprintf(c[f].why, sizeof c[f].why, "%.*s", (int)sizeof c[f].why - 1, err.text);
        else if (n_stopped == 0)
            judge(&c[f], time_min, n, job->options);
    }
    sort_by_aicc(c);
    WR_FREE(time_min, seen);
}

void wr_candidates_fit(struct wr_candidates *c, const struct wr_timing *timing,
                       const struct wr_candidate_options *options)
{
    struct job job = {c, timing, options, WR_NEW_ARRAY(bool, timing->n_run)};

    for (size_t r = 0; r < timing->n_run; r++) job.modelled[r] = wr_run_is_modelled(timing, r);
    *c = (struct wr_candidates){timing->n_task, WR_NEW_ARRAY(struct wr_candidate, timing->n_task * WR_N_FAMILY)};
    wr_parallel_for(timing->n_task, options->n_thread, fit_task, &job);
    wr_free(job.modelled);
}

void wr_candidates_release(struct wr_candidates *c)
{
    wr_free(c->candidate);
    *c = (struct wr_candidates){0};
}
