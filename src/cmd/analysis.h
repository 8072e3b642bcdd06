/* What most commands share: the campaign loaded, the model fitted, what simulated days draw from, the forecast. */
#ifndef WETRUN_CMD_ANALYSIS_H
#define WETRUN_CMD_ANALYSIS_H

#include "emit.h"
#include "load.h"
#include "progress.h"
#include "wetrun/decide/backtest.h"
#include "wetrun/decide/basis.h"
#include "wetrun/decide/whatif.h"
#include "wetrun/model/durations.h"
#include "wetrun/present/forecast_view.h"
#include "wetrun/sim/forecast.h"

struct wr_analysis { /* start as {0} */
    struct wr_loaded in;
    struct wr_fit_options options;
    struct wr_model_fit fit;
    struct wr_carry_over carry_over; bool has_carry_over;
    struct wr_durations durations;
    struct wr_sim_limit *limit;   /* [in.limits.n_limit] */
    struct wr_forecast forecast;
    struct wr_drop_price *price; size_t n_price; /* by wr_analysis_price_rules */
};

/* Options of the model from the command line. */
WR_MUST_CHECK enum wr_status wr_fit_options_from(struct wr_fit_options *options, const struct wr_settings *settings,
                                                 struct wr_error *err);
/* Load, fit, and prepare the durations. */
WR_MUST_CHECK enum wr_status wr_analysis_fit(struct wr_analysis *a, const struct wr_settings *settings,
                                             struct wr_error *err);
/* Trials, seed, threads and limits of the forecast; progress may be NULL. */
struct wr_sim_options wr_sim_options_of(const struct wr_analysis *a, const struct wr_settings *settings,
                                        struct wr_progress *progress);
/* The same, then the forecast. */
WR_MUST_CHECK enum wr_status wr_analysis_forecast(struct wr_analysis *a, const struct wr_settings *settings,
                                                  struct wr_progress *progress, struct wr_error *err);
/* The forecasts of every rehearsal made without it (cmd_backtest.c; ready and report use it too). */
WR_MUST_CHECK enum wr_status wr_backtest_of(struct wr_backtest *b, const struct wr_analysis *a,
                                            const struct wr_settings *settings, struct wr_progress *progress,
                                            struct wr_error *err);
/* Seed, trials and what is forecast, into the context of the output. */
void wr_context_of_analysis(struct wr_context *context, const struct wr_analysis *a, const struct wr_settings *settings);
/* What every drop rule of the plan buys, on the same simulated days with and without it. */
WR_MUST_CHECK enum wr_status wr_analysis_price_rules(struct wr_analysis *a, const struct wr_settings *settings,
                                                     struct wr_error *err);
struct wr_basis wr_basis_of(const struct wr_analysis *a); /* what decisions take */
struct wr_variant wr_variant_of(const struct wr_analysis *a); /* the timeline as it is */
struct wr_forecast_result wr_forecast_result_of(const struct wr_analysis *a);
void wr_analysis_release(struct wr_analysis *a);

#endif
