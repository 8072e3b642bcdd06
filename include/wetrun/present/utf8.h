/* UTF-8 as it comes from files: anything may be in it. Decoding never fails and never reads past the end. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include "wetrun/base/str.h"

enum { WR_REPLACEMENT = 0xFFFD };

/* Takes the code point at *at and moves *at behind it. Bytes that are not UTF-8 (stray, cut short, overlong, surrogate,
 * beyond U+10FFFF) give U+FFFD once per maximal subpart, as chapter 3 of the Unicode Standard recommends.
 * *at < end is the caller's promise. */
uint32_t wr_utf8_next(const char **at, const char *end);
void wr_utf8_add(struct wr_str *out, uint32_t code);

/* Columns of a terminal that the code point takes: 0 (combining, zero-width), 1 or 2 (East Asian wide, emoji). */
unsigned wr_code_width(uint32_t code);
/* Columns of a whole text without control characters. */
size_t wr_text_columns(const char *text);

/* Moves, commands or hides other text instead of being text, or is not seen at all and so makes two names look the
 * same: C0 and C1 controls, DEL, bidirectional marks, overrides and isolates, line and paragraph separators, byte-order
 * and interlinear marks, non-characters, and of Unicode's default ignorable code points those that no script needs. */
bool wr_code_is_hidden_command(uint32_t code);
/* Not seen either, but scripts and symbols need it behind their characters: joiners and variation selectors. */
bool wr_code_joins(uint32_t code);
