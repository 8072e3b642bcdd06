/* A text file, read once and whole: its bytes as UTF-8 with LF or CRLF line ends, and the checksum of what stood on the
 * disk. Reading once matters: a pipe can only be read once, and the checksum must be that of what was used. It is
 * worked out when it is asked for: of a long log that takes as long as a third of cutting it into fields. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include "wetrun/base/error.h"
#include "wetrun/io/digest.h"

struct wr_text { /* start as {0}; release with wr_text_release */
    char *bytes; /* followed by a NUL */
    size_t n;
    bool was_utf16;        /* recoded; half a surrogate pair became U+FFFD */
    bool had_cr_ends;      /* lines ended in a carriage return alone: made line feeds */
    bool is_file; uint64_t device, node; /* a file on a disk, and which; not a pipe or a device */
    char sha256[WR_SHA256_HEX]; /* of the file as it was, once wr_text_sha256 has been called; empty before */
};

/* WR_E_INPUT if the file cannot be opened or read, or is longer than WR_TEXT_MOST. path "-" is a file of that name. */
#define WR_TEXT_MOST ((size_t)1 << 28)
WR_MUST_CHECK enum wr_status wr_text_read(struct wr_text *text, const char *path, struct wr_error *err);
/* The same of bytes in memory, which are copied. */
void wr_text_take(struct wr_text *text, const char *bytes, size_t n);
/* Does path name the file that this was read from, by whatever way? */
bool wr_text_is_from(const struct wr_text *text, const char *path);
const char *wr_text_sha256(struct wr_text *text);
void wr_text_release(struct wr_text *text);
