/* SHA-256 (FIPS 180-4) as lower-case hexadecimal or, of the raw 32 bytes, as base64 (RFC 4648) for content policies. */
#ifndef WETRUN_IO_DIGEST_H
#define WETRUN_IO_DIGEST_H

#include <stddef.h>
#include "wetrun/base/error.h"

enum { WR_SHA256_HEX = 65, WR_SHA256_BASE64 = 45 }; /* room, NUL included */

void wr_sha256_hex(const void *bytes, size_t n, char hex[WR_SHA256_HEX]);
void wr_sha256_base64(const void *bytes, size_t n, char base64[WR_SHA256_BASE64]);
/* Of a file's content. WR_E_INPUT if it cannot be read. */
WR_MUST_CHECK enum wr_status wr_sha256_file(const char *path, char hex[WR_SHA256_HEX], struct wr_error *err);

#endif
