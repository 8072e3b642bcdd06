/* The standing caution: goes with every probability, pad and cut-off. One place for its words. */
#pragma once

#include "wetrun/base/str.h"
#include "wetrun/present/context.h"

/* Two or three sentences, for standard error beside tables and CSV, for the JSON key `caution`, and under the first
 * chart of the page. Plain text on one line, nothing in it from user files. */
void wr_caution_short(const struct wr_present_context *ctx, struct wr_str *out);

/* The same broken into lines of a terminal, with a line end after each. */
void wr_caution_terminal(const struct wr_present_context *ctx, struct wr_str *out);

/* What comes first of it, in one line for the foot of a picture that is passed on alone. */
extern const char wr_caution_line[];

/* The long form, paragraph by paragraph: what comes first, what the data cannot show, and what is known from earlier
 * programmes with its source. Returns NULL behind the last. Plain text. */
const char *wr_caution_paragraph(const struct wr_present_context *ctx, size_t i);
