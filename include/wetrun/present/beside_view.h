/* Answers that stand beside the forecast unasked (decide/beside.h), and the judges' record: for the terminal, the JSON
 * and the page. */
#pragma once

#include "wetrun/present/forecast_view.h"

/* What calls for a second answer, and what judgement is worth here; nothing where nothing does. Plain text. */
void wr_beside_words(const struct wr_forecast_result *result, struct wr_str *out);
/* The forecast in the first row, the others below it; no rows where none stand beside it. To be released. */
void wr_grid_of_beside(const struct wr_present_context *ctx, const struct wr_forecast_result *result,
                       struct wr_grid *grid);
