/* Text from files on its way to a reader: one function per sink. Names, titles and messages may hold anything (markup,
 * control sequences, bytes that are no UTF-8); behind these functions they are text and nothing else.
 * Each appends to *out and takes n bytes, or with the short form a NUL-terminated text. */
#pragma once

#include <stddef.h>
#include "wetrun/base/str.h"

/* Terminal: line ends and tabs become blanks; every other hidden command (present/utf8.h) and every byte that is not
 * UTF-8 becomes U+FFFD. No escape sequence, no overwriting of what stands before, no reordering. */
void wr_escape_terminal_bytes(struct wr_str *out, const char *bytes, size_t n);
void wr_escape_terminal(struct wr_str *out, const char *text);

/* One CSV field (RFC 4180), quoted where it must be. CSV goes to terminals too: bytes that are not UTF-8 and hidden
 * commands become U+FFFD, but for line feeds and tabs, which are data. A text that a spreadsheet would take for a
 * formula (it begins with = + - @, a tab, a line end or their full-width forms) gets an apostrophe in front: such a
 * program shows the text and computes nothing. Numbers that this program writes do not come through here. */
void wr_escape_csv(struct wr_str *out, const char *text);

/* HTML and SVG, as element text or inside a quoted attribute: & < > " ' as references, hidden commands and bytes that
 * are not UTF-8 as U+FFFD, line ends and tabs as blanks. */
void wr_escape_html_bytes(struct wr_str *out, const char *bytes, size_t n);
void wr_escape_html(struct wr_str *out, const char *text);

/* Finished JSON text: what is hidden in its strings (controls from U+007F on, directions, joiners) is written as \u and
 * four digits (RFC 8259, 7), so that it is data and moves nothing where the JSON is looked at. */
void wr_escape_json(struct wr_str *out, const char *text);

/* One word of a POSIX shell's command line: as it is where the shell takes it so, else within single quotes. It hides
 * nothing: the text still goes through the function of its sink. */
void wr_quote_shell(struct wr_str *out, const char *text);

/* UTF-8 made valid for JSON, whose writer quotes the rest: bytes that are not UTF-8 become U+FFFD. */
void wr_make_valid_utf8(struct wr_str *out, const char *bytes, size_t n);
