/* A string that grows. Start as {0}; text is NUL-terminated once anything was added; release when done, or
 *     WR_SCOPED_STR text = {0};
 * which is released at the end of the block in which it is declared. */
#pragma once

#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdio.h>
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
/* Several of them. */
#define WR_STR_RELEASE(...)                                                                                            \
    wr_str_release_each((struct wr_str *const[]){__VA_ARGS__},                                                         \
                        sizeof(struct wr_str *const[]){__VA_ARGS__} / sizeof(struct wr_str *))
void wr_str_release_each(struct wr_str *const *s, size_t n);
#define WR_SCOPED_STR __attribute__((cleanup(wr_str_release))) struct wr_str
const char *wr_str_text(const struct wr_str *s); /* never NULL */

/* Bytes of the blank with which [begin, end) begins, or ends; 0: with none. Besides space, tab and carriage return they
 * are those that spreadsheets and web pages leave behind: U+00A0, U+2000 to U+200F (no width among them), U+202F,
 * U+2060, U+FEFF. */
size_t wr_blank_at(const char *begin, const char *end);
size_t wr_blank_before(const char *begin, const char *end);
void wr_trim(const char **begin, const char **end); /* of all such blanks */
/* The next part of a text that is joined by a character, trimmed, perhaps to nothing; *at is moved behind it, to NULL
 * after the last. False: there is none. */
struct wr_part { const char *text; size_t len; };
bool wr_next_part(const char **at, char joint, struct wr_part *part);

/* What a spreadsheet would take for a formula: it begins with = + - @, a tab, a line end, or a full-width form of the
 * signs, which some programs fold. An apostrophe in front makes a text of it. */
bool wr_is_formula(const char *text);

/* The file's own name: what stands behind the last slash of a path, or the whole. */
const char *wr_without_folders(const char *path);

/* What a function was told behind its last parameter, fmt, into an array of its own, cut where that is full. */
#define WR_FORMAT(text, fmt)                                                                                           \
    do {                                                                                                               \
        va_list told;                                                                                                  \
        va_start(told, fmt);                                                                                           \
        vsnprintf(text, sizeof(text), fmt, told);                                                                      \
        va_end(told);                                                                                                  \
    } while (0)
