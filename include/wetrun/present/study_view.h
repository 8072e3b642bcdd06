/* A study's results as the views take them, and one door to all of them: what a command prints, a part of the report
 * and the input of charts and page come from the same rows. */
#pragma once

#include "wetrun/present/backtest_view.h"
#include "wetrun/present/chart.h"
#include "wetrun/present/check_view.h"
#include "wetrun/present/compare_view.h"
#include "wetrun/present/cutoff_view.h"
#include "wetrun/present/fit_view.h"
#include "wetrun/present/forecast_view.h"
#include "wetrun/present/pad_view.h"
#include "wetrun/present/ready_view.h"
#include "wetrun/present/runs_needed_view.h"
#include "wetrun/study/study.h"

/* Borrowed from the study; look at wr_study_has first. */
struct wr_check_result wr_check_result_of(const struct wr_study *study);
struct wr_fit_result wr_fit_result_of(const struct wr_study *study);
struct wr_forecast_result wr_forecast_result_of(const struct wr_study *study);
struct wr_pad_result wr_pad_result_of(const struct wr_study *study);
struct wr_cutoff_result wr_cutoff_result_of(const struct wr_study *study);
struct wr_compare_result wr_compare_result_of(const struct wr_study *study);
struct wr_backtest_result wr_backtest_result_of(const struct wr_study *study);
struct wr_ready_result wr_ready_result_of(const struct wr_study *study);
struct wr_runs_needed_result wr_runs_needed_result_of(const struct wr_study *study);
struct wr_chart_input wr_chart_input_of(const struct wr_study *study);

/* What the context of an output says of the study: its name, runs, confidence, seed, trials, what is forecast. The rest
 * is left as it is. */
void wr_context_of_study(struct wr_present_context *ctx, const struct wr_study *study);

/* What is true of an output that shows this result alone: its trials, and whether it is about the target. */
void wr_context_of_result(struct wr_present_context *ctx, enum wr_result result, const struct wr_study *study);

/* Shows a result that the study has. WR_RESULT_MODEL has no view of its own, candidates and prices are shown in the fit
 * and in the forecast. */
WR_MUST_CHECK enum wr_status wr_show_result(enum wr_result result, enum wr_format format,
                                            const struct wr_present_context *ctx, const struct wr_study *study,
                                            struct wr_str *out, struct wr_error *err);
