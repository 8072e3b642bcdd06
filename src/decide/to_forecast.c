#include "wetrun/decide/to_forecast.h"

#include <math.h>
#include "wetrun/decide/limit_needed.h"

enum { MEDIAN = 4, NINETY = 7 }; /* of wr_quantile_prob */

static double moved(double prob, double shift)
{
    return fmin(fmax(prob + shift, 0), 1);
}

static void pad_task_to_median(struct wr_pad_task *t, double median_min)
{
    t->own_quantile_min += median_min - t->median_min;
    t->median_min = median_min;
    if (median_min > 0) t->factor = (median_min + t->pad_min) / median_min;
}

void wr_pad_to_forecast(struct wr_pad *pad, const struct wr_forecast *forecast)
{
    const struct wr_limit_needed need = wr_limit_needed(forecast, pad->confidence);

    for (size_t k = 0; k < pad->n_task; k++) {
        pad->task[k].dropped = forecast->task[k].dropped;
        if (wr_is_done_enough(pad->task[k].dropped)) pad_task_to_median(&pad->task[k], forecast->task[k].median_min);
    }
    pad->median_finish_min = forecast->quantile_min[MEDIAN];
    if (!need.middle_min.known || pad->n_checkpoint == 0) return;
    struct wr_pad_checkpoint *finish = &pad->checkpoint[pad->n_checkpoint - 1];
    double by = need.middle_min.value - pad->finish_quantile_min;
    pad->finish_quantile_min += by;
    pad->all_done_min += by;
    pad->reserve_min += by;
    if (pad->median_timeline_min > 0) pad->factor = pad->finish_quantile_min / pad->median_timeline_min;
    finish->time_min += by;
    finish->stretch_reserve_min += by;
}

/* In no draw can more be taken off those over a limit than there are: nor can either end of a gain lie above the same
 * end of the forecast's interval. Both have noise of their own. */
static void bound_gain(struct wr_paired *gain, const struct wr_probability *over)
{
    if (gain->no_interval || over->no_interval) return;
    gain->lo = fmin(gain->lo, over->lo);
    gain->hi = fmax(fmin(gain->hi, over->hi), gain->mean);
}

void wr_prices_to_forecast(struct wr_drop_price *price, size_t n_price, const struct wr_forecast *forecast)
{
    for (size_t i = 0; i < n_price; i++) {
        struct wr_drop_price *p = &price[i];
        p->dropped = forecast->task[p->task].dropped;
        p->median_all_done_min += forecast->quantile_min[MEDIAN] - p->median_min;
        p->median_min = forecast->quantile_min[MEDIAN];
        if (forecast->n_limit == 0) continue;
        double over = forecast->limit[p->limit].over.mean, shift = over - p->over_with_rule;
        p->over_with_rule = over;
        p->over_without_rule = moved(p->over_without_rule, shift);
        p->over_always_dropped = moved(p->over_always_dropped, shift);
        p->over_all_done = moved(p->over_all_done, shift);
        bound_gain(&p->sooner, &forecast->limit[p->limit].over);
    }
}

void wr_whatif_to_forecast(struct wr_whatif *w, const struct wr_forecast *forecast)
{
    double mean = forecast->mean_min - w->base_mean_min, median = forecast->quantile_min[MEDIAN] - w->base_median_min;
    double p90 = forecast->quantile_min[NINETY] - w->base_p90_min, any = forecast->any_over.mean - w->base_any_over;

    for (size_t i = 0; i < w->n_row; i++) {
        struct wr_whatif_row *row = &w->row[i];
        row->mean_min += mean;
        row->median_min += median;
        row->p90_min += p90;
        if (w->n_limit > 0) row->any_over = moved(row->any_over, any);
        for (size_t l = 0; l < w->n_limit; l++) {
            double over = forecast->limit[l].over.mean;
            row->limit[l].prob_over = moved(row->limit[l].prob_over, over - row->limit[l].prob_over_base);
            row->limit[l].prob_over_base = over;
            bound_gain(&row->limit[l].gain, &forecast->limit[l].over);
        }
    }
    w->base_mean_min = forecast->mean_min;
    w->base_median_min = forecast->quantile_min[MEDIAN];
    w->base_p90_min = forecast->quantile_min[NINETY];
    for (size_t l = 0; l < w->n_limit; l++) w->base_over[l] = forecast->limit[l].over.mean;
    if (w->n_limit > 0) w->base_any_over = forecast->any_over.mean;
}

/* is_first: of the limits of the forecast, whose finish says what the first one takes. */
static void cutoff_list_to_forecast(struct wr_cutoff_list *list, size_t n_row, double prob_over, bool is_first,
                                    const struct wr_forecast *forecast)
{
    const double inside = 1 - prob_over, wanted = list->limit.confidence;

    list->prob_over = prob_over;
    if (is_first && !list->limit.limit.is_clock) {
        const struct wr_limit_needed need = wr_limit_needed(forecast, wanted);
        if (need.middle_min.known) list->needed_min = need.middle_min.value;
    }
    for (size_t i = 0; i < n_row && !list->limit.limit.is_clock; i++) {
        struct wr_cutoff_row *row = &list->row[i];
        bool begins_it =
            row->typical_start_min <= 0 && (row->reason == WR_CUTOFF_FOUND || row->reason == WR_CUTOFF_NEVER);
        if (begins_it && (inside >= wanted) == (row->prob_inside_at_typical >= wanted))
            row->prob_inside_at_typical = inside;
    }
}

void wr_cutoffs_to_forecast(struct wr_cutoff_card *card, const size_t *limit_of, const struct wr_forecast *forecast)
{
    for (size_t l = 0; l < card->n_limit; l++)
        cutoff_list_to_forecast(&card->list[l], card->n_row, forecast->limit[limit_of[l]].over.mean, limit_of[l] == 0,
                                forecast);
    if (card->n_limit == forecast->n_limit) card->prob_any_over = forecast->any_over.mean;
}

void wr_other_limits_to_forecast(struct wr_other_limits *other, const struct wr_forecast *forecast)
{
    for (size_t i = 0; i < other->card.n_limit; i++)
        cutoff_list_to_forecast(&other->card.list[i], other->card.n_row,
                                other->over[other->cut_limit[i / other->n_confidence]].mean, true, forecast);
}

void wr_update_to_forecast(struct wr_update *update, const size_t *limit_of, const struct wr_forecast *forecast)
{
    for (size_t i = 0; i < WR_N_QUANTILE; i++) update->before_quantile_min[i] = forecast->quantile_min[i];
    for (size_t l = 0; l < update->n_limit; l++) {
        update->over_before[l] = wr_known(forecast->limit[limit_of[l]].over.mean);
        update->card.list[l].prob_over = update->over[l].mean;
    }
    if (update->n_limit > 0) update->card.prob_any_over = update->any_over.mean;
}

void wr_series_leg_to_forecast(struct wr_series_leg_result *leg, const struct wr_forecast *forecast)
{
    for (size_t l = 0; l < forecast->n_limit; l++) {
        const struct wr_probability *own = &forecast->limit[l].over;
        struct wr_series_over *over = &leg->over[l];
        over->with = over->without = own->mean;
        over->with_lo = own->lo;
        over->with_hi = own->hi;
        over->mc_error = own->mc_error;
    }
    leg->finish_p50_min = leg->without_p50_min = forecast->quantile_min[MEDIAN];
    leg->finish_p90_min = forecast->quantile_min[NINETY];
    for (size_t q = 0; q < WR_N_LENS; q++) leg->lens_min[q] = forecast->lens_min[q];
}

void wr_summary_to_forecast(struct wr_fit_summary *summary, const struct wr_forecast *forecast)
{
    for (size_t k = 0; k < summary->n_task; k++) {
        const struct wr_task_outlook *of = &forecast->task[k];
        struct wr_task_summary *t = &summary->task[k];
        if (t->source.kind != WR_SRC_MODEL || !wr_is_done_enough(of->dropped)) continue;
        t->median_min.value = of->median_min;
        t->mean_min.value = of->mean_min;
        t->sd_min.value = of->sd_min;
        t->p80_min.value = of->p80_min;
        t->p95_min.value = of->p95_min;
        if (t->own_median_min.known && t->own_median_min.value > 0)
            t->moved = wr_known(t->median_min.value / t->own_median_min.value);
    }
}
