/* A string that grows. Start as {0}; text is NUL-terminated once anything was added; release when done. */
#ifndef WETRUN_BASE_STR_H
#define WETRUN_BASE_STR_H

#include <stddef.h>
#include "wetrun/base/error.h" /* WR_PRINTF */

struct wr_str {
    char *text; /* NULL while nothing was added */
    size_t len, room;
};

void wr_str_add(struct wr_str *s, const char *text);
void wr_str_add_bytes(struct wr_str *s, const char *bytes, size_t n);
void wr_str_add_char(struct wr_str *s, char c);
void wr_str_addf(struct wr_str *s, const char *fmt, ...) WR_PRINTF(2, 3);
void wr_str_clear(struct wr_str *s); /* empty, keeps its room; text is "" afterwards */
void wr_str_release(struct wr_str *s);
const char *wr_str_text(const struct wr_str *s); /* never NULL */

/* The file's own name: what stands behind the last slash of a path, or the whole. */
const char *wr_without_folders(const char *path);

#endif
