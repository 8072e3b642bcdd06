/* One number for one thing. Pads, cut-offs, prices and alternatives rest on fewer days than the forecast, or on other
 * ones, and would say 5:52 where it says 5:53. What both say of the plan as it is becomes the forecast's; what is said
 * of a change becomes that plus the change's own difference, which was taken on the same days. To be called once, on a
 * result just made. */
#pragma once

#include "wetrun/decide/cutoff.h"
#include "wetrun/decide/other_limits.h"
#include "wetrun/decide/pad.h"
#include "wetrun/decide/series.h"
#include "wetrun/decide/update.h"
#include "wetrun/decide/whatif.h"
#include "wetrun/model/summary.h"
#include "wetrun/sim/forecast.h"

/* The finish at the wanted confidence, with reserve, factor and last checkpoint; how often each task is dropped, and
 * its median where it is not always. Where the forecast has no such number, nothing. */
void wr_pad_to_forecast(struct wr_pad *pad, const struct wr_forecast *forecast);
void wr_prices_to_forecast(struct wr_drop_price *price, size_t n_price, const struct wr_forecast *forecast);
/* Gains, savings and ranks stay but for an end that lies above the same end of what there is to gain. */
void wr_whatif_to_forecast(struct wr_whatif *w, const struct wr_forecast *forecast);
/* limit_of[card->n_limit]: which of the forecast's limits. What begins at 0:00 for certain is inside as often as the
 * forecast says, unless that would lie on the other side of what is wanted than its latest start. */
void wr_cutoffs_to_forecast(struct wr_cutoff_card *card, const size_t *limit_of, const struct wr_forecast *forecast);
/* The same of the cut-offs of limits tried, once they are taken out of the card. */
void wr_other_limits_to_forecast(struct wr_other_limits *other, const struct wr_forecast *forecast);
/* The day before it began; and in its card the probabilities that the update states. */
void wr_update_to_forecast(struct wr_update *update, const size_t *limit_of, const struct wr_forecast *forecast);
/* Of an excursion to which nothing can be carried on. */
void wr_series_leg_to_forecast(struct wr_series_leg_result *leg, const struct wr_forecast *forecast);
/* Times of tasks; their intervals stay. */
void wr_summary_to_forecast(struct wr_fit_summary *summary, const struct wr_forecast *forecast);
