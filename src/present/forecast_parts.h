/* What the sentences, the tables and the renderings of a forecast share. Private to them. */
#pragma once

#include "wetrun/present/forecast_view.h"

#define FORECAST_INTERVAL_LEVEL 0.9 /* of every interval that sim/forecast.h gives */

bool forecast_is_all_lanes(const struct wr_plan *plan, uint32_t lanes);
/* There is a first limit, and it is on when all are done. */
bool forecast_first_is_of_all(const struct wr_forecast_result *result);
/* Half of the finishes that are over it are over by this; unknown where fewer than 1 of 100 are. */
struct wr_maybe forecast_half_late_min(const struct wr_forecast_result *result);
void forecast_add_when(const struct wr_forecast_result *result, struct wr_str *out);

/* The one rule (decide/verdict.h) on a limit as it was forecast. */
enum wr_verdict forecast_verdict(const struct wr_present_context *ctx, const struct wr_limit_outlook *limit,
                                 double confidence);
/* NULL where nothing is wanted or nothing can be said; said: for people (wr_verdict_said). */
const char *forecast_verdict_or_null(const struct wr_present_context *ctx, const struct wr_limit_outlook *limit,
                                     struct wr_maybe confidence);
const char *forecast_verdict_said(const struct wr_present_context *ctx, const struct wr_limit_outlook *limit,
                                  struct wr_maybe confidence);
/* ": three rehearsals are complete, and …" behind a verdict that would else be "inside". */
void forecast_add_lack(const struct wr_present_context *ctx, const struct wr_limit_outlook *limit,
                       struct wr_maybe confidence, struct wr_str *out);
/* The ends of the finish span several answers (wr_finish_ends). */
bool forecast_spans_answers(const struct wr_forecast *f);
/* That they do, and where an end is no bound; nothing where neither holds. */
void forecast_span_words(const struct wr_forecast *f, struct wr_str *out);
/* The finish's mean and sd say something of it (wr_sd_says); why a task has none, and what the shares then rest on. */
bool forecast_sd_says(const struct wr_forecast *f);
void forecast_far_out_words(const struct wr_forecast *f, struct wr_str *out);
/* "; if judged 20 % short 23 of 100 go over (<1 to 70)" of the first limit, unless the verdict's lack has said it. */
void forecast_add_second(const struct wr_present_context *ctx, const struct wr_forecast_result *result,
                         struct wr_str *out);
/* The same of any limit and wish. */
void forecast_add_second_to(const struct wr_present_context *ctx, const struct wr_probability *over,
                            const struct wr_second *second, struct wr_maybe confidence, struct wr_str *out);
enum { FORECAST_DRIVER_COLUMNS = 11 };
extern const struct wr_column forecast_driver_column[FORECAST_DRIVER_COLUMNS];
/* The first n_task tasks by their share of the variance, the others in one row; then what tasks share. */
void forecast_fill_drivers(const struct wr_forecast_result *result, size_t n_task, struct wr_grid *grid);
void forecast_add_shared_rows(struct wr_grid *grid, const struct wr_forecast *f);
