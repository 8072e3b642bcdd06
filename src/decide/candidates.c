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
    bool *of_size;  /* [n_run + 1] a task has so many times, none of them stopped */
    struct wr_goodness_null *null; /* [family * (n_run + 1) + times], of those that no law changes */
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

static void judge(struct wr_candidate *c, const double *time_min, size_t n, const struct job *job)
{
    const struct wr_candidate_options *options = job->options;
    const struct wr_goodness_null *null = &job->null[c->family * (job->timing->n_run + 1) + n];
    struct wr_goodness goodness;
    struct wr_error err;
    enum wr_status status =
        null->n ? wr_goodness_against(&c->fit, time_min, n, null, &goodness, &err)
                : wr_goodness_of_fit(&c->fit, time_min, n, options->n_resample, options->seed, &goodness, &err);

    if (status == WR_OK) c->p_value = goodness.anderson_darling_p;
    else status = wr_goodness_of_fit(&c->fit, time_min, n, 0, options->seed, &goodness, &err);
    if (status == WR_OK) c->anderson_darling = wr_known(goodness.anderson_darling);
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

static void note_sizes(struct job *job)
{
    WR_SCOPED double *time_min = WR_NEW_ARRAY(double, job->timing->n_run);
    WR_SCOPED enum wr_seen *seen = WR_NEW_ARRAY(enum wr_seen, job->timing->n_run);

    for (size_t k = 0; k < job->timing->n_task; k++) {
        size_t n_stopped, n = collect(job, k, time_min, seen, &n_stopped);
        if (n_stopped == 0) job->of_size[n] = true;
    }
}

static void fit_task(void *arg, size_t task)
{
    const struct job *job = arg;
    struct wr_candidate *c = &job->out->candidate[task * WR_N_FAMILY];
    WR_SCOPED double *time_min = WR_NEW_ARRAY(double, job->timing->n_run);
    WR_SCOPED enum wr_seen *seen = WR_NEW_ARRAY(enum wr_seen, job->timing->n_run);
    size_t n_stopped, n = collect(job, task, time_min, seen, &n_stopped);

    for (int f = 0; f < WR_N_FAMILY; f++) {
        struct wr_error err = {0};
        c[f].family = (enum wr_family)f;
        c[f].fitted = wr_censored_fit((enum wr_family)f, time_min, seen, n, &c[f].fit, &err) == WR_OK;
        if (!c[f].fitted)
            snprintf(c[f].why, sizeof c[f].why, "%.*s", (int)sizeof c[f].why - 1, err.text);
        else if (n_stopped == 0)
            judge(&c[f], time_min, n, job);
    }
    sort_by_aicc(c);
}

/* The statistics that no law changes, of samples of so many times. */
static void make_null(void *arg, size_t n)
{
    const struct job *job = arg;
    enum { LEAST_TIMES = 2 };

    for (int f = 0; f < WR_N_FAMILY && n >= LEAST_TIMES && job->of_size[n]; f++) {
        struct wr_error unused; /* where it cannot be made each task says so itself */
        const struct wr_law any = {(enum wr_family)f, {1, 1}};
        if (wr_family_is_log_scale(any.family))
            (void)!wr_goodness_null_make(&job->null[(size_t)f * (job->timing->n_run + 1) + n], &any, n,
                                         job->options->n_resample, job->options->seed, &unused);
    }
}

void wr_candidates_fit(struct wr_candidates *c, const struct wr_timing *timing,
                       const struct wr_candidate_options *options)
{
    const size_t n_size = timing->n_run + 1;
    struct job job = {c, timing, options, WR_NEW_ARRAY(bool, timing->n_run), WR_NEW_ARRAY(bool, n_size),
                      WR_NEW_ARRAY(struct wr_goodness_null, WR_N_FAMILY * n_size)};

    for (size_t r = 0; r < timing->n_run; r++) job.modelled[r] = wr_run_is_modelled(timing, r);
    *c = (struct wr_candidates){timing->n_task, WR_NEW_ARRAY(struct wr_candidate, timing->n_task * WR_N_FAMILY)};
    note_sizes(&job);
    if (options->n_resample) wr_parallel_for(n_size, options->n_thread, make_null, &job);
    wr_parallel_for(timing->n_task, options->n_thread, fit_task, &job);
    for (size_t i = 0; i < WR_N_FAMILY * n_size; i++) wr_goodness_null_release(&job.null[i]);
    WR_FREE(job.modelled, job.of_size, job.null);
}

void wr_candidates_release(struct wr_candidates *c)
{
    wr_free(c->candidate);
    *c = (struct wr_candidates){0};
}
