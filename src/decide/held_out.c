#include "wetrun/decide/held_out.h"

#include <math.h>
#include "wetrun/base/memory.h"
#include "wetrun/model/reweigh.h"
#include "wetrun/sim/scenarios.h"
#include "wetrun/stats/quantile.h"

/* What the run skipped and the plan may drop takes no time, and waits for no clock, as in the replay of the run. Else
 * nothing is dropped: the pool finishes work that the excursion would leave out. */
static void simulate(struct wr_held_out *h, size_t run, const struct wr_basis *basis,
                     const struct wr_durations *durations, uint64_t seed)
{
    const struct wr_network *net = basis->net;
    WR_RELEASED_BY(wr_scenarios_release) struct wr_scenarios days = {0};
    WR_SCOPED double *duration = WR_NEW_ARRAY(double, net->n_task), *end = WR_NEW_ARRAY(double, net->n_task),
                     *drop_after = WR_NEW_ARRAY(double, net->n_task),
                     *not_before = WR_COPY(net->not_before_min, net->n_task);
    WR_SCOPED bool *left_out = WR_NEW_ARRAY(bool, net->n_task);
    struct wr_network as_done = wr_network_all_done(net, drop_after);

    for (size_t k = 0; k < net->n_task; k++) {
        bool skipped = wr_timing_cell(basis->timing, k, run)->state == WR_CELL_SKIPPED;
        left_out[k] = skipped && isfinite(net->drop_after_min[k]);
        if (left_out[k]) not_before[k] = 0;
    }
    as_done.not_before_min = not_before;
    wr_scenarios_make(&days, durations, h->n_trial, seed, 1);
    h->finish_min = WR_NEW_ARRAY(double, h->n_trial);
    h->task_min = WR_NEW_ARRAY(double, h->n_task * h->n_task_trial);
    for (size_t i = 0; i < h->n_trial; i++) {
        wr_scenarios_durations(&days, i, duration);
        for (size_t k = 0; k < h->n_task && i < h->n_task_trial; k++)
            h->task_min[k * h->n_task_trial + i] = duration[k];
        for (size_t k = 0; k < h->n_task; k++)
            if (left_out[k]) duration[k] = 0;
        h->finish_min[i] = wr_network_forward(&as_done, duration, NULL, end, NULL);
    }
    wr_sort_ascending(h->finish_min, h->n_trial);
    if (h->n_task_trial)
        for (size_t k = 0; k < h->n_task; k++) wr_sort_ascending(h->task_min + k * h->n_task_trial, h->n_task_trial);
}

static size_t at_most(size_t asked, size_t most)
{
    return asked < most ? asked : most;
}

/* A dozen refits: fewer draws than the forecast itself rests on are enough for their quantiles. */
static struct wr_fit_options options_of_refit(const struct wr_fit_options *options, size_t run)
{
    struct wr_fit_options own = *options;

    own.target = WR_FOR_REHEARSAL;
    own.people = NULL;
    own.hold_learning = false;
    own.gap_allowance = 0;
    own.sampler.n_thread = 1;
    own.sampler.n_chain = at_most(own.sampler.n_chain, 2);
    own.sampler.n_burn = at_most(own.sampler.n_burn, 50);
    own.sampler.n_keep = at_most(own.sampler.n_keep, 250);
    own.sampler.thin = at_most(own.sampler.thin, 1);
    own.sampler.seed = options->sampler.seed + 1 + run;
    return own;
}

/* Fewer rehearsals leave too few draws that count: trying would be in vain. A refit has 150 to 270 effective draws. */
enum { REWEIGHED_FROM_RUNS = 16, REWEIGHED_DRAWS = 1000, LEAST_EFFECTIVE = 250 };

/* From the draws of the whole campaign, weighted, where as many of them count as a refit would have. */
static bool refit_by_weights(struct wr_model_fit *refit, size_t run, enum wr_held_out_from from,
                             const struct wr_basis *basis, const struct wr_fit_options *own,
                             struct wr_model_table *table)
{
    const struct wr_model_fit *fit = basis->fit;
    double *log_weight = WR_NEW_ARRAY(double, fit->post.n_draw), effective = 0;

    if (from == WR_FROM_ALL_OTHERS && fit->data.n_run >= REWEIGHED_FROM_RUNS)
        effective = wr_weigh_without_run(log_weight, fit, run, table->data.target_order, own);
    if (effective >= LEAST_EFFECTIVE) wr_model_reweighed(refit, fit, table, log_weight, REWEIGHED_DRAWS);
    wr_free(log_weight);
    return effective >= LEAST_EFFECTIVE;
}

enum wr_status wr_held_out_make(struct wr_held_out *h, size_t run, enum wr_held_out_from from,
                                const struct wr_basis *basis, enum wr_held_out_parts parts, size_t n_trial,
                                struct wr_error *err)
{
    const struct wr_timing *timing = basis->timing;
    const struct wr_model_fit *fit = basis->fit;
    const struct wr_fit_options own = options_of_refit(basis->fit_options, run);
    struct wr_model_table table = {0};
    WR_RELEASED_BY(wr_model_fit_release) struct wr_model_fit refit = {0};
    WR_RELEASED_BY(wr_durations_release) struct wr_durations durations = {0};
    struct wr_findings unused = {0}; /* what the refit has to say was said of the whole campaign */
    WR_SCOPED unsigned char *keep = WR_NEW_ARRAY(unsigned char, timing->n_run);

    WR_BUG_IF(run >= timing->n_run || fit->data.n_run != timing->n_run);
    *h = (struct wr_held_out){.n_trial = n_trial, .n_task = basis->net->n_task};
    if (parts == WR_HELD_OUT_FINISH_AND_TASKS) h->n_task_trial = at_most(n_trial, WR_HELD_OUT_TASK_DAYS);
    for (size_t r = 0; r < timing->n_run; r++) keep[r] = from == WR_FROM_PREDECESSORS ? r < run : r != run;
    wr_model_table_keep_runs(&table, &fit->data, keep, timing->run[run].order);
    enum wr_status status = refit_by_weights(&refit, run, from, basis, &own, &table)
                                ? WR_OK : wr_model_refit(&refit, fit, &table, &own, err);
    if (!status)
        status = wr_durations_build(&durations, basis->plan, basis->net, timing, &refit, NULL, &own, &unused, err);
    if (!status) {
        if (refit.n_person) wr_durations_set_line_up(&durations, timing->line_up + run * timing->n_lane);
        simulate(h, run, basis, &durations, own.sampler.seed);
    }
    wr_findings_release(&unused);
    return status;
}

void wr_held_out_release(struct wr_held_out *h)
{
    WR_FREE(h->finish_min, h->task_min);
    *h = (struct wr_held_out){0};
}
