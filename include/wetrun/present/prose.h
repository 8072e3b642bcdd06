/* Sentences on a terminal. */
#pragma once

#include "wetrun/base/str.h"

enum { WR_TERMINAL_COLUMNS = 80 }; /* sentences never take more, whatever the terminal */

/* Escapes text for a terminal, breaks it at blanks into lines of at most width columns, each after indent blanks, and
 * ends every line. A word wider than a line stands alone and sticks out. */
void wr_prose_add(struct wr_str *out, const char *text, size_t indent, size_t width);
/* A paragraph of WR_TERMINAL_COLUMNS; text is then empty. */
void wr_prose_say(struct wr_str *out, struct wr_str *text);
/* As the first, beside a head that stands in the first indent columns; one too wide for them has a line of its own.
 * Both are our own texts: nothing is escaped. */
void wr_prose_add_beside(struct wr_str *out, const char *head, const char *text, size_t indent, size_t width);
