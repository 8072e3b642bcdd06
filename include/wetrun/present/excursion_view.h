/* That a history of earlier excursions is not used in what is said of the next rehearsal, and the answer for the
 * excursion beside it (decide/excursion.h). Nothing where the context has history_unused not set. */
#pragma once

#include "wetrun/present/context.h"

/* In one sentence, with the first limit's number where the answer was made. */
void wr_excursion_brief(const struct wr_present_context *ctx, struct wr_str *out);
/* "half of the finishes come by 6:11, with 10 % allowed for the gap by 6:34", once the answer was made. */
void wr_excursion_half_words(const struct wr_present_context *ctx, struct wr_str *out);
/* The answer whole: when half of the finishes come, and every limit. Holds names from user files. */
void wr_excursion_words(const struct wr_present_context *ctx, struct wr_str *out);
/* "; of the next rehearsal; of the excursion 23 of 100 (2 to 59)", behind all that is said of one limit and the
 * rehearsal, a worse answer too; nothing for NULL. */
void wr_excursion_limit_words(const struct wr_excursion *excursion, size_t limit, struct wr_maybe confidence,
                              struct wr_str *out);
