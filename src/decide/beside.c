#include "wetrun/decide/beside.h"

#include "wetrun/base/memory.h"

enum { TRIALS = 1 << 16 }; /* only percentiles are read off them */

static bool is_judged_before(const struct wr_beside *b, const struct wr_network *net, const struct wr_sim_limit *limit)
{
    WR_SCOPED unsigned char *mark = WR_NEW_ARRAY(unsigned char, net->n_task);
    bool any = false;

    wr_limit_mark_before(net, limit, mark);
    if (limit->is_clock) wr_network_mark_before(net, limit->from, mark);
    for (size_t k = 0; k < net->n_task; k++) any = any || (mark[k] && wr_durations_are_judged(&b->durations, k));
    return any;
}

/* What is forgotten over a gap reaches every limit: where judgement does not, that is the answer of both together. */
static void find_untouched(struct wr_beside *b, const struct wr_network *net, const struct wr_sim_options *sim)
{
    if (b->kind != WR_BESIDE_JUDGED_SHORT && b->kind != WR_BESIDE_TOGETHER) return;
    b->untouched = WR_NEW_ARRAY(bool, sim->n_limit);
    for (size_t l = 0; l < sim->n_limit; l++) b->untouched[l] = !is_judged_before(b, net, &sim->limit[l]);
}

static enum wr_status forecast_with(struct wr_beside *b, const struct wr_basis *basis,
                                    const struct wr_sim_options *sim, struct wr_error *err)
{
    struct wr_sim_options own = *sim;
    struct wr_findings unused = {0}; /* of the forecast itself, where they were said already */

    own.progress = NULL;
    if (own.n_trial == 0) own.n_trial = TRIALS;
    enum wr_status status = wr_durations_build(&b->durations, basis->plan, basis->net, basis->timing, basis->fit,
                                               basis->carry_over, &b->options, &unused, err);
    if (!status) status = wr_forecast_run(&b->forecast, basis->net, &b->durations, &own, err);
    if (!status) find_untouched(b, basis->net, sim);
    wr_findings_release(&unused);
    return status;
}

static enum wr_status across_the_gap(struct wr_beside *b, const struct wr_basis *basis,
                                     const struct wr_sim_options *sim, struct wr_error *err)
{
    bool given = basis->fit_options->gap_allowance > 0;

    b->options = *basis->fit_options;
    b->kind = given ? WR_BESIDE_NOTHING_FORGOTTEN : WR_BESIDE_GAP_ALLOWED;
    b->percent = b->options.gap_allowance = given ? 0 : WR_BESIDE_GAP_PERCENT;
    return forecast_with(b, basis, sim, err);
}

static enum wr_status judged_short(struct wr_beside *b, const struct wr_basis *basis, const struct wr_sim_options *sim,
                                   struct wr_error *err)
{
    b->options = *basis->fit_options;
    b->options.judging = WR_JUDGED_SHORT;
    b->kind = WR_BESIDE_JUDGED_SHORT;
    b->percent = 100 * WR_JUDGED_SHORT_BY;
    return forecast_with(b, basis, sim, err);
}

static bool rests_on_judgement(const struct wr_basis *basis)
{
    const struct wr_judging_found *judging = &basis->durations->judging;

    return judging->n_task > 0 && !judging->restated;
}

bool wr_worse_together(struct wr_fit_options *options, const struct wr_basis *basis, const struct wr_gap *gap)
{
    bool forgotten = gap->is_long && !(basis->fit_options->gap_allowance > 0), judged = rests_on_judgement(basis);

    if (basis->fit_options->model == WR_MODEL_ALONE || !(forgotten || judged)) return false;
    *options = *basis->fit_options;
    if (forgotten) options->gap_allowance = WR_BESIDE_GAP_PERCENT;
    if (judged) options->judging = WR_JUDGED_SHORT;
    return true;
}

static enum wr_status both_together(struct wr_beside *b, const struct wr_basis *basis, const struct wr_gap *gap,
                                    const struct wr_sim_options *sim, struct wr_error *err)
{
    WR_BUG_IF(!wr_worse_together(&b->options, basis, gap));
    b->kind = WR_BESIDE_TOGETHER;
    b->percent = WR_BESIDE_GAP_PERCENT;
    return forecast_with(b, basis, sim, err);
}

enum wr_status wr_beside_make(struct wr_beside *beside, size_t *n_beside, const struct wr_basis *basis,
                              const struct wr_gap *gap, const struct wr_sim_options *sim, struct wr_error *err)
{
    enum wr_status status = WR_OK;

    *n_beside = 0;
    if (basis->fit_options->model == WR_MODEL_ALONE) return WR_OK;
    if (gap->is_long || basis->fit_options->gap_allowance > 0)
        status = across_the_gap(&beside[(*n_beside)++], basis, sim, err);
    if (!status && rests_on_judgement(basis))
        status = judged_short(&beside[(*n_beside)++], basis, sim, err);
    if (!status && *n_beside == 2 && wr_beside_is_worse(beside))
        status = both_together(&beside[(*n_beside)++], basis, gap, sim, err);
    return status;
}

void wr_beside_release(struct wr_beside *beside)
{
    wr_durations_release(&beside->durations);
    wr_forecast_release(&beside->forecast);
    WR_FREE(beside->untouched);
}

bool wr_beside_is_worse(const struct wr_beside *beside)
{
    return beside->kind != WR_BESIDE_NOTHING_FORGOTTEN;
}

bool wr_beside_is_worse_for(const struct wr_beside *beside, size_t limit)
{
    return wr_beside_is_worse(beside) && !(beside->untouched && beside->untouched[limit]);
}

void wr_second_take(struct wr_second *second, const struct wr_beside *beside, const struct wr_probability *over)
{
    if (second->known && (second->before_day || second->over.hi >= over->hi)) return;
    *second = (struct wr_second){.known = true, .kind = beside->kind, .percent = beside->percent, .over = *over};
}

void wr_beside_to_limits(const struct wr_beside *beside, size_t n_beside, struct wr_forecast *forecast)
{
    for (size_t l = 0; l < forecast->n_limit; l++) forecast->limit[l].second = (struct wr_second){0};
    forecast->any_second = (struct wr_second){0};
    forecast->n_worse = 0;
    for (size_t i = 0; i < n_beside; i++) {
        const struct wr_forecast *worse = &beside[i].forecast;
        if (!wr_beside_is_worse(&beside[i])) continue;
        forecast->worse[forecast->n_worse++] = worse;
        for (size_t l = 0; l < forecast->n_limit; l++) {
            if (!wr_beside_is_worse_for(&beside[i], l)) continue;
            wr_second_take(&forecast->limit[l].second, &beside[i], &worse->limit[l].over);
            wr_second_take(&forecast->any_second, &beside[i], &worse->any_over);
        }
    }
}

struct wr_basis wr_beside_basis(const struct wr_beside *beside, const struct wr_basis *basis)
{
    struct wr_basis under = *basis;

    under.fit_options = &beside->options;
    under.durations = &beside->durations;
    return under;
}
