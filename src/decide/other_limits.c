#include "wetrun/decide/other_limits.h"

#include <math.h>
#include "wetrun/base/memory.h"

enum { MOST_LIMITS = 150, AROUND_MIN = 30, CUT_STEP_MIN = 20, FEW_TASKS = 40 };

/* Whole minutes from where hardly anybody is inside to where nearly everybody is, the limit and half an hour about it
 * included. */
static void choose_limits(struct wr_other_limits *o, const struct wr_forecast *f, double limit_min)
{
    double from = floor(fmin(f->quantile_min[WR_Q5], limit_min - AROUND_MIN));
    double to = ceil(fmax(f->quantile_min[WR_N_QUANTILE - 1], limit_min + AROUND_MIN));
    double step = ceil((to - from) / MOST_LIMITS), given = floor(limit_min + 0.5);

    from = given - floor((given - from) / step) * step; /* so that the limit is among them */
    while (from < 1) from += step;
    o->limit_min = WR_NEW_ARRAY(double, MOST_LIMITS + 2);
    for (double at = from; at <= to && o->n_limit < MOST_LIMITS + 2; at += step) {
        if (fabs(at - given) < 0.5 * step) o->given_limit = o->n_limit;
        o->limit_min[o->n_limit++] = at;
    }
    o->limit_min[o->given_limit] = limit_min;
}

static void choose_confidences(struct wr_other_limits *o, double wanted)
{
    static const double usual[] = {0.8, 0.9, 0.95};

    for (size_t i = 0; i < sizeof usual / sizeof *usual; i++) {
        bool same = fabs(usual[i] - wanted) < 1e-9, before = wanted < usual[i] && !same;
        bool put = o->n_confidence > 0 && o->confidence[o->n_confidence - 1] >= wanted;
        if (before && !put) {
            o->given_confidence = o->n_confidence;
            o->confidence[o->n_confidence++] = wanted;
        }
        if (same) o->given_confidence = o->n_confidence;
        o->confidence[o->n_confidence++] = same ? wanted : usual[i];
    }
    if (o->confidence[o->n_confidence - 1] < wanted) {
        o->given_confidence = o->n_confidence;
        o->confidence[o->n_confidence++] = wanted;
    }
}

static void choose_cut_limits(struct wr_other_limits *o)
{
    double given = o->limit_min[o->given_limit];

    for (int side = -1; side <= 1; side++) {
        size_t nearest = o->given_limit;
        for (size_t i = 0; side != 0 && i < o->n_limit; i++)
            if (fabs(o->limit_min[i] - given - side * CUT_STEP_MIN) <
                fabs(o->limit_min[nearest] - given - side * CUT_STEP_MIN))
                nearest = i;
        if (o->n_cut == 0 || o->cut_limit[o->n_cut - 1] < nearest) o->cut_limit[o->n_cut++] = nearest;
    }
}

enum wr_status wr_other_limits_make(struct wr_other_limits *other, const struct wr_basis *basis,
                                    const struct wr_forecast *forecast, const struct wr_sim_options *sim,
                                    const struct wr_cutoff_limit *first, struct wr_error *err)
{
    WR_BUG_IF(sim->n_limit == 0 || first->limit.is_clock);
    choose_limits(other, forecast, first->limit.minutes);
    choose_confidences(other, first->confidence);
    /* the time that cut-offs take grows with the square of the tasks */
    if (basis->net->n_task <= FEW_TASKS) choose_cut_limits(other);
    other->over = WR_NEW_ARRAY(struct wr_probability, other->n_limit);
    return wr_forecast_limits(other->over, other->limit_min, other->n_limit, basis->net, basis->durations, sim, err);
}

enum wr_status wr_other_limits_beside(struct wr_other_limits *other, const struct wr_basis *basis,
                                      const struct wr_beside *beside, const struct wr_sim_options *sim,
                                      struct wr_error *err)
{
    WR_SCOPED struct wr_probability *over = WR_NEW_ARRAY(struct wr_probability, other->n_limit);
    enum wr_status status = wr_forecast_limits(over, other->limit_min, other->n_limit, basis->net, &beside->durations,
                                               sim, err);

    if (!other->second) other->second = WR_NEW_ARRAY(struct wr_second, other->n_limit);
    for (size_t i = 0; i < other->n_limit && !status; i++) wr_second_take(&other->second[i], beside, &over[i]);
    return status;
}

enum wr_status wr_other_limits_longer(struct wr_other_limits *other, const struct wr_variant *base, const double *scale,
                                      const struct wr_whatif_options *options, struct wr_error *err)
{
    const size_t n = other->n_limit, n_all = n + base->n_limit - 1;
    WR_SCOPED struct wr_sim_limit *limit = WR_NEW_ARRAY(struct wr_sim_limit, n_all);
    WR_RELEASED_BY(wr_whatif_release) struct wr_whatif whatif = {0};
    const struct wr_variant longer = {.name = "longer", .scale = scale};
    struct wr_variant asked = *base;

    for (size_t i = 0; i < n; i++) {
        limit[i] = base->limit[0];
        limit[i].minutes = other->limit_min[i];
    }
    /* the others ask nothing here, but what is summed up in which way goes by all of them, as in the forecast's own */
    for (size_t l = 1; l < base->n_limit; l++) limit[n + l - 1] = base->limit[l];
    asked.limit = limit;
    asked.n_limit = n_all;
    enum wr_status status = wr_whatif_run(&whatif, &asked, &longer, 1, options, err);
    if (status) return status;
    other->longer_over = WR_NEW_ARRAY(double, n);
    for (size_t i = 0; i < n; i++) other->longer_over[i] = other->over[i].mean - whatif.row[0].limit[i].gain.mean;
    return WR_OK;
}

void wr_other_limits_stuck(struct wr_other_limits *other, const struct wr_basis *basis, const struct wr_stuck *stuck,
                           uint64_t seed, unsigned n_thread)
{
    const size_t n = other->n_limit;
    WR_SCOPED struct wr_sim_limit *limit = WR_NEW_ARRAY(struct wr_sim_limit, n);
    WR_SCOPED double *more = WR_NEW_ARRAY(double, n);
    struct wr_basis tried = *basis;

    for (size_t i = 0; i < n; i++) {
        limit[i] = basis->limit[0];
        limit[i].minutes = other->limit_min[i];
    }
    tried.limit = limit;
    tried.n_limit = n;
    wr_stuck_cost(more, stuck, &tried, seed, n_thread);
    other->stuck = WR_NEW_ARRAY(struct wr_stuck_over, n);
    for (size_t i = 0; i < n; i++) other->stuck[i] = wr_stuck_over(stuck, &other->over[i], more[i]);
}

size_t wr_other_limits_wish(const struct wr_other_limits *o, const struct wr_sim_limit *first,
                            struct wr_cutoff_limit *limit)
{
    size_t n = 0;

    for (size_t c = 0; c < o->n_cut; c++)
        for (size_t w = 0; w < o->n_confidence; w++) {
            limit[n] = (struct wr_cutoff_limit){*first, o->confidence[w]};
            limit[n++].limit.minutes = o->limit_min[o->cut_limit[c]];
        }
    return n;
}

void wr_other_limits_take(struct wr_other_limits *o, struct wr_cutoff_card *card)
{
    size_t n = o->n_cut * o->n_confidence;

    card->n_limit -= n;
    o->card = (struct wr_cutoff_card){.n_trial = card->n_trial, .n_row = card->n_row, .n_limit = n};
    o->card.list = WR_NEW_ARRAY(struct wr_cutoff_list, n);
    for (size_t i = 0; i < n; i++) o->card.list[i] = card->list[card->n_limit + i];
}

void wr_other_limits_release(struct wr_other_limits *other)
{
    WR_FREE(other->limit_min, other->over, other->second, other->longer_over, other->stuck);
    if (other->card.list) wr_cutoff_release(&other->card);
    *other = (struct wr_other_limits){0};
}
