/* What happens to characters that no installed font can draw. A vector picture leaves them to the viewer; the bitmap
 * terminal draws its stand-in for a missing glyph as large as the whole canvas, so that one such character in a title
 * would black out the picture. They are replaced first, by U+25A1. */
#pragma once

#include <stdbool.h>
#include "wetrun/base/str.h"

/* Does the text hold anything beyond what every common sans-serif face has (Latin, Greek, Cyrillic)? */
bool glyphs_are_in_doubt(const char *text);

/* Appends text with every character replaced that is in doubt and not in coverage: the output of
 * `fc-list --format '%{charset}\n'`, one line a font, "20-7e a0-17f 192 …", hexadecimal. */
void glyphs_replace_missing(struct wr_str *out, const char *text, const char *coverage);
