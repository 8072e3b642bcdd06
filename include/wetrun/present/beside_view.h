/* Answers that stand beside the forecast unasked (decide/beside.h), and the judges' record: for the terminal, the JSON
 * and the page. */
#pragma once

#include "wetrun/present/forecast_view.h"

/* What calls for a second answer, and what judgement is worth here; nothing where nothing does. Plain text. */
void wr_beside_words(const struct wr_forecast_result *result, struct wr_str *out);
/* "10 % allowed for the gap", "judged 20 % short". */
void wr_assumed_words(enum wr_beside_kind kind, double percent, struct wr_str *out);
/* "as judged", "as if nothing was forgotten": the forecast where such an answer stands beside it. Not "the better one":
 * on the day, and where a clock starts behind what was judged, the second answer may be the lower. */
const char *wr_not_assumed_words(enum wr_beside_kind kind);
/* "with 10 % allowed for the gap", "if judged 20 % short". */
void wr_if_assumed_words(enum wr_beside_kind kind, double percent, struct wr_str *out);
/* "both answers", "all four answers": of a forecast that has worse ones. */
const char *wr_all_answers_words(const struct wr_forecast *f);
/* "with 10 % allowed for the gap 3 of 100 go over (<1 to 16)" */
void wr_second_words(const struct wr_second *second, struct wr_maybe confidence, struct wr_str *out);
/* ", by the worst answer 3 (<1 to 16)" behind a count; nothing where there is none. */
void wr_by_worst_words(const struct wr_second *second, struct wr_maybe confidence, struct wr_str *out);
/* The worse answer whose finishes come latest; NULL: none is worse. */
const struct wr_beside *wr_latest_answer(const struct wr_beside *beside, size_t n);
/* The forecast and those that assume worse. */
size_t wr_n_answers(const struct wr_forecast_result *result);
/* For whoever does not show the table below: that there are several answers, why, and the worse ones on every limit.
 * Nothing where there is one. during: what is shown is of the day under way, this of before it. Holds titles and names
 * from user files. */
void wr_second_answer_words(const struct wr_present_context *ctx, const struct wr_forecast_result *result, bool during,
                            struct wr_str *out);
/* The worse ones on every limit alone, each with a blank in front. */
void wr_worse_answers_words(const struct wr_present_context *ctx, const struct wr_forecast_result *result,
                            struct wr_str *out);
/* The worse answers on every limit that they reach; to be freed. */
struct wr_present_second *wr_second_answers(const struct wr_forecast_result *result, struct wr_maybe confidence,
                                            size_t *n);
/* The same of the limits behind the first as a table; no rows where there is nothing. To be released. */
void wr_grid_of_beside_others(const struct wr_forecast_result *result, struct wr_grid *grid);
/* Three cells: assumption, probability_over, probability_over_hi; absent where it is NULL or not known. */
void wr_grid_second(struct wr_grid *grid, const struct wr_second *second);
/* The forecast in the first row, the others below it; no rows where none stand beside it. To be released. */
void wr_grid_of_beside(const struct wr_present_context *ctx, const struct wr_forecast_result *result,
                       struct wr_grid *grid);
